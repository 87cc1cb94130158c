"""The turns of the running helper: every state has an answer to every event, and the right one."""

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.dialogue.doubt import ASK_FROM, ASK_UNCALLED_FROM, TAKE_FROM
from handsfree.dialogue.turn_asides import BACK_AGAIN, FAULT_SAID, KEY_SAYS, LED_KEY_SAYS
from handsfree.dialogue.turn_moves import LATER, NOT_COME, NOTHING_CHANGED, WORKING
from handsfree.dialogue.turn_state import (
    GIVEN_UP_AFTER_S,
    LASTS_S,
    LONGEST_HOLD_S,
    LONGEST_SPEECH_S,
    TAP_S,
    WORKING_AFTER_S,
)
from handsfree.dialogue.turns import TABLE, State, Turns, step
from handsfree.values import (
    Advise,
    Called,
    CalledOut,
    Control,
    Drop,
    Due,
    EndUtterance,
    Failed,
    Heard,
    Hush,
    Key,
    LedStep,
    Listening,
    Mended,
    Notify,
    Part,
    Pressed,
    Prompted,
    Replied,
    Say,
    Show,
    Signal,
    Speak,
    SpeechBegan,
    Spoken,
    Take,
    TimeUp,
    Told,
    Tone,
    TurnEffect,
    TurnEvent,
    Typed,
    Words,
)

ASKED_FOR = Words("how fast on half inch plate", 0.97)
ANSWER = Told("answer", "how fast", 0.97, "half inch plate", "", (), ("Half inch plate.", "More?"))
QUESTION = replace(
    ANSWER, kind="question", sentences=("Propane.", "Shall I keep that?"), options=("yes", "no")
)
NOT_UNDERSTOOD = replace(
    ANSWER, kind="not_understood", sentences=("I heard no request.", "You can say, help.")
)
ADJUSTED = replace(ANSWER, sentences=())
REFUSAL = replace(ANSWER, kind="refusal")
LED = LedStep("leak_test", "leak test", 2, 5, "Brush soap on it.", "What do you see?", ("bubbles",))
STEP = replace(ANSWER, kind="steps", sentences=("Good.", LED.say, LED.ask), led=LED)
NOW = 100.0


class Talk:
    """A talk that is played through, keeping the time and all effects."""

    def __init__(self, *, barge_in: bool = False) -> None:
        self.turns = Turns(barge_in=barge_in)
        self.now = NOW
        self.effects: tuple[TurnEffect, ...] = ()

    def __call__(self, *events: TurnEvent) -> "Talk":
        for event in events:
            self.turns, self.effects = step(self.turns, event, self.now)
        return self

    def request(self, words: Words = ASKED_FOR) -> "Talk":
        return self(Heard(words, called=True))

    def reply(
        self,
        told: Told | None,
        control: Control | None = None,
        *,
        asks: bool = False,
        leads: bool = False,
    ) -> "Talk":
        return self(Replied(told, control, self.turns.awaited, asks, leads))

    def spoken(self) -> "Talk":
        return self(Spoken(True, self.turns.awaited))

    def time_up(self) -> "Talk":
        assert self.turns.until is not None
        self.now = self.turns.until
        return self(TimeUp())

    def answered(self) -> "Talk":
        return self.request().reply(ANSWER).spoken()

    def asked(self) -> "Talk":
        return self.request().reply(QUESTION, asks=True).spoken()

    def led(self, told: Told = STEP) -> "Talk":
        return self.request().reply(told, leads=True).spoken()

    @property
    def state(self) -> State:
        return self.turns.state

    @property
    def said(self) -> tuple[str, ...]:
        return tuple(s for e in self.effects if isinstance(e, Say) for s in e.sentences)

    @property
    def tones(self) -> tuple[Tone, ...]:
        return tuple(effect.tone for effect in self.effects if isinstance(effect, Signal))

    @property
    def taken(self) -> Words | None:
        return next((effect.words for effect in self.effects if isinstance(effect, Take)), None)


@pytest.fixture
def talk() -> Talk:
    return Talk()


