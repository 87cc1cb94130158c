"""Turns while a list is led, words of an emergency in every state, and what has come due."""

from dataclasses import replace

import pytest

from handsfree.dialogue.doubt import TAKE_FROM
from handsfree.dialogue.turn_moves import NOTHING_CHANGED
from handsfree.dialogue.turns import State
from handsfree.values import (
    Called,
    CalledOut,
    Control,
    Due,
    Heard,
    Hush,
    Key,
    Listening,
    Pressed,
    Replied,
    Say,
    Signal,
    SpeechBegan,
    Told,
    Tone,
    Typed,
    Words,
)
from tests.unit.dialogue.test_turns import (
    ANSWER,
    ASKED_FOR,
    LED,
    NOT_UNDERSTOOD,
    QUESTION,
    STEP,
    Talk,
    in_state,
)

PUT = (LED.say, LED.ask)
NO_BUBBLES = Words("no bubbles", 0.9)
FLASHBACK = Words("flashback", 0.97)
NEXT = replace(STEP, sentences=("Open it.", "What does it read?"), led=replace(LED, number=3))


@pytest.fixture
def talk() -> Talk:
    return Talk()


# --- a step waits ---------------------------------------------------------------------------------


def test_a_step_is_said_and_then_its_answer_is_listened_for_without_a_call(talk: Talk) -> None:
    assert talk.request().reply(STEP, leads=True).said == STEP.sentences
    talk.spoken()
    assert talk.turns.listening is Listening.STEPS
    assert talk.turns.can_say == LED.can_say
    assert talk(SpeechBegan(), Heard(NO_BUBBLES)).taken == NO_BUBBLES
    assert talk.tones == (Tone.HEARD,)


def test_silence_has_the_step_said_again_ever_more_seldom_and_never_passes_it(talk: Talk) -> None:
    talk.led()
    waited = []
    for _ in range(6):
        since = talk.now
        assert talk.time_up().said == PUT
        waited.append(talk.now - since)
        assert talk.spoken().state is State.LED
    assert waited == [30.0, 60.0, 120.0, 300.0, 300.0, 300.0]


def test_a_step_of_an_emergency_is_said_again_sooner(talk: Talk) -> None:
    talk.led(replace(STEP, led=replace(LED, emergency=True)))
    assert talk.turns.until == talk.now + 10.0, "and not 30 s"


def test_an_answer_begins_the_waiting_anew(talk: Talk) -> None:
    talk.led().time_up().spoken().time_up().spoken()
    talk(Heard(NO_BUBBLES)).reply(NEXT, leads=True).spoken()
    assert talk.turns.until == talk.now + 30.0
    assert talk.time_up().said == ("Brush soap on it.", "What do you see?")


@pytest.mark.parametrize("words", [Words("[unk]", 0.9), Words("", 0.0), Words("five", 0.1)])
def test_talk_and_coughs_answer_no_step(talk: Talk, words: Words) -> None:
    end = talk.led().turns.until
    assert talk(SpeechBegan(), Heard(words)).effects == ()
    assert (talk.state, talk.turns.until) == (State.LED, end)


def test_a_wrong_answer_stays_on_the_step_however_often(talk: Talk) -> None:
    talk.led()
    for _ in range(6):
        talk(Heard(NO_BUBBLES)).reply(NOT_UNDERSTOOD, leads=True)
        assert talk.said == NOT_UNDERSTOOD.sentences
        assert talk.tones == (Tone.NOT_UNDERSTOOD,)
        assert talk.spoken().state is State.LED


def test_after_the_last_step_the_talk_goes_on_as_ever(talk: Talk) -> None:
    talk.led()(Heard(NO_BUBBLES)).reply(ANSWER).spoken()
    assert talk.state is State.STAYING
    assert talk.time_up().state is State.WAITING


# --- something else in between --------------------------------------------------------------------


def test_a_request_behind_the_phrase_is_answered_and_the_step_waits_on(talk: Talk) -> None:
    talk.led()(Called())
    assert talk.turns.listening is Listening.REQUEST
    talk(Heard(ASKED_FOR, called=True)).reply(replace(ANSWER, led=LED), leads=True).spoken()
    assert talk.state is State.LED


def test_a_call_that_nothing_follows_goes_back_to_the_step(talk: Talk) -> None:
    talk.led()(Called(), Heard(Words(""), called=True)).time_up()
    assert talk.state is State.LED


def test_a_question_in_between_that_nobody_answers_leads_back_to_the_step(talk: Talk) -> None:
    talk.led()(Typed(ASKED_FOR)).reply(QUESTION, asks=True, leads=True).spoken()
    assert talk.state is State.ASKED
    talk.time_up().spoken().time_up()
    assert talk.said == (NOTHING_CHANGED, *PUT)
    assert talk.spoken().state is State.LED


def test_slower_leaves_the_step_where_it_was(talk: Talk) -> None:
    talk.led()(Heard(Words("slower", 0.9)))
    talk.reply(replace(ANSWER, sentences=()), Control.SLOWER, leads=True).spoken()
    assert talk.state is State.LED
    assert talk.time_up().said == PUT


def test_stop_is_silence_and_the_step_waits_on(talk: Talk) -> None:
    talk.request().reply(STEP, leads=True)(Pressed(Key.STOP))
    assert Hush() in talk.effects
    assert talk.state is State.LED


