"""Figures as they are said and shown: trade fractions, few digits, a label for every name."""

import re

import pytest

from handsfree.values import Figure, Status
from handsfree.values.units import (
    Quantity,
    cubic_feet_an_hour,
    degrees,
    inches,
    inches_a_minute,
    kilopascals,
    millimetres,
    psi,
    registry,
    seconds,
)
from handsfree.wording.figures import LABELS, label, told_figure

ROWS = [
    ("oxygen_pressure", psi(24), psi(35), "24-35", "psi", "twenty four to thirty five p s i"),
    ("oxygen_pressure", kilopascals(200), kilopascals(200), "29", "psi", "twenty nine p s i"),
    ("fuel_pressure", psi(4.5), psi(5), "4 1/2-5", "psi", "four and a half to five p s i"),
    (
        "travel_speed",
        inches_a_minute(12),
        inches_a_minute(14.5),
        "12-14 1/2",
        "in/min",
        "twelve to fourteen and a half inches a minute",
    ),
    (
        "travel_speed",
        inches_a_minute(36.3),
        inches_a_minute(53.8),
        "36-54",
        "in/min",
        "thirty six to fifty four inches a minute",
    ),
    (
        "travel_speed",
        inches_a_minute(4.1),
        inches_a_minute(4.8),
        "4-4 3/4",
        "in/min",
        "four to four and three quarters inches a minute",
    ),
    (
        "kerf",
        inches(0.0625),
        inches(0.08),
        "0.062-0.08",
        "in",
        "point oh six two to point oh eight inch",
    ),
    ("lean", degrees(70), degrees(75), "70-75", "deg", "seventy to seventy five degrees"),
    ("path", inches(0.7309), inches(0.7309), "0.73", "in", "point seven three inch"),
    (
        "standoff",
        inches(0.0625),
        inches(0.125),
        "1/16-1/8",
        "in",
        "one sixteenth to one eighth inch",
    ),
    ("preheat_time", seconds(5), seconds(15), "5-15", "s", "five to fifteen seconds"),
    (
        "time",
        registry.Quantity(2.0, "minute"),
        registry.Quantity(3.0, "minute"),
        "120-180",
        "s",
        "one hundred and twenty to one hundred and eighty seconds",
    ),
    (
        "oxygen_flow",
        cubic_feet_an_hour(117.4),
        cubic_feet_an_hour(142.6),
        "117-143",
        "cfh",
        "one hundred and seventeen to one hundred and forty three cubic feet an hour",
    ),
    (
        "shade",
        registry.Quantity(5.0, ""),
        registry.Quantity(6.0, ""),
        "5-6",
        "shade",
        "five to six",
    ),
    (
        "weight",
        registry.Quantity(26.04, "pound"),
        registry.Quantity(26.04, "pound"),
        "26",
        "lb",
        "twenty six pounds",
    ),
    (
        "weight",
        registry.Quantity(26.0, "pound / foot"),
        registry.Quantity(26.0, "pound / foot"),
        "26",
        "lb/ft",
        "twenty six pounds a foot",
    ),
    (
        "weight",
        registry.Quantity(20.42, "pound / foot ** 2"),
        registry.Quantity(20.42, "pound / foot ** 2"),
        "20.4",
        "lb/ft2",
        "twenty point four pounds a square foot",
    ),
    (
        "length",
        millimetres(9.525),
        millimetres(9.525),
        "9.53",
        "mm",
        "nine point five three millimetres",
    ),
    ("bore", inches(0.0625), inches(0.0625), "0.0625", "in", "point oh six two five inch"),
    ("thickness", inches(1.375), inches(1.375), "1 3/8", "in", "one and three eighths inches"),
    (
        "thickness",
        millimetres(19.05),
        millimetres(19.05),
        "19.05",
        "mm",
        "nineteen point oh five millimetres",
    ),
    (
        "length",
        millimetres(304.8),
        millimetres(304.8),
        "304.8",
        "mm",
        "three hundred and four point eight millimetres",
    ),
    (
        "pressure",
        registry.Quantity(2.0684, "bar"),
        registry.Quantity(2.0684, "bar"),
        "2.07",
        "bar",
        "two point oh seven bar",
    ),
    ("fuel_pressure", psi(0.1), psi(0.1), "0.1", "psi", "point one p s i"),
]


@pytest.mark.parametrize(("name", "low", "high", "digits", "unit", "spoken"), ROWS)
def test_a_figure_is_shown_and_said_as_the_trade_does(
    name: str, low: Quantity, high: Quantity, digits: str, unit: str, spoken: str
) -> None:
    figure = told_figure(Figure(name, low, high, "key", Status.READ), str.upper)
    assert (figure.digits, figure.unit, figure.spoken) == (digits, unit, spoken)
    assert (figure.source, figure.status) == ("KEY", Status.READ)


def test_programs_get_the_values_unrounded_in_the_told_unit() -> None:
    figure = told_figure(
        Figure("oxygen_pressure", kilopascals(200), psi(35.25), "k", Status.MEMORY), str
    )
    assert figure.low == pytest.approx(
        200 / 6.894757, abs=1e-4
    )  # 1 psi is 6.894757 kPa, NIST SP 811
    assert figure.high == 35.25


def test_every_name_of_a_figure_has_a_label() -> None:
    described = re.search(r"name: (.*?)\n\s+low:", Figure.__doc__ or "", re.DOTALL)
    assert described is not None
    names = set(re.findall(r"[a-z]+(?:_[a-z]+)*", described[1])) - {"or", "for", "conversions"}
    assert {"oxygen_pressure", "bore", "preheat_time"} <= names
    assert names == set(LABELS)


def test_a_unit_of_another_name_is_told_in_the_trade_s() -> None:
    pace = registry.Quantity(0.2, "inch / second")
    figure = told_figure(Figure("speed", pace, pace, "k", Status.READ), str)
    assert (figure.digits, figure.unit) == ("12", "in/min")


def test_a_figure_that_no_unit_measures_names_itself() -> None:
    with pytest.raises(ValueError, match="no unit of the trade for voltage"):
        volts = registry.Quantity(12.0, "volt")
        told_figure(Figure("voltage", volts, volts, "k", Status.READ), str)


def test_a_name_of_tomorrow_still_has_words() -> None:
    assert label("cylinder_content") == "cylinder content"


def test_the_fuel_s_name_is_its_label() -> None:
    pressure = Figure("fuel_pressure", psi(4), psi(5), "k", Status.READ, "propane")
    flow = Figure(
        "fuel_flow", cubic_feet_an_hour(9), cubic_feet_an_hour(12), "k", Status.READ, "propane"
    )
    assert [(told_figure(f, str).label, told_figure(f, str).note) for f in (pressure, flow)] == [
        ("propane", ""),
        ("propane flow", ""),
    ]
