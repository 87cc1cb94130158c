"""Samples become sound from the loudspeaker, silent within a tenth of a second when told.

The sound library does not say when a device goes away: its callbacks stop. So a stream that has
not asked for samples for `STALLED_S` counts as lost; it is opened anew, and what was being said
goes on from where it stopped. A device that does not answer a call at all counts as lost, too.
"""

import array
import contextlib
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import Final

from handsfree.audio.playback import Answering, Playback, Stream
from handsfree.errors import SoundError
from handsfree.values import Samples

STALLED_S: Final = 0.6
FIRST_CALL_S: Final = 2.0  # a wireless headset takes a while to begin
REOPEN_WAITS_S: Final = (0.1, 0.25, 0.5, 1.0)
# What has been handed over is still on its way when the last sample is: one block of the device
# and what the sound system holds itself. So much silence is asked for before the last sample left.
DRAIN_S: Final = 0.12
FLUSH_S: Final = 0.03  # from the stop of a stream to its silence
QUIETEST, LOUDEST = 0.1, 1.0


class Speaker:
    """Plays one thing at a time; what comes later waits, and `stop` ends it from any thread.

    Args:
        system: opens loudspeakers.
        name: which one; None for the default.
        loudness: 0.1 to 1; a change counts from the next piece on.

    Attributes:
        under: what is put into everything that is played, given the samples and their rate; it
            sounds whenever something is played, be it silence.
        change: notified when a piece was taken, when the last sample has left, and by `stop`; the
            one lock of the sound that is being played.
    """

    def __init__(self, system: Playback, name: str | None = None, loudness: float = 1.0) -> None:
        self._system = Answering(system)
        self._name = self._opened_name = name
        self.loudness = loudness
        self.change = threading.Condition()
        self.under: Callable[[bytes, int], bytes] | None = None
        self._streams: dict[int, Stream] = {}
        self._feed = _Feed(self.change)
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

    @property
    def drained(self) -> bool:
        """Whether the last sample that was handed over has left the device."""
        return self._feed.drained

    @property
    def stopped(self) -> bool:
        """Whether what is being played was told to stop."""
        return self._feed.stopped

    def play(self, pieces: Iterable[Samples | None], rate: int | None = None) -> bool:
        """Play pieces one after the other, each taken when the one before it has begun.

        Args:
            pieces: what to play; a None says that the next is not there yet, and must come at
                least every `STALLED_S / 2` while the pieces are waited for.
            rate: open the device for this rate at once, before the first piece is there.

        Returns:
            True when all of it was played and has left the device, False when it was stopped.

        Raises:
            NoDeviceError: there is no loudspeaker, or it went away and did not come back.
            SoundError: it does not open.
        """
        stopped = self._stopped
        with self._turn:
            feed = _Feed(self.change)
            with self.change:
                self._feed = feed
                if self._stopped != stopped:
                    return False
            try:
                return self._play(feed, iter(pieces), rate)
            except SoundError:
                self._close_streams()
                raise
            finally:
                feed.stop()
                for stream in list(self._streams.values()):
                    stream.stop()

    def interject(self, samples: Samples) -> bool:
        """Sound something at once, in the middle of what is being played, which then goes on.

        Returns:
            False when nothing is being played that it could be put into.
        """
        return self._feed.interject(scaled(samples.data, self._loudness), samples.rate)

    def stop(self) -> None:
        """Be silent now, and drop what waits to be played; waits for no device."""
        with self.change:
            self._stopped += 1
            self._feed.stop()

    def use(self, name: str | None) -> None:
        """Take another loudspeaker from the next sound on."""
        self._name = name

    def close(self) -> None:
        """Stop, and give the devices back."""
        self.stop()
        with self._turn:
            self._close_streams()

    def __enter__(self) -> "Speaker":
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _play(self, feed: "_Feed", pieces: Iterator[Samples | None], rate: int | None) -> bool:
        if rate is not None:
            self._open(feed, rate)
        for piece in pieces:
            if piece is not None:
                if rate is not None and piece.rate != rate:
                    self._wait(feed, lambda: feed.drained, rate)
                    self._streams[rate].stop()
                    rate = None
                feed.add(scaled(piece.data, self._loudness))
                if rate is None:
                    rate = piece.rate
                    self._open(feed, rate)
            if rate is not None:
                most = 1 if piece is not None else None
                self._wait(feed, partial(feed.has_left, most), rate)
            if feed.stopped:
                break
        if rate is not None:
            self._wait(feed, feed.end, rate)
        if feed.stopped:
            self._flush()
        return not feed.stopped

    def _flush(self) -> None:
        """Silence what the device holds already."""
        for stream in self._streams.values():
            stream.stop()
        time.sleep(FLUSH_S)

    def _wait(self, feed: "_Feed", reached: Callable[[], bool], rate: int) -> None:
        """Until something is reached or it was stopped; a lost device is opened anew."""
        while True:
            if time.monotonic() > feed.expected_by and not feed.stopped:
                self._close_streams()
                self._reopen(feed, rate)
            with self.change:
                if self.change.wait_for(lambda: feed.stopped or reached(), STALLED_S / 4):
                    return

    def _reopen(self, feed: "_Feed", rate: int) -> None:
        for wait in REOPEN_WAITS_S:
            try:
                self._open(feed, rate)
                return
            except SoundError:
                self._close_streams()
                with self.change:
                    if self.change.wait_for(lambda: feed.stopped, wait):
                        return
        self._open(feed, rate)

    def _open(self, feed: "_Feed", rate: int) -> None:
        """Start the stream for `rate`, kept from earlier or opened now; each opening costs."""
        if self._name != self._opened_name:
            self._close_streams()
            self._opened_name = self._name
        stream = self._streams.get(rate)
        if stream is None:
            stream = self._system.playback(self._opened_name, rate, self._give)
            self._streams[rate] = stream
        feed.expect(rate)
        stream.start()

    def _close_streams(self) -> None:
        for stream in self._streams.values():
            with contextlib.suppress(SoundError):
                stream.close()
        self._streams.clear()

    def _give(self, count: int) -> bytes:
        feed = self._feed
        data = feed.take(2 * count)
        return data if self.under is None else self.under(data, feed.rate)


