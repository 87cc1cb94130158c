"""What is marked round a pipe: a straight line for a square cut, a wave for a mitre."""

import pytest

from handsfree.engine.plan import development
from handsfree.engine.plan.shapes import plate, round_section
from handsfree.values import Shape

PIPE = round_section(4.5, 0.237, Shape.PIPE)


def test_a_square_cut_unrolls_to_a_straight_line() -> None:
    found = development.mitre(PIPE, 0)
    assert found is not None
    assert {line.height.m_as("in") for line in found.ordinates} == {0.0}
    assert found.wrap.m_as("in") == pytest.approx(14.137, abs=0.001)


def test_ordinates_go_once_round_evenly_from_twelve_o_clock() -> None:
    found = development.mitre(PIPE, 45)
    assert found is not None
    assert len(found.ordinates) == 48
    assert [line.clock for line in found.ordinates[:13:3]] == [12.0, 0.75, 1.5, 2.25, 3.0]
    steps = [line.along.m_as("in") for line in found.ordinates]
    assert steps == pytest.approx([14.1372 * place / 48 for place in range(48)], abs=0.001)


def test_a_mitre_is_lowest_at_twelve_and_highest_at_six_o_clock() -> None:
    """45 degrees on 4.5 in outside: 4.5 in from the lowest to the highest."""
    found = development.mitre(PIPE, 45)
    assert found is not None
    heights = [float(line.height.m_as("in")) for line in found.ordinates]
    assert heights[0] == 0.0
    assert max(heights) == pytest.approx(4.5) == heights[24]


def test_a_mitre_too_steep_and_one_on_flat_steel_have_no_line() -> None:
    assert development.mitre(PIPE, 61) is None
    assert development.mitre(PIPE, -1) is None
    assert development.mitre(plate(6, 0.5), 45) is None


def test_a_branch_larger_than_its_header_has_no_line() -> None:
    assert development.saddle(PIPE, 4.0) is None
    found = development.saddle(PIPE, 4.5)
    assert found is not None
    assert max(line.height.m_as("in") for line in found.ordinates) == pytest.approx(2.25)


def test_steel_under_an_upright_jet_deepens_from_twelve_to_three_o_clock() -> None:
    """4 in schedule 40, wall 0.237; leaned with a mitre it is deeper by 1 / cos."""
    square, leaned = development.mitre(PIPE, 0), development.mitre(PIPE, 45)
    assert square is not None and leaned is not None
    by_hour = {line.clock: line.metal for line in square.ordinates}
    metal = [by_hour[hour] for hour in (12.0, 1.0, 2.0)]
    depths = [float(depth.m_as("in")) for depth in metal if depth is not None]
    assert depths[0] == pytest.approx(0.237)
    assert depths == sorted(depths) and len(depths) == 3
    assert all(by_hour[hour] is None for hour in (3.0, 4.0, 6.0, 8.0, 9.0))
    top = leaned.ordinates[0].metal
    assert top is not None and top.m_as("in") == pytest.approx(0.237 * 2**0.5)
