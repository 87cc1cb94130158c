"""Sheet thinner than the hand table: leaned by the textbook, or 3 mm by the metric table."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import published, sheet, speed
from handsfree.engine.sheet import is_sheet, thinnest
from handsfree.values import (
    About,
    Answer,
    Figure,
    Fit,
    Fuel,
    Piece,
    Refusal,
    Reply,
    Shape,
    Status,
    TipOnHand,
)
from handsfree.values.units import feet, inches, millimetres
from tests.unit.engine.asking import answered, ask, ends, made_for

LEANED = (16, 15, 14, 13, 12)  # gauge


def gauge(number: int, about: About = About.SETTING, **more: Any) -> Reply:
    return ask(about, piece=Piece(gauge=number, shape=Shape.SHEET), **more)


def figure(reply: Reply, name: str) -> Figure:
    return next(each for each in answered(reply).figures if each.name == name)


@pytest.mark.parametrize("number", LEANED)
def test_sheet_is_leaned_as_the_textbook_says(number: int) -> None:
    """Welding textbook, p. 398 (read): under 1/8 in, 70 to 75 degrees from vertical."""
    reply = gauge(number)
    lean = figure(reply, "lean")
    assert ends(reply, "lean", "deg") == (70, 75)
    assert (lean.source, lean.status) == ("welding_textbook_2017", Status.READ)
    assert "lean the torch far over" in answered(reply).technique[0]


@pytest.mark.parametrize("number", LEANED)
def test_the_path_is_thickness_over_cosine_and_lies_inside_the_table(number: int) -> None:
    reply = answered(gauge(number))
    assert reply.thickness is not None
    through = float(reply.thickness.m_as("in"))
    near, far = ends(reply, "path", "in")
    assert near == pytest.approx(through / math.cos(math.radians(70)))
    assert far == pytest.approx(through / math.cos(math.radians(75)))
    assert published.hand_cutting_at(near) is not None


@pytest.mark.parametrize("number", LEANED)
def test_the_oxygen_is_what_the_table_lists_for_the_path(number: int) -> None:
    reply = gauge(number)
    row = published.hand_cutting_at(ends(reply, "path", "in")[0])
    assert row is not None
    low, high = ends(reply, "oxygen_pressure", "psi")
    assert row.pressure[0] <= low <= high <= row.pressure[1]
    assert figure(reply, "oxygen_pressure").status is Status.MEMORY


def test_the_speed_on_sheet_is_wide_and_called_unchecked() -> None:
    """Between the table's fast end at 1/8 in and the fastest trade check, never past it."""
    for number in LEANED:
        reply = answered(gauge(number))
        low, high = ends(reply, "travel_speed", "in/min")
        assert 20 <= low <= 30 and high <= sheet.fastest_checked() == 45
        assert high >= 1.3 * low
        assert figure(reply, "travel_speed").status is Status.MEMORY
        assert any("unchecked" in note for note in reply.notes)
        assert any("No quality range holds for sheet" in note for note in reply.notes)


@pytest.mark.parametrize("piece", [Piece(thickness=millimetres(3)), Piece(gauge=11)])
def test_three_millimetres_is_cut_upright_by_the_metric_table(piece: Piece) -> None:
    """Trade course (read): 0.8 mm nozzle, 3 mm plate, 1.0 kgf/cm2, that is 14.2 psi."""
    reply = ask(About.SETTING, piece=piece)
    pressure = figure(reply, "oxygen_pressure")
    assert float(pressure.low.m_as("psi")) == pytest.approx(14.223, abs=0.15)
    listed = Status.SECONDARY if piece.gauge else Status.READ  # the gauge is from a second hand
    assert (pressure.source, pressure.status) == ("trade_course_metric", listed)
    assert all(each.name != "lean" for each in answered(reply).figures)
    assert figure(reply, "travel_speed").status is Status.MEMORY


def test_three_millimetres_with_a_larger_tip_is_leaned() -> None:
    reply = answered(ask(About.SETTING, piece=Piece(thickness=millimetres(3)), tip=made_for(0.5)))
    assert reply.fit is Fit.TOO_LARGE
    assert ends(reply, "lean", "deg") == (70, 75)


