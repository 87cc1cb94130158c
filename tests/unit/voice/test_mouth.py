"""The mouth says, signals and hushes as told, tells each end once, and survives its parts."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.audio import playback
from handsfree.audio import speaker as speaker_module
from handsfree.audio.speaker import Speaker
from handsfree.errors import NoDeviceError
from handsfree.values import Control, Failed, Mended, Part, Samples, Spoken, Tone
from handsfree.voice import mouth as mouth_module
from handsfree.voice.mouth import Mouth, MouthEvent
from handsfree.voice.tones import tone
from handsfree.voice.voice import VoiceSettings
from tests.unit.voice.mouths import LoudSystem, MadeVoice, until


class Rig:
    """A mouth with a voice and a loudspeaker that can be told to fail."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.system = LoudSystem()
        self.voice = MadeVoice()
        self.events: list[MouthEvent] = []
        self._mouth: Mouth | None = None

    @property
    def mouth(self) -> Mouth:
        if self._mouth is None:
            self._mouth = Mouth(self.voice, Speaker(self.system), self.events.append)
        return self._mouth

    def spoken(self) -> list[Spoken]:
        return [event for event in self.events if isinstance(event, Spoken)]

    def close(self) -> None:
        self.voice.goes_on.set()
        self.system.goes_on.set()
        if self._mouth is not None:
            self._mouth.close()


@pytest.fixture
def rig(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Rig]:
    monkeypatch.setattr(speaker_module, "DRAIN_S", 0.02)
    monkeypatch.setattr(speaker_module, "FLUSH_S", 0.001)
    monkeypatch.setattr(speaker_module, "STALLED_S", 0.4)
    monkeypatch.setattr(speaker_module, "FIRST_CALL_S", 0.4)
    monkeypatch.setattr(playback, "ANSWERS_S", 0.3)
    monkeypatch.setattr(speaker_module, "REOPEN_WAITS_S", (0.01, 0.02))
    monkeypatch.setattr(mouth_module, "TRY_AGAIN_S", 0.1)
    monkeypatch.setattr(mouth_module, "BETWEEN_PHRASES_S", 0.005)
    made = Rig(tmp_path)
    yield made
    made.close()


def test_every_sentence_is_said_in_order_and_its_end_is_told_once(rig: Rig) -> None:
    rig.mouth.say(["3", "...", "4", "", "5"], 7)
    assert rig.mouth.speaking
    until(lambda: bool(rig.events))
    assert rig.events == [Spoken(True, 7)]
    assert rig.system.values() == [3, 4, 5]
    assert not rig.mouth.speaking


def test_nothing_to_say_is_said_at_once(rig: Rig) -> None:
    rig.mouth.say([], 1)
    rig.mouth.say(["..."], 2)
    until(lambda: rig.spoken()[-1:] == [Spoken(True, 2)])
    assert not rig.system.values()


def test_the_first_sentence_sounds_before_the_rest_is_made(rig: Rig) -> None:
    rig.voice.length_s = 2.0
    rig.mouth.say([str(n) for n in range(3, 20)], 1)
    until(lambda: rig.system.values() == [3])
    assert len(rig.voice.asked) <= 1 + 2 * mouth_module.AHEAD
    rig.mouth.hush()


def test_hush_ends_it_and_forgets_the_rest(rig: Rig) -> None:
    rig.voice.length_s = 30.0
    rig.mouth.say(["3", "4"], 1)
    until(lambda: rig.system.values() == [3])
    rig.mouth.hush()
    until(lambda: bool(rig.events))
    assert rig.events == [Spoken(False, 1)]
    assert not rig.mouth.speaking
    heard = bytes(rig.system.heard)
    rig.voice.length_s = 0.05
    rig.mouth.say(["5"], 2)
    until(lambda: len(rig.events) == 2)
    assert rig.events[-1] == Spoken(True, 2)
    assert set(rig.system.heard[len(heard) :]) <= {0, 5}


def test_hush_in_silence_tells_nothing(rig: Rig) -> None:
    rig.mouth.hush()
    rig.mouth.say(["3"], 1)
    until(lambda: bool(rig.events))
    assert rig.events == [Spoken(True, 1)]


