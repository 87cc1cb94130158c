"""Samples at any rate become samples at another: a windowed-sinc filter in whole numbers.

There is no numpy in the core, so the filter runs on Python's long integers: a column of samples
is one integer with 32 bits a sample, and one multiplication by a filter tap scales the whole
column. Ten seconds at 48 kHz take some 0.1 s. The arithmetic is exact; only the taps are rounded,
to 14 bits.
"""

import array
import math
import sys
from fractions import Fraction
from functools import lru_cache
from typing import Final

FIELD: Final = 32  # bits a sample in a column
GAIN_BITS: Final = 14  # the taps of each phase add up to 2 ** 14
BIAS: Final = 2**30  # keeps every field of the sum positive
HALF_WIDTH: Final = 22  # zero crossings of the sinc on each side
STOP_BAND_DB: Final = 70.0
CUT_OFF: Final = 0.94  # of the lower of the two Nyquist frequencies: the middle of the edge
MOST_PHASES: Final = 640  # an odd rate is met within 0.1 %, which no ear and no recogniser hears


def resample(samples: "array.array[int]", rate: int, wanted: int) -> "array.array[int]":
    """16-bit samples at `wanted` samples a second, of those at `rate`.

    Flat to 0.1 dB up to 85 % of the lower Nyquist frequency, and 60 dB down above 102 % of it.

    >>> resample(array.array("h", [1000] * 480), 48000, 16000)[80]
    1000
    """
    if rate == wanted or not samples:
        return samples
    ratio = Fraction(wanted, rate).limit_denominator(MOST_PHASES)
    up, down = ratio.numerator, ratio.denominator
    phases, width = _taps(up, down)
    count = -(-len(samples) * up // down)
    left = width // 2 - 1
    turns = -(-count // up)  # outputs of one phase
    columns = _columns(samples, left, down, turns + -(-(down + width) // down))
    result = array.array("h", bytes(2 * count))
    # What a field holds beyond the sample: the bias, the samples' own offset, half for rounding.
    offset = BIAS + (32768 << GAIN_BITS) - (1 << (GAIN_BITS - 1))
    for phase in range(min(up, count)):
        first, row = divmod(phase * down, up)
        values = [
            (field - offset) >> GAIN_BITS
            for field in _filtered(columns, down, phases[row], first, turns)
        ]
        result[phase::up] = _saturated(values[: -(-(count - phase) // up)])
    return result


def _filtered(
    columns: list[int], down: int, weights: tuple[int, ...], first: int, turns: int
) -> "array.array[int]":
    """The weighted sum at each `down`-th place, raised by `BIAS` and the samples' offset.

    A column times another long integer, made of the weights in reverse, is their convolution.
    """
    last = (first + len(weights) - 1) // down
    kernels: dict[int, int] = {}
    for place, weight in enumerate(weights, first):
        turn, column = divmod(place, down)
        kernels[column] = kernels.get(column, 0) + (weight << (FIELD * (last - turn)))
    total = int.from_bytes(BIAS.to_bytes(FIELD // 8, "little") * (turns + last + 1), "little")
    for column, kernel in kernels.items():
        total += columns[column] * kernel
    total = total >> (FIELD * last) & ((1 << (FIELD * turns)) - 1)
    fields = array.array("I")
    fields.frombytes(total.to_bytes(FIELD // 8 * turns, "little"))
    if sys.byteorder == "big":
        fields.byteswap()
    return fields


def _columns(samples: "array.array[int]", left: int, down: int, turns: int) -> list[int]:
    """Every `down`-th sample from each start, raised above zero, as one long integer each."""
    offset = 32768
    padded = array.array("I", [offset]) * (down * turns)
    raised = array.array("I", [value + offset for value in samples])
    room = len(padded) - left
    padded[left : left + min(len(raised), room)] = raised[:room]
    if sys.byteorder == "big":
        padded.byteswap()
    return [int.from_bytes(padded[start::down].tobytes(), "little") for start in range(down)]


def _saturated(values: list[int]) -> "array.array[int]":
    try:
        return array.array("h", values)
    except OverflowError:  # a steep edge overshoots
        return array.array("h", [min(max(value, -32768), 32767) for value in values])


@lru_cache(maxsize=8)
def _taps(up: int, down: int) -> tuple[tuple[tuple[int, ...], ...], int]:
    """The filter's taps by phase, and how many each phase has.

    A sinc under Kaiser's window (Kaiser 1974: beta = 0.1102 (A - 8.7) for A decibels).
    """
    slow = max(1.0, down / up)  # input samples to one sample of the slower rate
    half = math.ceil(HALF_WIDTH * slow)
    beta = 0.1102 * (STOP_BAND_DB - 8.7)
    cut = CUT_OFF / slow
    full = _bessel(beta)
    phases = []
    for row in range(up):
        weights = []
        for tap in range(2 * half):
            at = tap - (half - 1) - row / up  # distance from the output, in input samples
            place = at / half
            window = _bessel(beta * math.sqrt(1 - place * place)) / full if abs(place) < 1 else 0.0
            angle = math.pi * cut * at
            weights.append(window * (math.sin(angle) / angle if angle else 1.0))
        scale = (1 << GAIN_BITS) / sum(weights)
        whole = [round(weight * scale) for weight in weights]
        whole[half - 1] += (1 << GAIN_BITS) - sum(whole)  # a constant stays what it was
        phases.append(tuple(whole))
    return tuple(phases), 2 * half


def _bessel(x: float) -> float:
    """The modified Bessel function of order 0, by its series."""
    total = term = 1.0
    for k in range(1, 40):
        term *= (x / (2 * k)) ** 2
        total += term
        if term < 1e-12 * total:
            break
    return total
