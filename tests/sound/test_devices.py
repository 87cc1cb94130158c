"""The loudspeaker and the microphone on a real sound server, with the faults a shift brings."""

import array
import math
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest

from handsfree.audio import device as sound_device
from handsfree.audio.device import SoundDevice
from handsfree.audio.microphone import FRAME_BYTES, Listening, Lost, Microphone, MicrophoneState
from handsfree.audio.speaker import Speaker
from handsfree.errors import NoDeviceError, SoundError
from handsfree.values import Samples

pytestmark = pytest.mark.sound
OPEN_FILES = Path("/proc/self/fd")


class Ear(Protocol):
    rate: int

    @property
    def data(self) -> bytes: ...
    def last_sound_at(self) -> float: ...
    def first_sound_at(self) -> float: ...
    def __enter__(self) -> "Ear": ...
    def __exit__(self, *fault: object) -> None: ...


class SoundServer(Protocol):
    def start(self, *sinks: str) -> None: ...
    def plug_in(self, sink: str) -> None: ...
    def unplug(self, sink: str) -> None: ...
    def use(self, *, loudspeaker: str, microphone: str) -> None: ...
    def say(self, sink: str, data: bytes, rate: int) -> object: ...
    def listen(self, sink: str, rate: int = 22050) -> Ear: ...
    def kill(self) -> None: ...


def tone(frequency: float, seconds: float, rate: int = 22050, size: int = 12000) -> Samples:
    turn = 2 * math.pi * frequency / rate
    wave = [round(size * math.sin(turn * n)) for n in range(int(seconds * rate))]
    return Samples(array.array("h", wave).tobytes(), rate)


def lasts(data: bytes, frequency: float, rate: int) -> float:
    """For how many seconds a pure tone is heard; a busy machine may leave gaps in it."""
    turn = 2 * math.pi * frequency / rate
    block = rate // 50
    values = array.array("h", data)
    found = 0
    for start in range(0, len(values) - block, block):
        part = values[start : start + block]
        real = sum(value * math.cos(turn * n) for n, value in enumerate(part))
        imaginary = sum(value * math.sin(turn * n) for n, value in enumerate(part))
        power = sum(value * value for value in part)
        found += power > 0 and 2 * (real**2 + imaginary**2) / (power * block) > 0.9
    return found * block / rate


def until(true: Callable[[], bool], seconds: float) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.01)


class States:
    """What the microphone said about itself."""

    def __init__(self) -> None:
        self.seen: list[MicrophoneState] = []

    def __call__(self, state: MicrophoneState) -> None:
        self.seen.append(state)

    def reach(self, kind: type[Listening] | type[Lost], seconds: float) -> None:
        until(lambda: bool(self.seen) and isinstance(self.seen[-1], kind), seconds)


def test_a_tone_is_heard_whole_and_as_it_was(server: SoundServer) -> None:
    with server.listen("ear") as ear, Speaker(SoundDevice()) as speaker:
        assert speaker.play([tone(1000, 0.5), tone(1000, 0.5)])
        time.sleep(0.2)
        sounding = sum(1 for value in array.array("h", ear.data) if value)
    assert sounding / ear.rate == pytest.approx(1.0, abs=0.03)
    assert lasts(ear.data, 1000, ear.rate) > 0.9


def test_stop_is_silence_within_a_tenth_of_a_second(server: SoundServer) -> None:
    def stopped_late(ear: Ear, speaker: Speaker) -> float:
        played: list[bool] = []
        thread = threading.Thread(target=lambda: played.append(speaker.play([tone(600, 5)])))
        before = time.monotonic()
        thread.start()
        until(lambda: ear.last_sound_at() > before, 5.0)
        stopped = time.monotonic()
        speaker.stop()
        thread.join(1.0)
        assert played == [False]
        time.sleep(0.3)
        return ear.last_sound_at() - stopped

    with server.listen("ear") as ear, Speaker(SoundDevice()) as speaker:
        late = [stopped_late(ear, speaker) for _ in range(4)]
    assert max(late) < 0.1, late


def test_the_first_piece_sounds_while_the_second_is_made(server: SoundServer) -> None:
    asked: list[float] = []

    def made() -> Iterator[Samples]:
        asked.append(time.monotonic())
        yield tone(800, 0.6)
        asked.append(time.monotonic())
        yield tone(800, 0.2)

    with server.listen("ear") as ear, Speaker(SoundDevice()) as speaker:
        assert speaker.play(made())
        assert asked[1] - asked[0] < 0.5
        time.sleep(0.2)
        sounding = sum(1 for value in array.array("h", ear.data) if value)
    assert sounding / ear.rate == pytest.approx(0.8, abs=0.05)