def test_a_new_say_takes_the_place_of_the_old(rig: Rig) -> None:
    rig.voice.length_s = 30.0
    rig.mouth.say(["3"], 1)
    until(lambda: rig.system.values() == [3])
    rig.voice.length_s = 0.05
    rig.mouth.say(["4"], 2)
    rig.mouth.say(["5"], 3)
    until(lambda: len(rig.events) == 3)
    assert rig.events == [Spoken(False, 1), Spoken(False, 2), Spoken(True, 3)]
    assert rig.system.values()[-1] == 5


def test_ends_are_told_once_each_whatever_comes_between(rig: Rig) -> None:
    for number in range(40):
        rig.mouth.say([str(number + 2), "9"], number)
        if number % 3 == 0:
            rig.mouth.hush()
        if number % 4 == 0:
            rig.mouth.tone(Tone.HEARD)
        if number % 7 == 0:
            until(lambda: not rig.mouth.speaking)
    until(lambda: len(rig.events) == 40)
    assert [event.number for event in rig.spoken()] == list(range(40))
    assert rig.spoken()[-1].whole is False, "39 is a multiple of 3"


def test_a_tone_sounds_without_any_talk(rig: Rig) -> None:
    rig.mouth.tone(Tone.LISTENING)
    assert rig.mouth.sounding
    until(lambda: not rig.mouth.sounding)
    assert tone(Tone.LISTENING).data in bytes(rig.system.heard)
    assert not rig.events


def test_a_tone_sounds_in_the_middle_of_a_sentence_which_goes_on(rig: Rig) -> None:
    rig.voice.length_s = 5.0
    rig.mouth.say(["3"], 1)
    until(lambda: rig.system.values() == [3])
    rig.mouth.tone(Tone.HEARD)
    until(lambda: tone(Tone.HEARD).data in bytes(rig.system.heard))
    assert rig.mouth.speaking
    until(lambda: bool(rig.events))
    before, _, after = bytes(rig.system.heard).partition(tone(Tone.HEARD).data)
    threes = before.count(b"\x03\0") + after.count(b"\x03\0")
    assert threes == int(5.0 * 22050), "no sample of the sentence is lost"


def test_a_tone_sounds_while_the_voice_hangs(rig: Rig) -> None:
    rig.voice.goes_on.clear()
    rig.mouth.say(["3"], 1)
    until(lambda: bool(rig.voice.asked))
    rig.mouth.tone(Tone.ALARM)
    until(lambda: tone(Tone.ALARM).data in bytes(rig.system.heard))
    assert rig.mouth.speaking
    rig.mouth.hush()
    until(lambda: rig.events == [Spoken(False, 1)])


def test_speech_follows_a_tone_without_a_gap(rig: Rig) -> None:
    rig.voice.render("3")
    rig.mouth.say([], 0)
    until(lambda: rig.events == [Spoken(True, 0)])
    rig.mouth.tone(Tone.ALARM)
    rig.mouth.say(["3"], 1)
    until(lambda: len(rig.events) == 2)
    after = bytes(rig.system.heard).partition(tone(Tone.ALARM).data)[2]
    assert after.startswith(b"\x03\0")


def test_it_speaks_until_the_last_sample_has_left_the_device(rig: Rig) -> None:
    """The device asks for `DRAIN_S` of silence behind it before it counts as gone."""
    rig.mouth.say(["3"], 1)
    until(lambda: bool(rig.events))
    behind = bytes(rig.system.heard).rpartition(b"\x03\0")[2]
    assert len(behind) >= int(2 * 22050 * speaker_module.DRAIN_S) - 2 * 110


