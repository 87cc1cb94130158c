"""How loud a stretch of sound is, and what to tell the user about it."""

import array
import math
import sys
from dataclasses import dataclass
from operator import mul
from typing import Final

FULL_SCALE: Final = 32768
FLOOR_DB: Final = -100.0
AT_THE_RAIL: Final = 32700
# One sample at the rail is a loud click; a run of them is a wave with its top cut off.
CLIPPED_SHARE: Final = 0.001
QUIET_DB: Final = -45.0  # speech below this loses its consonants in 16 bits and the room's noise


@dataclass(frozen=True, slots=True)
class Level:
    """The loudness of a stretch of sound.

    Attributes:
        level_db: mean power, in decibels below full scale; -100 for digital silence.
        peak_db: the largest sample, likewise.
        clipped: the tops of the waves are cut off.
    """

    level_db: float
    peak_db: float
    clipped: bool

    @property
    def advice(self) -> str:
        """What to do about it, in one sentence; empty when it is well.

        >>> Level(-60.0, -50.0, False).advice
        'Too quiet: bring the microphone closer, or turn its level up.'
        """
        if self.peak_db <= FLOOR_DB:
            return "No sound at all: the microphone is muted or not connected."
        if self.clipped:
            return "Too loud, the sound is clipped: turn the microphone's level down."
        if self.level_db < QUIET_DB:
            return "Too quiet: bring the microphone closer, or turn its level up."
        return ""


def level_of(data: bytes) -> Level:
    """The level of 16-bit little-endian samples; silence when there are none."""
    samples = samples_of(data)
    if not samples:
        return Level(FLOOR_DB, FLOOR_DB, False)
    peak = max(max(samples), -min(samples))
    mean_square = sum(map(mul, samples, samples)) / len(samples)
    rails = 0
    if peak >= AT_THE_RAIL:
        rails = sum(value >= AT_THE_RAIL or value <= -AT_THE_RAIL for value in samples)
    return Level(
        level_db=decibels(math.sqrt(mean_square)),
        peak_db=decibels(peak),
        clipped=is_clipped(rails, len(samples)),
    )


def is_clipped(rails: int, count: int) -> bool:
    """Whether so many of `count` samples at the rail are more than a click."""
    return rails > max(2, CLIPPED_SHARE * count)


def decibels(amplitude: float) -> float:
    """An amplitude of 16-bit samples in decibels of full scale."""
    return 20 * math.log10(amplitude / FULL_SCALE) if amplitude >= 0.3 else FLOOR_DB


def samples_of(data: bytes) -> "array.array[int]":
    """16-bit little-endian bytes as whole numbers, whatever the machine's byte order."""
    samples = array.array("h")
    samples.frombytes(data[: len(data) & ~1])
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def bytes_of(samples: "array.array[int]") -> bytes:
    """The reverse of `samples_of`."""
    if sys.byteorder == "big":
        samples = samples[:]
        samples.byteswap()
    return samples.tobytes()