def test_softer_is_softer(server: SoundServer) -> None:
    with server.listen("ear") as ear, Speaker(SoundDevice(), loudness=0.25) as speaker:
        speaker.play([tone(1000, 0.4)])
        time.sleep(0.2)
        assert max(array.array("h", ear.data)) == pytest.approx(3000, rel=0.1)


def test_another_rate_is_played_at_its_own_pitch(server: SoundServer) -> None:
    with server.listen("ear") as ear, Speaker(SoundDevice()) as speaker:
        speaker.play([tone(1000, 0.4, rate=16000)])
        time.sleep(0.2)
        assert lasts(ear.data, 1000, ear.rate) > 0.2


def test_devices_are_listed_by_name(server: SoundServer) -> None:
    devices = SoundDevice()
    assert {"ear", "mouth"} <= set(devices.playbacks())
    assert {"Monitor of ear", "Monitor of mouth"} <= set(devices.captures())


def test_a_device_that_is_not_there_is_named_with_those_that_are(server: SoundServer) -> None:
    with pytest.raises(NoDeviceError, match=r"'headset'.*Monitor of mouth"):
        Microphone(SoundDevice(), "headset").open()
    with pytest.raises(NoDeviceError, match=r"'headset'.*ear"):
        Speaker(SoundDevice(), "headset").play([tone(1000, 0.1)])


def test_no_sound_system_is_said_and_typing_still_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path}/nothing")
    if Path("/dev/snd").exists():
        pytest.skip("this machine has a sound card that needs no server")
    with pytest.raises(NoDeviceError, match="Typing and the page still work"):
        Microphone(SoundDevice()).open()
    with pytest.raises(NoDeviceError, match="Typing and the page still work"):
        Speaker(SoundDevice()).play([tone(1000, 0.1)])


def test_the_microphone_gives_frames_at_16_khz(server: SoundServer) -> None:
    """The best second of three counts: on a busy machine the played tone itself has gaps."""
    server.say("mouth", tone(1000, 8, rate=48000).data, 48000)
    states = States()
    whole = []
    with Microphone(SoundDevice(), on_state=states) as microphone:
        until(lambda: microphone.level.peak_db > -20, 5.0)
        for _ in range(3):
            microphone.forget()
            began = time.monotonic()
            frames = [microphone.read(1.0) for _ in range(50)]
            lasted = time.monotonic() - began
            assert all(frame is not None and len(frame) == FRAME_BYTES for frame in frames)
            assert lasted == pytest.approx(1.0, abs=0.3)
            whole.append(lasts(b"".join(frame or b"" for frame in frames), 1000, 16000))
        assert microphone.level.level_db == pytest.approx(-11.7, abs=1.5)
    assert max(whole) > 0.8, whole
    assert states.seen == [Listening("the default microphone")]


def test_a_microphone_unplugged_is_said_and_comes_back(server: SoundServer) -> None:
    states = States()
    with Microphone(SoundDevice(), "Monitor of mouth", states) as microphone:
        states.reach(Listening, 3)
        server.unplug("mouth")
        states.reach(Lost, 3)
        server.plug_in("mouth")
        states.reach(Listening, 6)
        microphone.forget()
        assert microphone.read(1.0) is not None


def test_a_sound_server_that_dies_and_returns_is_survived(server: SoundServer) -> None:
    states = States()
    with Microphone(SoundDevice(), on_state=states) as microphone:
        states.reach(Listening, 3)
        server.kill()
        states.reach(Lost, 3)
        server.start("ear", "mouth")
        server.use(loudspeaker="ear", microphone="mouth")
        states.reach(Listening, 8)
        microphone.forget()
        assert microphone.read(1.0) is not None
    with server.listen("ear") as ear, Speaker(SoundDevice()) as speaker:
        assert speaker.play([tone(1000, 0.3)])
        time.sleep(0.2)
        assert lasts(ear.data, 1000, ear.rate) > 0.2


def test_a_microphone_may_come_later(server: SoundServer) -> None:
    states = States()
    microphone = Microphone(SoundDevice(), "Monitor of late", states)
    microphone.open_when_there()
    try:
        states.reach(Lost, 1)
        server.plug_in("late")
        states.reach(Listening, 6)
    finally:
        microphone.close()