def in_state(state: State, *, barge_in: bool = False) -> Talk:
    talk = Talk(barge_in=barge_in)
    match state:
        case State.WAITING:
            return talk
        case State.LISTENING:
            return talk(Called())
        case State.WORKING:
            return talk.request()
        case State.SPEAKING:
            return talk.request().reply(ANSWER)
        case State.STAYING:
            return talk.answered()
        case State.ASKED:
            return talk.asked()
        case State.LED:
            return talk.led()


# --- the table ------------------------------------------------------------------------------------


def test_every_state_has_a_move_for_every_event() -> None:
    assert set(TABLE) == set(State)
    for state, moves in TABLE.items():
        assert set(moves) == set(get_args(TurnEvent)), state


@pytest.mark.parametrize("state", State)
def test_the_states_of_this_test_are_reached(state: State) -> None:
    assert in_state(state).state is state


WORDS = st.builds(
    Words,
    st.sampled_from(["", "[unk]", "yes", "half inch plate", "half [unk] plate"]),
    st.floats(0.0, 1.0),
)
TOLD = st.sampled_from([None, ANSWER, QUESTION, NOT_UNDERSTOOD, ADJUSTED, REFUSAL, STEP])
SENTENCES = st.sampled_from(["It stopped.", "It stopped again."])
EVENTS = st.one_of(
    st.just(Called()),
    st.just(SpeechBegan()),
    st.just(TimeUp()),
    st.builds(Heard, WORDS, st.booleans(), st.sampled_from(["", "Too quiet."])),
    st.builds(CalledOut, WORDS),
    st.builds(Due, st.tuples(SENTENCES), st.booleans()),
    st.builds(Typed, WORDS),
    st.builds(Prompted, SENTENCES),
    st.builds(Pressed, st.sampled_from(Key), st.booleans(), st.booleans()),
    st.builds(
        Replied,
        TOLD,
        st.none() | st.sampled_from(Control),
        st.integers(0, 9),
        st.booleans(),
        st.booleans(),
    ),
    st.builds(Spoken, st.booleans(), st.integers(0, 9)),
    st.builds(Failed, st.sampled_from(Part), SENTENCES),
    st.builds(Mended, st.sampled_from(Part)),
)


@given(st.lists(st.tuples(EVENTS, st.floats(0.0, 30.0)), max_size=40), st.booleans())
@example([(Due(("It stopped.",), False), 0.0), (Replied(STEP, None, 0, False, True), 0.0)], False)
def test_whatever_happens_the_helper_comes_back_to_rest(
    events: list[tuple[TurnEvent, float]], barge_in: bool
) -> None:
    turns, now = Turns(barge_in=barge_in), NOW
    numbers: list[int] = []
    for event, later in events:
        now += later
        before = turns
        turns, effects = step(turns, event, now)
        numbers += [e.number for e in effects if isinstance(e, Say | Take)]
        assert numbers == sorted(set(numbers)), "every Say and Take has a number of its own"
        assert turns.barge_in is barge_in
        assert (turns.until is None) == (turns.state is State.WAITING)
        if isinstance(event, TimeUp) and before.state is not State.WAITING:
            assert not any(isinstance(e, Take) for e in effects), "silence asks for nothing"
            assert turns.led is before.led, "silence passes no step"
        assert turns.led is None or turns.state is not State.WAITING, "a step is not forgotten"
    for _ in range(20):  # and nothing more happens: silence, a mouth and a session that hang
        if turns.until is None or (turns.state is State.LED and not turns.alarms):
            break
        now = turns.until
        turns, _ = step(turns, TimeUp(), now)
    assert turns.state is (State.WAITING if turns.led is None else State.LED)
    assert turns.listening is (Listening.ATTENTION if turns.led is None else Listening.STEPS)
    assert not turns.alarms, "every alarm was said"


@given(st.lists(EVENTS, max_size=30))
def test_half_duplex_takes_nothing_while_the_helper_speaks(events: list[TurnEvent]) -> None:
    turns = Turns()
    for event in events:
        turns, effects = step(turns, event, NOW)
        if turns.state in (State.SPEAKING, State.WORKING):
            assert turns.listening is Listening.NOTHING
        if any(isinstance(effect, Say) for effect in effects):
            assert turns.state in (State.SPEAKING, State.WORKING)


