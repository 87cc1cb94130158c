"""Samples become sound from the loudspeaker, silent within a tenth of a second when told.

The sound library does not say when a device goes away: its callbacks stop. So a stream that has
not asked for samples for `STALLED_S` counts as lost; it is opened anew, and what was being said
goes on from where it stopped.
"""

import array
import contextlib
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Final, Protocol

from handsfree.errors import SoundError
from handsfree.values import Samples

STALLED_S: Final = 0.6
FIRST_CALL_S: Final = 2.0  # a wireless headset takes a while to begin
REOPEN_WAITS_S: Final = (0.1, 0.25, 0.5, 1.0)
# What has been handed over is still on its way when the last sample is: one block of the device
# and what the sound system holds itself.
DRAIN_S: Final = 0.12
QUIETEST, LOUDEST = 0.1, 1.0


class Stream(Protocol):
    """An open loudspeaker."""

    def start(self) -> None:
        """Begin to ask for samples."""

    def stop(self) -> None:
        """Be silent."""

    def close(self) -> None:
        """Give the device back."""


class Playback(Protocol):
    """What can open a loudspeaker."""

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        """Open one that asks `give` for a number of 16-bit samples, from a thread of its own."""


class Speaker:
    """Plays one thing at a time; what comes later waits, and `stop` ends it from any thread.

    Args:
        system: opens loudspeakers.
        name: which one; None for the default.
        loudness: 0.1 to 1; a change counts from the next piece on.
    """

    def __init__(self, system: Playback, name: str | None = None, loudness: float = 1.0) -> None:
        self._system = system
        self._name = name
        self.loudness = loudness
        self._streams: dict[int, Stream] = {}
        self._feed = _Feed()
        self._turn = threading.Lock()
        self._stopped = 0  # how often; whoever waits for its turn was stopped as well

    @property
    def loudness(self) -> float:
        """The share of full volume, 0.1 to 1."""
        return self._loudness

    @loudness.setter
    def loudness(self, share: float) -> None:
        self._loudness = min(max(share, QUIETEST), LOUDEST)

    @property
    def playing(self) -> bool:
        """Whether something is being played."""
        return self._turn.locked()

    def play(self, pieces: Iterable[Samples]) -> bool:
        """Play pieces one after the other, each taken when the one before it has begun.

        Returns:
            True when all of it was played, False when it was stopped.

        Raises:
            NoDeviceError: there is no loudspeaker, or it went away and did not come back.
            SoundError: it does not open.
        """
        stopped = self._stopped
        with self._turn:
            feed = self._feed = _Feed()
            if self._stopped != stopped:
                return False
            try:
                return self._play(feed, iter(pieces))
            finally:
                feed.stop()
                for stream in self._streams.values():
                    stream.stop()

    def stop(self) -> None:
        """Be silent now, and drop what waits to be played."""
        self._stopped += 1
        feed = self._feed
        feed.stop()
        for stream in list(self._streams.values()):
            stream.stop()

    def close(self) -> None:
        """Stop, and give the devices back."""
        self.stop()
        with self._turn:
            self._close_streams()

    def __enter__(self) -> "Speaker":
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _play(self, feed: "_Feed", pieces: Iterator[Samples]) -> bool:
        rate = None
        for piece in pieces:
            if rate is not None and piece.rate != rate:
                self._wait(feed, 0, rate)
                self._streams[rate].stop()
                rate = None
            feed.add(scaled(piece.data, self._loudness))
            if rate is None:
                rate = piece.rate
                self._open(feed, rate)
            self._wait(feed, 1, rate)
            if feed.stopped:
                return False
        if rate is not None:
            self._wait(feed, 0, rate)
        if not feed.stopped:
            feed.halt.wait(DRAIN_S)
        return not feed.stopped

    def _wait(self, feed: "_Feed", waiting: int, rate: int) -> None:
        """Until no more than `waiting` pieces are left to begin; a lost device is opened anew."""
        while not feed.until(waiting, STALLED_S / 4):
            if time.monotonic() > feed.expected_by:
                self._close_streams()
                self._reopen(feed, rate)

    def _reopen(self, feed: "_Feed", rate: int) -> None:
        for wait in REOPEN_WAITS_S:
            try:
                self._open(feed, rate)
                return
            except SoundError:
                if feed.halt.wait(wait):
                    return
        self._open(feed, rate)

    def _open(self, feed: "_Feed", rate: int) -> None:
        """Start the stream for `rate`, kept from earlier or opened now; each opening costs."""
        feed.expected_by = time.monotonic() + FIRST_CALL_S
        stream = self._streams.get(rate)
        if stream is None:
            stream = self._system.playback(self._name, rate, self._give)
            self._streams[rate] = stream
        stream.start()
        if feed.stopped:
            stream.stop()

    def _close_streams(self) -> None:
        for stream in self._streams.values():
            with contextlib.suppress(SoundError):
                stream.close()
        self._streams.clear()

    def _give(self, count: int) -> bytes:
        return self._feed.take(2 * count)


class _Feed:
    """The samples of what is played now, between our thread and the device's."""

    def __init__(self) -> None:
        self._change = threading.Condition()
        self._pieces: list[bytes] = []
        self._place = 0
        self.halt = threading.Event()
        self.expected_by = time.monotonic() + FIRST_CALL_S

    @property
    def stopped(self) -> bool:
        return self.halt.is_set()

    def add(self, data: bytes) -> None:
        with self._change:
            self._pieces.append(data)

    def stop(self) -> None:
        with self._change:
            self.halt.set()
            self._pieces.clear()
            self._change.notify_all()

    def until(self, waiting: int, seconds: float) -> bool:
        """Whether `waiting` pieces or fewer are left within some seconds, or it was stopped."""
        with self._change:
            return self._change.wait_for(
                lambda: len(self._pieces) <= waiting or self.stopped, seconds
            )

    def take(self, size: int) -> bytes:
        """The next bytes, filled up with silence; called from the device's thread."""
        with self._change:
            self.expected_by = time.monotonic() + STALLED_S
            taken = b""
            while self._pieces and len(taken) < size:
                head = self._pieces[0][self._place : self._place + size - len(taken)]
                taken += head
                self._place += len(head)
                if self._place >= len(self._pieces[0]):
                    self._pieces.pop(0)
                    self._place = 0
                    self._change.notify_all()
        return taken.ljust(size, b"\0")


def scaled(data: bytes, share: float) -> bytes:
    """16-bit samples made quieter.

    >>> scaled(bytes([0, 64, 0, 192]), 0.5).hex()
    '002000e0'
    """
    if share >= 1.0:
        return data
    samples = array.array("h", data)
    if sys.byteorder == "big":
        samples.byteswap()
    samples = array.array("h", [int(value * share) for value in samples])
    if sys.byteorder == "big":
        samples.byteswap()
    return samples.tobytes()