def test_a_larger_tip_runs_at_the_low_end_of_the_oxygen() -> None:
    right = ends(gauge(12), "oxygen_pressure", "psi")
    large = ends(gauge(12, tip=made_for(0.5)), "oxygen_pressure", "psi")
    assert large[0] >= right[0] - 1 and large[1] < right[1]


def test_a_tip_far_too_large_for_sheet_is_refused() -> None:
    reply = gauge(16, tip=TipOnHand(bore=inches(0.081)))
    assert isinstance(reply, Refusal) and "too large" in reply.reason


def test_a_tip_smaller_than_any_listed_is_referred_to_its_chart() -> None:
    reply = gauge(16, tip=TipOnHand(bore=inches(0.02)))
    assert isinstance(reply, Refusal) and "chart" in reply.instead[0]


def test_a_tip_made_for_the_sheet_is_right() -> None:
    assert answered(gauge(14, tip=made_for(0.0747))).fit is Fit.RIGHT


@pytest.mark.parametrize("thickness", [0.03, 0.0478, 0.05])
def test_thinner_than_sixteen_gauge_is_refused_with_what_to_use(thickness: float) -> None:
    reply = ask(About.SETTING, thickness)
    assert isinstance(reply, Refusal)
    assert "sheet that thin" in reply.reason and "shears" in reply.instead[0]


def test_sixteen_gauge_is_the_limit_and_a_lean_would_reach_further() -> None:
    assert thinnest() == pytest.approx(0.0598)
    assert speed.path(thinnest(), 70) > published.thinnest()
    assert published.thinnest() * math.cos(math.radians(75)) < thinnest()


def test_a_thin_round_wall_is_not_leaned() -> None:
    """1 in schedule 10 (0.109 in) is refused; a 0.12 in wall is cut upright, as 3 mm plate is."""
    thin = ask(About.SETTING, piece=Piece(shape=Shape.PIPE, thickness=inches(0.109)))
    assert isinstance(thin, Refusal) and "round wall" in thin.reason
    wall = ask(About.SETTING, piece=Piece(shape=Shape.PIPE, thickness=inches(0.12)))
    assert all(each.name != "lean" for each in answered(wall).figures)
    large = ask(
        About.SETTING,
        piece=Piece(shape=Shape.PIPE, thickness=inches(0.12)),
        tip=made_for(1),
    )
    assert isinstance(large, Refusal)


def test_on_a_round_wall_a_large_tip_leans_no_further_than_the_chord_allows() -> None:
    """Within a twentieth of the true chord through 6 in standard wall at 30 degrees: 0.328 in."""
    piece = Piece(shape=Shape.PIPE, thickness=inches(0.28))
    reply = answered(ask(About.SETTING, piece=piece, tip=made_for(2)))
    assert ends(reply, "lean", "deg") == (30, 30)
    assert ends(reply, "path", "in")[0] == pytest.approx(0.328, rel=0.05)
    assert not any("centre line" in line for line in reply.technique)


@pytest.mark.parametrize("fuel", list(Fuel))
def test_every_fuel_has_its_pressure_on_sheet(fuel: Fuel) -> None:
    reply = gauge(14, fuel=fuel)
    assert figure(reply, "fuel_pressure").note == fuel.value
    assert ends(reply, "fuel_pressure", "psi")[1] <= 15


def test_a_hose_counts_on_sheet_too() -> None:
    bare = ends(gauge(14), "oxygen_pressure", "psi")
    hosed = ends(gauge(14, hose_length=feet(300)), "oxygen_pressure", "psi")
    assert hosed[1] >= bare[1]


@given(st.floats(0.02, 0.13), st.none() | st.floats(0.02, 0.12), st.sampled_from(list(About)))
def test_whatever_the_sheet_the_lean_stays_inside_its_limit(
    thickness: float, bore: float | None, about: About
) -> None:
    tip = None if bore is None else TipOnHand(bore=inches(bore))
    reply = ask(about, thickness, tip=tip)
    if not isinstance(reply, Answer):
        return
    for each in reply.figures:
        if each.name == "lean":
            assert float(each.high.m_as("deg")) <= speed.constants().lean_limit
        if each.name in ("travel_speed", "oxygen_pressure"):
            inside = is_sheet(thickness) or published.hand_cutting_at(thickness) is not None
            assert inside, each
