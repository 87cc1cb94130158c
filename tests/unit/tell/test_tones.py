"""The signals can be told apart with ear plugs in: by their rhythm, not by pitch alone."""

import array
import itertools
import math

import pytest

from handsfree.tell.tones import RATE, SIGNALS, tone
from handsfree.values import Tone


def rhythm(which: Tone) -> list[tuple[bool, float]]:
    """Sounding and silent stretches as measured in the samples, in seconds."""
    wave = array.array("h", tone(which).data)
    block = RATE // 200
    loud = [
        max(abs(value) for value in wave[n : n + block]) > 500
        for n in range(0, len(wave) - block, block)
    ]
    while not loud[-1]:  # the last beat fades out
        loud.pop()
    return [(on, len(list(run)) * block / RATE) for on, run in itertools.groupby(loud)]


def strength(which: Tone, frequency: float) -> float:
    wave = array.array("h", tone(which).data)
    turn = 2 * math.pi * frequency / RATE
    real = sum(value * math.cos(turn * n) for n, value in enumerate(wave))
    imaginary = sum(value * math.sin(turn * n) for n, value in enumerate(wave))
    return math.hypot(real, imaginary) / len(wave)


@pytest.mark.parametrize("which", Tone)
def test_the_samples_follow_the_rhythm_that_is_described(which: Tone) -> None:
    beats = SIGNALS[which].beats
    stretches = rhythm(which)
    sounding = [length for on, length in stretches if on]
    silent = [length for on, length in stretches if not on]
    assert sounding == pytest.approx([beat.sounds_s for beat in beats], abs=0.012)
    assert silent == pytest.approx([beat.silent_s for beat in beats[:-1]], abs=0.012)
    assert tone(which).seconds == pytest.approx(SIGNALS[which].seconds, abs=0.001)


def test_no_two_signals_share_a_rhythm() -> None:
    """Two differ when they have another number of beats, or one beat is 1.5 times the other's."""
    for one, other in itertools.combinations(SIGNALS.values(), 2):
        if len(one.beats) == len(other.beats):
            ratios = [a.sounds_s / b.sounds_s for a, b in zip(one.beats, other.beats, strict=True)]
            assert max(max(ratio, 1 / ratio) for ratio in ratios) >= 1.5, (one, other)


@pytest.mark.parametrize("which", Tone)
def test_every_signal_lies_below_two_kilohertz(which: Tone) -> None:
    """Noise-induced hearing loss begins at 3 to 6 kHz (ISO 1999); foam plugs take highs first."""
    low = sum(strength(which, f) for f in (660.0, 990.0, 1320.0, 1980.0))
    high = sum(strength(which, f) for f in (2500.0, 3000.0, 4000.0, 6000.0))
    assert low > 20 * high


@pytest.mark.parametrize("which", Tone)
def test_no_signal_begins_or_ends_with_a_click_or_is_clipped(which: Tone) -> None:
    wave = array.array("h", tone(which).data)
    assert max(abs(wave[0]), abs(wave[-1])) < 400
    assert 15000 < max(abs(value) for value in wave) < 32767


def test_the_tick_fits_into_a_tenth_of_a_second_and_the_alarm_is_the_longest() -> None:
    assert tone(Tone.HEARD).seconds <= 0.1
    assert max(Tone, key=lambda which: tone(which).seconds) is Tone.ALARM


def test_each_signal_is_described_in_words() -> None:
    assert set(SIGNALS) == set(Tone)
    assert len({signal.described for signal in SIGNALS.values()}) == len(Tone)