def test_an_answer_goes_on_when_the_loudspeaker_comes_back(server: SoundServer) -> None:
    played: list[bool] = []
    with Speaker(SoundDevice(), "ear") as speaker:
        thread = threading.Thread(target=lambda: played.append(speaker.play([tone(500, 2.0)])))
        thread.start()
        time.sleep(0.7)
        server.unplug("ear")
        time.sleep(0.8)
        server.plug_in("ear")
        with server.listen("ear") as ear:
            thread.join(6.0)
            time.sleep(0.2)
            assert played == [True]
            assert lasts(ear.data, 500, ear.rate) > 0.5


def test_a_loudspeaker_that_stays_away_is_a_fault_and_not_a_hang(server: SoundServer) -> None:
    faults: list[Exception] = []

    def play(speaker: Speaker) -> None:
        try:
            speaker.play([tone(500, 4.0)])
        except SoundError as fault:
            faults.append(fault)

    with Speaker(SoundDevice(), "ear") as speaker:
        thread = threading.Thread(target=play, args=(speaker,))
        thread.start()
        time.sleep(0.5)
        server.kill()
        thread.join(6.0)
        assert not thread.is_alive()
        assert len(faults) == 1
        server.start("ear", "mouth")
        server.use(loudspeaker="ear", microphone="mouth")
        assert speaker.play([tone(500, 0.2)]), "the next answer is played"


@pytest.fixture
def pulse_only(monkeypatch: pytest.MonkeyPatch) -> SoundDevice:
    """What a machine gets for which there is no wheel of the usual sound library."""
    pytest.importorskip("pasimple")
    monkeypatch.setattr(sound_device, "_load", sound_device._Pulse)
    return SoundDevice()


def test_the_other_sound_library_plays_stops_and_plays_again(
    server: SoundServer, pulse_only: SoundDevice
) -> None:
    played: list[bool] = []
    with server.listen("ear") as ear, Speaker(pulse_only) as speaker:
        assert speaker.play([tone(1000, 0.4)])
        time.sleep(0.3)
        assert lasts(ear.data, 1000, ear.rate) > 0.2
        thread = threading.Thread(target=lambda: played.append(speaker.play([tone(600, 5)])))
        before = time.monotonic()
        thread.start()
        until(lambda: ear.last_sound_at() > before, 5.0)
        stopped = time.monotonic()
        speaker.stop()
        thread.join(1.0)
        time.sleep(0.3)
        assert played == [False]
        assert ear.last_sound_at() - stopped < 0.1


def test_the_other_sound_library_listens_and_survives_the_server(
    server: SoundServer, pulse_only: SoundDevice
) -> None:
    server.say("mouth", tone(1000, 3).data, 22050)
    states = States()
    with Microphone(pulse_only, on_state=states) as microphone:
        until(lambda: microphone.level.peak_db > -20, 5.0)
        server.kill()
        states.reach(Lost, 5)
        server.start("ear", "mouth")
        server.use(loudspeaker="ear", microphone="mouth")
        states.reach(Listening, 8)


def test_the_other_sound_library_says_when_there_is_no_sound_system(
    pulse_only: SoundDevice, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path}/nothing")
    with pytest.raises(NoDeviceError, match="Typing and the page still work"):
        Microphone(pulse_only).open()


@pytest.mark.skipif(not OPEN_FILES.exists(), reason="no list of open files on this system")
def test_playing_again_and_again_leaks_no_file(server: SoundServer) -> None:
    with Speaker(SoundDevice()) as speaker:
        speaker.play([tone(500, 0.05)])
        before = len(list(OPEN_FILES.iterdir()))
        for _ in range(8):
            speaker.play([tone(500, 0.05)])
        assert len(list(OPEN_FILES.iterdir())) <= before + 1


@pytest.mark.skipif(not OPEN_FILES.exists(), reason="no list of open files on this system")
def test_opening_again_and_again_leaks_no_file(server: SoundServer) -> None:
    """As a shift does whose headset has a loose plug."""

    def open_both(devices: SoundDevice) -> None:
        with Speaker(devices, "ear") as speaker:
            speaker.play([tone(500, 0.02)])
        microphone = Microphone(devices, "Monitor of mouth")
        microphone.open()
        microphone.close()
        with pytest.raises(NoDeviceError):
            Speaker(devices, "gone").play([tone(500, 0.02)])

    devices = SoundDevice()
    open_both(devices)
    before = len(list(OPEN_FILES.iterdir()))
    for _ in range(6):
        open_both(devices)
    assert len(list(OPEN_FILES.iterdir())) <= before + 1
