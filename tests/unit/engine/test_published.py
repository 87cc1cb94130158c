"""The hand table at any thickness inside it."""

from itertools import pairwise

import pytest

from handsfree.engine import published


def test_a_row_is_given_as_it_stands() -> None:
    row = published.hand_cutting_at(0.75)
    assert row is not None
    assert (row.pressure, row.speed, row.bore) == ((24, 35), (12, 14.5), (0.0465, 0.0595))
    assert not row.between


def test_half_way_between_two_rows_is_half_way() -> None:
    row = published.hand_cutting_at(0.625)
    assert row is not None and row.between
    assert row.pressure == pytest.approx((22, 32.5))


@pytest.mark.parametrize("thickness", [0.0, 0.06, 0.12, 12.01, 80])
def test_outside_the_table_there_is_nothing(thickness: float) -> None:
    assert published.hand_cutting_at(thickness) is None
    assert published.suiting(thickness) is None


def test_metric_plate_that_is_an_inch_size_is_that_row() -> None:
    for millimetres in (3.175, 6.35, 12.7, 25.4, 304.8):
        row = published.hand_cutting_at(millimetres / 25.4)
        assert row is not None and not row.between, millimetres


def test_the_table_never_gets_faster_with_thickness() -> None:
    rows = published.rows()
    for below, above in zip(rows, rows[1:], strict=False):
        assert above.speed[0] <= below.speed[0] and above.speed[1] <= below.speed[1]


def test_both_tables_say_which_bores_suit() -> None:
    assert published.suiting(0.5) == (0.0465, 0.0595)
    low, high = published.suiting(1.0) or (0, 0)
    assert low == 0.0465
    assert high == pytest.approx(1.6 / 25.4)  # the metric table's nozzle for 19 to 100 mm


def test_a_bore_has_the_highest_pressure_that_lists_it() -> None:
    assert published.pressure_limit(0.038) == 25
    assert published.pressure_limit(0.067) == 55
    assert published.pressure_limit(0.035) == pytest.approx(19.9, abs=0.1)  # of the 0.8 mm nozzle
    assert published.pressure_limit(0.02) is None


def test_the_metric_table_interpolates_as_its_worked_figure_shows() -> None:
    """Trade course: 1.6 kgf/cm2 for 10 mm, from a band of 1.4 to 2.1 over 6 to 19 mm."""
    nozzle = next(n for n in published.metric_nozzles() if abs(n.bore - 1.2 / 25.4) < 1e-6)
    found = nozzle.pressure_at(10 / 25.4)
    assert found is not None
    assert found / 14.2233 == pytest.approx(1.6, abs=0.05)
    assert nozzle.pressure_at(1.0) is None


@pytest.mark.parametrize("share", [0.1, 0.25, 0.9])
def test_between_two_rows_what_lies_nearer_weighs_more(share: float) -> None:
    """A tenth of the way from one row to the next, each end is a tenth of the way as well."""
    for low, high in pairwise(published.rows()):
        thickness = low.thickness + share * (high.thickness - low.thickness)
        between = published.hand_cutting_at(thickness)
        assert between is not None and between.between
        for name in ("bore", "pressure", "speed", "oxygen", "acetylene"):
            ends = zip(getattr(low, name), getattr(high, name), strict=True)
            wanted = [(1 - share) * below + share * above for below, above in ends]
            assert getattr(between, name) == pytest.approx(wanted), (name, thickness)
