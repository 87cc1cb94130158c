"""A section is found however its designation is spelt, and nothing near it is taken instead."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import tables
from handsfree.engine.tables import FAMILIES
from handsfree.values.units import inches

ALL = [row.designation for family in FAMILIES for row in tables.sections_of(family)]


@pytest.mark.parametrize(
    ("said", "listed"),
    [
        ("w10x33", "W10X33"),
        ("W 10 X 33", "W10X33"),
        ("W10×33", "W10X33"),
        ("W10X33.0", "W10X33"),
        ("L4x4x3/8", "L4X4X3/8"),
        ("L4X4X.375", "L4X4X3/8"),
        ("L4X6X1/2", "L6X4X1/2"),
        ("L2 1/2X2X1/4", "L2-1/2X2X1/4"),
        ("L2.5X2X.25", "L2-1/2X2X1/4"),
        ("HSS6X6X3/8", "HSS6X6X3/8"),
        ("hss 6 x 8 x 1/2", "HSS8X6X1/2"),
        ("HSS4X.188", "HSS4.000X0.188"),
        ("HSS4X3/16", "HSS4.000X0.188"),
        ("C8X11.5", "C8X11.5"),
        ("S12X31.8", "S12X31.8"),
        ("MC8X18.7", "MC8X18.7"),
        ("HP12X53", "HP12X53"),
        ("IPE 200", "IPE200"),
        ("HEA200", "HEA200"),
        ("HE 200 A", "HEA200"),
        ("upn 200", "UPN200"),
        ("WT 6 x 13", "WT6X13"),
        ("ub 305x165x40", "UB305X165X40"),
        ("UPE 200", "UPE200"),
        ("L100x100x10", "L100X100X10"),
        ("shs 100x100x6.3", "SHS100X100X6.3"),
        ("rhs 60x120x5", "RHS120X60X5"),
        ("chs 114.3 x 5", "CHS114.3X5"),
    ],
)
def test_spelling_does_not_matter(said: str, listed: str) -> None:
    row = tables.section(said)
    assert row is not None
    assert row.designation == listed


@pytest.mark.parametrize(
    "said",
    [
        "W10X34",
        "W10",
        "L4X4",
        "L4X4X0/8",
        "L4X4X3/0",
        "L4X4X3/00",
        "W10X٣٣",
        "HSS6X6X0.36",
        "X",
        "",
        "W10X33X5",
        "Q9X9",
    ],
)
def test_what_is_not_listed_is_not_found(said: str) -> None:
    assert tables.section(said) is None


@given(st.sampled_from(ALL), st.booleans(), st.booleans(), st.booleans())
def test_every_section_is_found_in_every_spelling(
    listed: str, small: bool, spaced: bool, decimal: bool
) -> None:
    said = listed
    if decimal:
        said = re.sub(
            r"(?:(\d+)-)?(\d+)/(\d+)",
            lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3])}",
            said,
        )
    if spaced:
        said = re.sub(r"([A-Z]+)", r" \1 ", said).strip()
    row = tables.section(said.lower() if small else said)
    assert row is not None
    assert row.designation == listed


@given(st.text(max_size=30))
def test_any_text_gives_a_section_or_nothing(said: str) -> None:
    row = tables.section(said)
    assert row is None or row.designation in ALL


def test_a_number_of_any_length_is_no_section() -> None:
    for digits in (20, 30, 5000):
        assert tables.section(f"W{'9' * digits}X{'9' * 9}") is None


def test_no_two_sections_share_a_spelling() -> None:
    assert len(ALL) == len(set(ALL)) == 2362


def test_choices_are_offered_by_the_first_numbers() -> None:
    eights = [row.designation for row in tables.sections_of("W", 8)]
    assert "W8X31" in eights
    assert all(name.startswith("W8X") for name in eights)
    fours = tables.sections_of("L", 4, 4)
    assert {row.wall for row in fours} >= {inches(0.25), inches(0.375), inches(0.5)}
    assert tables.sections_of("HSS", 6, 6, 0.375)[0].designation == "HSS6X6X3/8"
    assert tables.sections_of("Q") == ()
    assert tables.sections_of("W", 9) == ()


def test_parts_name_what_there_is_to_cut_thickest_first() -> None:
    beam, angle, tube = (tables.section(name) for name in ("W10X33", "L4X4X3/8", "HSS6X6X3/8"))
    assert beam is not None
    assert [(name, part.m_as("in")) for name, part in beam.parts] == [
        ("flange", 0.435),
        ("web", 0.29),
    ]
    assert angle is not None
    assert angle.parts == (("wall", inches(0.375)),)
    assert tube is not None
    assert tube.parts == (("wall", inches(0.375)),)


def test_a_hollow_section_is_cut_through_its_nominal_wall() -> None:
    """AISC 16th edition: HSS6X6X3/8 has a nominal wall of 0.375 and a design wall of 0.349 in."""
    row = tables.section("HSS6X6X3/8")
    assert row is not None
    assert row.wall == inches(0.375)


def test_tapered_flanges_are_marked() -> None:
    marked = {family for family in FAMILIES if tables.sections_of(family)[0].tapered}
    assert marked == {"S", "M", "C", "MC", "MT", "ST", "UPN"}
