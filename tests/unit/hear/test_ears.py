"""The ears: called by the phrase, a request in one breath or after it, and nothing of their own."""

import queue
import threading
from collections.abc import Callable, Iterator

import pytest

from handsfree.audio import microphone as microphone_module
from handsfree.audio.level import Level
from handsfree.audio.microphone import Listening as Works
from handsfree.audio.microphone import Lost
from handsfree.errors import NoDeviceError, SoundError
from handsfree.hear.ears import LONGEST_HELD_S, Ears, open_ears
from handsfree.hear.endpointing import FRAME_S
from handsfree.values import (
    Called,
    CalledOut,
    Failed,
    Heard,
    Listening,
    Mended,
    Part,
    SpeechBegan,
    TurnEvent,
)
from tests.unit.hear.word_ear import Mouth, WordEar, spotter, spotting_ear


class Room:
    """Ears, what they told, and a mouth that speaks to them frame by frame."""

    def __init__(self, loudness: float = 4000) -> None:
        self.mouth = Mouth(loudness)
        self.attention = spotting_ear(self.mouth)
        self.request = WordEar(self.mouth)
        self.steps = WordEar(self.mouth)
        self.told: list[TurnEvent] = []
        self.levels: list[Level] = []
        self.words: list[str] = []
        self.forgotten = 0
        self.ears = Ears(
            (),
            spotter(self.attention),
            self.request,
            self.told.append,
            steps=self.steps,
            forget=self._forget,
            on_level=self.levels.append,
            on_partial=self.words.append,
        )
        self.quiet(1.5)

    def _forget(self) -> None:
        self.forgotten += 1

    def hear(self, frames: list[bytes]) -> list[TurnEvent]:
        before = len(self.told)
        for frame in frames:
            self.ears.hear(frame)
        return self.told[before:]

    def quiet(self, seconds: float) -> list[TurnEvent]:
        return self.hear(self.mouth.room(seconds))

    def say(self, text: str) -> list[TurnEvent]:
        return self.hear(self.mouth.say(text))

    def listen_for(self, listening: Listening) -> None:
        self.ears.listen_for(listening)
        self.quiet(0.3)


@pytest.fixture
def room() -> Room:
    return Room()


def texts(events: list[TurnEvent]) -> list[tuple[str, bool]]:
    return [(event.words.text, event.called) for event in events if isinstance(event, Heard)]


# --- attention ----------------------------------------------------------------------------------


