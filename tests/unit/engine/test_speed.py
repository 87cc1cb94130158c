"""The speed model, and the work made from it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import published, speed
from handsfree.engine.tips import KnownTip
from handsfree.engine.work import Beyond, Hose, Work, reach, rounded_inward, work_out
from handsfree.values import Fit, Fuel

INSIDE = st.floats(0.125, 12)
BORE = st.floats(0.03, 0.13)


def worked(thickness: float, bore: float | None, line: Hose | None = None) -> Work:
    tip = None if bore is None else KnownTip(bore)
    found = work_out(thickness, tip, Fuel.ACETYLENE, line, 99.5)
    assert isinstance(found, Work), found
    return found


def middle(ends: tuple[float, float]) -> float:
    return sum(ends) / 2


def by_the_table(row: published.Published) -> float:
    """Small bore with the top pressure, large bore with the low one, as the table pairs them."""
    one = speed.pace(row.thickness, row.bore[0], row.pressure[1]).handbook
    other = speed.pace(row.thickness, row.bore[1], row.pressure[0]).handbook
    return math.sqrt(one * other)


def test_model_keeps_inside_the_published_speeds_on_thirteen_rows_of_fifteen() -> None:
    """Hand table (memory), 15 rows; the model is fitted on them with two constants."""
    inside = [row for row in published.rows() if row.speed[0] <= by_the_table(row) <= row.speed[1]]
    assert len(inside) >= 13


def test_tip_for_a_quarter_runs_twenty_to_thirty_on_a_quarter() -> None:
    """Common practice, no published source: bore of 0.038 in at 25 psi, tolerance the range."""
    found = speed.pace(0.25, 0.038, 25)
    assert 20 <= math.sqrt(found.handbook * found.trade) <= 30


def test_tip_for_a_quarter_separates_three_quarters_at_four_to_five() -> None:
    """Common practice, no published source; oxygen about 25 psi."""
    found = worked(0.75, 0.038)
    assert found.fit is Fit.TOO_SMALL
    assert 4 <= middle(found.speed) <= 5
    assert middle(found.pressure) == pytest.approx(25, abs=1.5)


def test_tip_for_two_inches_leaned_on_a_quarter_runs_about_forty_five() -> None:
    """Common practice, no published source; "about" taken as a tenth either way."""
    found = worked(0.25, 0.067)
    assert found.fit is Fit.TOO_LARGE
    assert middle(found.speed) == pytest.approx(45, rel=0.1)
    assert 60 <= found.lean <= 75
    assert middle(found.pressure) == pytest.approx(25, abs=1.5)


@given(INSIDE, BORE)
def test_work_is_finite_and_ordered_or_refused(thickness: float, bore: float) -> None:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    if isinstance(found, Beyond):
        assert found.why in ("unlisted", "small", "far", "large")
        return
    for low, high in (found.pressure, found.speed, found.kerf):
        assert 0 < low <= high < 1000
    assert 0 <= found.lean <= speed.constants().lean_limit
    assert found.path == pytest.approx(thickness / math.cos(math.radians(found.lean)))


@given(st.floats(0.125, 11.5), st.floats(1.02, 1.5))
def test_thicker_is_never_faster_with_the_right_tip(thickness: float, more: float) -> None:
    thicker = min(thickness * more, 12.0)
    thin, thick = worked(thickness, None).speed, worked(thicker, None).speed
    assert thick[0] <= thin[0] + 1e-9 and thick[1] <= thin[1] + 1e-9


@given(BORE, st.floats(0.125, 11.5), st.floats(1.0, 1.6))
def test_thicker_is_never_faster_with_one_tip(bore: float, thickness: float, more: float) -> None:
    """A twentieth is allowed: the lean goes in steps of five degrees, the tables in rows."""
    thicker = min(thickness * more, 12.0)
    thin = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    thick = work_out(thicker, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    if isinstance(thin, Work) and isinstance(thick, Work):
        assert middle(thick.speed) <= middle(thin.speed) * 1.05


@given(INSIDE, BORE)
def test_a_small_tip_is_never_faster_and_a_large_one_never_slower(
    thickness: float, bore: float
) -> None:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    if isinstance(found, Beyond):
        return
    if found.fit is Fit.TOO_SMALL:
        assert found.speed[1] <= found.row.speed[1]
    elif found.fit is Fit.TOO_LARGE:
        assert found.speed[0] >= found.row.speed[0]
    else:
        assert found.speed == found.row.speed


@given(INSIDE, BORE)
def test_a_tip_too_large_never_runs_above_the_pressure_of_its_path(
    thickness: float, bore: float
) -> None:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    if isinstance(found, Work) and found.fit is Fit.TOO_LARGE:
        row = published.hand_cutting_at(found.path)
        assert row is not None
        assert row.pressure[0] <= found.pressure[0] <= found.pressure[1] <= middle(row.pressure)


@given(INSIDE, BORE)
def test_a_tip_too_small_never_runs_above_what_lists_its_bore(
    thickness: float, bore: float
) -> None:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    if isinstance(found, Work) and found.fit is Fit.TOO_SMALL:
        limit = published.pressure_limit(bore)
        assert limit is not None and found.pressure[1] <= limit


@given(st.floats(0.125, 6), st.floats(20, 200))
def test_a_hose_raises_the_regulator_and_nothing_else(thickness: float, length: float) -> None:
    bare, hosed = worked(thickness, None), worked(thickness, None, Hose(length, 0.375))
    assert hosed.regulator[0] > bare.regulator[0] and hosed.regulator[1] > bare.regulator[1]
    assert (hosed.pressure, hosed.speed) == (bare.pressure, bare.speed)


def test_impure_oxygen_is_slower() -> None:
    pure = work_out(0.5, None, Fuel.ACETYLENE, None, 99.5)
    impure = work_out(0.5, None, Fuel.ACETYLENE, None, 98.5)
    assert isinstance(pure, Work) and isinstance(impure, Work)
    assert impure.speed[0] == pytest.approx(0.85 * pure.speed[0])


@pytest.mark.parametrize(
    ("thickness", "bore", "why"),
    [
        (2.0, 0.038, "small"),
        (1.0, 0.038, "far"),
        (0.125, 0.11, "large"),
        (0.125, 0.03, "unlisted"),
    ],
)
def test_refuses_tips_beyond_the_model(thickness: float, bore: float, why: str) -> None:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    assert found == Beyond(why)


def test_a_tip_reaches_as_far_as_it_is_answered_for() -> None:
    for bore in (0.038, 0.0465, 0.0595, 0.067):
        furthest = reach(bore)
        assert furthest is not None
        inside = work_out(furthest, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
        beyond = work_out(furthest + 0.05, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
        assert isinstance(inside, Work) and isinstance(beyond, Beyond), bore


@given(st.floats(1, 100), st.floats(0, 50))
def test_rounding_never_leaves_the_range(low: float, width: float) -> None:
    found = rounded_inward(low, low + width, 1.0)
    assert low - 1e-6 <= found[0] <= found[1] <= low + width + 1e-6


def test_a_leaned_tip_on_thin_plate_is_held_to_the_fastest_check() -> None:
    """The trade check (common practice) has 45 in/min on 1/4 in; the model's spread is a tenth."""
    for bore in (0.05, 0.06, 0.067):
        for thickness in (0.125, 0.1875):
            found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
            assert isinstance(found, Work)
            assert found.speed[0] <= 30 and found.speed[1] <= 45 * 1.1 + 1e-9
