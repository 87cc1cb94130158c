"""The mouth on a real sound server: how soon it sounds, how soon it is silent, and its faults.

Of several times the best counts: a busy machine makes some late, a slow mouth is always late.
"""

import array
import statistics
import time
from collections.abc import Callable, Iterator
from typing import Protocol

import pytest

from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.values import Failed, Mended, Part, Samples, Spoken, Tone
from handsfree.voice.mouth import Mouth, MouthEvent
from handsfree.voice.voice import Voice, VoiceSettings

pytestmark = pytest.mark.sound
SENTENCES = (
    "Three quarter inch plate, acetylene.",
    "Set cutting oxygen to thirty to forty p s i.",
    "Keep the torch upright and watch for people below.",
)


class Ear(Protocol):
    rate: int
    blocks: list[tuple[float, bytes]]

    def last_sound_at(self) -> float: ...
    def first_sound_at(self) -> float: ...
    def __enter__(self) -> "Ear": ...
    def __exit__(self, *fault: object) -> None: ...


class SoundServer(Protocol):
    def start(self, *sinks: str) -> None: ...
    def plug_in(self, sink: str) -> None: ...
    def unplug(self, sink: str) -> None: ...
    def use(self, *, loudspeaker: str, microphone: str) -> None: ...
    def listen(self, sink: str, rate: int = 22050) -> Ear: ...
    def freeze(self) -> None: ...
    def thaw(self) -> None: ...
    def kill(self) -> None: ...


def until(true: Callable[[], bool], seconds: float = 10.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.005)


class Hum(Voice):
    """A voice that hums a square wave for as many seconds as the sentence says, or is silent."""

    size = 6000

    def render(self, sentence: str, words_a_minute: float | None = None) -> Samples:
        half = [self.size] * 50 + [-self.size] * 50
        return Samples(array.array("h", half * int(float(sentence) * 220.5)).tobytes(), 22050)


class Told:
    """The mouth's events, with when they came."""

    def __init__(self) -> None:
        self.events: list[MouthEvent] = []
        self.at: list[float] = []

    def __call__(self, event: MouthEvent) -> None:
        self.at.append(time.monotonic())
        self.events.append(event)

    def await_event(self, event: MouthEvent, seconds: float = 10.0) -> float:
        until(lambda: event in self.events, seconds)
        return self.at[self.events.index(event)]

    def await_failed(self, part: Part) -> Failed:
        def found() -> list[Failed]:
            return [e for e in self.events if isinstance(e, Failed) and e.part is part]

        until(lambda: bool(found()))
        return found()[0]


@pytest.fixture
def told() -> Told:
    return Told()


@pytest.fixture
def mouth(server: SoundServer, told: Told) -> Iterator[Mouth]:
    with Mouth(Hum(), Speaker(SoundDevice(), "ear"), told) as made:
        made.use(VoiceSettings(loudspeaker="ear"))
        made.say([], 0)
        told.await_event(Spoken(True, 0))
        yield made


def sounds_after(ear: Ear, moment: float) -> bool:
    return ear.last_sound_at() > moment


def test_hush_is_silence_within_a_tenth_of_a_second(
    server: SoundServer, mouth: Mouth, told: Told
) -> None:
    late = []
    with server.listen("ear") as ear:
        for number in range(1, 6):
            began = time.monotonic()
            mouth.say(["20", "20"], number)
            until(lambda began=began: sounds_after(ear, began + 0.1))  # type: ignore[misc]
            hushed = time.monotonic()
            mouth.hush()
            told.await_event(Spoken(False, number))
            time.sleep(0.25)
            late.append(ear.last_sound_at() - hushed)
    assert min(late) < 0.1, late


def test_a_tone_sounds_within_a_tenth_of_a_second(server: SoundServer, mouth: Mouth) -> None:
    def late(ear: Ear) -> float:
        before = time.monotonic()
        mouth.tone(Tone.HEARD)
        until(lambda: sounds_after(ear, before))
        return min(at for at, data in ear.blocks if at > before and any(data)) - before

    with server.listen("ear") as ear:
        idle = []
        for _ in range(5):
            idle.append(late(ear))
            until(lambda: not mouth.sounding)
            time.sleep(0.1)
        assert min(idle) < 0.1, idle
        mouth._voice.size = 0  # type: ignore[attr-defined]  # a sentence of silence
        mouth.say(["5"], 1)
        time.sleep(0.3)
        amid = []
        for _ in range(5):
            amid.append(late(ear))
            time.sleep(0.25)
        assert mouth.speaking
        assert min(amid) < 0.1, amid


