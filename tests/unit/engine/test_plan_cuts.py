"""A plan cuts every face once with one tip, and its time and gas follow from its cuts."""

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine import published, tables
from handsfree.engine.answer import answer
from handsfree.engine.plan.tasks import ring_length
from handsfree.values import (
    About,
    Access,
    Answer,
    CutPlan,
    Fit,
    Fuel,
    Piece,
    Position,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Shape,
    Span,
    Start,
    Status,
    Surface,
    Task,
    TipBox,
    TipOnHand,
)
from handsfree.values.units import Quantity, degrees, feet, inches, millimetres
from tests.unit.engine.asking import made_for

FOUR_INCH = Piece(nominal=Fraction(4), schedule="40")


def ask(piece: Piece | None, **more: Any) -> Reply:
    rig = more.pop("rig", Rig())
    return answer(Request(About.CUT_ORDER, piece=piece, **more), rig, TipBox())


def plan(piece: Piece, **more: Any) -> CutPlan:
    reply = ask(piece, **more)
    assert isinstance(reply, Answer), reply
    assert reply.plan is not None
    return reply.plan


def listed(designation: str, **more: Any) -> CutPlan:
    return plan(Piece(designation=designation), **more)


def ends(span: Span | None, unit: str) -> tuple[float, float]:
    assert span is not None
    return float(span[0].m_as(unit)), float(span[1].m_as(unit))


def test_a_beam_with_a_quarter_inch_tip_keeps_one_setting_and_leans_over_its_thinner_web() -> None:
    """W12X26, flange 0.38, web 0.23: acos(0.23 / 0.38) is 52.7 degrees, 50 in whole steps."""
    found = listed("W12X26", tip=made_for(0.25))
    assert [cut.part for cut in found.cuts] == ["left flange", "right flange", "web"]
    assert ends(found.one_setting, "psi") == pytest.approx((17.1, 25.2), abs=0.1)
    assert [round(cut.lean[0].m_as("degree")) for cut in found.cuts] == [0, 0, 50]
    assert found.freed == "web"


@pytest.mark.parametrize("designation", ["S4X9.5", "C4X7.25"])
def test_one_setting_lies_inside_what_the_table_gives_for_every_face(designation: str) -> None:
    """Their webs are a tenth thicker than their flanges, so that every face is cut square."""
    found = listed(designation)
    low, high = ends(found.one_setting, "psi")
    depths = {float(cut.thickness.m_as("in")) for cut in found.cuts}
    assert len(depths) == 2 and not any(cut.lean[1].m_as("degree") for cut in found.cuts)
    for depth in depths:
        row = published.hand_cutting_at(depth)
        assert row is not None
        assert row.pressure[0] - 1e-6 <= low <= high <= row.pressure[1] + 1e-6, depth


def test_a_web_as_thick_as_its_flange_is_cut_square() -> None:
    assert all(cut.lean[0].m_as("degree") == 0 for cut in listed("HP12X53").cuts)


def test_four_inch_pipe_in_place_goes_from_the_bottom_up_in_two_halves() -> None:
    found = plan(FOUR_INCH, access=Access.IN_PLACE)
    left, right = found.cuts
    assert (left.part, right.part) == ("left half", "right half")
    for cut, side in ((left, -1), (right, 1)):
        assert cut.path[0][1] == pytest.approx(-cut.path[-1][1]) and cut.path[0][1] < 0
        assert all(side * x >= -1e-9 for x, _ in cut.path)
        assert cut.length.m_as("in") == pytest.approx(math.pi * 4.5 / 2)
    reply = ask(FOUR_INCH, access=Access.IN_PLACE)
    assert isinstance(reply, Answer) and reply.development is not None
    assert any("band" in line for line in reply.technique)
    assert any("Vent" in line for line in reply.cautions)


def test_a_pipe_with_a_tip_far_too_large_is_cut_at_a_high_tilt() -> None:
    """Six inch standard wall, tip for two inch: 60 degrees make 0.673 in of 0.28."""
    for cut in plan(Piece(nominal=Fraction(6), schedule="40"), tip=made_for(2)).cuts:
        assert cut.fit is Fit.TOO_LARGE
        assert 45 <= cut.lean[0].m_as("degree") <= 65
        assert any("round the pipe" in line for line in cut.how)


