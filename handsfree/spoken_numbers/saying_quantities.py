"""Quantities to words: lengths as the trade says them, ranges, and units for the ear."""

from collections.abc import Hashable
from fractions import Fraction
from functools import cache

from handsfree.spoken_numbers.saying import decimal, fraction, mixed, number_words
from handsfree.values.units import Quantity, registry

# Unit of the registry -> (one, many) as they are said.
_SAID = {
    "inch": ("inch", "inches"),
    "foot": ("foot", "feet"),
    "millimeter": ("millimetre", "millimetres"),
    "centimeter": ("centimetre", "centimetres"),
    "meter": ("metre", "metres"),
    "pound_force_per_square_inch": ("p s i", "p s i"),
    "kilopascal": ("kilopascal", "kilopascals"),
    "bar": ("bar", "bar"),
    "inch_per_minute": ("inch a minute", "inches a minute"),
    "millimeter / minute": ("millimetre a minute", "millimetres a minute"),
    "cubic_foot_per_hour": ("cubic foot an hour", "cubic feet an hour"),
    "cubic_foot": ("cubic foot", "cubic feet"),
    "liter / minute": ("litre a minute", "litres a minute"),
    "second": ("second", "seconds"),
    "minute": ("minute", "minutes"),
    "hour": ("hour", "hours"),
    "degree": ("degree", "degrees"),
    "delta_degree_Fahrenheit": ("degree fahrenheit", "degrees fahrenheit"),
    "degree_Fahrenheit": ("degree fahrenheit", "degrees fahrenheit"),
    "degree_Celsius": ("degree celsius", "degrees celsius"),
    "pound": ("pound", "pounds"),
    "kilogram": ("kilogram", "kilograms"),
    "pound / foot": ("pound a foot", "pounds a foot"),
    "pound / foot ** 2": ("pound a square foot", "pounds a square foot"),
    "kilogram / meter": ("kilogram a metre", "kilograms a metre"),
    "percent": ("percent", "percent"),
    "dimensionless": ("", ""),
}
# Lengths and pressures that are told in decimals, with the places that are said.
_PLACES = {"inch": 4, "millimeter": 2, "centimeter": 2, "bar": 2}
# Half a unit of the fourth place: a drill of .0938 is the 3/32 that it is made as.
_NEAR = 0.00006
_FINEST = 64
_SHORT_FRACTIONS = {
    Fraction(1, 2): "half",
    Fraction(1, 4): "quarter",
    Fraction(3, 4): "three quarter",
}
_LENGTHS = ("inch", "foot", "millimeter", "centimeter", "meter")


def trade_fraction(value: float | Fraction) -> Fraction | None:
    """The multiple of 1/64 that a value in inches stands for, None when it is not one.

    >>> trade_fraction(0.375), trade_fraction(0.0595) is None
    (Fraction(3, 8), True)
    """
    exact = Fraction(round(value * _FINEST), _FINEST)
    return exact if exact > 0 and abs(float(exact) - float(value)) <= _NEAR else None


def decimal_inches(value: float) -> str:
    """Inches as a decimal to the tenth of a thousandth, as bores are given."""
    return decimal(value, _PLACES["inch"])


@cache
def unit_name(unit: Hashable) -> str:
    """The registry's full name of a quantity's unit, which pint is slow to write."""
    return str(unit)


def _unit(quantity: Quantity) -> tuple[Quantity, str]:
    """The quantity in a unit that has words, and that unit's key."""
    key = unit_name(quantity.units)
    if key in _SAID:
        return quantity, key
    for known in _SAID:
        unit = registry.parse_units(known)
        if unit.dimensionality == quantity.dimensionality:
            return quantity.to(unit), known
    raise ValueError(f"no words for the unit {key}; add it to the table of units")


def _number(value: float, key: str) -> str:
    exact = trade_fraction(value) if key == "inch" else None
    if exact is not None:
        return mixed(exact)
    if key in _PLACES:
        return decimal(value, _PLACES[key])
    return number_words(value, 3)


def _single(value: float, key: str) -> bool:
    """Whether the unit stands in its singular: one, or a part of an inch."""
    return value == 1 or (key == "inch" and 0 < value < 1)


def length_words(length: Quantity, *, before_noun: bool = False) -> str:
    """A length in its own unit; inches that are multiples of 1/64 as fractions, else decimals.

    Args:
        length: any length; a unit without words of its own is told in inches.
        before_noun: as in "twelve millimetre plate".

    >>> from handsfree.values.units import inches, millimetres
    >>> length_words(inches(0.75)), length_words(inches(1.375)), length_words(millimetres(12))
    ('three quarter inch', 'one and three eighths inches', 'twelve millimetres')
    >>> length_words(millimetres(12), before_noun=True)
    'twelve millimetre'
    """
    length, key = _unit(length)
    return _length(float(length.magnitude), key, before_noun)


def _length(value: float, key: str, before_noun: bool = False) -> str:
    one, many = _SAID[key]
    unit = one if before_noun or _single(value, key) else many
    exact = trade_fraction(value) if key == "inch" else None
    if exact is not None and exact < 1:
        # A quarter and a half need no "one"; "eighth inch" without it is heard as eight inch.
        return f"{_SHORT_FRACTIONS.get(exact) or fraction(exact)} {unit}"
    return f"{_number(value, key)} {unit}"


def quantity_words(quantity: Quantity) -> str:
    """Any quantity of the trade with its unit for the ear.

    Raises:
        ValueError: its unit has no words.

    >>> from handsfree.values.units import psi, inches_a_minute
    >>> quantity_words(psi(25)), quantity_words(inches_a_minute(14.5))
    ('twenty five p s i', 'fourteen and a half inches a minute')
    """
    quantity, key = _unit(quantity)
    value = float(quantity.magnitude)
    return range_words_in(value, value, key)


def range_words(low: Quantity, high: Quantity) -> str:
    """Both ends of a range and the unit once, in the unit of `low`; one value when they agree.

    >>> from handsfree.values.units import psi, inches
    >>> range_words(psi(24), psi(35)), range_words(inches(0.0625), inches(0.125))
    ('twenty four to thirty five p s i', 'one sixteenth to one eighth inch')
    """
    low, key = _unit(low)
    if unit_name(high.units) != key:
        high = high.to(low.units)
    return range_words_in(float(low.magnitude), float(high.magnitude), key)


def range_words_in(low: float, high: float, unit: str) -> str:
    """`range_words` of two bare values in a unit given by its registry name.

    Raises:
        ValueError: the unit has no words.

    >>> range_words_in(24, 35, "pound_force_per_square_inch")
    'twenty four to thirty five p s i'
    """
    if unit not in _SAID:
        raise ValueError(f"no words for the unit {unit}; add it to the table of units")
    if low == high and unit in _LENGTHS:
        return _length(low, unit)
    one, many = _SAID[unit]
    ends = _number(low, unit) if low == high else f"{_number(low, unit)} to {_number(high, unit)}"
    return f"{ends} {one if _single(high, unit) else many}".rstrip()
