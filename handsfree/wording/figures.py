"""Figures to what is said and what is shown: label, words, digits, unit.

What is said and shown is rounded to what a gauge, a watch or a rule can be set to; `low` and
`high` keep the engine's values.
"""

import math
from collections.abc import Callable
from fractions import Fraction

from handsfree.spoken_numbers import decimal_inches, range_words_in, trade_fraction, unit_name
from handsfree.values import Figure, Fuel, ToldFigure

LABELS = {
    "oxygen_pressure": "cutting oxygen",
    "fuel_pressure": "fuel gas",
    "travel_speed": "travel",
    "travel_run": "travel as run",
    "kerf": "kerf",
    "lean": "lean the torch",
    "path": "path through the steel",
    "preheat_time": "preheat",
    "standoff": "standoff",
    "shade": "filter shade",
    "oxygen_flow": "oxygen flow",
    "fuel_flow": "fuel flow",
    "time": "time",
    "weight": "weight",
    "thickness": "thickness",
    "length": "length",
    "pressure": "pressure",
    "bore": "bore",
    "oxygen_used": "oxygen used",
    "fuel_used": "fuel gas used",
    "oxygen_left": "oxygen left",
    "fuel_left": "fuel gas left",
    "cuts_left": "cuts left",
    "run_time": "run time",
    "change_over": "change over at",
    "draw_limit": "most fuel gas drawn",
    "cooling": "cooling",
}
"""The trade's words for every figure of an answer."""

# Unit in which a figure is told; the others are told in the unit in which they come.
_TOLD_IN = {
    "oxygen_pressure": "pound_force_per_square_inch",
    "fuel_pressure": "pound_force_per_square_inch",
    "travel_speed": "inch_per_minute",
    "travel_run": "inch_per_minute",
    "kerf": "inch",
    "lean": "degree",
    "path": "inch",
    "preheat_time": "second",
    "standoff": "inch",
    "oxygen_flow": "cubic_foot_per_hour",
    "fuel_flow": "cubic_foot_per_hour",
    "time": "second",
    "weight": "pound",
    "oxygen_used": "cubic_foot",
    "fuel_used": "cubic_foot",
    "oxygen_left": "cubic_foot",
    "fuel_left": "cubic_foot",
    "run_time": "minute",
    "change_over": "pound_force_per_square_inch",
    "draw_limit": "cubic_foot_per_hour",
}
_MINUTES_FROM = 200  # seconds: a longer time is told in minutes
_SHOWN = {
    "pound_force_per_square_inch": "psi",
    "inch_per_minute": "in/min",
    "inch": "in",
    "foot": "ft",
    "millimeter": "mm",
    "centimeter": "cm",
    "meter": "m",
    "second": "s",
    "minute": "min",
    "cubic_foot": "ft3",
    "degree": "deg",
    "cubic_foot_per_hour": "cfh",
    "pound": "lb",
    "kilogram": "kg",
    "kilopascal": "kPa",
    "bar": "bar",
    "pound / foot": "lb/ft",
    "pound / foot ** 2": "lb/ft2",
    "kilogram / meter": "kg/m",
    "millimeter / minute": "mm/min",
    "liter / minute": "l/min",
    "degree_Celsius": "\u00b0C",
    "degree_Fahrenheit": "\u00b0F",
    "delta_degree_Fahrenheit": "\u00b0F",
    "dimensionless": "",
}
# Steps to which a value is told: (from this value on, step), first match wins.
_STEPS = {
    "pound_force_per_square_inch": ((10, 1), (0, 0.5)),
    "inch_per_minute": ((20, 1), (5, 0.5), (0, 0.25)),
    "second": ((10, 1), (0, 0.5)),
    "minute": ((10, 1), (0, 0.5)),
    "cubic_foot": ((10, 1), (0, 0.1)),
    "degree": ((0, 1),),
    "cubic_foot_per_hour": ((10, 1), (0, 0.5)),
    "pound": ((100, 1), (0, 0.1)),
    "kilogram": ((100, 1), (0, 0.1)),
    "kilopascal": ((0, 1),),
    "bar": ((0, 0.01),),
    "millimeter": ((100, 0.1), (0, 0.01)),
    "centimeter": ((0, 0.01),),
    "meter": ((0, 0.1),),
    "foot": ((0, 0.1),),
    "degree_Celsius": ((0, 1),),
    "degree_Fahrenheit": ((0, 1),),
    "delta_degree_Fahrenheit": ((0, 1),),
    "pound / foot": ((100, 1), (0, 0.1)),
    "pound / foot ** 2": ((100, 1), (0, 0.1)),
    "kilogram / meter": ((100, 1), (0, 0.1)),
    "millimeter / minute": ((0, 1),),
    "liter / minute": ((10, 1), (0, 0.1)),
    "dimensionless": ((0, 1),),
}
# Units in which a half and a quarter are written as such.
_IN_QUARTERS = frozenset(
    {"inch_per_minute", "pound_force_per_square_inch", "second", "minute", "cubic_foot_per_hour"}
)
_INCH_STEPS = {"path": 0.01, "standoff": 0.001, "kerf": 0.001}
_OF_A_FUEL = {"fuel_used": "used", "fuel_left": "left"}
_FUELS = frozenset(fuel.value for fuel in Fuel)
# Widths and orifices are told in decimals even where they meet a fraction.
_ALWAYS_DECIMAL = ("kerf", "bore")


