"""The resampler keeps speech as it is and lets nothing fold back into it."""

import array
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.resample import resample

RATES = (8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000)


def tone(frequency: float, rate: int, seconds: float = 0.4) -> "array.array[int]":
    turn = 2 * math.pi * frequency / rate
    return array.array("h", [round(20000 * math.sin(turn * n)) for n in range(int(seconds * rate))])


def gain_db(frequency: float, rate: int) -> float:
    """How strongly a tone comes through, the ends left out."""
    middle = resample(tone(frequency, rate), rate, 16000)[800:-800]
    power = sum(value * value for value in middle) / len(middle)
    return 10 * math.log10(power / (20000**2 / 2) + 1e-12)


@pytest.mark.parametrize("rate", RATES)
def test_a_tone_comes_out_as_the_same_tone(rate: int) -> None:
    """Against the sine itself, sample by sample: the residue is below -60 dB of the tone."""
    result = resample(tone(1000, rate), rate, 16000)
    assert len(result) == 6400
    turn = 2 * math.pi * 1000 / 16000
    wrong = [value - 20000 * math.sin(turn * n) for n, value in enumerate(result) if 400 < n < 6000]
    assert math.sqrt(sum(x * x for x in wrong) / len(wrong)) < 14142 / 1000


@pytest.mark.parametrize("rate", [22050, 44100, 48000])
def test_the_speech_band_is_flat_and_what_lies_above_is_gone(rate: int) -> None:
    assert all(abs(gain_db(f, rate)) < 0.1 for f in (100, 1000, 4000, 6000, 6800))
    above = [f for f in (8500, 9000, 10000, 12000, 15500, 20000) if f < rate / 2]
    assert all(gain_db(f, rate) < -60 for f in above)


@pytest.mark.parametrize("rate", RATES)
def test_silence_and_steady_values_stay_what_they_are(rate: int) -> None:
    for value in (0, 1, -1, 32767, -32768):
        result = resample(array.array("h", [value] * rate), rate, 16000)
        assert len(result) == 16000
        assert set(result[500:-500]) == {value}


@given(st.lists(st.integers(-32768, 32767), max_size=300), st.sampled_from([*RATES, 9973, 47999]))
def test_any_samples_come_out_in_the_right_number(values: list[int], rate: int) -> None:
    result = resample(array.array("h", values), rate, 16000)
    assert abs(len(result) - len(values) * 16000 / rate) <= 1


def test_a_square_wave_at_full_scale_is_clipped_and_does_not_wrap() -> None:
    square = array.array("h", ([32767] * 50 + [-32768] * 50) * 200)
    result = resample(square, 48000, 16000)
    assert max(result) == 32767
    assert min(result) == -32768
    middle = result[8:3000]
    assert sum(a > 30000 and b < -30000 for a, b in zip(middle, middle[1:], strict=False)) < 70