def test_slower_faster_louder_and_softer_stay_in_their_bounds(rig: Rig) -> None:
    began = rig.mouth.settings
    assert rig.mouth.adjust(Control.LOUDER) == began, "it is as loud as it can be"
    softer = rig.mouth.adjust(Control.SOFTER)
    assert softer.loudness == pytest.approx(began.loudness / 1.585, rel=0.01)
    faster = rig.mouth.adjust(Control.FASTER)
    assert faster.value_rate > began.value_rate
    assert faster.talk_rate > began.talk_rate
    for how in (Control.SLOWER, Control.FASTER, Control.LOUDER, Control.SOFTER):
        settings = [rig.mouth.adjust(how) for _ in range(20)]
        assert settings[-1] == settings[-2] == rig.mouth.settings
        VoiceSettings.__post_init__(settings[-1])
        assert settings[-1].value_rate < settings[-1].talk_rate, "figures stay the slower ones"
    assert rig.mouth.adjust(Control.STOP) == rig.mouth.settings


def test_the_next_sentence_follows_what_was_adjusted(rig: Rig) -> None:
    rig.mouth.adjust(Control.SOFTER)
    rig.mouth.adjust(Control.SLOWER)
    rig.mouth.say(["1000"], 1)
    until(lambda: bool(rig.events))
    assert rig.system.values() == [int(1000 * rig.mouth.settings.loudness)]
    assert rig.voice.rates[-1] == round(rig.mouth.settings.value_rate * 1.05)


def test_another_loudspeaker_is_taken_from_the_next_sentence_on(rig: Rig) -> None:
    rig.mouth.say(["3"], 1)
    until(lambda: len(rig.events) == 1)
    rig.mouth.use(VoiceSettings(loudspeaker="headset"))
    rig.mouth.say(["4"], 2)
    until(lambda: len(rig.events) == 2)
    assert rig.system.names == [None, "headset"]


def test_phrases_are_made_ahead_once_and_cost_nothing_later(rig: Rig) -> None:
    rig.voice = MadeVoice(rig.folder)
    rig.mouth.warm(["11", "12", "11", "..."])
    until(lambda: rig.voice.asked == ["11", "12"])
    until(lambda: rig.voice.is_kept("12"))
    rig.mouth.say(["11", "12"], 1)
    until(lambda: bool(rig.events))
    assert rig.voice.asked == ["11", "12"]
    assert rig.system.values() == [11, 12]
    rig.close()
    again = MadeVoice(rig.folder)
    with Mouth(again, Speaker(LoudSystem()), rig.events.append) as mouth:
        mouth.warm(["11", "12", "13"])
        until(lambda: again.asked == ["13"])


def test_phrases_are_made_anew_for_another_rate(rig: Rig) -> None:
    rig.voice = MadeVoice(rig.folder)
    rig.mouth.warm(["11"])
    until(lambda: rig.voice.is_kept("11"))
    rig.mouth.adjust(Control.SLOWER)
    until(lambda: rig.voice.asked == ["11", "11"])
    assert rig.voice.rates[0] > rig.voice.rates[1]


def test_talk_comes_before_phrases_made_ahead(rig: Rig) -> None:
    rig.voice = MadeVoice(rig.folder)
    rig.voice.goes_on.clear()
    rig.mouth.warm([str(n) for n in range(100, 150)])
    until(lambda: bool(rig.voice.asked))
    rig.mouth.say(["3"], 1)
    rig.voice.goes_on.set()
    until(lambda: bool(rig.events))
    assert rig.voice.asked[1] == "3"


def test_a_voice_that_fails_is_told_and_the_next_sentence_tries_again(rig: Rig) -> None:
    rig.voice.broken = True
    rig.mouth.say(["3", "4"], 1)
    until(lambda: len(rig.events) == 2)
    assert rig.events == [Failed(Part.VOICE, rig.voice.fault), Spoken(False, 1)]
    rig.mouth.say(["3"], 2)
    until(lambda: len(rig.events) == 3)
    assert rig.events[-1] == Spoken(False, 2), "the same fault is told once"
    rig.voice.broken = False
    rig.mouth.say(["3"], 3)
    until(lambda: Spoken(True, 3) in rig.events)
    assert Mended(Part.VOICE) in rig.events


