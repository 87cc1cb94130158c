"""Five short signals, told apart by their rhythm, so that ear plugs and hearing loss do not matter.

Every signal uses the same two low partials: hearing loss from noise begins at 3 to 6 kHz, and a
foam plug takes the high notes first. Pitch moves as well, for those who hear it, but no two signals
differ in pitch alone.
"""

import array
import math
import sys
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from handsfree.values import Samples, Tone

RATE: Final = 22050  # the voice's own, so that one open loudspeaker serves both
LOW, HIGH = 500.0, 750.0  # hertz, a fifth apart: between the roar of a torch and its hiss
SIZE: Final = 0.6  # of full scale
RAMP_S: Final = 0.006  # a beat without it is a click


@dataclass(frozen=True, slots=True)
class Beat:
    """One sounding stretch and the silence after it."""

    sounds_s: float
    silent_s: float
    pitch: float


@dataclass(frozen=True, slots=True)
class Signal:
    """The rhythm of one tone, and how it is described to the user."""

    described: str
    beats: tuple[Beat, ...]

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return sum(beat.sounds_s + beat.silent_s for beat in self.beats)


SIGNALS: Final[dict[Tone, Signal]] = {
    Tone.HEARD: Signal("one short tick: I have heard you", (Beat(0.07, 0.0, HIGH),)),
    Tone.LISTENING: Signal(
        "short, long: I am listening, go ahead", (Beat(0.06, 0.06, LOW), Beat(0.24, 0.0, HIGH))
    ),
    Tone.NOT_UNDERSTOOD: Signal(
        "long, short: I have not understood, say it again",
        (Beat(0.30, 0.08, HIGH), Beat(0.10, 0.0, LOW)),
    ),
    Tone.ATTENTION: Signal(
        "three even beats: something needs your attention",
        (Beat(0.12, 0.12, LOW), Beat(0.12, 0.12, LOW), Beat(0.12, 0.0, LOW)),
    ),
    Tone.ALARM: Signal(
        "quick beats without a pause, high and low by turns: stop and look",
        (
            *(Beat(0.08, 0.05, HIGH if n % 2 == 0 else LOW) for n in range(9)),
            Beat(0.08, 0.0, LOW),
        ),
    ),
}


@lru_cache(maxsize=len(Tone))
def tone(which: Tone) -> Samples:
    """The samples of a signal.

    >>> round(tone(Tone.HEARD).seconds, 2)
    0.07
    """
    wave = array.array("h")
    for beat in SIGNALS[which].beats:
        wave.extend(_sounding(beat))
        wave.extend([0] * round(beat.silent_s * RATE))
    if sys.byteorder == "big":
        wave.byteswap()
    return Samples(wave.tobytes(), RATE)


def _sounding(beat: Beat) -> list[int]:
    """Two partials with soft edges."""
    count = round(beat.sounds_s * RATE)
    ramp = RAMP_S * RATE
    turn = 2 * math.pi * beat.pitch / RATE
    return [
        round(
            32767
            * SIZE
            * min(1.0, (n + 1) / ramp, (count - n) / ramp)
            * (0.75 * math.sin(turn * n) + 0.25 * math.sin(2 * turn * n))
        )
        for n in range(count)
    ]