def test_no_key_confirms_a_step_that_has_not_been_said_to_its_end(talk: Talk) -> None:
    talk.request().reply(STEP, leads=True)
    for key in (Key.CONFIRM, Key.NEXT):
        assert talk(Pressed(key)).tones == (Tone.NOT_UNDERSTOOD,)
    talk.spoken()
    assert talk(Pressed(Key.CONFIRM)).taken == Words("done")


def test_a_step_that_came_late_is_said_once_it_is_waited_for(talk: Talk) -> None:
    talk.request().time_up().time_up().spoken()  # "The answer did not come."
    talk(Called(), Heard(Words(""), called=True)).time_up()
    talk(Replied(STEP, number=1, leads=True))
    assert talk.state is State.LED
    assert talk.time_up().said == PUT


# --- words of an emergency ------------------------------------------------------------------------


@pytest.mark.parametrize("state", State)
def test_an_emergency_is_taken_at_once_in_every_state(state: State) -> None:
    talk = in_state(state)(CalledOut(FLASHBACK))
    assert talk.taken == FLASHBACK
    assert talk.tones == (Tone.HEARD,), "the alarm would come before the words that matter"
    assert (Hush() in talk.effects) == (state is State.SPEAKING)


def test_an_emergency_that_was_spotted_is_not_doubted_any_more(talk: Talk) -> None:
    talk(CalledOut(Words("flashback", 0.2)))
    assert talk.taken is not None
    assert talk.taken.text == "flashback" and talk.taken.sureness >= TAKE_FROM


def test_a_reply_on_its_way_is_dropped_for_an_emergency(talk: Talk) -> None:
    talk.request()
    number = talk.turns.awaited
    talk(CalledOut(FLASHBACK), Replied(QUESTION, number=number, asks=True))
    assert talk.said == ()
    assert talk.reply(STEP, leads=True).said == STEP.sentences


def test_an_emergency_in_a_held_key_is_taken_without_waiting_for_the_key(talk: Talk) -> None:
    talk(Pressed(Key.TALK, holds=True), CalledOut(FLASHBACK))
    assert talk.taken == FLASHBACK
    assert talk(Pressed(Key.TALK, down=False)).effects == ()


# --- what has come due ----------------------------------------------------------------------------

NEWS = Due(("Half of the fire watch is over.",))
ALARM = Due(("The fire watch is over.",), alarm=True)


def test_news_is_said_at_once_where_nothing_else_is(talk: Talk) -> None:
    assert talk(NEWS).said == NEWS.sentences
    assert talk.tones == ()
    assert talk.spoken().state is State.WAITING


@pytest.mark.parametrize("state", [State.WORKING, State.SPEAKING])
def test_news_waits_for_what_is_said(state: State) -> None:
    talk = in_state(state)(NEWS, NEWS)
    assert talk.effects == ()
    if state is State.WORKING:
        talk.reply(ANSWER)
    assert talk.spoken().said == NEWS.sentences, "once, though it came twice"
    assert talk.spoken().state is State.STAYING


def test_news_does_not_cut_a_talker_off(talk: Talk) -> None:
    talk(Called(), SpeechBegan())
    assert talk(NEWS).effects == ()
    assert talk(Heard(ASKED_FOR)).reply(ANSWER).spoken().said == NEWS.sentences


@pytest.mark.parametrize("state", [State.WAITING, State.LISTENING, State.STAYING])
def test_an_alarm_is_said_at_once_with_its_tone(state: State) -> None:
    talk = in_state(state)(SpeechBegan(), ALARM)
    assert talk.tones == (Tone.ALARM,)
    assert talk.said == ALARM.sentences
    assert talk.spoken().state is state


def test_an_alarm_breaks_into_what_is_said_and_that_is_said_again(talk: Talk) -> None:
    talk.request().reply(STEP, leads=True)(ALARM)
    assert talk.effects[0] == Hush()
    assert talk.said == (*ALARM.sentences, *STEP.sentences)
    assert talk.spoken().state is State.LED


@pytest.mark.parametrize(("state", "put"), [(State.ASKED, QUESTION.sentences), (State.LED, PUT)])
def test_after_an_alarm_the_question_or_the_step_is_put_again(
    state: State, put: tuple[str, ...]
) -> None:
    talk = in_state(state)(ALARM)
    assert talk.said == (*ALARM.sentences, *put)
    assert talk.spoken().state is state


@pytest.mark.parametrize("told", [ANSWER, NOT_UNDERSTOOD, None])
def test_an_alarm_during_work_comes_before_the_reply(talk: Talk, told: Told | None) -> None:
    talk.request()(ALARM)
    assert talk.effects == ()
    talk.reply(told)
    assert talk.said[:1] == ALARM.sentences
    assert Tone.ALARM in talk.tones


def test_an_alarm_during_long_work_does_not_wait_for_it(talk: Talk) -> None:
    talk.request()(ALARM).time_up()
    assert talk.now == 100.0 + 1.0
    assert talk.said[:1] == ALARM.sentences
    talk.reply(ANSWER)
    assert talk.said == ANSWER.sentences


def test_stop_during_work_does_not_lose_an_alarm(talk: Talk) -> None:
    talk.request()(ALARM, Pressed(Key.STOP))
    assert [e.sentences for e in talk.effects if isinstance(e, Say)] == [ALARM.sentences]


def test_a_reading_that_is_a_danger_sounds_the_alarm_before_the_words() -> None:
    danger = replace(STEP, led=replace(LED, alarm=True))
    effects = Talk().request().reply(danger, leads=True).effects
    alarm = effects.index(Signal(Tone.ALARM))
    assert alarm < next(at for at, effect in enumerate(effects) if isinstance(effect, Say))