def test_it_stops_speaking_when_the_last_sample_has_left_and_soon_after(
    server: SoundServer, mouth: Mouth, told: Told
) -> None:
    """Ears that open then hear nothing of it; the monitor itself is some 20 ms late."""
    behind = []
    with server.listen("ear") as ear:
        for number in range(1, 5):
            mouth.say(["0.4", "0.3"], number)
            ended = told.await_event(Spoken(True, number))
            time.sleep(0.25)
            behind.append(ended - ear.last_sound_at())
    assert -0.03 < statistics.median(behind) < 0.25, behind


def test_nothing_of_a_tone_is_left_when_it_counts_as_over(
    server: SoundServer, mouth: Mouth
) -> None:
    left = []
    with server.listen("ear") as ear:
        for _ in range(3):
            mouth.tone(Tone.LISTENING)
            until(lambda: not mouth.sounding)
            over = time.monotonic()
            time.sleep(0.25)
            left.append(ear.last_sound_at() - over)
    assert min(left) < 0.03, left


def test_the_first_word_sounds_before_the_rest_is_made(server: SoundServer, told: Told) -> None:
    made: list[float] = []

    class Watched(Voice):
        def render(self, sentence: str, words_a_minute: float | None = None) -> Samples:
            samples = super().render(sentence, words_a_minute)
            made.append(time.monotonic())
            return samples

    with (
        server.listen("ear") as ear,
        Mouth(Watched(), Speaker(SoundDevice()), told) as mouth,
    ):
        mouth.say(SENTENCES * 3, 1)
        until(lambda: ear.first_sound_at() < float("inf"))
        until(lambda: len(made) == 5)
        assert ear.first_sound_at() < made[4]
        mouth.hush()


def test_a_loudspeaker_unplugged_is_told_and_speaks_again_when_it_is_back(
    server: SoundServer, mouth: Mouth, told: Told
) -> None:
    mouth.say(["30"], 1)
    time.sleep(0.5)
    server.unplug("ear")
    assert "ear" in told.await_failed(Part.LOUDSPEAKER).sentence
    told.await_event(Spoken(False, 1))
    mouth.say(["0.2"], 2)
    told.await_event(Spoken(False, 2))
    server.plug_in("ear")
    told.await_event(Mended(Part.LOUDSPEAKER))
    with server.listen("ear") as ear:
        mouth.say(["0.4"], 3)
        told.await_event(Spoken(True, 3))
        assert ear.last_sound_at() > 0


def test_a_sound_server_that_starts_again_is_found(
    server: SoundServer, mouth: Mouth, told: Told
) -> None:
    server.kill()
    mouth.say(["1"], 1)
    told.await_failed(Part.LOUDSPEAKER)
    told.await_event(Spoken(False, 1))
    server.start("ear", "mouth")
    told.await_event(Mended(Part.LOUDSPEAKER))
    mouth.say(["0.2"], 2)
    told.await_event(Spoken(True, 2))


def test_a_sound_server_that_hangs_is_told_and_nobody_waits_for_it(
    server: SoundServer, mouth: Mouth, told: Told
) -> None:
    mouth.say(["30"], 1)
    time.sleep(0.5)
    server.freeze()
    told.await_failed(Part.LOUDSPEAKER)
    told.await_event(Spoken(False, 1), 15.0)
    began = time.monotonic()
    mouth.say(["1"], 2)
    mouth.tone(Tone.ATTENTION)
    mouth.hush()
    assert time.monotonic() - began < 1.0, "nobody waits for the device"
    told.await_event(Spoken(False, 2), 15.0)
    server.thaw()
    told.await_event(Mended(Part.LOUDSPEAKER), 30.0)
    mouth.say(["0.2"], 3)
    told.await_event(Spoken(True, 3))


def test_a_loudspeaker_may_come_later(server: SoundServer, told: Told) -> None:
    with Mouth(Hum(VoiceSettings(loudspeaker="late")), Speaker(SoundDevice()), told) as mouth:
        assert "'late'" in told.await_failed(Part.LOUDSPEAKER).sentence
        server.plug_in("late")
        told.await_event(Mended(Part.LOUDSPEAKER))
        mouth.say(["0.2"], 1)
        told.await_event(Spoken(True, 1))
