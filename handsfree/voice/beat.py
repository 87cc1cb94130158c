"""The beat of the hand: ticks put into whatever the loudspeaker plays, each at its own sample.

Ticks are counted in samples from the one on which the beat began, so that nothing adds up: the
thousandth stands where the thousandth belongs, to half a sample. Where the device has stopped
asking for a while, the clock tells how much went by.

A tick is a low knock, and every foot or 100 mm a double one: rhythm carries through ear plugs.
"""

import array
import math
import sys
import threading
import time
from collections.abc import Callable
from functools import lru_cache
from typing import Final

from handsfree.values.timing import BeatSet

PITCH: Final = 420.0  # hertz, below the tones, so that a tick is taken for none of them
KNOCK_S: Final = 0.035
APART_S: Final = 0.11  # from the first knock of a double tick to its second
SIZE: Final = 0.5  # of full scale
GAP_S: Final = 0.25  # a device that has not asked for so long was stopped in between
_FULL: Final = 32767


class Ticks:
    """Puts the ticks of a beat into samples; safe to set from any thread.

    Args:
        clock: seconds that only move forward.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._one = threading.Lock()
        self._beat: BeatSet | None = None
        self._rate = 0
        self._at = 0  # samples handed over since the beat began
        self._base = 0  # the tick from which the others are counted, in samples
        self._count = 0  # number of that tick
        self._asked: float | None = None  # when samples were asked for last

    @property
    def beat(self) -> BeatSet | None:
        """What beats; None when nothing does."""
        return self._beat

    def set(self, beat: BeatSet | None) -> None:
        """Beat so from now on: at once, or one interval after the last tick of the beat before."""
        with self._one:
            if beat is None or self._beat is None:
                self._at = self._base = self._count = 0
                self._asked = None
            elif self._rate:
                passed = self._ticks_before(self._at)
                self._base, self._count = self._place(passed - 1), passed - 1
            self._beat = beat

    def mix(self, data: bytes, rate: int) -> bytes:
        """The samples with the ticks that fall into them.

        Args:
            data: 16-bit samples that are about to be played.
            rate: samples a second.
        """
        with self._one:
            if self._beat is None:
                return data
            self._follow_clock(rate)
            count = len(data) // 2
            first, end = self._at, self._at + count
            self._at = end
            # a tick that began before this piece may reach into it
            tail = round((APART_S + KNOCK_S) * rate)
            number = max(0, self._ticks_before(first - tail))
            mixed: array.array[int] | None = None
            while (place := self._place(number)) < end:
                if mixed is None:
                    mixed = _samples(data)
                _add(mixed, knock(rate, number % self._beat.group == 0), place - first)
                number += 1
            return data if mixed is None else _bytes(mixed)

    def _place(self, number: int) -> int:
        """The sample of a tick."""
        assert self._beat is not None
        return self._base + round((number - self._count) * self._beat.interval * self._rate)

    def _ticks_before(self, sample: int) -> int:
        """The number of the first tick at a sample or after it."""
        assert self._beat is not None
        since = (sample - self._base) / (self._beat.interval * self._rate)
        number = self._count + max(0, math.floor(since))
        while self._place(number) < sample:
            number += 1
        return number

    def _follow_clock(self, rate: int) -> None:
        if self._rate and rate != self._rate:
            share = rate / self._rate
            self._at, self._base = round(self._at * share), round(self._base * share)
        self._rate = rate
        now = self._clock()
        if self._asked is not None and now - self._asked > GAP_S:
            self._at += round((now - self._asked) * rate)
        self._asked = now


@lru_cache(maxsize=8)
def knock(rate: int, double: bool) -> "array.array[int]":
    """The samples of a tick, or of the double one that begins a foot or 100 mm.

    >>> len(knock(1000, False)), len(knock(1000, True))
    (35, 145)
    """
    one = [
        round(
            _FULL
            * SIZE
            * math.sin(math.pi * n / (KNOCK_S * rate)) ** 2
            * math.sin(2 * math.pi * PITCH * n / rate)
        )
        for n in range(round(KNOCK_S * rate))
    ]
    between = [0] * (round(APART_S * rate) - len(one))
    return array.array("h", [*one, *between, *one] if double else one)


def _add(into: "array.array[int]", sound: "array.array[int]", place: int) -> None:
    """Add a sound from a place on, as far as it falls into these samples; never past full scale."""
    for n in range(max(0, -place), min(len(sound), len(into) - place)):
        into[place + n] = max(-_FULL, min(_FULL, into[place + n] + sound[n]))


def _samples(data: bytes) -> "array.array[int]":
    samples = array.array("h", data)
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def _bytes(samples: "array.array[int]") -> bytes:
    if sys.byteorder == "big":
        samples.byteswap()
    return samples.tobytes()