class _Feed:
    """The samples of what is played now, between our threads and the device's."""

    def __init__(self, change: threading.Condition) -> None:
        self._change = change
        self.pieces: list[bytes] = []
        self._place = 0
        self._silence = 0  # bytes of it handed over since the last sample that was none
        self._sounded = False
        self._rate = 0
        self.stopped = False
        self._ended = False
        self.expected_by = time.monotonic() + FIRST_CALL_S

    @property
    def rate(self) -> int:
        """Samples a second, as the device asks for them."""
        return self._rate

    @property
    def drained(self) -> bool:
        """Whether the device has asked for so much more that all before that has left it."""
        if self.pieces:
            return False
        return not self._sounded or self._silence >= 2 * self._rate * DRAIN_S

    def expect(self, rate: int) -> None:
        """The device is about to ask for samples at `rate`."""
        with self._change:
            self._rate = rate
            self.expected_by = time.monotonic() + FIRST_CALL_S

    def has_left(self, pieces: int | None) -> bool:
        """Whether so many pieces or fewer are not played to their end; None is any number."""
        return pieces is None or len(self.pieces) <= pieces

    def add(self, data: bytes) -> None:
        with self._change:
            self.pieces.append(data)

    def interject(self, data: bytes, rate: int) -> bool:
        with self._change:
            if self.stopped or self._ended or rate != self._rate:
                return False
            rest = [piece[self._place :] for piece in self.pieces[:1]]
            self.pieces[:1] = [data, *rest]
            self._place = 0
            return True

    def end(self) -> bool:
        """Whether the last sample has left the device; then nothing more is taken in."""
        with self._change:
            self._ended = self.drained
            return self._ended

    def stop(self) -> None:
        with self._change:
            self.stopped = True
            self.pieces.clear()
            self._change.notify_all()

    def take(self, size: int) -> bytes:
        """The next bytes, filled up with silence; called from the device's thread."""
        with self._change:
            self.expected_by = time.monotonic() + STALLED_S
            was_drained = self.drained
            taken = b""
            while self.pieces and len(taken) < size:
                head = self.pieces[0][self._place : self._place + size - len(taken)]
                taken += head
                self._place += len(head)
                if self._place >= len(self.pieces[0]):
                    self.pieces.pop(0)
                    self._place = 0
                    self._change.notify_all()
            if taken:
                self._sounded, self._silence = True, 0
            self._silence += size - len(taken)
            if self.drained and not was_drained:
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