def test_a_tube_with_a_large_tip_is_cut_from_the_outside_in() -> None:
    for cut in listed("HSS6X6X3/8", tip=made_for(2)).cuts:
        assert cut.fit is Fit.TOO_LARGE
        assert any("outside in" in line for line in cut.how)


def test_a_shaft_with_a_tip_far_too_small_is_woven_and_gets_no_figure() -> None:
    found = plan(Piece(shape=Shape.SHAFT, thickness=inches(1.5)), tip=made_for(0.25))
    (cut,) = found.cuts
    assert cut.fit is Fit.TOO_SMALL
    assert (cut.travel, cut.oxygen_pressure, cut.time, found.time) == (None, None, None, None)
    assert any("Weave" in line for line in cut.how)
    assert any("larger tip" in line for line in cut.watch)


def test_what_is_not_even_woven_is_refused() -> None:
    shaft = Piece(shape=Shape.SHAFT, thickness=inches(4))
    assert isinstance(ask(shaft, tip=made_for(0.25)), Refusal)
    plate = Piece(shape=Shape.PLATE, thickness=inches(1.5))
    assert isinstance(ask(plate, tip=made_for(0.25)), Refusal)


def test_a_shaft_takes_less_time_than_plate_of_its_diameter_and_as_wide() -> None:
    shaft = plan(Piece(shape=Shape.SHAFT, thickness=inches(2)))
    plate = plan(Piece(thickness=inches(2)), cut_length=inches(2))
    assert ends(shaft.time, "s")[1] < ends(plate.time, "s")[1]


def test_time_and_gas_in_all_are_those_of_the_cuts_together() -> None:
    found = listed("W12X26")
    for name, unit in (("time", "s"), ("oxygen", "foot**3"), ("fuel", "foot**3")):
        each = [ends(getattr(cut, name), unit) for cut in found.cuts]
        assert ends(getattr(found, name), unit) == pytest.approx(
            (sum(low for low, _ in each), sum(high for _, high in each))
        )


def test_a_plate_worked_by_hand() -> None:
    """Six feet of half plate: 72 in at 12 to 14 1/2 in/min and 5 to 15 s of edge start.

    303 to 375 s. Oxygen 66 to 125 cfh, acetylene 10 to 13, neutral flame 1.1 to 1.25 to one.
    """
    found = plan(Piece(thickness=inches(0.5)), cut_length=feet(6))
    assert ends(found.time, "s") == pytest.approx((72 / 14.5 * 60 + 5, 72 / 12 * 60 + 15))
    low = (66 * 72 / 14.5 * 60 + 1.1 * 10 * 5) / 3600
    high = (125 * 72 / 12 * 60 + 1.25 * 13 * 15) / 3600
    assert ends(found.oxygen, "foot**3") == pytest.approx((low, high))


def test_a_count_multiplies_what_is_used() -> None:
    one, twelve = ask(Piece(designation="L4X4X3/8")), ask(Piece(designation="L4X4X3/8"), count=12)
    assert isinstance(one, Answer) and isinstance(twelve, Answer)
    for name in ("time", "oxygen_used", "fuel_used"):
        (single,) = (figure for figure in one.figures if figure.name == name)
        (many,) = (figure for figure in twelve.figures if figure.name == name)
        assert many.high.magnitude == pytest.approx(12 * single.high.magnitude)
        assert "for twelve" in many.note


@pytest.mark.parametrize("count", [0, -1, 5000])
def test_a_count_that_cannot_be_is_asked_again(count: int) -> None:
    reply = ask(Piece(designation="L4X4X3/8"), count=count)
    assert isinstance(reply, Question) and reply.again


def test_a_corner_and_a_root_take_longer_than_flat_steel() -> None:
    beam = listed("W12X26").cuts[0]
    assert beam.deepest > beam.thickness
    flat = plan(Piece(thickness=beam.thickness), cut_length=beam.length).cuts[0]
    assert ends(beam.time, "s")[0] > ends(flat.time, "s")[0]
    second = listed("L4X4X3/8").cuts[1]
    assert second.deepest > second.thickness
    assert any("corner" in line for line in second.how)


def test_a_cut_that_goes_on_needs_no_new_preheat() -> None:
    first, second = listed("L4X4X3/8").cuts
    assert second.start is Start.GOES_ON
    assert ends(second.time, "s")[1] < ends(first.time, "s")[1]


