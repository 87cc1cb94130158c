"""Conversions and weights."""

import math
from fractions import Fraction

import pytest

from handsfree.values import About, Conversion, Piece, Question, Shape, Status, TipOnHand
from handsfree.values.units import feet, inches, inches_a_minute, millimetres, psi, registry
from tests.unit.engine.asking import answered, ask, ends

SAID = (
    # amount, unit asked for, name, value, unit: the definitions of inch, pound and bar
    (millimetres(12), "in", "length", 12 / 25.4, "in"),
    (inches(Fraction(5, 8)), "mm", "length", 15.875, "mm"),
    (inches(2), "cm", "length", 5.08, "cm"),
    (psi(30), "bar", "pressure", 2.0684, "bar"),
    (registry.Quantity(2.0, "bar"), "psi", "pressure", 29.0075, "psi"),
    (psi(15), "kPa", "pressure", 103.421, "kPa"),
    (feet(50), "m", "length", 15.24, "m"),
    (inches_a_minute(10), "mm/min", "speed", 254.0, "mm/min"),
    (registry.Quantity(100.0, "cfh"), "l/min", "flow", 47.195, "l/min"),
    (registry.Quantity(500.0, "degF"), "degC", "temperature", 260.0, "degC"),
)


@pytest.mark.parametrize(("amount", "unit", "name", "value", "told_in"), SAID)
def test_amounts_are_told_in_the_unit_asked_for(
    amount: object, unit: str, name: str, value: float, told_in: str
) -> None:
    reply = ask(About.CONVERT, conversion=Conversion(amount, unit))  # type: ignore[arg-type]
    assert ends(reply, name, told_in)[0] == pytest.approx(value, rel=1e-4)


def test_without_a_unit_the_trades_other_ways_are_told() -> None:
    reply = answered(ask(About.CONVERT, conversion=Conversion(psi(30))))
    assert [str(figure.low.units) for figure in reply.figures] == ["bar", "kilopascal"]
    reply = answered(ask(About.CONVERT, conversion=Conversion(inches(1))))
    assert [str(figure.low.units) for figure in reply.figures] == ["millimeter"]


def test_a_fraction_is_the_nearest_sixty_fourth_and_says_when_it_is_only_near() -> None:
    exact = answered(ask(About.CONVERT, conversion=Conversion(inches(0.875), "fraction")))
    near = answered(ask(About.CONVERT, conversion=Conversion(millimetres(10), "fraction")))
    assert (exact.figures[0].low.m_as("in"), exact.figures[0].note) == (0.875, "")
    assert near.figures[0].low.m_as("in") == 25 / 64
    assert near.figures[0].note == "nearest sixty fourth"


def test_gauges_and_drills_are_looked_up() -> None:
    gauge = ask(About.CONVERT, piece=Piece(gauge=10), conversion=Conversion(None, "in"))
    assert ends(gauge, "thickness", "in") == (0.1345, 0.1345)
    drill = ask(About.CONVERT, tip=TipOnHand(drill=56), conversion=Conversion(None, "in"))
    assert ends(drill, "bore", "in") == (0.0465, 0.0465)
    wall = Piece(nominal=Fraction(6), schedule="40")
    assert ends(
        ask(About.CONVERT, piece=wall, conversion=Conversion(None, "in")), "thickness", "in"
    ) == (0.28, 0.28)


def test_the_nearest_gauge_or_drill_is_named_only_when_it_is_near() -> None:
    near = answered(ask(About.CONVERT, conversion=Conversion(inches(0.134), "gauge")))
    assert near.figures[0].note == "10 gauge"
    drill = answered(ask(About.CONVERT, conversion=Conversion(millimetres(1.18), "drill")))
    assert drill.figures[0].note == "number 56 drill"
    far = ask(About.CONVERT, conversion=Conversion(inches(2), "gauge"))
    assert isinstance(far, Question)


@pytest.mark.parametrize(
    ("amount", "unit"),
    [(inches(1), "psi"), (psi(1), "mm"), (psi(1), "fraction"), (inches(1), "furlong")],
)
def test_what_cannot_be_told_so_is_asked_again(amount: object, unit: str) -> None:
    reply = ask(About.CONVERT, conversion=Conversion(amount, unit))  # type: ignore[arg-type]
    assert isinstance(reply, Question) and reply.asks_for == "unit" and reply.options


def test_nothing_to_convert_is_asked_for() -> None:
    assert isinstance(ask(About.CONVERT), Question)


def test_section_weighs_what_its_name_says() -> None:
    assert ends(ask(About.WEIGHT, piece=Piece(designation="W10X33")), "weight", "lb/ft")[0] == 33


def test_plate_weighs_forty_point_eight_a_square_foot_an_inch() -> None:
    """Handbook rule: 40.8 lb for a square foot an inch thick."""
    reply = ask(About.WEIGHT, 1)
    assert ends(reply, "weight", "lb/ft**2")[0] == pytest.approx(40.8, abs=0.1)
    assert answered(reply).figures[0].status is Status.COMMON_PRACTICE


def test_a_round_bar_weighs_its_area() -> None:
    """Handbook rule: 2.67 lb a foot for a round bar of one inch, 3.4 for a square one."""
    shaft = ask(About.WEIGHT, 1, of={"shape": Shape.SHAFT})
    square = ask(About.WEIGHT, 1, of={"shape": Shape.SQUARE_BAR})
    assert ends(shaft, "weight", "lb/ft")[0] == pytest.approx(2.67, abs=0.01)
    ratio = ends(shaft, "weight", "lb/ft")[0] / ends(square, "weight", "lb/ft")[0]
    assert ratio == pytest.approx(math.pi / 4)


def test_pipe_without_schedule_is_asked_about_for_its_weight() -> None:
    reply = ask(About.WEIGHT, piece=Piece(nominal=Fraction(4)))
    assert isinstance(reply, Question) and reply.asks_for == "schedule"
    known = ask(About.WEIGHT, piece=Piece(nominal=Fraction(4), schedule="40"))
    assert ends(known, "weight", "lb/ft")[0] == pytest.approx(10.79, abs=0.1)  # ASME B36.10
