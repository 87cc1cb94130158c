"""Chords, areas and balance points against marches and random points, not against formulas."""

import math
import random

import pytest

from handsfree.engine.plan import development, mitres, round_wall, shapes
from handsfree.engine.plan.sections import listed_section


def marched(radius: float, bore: float, miss: float, lean: float, step: float = 2e-5) -> float:
    """Metal up to where a jet first leaves steel, counted in small steps along the jet."""
    slope = 1 / math.cos(math.radians(lean))
    inside, x = 0, -radius
    began = False
    while x <= radius:
        far = math.hypot(x, miss)
        if bore <= far <= radius:
            inside += 1
            began = True
        elif began:
            break
        x += step
    return inside * step * slope


@pytest.mark.parametrize("hour", [12, 0.5, 1, 1.5, 2, 2.5, 2.9])
@pytest.mark.parametrize("lean", [0.0, 30.0, 60.0])
def test_metal_along_the_jet_at_each_hour_agrees_with_a_march(hour: float, lean: float) -> None:
    radius, bore = 3.3125, 3.0325
    miss = radius * math.sin(2 * math.pi * hour / 12)
    found = round_wall.at_clock(radius, bore, hour, lean)
    assert found == pytest.approx(marched(radius, bore, miss, lean), abs=2e-3)


@pytest.mark.parametrize(
    ("tilt", "metal"), [(0, 0.280), (30, 0.328), (45, 0.416), (60, 0.673), (70, 2.27)]
)
def test_six_inch_standard_pipe_by_tilt(tilt: float, metal: float) -> None:
    """Worked out apart from this code, for 6.625 by 0.280 in."""
    assert round_wall.tilted(3.3125, 3.0325, tilt) == pytest.approx(metal, abs=0.005)


def test_slices_of_a_round_add_up_to_its_area() -> None:
    """24 slices: within half a percent of pi r squared."""
    area = sum(step * metal for step, metal in round_wall.slices(3.0))
    assert area == pytest.approx(math.pi * 1.5**2, rel=0.005)


@pytest.mark.parametrize("designation", ["C8X11.5", "L6X4X1/2", "WT6X13", "W12X26", "HSS8X6X1/2"])
def test_balance_of_a_section_agrees_with_random_points(designation: str) -> None:
    """60,000 points over the section: within 1.5 percent of its depth."""
    section = listed_section(designation)
    assert section is not None
    draw = random.Random(7)
    points = [point for ring in section.rings for point in ring]
    low = [min(point[axis] for point in points) for axis in (0, 1)]
    high = [max(point[axis] for point in points) for axis in (0, 1)]
    kept = [
        place
        for place in (
            (draw.uniform(low[0], high[0]), draw.uniform(low[1], high[1])) for _ in range(60000)
        )
        if sum(inside(ring, place) for ring in section.rings) == 1
    ]
    mean = [sum(place[axis] for place in kept) / len(kept) for axis in (0, 1)]
    assert section.balance == pytest.approx(mean, abs=0.015 * (high[1] - low[1]))


def inside(ring: shapes.Ring, place: tuple[float, float]) -> bool:
    crossings = 0
    for one, other in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (one[1] > place[1]) != (other[1] > place[1]):
            at = one[0] + (place[1] - one[1]) / (other[1] - one[1]) * (other[0] - one[0])
            crossings += at > place[0]
    return crossings % 2 == 1


def test_a_mitred_stub_balances_where_random_points_say() -> None:
    """4 in schedule 40, 12 in long on its centre line, 45 degrees; within 0.03 in."""
    radius, bore, length, degrees = 2.25, 2.013, 12.0, 45.0
    draw, slope = random.Random(11), math.tan(math.radians(degrees))
    xs: list[float] = []
    zs: list[float] = []
    while len(xs) < 60000:
        x, y = draw.uniform(-radius, radius), draw.uniform(-radius, radius)
        z = draw.uniform(0, length + radius)
        if bore <= math.hypot(x, y) <= radius and z <= length + x * slope:
            xs.append(x)
            zs.append(z)
    off, along = development.balance_of_mitred_stub(radius, bore, length, degrees)
    assert off == pytest.approx(sum(xs) / len(xs), abs=0.03)
    assert along == pytest.approx(sum(zs) / len(zs), abs=0.03)


@pytest.mark.parametrize("angle", [0, 30, 90, 135, 180, 270])
def test_a_mitre_lies_on_one_plane(angle: float) -> None:
    """Rolled up again, every ordinate of a mitre lies on the plane that cuts it."""
    outside, degrees = 4.5, 35.0
    x = outside / 2 * math.cos(math.radians(angle))
    height = development.mitre_height(outside, degrees, angle)
    assert height == pytest.approx((outside / 2 - x) * math.tan(math.radians(degrees)))


@pytest.mark.parametrize("angle", [0, 20, 45, 90, 160, 200])
def test_a_saddle_lies_on_the_header(angle: float) -> None:
    """Rolled up again, every ordinate of a saddle lies on the header's outside."""
    branch, header = 4.5, 8.625
    across = branch / 2 * math.sin(math.radians(angle))
    below_crown = development.saddle_height(branch, header, angle)
    assert math.hypot(across, header / 2 - below_crown) == pytest.approx(header / 2)


@pytest.mark.parametrize("degrees", [15.0, 30.0, 45.0])
@pytest.mark.parametrize("designation", ["W12X26", "L4X4X3/8", "HSS6X6X3/8", "C8X11.5"])
def test_a_mitred_face_by_marching_along_its_jet(designation: str, degrees: float) -> None:
    """The jet lies in the cut's plane, square to the travel; it is followed until it leaves."""
    section = listed_section(designation)
    assert section is not None
    slope = math.tan(math.radians(degrees))
    for face, cut in zip(section.faces, mitres.mitred(section, degrees).faces, strict=True):
        (x0, y0), (x1, y1) = face.start, face.end
        ends = (x1 - x0, y1 - y0, slope * (y1 - y0))
        assert face.length * cut.slant == pytest.approx(math.hypot(*ends))
        # any direction in the plane, less its share along the travel, is the jet's
        outward = (*face.outward, slope * face.outward[1])
        share = sum(a * b for a, b in zip(outward, ends, strict=True)) / math.hypot(*ends) ** 2
        jet = [a - share * b for a, b in zip(outward, ends, strict=True)]
        step, gone = 1e-4, 0.0
        while gone * (jet[0] * face.outward[0] + jet[1] * face.outward[1]) < face.thickness:
            gone += step
        assert cut.thickness == pytest.approx(gone * math.hypot(*jet), abs=1e-3)