# --- called and heard -----------------------------------------------------------------------------


def test_the_phrase_alone_is_answered_by_a_tone_and_listened_on(talk: Talk) -> None:
    talk(Called())
    assert talk.effects == ()
    assert talk.turns.listening is Listening.REQUEST
    talk(Heard(Words("", 0.0), called=True))
    assert talk.tones == (Tone.LISTENING,)
    assert talk.turns.until == NOW + LASTS_S[State.LISTENING]


def test_a_request_in_the_same_breath_is_taken_with_a_tick_first(talk: Talk) -> None:
    talk(Called(), Heard(ASKED_FOR, called=True))
    assert talk.effects == (Signal(Tone.HEARD), Take(ASKED_FOR, 1))
    assert talk.state is State.WORKING
    assert talk.turns.listening is Listening.NOTHING


def test_talk_without_the_phrase_is_not_for_the_helper(talk: Talk) -> None:
    assert talk(Heard(ASKED_FOR)).effects == ()
    assert talk.state is State.WAITING


def test_a_call_that_nothing_follows_ends_with_a_tone(talk: Talk) -> None:
    talk(Called(), Heard(Words("", 0.0), called=True)).time_up()
    assert talk.state is State.WAITING
    assert talk.tones == (Tone.NOT_UNDERSTOOD,)


def test_somebody_who_talks_is_not_cut_off(talk: Talk) -> None:
    talk(Called(), Heard(Words("", 0.0), called=True))
    talk.now += LASTS_S[State.LISTENING] - 0.1
    talk(SpeechBegan())
    assert talk.turns.until == talk.now + LONGEST_SPEECH_S


def test_noise_does_not_make_the_time_to_speak_longer(talk: Talk) -> None:
    talk(Called(), Heard(Words("", 0.0), called=True))
    end = talk.turns.until
    talk.now += 2
    talk(SpeechBegan(), Heard(Words("", 0.0)))
    assert talk.turns.until == end


def test_what_is_not_understood_is_said_so_twice_and_then_left(talk: Talk) -> None:
    talk.request()
    for _ in range(2):
        talk.reply(NOT_UNDERSTOOD)
        assert talk.tones == (Tone.NOT_UNDERSTOOD,)
        assert talk.said == ("I heard no request.",), "one sentence, not the hints"
        talk.spoken()
        assert talk.state is State.LISTENING
        talk(Heard(Words("[unk]", 0.5)))
    talk.reply(NOT_UNDERSTOOD)
    assert talk.said == (LATER,)
    assert talk.spoken().state is State.WAITING


def test_what_is_understood_makes_earlier_misses_forgotten(talk: Talk) -> None:
    talk.request().reply(NOT_UNDERSTOOD).spoken()
    talk(Heard(ASKED_FOR)).reply(ANSWER).spoken()
    assert talk.turns.misses == 0


def test_advice_on_the_level_is_shown_and_said_with_what_was_not_understood(talk: Talk) -> None:
    talk(Heard(ASKED_FOR, called=True, advice="Too quiet."))
    assert Advise("Too quiet.") in talk.effects
    talk.reply(NOT_UNDERSTOOD)
    assert talk.said == ("Too quiet.", "I heard no request.")
    talk.spoken()(Heard(ASKED_FOR))
    assert Advise("") in talk.effects


# --- replied --------------------------------------------------------------------------------------


def test_a_reply_is_shown_and_said(talk: Talk) -> None:
    talk.request().reply(ANSWER)
    assert talk.effects == (Show(ANSWER), Say(ANSWER.sentences, 2))
    assert talk.state is State.SPEAKING


def test_a_refusal_calls_for_attention_first(talk: Talk) -> None:
    talk.request().reply(REFUSAL)
    assert talk.effects == (Show(REFUSAL), Signal(Tone.ATTENTION), Say(REFUSAL.sentences, 2))