def test_a_mitre_is_longer_and_has_its_line() -> None:
    square, leaned = plan(FOUR_INCH), plan(FOUR_INCH, mitre=degrees(45))
    ratio = leaned.cuts[0].length.m_as("in") / square.cuts[0].length.m_as("in")
    assert ratio == pytest.approx(1.2160, abs=0.001)  # ellipse of axes 1 and 1.414 to its circle
    reply = ask(FOUR_INCH, mitre=degrees(45), piece_length=feet(1))
    assert isinstance(reply, Answer) and reply.development is not None
    assert max(line.height.m_as("in") for line in reply.development.ordinates) == pytest.approx(4.5)
    assert any("balances" in line for line in reply.notes)


@pytest.mark.parametrize("angle", [-5, 61, 90])
def test_a_mitre_that_cannot_be_laid_out_is_asked_again(angle: float) -> None:
    reply = ask(FOUR_INCH, mitre=degrees(angle))
    assert isinstance(reply, Question) and reply.again


def test_a_bevel_goes_no_further_than_a_hand_holds_it_and_a_slanted_line_does() -> None:
    reply = ask(Piece(designation="W12X26"), mitre=degrees(50))
    assert isinstance(reply, Question) and reply.again
    assert plan(Piece(thickness=inches(0.5)), mitre=degrees(50)).cuts[0].length.m_as(
        "in"
    ) == pytest.approx(12 / 0.6428, rel=1e-3)


def test_a_mitred_beam_has_its_flanges_bevelled_and_its_web_slanted() -> None:
    """At 45 degrees the flanges' jets meet sqrt(2) of their steel, the web's travel is as much."""
    square, leaned = (
        plan(Piece(designation="W12X26")),
        plan(Piece(designation="W12X26"), mitre=degrees(45)),
    )
    flange, _, web = leaned.cuts
    assert flange.thickness.m_as("in") == pytest.approx(0.38 * 2**0.5)
    assert flange.length.m_as("in") == pytest.approx(square.cuts[0].length.m_as("in"))
    assert web.thickness.m_as("in") == pytest.approx(0.23)
    assert web.length.m_as("in") == pytest.approx(square.cuts[2].length.m_as("in") * 2**0.5)
    assert "Tilt the torch forty five degrees sideways, to follow the mitre." in flange.how
    assert "Run along the slanted line of the mitre." in web.how
    assert [round(cut.bevel.m_as("degree")) for cut in leaned.cuts] == [45, 45, 0]
    area = square.section_area.m_as("in**2")
    assert leaned.section_area.m_as("in**2") == pytest.approx(area * 2**0.5)


def test_a_branch_asks_for_what_it_sits_on_and_takes_no_smaller_pipe() -> None:
    asked = ask(FOUR_INCH, header=Fraction(0))
    assert isinstance(asked, Question) and asked.asks_for == "header" and not asked.again
    smaller = ask(FOUR_INCH, header=Fraction(2))
    assert isinstance(smaller, Question) and "larger than the pipe under it" in smaller.prompt
    assert isinstance(ask(Piece(designation="W12X26"), header=Fraction(8)), Question)
    reply = ask(FOUR_INCH, header=Fraction(8), mitre=degrees(30), piece_length=feet(1))
    assert isinstance(reply, Answer) and reply.development is not None
    assert any("from its square end" in line for line in reply.notes)


def test_the_weight_of_a_piece_follows_its_length() -> None:
    reply = ask(Piece(designation="W12X26"), piece_length=feet(3.5))
    assert isinstance(reply, Answer)
    (weight,) = (figure for figure in reply.figures if figure.name == "weight")
    assert weight.low.m_as("lb") == pytest.approx(91)
    assert any("Rigging" in line for line in reply.cautions)


@pytest.mark.parametrize("length", [0, -2, 500])
def test_a_piece_that_cannot_be_that_long_is_asked_again(length: float) -> None:
    reply = ask(FOUR_INCH, piece_length=feet(length), mitre=degrees(45))
    assert isinstance(reply, Question) and reply.again


def test_a_gauge_that_is_not_listed_is_no_fault_beside_a_thickness() -> None:
    assert plan(Piece(thickness=inches(0.5), gauge=99)).cuts


