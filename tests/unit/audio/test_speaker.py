"""The loudspeaker plays in order, stops at once, and survives a device that goes away."""

import array
import threading
import time
from collections.abc import Callable, Iterator

import pytest

from handsfree.audio import speaker as speaker_module
from handsfree.audio.speaker import Speaker, scaled
from handsfree.errors import NoDeviceError
from handsfree.values import Samples


class FakeStream:
    """Asks for samples as a device does, much faster; `dead` ones never ask."""

    def __init__(self, give: Callable[[int], bytes], *, dead_after: int | None) -> None:
        self.give = give
        self.heard = b""
        self.starts = 0
        self.closed = False
        self._dead_after = dead_after
        self._running = threading.Event()

    def start(self) -> None:
        self.starts += 1
        self._running = threading.Event()
        self._running.set()
        threading.Thread(target=self._run, args=(self._running,), daemon=True).start()

    def _run(self, running: threading.Event) -> None:
        while running.is_set():
            if self._dead_after is not None and len(self.heard) >= self._dead_after:
                return
            data = self.give(110)
            if running.is_set():
                self.heard += data
            time.sleep(0.0005)

    def stop(self) -> None:
        self._running.clear()

    def close(self) -> None:
        self.stop()
        self.closed = True


class FakeSystem:
    """Opens streams; `faults` are raised one by one at opening, `dead_after` holds for each."""

    def __init__(self) -> None:
        self.opened: list[tuple[str | None, int, FakeStream]] = []
        self.faults: list[Exception | None] = []
        self.dead_after: list[int | None] = []

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> FakeStream:
        fault = self.faults.pop(0) if self.faults else None
        if fault:
            raise fault
        dead_after = self.dead_after.pop(0) if self.dead_after else None
        stream = FakeStream(give, dead_after=dead_after)
        self.opened.append((name, rate, stream))
        return stream

    @property
    def heard(self) -> bytes:
        """What sounded, silence left out."""
        samples = array.array("h", b"".join(stream.heard for _, _, stream in self.opened))
        return array.array("h", [value for value in samples if value]).tobytes()


def piece(value: int, seconds: float = 0.05, rate: int = 22050) -> Samples:
    return Samples(array.array("h", [value] * int(seconds * rate)).tobytes(), rate)


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> FakeSystem:
    monkeypatch.setattr(speaker_module, "DRAIN_S", 0.01)
    monkeypatch.setattr(speaker_module, "STALLED_S", 0.1)
    monkeypatch.setattr(speaker_module, "FIRST_CALL_S", 0.1)
    monkeypatch.setattr(speaker_module, "REOPEN_WAITS_S", (0.01, 0.02))
    return FakeSystem()


def test_pieces_are_played_whole_and_in_order(system: FakeSystem) -> None:
    with Speaker(system) as speaker:
        assert speaker.play([piece(1), piece(2), piece(3, 0.001)])
        assert not speaker.playing
    assert system.heard == piece(1).data + piece(2).data + piece(3, 0.001).data


def test_the_second_piece_is_made_while_the_first_is_played(system: FakeSystem) -> None:
    heard_when_asked: list[int] = []

    def pieces() -> Iterator[Samples]:
        for value in (1, 2, 3):
            heard_when_asked.append(len(system.heard))
            yield piece(value, 0.2)

    with Speaker(system) as speaker:
        assert speaker.play(pieces())
    assert heard_when_asked[1] < len(piece(1, 0.2).data)
    assert heard_when_asked[2] < 2 * len(piece(1, 0.2).data)


def test_nothing_to_play_opens_no_device(system: FakeSystem) -> None:
    with Speaker(system) as speaker:
        assert speaker.play([])
    assert not system.opened


def test_the_device_is_opened_once_and_started_for_each_answer(system: FakeSystem) -> None:
    with Speaker(system, "headset") as speaker:
        for _ in range(3):
            speaker.play([piece(1)])
        ((name, rate, stream),) = system.opened
        assert (name, rate, stream.starts, stream.closed) == ("headset", 22050, 3, False)
    assert stream.closed


def test_another_rate_opens_another_stream(system: FakeSystem) -> None:
    with Speaker(system) as speaker:
        assert speaker.play([piece(1), piece(2, rate=16000), piece(3)])
    assert [rate for _, rate, _ in system.opened] == [22050, 16000]
    assert system.opened[1][2].heard.count(b"\x02\0") == 800


def test_stop_ends_it_and_drops_what_waits(system: FakeSystem) -> None:
    made: list[int] = []

    def pieces() -> Iterator[Samples]:
        for value in (1, 2, 3):
            made.append(value)
            yield piece(value, 30)

    with Speaker(system) as speaker:
        results: list[bool] = []
        first = threading.Thread(target=lambda: results.append(speaker.play(pieces())))
        first.start()
        while not system.heard:
            time.sleep(0.001)
        waiting = threading.Thread(target=lambda: results.append(speaker.play([piece(9)])))
        waiting.start()
        time.sleep(0.05)
        assert speaker.playing
        speaker.stop()
        heard = system.heard
        first.join(2)
        waiting.join(2)
        assert results == [False, False]
        assert system.heard == heard
        assert b"\x09\0" not in system.heard
        assert speaker.play([piece(5)]), "the next answer is played"
    assert 3 not in made


def test_stopping_in_silence_harms_nothing(system: FakeSystem) -> None:
    with Speaker(system) as speaker:
        speaker.stop()
        assert speaker.play([piece(1)])


def test_a_device_that_stops_asking_is_opened_anew_and_the_rest_is_played(
    system: FakeSystem,
) -> None:
    system.dead_after = [1000, None]
    system.faults = [None, NoDeviceError("gone")]
    with Speaker(system) as speaker:
        assert speaker.play([piece(1), piece(2)])
    assert len(system.opened) == 2
    assert system.opened[0][2].closed
    assert system.heard == piece(1).data + piece(2).data


def test_a_device_that_stays_away_is_told_and_may_come_later(system: FakeSystem) -> None:
    system.dead_after = [1000]
    system.faults = [None, *[NoDeviceError("There is no loudspeaker.")] * 3]
    with Speaker(system) as speaker:
        with pytest.raises(NoDeviceError, match="no loudspeaker"):
            speaker.play([piece(1)])
        assert not speaker.playing
        assert speaker.play([piece(2)])


def test_a_fault_in_making_the_next_piece_reaches_the_caller_and_ends_the_sound(
    system: FakeSystem,
) -> None:
    def pieces() -> Iterator[Samples]:
        yield piece(1)
        raise ValueError("no voice")

    with Speaker(system) as speaker:
        with pytest.raises(ValueError, match="no voice"):
            speaker.play(pieces())
        assert speaker.play([piece(2)])


def test_loudness_is_a_share_and_stays_in_its_bounds(system: FakeSystem) -> None:
    with Speaker(system, loudness=0.5) as speaker:
        speaker.play([piece(1000)])
        assert set(array.array("h", system.heard)) == {500}
        speaker.loudness = 7
        assert speaker.loudness == 1.0
        speaker.loudness = 0
        assert speaker.loudness == 0.1
    assert scaled(piece(-32768).data, 1.0) == piece(-32768).data