def test_after_an_answer_it_stays_and_after_a_question_it_waits_for_the_answer() -> None:
    assert Talk().answered().state is State.STAYING
    assert Talk().asked().state is State.ASKED


def test_the_end_of_an_earlier_talk_is_no_news(talk: Talk) -> None:
    talk.request().reply(ANSWER)
    assert talk(Spoken(True, talk.turns.awaited - 1)).state is State.SPEAKING


def test_a_late_reply_is_told_of_then_dropped(talk: Talk) -> None:
    talk.request()
    take = talk.turns.awaited
    assert talk.turns.until == NOW + WORKING_AFTER_S
    assert talk.time_up().said == (WORKING,)
    assert talk.state is State.WORKING
    assert talk.time_up().said == (NOT_COME,)
    assert talk.now == pytest.approx(NOW + GIVEN_UP_AFTER_S)
    assert talk(Replied(ANSWER, number=take)).effects == ()
    assert talk.spoken().state is State.LISTENING, "it asked to be asked again"


def test_a_question_that_came_too_late_cannot_be_answered(talk: Talk) -> None:
    talk.request()
    take = talk.turns.awaited
    talk.time_up().time_up()
    assert talk(Replied(QUESTION, number=take, asks=True)).effects == (Drop(take),)


def test_a_slow_reply_is_still_said(talk: Talk) -> None:
    talk.request().time_up()
    working = next(effect.number for effect in talk.effects if isinstance(effect, Say))
    talk(Spoken(True, working)).reply(ANSWER)
    assert talk.said == ANSWER.sentences


def test_a_session_that_failed_says_why_and_listens_again(talk: Talk) -> None:
    talk.request()(Failed(Part.SESSION, "It broke."))
    assert talk.effects == (Notify(Part.SESSION, "It broke."),)
    assert talk.reply(None).said == (FAULT_SAID[Part.SESSION],)
    assert talk.spoken().state is State.LISTENING


@pytest.mark.parametrize(
    "control", [Control.SLOWER, Control.FASTER, Control.LOUDER, Control.SOFTER]
)
def test_slower_and_louder_are_confirmed_in_one_word_at_the_new_rate(
    talk: Talk, control: Control
) -> None:
    talk.answered()(Heard(Words(control.value, 0.97))).reply(ADJUSTED, control)
    speak, say = talk.effects[-2:]
    assert speak == Speak(control)
    assert isinstance(say, Say)
    assert say.sentences == (f"{control.value.capitalize()}.",)
    assert talk.spoken().state is State.STAYING


def test_slower_in_a_question_leaves_it_open(talk: Talk) -> None:
    talk.asked()(Heard(Words("slower", 0.97))).reply(ADJUSTED, Control.SLOWER, asks=True).spoken()
    assert talk.state is State.ASKED
    assert talk.time_up().said == QUESTION.sentences


def test_stop_hushes_and_goes_back_to_waiting(talk: Talk) -> None:
    talk.answered()(Heard(Words("stop", 0.97))).reply(ADJUSTED, Control.STOP)
    assert talk.effects == (Hush(),)
    assert talk.state is State.WAITING


def test_stop_in_a_question_drops_it(talk: Talk) -> None:
    talk.asked()(Heard(Words("stop", 0.97))).reply(ADJUSTED, Control.STOP, asks=True)
    assert set(talk.effects) == {Hush(), Drop()}


# --- staying --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        Words("[unk]", 0.99),
        Words("half [unk]", 0.99),
        Words("half inch", ASK_UNCALLED_FROM - 0.01),
    ],
)
def test_only_what_is_likely_a_request_counts_as_a_follow_up(talk: Talk, words: Words) -> None:
    talk.answered()
    end = talk.turns.until
    talk.now += 1
    talk(SpeechBegan(), Heard(words))
    assert talk.effects == ()
    assert (talk.state, talk.turns.until) == (State.STAYING, end)