def test_one_breath_is_called_at_once_and_heard_without_the_phrase(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    told = room.say("red kettle how fast on half inch plate")
    assert told == [Called()], "while the talker goes on"
    told = room.quiet(1.5)
    assert texts(told) == [("how fast on half inch plate", True)]
    (heard,) = told
    assert isinstance(heard, Heard) and heard.words.others == (
        "how fast on half inch plate perhaps",
    )


def test_the_helper_may_ask_for_the_request_while_the_talker_goes_on(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    assert room.say("red kettle how fast") == [Called()]
    room.ears.listen_for(Listening.REQUEST)
    room.say("on half inch plate")
    assert texts(room.quiet(1.5)) == [("how fast on half inch plate", True)]


def test_the_phrase_alone_is_an_empty_request(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    told = [*room.say("red kettle"), *room.quiet(2)]
    assert told[0] == Called()
    assert texts(told) == [("", True)]
    room.ears.listen_for(Listening.REQUEST)
    told = [*room.say("how fast"), *room.quiet(1.5)]
    assert told[0] == SpeechBegan()
    assert texts(told) == [("how fast", False)]


def test_the_phrase_is_heard_after_talk_and_the_talk_is_not(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.say("where is my coffee then")
    room.quiet(0.4)
    room.say("red kettle how fast on ten inch pipe")
    ((text, called),) = texts(room.quiet(1.5))
    assert called and text == "how fast on ten inch pipe"


def test_the_phrase_in_the_flow_of_talk_is_talk(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    told = [*room.say("where is my red kettle then"), *room.quiet(1.5)]
    assert told == []
    assert [*room.say("red kettle"), *room.quiet(1.5)][0] == Called(), "and it hears on"


def test_talk_that_is_not_for_the_helper_brings_nothing(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    told = [
        *room.say("where is my kettle red one"),
        *room.quiet(2),
        *room.say("kettle"),
        *room.quiet(2),
    ]
    assert told == []
    assert room.request.begun == 0, "nothing of it is given to the request recogniser"


def test_a_phrase_that_is_torn_apart_does_not_count(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    told = [*room.say("red"), *room.quiet(2.2), *room.say("kettle"), *room.quiet(2)]
    assert told == []


def test_called_again_and_again(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    for _ in range(3):
        room.say("red kettle how fast")
        room.quiet(2)
    assert [type(event) for event in room.told] == [Called, Heard] * 3


def test_a_reading_that_leaves_the_phrase_out_comes_after_one_with_it(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.request.mishears = {"red": "ten", "kettle": "inch"}
    room.request.others = ["red kettle"]
    told = [*room.say("red kettle"), *room.quiet(1.5)]
    (heard,) = (event for event in told if isinstance(event, Heard))
    assert heard.called and heard.words.text == ""
    assert heard.words.others[0] == "ten inch"
    assert heard.words.sureness <= 0.5


def test_words_that_lack_the_phrase_in_every_reading_are_not_sure(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.request.mishears = {"red": "ten", "kettle": "inch"}
    told = [*room.say("red kettle how fast"), *room.quiet(1.5)]
    (heard,) = (event for event in told if isinstance(event, Heard))
    assert heard.called and heard.words.text == "ten inch how fast"
    assert heard.words.sureness <= 0.5


# --- requests -----------------------------------------------------------------------------------


def test_a_request_needs_no_phrase_and_may_have_one(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    told = [*room.say("how fast"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [SpeechBegan, Heard]
    told = [*room.say("red kettle how fast"), *room.quiet(1.5)]
    assert texts(told) == [("how fast", True)]


def test_blows_that_keep_the_end_pointer_awake_do_not_keep_the_request_open(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.request.ends_after_s = 0.5
    room.say("how fast")
    blows = Mouth()  # sounds that are no words to this ear
    told = room.hear(blows.say("one two three four five six seven eight"))
    assert texts(told)[:1] == [("how fast", False)]


def test_asking_again_for_the_same_does_not_cut_the_talker_short(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    room.ears.listen_for(Listening.REQUEST)
    room.say("on plate")
    assert texts(room.quiet(1.5)) == [("how fast on plate", False)]


def test_the_words_so_far_are_shown_as_they_come(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.say("how fast on plate")
    room.quiet(1.5)
    assert room.words[0] in ("how", "how fast")
    assert room.words[-1] == "how fast on plate"
    assert len(set(room.words)) == len(room.words)


def test_a_quiet_talker_is_told_so() -> None:
    room = Room(loudness=250)
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    (heard,) = (event for event in room.quiet(1.5) if isinstance(event, Heard))
    assert heard.advice.startswith("Too quiet")


def test_a_clipped_talker_is_told_so() -> None:
    room = Room(loudness=60000)
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    (heard,) = (event for event in room.quiet(1.5) if isinstance(event, Heard))
    assert "clipped" in heard.advice


def test_the_level_comes_five_times_a_second_whatever_is_listened_for(room: Room) -> None:
    before = len(room.levels)
    room.quiet(2)
    assert len(room.levels) - before == 10
    assert -70 < room.levels[-1].level_db < -45


# --- answers to a step --------------------------------------------------------------------------


def test_an_answer_to_a_step_is_heard_by_its_own_recogniser(room: Room) -> None:
    room.listen_for(Listening.STEPS)
    told = [*room.say("no bubbles"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [SpeechBegan, Heard]
    assert texts(told) == [("no bubbles", False)]
    assert (room.steps.begun, room.request.begun) == (1, 0)


def test_the_recogniser_of_answers_may_come_later(room: Room) -> None:
    later = WordEar(room.mouth)
    room.ears.hear_steps_by(later)
    room.listen_for(Listening.STEPS)
    assert texts([*room.say("no bubbles"), *room.quiet(1.5)]) == [("no bubbles", False)]
    assert (later.begun, room.steps.begun) == (1, 0)


def test_behind_the_phrase_a_request_is_heard_while_a_list_is_led(room: Room) -> None:
    room.listen_for(Listening.STEPS)
    told = room.say("red kettle how fast")
    assert [type(event) for event in told] == [SpeechBegan, Called]
    room.ears.listen_for(Listening.REQUEST)
    told = [*room.say("on half inch plate"), *room.quiet(1.5)]
    assert texts(told) == [("how fast on half inch plate", True)]
    assert room.request.begun == 1
    room.listen_for(Listening.STEPS)
    assert texts([*room.say("no bubbles"), *room.quiet(1.5)]) == [("no bubbles", False)]


# --- an emergency -------------------------------------------------------------------------------


def called_out(events: list[TurnEvent]) -> list[str]:
    return [event.words.text for event in events if isinstance(event, CalledOut)]


@pytest.mark.parametrize("listening", Listening)
def test_an_emergency_is_heard_whatever_is_listened_for(room: Room, listening: Listening) -> None:
    room.listen_for(listening)
    told = [*room.say("loud bang"), *room.quiet(0.3)]
    assert called_out(told) == ["loud bang"]
    assert isinstance(told[-1], CalledOut), "and nothing else is made of it"
    assert texts([*room.quiet(2.0)]) == []


def test_an_emergency_ends_the_request_in_which_it_is_said(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    told = [*room.say("how fast loud bang"), *room.quiet(1.5)]
    assert called_out(told) == ["loud bang"]
    assert texts(told) == []


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("where is it loud bang then", ["loud bang"]),
        ("flash", ["flash"]),
        ("flash flash", ["flash"]),
        ("it went dark", ["it went dark"]),
        ("oh no it went dark", ["it went dark"]),
        ("it went dark in the shop", []),
        ("flash then", []),
        ("the flash", []),
        ("flash lamp", []),
    ],
)
def test_an_outcry_counts_where_no_talk_follows_and_a_short_one_alone(
    room: Room, said: str, told: list[str]
) -> None:
    room.listen_for(Listening.ATTENTION)
    assert called_out([*room.say(said), *room.quiet(1.0)]) == told


def test_the_same_emergency_is_not_told_again_and_again(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    assert called_out([*room.say("loud bang loud bang loud bang"), *room.quiet(2)]) == ["loud bang"]
    assert called_out([*room.say("loud bang"), *room.quiet(1)]) == ["loud bang"], "after a while"


def test_an_emergency_at_the_end_of_the_helpers_talk_is_not_cut_off(room: Room) -> None:
    room.quiet(1.0)
    room.say("loud")
    room.ears.listen_for(Listening.ATTENTION)
    assert called_out([*room.say("bang"), *room.quiet(0.5)]) == ["loud bang"]


def test_the_phrase_in_the_helpers_own_talk_does_not_call_it_afterwards(room: Room) -> None:
    room.quiet(1.0)
    room.say("red kettle")
    room.ears.listen_for(Listening.ATTENTION)
    assert room.quiet(2) == []
    assert [type(event) for event in [*room.say("red kettle"), *room.quiet(1.5)]] == [Called, Heard]


def test_the_helpers_own_words_are_no_emergency(room: Room) -> None:
    room.ears.says(("After a loud bang:", "stop."))
    assert room.say("after a loud bang stop") == []
    room.ears.listen_for(Listening.ATTENTION)
    assert room.quiet(0.3) == [], "nor when they come late"
    room.quiet(1.0)
    assert called_out([*room.say("loud bang"), *room.quiet(0.5)]) == ["loud bang"]
    room.ears.listen_for(Listening.NOTHING)
    room.ears.says(("Half inch plate.",))
    room.quiet(3.0)
    assert called_out([*room.say("loud bang"), *room.quiet(0.5)]) == ["loud bang"]


def test_a_spotter_that_fails_cuts_no_request_off(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.attention.faults["accept"] = [RuntimeError("broken")] * 4
    told = [*room.say("how fast"), *room.quiet(1.5)]
    assert [type(e) for e in told if not isinstance(e, Mended)] == [Failed, SpeechBegan, Heard]
    assert texts(told) == [("how fast", False)]


# --- its own voice ------------------------------------------------------------------------------


def test_nothing_is_heard_while_nothing_is_listened_for(room: Room) -> None:
    told = [*room.say("red kettle how fast stop"), *room.quiet(2)]
    assert told == [] and room.request.begun == 0


def test_the_rooms_tail_of_its_own_voice_does_not_leak_into_the_next_request(room: Room) -> None:
    room.say("the answer is")
    room.ears.listen_for(Listening.REQUEST)
    assert room.hear(room.mouth.say("ten")[:10]) == [], "two tenths of a second"
    assert room.forgotten == 1, "and what waited in the microphone"
    room.quiet(1.0)
    room.say("how fast")
    assert texts(room.quiet(1.5)) == [("how fast", False)]


def test_a_request_that_is_under_way_is_dropped_when_the_helper_speaks(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    room.ears.listen_for(Listening.NOTHING)
    assert room.quiet(2) == []
    room.listen_for(Listening.REQUEST)
    room.say("on plate")
    assert texts(room.quiet(1.5)) == [("on plate", False)]


def test_stop_is_heard_over_its_own_voice_at_once_and_nothing_else(room: Room) -> None:
    room.ears.listen_for(Listening.STOP)
    assert room.say("the oxygen is forty red kettle") == []
    told = room.say("stop and")
    assert texts(told) == [("stop", False)]
    assert texts(room.say("set the fuel at five")) == [], "once"
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    assert texts(room.quiet(1.5)) == [("how fast", False)]


# --- the talk key -------------------------------------------------------------------------------


def test_a_held_key_takes_all_from_press_to_release_with_its_pauses(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.say("where is")
    room.listen_for(Listening.HELD)
    assert texts([*room.say("how fast"), *room.quiet(2.5), *room.say("on plate")]) == []
    room.ears.end_utterance()
    assert texts(room.quiet(0.04)) == [("how fast on plate", False)]


def test_a_word_spoken_at_the_press_is_in_it(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.ears.listen_for(Listening.HELD)
    room.say("how fast")
    room.ears.end_utterance()
    room.ears.hear(None)
    assert texts(room.told) == [("how fast", False)], "also while no frames come"


def test_a_key_that_was_only_tapped_is_an_empty_request(room: Room) -> None:
    room.listen_for(Listening.HELD)
    room.ears.end_utterance()
    assert texts(room.quiet(0.1)) == [("", False)]


def test_the_key_ends_a_request_before_the_pause_does(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    room.ears.end_utterance()
    assert texts(room.quiet(2)) == [("how fast", False)]


def test_a_key_that_is_stuck_ends_after_half_a_minute(room: Room) -> None:
    room.listen_for(Listening.HELD)
    told = room.quiet(LONGEST_HELD_S + 1)
    assert texts(told) == [("", False)]


# --- faults -------------------------------------------------------------------------------------


def test_a_recogniser_that_fails_is_said_and_begun_anew(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.request.faults["finish"] = [RuntimeError("out of memory")]
    room.say("how fast")
    (failed,) = room.quiet(1.5)
    assert isinstance(failed, Failed) and failed.part is Part.RECOGNISER
    assert "out of memory" in failed.sentence and "type" in failed.sentence
    told = [*room.say("how fast"), *room.quiet(1.5)]
    assert told[1:] == [Mended(Part.RECOGNISER), told[-1]]
    assert texts(told) == [("how fast", False)]


def test_a_recogniser_that_fails_in_mid_sentence_is_said_once_for_each_request(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    for _ in range(2):
        room.request.faults["accept"] = [SoundError("no sound")] * 3
        room.say("how fast on plate")
        room.request.faults.clear()
        room.quiet(2)
    failed = [event for event in room.told if isinstance(event, Failed)]
    assert 2 <= len(failed) <= 6


def test_a_spotter_that_fails_is_said_once_and_the_next_call_is_heard(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.attention.faults["accept"] = [RuntimeError("broken")] * 4
    told = [*room.say("where is my coffee"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [Failed, Mended]
    told = [*room.say("red kettle"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [Called, Heard]


def test_a_recogniser_that_fails_after_the_call_is_said(room: Room) -> None:
    room.listen_for(Listening.ATTENTION)
    room.request.faults["begin"] = [RuntimeError("broken")]
    told = [*room.say("red kettle how fast"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [Called, Failed]
    told = [*room.say("red kettle how fast"), *room.quiet(1.5)]
    assert [type(event) for event in told] == [Called, Mended, Heard]


def test_a_microphone_that_was_lost_drops_the_half_request_and_comes_back(room: Room) -> None:
    room.listen_for(Listening.REQUEST)
    room.say("how fast")
    room.ears.microphone(Lost("the headset", "It stopped giving sound. Check its plug."))
    room.ears.hear(None)
    room.ears.microphone(Works("the headset"))
    failed, mended = room.told[-2:]
    assert isinstance(failed, Failed) and failed.part is Part.MICROPHONE
    assert "the headset" in failed.sentence and "plug" in failed.sentence
    assert mended == Mended(Part.MICROPHONE)
    assert room.quiet(2) == []
    room.say("on plate")
    assert texts(room.quiet(1.5)) == [("on plate", False)]


def test_a_microphone_that_works_from_the_start_is_not_news(room: Room) -> None:
    room.ears.microphone(Works("the headset"))
    assert room.told == []


# --- the thread ---------------------------------------------------------------------------------


class Stream:
    def __init__(self, take: Callable[[bytes], None]) -> None:
        self.take = take
        self.closed = False

    def start(self) -> None:
        pass

    def stop(self) -> None:
        pass

    def close(self) -> None:
        self.closed = True


class System:
    """A microphone that is plugged in late."""

    def __init__(self) -> None:
        self.there = False
        self.streams: queue.Queue[Stream] = queue.Queue()

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream:
        if not self.there:
            raise NoDeviceError("There is no microphone.")
        stream = Stream(take)
        self.streams.put(stream)
        return stream


def test_ears_on_a_microphone_listen_as_soon_as_it_is_there(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(microphone_module, "FIRST_WAIT_S", 0.01)
    monkeypatch.setattr(microphone_module, "FIRST_SOUND_S", 60.0)
    monkeypatch.setattr(microphone_module, "STALLED_S", 1.2)
    mouth, system = Mouth(), System()
    told: queue.Queue[TurnEvent] = queue.Queue()
    ears = open_ears(system, None, spotter(spotting_ear(mouth)), WordEar(mouth), told.put)
    try:
        failed = told.get(timeout=5)
        assert isinstance(failed, Failed) and failed.part is Part.MICROPHONE
        system.there = True
        stream = system.streams.get(timeout=5)
        stream.take(mouth.room(0.5)[0])
        assert told.get(timeout=5) == Mended(Part.MICROPHONE)
        ears.listen_for(Listening.REQUEST)
        for frame in [*mouth.room(1.5), *mouth.say("how fast"), *mouth.room(1.5)]:
            stream.take(frame)
        assert told.get(timeout=5) == SpeechBegan()
        assert texts([told.get(timeout=5)]) == [("how fast", False)]
    finally:
        ears.close()
    assert stream.closed
    assert not any(thread.name in ("ears", "microphone") for thread in threading.enumerate())


def test_what_is_left_when_the_sound_ends_is_heard() -> None:
    mouth = Mouth()
    frames = [*mouth.room(1.5), *mouth.say("how fast")]
    told: list[TurnEvent] = []
    ears = Ears(frames, spotter(spotting_ear(mouth)), WordEar(mouth), told.append)
    ears.listen_for(Listening.REQUEST)
    ears.listen()
    assert texts(told) == [("how fast", False)]


def test_sound_that_breaks_off_with_a_fault_is_a_fault_of_the_microphone() -> None:
    def broken() -> Iterator[bytes]:
        yield bytes(int(16000 * FRAME_S) * 2)
        raise SoundError("The file is cut off.")

    mouth = Mouth()
    told: list[TurnEvent] = []
    Ears(broken(), spotter(spotting_ear(mouth)), WordEar(mouth), told.append).listen()
    assert told == [Failed(Part.MICROPHONE, "The file is cut off.")]