def test_what_was_made_before_the_voice_failed_is_said_to_its_end(rig: Rig) -> None:
    rig.voice.render("3")
    rig.voice.broken = True
    rig.mouth.say(["3", "4"], 1)
    until(lambda: len(rig.events) == 2)
    assert rig.system.values() == [3]
    assert rig.events[-1] == Spoken(False, 1)


def test_a_voice_that_works_again_is_told_without_a_word_said(rig: Rig) -> None:
    rig.voice.broken = True
    rig.mouth.say(["3"], 1)
    until(lambda: len(rig.events) == 2)
    rig.voice.broken = False
    until(lambda: rig.events[-1] == Mended(Part.VOICE))


def test_a_slip_in_the_program_is_told_and_the_mouth_goes_on(rig: Rig) -> None:
    def slip(sentence: str, words_a_minute: float | None = None) -> Samples:
        raise ZeroDivisionError("no such number")

    made_well, rig.voice.render = rig.voice.render, slip  # type: ignore[method-assign]
    rig.mouth.say(["3"], 1)
    until(lambda: len(rig.events) == 2)
    assert isinstance(rig.events[0], Failed)
    assert "ZeroDivisionError" in rig.events[0].sentence
    rig.voice.render = made_well  # type: ignore[method-assign]
    rig.mouth.say(["3"], 2)
    until(lambda: Spoken(True, 2) in rig.events)


def test_no_loudspeaker_is_told_at_once_and_again_when_there_is_one(rig: Rig) -> None:
    rig.system.fault = NoDeviceError("There is no loudspeaker.")
    assert rig.mouth.settings.loudspeaker is None
    until(lambda: rig.events == [Failed(Part.LOUDSPEAKER, "There is no loudspeaker.")])
    rig.mouth.say(["3"], 1)
    until(lambda: rig.events[-1] == Spoken(False, 1))
    rig.mouth.tone(Tone.ALARM)
    rig.system.fault = None
    until(lambda: rig.events[-1] == Mended(Part.LOUDSPEAKER))
    rig.mouth.say(["4"], 2)
    until(lambda: rig.events[-1] == Spoken(True, 2))
    assert rig.system.values()[-1] == 4


def test_a_loudspeaker_that_goes_away_in_mid_sentence_and_stays_away_is_told(rig: Rig) -> None:
    rig.voice.length_s = 30.0
    rig.mouth.say(["3"], 1)
    until(lambda: rig.system.values() == [3])
    rig.system.fault = NoDeviceError("There is no loudspeaker.")
    rig.system.dead.set()
    until(lambda: len(rig.events) == 2)
    assert rig.events == [Failed(Part.LOUDSPEAKER, "There is no loudspeaker."), Spoken(False, 1)]
    rig.system.dead.clear()
    rig.system.fault = None
    until(lambda: rig.events[-1] == Mended(Part.LOUDSPEAKER))


def test_a_loudspeaker_that_comes_back_in_time_is_no_fault(rig: Rig) -> None:
    rig.voice.length_s = 1.0
    rig.mouth.say(["3"], 1)
    until(lambda: rig.system.values() == [3])
    rig.system.dead.set()
    until(lambda: len(rig.system.names) == 2)
    rig.system.dead.clear()
    until(lambda: bool(rig.events))
    assert rig.events[-1] == Spoken(True, 1)


def test_a_sound_system_that_hangs_is_told_and_nobody_waits_for_it(rig: Rig) -> None:
    rig.system.goes_on.clear()
    rig.mouth.say(["3"], 1)
    rig.mouth.tone(Tone.HEARD)
    rig.mouth.hush()
    until(lambda: len(rig.events) == 2)
    assert isinstance(rig.events[0], Failed)
    assert "does not answer" in rig.events[0].sentence
    rig.system.goes_on.set()
    until(lambda: rig.events[-1] == Mended(Part.LOUDSPEAKER))


def test_closing_ends_the_talk_and_every_thread(rig: Rig) -> None:
    rig.voice.length_s = 30.0
    rig.mouth.say(["3"], 1)
    until(lambda: rig.system.values() == [3])
    rig.mouth.close()
    assert rig.events == [Spoken(False, 1)]
    assert not any(thread.is_alive() for thread in rig.mouth._threads)