@pytest.mark.parametrize("text", ["no five eighths", "i said five eighths", "make that propane"])
def test_a_correction_that_is_not_sure_is_taken_so_that_it_can_be_asked_about(
    talk: Talk, text: str
) -> None:
    talk.answered()(Heard(Words(text, ASK_FROM)))
    assert talk.state is State.WORKING
    talk.reply(QUESTION)
    assert talk.said == QUESTION.sentences


def test_a_correction_that_was_hardly_heard_passes_as_talk(talk: Talk) -> None:
    talk.answered()(Heard(Words("no five eighths", ASK_FROM - 0.01)))
    assert talk.state is State.STAYING


def test_a_follow_up_gets_its_tick_once_it_is_understood(talk: Talk) -> None:
    talk.answered()(Heard(Words("what about half inch", TAKE_FROM)))
    assert talk.tones == ()
    talk.reply(ANSWER)
    assert talk.effects[0] == Signal(Tone.HEARD)
    assert talk.said == ANSWER.sentences


def test_talk_that_only_looked_like_a_request_passes_without_a_sound(talk: Talk) -> None:
    talk.answered()
    end = talk.turns.until
    talk(Heard(Words("pass me that", 0.99))).reply(NOT_UNDERSTOOD)
    assert talk.effects == ()
    assert (talk.state, talk.turns.until) == (State.STAYING, end)


def test_talk_all_through_the_window_does_not_keep_it_open(talk: Talk) -> None:
    talk.answered()
    talk.now += LASTS_S[State.STAYING] - 0.1
    talk(SpeechBegan())
    talk.now += 5
    talk(Heard(Words("[unk]", 0.9)))
    assert talk.turns.until == talk.now
    assert talk.time_up().state is State.WAITING


def test_after_the_follow_up_it_waits_again_without_a_sound(talk: Talk) -> None:
    talk.answered().time_up()
    assert (talk.effects, talk.state) == ((), State.WAITING)


# --- asked ----------------------------------------------------------------------------------------


def test_silence_is_asked_once_again_and_then_changes_nothing(talk: Talk) -> None:
    talk.asked().time_up()
    assert talk.said == QUESTION.sentences
    talk.spoken().time_up()
    assert talk.said == (NOTHING_CHANGED,)
    assert Drop() in talk.effects
    assert talk.spoken().state is State.WAITING


def test_a_new_question_is_asked_again_as_well(talk: Talk) -> None:
    talk.asked().time_up().spoken()
    talk(Heard(ASKED_FOR)).reply(QUESTION, asks=True).spoken().time_up()
    assert talk.said == QUESTION.sentences


@pytest.mark.parametrize(
    "words", [Words("[unk]", 0.9), Words("yes", ASK_FROM - 0.01), Words("", 0)]
)
def test_talk_and_coughs_answer_no_question(talk: Talk, words: Words) -> None:
    talk.asked()(Heard(words))
    assert (talk.effects, talk.state) == ((), State.ASKED)


def test_an_answer_not_understood_keeps_the_question_twice_then_drops_it(talk: Talk) -> None:
    talk.asked()
    for _ in range(2):
        talk(Heard(Words("mutter", 0.6))).reply(NOT_UNDERSTOOD, asks=True)
        assert talk.said == ("I heard no request.",)
        assert talk.spoken().state is State.ASKED
    talk(Heard(Words("mutter", 0.6))).reply(NOT_UNDERSTOOD, asks=True)
    assert Drop() in talk.effects
    assert talk.said == (NOTHING_CHANGED,)


def test_a_question_answered_is_no_longer_open(talk: Talk) -> None:
    talk.asked()(Heard(Words("yes", 0.97))).reply(ANSWER).spoken()
    assert talk.state is State.STAYING
    assert talk.turns.question == ()


def test_what_can_be_said_follows_the_state(talk: Talk) -> None:
    assert "help" in talk.turns.can_say
    assert "more" in talk.answered().turns.can_say
    assert talk.asked().turns.can_say[:2] == ("yes", "no")


# --- speaking -------------------------------------------------------------------------------------


def test_barge_in_listens_for_stop_while_speaking() -> None:
    talk = in_state(State.SPEAKING, barge_in=True)
    assert talk.turns.listening is Listening.STOP
    talk(Heard(Words("stop", 0.9)))
    assert talk.effects == (Hush(),)
    assert talk.state is State.WAITING


