"""Figures to what is said and what is shown: label, words, digits, unit.

What is said and shown is rounded to what a gauge, a watch or a rule can be set to; `low` and
`high` keep the engine's values.
"""

from collections.abc import Callable
from fractions import Fraction

from handsfree.spoken_numbers import decimal_inches, range_words, trade_fraction
from handsfree.units import Quantity, registry
from handsfree.values import Figure, Fuel, ToldFigure

LABELS = {
    "oxygen_pressure": "cutting oxygen",
    "fuel_pressure": "fuel gas",
    "travel_speed": "travel",
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
}
"""The trade's words for every figure of an answer."""

# Unit in which a figure is told; the others are told in the unit in which they come.
_TOLD_IN = {
    "oxygen_pressure": "psi",
    "fuel_pressure": "psi",
    "travel_speed": "inch_per_minute",
    "kerf": "inch",
    "lean": "degree",
    "path": "inch",
    "preheat_time": "second",
    "standoff": "inch",
    "oxygen_flow": "cubic_foot_per_hour",
    "fuel_flow": "cubic_foot_per_hour",
    "time": "second",
    "weight": "pound",
}
_SHOWN = {
    "pound_force_per_square_inch": "psi",
    "inch_per_minute": "in/min",
    "inch": "in",
    "foot": "ft",
    "millimeter": "mm",
    "centimeter": "cm",
    "meter": "m",
    "second": "s",
    "degree": "deg",
    "cubic_foot_per_hour": "cfh",
    "pound": "lb",
    "kilogram": "kg",
    "kilopascal": "kPa",
    "bar": "bar",
    "pound / foot": "lb/ft",
    "kilogram / meter": "kg/m",
    "millimeter / minute": "mm/min",
    "liter / minute": "l/min",
    "degree_Celsius": "\u00b0C",
    "degree_Fahrenheit": "\u00b0F",
    "dimensionless": "",
}
# Steps to which a value is told: (from this value on, step), first match wins.
_STEPS = {
    "pound_force_per_square_inch": ((10, 1), (0, 0.5)),
    "inch_per_minute": ((20, 1), (5, 0.5), (0, 0.25)),
    "second": ((10, 1), (0, 0.5)),
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
    "pound / foot": ((100, 1), (0, 0.1)),
    "kilogram / meter": ((100, 1), (0, 0.1)),
    "millimeter / minute": ((0, 1),),
    "liter / minute": ((10, 1), (0, 0.1)),
    "dimensionless": ((0, 1),),
}
_INCH_STEPS = {"path": 0.01, "standoff": 0.001, "kerf": 0.001}
# Widths and orifices are told in decimals even where they meet a fraction.
_ALWAYS_DECIMAL = ("kerf", "bore")


def label(name: str) -> str:
    """The trade's words for a figure's name."""
    return LABELS.get(name) or name.replace("_", " ")


def told_figure(figure: Figure, citation: Callable[[str], str]) -> ToldFigure:
    """A figure as it is said and shown."""
    unit = _TOLD_IN.get(figure.name, "")
    if not unit or not figure.low.is_compatible_with(unit):  # a weight can be a foot's
        unit = str(figure.low.units)
    low, high = figure.low.to(unit), figure.high.to(unit)
    key = str(low.units)
    shown_low, shown_high = _rounded(low, figure.name), _rounded(high, figure.name)
    note, name = _note_and_label(figure)
    return ToldFigure(
        name=figure.name,
        label=name,
        low=round(float(low.magnitude), 4),
        high=round(float(high.magnitude), 4),
        unit="shade" if figure.name == "shade" else _SHOWN.get(key, f"{low.units:~}"),
        digits=_digits(shown_low, shown_high, figure.name),
        spoken=_spoken(shown_low, shown_high, figure.name),
        source=citation(figure.source),
        status=figure.status,
        note=note,
    )


def _note_and_label(figure: Figure) -> tuple[str, str]:
    """A note that names the fuel goes into the label: "acetylene", not "fuel gas, acetylene"."""
    fuels = {fuel.value for fuel in Fuel}
    if figure.note not in fuels:
        repeats = figure.note in label(figure.name)
        return "" if repeats else figure.note, label(figure.name)
    if figure.name == "fuel_pressure":
        return "", figure.note
    if figure.name == "fuel_flow":
        return "", f"{figure.note} flow"
    return figure.note, label(figure.name)


def _rounded(quantity: Quantity, name: str) -> Quantity:
    value = float(quantity.magnitude)
    key = str(quantity.units)
    if key == "inch":
        if name not in _ALWAYS_DECIMAL and trade_fraction(value) is not None:
            return quantity
        step = _INCH_STEPS.get(name, 0.0001)
    else:
        steps = _STEPS.get(key, ((0, 0.001),))
        step = next((step for start, step in steps if abs(value) >= start), 0.001)
    # Fractions keep 12.1 from becoming 12.100000000000001.
    exact = round(Fraction(value) / Fraction(str(step))) * Fraction(str(step))
    if not exact and value:
        exact = Fraction(f"{value:.2g}")
    return registry.Quantity(float(exact), quantity.units)


def _spoken(low: Quantity, high: Quantity, name: str) -> str:
    if name in _ALWAYS_DECIMAL and str(low.units) == "inch":
        first, last = (decimal_inches(float(end.magnitude)) for end in (low, high))
        ends = first if first == last else f"{first} to {last}"
        return f"{ends} inch" if float(high.magnitude) <= 1 else f"{ends} inches"
    return range_words(low, high)


def _digits(low: Quantity, high: Quantity, name: str) -> str:
    """Both ends as huge digits: "24-35", "12-14 1/2", "1/16-1/8", "0.0465"."""
    ends = [_end(end, name) for end in (low, high)]
    return ends[0] if ends[0] == ends[1] else "-".join(ends)


def _end(quantity: Quantity, name: str) -> str:
    value = float(quantity.magnitude)
    key = str(quantity.units)
    exact: Fraction | None = None
    if key == "inch":
        exact = None if name in _ALWAYS_DECIMAL else trade_fraction(value)
    elif key in ("inch_per_minute", "pound_force_per_square_inch", "second", "cubic_foot_per_hour"):
        exact = Fraction(value).limit_denominator(4)
        exact = exact if exact == Fraction(value) else None
    if exact is not None and exact.denominator > 1:
        units, rest = divmod(exact, 1)
        return f"{units} {rest}" if units else f"{rest}"
    return f"{value:.4f}".rstrip("0").rstrip(".")