def test_steel_burnt_out_is_the_kerf_through_the_section() -> None:
    """A 4 in schedule 40 wall has 3.17 in2: at 0.0495 in of kerf, 0.0446 lb."""
    found = plan(FOUR_INCH)
    assert found.section_area.m_as("in**2") == pytest.approx(3.174, abs=0.01)
    expected = 0.2836 * found.section_area.m_as("in**2") * found.kerf.m_as("in")
    assert found.removed.m_as("lb") == pytest.approx(expected)


def test_a_hole_is_pierced_and_run_round() -> None:
    reply = ask(Piece(thickness=inches(0.5)), task=Task.HOLE, cut_length=inches(2))
    assert isinstance(reply, Answer) and reply.plan is not None
    (cut,) = reply.plan.cuts
    assert cut.start is Start.PIERCE
    assert cut.length.m_as("in") == pytest.approx(2 * math.pi, rel=1e-4)
    assert any("Pierce" in line for line in reply.technique)
    assert isinstance(ask(Piece(thickness=inches(0.5)), task=Task.HOLE), Question)


def test_a_weld_has_the_figures_of_a_gouging_tip_alone() -> None:
    """A quarter inch fillet is 9 mm across its face: the 5 mm nozzle, 8 to 10 mm wide."""
    reply = ask(Piece(thickness=inches(0.5)), task=Task.STRIP_WELD)
    assert isinstance(reply, Answer)
    assert {figure.name for figure in reply.figures} == {
        *("oxygen_pressure", "fuel_pressure", "travel_speed")
    }
    reply = ask(None, task=Task.STRIP_WELD, weld=inches(0.25), cut_length=inches(24))
    assert isinstance(reply, Answer)
    found = {figure.name: figure for figure in reply.figures}
    assert found["oxygen_pressure"].low.m_as("bar") == pytest.approx(5.2, abs=0.05)
    assert found["travel_speed"].high.m_as("mm/min") == pytest.approx(1000)
    travel = 24 * 25.4 / 1000 * 60
    low, high = (end.m_as("s") for end in (found["time"].low, found["time"].high))
    assert travel < low < high < travel + 30
    jet = (158 / 28.3168) * travel / 60
    assert found["oxygen_used"].low.m_as("ft**3") > jet
    assert found["travel_speed"].status is Status.SECONDARY
    assert found["time"].status is Status.MEMORY  # the guess of the preheat is in it
    assert reply.technique and any("Unload" in line for line in reply.cautions)


@pytest.mark.parametrize("leg,passes", [(0.1875, "one pass"), (0.375, "two passes")])
def test_a_large_weld_takes_more_passes(leg: float, passes: str) -> None:
    reply = ask(None, task=Task.STRIP_WELD, weld=inches(leg), cut_length=inches(12))
    assert isinstance(reply, Answer)
    assert any(line.endswith(f"digs it out in {passes}.") for line in reply.technique)


@pytest.mark.parametrize("leg,length", [(0, 12), (5, 12), (0.25, 0), (0.25, 1e5)])
def test_a_weld_of_no_sensible_size_is_asked_again(leg: float, length: float) -> None:
    reply = ask(None, task=Task.STRIP_WELD, weld=inches(leg), cut_length=inches(length))
    assert isinstance(reply, Question) and reply.again


def test_a_weld_under_another_fuel_keeps_oxygen_and_travel_only() -> None:
    reply = ask(None, task=Task.STRIP_WELD, weld=inches(0.25), fuel=Fuel.PROPANE)
    assert isinstance(reply, Answer)
    assert {figure.name for figure in reply.figures} == {"oxygen_pressure", "travel_speed"}
    assert any("acetylene's" in line for line in reply.notes)


def test_a_pin_that_was_not_told_enough_of_is_told_in_words_alone() -> None:
    for reply in (ask(None, task=Task.PIN), ask(None, task=Task.PIN, cut_length=inches(1))):
        assert isinstance(reply, Answer)
        assert reply.figures == ()
        assert any("Tell me how thick the pin is" in line for line in reply.notes)
        assert any("Unload" in line for line in reply.cautions)


