"""Gas at hand against gas needed: careful ends, the smallest rule, and a long fuel hose."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import gases, hose, tables
from handsfree.engine.answer import answer
from handsfree.engine.fuel_hose import fuel_at_regulator, lost
from handsfree.engine.supply import contents
from handsfree.engine.supply.cold import propane_draw
from handsfree.engine.supply.draw import cylinders_for, draw_limit
from handsfree.engine.work import Hose
from handsfree.values import (
    About,
    Fuel,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Shape,
    Status,
    Store,
    TipBox,
)
from handsfree.values.units import feet, inches, psi, registry
from tests.unit.engine.asking import answered, ends, made_for

BEAM = Piece(designation="W12X26")


def ask(piece: Piece | None = BEAM, **more: Any) -> Reply:
    stores = more.pop("stores", (Store("oxygen"),))
    rig = more.pop("rig", Rig())
    return answer(Request(About.GAS, piece=piece, stores=stores, **more), rig, TipBox())


def pounds(value: float) -> Any:
    return registry.Quantity(value, "lb")


def fahrenheit(value: float) -> Any:
    return registry.Quantity(value, "degF")


def test_a_full_cylinder_does_twelve_beams() -> None:
    reply = answered(ask(count=12))
    assert reply.technique[0] == "Oxygen will do, if the cylinder is full."
    used = ends(reply, "oxygen_used", "ft**3")
    assert used[1] < ends(reply, "oxygen_left", "ft**3")[0]
    assert reply.plan is not None and reply.plan.oxygen is not None
    assert used[1] == pytest.approx(12 * float(reply.plan.oxygen[1].m_as("ft**3")))


def test_the_verdict_takes_the_careful_end_of_every_range() -> None:
    left = ends(ask(), "oxygen_left", "ft**3")[0]
    one = ends(ask(), "oxygen_used", "ft**3")
    surely, never = int(left / one[1]), int(left / one[0]) + 1
    assert "will do" in answered(ask(count=surely)).technique[0]
    assert "may run out" in answered(ask(count=surely + 1)).technique[0]
    assert "will not do" in answered(ask(count=never)).technique[0]
    assert ends(ask(), "cuts_left", "") == (surely, never - 1)


def test_a_gauge_that_was_read_counts_instead_of_a_full_cylinder() -> None:
    store = Store("oxygen", gauge=psi(1000))
    reply = answered(ask(stores=(store,)))
    assert ends(reply, "oxygen_left", "ft**3")[0] < 108
    assert not any("usual full" in note for note in reply.notes)
    assert any("usual full" in note for note in answered(ask()).notes)


def test_a_cold_cylinder_reads_less_and_holds_as_much() -> None:
    cold = Store("oxygen", gauge=psi(1974), temperature=registry.Quantity(32, "degF"))
    full = ends(ask(), "oxygen_left", "ft**3")[0]
    assert ends(ask(stores=(cold,)), "oxygen_left", "ft**3")[0] == pytest.approx(full, rel=0.01)


def test_two_cylinders_hold_twice_as_much() -> None:
    one, two = (ends(ask(stores=(Store("oxygen", n),)), "oxygen_left", "ft**3")[0] for n in (1, 2))
    assert two == pytest.approx(2 * one)


def test_the_change_over_leaves_the_regulator_its_margin() -> None:
    """The W12X26 with its right tip wants up to 25 psi: 25.2 + 50, on the next five."""
    assert ends(ask(), "change_over", "psi") == (80, 80)


@pytest.mark.parametrize(
    "store",
    [
        Store("oxygen", gauge=psi(5000)),
        Store("oxygen", gauge=psi(-5)),
        Store("oxygen", cylinders=0),
        Store("oxygen", content=registry.Quantity(2, "ft**3")),
        Store("oxygen", temperature=registry.Quantity(300, "degF")),
        Store("fuel", gross=pounds(90), tare=pounds(100)),
        Store("fuel", gross=pounds(900), tare=pounds(100)),
        Store("fuel", cylinders=40),
    ],
)
def test_what_cannot_be_is_asked_again(store: Store) -> None:
    reply = ask(stores=(store,))
    assert isinstance(reply, Question) and reply.again


def test_acetylene_is_told_by_weight_and_its_pressure_is_warned_of() -> None:
    """Ten pounds at 14.7 cubic feet a pound."""
    store = Store("fuel", gross=pounds(110), tare=pounds(100))
    reply = answered(ask(stores=(store,)))
    assert ends(reply, "fuel_left", "ft**3") == pytest.approx((147, 147))
    assert reply.technique[0].startswith("Acetylene")
    assert any("Weigh the cylinder" in line for line in reply.cautions)


def test_the_smallest_published_rule_bounds_the_draw() -> None:
    """A fifteenth up to 750 cubic feet, 50 cubic feet an hour beyond."""
    for content in (10.0, 130.0, 330.0, 749.0):
        assert draw_limit(content).flow == pytest.approx(content / 15, rel=1e-4)
    assert draw_limit(1000.0).flow == 50
    for _, listed in tables.acetylene_draws():
        value = listed.value
        flow = value.m_as("cfh") if not value.check("1/[time]") else 330 * value.m_as("1/hour")
        assert draw_limit(330.0).flow <= flow + 1e-9


@given(st.floats(1, 200), st.floats(20, 500))
def test_enough_cylinders_are_named_and_no_more(flow: float, content: float) -> None:
    many = cylinders_for(flow, content)
    assert many * draw_limit(content).flow >= flow - 1e-6
    assert many == 1 or (many - 1) * draw_limit(content).flow < flow


def test_thick_steel_calls_for_a_manifold() -> None:
    """Six inch plate burns 25 to 37 cfh; a 330 cubic foot cylinder gives 22."""
    reply = answered(ask(Piece(thickness=inches(6)), cut_length=feet(1)))
    assert "Draw from two acetylene cylinders together, on a manifold." in reply.technique


def test_other_fuels_are_told_by_weight_too_and_natural_gas_comes_by_pipe() -> None:
    propane = answered(ask(fuel=Fuel.PROPANE))
    assert any("frosted" in line for line in propane.cautions)
    drawn = next(figure for figure in propane.figures if figure.name == "draw_limit")
    assert drawn.status is Status.SECONDARY
    assert drawn.low.m_as("cfh") == pytest.approx(116)  # 300,000 Btu/h at 2572 Btu a cubic foot
    assert len(answered(ask(fuel=Fuel.NATURAL_GAS)).technique) == 1


def test_without_steel_it_asks_for_it() -> None:
    assert isinstance(ask(None), Question)


def test_a_cut_without_figures_gets_no_gas_figures() -> None:
    shaft = Piece(shape=Shape.SHAFT, thickness=inches(1.5))
    assert isinstance(ask(shaft, tip=made_for(0.25)), Refusal)


def test_gas_figures_without_a_store_stay_those_of_a_foot() -> None:
    reply = answered(ask(Piece(thickness=inches(0.5)), stores=()))
    assert {figure.name for figure in reply.figures} == {"oxygen_flow", "fuel_flow", "time"}


def test_a_rule_of_thumb_for_acetylene_by_weight_agrees_with_the_gas_law() -> None:
    """386.8 cubic feet a pound mole at 70 F, 26.038 g a mole: 14.86 if ideal, within 1.5 %."""
    ideal = 379.5 * (70 + 459.67) / (60 + 459.67) / 26.038
    assert contents.rule("acetylene_a_pound") == pytest.approx(ideal, rel=0.015)


@given(st.floats(0, 2700), st.floats(-20, 120))
def test_more_pressure_is_more_gas(gauge: float, temperature: float) -> None:
    low, high = (
        contents.oxygen_left(gauge * 0.9, temperature),
        contents.oxygen_left(gauge, temperature),
    )
    assert low is not None and high is not None
    assert -1e-9 <= low <= high + 1e-9


def test_a_long_fuel_hose_raises_the_fuel_pressure_but_never_over_its_limit() -> None:
    listed = gases.fuel_pressure(Fuel.ACETYLENE, 6.0)
    assert listed is not None
    short = fuel_at_regulator(Fuel.ACETYLENE, 6.0, (25.0, 37.0), Hose(25, 0.25))
    long = fuel_at_regulator(Fuel.ACETYLENE, 6.0, (25.0, 37.0), Hose(200, 0.1875))
    assert short is not None and long is not None
    assert short.pressure == listed.pressure
    assert long.pressure[1] > listed.pressure[1] + 3
    rig = Rig(hose_length=feet(400), hose_bore=inches(0.1875))
    reply = answer(Request(About.SETTING, piece=Piece(thickness=inches(12))), rig, TipBox())
    assert isinstance(reply, Refusal)


@pytest.mark.parametrize(
    ("thickness", "length", "bore"),
    [(8, 50, 0.1875), (8, 75, 0.25), (10, 50, 0.25), (10, 100, 0.25)],
)
def test_one_end_over_the_fuels_limit_refuses_the_hose_whatever_is_asked(
    thickness: float, length: float, bore: float
) -> None:
    """Natural gas through that hose: the low end stays under its limit, the high end does not."""
    rig = Rig(Fuel.NATURAL_GAS, feet(length), inches(bore))
    piece = Piece(thickness=inches(thickness))
    for about in (About.SETTING, About.OXYGEN_PRESSURE, About.TRAVEL_SPEED, About.KERF):
        reply = answer(Request(about, piece=piece), rig, TipBox())
        assert isinstance(reply, Refusal) and "hose is too long" in reply.reason, about


@pytest.mark.parametrize("fuel", Fuel)
def test_only_what_a_hose_is_longer_than_a_shops_is_counted(fuel: Fuel) -> None:
    """The table's pressures are for a shop's 25 feet, so that a hose of 75 loses what 50 lose."""
    fifty = hose.regulator_pressure(5.0, 40.0, 50.0, 0.25, hose.gas(fuel.value)) - 5.0
    assert lost(fuel, 5.0, 40.0, Hose(75, 0.25)) == pytest.approx(fifty)
    assert lost(fuel, 5.0, 40.0, Hose(25, 0.25)) == 0 < fifty


def test_a_computed_fuel_pressure_is_marked_so() -> None:
    rig = Rig(hose_length=feet(200), hose_bore=inches(0.1875))
    reply = answer(Request(About.FUEL_PRESSURE, piece=Piece(thickness=inches(0.5))), rig, TipBox())
    (figure,) = (each for each in answered(reply).figures if each.name == "fuel_pressure")
    assert figure.low.m_as("psi") > 4
    assert figure.status in (Status.COMPUTED, Status.COMMON_PRACTICE)


def test_lighter_gas_loses_less_in_the_same_hose() -> None:
    at = {
        name: hose.regulator_pressure(6, 40, 200, 0.25, hose.gas(name)) - 6
        for name in ("natural gas", "acetylene", "propane")
    }
    assert at["natural gas"] < at["acetylene"] < at["propane"]


def test_a_cold_or_emptier_propane_cylinder_gives_less() -> None:
    full, cold_one = propane_draw(100, 70), propane_draw(100, 0)
    emptier = propane_draw(20, 70)
    assert full is not None and cold_one is not None and emptier is not None
    assert cold_one.flow < full.flow and emptier.flow < full.flow
    assert propane_draw(59, 69) == propane_draw(50, 60)  # the smaller row and column
    assert propane_draw(9, 70) is None and propane_draw(50, -10) is None


def test_thick_steel_calls_for_more_propane_cylinders_in_the_cold() -> None:
    store = Store("fuel", gross=pounds(90), tare=pounds(70), temperature=fahrenheit(5))
    reply = answered(
        ask(Piece(thickness=inches(10)), cut_length=feet(1), fuel=Fuel.PROPANE, stores=(store,))
    )
    assert any("fuel cylinders together" in line for line in reply.technique)


def test_a_full_oxygen_cylinder_cools_its_regulator_more_than_one_near_empty() -> None:
    full = ends(ask(), "cooling", "delta_degF")
    low = ends(ask(stores=(Store("oxygen", gauge=psi(500)),)), "cooling", "delta_degF")
    assert [*full, *low] == pytest.approx([68, 68, 15, 15])
