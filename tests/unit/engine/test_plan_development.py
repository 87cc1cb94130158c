"""What is marked round a pipe: a straight line for a square cut, a wave for a mitre."""

import math

import pytest

from handsfree.engine.plan import balance, development
from handsfree.engine.plan.shapes import angle, plate, round_section
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


@pytest.mark.parametrize("degrees", [0.0, 15.0, 45.0, 60.0])
def test_a_saddle_lies_on_the_header_all_the_way_round(degrees: float) -> None:
    """Every point of the line, put back into space, is one radius from the header's axis."""
    found = development.saddle(PIPE, 8.625, degrees)
    assert found is not None
    lean, radius = math.radians(degrees), 2.25
    top = (4.3125 + radius * math.sin(lean)) / math.cos(lean)
    for line in found.ordinates:
        turn = 2 * math.pi * (line.clock % 12) / 12
        along = top - line.height.m_as("in")
        across = radius * math.sin(turn)
        up = along * math.cos(lean) - radius * math.cos(turn) * math.sin(lean)
        assert math.hypot(across, up) == pytest.approx(4.3125)
        assert line.height.m_as("in") >= -1e-9


def test_a_saddle_on_something_flat_is_a_mitre() -> None:
    flat, mitred = development.saddle(PIPE, 1e7, 30), development.mitre(PIPE, 30)
    assert flat is not None and mitred is not None
    for one, other in zip(flat.ordinates, mitred.ordinates, strict=True):
        assert one.height.m_as("in") == pytest.approx(other.height.m_as("in"), abs=1e-6)


def test_a_saddled_stub_balances_as_its_mesh_does() -> None:
    """Against thin strips of the wall, each as long as its ordinate says."""
    degrees, length, header = 30.0, 12.0, 8.625
    off, along = development.balance_of_saddled_stub(PIPE, header, length, degrees)
    heights = [development.saddle_height(4.5, header, angle, degrees) for angle in range(360)]
    middle = (heights[0] + heights[180]) / 2
    reaches = [length + height - middle for height in heights]
    wall = (2.25 + 2.013) / 2
    weight = sum(reaches)
    assert along == pytest.approx(sum(r * r / 2 for r in reaches) / weight, rel=1e-3)
    sideways = sum(-r * wall * math.cos(math.radians(a)) for a, r in enumerate(reaches)) / weight
    assert off == pytest.approx(sideways, rel=1e-3)
    assert off > 0


def test_a_mitred_bar_balances_as_its_slices_do() -> None:
    degrees, length = 40.0, 20.0
    section = angle(4.0, 3.0, 0.5, 0.5)
    off, along = balance.of_mitred(section, length, degrees)
    slope, weight, first, second = math.tan(math.radians(degrees)), 0.0, 0.0, 0.0
    for _, y, area in _cells():
        reach = length + slope * (y - section.balance[1])
        weight += area * reach
        first += area * reach * (y - section.balance[1])
        second += area * reach**2 / 2
    assert off == pytest.approx(first / weight, rel=0.02)
    assert along == pytest.approx(second / weight, rel=0.02)


def _cells() -> list[tuple[float, float, float]]:
    """The two legs of an angle of 4 by 3 by a half in cells of a twentieth of an inch square."""
    step, found = 0.05, []
    for column in range(60):
        for row in range(80):
            x, y = (column + 0.5) * step, (row + 0.5) * step
            if x < 0.5 or y < 0.5:
                found.append((x, y, step * step))
    return found
