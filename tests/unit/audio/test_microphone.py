"""The microphone gives even frames, and says when it is lost and when it is back."""

import array
import threading
import time
from collections.abc import Callable

import pytest

from handsfree.audio import microphone as microphone_module
from handsfree.audio.microphone import (
    FRAME_BYTES,
    MOST_WAITING,
    Listening,
    Lost,
    Microphone,
    MicrophoneState,
)
from handsfree.errors import NoDeviceError, SoundError

DEFAULT = "the default microphone"


class FakeStream:
    """Hands over what the test says."""

    def __init__(self, take: Callable[[bytes], None], fault: Exception | None) -> None:
        self.take = take
        self.closed = False
        self._fault = fault

    def start(self) -> None:
        if self._fault:
            raise self._fault

    def stop(self) -> None:
        pass

    def close(self) -> None:
        self.closed = True


class FakeSystem:
    """Opens streams; `faults` are raised one by one at opening."""

    def __init__(self) -> None:
        self.streams: list[FakeStream] = []
        self.faults: list[Exception | None] = []
        self.start_fault: Exception | None = None
        self.asked: list[tuple[str | None, int]] = []

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> FakeStream:
        self.asked.append((name, rate))
        fault = self.faults.pop(0) if self.faults else None
        if fault:
            raise fault
        self.streams.append(FakeStream(take, self.start_fault))
        return self.streams[-1]


class States:
    def __init__(self) -> None:
        self.seen: list[MicrophoneState] = []
        self._change = threading.Condition()

    def __call__(self, state: MicrophoneState) -> None:
        with self._change:
            self.seen.append(state)
            self._change.notify_all()

    def reach(self, count: int) -> None:
        with self._change:
            assert self._change.wait_for(lambda: len(self.seen) >= count, 5.0), self.seen


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> FakeSystem:
    monkeypatch.setattr(microphone_module, "STALLED_S", 0.06)
    monkeypatch.setattr(microphone_module, "FIRST_SOUND_S", 0.12)
    monkeypatch.setattr(microphone_module, "FIRST_WAIT_S", 0.01)
    monkeypatch.setattr(microphone_module, "LONGEST_WAIT_S", 0.04)
    return FakeSystem()


def sound(value: int, count: int) -> bytes:
    return array.array("h", [value] * count).tobytes()


def test_blocks_of_any_size_become_frames_of_20_ms(system: FakeSystem) -> None:
    with Microphone(system) as microphone:
        assert system.asked == [(None, 16000)]
        sent = array.array("h", range(3200)).tobytes()
        for cut in (0, 2, 700, 702, 1900, 6000):
            following = {0: 2, 2: 700, 700: 702, 702: 1900, 1900: 6000, 6000: 6400}[cut]
            system.streams[0].take(sent[cut:following])
        frames = [microphone.read(1.0) for _ in range(10)]
        assert microphone.read(0.001) is None
    assert b"".join(frame or b"" for frame in frames) == sent
    assert {len(frame or b"") for frame in frames} == {FRAME_BYTES}


def test_no_device_is_told_and_can_be_tried_again(system: FakeSystem) -> None:
    system.faults = [NoDeviceError("There is no microphone on this machine.")]
    microphone = Microphone(system)
    with pytest.raises(NoDeviceError, match="no microphone"):
        microphone.open()
    microphone.open()
    microphone.close()


def test_a_device_that_does_not_start_is_closed(system: FakeSystem) -> None:
    system.start_fault = SoundError("held by another program")
    with pytest.raises(SoundError, match="held"):
        Microphone(system).open()
    assert system.streams[0].closed


def test_silence_of_the_callbacks_is_a_lost_microphone_that_comes_back(
    system: FakeSystem,
) -> None:
    states = States()
    system.faults = [None, NoDeviceError("gone"), NoDeviceError("gone"), None]
    with Microphone(system, "headset", states) as microphone:
        system.streams[0].take(sound(1, 320))
        states.reach(3)
        assert states.seen[0] == Listening("headset")
        assert isinstance(states.seen[1], Lost)
        assert "plug" in states.seen[1].reason
        assert states.seen[2] == Lost("headset", "gone"), "the same fault is told once"
        assert system.streams[0].closed
        while len(system.streams) < 2:
            time.sleep(0.002)
        system.streams[1].take(sound(2, 320))
        states.reach(4)
        assert states.seen[3] == Listening("headset")
        microphone.forget()
        system.streams[-1].take(sound(3, 320))
        assert microphone.read(1.0) == sound(3, 320)


def test_an_open_device_that_gives_nothing_is_never_called_listening(system: FakeSystem) -> None:
    states = States()
    with Microphone(system, on_state=states):
        states.reach(1)
        assert isinstance(states.seen[0], Lost)


def test_a_microphone_may_be_plugged_in_later(system: FakeSystem) -> None:
    states = States()
    system.faults = [NoDeviceError("none"), NoDeviceError("none"), None]
    microphone = Microphone(system, on_state=states)
    microphone.open_when_there()
    try:
        assert states.seen == [Lost(DEFAULT, "none")]
        while not system.streams:
            time.sleep(0.002)
        system.streams[0].take(sound(1, 320))
        states.reach(2)
        assert states.seen[1] == Listening(DEFAULT)
    finally:
        microphone.close()
    assert system.streams[0].closed


def test_a_reader_that_falls_behind_gets_the_newest_ten_seconds(system: FakeSystem) -> None:
    with Microphone(system) as microphone:
        for number in range(MOST_WAITING + 30):
            system.streams[0].take(sound(number, 320))
        assert microphone.read(1.0) == sound(30, 320)


def test_frames_end_when_the_microphone_is_closed(system: FakeSystem) -> None:
    microphone = Microphone(system)
    microphone.open()
    system.streams[0].take(sound(5, 640))
    taken = []
    for frame in microphone.frames():
        taken.append(frame)
        if len(taken) == 2:
            microphone.close()
    assert taken == [sound(5, 320)] * 2


@pytest.mark.parametrize(
    ("value", "advice"),
    [(0, "muted or not connected"), (30, "Too quiet"), (3000, ""), (32767, "clipped")],
)
def test_the_level_is_put_into_words(system: FakeSystem, value: int, advice: str) -> None:
    with Microphone(system) as microphone:
        system.streams[0].take(sound(value, 3200))
        assert advice in microphone.level.advice
        assert bool(microphone.level.advice) == bool(advice)


def test_whoever_listens_is_told_that_nothing_comes(system: FakeSystem) -> None:
    microphone = Microphone(system)
    microphone.open()
    stream = microphone.stream()
    assert next(stream) is None
    system.streams[-1].take(bytes(FRAME_BYTES))
    assert next(stream) == bytes(FRAME_BYTES)
    microphone.close()
    assert list(stream) == []
