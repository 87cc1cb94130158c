"""A piece becomes a section whose edges, faces and weight agree with each other."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import tables
from handsfree.engine.plan import shapes
from handsfree.engine.plan.lies import lie, turn
from handsfree.engine.plan.sections import listed_section, section_of
from handsfree.values import Access, Piece, Shape
from handsfree.values.units import inches, millimetres

SIZES = st.floats(0.5, 40)


def test_every_listed_section_is_drawn_with_the_area_that_its_table_lists() -> None:
    """Edges without fillets: within 9 percent; an inch tube is listed at 0.93 of its wall.

    M3X2.9 is left out: its listed area exceeds both its plates and its weight.
    """
    wrong = []
    for family in tables.FAMILIES:
        for row in tables.sections_of(family):
            section = listed_section(row.designation)
            assert section is not None
            areas = [abs(shapes.ring_area(ring)) for ring in section.rings]
            drawn = areas[0] - sum(areas[1:])
            if row.designation == "M3X2.9":
                continue
            if not 0.91 <= drawn / float(row.area.m_as("in**2")) <= 1.09:
                wrong.append(f"{row.designation}: {drawn:.2f} drawn, {row.area:~P} listed")
    assert wrong == []


def test_faces_cover_the_section_once() -> None:
    """Length times thickness of all faces: the drawn area but for the root, and round corners."""
    wrong = []
    for family in tables.FAMILIES:
        for row in tables.sections_of(family):
            section = listed_section(row.designation)
            assert section is not None
            if section.faces:
                areas = [abs(shapes.ring_area(ring)) for ring in section.rings]
                drawn = areas[0] - sum(areas[1:])
                covered = sum(face.length * face.thickness for face in section.faces)
                most = 1.16 if section.hollow else 1.06
                if not 0.97 <= covered / drawn <= most:
                    wrong.append(f"{row.designation}: {covered / drawn:.3f}")
    assert wrong == []


@pytest.mark.parametrize(
    ("designation", "faces"),
    [
        ("W12X26", {"top flange": 0.38, "bottom flange": 0.38, "web": 0.23}),
        ("C8X11.5", {"bottom flange": 0.39, "web": 0.22, "top flange": 0.39}),
        ("L4X4X3/8", {"lying leg": 0.375, "standing leg": 0.375}),
        ("WT6X13", {"flange": 0.38, "stem": 0.23}),
        ("HSS6X6X3/8", {"bottom": 0.375, "right side": 0.375, "top": 0.375, "left side": 0.375}),
    ],
)
def test_each_face_has_the_thickness_of_its_table(
    designation: str, faces: dict[str, float]
) -> None:
    section = listed_section(designation)
    assert section is not None
    assert {face.name: face.thickness for face in section.faces} == pytest.approx(faces)


def test_metal_is_deeper_where_a_flange_meets_its_web() -> None:
    """W12X26: k is 0.68 in, from the outer face to the toe of the fillet."""
    section = listed_section("W12X26")
    assert section is not None
    flange = section.faces[0]
    assert flange.root == pytest.approx(0.68)
    assert flange.root_length == pytest.approx(0.23 + 2 * (0.68 - 0.38))
    assert section.faces[2].root == section.faces[2].thickness


def test_an_unsymmetric_section_balances_where_its_table_says() -> None:
    """AISC lists x = 0.572 in from the back of the web for C8X11.5 and y = 1.13 in for L4X4X3/8.

    Drawn without fillets: within 0.03 in.
    """
    channel, angle = listed_section("C8X11.5"), listed_section("L4X4X3/8")
    assert channel is not None and angle is not None
    assert channel.balance == pytest.approx((0.572, 0.0), abs=0.03)
    assert angle.balance == pytest.approx((1.13, 1.13), abs=0.03)


def test_a_pipe_is_found_by_size_and_schedule() -> None:
    section = section_of(Piece(nominal=Fraction(4), schedule="40"))
    assert section is not None
    assert (section.radius, round(section.wall, 3)) == (2.25, 0.237)
    assert section.weight == pytest.approx(10.79, rel=0.01)
    assert section.hollow


def test_told_sizes_make_a_section_too() -> None:
    shaft = section_of(Piece(shape=Shape.SHAFT, thickness=inches(1.5)))
    bar = section_of(Piece(shape=Shape.FLAT_BAR, thickness=inches(0.5), outside=(inches(4),)))
    box = section_of(
        Piece(
            shape=Shape.SQUARE_TUBE,
            thickness=millimetres(6),
            outside=(millimetres(100), millimetres(100)),
        )
    )
    assert shaft is not None and bar is not None and box is not None
    assert shaft.area == pytest.approx(math.pi * 0.75**2)
    assert [face.length for face in bar.faces] == [4.0]
    assert len(box.faces) == 4


@pytest.mark.parametrize(
    "piece",
    [
        Piece(),
        Piece(shape=Shape.BEAM),
        Piece(designation="W12"),
        Piece(nominal=Fraction(4)),
        Piece(shape=Shape.PIPE, thickness=inches(0.25)),
        Piece(shape=Shape.PIPE, thickness=inches(3), outside=(inches(4),)),
        Piece(shape=Shape.SQUARE_TUBE, thickness=inches(3), outside=(inches(4),)),
        Piece(shape=Shape.ANGLE, thickness=inches(5), outside=(inches(4), inches(4))),
        Piece(shape=Shape.PLATE, thickness=inches(-1)),
    ],
)
def test_nothing_is_made_of_sizes_that_are_missing_or_cannot_be(piece: Piece) -> None:
    assert section_of(piece) is None


def test_an_outside_corner_is_deeper_than_the_leg() -> None:
    """The diagonal of a sharp corner is 1.414 of the leg; a fillet adds 0.414 of its radius."""
    assert shapes.corner(1.0, 0.0) == pytest.approx(math.sqrt(2))
    assert shapes.corner(0.375, 0.375) - shapes.corner(0.375, 0.0) == pytest.approx(
        0.375 * (math.sqrt(2) - 1)
    )


def test_sections_lie_as_a_cutter_lays_them() -> None:
    """An angle heel up, a channel web up, a beam and a tee on their side."""
    for designation, shape in (("L4X4X3/8", "angle"), ("C8X11.5", "channel")):
        section = listed_section(designation)
        assert section is not None
        laid = lie(section, Access.BENCH).section
        highest = max(point[1] for point in laid.rings[0])
        assert section.shape == shape
        if shape == "angle":  # the heel is the one highest point
            assert sum(point[1] > highest - 1e-6 for point in laid.rings[0]) == 1
        else:
            web = next(face for face in laid.faces if face.name == "web")
            assert web.start[1] == pytest.approx(web.end[1])
            assert web.outward == pytest.approx((0.0, 1.0))
    beam = listed_section("W12X26")
    assert beam is not None
    assert lie(beam, Access.IN_PLACE).section == beam
    web = next(face for face in lie(beam, Access.BENCH).section.faces if face.name == "web")
    assert web.start[1] == pytest.approx(web.end[1])


@given(st.tuples(SIZES, SIZES), st.floats(-360, 360))
def test_turning_keeps_lengths(point: tuple[float, float], degrees: float) -> None:
    assert math.hypot(*turn(point, degrees)) == pytest.approx(math.hypot(*point), abs=1e-6)
