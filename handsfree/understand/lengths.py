"""The words of a length become a quantity; the words of a number become its exact value.

>>> length("inch and a half").m_as("in")
1.5
>>> length("twelve mil").m_as("mm")
12.0
>>> length("three by four") is None
True
"""

from collections.abc import Sequence
from fractions import Fraction

from handsfree.spoken_numbers import amount
from handsfree.values.units import Quantity, inches, millimetres

_INCH = frozenset({"inch", "inches"})
_MILLIMETRE = frozenset(
    ["millimetres", "millimetre", "millimeters", "millimeter", "mil", "mils", "mill", "mills", "mm"]
)
_CENTIMETRE = frozenset(["centimetres", "centimetre", "centimeters", "centimeter", "cm"])
_ARTICLES = frozenset({"a", "an", "of"})


def number(words: str) -> Fraction | None:
    """The exact value of number words, None when they are not exactly one number."""
    return amount(words.split())


def length(words: str) -> Quantity | None:
    """The length that the words name; inches when no unit is said.

    Returns:
        None when the words are not exactly one length.
    """
    said = words.split()
    if said[-2:] in (["m", "m"], ["c", "m"]):
        said = [*said[:-2], said[-2] + said[-1]]
    if not said:
        return None
    if said[-1] in _MILLIMETRE:
        return _metric(said[:-1], 1.0)
    if said[-1] in _CENTIMETRE:
        return _metric(said[:-1], 10.0)
    value = _inches(said)
    return None if value is None else inches(value)


def has_unit(words: str) -> bool:
    """Whether a unit of length is among the words."""
    said = set(words.split())
    return bool(said & (_INCH | _MILLIMETRE | _CENTIMETRE)) or words.endswith((" m m", " c m"))


def _metric(said: Sequence[str], millimetres_each: float) -> Quantity | None:
    value = Fraction(1) if not said or said == ["a"] else amount(list(said))
    if value is None and said[-1] == "a":  # half a centimetre
        value = amount(list(said[:-1]))
    return None if value is None else millimetres(float(value) * millimetres_each)


def _inches(said: Sequence[str]) -> Fraction | None:
    """The value in inches of words in which the unit may stand anywhere the trade puts it."""
    places = [place for place, word in enumerate(said) if word in _INCH]
    if not places:
        return amount(list(said))
    if len(places) > 1:
        return None
    before, after = list(said[: places[0]]), list(said[places[0] + 1 :])
    while before and before[-1] in _ARTICLES and len(before) > 1:
        before.pop()  # three quarters of an (inch)
    whole = Fraction(1) if not before or before in (["a"], ["an"]) else amount(before)
    if whole is None or not after:
        return whole
    if after[0] == "and":
        after = after[1:]
    rest = amount(after)
    if rest is None or not 0 < rest < 1 or whole.denominator != 1:
        return None
    return whole + rest
