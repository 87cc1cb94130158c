"""Numbers in words are said a second time in another way, so that a misheard one is noticed."""

from collections.abc import Callable
from fractions import Fraction

from handsfree.spoken_numbers import (
    NUMBER_WORDS,
    amount,
    decimal,
    digits_aloud,
    heard_twice,
    spelt,
    whole,
)


def read_both_ways(words: str) -> str:
    """Words in which every whole number with a twin in noise is said a second time by its figures.

    >>> read_both_ways("fifteen millimetre plate, thirteen sixteenths, w fourteen by thirty")
    'fifteen, one five, millimetre plate, thirteen sixteenths, w fourteen, one four, by thirty, three oh'
    """  # noqa: E501  # a doctest's line is one line
    return _said_twice(words, _twin_in_figures)


def read_in_figures(words: str) -> str:
    """Words in which every number is said a second time in another way, with a twin or without.

    For numbers that were heard beside others as plausible: a whole one by its figures, a fraction
    as a decimal, so that "five sixteenths" and "nine sixteenths" differ in more than one sound.

    >>> read_in_figures("five sixteenths inch plate, acetylene")
    'five sixteenths, point three one two five, inch plate, acetylene'
    >>> read_in_figures("twelve millimetre plate, tip stamped two")
    'twelve, one two, millimetre plate, tip stamped two, figure two'
    """
    return _said_twice(words, _in_figures)


def _twin_in_figures(value: Fraction) -> str:
    if value.denominator != 1 or not heard_twice(int(value)):
        return ""
    return digits_aloud(int(value)).split(", ", 1)[1]


def _in_figures(value: Fraction) -> str:
    if value.denominator != 1:
        return decimal(value, 6)
    return spelt(str(value)) if value >= 10 else f"figure {whole(int(value))}"


def _said_twice(words: str, second: Callable[[Fraction], str]) -> str:
    """Words with what `second` says of each number behind it."""
    chunks = []
    for chunk in words.split(", "):
        said: list[str] = []
        run = chunk.split()
        place = 0
        while place < len(run):
            length = _number_length(run[place:])
            value = amount(run[place : place + length]) if length else None
            twice = second(value) if value is not None else ""
            said += run[place : place + max(length, 1)]
            if twice:
                said[-1] += ","
                said.append(f"{twice},")
            place += max(length, 1)
        chunks.append(" ".join(said).rstrip(","))
    return ", ".join(chunks)


def _number_length(words: list[str]) -> int:
    """How many words from the first on are the longest number; 0 when none is."""
    if not words or words[0] not in NUMBER_WORDS or words[0] in ("a", "an", "and"):
        return 0
    reach = next((n for n, word in enumerate(words) if word not in NUMBER_WORDS), len(words))
    return next((n for n in range(reach, 0, -1) if amount(words[:n]) is not None), 0)