def test_talk_does_not_stop_the_helper() -> None:
    talk = in_state(State.SPEAKING, barge_in=True)
    assert talk(Heard(Words("[unk]", 0.9))).effects == ()
    talk = in_state(State.SPEAKING)
    assert talk(Heard(Words("stop", 0.9)), Called()).effects == ()
    assert talk.state is State.SPEAKING


def test_a_mouth_that_never_ends_does_not_leave_the_helper_deaf() -> None:
    talk = in_state(State.SPEAKING).time_up()
    assert Hush() in talk.effects
    assert talk.state is State.STAYING


# --- keys and typed words -------------------------------------------------------------------------


@pytest.mark.parametrize("state", State)
def test_typed_words_are_answered_in_every_state(state: State) -> None:
    talk = in_state(state)(Typed(Words("half inch plate")))
    assert talk.taken == Words("half inch plate")
    assert talk.state is State.WORKING
    assert (Hush() in talk.effects) == (state is State.SPEAKING)


@pytest.mark.parametrize("key", [Key.NEXT, Key.BACK, Key.AGAIN])
def test_a_key_is_worth_its_word_in_every_state(key: Key) -> None:
    for state in State:
        says = LED_KEY_SAYS if state is State.LED else KEY_SAYS
        assert in_state(state)(Pressed(key)).taken == Words(says[key])
        assert in_state(state)(Pressed(key, down=False)).effects == ()


def test_confirm_is_a_yes_to_an_open_question_and_nothing_else(talk: Talk) -> None:
    assert talk(Pressed(Key.CONFIRM)).effects == (Signal(Tone.NOT_UNDERSTOOD),)
    assert talk.asked()(Pressed(Key.CONFIRM)).taken == Words("yes")


@pytest.mark.parametrize("state", State)
def test_stop_is_silence_and_waiting_in_every_state(state: State) -> None:
    talk = in_state(state)(Pressed(Key.STOP))
    assert Hush() in talk.effects
    assert talk.state is (State.LED if state is State.LED else State.WAITING)
    assert (Drop() in talk.effects) == (state is State.ASKED)


@pytest.mark.parametrize("state", State)
def test_a_held_talk_key_is_the_whole_request(state: State) -> None:
    talk = in_state(state)(Pressed(Key.TALK, holds=True))
    assert talk.turns.listening is Listening.HELD
    assert talk.tones == (), "a tone would fall into his words"
    assert (Hush() in talk.effects) == (state is State.SPEAKING)
    talk(Pressed(Key.TALK, holds=True), SpeechBegan(), Called())
    assert talk.turns.listening is Listening.HELD, "a key that repeats changes nothing"
    talk.now += 3
    talk(Pressed(Key.TALK, down=False, holds=True))
    assert talk.effects == (EndUtterance(),)
    assert talk(Heard(ASKED_FOR)).taken == ASKED_FOR


def test_a_talk_key_that_is_tapped_listens(talk: Talk) -> None:
    talk(Pressed(Key.TALK, holds=True))
    talk.now += TAP_S / 2
    talk(Pressed(Key.TALK, down=False, holds=True))
    assert talk.tones == (Tone.LISTENING,)
    assert talk.turns.listening is Listening.REQUEST


def test_a_key_that_cannot_be_held_listens_at_a_tap_and_ends_at_the_next(talk: Talk) -> None:
    assert talk(Pressed(Key.TALK)).tones == (Tone.LISTENING,)
    assert talk(SpeechBegan(), Pressed(Key.TALK)).effects == (EndUtterance(),)


def test_nobody_holds_a_key_for_a_minute(talk: Talk) -> None:
    talk(Pressed(Key.TALK, holds=True))
    assert talk.turns.until == NOW + LONGEST_HOLD_S
    assert talk.time_up().effects == (EndUtterance(),)
    assert talk.time_up().state is State.WAITING


