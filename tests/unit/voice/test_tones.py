"""The signals can be told apart with ear plugs in: by their rhythm, not by pitch alone."""

import array
import itertools
import math
import random
from collections.abc import Sequence

import pytest

from handsfree.values import Tone
from handsfree.voice.tones import RATE, SIGNALS, tone


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
    low = sum(strength(which, f) for f in (500.0, 750.0, 1000.0, 1500.0))
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


BLOCK_S = 0.005
AROUND_S = 0.15  # of silence, which belongs to a rhythm as the beats do


def low_passed(wave: Sequence[float], hertz: float = 1000.0) -> list[float]:
    """What an ear behind plugs with lost highs gets: twice two poles at `hertz` (RBJ's formula)."""
    turn = 2 * math.pi * hertz / RATE
    alpha, cosine = math.sin(turn) / math.sqrt(2), math.cos(turn)
    b, a1, a2 = (1 - cosine) / 2 / (1 + alpha), -2 * cosine / (1 + alpha), (1 - alpha) / (1 + alpha)
    out = list(wave)
    for _ in range(2):
        x1 = x2 = y1 = y2 = 0.0
        for n, x in enumerate(out):
            y = b * (x + 2 * x1 + x2) - a1 * y1 - a2 * y2
            out[n] = y
            x1, x2, y1, y2 = x, x1, y, y1
    return out


def envelope(wave: Sequence[float]) -> list[float]:
    """The loudness of each block, without any pitch."""
    size = round(BLOCK_S * RATE)
    return [
        math.sqrt(sum(value * value for value in wave[n : n + size]) / size)
        for n in range(0, len(wave) - size, size)
    ]


def template(which: Tone) -> list[float]:
    """The rhythm as described: sounding or not, block by block, with silence around it.

    All are equally long, so that a short one does not pass for a part of a long one.
    """
    around = [0.0] * round(AROUND_S / BLOCK_S)
    longest = max(round(signal.seconds / BLOCK_S) for signal in SIGNALS.values())
    blocks = [
        sounding
        for beat in SIGNALS[which].beats
        for sounding, length in ((1.0, beat.sounds_s), (0.0, beat.silent_s))
        for _ in range(round(length / BLOCK_S))
    ]
    return [*around, *blocks, *around, *[0.0] * (longest - len(blocks))]


def likeness(heard: Sequence[float], rhythm: Sequence[float]) -> float:
    """The best correlation of a rhythm with what was heard, wherever it lies in it."""
    mean = sum(rhythm) / len(rhythm)
    centred = [value - mean for value in rhythm]
    length = math.sqrt(sum(value * value for value in centred))
    best = -1.0
    for start in range(len(heard) - len(rhythm) + 1):
        part = heard[start : start + len(rhythm)]
        level = sum(part) / len(part)
        spread = math.sqrt(sum((value - level) ** 2 for value in part))
        product = sum(a * b for a, b in zip(centred, part, strict=True))
        best = max(best, product / (length * spread + 1e-9))
    return best


@pytest.mark.parametrize("which", Tone)
@pytest.mark.parametrize("seed", range(4))
def test_the_rhythm_alone_names_a_signal_behind_plugs_in_noise_as_loud(
    which: Tone, seed: int
) -> None:
    """Low-passed at 1 kHz, with noise of the signal's own level there, somewhere in 2.6 seconds.

    The judge sees loudness block by block and knows the rhythms only, so no pitch can help it.
    """
    chance = random.Random(seed)
    signal = array.array("h", tone(which).data)
    before = [0.0] * round(chance.uniform(0.2, 0.7) * RATE)
    sound = [*before, *signal]
    sound += [0.0] * (round(2.6 * RATE) - len(sound))
    sound = low_passed(sound)
    noise = low_passed([chance.gauss(0, 1) for _ in sound])
    sounding = [value for value in envelope(sound) if value > 1000]
    level = math.sqrt(sum(value * value for value in sounding) / len(sounding))
    gain = level / math.sqrt(sum(value * value for value in noise) / len(noise))
    heard = envelope([value + gain * hiss for value, hiss in zip(sound, noise, strict=True)])
    likenesses = {one: likeness(heard, template(one)) for one in Tone}
    assert max(Tone, key=lambda one: likenesses[one]) is which, likenesses