def test_a_pin_is_washed_out_in_rings_as_deep_as_its_lug() -> None:
    reply = ask(Piece(thickness=inches(2)), task=Task.PIN, cut_length=inches(1.5))
    assert isinstance(reply, Answer) and reply.plan is None
    found = {figure.name: figure for figure in reply.figures}
    kerf, travel = found["kerf"].low.m_as("in"), found["travel_speed"]
    length = ring_length(1.5, kerf)
    slowest = 60 * length / travel.low.m_as("in/min")
    assert found["time"].high.m_as("s") == pytest.approx(slowest, rel=0.05)  # no preheat over 1 in
    core = math.pi * (0.75 - 0.125) ** 2
    assert core <= length * kerf <= core * 1.2  # all of it, by whole rings
    assert reply.thickness == inches(2)
    assert isinstance(
        ask(Piece(thickness=inches(2)), task=Task.PIN, cut_length=inches(20)), Question
    )


def test_stored_energy_and_the_fall_zone_are_named_in_place() -> None:
    reply = ask(Piece(designation="W12X26"), access=Access.IN_PLACE)
    assert isinstance(reply, Answer)
    together = " ".join(reply.cautions)
    assert "Unload" in together and "fall zone" in together


def test_what_stops_a_setting_stops_a_plan() -> None:
    assert isinstance(ask(Piece(designation="W12X26", closed=True)), Refusal)
    galvanised = ask(Piece(designation="W12X26", surface=Surface.GALVANISED))
    assert isinstance(galvanised, Question) and galvanised.options
    assert isinstance(ask(Piece(thickness=inches(13))), Refusal)
    assert isinstance(ask(Piece(thickness=inches(0.03))), Refusal)
    assert isinstance(ask(Piece(designation="W12X27")), Question)
    assert isinstance(ask(Piece(nominal=Fraction(4))), Question)


def test_a_bare_shape_still_has_its_order() -> None:
    reply = ask(Piece(shape=Shape.BEAM))
    assert isinstance(reply, Answer) and reply.plan is None
    assert reply.technique


def test_metric_pieces_have_plans_too() -> None:
    for designation in ("IPE200", "UB305X165X40", "UPE200", "L100X100X10", "SHS100X100X6.3"):
        assert listed(designation).time is not None
    flat = Piece(shape=Shape.FLAT_BAR, thickness=millimetres(12), outside=(millimetres(100),))
    assert plan(flat).cuts[0].length.m_as("mm") == pytest.approx(100)


SOME = st.sampled_from(
    [row.designation for family in tables.FAMILIES for row in tables.sections_of(family)][::7]
)


@given(
    SOME,
    st.none() | st.floats(0.03, 0.11),
    st.sampled_from(Access),
    st.none() | st.sampled_from(Position),
    st.sampled_from(Fuel),
)
@settings(max_examples=250, deadline=None)
def test_whatever_the_section_its_plan_is_whole(
    designation: str,
    bore: float | None,
    access: Access,
    position: Position | None,
    fuel: Fuel,
) -> None:
    tip = TipOnHand(bore=inches(bore)) if bore is not None else None
    reply = ask(
        Piece(designation=designation), tip=tip, access=access, position=position, fuel=fuel
    )
    if not isinstance(reply, Answer):
        assert isinstance(reply, Refusal | Question)
        return
    found = reply.plan
    assert found is not None
    parts = [cut.part for cut in found.cuts]
    assert len(parts) == len(set(parts))
    assert [cut.number for cut in found.cuts] == list(range(1, len(parts) + 1))
    for cut in found.cuts:
        for span in (cut.time, cut.travel, cut.oxygen_pressure, cut.oxygen, cut.fuel):
            if span is not None:
                assert 0 < span[0].magnitude <= span[1].magnitude
        assert 0 <= cut.lean[0].m_as("degree") <= 75
        assert cut.deepest >= cut.thickness
    for sentence in (*reply.technique, *reply.cautions, *reply.notes):
        assert len(sentence.split()) <= 17, sentence
        assert not any(sign.isdigit() for sign in sentence), sentence


def test_every_quantity_of_a_plan_has_the_dimension_it_should() -> None:
    found = listed("C8X11.5")
    wanted: dict[str, tuple[Quantity, str]] = {
        "area": (found.section_area, "[length]**2"),
        "kerf": (found.kerf, "[length]"),
        "removed": (found.removed, "[mass]"),
        "weight": (found.weight, "[mass]/[length]"),
        "bore": (found.bore, "[length]"),
    }
    assert all(value.check(kind) for value, kind in wanted.values())