def test_a_question_outlives_a_talk_key_without_words(talk: Talk) -> None:
    talk.asked()(Pressed(Key.TALK)).time_up()
    assert talk.said == QUESTION.sentences


def test_steps_of_asking_by_touch_are_said_and_change_nothing(talk: Talk) -> None:
    assert talk(Prompted("Which shape?")).said == ("Which shape?",)
    assert talk.spoken().state is State.WAITING
    talk.asked()(Prompted("How thick?"))
    assert talk.spoken().state is State.ASKED
    assert talk.time_up().said == QUESTION.sentences


# --- faults ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", sorted(FAULT_SAID))
def test_a_fault_is_shown_and_said_once(talk: Talk, part: Part) -> None:
    talk(Failed(part, "It stopped. Plug it in."))
    assert Notify(part, "It stopped. Plug it in.") in talk.effects
    assert talk.said == (FAULT_SAID[part],)
    assert talk.spoken().state is State.WAITING
    talk(Failed(part, "It stopped. Plug it in."))
    assert not any(isinstance(effect, Notify) for effect in talk.effects)


@pytest.mark.parametrize("part", [Part.LOUDSPEAKER, Part.VOICE, Part.CLOCK, Part.TERMINAL])
def test_what_cannot_be_said_is_shown(talk: Talk, part: Part) -> None:
    assert talk(Failed(part, "Gone.")).effects == (Notify(part, "Gone."),)


def test_a_lost_microphone_sounds_the_alarm(talk: Talk) -> None:
    assert talk(Failed(Part.MICROPHONE, "Gone.")).tones == (Tone.ALARM,)


@pytest.mark.parametrize("part", sorted(BACK_AGAIN))
def test_a_part_that_is_back_is_told(talk: Talk, part: Part) -> None:
    talk(Failed(part, "Gone."))
    if talk.state is State.SPEAKING:
        talk.spoken()
    talk(Mended(part))
    assert Notify(part) in talk.effects
    assert talk.said == (BACK_AGAIN[part],)
    assert talk.turns.faults == ()


def test_a_part_that_never_failed_is_not_told_of(talk: Talk) -> None:
    assert talk(Mended(Part.MICROPHONE)).effects == ()


def test_a_fault_during_an_answer_is_said_after_it(talk: Talk) -> None:
    talk.request().reply(ANSWER)(Failed(Part.LOGBOOK, "Full."))
    assert talk.said == ()
    assert talk.spoken().said == (FAULT_SAID[Part.LOGBOOK],)
    assert talk.spoken().state is State.STAYING


def test_a_fault_does_not_cut_a_talker_off_unless_he_is_not_heard(talk: Talk) -> None:
    talk(Called(), Heard(Words("", 0.0), called=True), SpeechBegan())
    assert talk(Failed(Part.LOGBOOK, "Full.")).said == ()
    talk(Failed(Part.RECOGNISER, "It raised."))
    assert FAULT_SAID[Part.RECOGNISER] in talk.said
    talk.spoken()
    assert talk.said == (FAULT_SAID[Part.LOGBOOK],)
    assert talk.spoken().state is State.LISTENING


def test_who_cannot_be_heard_at_all_is_sent_to_the_page_and_not_asked_again(talk: Talk) -> None:
    talk(Failed(Part.EARS, "Nothing can be heard."))
    assert len(talk.said) == 1
    assert "on the page" in talk.said[0]
    assert "again" not in talk.said[0]
    assert talk.spoken()(Failed(Part.EARS, "Nothing can be heard.")).said == ()


def test_every_utterance_that_is_lost_is_told(talk: Talk) -> None:
    talk(Called(), Failed(Part.RECOGNISER, "It raised.")).spoken()
    talk(SpeechBegan(), Failed(Part.RECOGNISER, "It raised."))
    assert talk.said == (FAULT_SAID[Part.RECOGNISER],)


def test_a_fault_leaves_an_open_question_open(talk: Talk) -> None:
    talk.asked()(Failed(Part.MICROPHONE, "Gone.")).spoken()
    assert talk.state is State.ASKED
    assert talk.time_up().said == QUESTION.sentences