def label(name: str) -> str:
    """The trade's words for a figure's name."""
    return LABELS.get(name) or name.replace("_", " ")


def told_figure(figure: Figure, citation: Callable[[str], str]) -> ToldFigure:
    """A figure as it is said and shown."""
    low, high, unit = _in_told_unit(figure)
    shown_low, shown_high = (_rounded(end, unit, figure.name) for end in (low, high))
    note, name = _note_and_label(figure)
    return ToldFigure(
        name=figure.name,
        label=name,
        low=round(low, 4),
        high=round(high, 4),
        unit="shade" if figure.name == "shade" else _SHOWN[unit],
        digits=_digits(shown_low, shown_high, unit, figure.name),
        spoken=_spoken(shown_low, shown_high, unit, figure.name),
        source=citation(figure.source),
        status=figure.status,
        note=note,
    )


def _in_told_unit(figure: Figure) -> tuple[float, float, str]:
    """Both ends and the registry's name of the unit in which they are told.

    Raises:
        ValueError: the figure is of a kind that no unit of the trade measures.
    """
    own = unit_name(figure.low.units)
    unit = _TOLD_IN.get(figure.name, own)
    if figure.name == "time" and figure.high.check("[time]"):
        unit = "minute" if float(figure.high.m_as("second")) > _MINUTES_FROM else unit
    if unit != own and not figure.low.is_compatible_with(unit):  # a weight can be a foot's
        unit = own
    if unit not in _SHOWN:  # such as inch / minute, another name of inch_per_minute
        unit = next((name for name in _SHOWN if figure.low.is_compatible_with(name)), "")
        if not unit:
            raise ValueError(f"no unit of the trade for {figure.name} in {own}; add one here")
    low, high = (
        float(end.magnitude if unit_name(end.units) == unit else end.m_as(unit))
        for end in (figure.low, figure.high)
    )
    return low, high, unit


def _note_and_label(figure: Figure) -> tuple[str, str]:
    """A note that names the fuel goes into the label: "acetylene", not "fuel gas, acetylene"."""
    if figure.name in _OF_A_FUEL:
        fuel, _, rest = figure.note.partition(", ")
        return rest, f"{fuel} {_OF_A_FUEL[figure.name]}"
    if figure.note not in _FUELS:
        repeats = figure.note in label(figure.name)
        return "" if repeats else figure.note, label(figure.name)
    if figure.name == "fuel_pressure":
        return "", figure.note
    if figure.name == "fuel_flow":
        return "", f"{figure.note} flow"
    return figure.note, label(figure.name)


def _rounded(value: float, unit: str, name: str) -> float:
    if unit == "inch":
        if name not in _ALWAYS_DECIMAL and trade_fraction(value) is not None:
            return value
        step = _INCH_STEPS.get(name, 0.0001)
    else:
        steps = _STEPS.get(unit, ((0, 0.001),))
        step = next((step for start, step in steps if abs(value) >= start), 0.001)
    steps_up = value / step
    if unit != "inch":  # half a step goes up: 9.525 mm is told as 9.53, but 1/16 in as 0.062
        steps_up = math.floor(steps_up + 0.5 + 1e-9)
    rounded = round(round(steps_up) * step, 4)
    return rounded if rounded or not value else float(f"{value:.2g}")


def _spoken(low: float, high: float, unit: str, name: str) -> str:
    if name in _ALWAYS_DECIMAL and unit == "inch":
        first, last = decimal_inches(low), decimal_inches(high)
        ends = first if first == last else f"{first} to {last}"
        return f"{ends} inch" if high <= 1 else f"{ends} inches"
    return range_words_in(low, high, unit)


def _digits(low: float, high: float, unit: str, name: str) -> str:
    """Both ends as huge digits: "24-35", "12-14 1/2", "1/16-1/8", "0.0465"."""
    first, last = _end(low, unit, name), _end(high, unit, name)
    return first if first == last else f"{first}-{last}"


def _end(value: float, unit: str, name: str) -> str:
    exact: Fraction | None = None
    if unit == "inch" and name not in _ALWAYS_DECIMAL:
        exact = trade_fraction(value)
    elif unit in _IN_QUARTERS and not (4 * value) % 1:
        exact = Fraction(value)
    if exact is not None and exact.denominator > 1:
        units, rest = divmod(exact, 1)
        return f"{units} {rest}" if units else f"{rest}"
    return f"{value:.4f}".rstrip("0").rstrip(".")
