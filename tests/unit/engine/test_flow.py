"""Oxygen through the tip and the hose."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import flow, hose, tables

BORE = st.floats(0.02, 0.15)
PRESSURE = st.floats(10, 120)


@given(BORE, PRESSURE, st.floats(1.01, 2))
def test_more_bore_and_more_pressure_pass_more_oxygen(
    bore: float, pressure: float, more: float
) -> None:
    base = flow.mass_flow(bore, pressure)
    assert flow.mass_flow(bore * more, pressure) > base
    assert flow.mass_flow(bore, pressure * more) > base


def test_flow_doubles_with_absolute_not_gauge_pressure() -> None:
    low = flow.mass_flow(0.06, 30)
    doubled = 2 * (30 + flow.ATMOSPHERE) - flow.ATMOSPHERE
    assert flow.mass_flow(0.06, doubled) == pytest.approx(2 * low)


def test_purity_takes_what_the_course_page_says() -> None:
    for row in tables.oxygen_purity():
        assert flow.purity_pace(row.purity_percent) == pytest.approx(row.speed_factor)
        assert flow.purity_use(row.purity_percent) == pytest.approx(row.consumption_factor)


def test_purer_oxygen_than_the_page_names_is_no_faster() -> None:
    assert flow.purity_pace(99.9) == 1.0


def test_hose_loss_agrees_with_the_calculated_table() -> None:
    """Our own earlier calculation, smooth hose; 6 % and 0.1 psi for its one decimal."""
    wrong = []
    for row in tables.hose_drops():
        if row.drop is None:
            continue
        loss = float(row.drop.m_as("psi"))
        tip = float(row.regulator_pressure.m_as("psi")) - loss
        found = hose.regulator_pressure(
            tip,
            float(row.flow.m_as("cfh")),
            float(row.length.m_as("ft")),
            float(row.bore.m_as("in")),
        )
        if found - tip != pytest.approx(loss, rel=0.06, abs=0.1):
            wrong.append((row.bore, row.length, row.flow, loss, found - tip))
    assert not wrong


@given(st.floats(10, 80), st.floats(20, 400), st.floats(5, 400), st.floats(0.1875, 0.5), BORE)
def test_a_hose_always_costs_and_a_longer_one_costs_more(
    tip: float, amount: float, length: float, bore: float, more: float
) -> None:
    found = hose.regulator_pressure(tip, amount, length, bore)
    assert found > tip
    longer = min(length * (1 + more), 400.0)
    assert hose.regulator_pressure(tip, amount, longer, bore) >= found - 1e-9


@pytest.mark.parametrize(("length", "bore"), [(1, 0.25), (500, 0.25), (50, 0.05), (50, 2)])
def test_refuses_hoses_outside_the_formula(length: float, bore: float) -> None:
    with pytest.raises(ValueError, match="outside the formula"):
        hose.regulator_pressure(30, 100, length, bore)
