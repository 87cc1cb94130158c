"""Drills, gauges and pipe against second copies and against open packages."""

import csv
import math
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from handsfree.engine import tables

Typed = Callable[[str], list[dict[str, str]]]
HERE = Path(__file__).parent
# fluids and the engine's file hold millimetres of the standard turned into inches and back
ROUNDING_THROUGH_MM = 0.003


def test_number_drills_agree_with_two_open_lists() -> None:
    lines = (HERE / "number_drills.csv").read_text(encoding="utf-8").splitlines()[1:]
    typed = {int(number): float(size) for number, size in csv.reader(lines)}
    found = {number: float(drill.value.m_as("in")) for number, drill in tables.number_drills()}
    assert sorted(typed) == list(range(1, 81))
    assert {n: (found.get(n), typed[n]) for n in typed if found.get(n) != typed[n]} == {}
    assert tables.number_drill(0) is None
    assert tables.number_drill(81) is None


def test_sheet_gauges_agree_with_a_public_chart(typed_again: Typed) -> None:
    wrong = []
    for row in typed_again("sheet_gauges"):
        gauge = int(row["gauge"])
        for column, galvanised in (("steel", False), ("galvanised", True)):
            found = tables.sheet_gauge(gauge, galvanised=galvanised)
            if row[column] and (found is None or found.value.m_as("in") != float(row[column])):
                wrong.append(f"{gauge} {column}: {found} against {row[column]}")
    assert wrong == []
    assert tables.sheet_gauge(2) is None
    assert tables.sheet_gauge(39) is None
    assert tables.sheet_gauge(7, galvanised=True) is None


def test_sheet_gauges_agree_with_an_open_package() -> None:
    """steel-sections 0.1.0, columns steel and galvanized."""
    package = pytest.importorskip("steel_sections", reason="steel-sections is not installed")
    wrong = []
    for gauge in range(3, 39):
        for material, galvanised in (("steel", False), ("galvanized", True)):
            found = tables.sheet_gauge(gauge, galvanised=galvanised)
            try:
                listed = package.gauge(gauge, material).inch
            except KeyError:
                listed = None
            if (None if found is None else found.value.m_as("in")) != listed:
                wrong.append(f"{gauge} {material}: {found} against {listed}")
    assert wrong == []


def test_sheet_weights_follow_the_definition_of_the_gauge() -> None:
    """The manufacturers' standard is defined by weight: 41.82 pounds a square foot an inch."""
    for row in tables.table("sheet_gauges").rows:
        assert row.number("weight") == pytest.approx(row.number("thickness") * 41.82, abs=0.0006)


def test_pipe_agrees_with_a_second_copy_of_the_standard(typed_again: Typed) -> None:
    """ASME B36.10M in inches; the tolerance is the rounding through millimetres."""
    wrong = []
    for row in typed_again("pipe"):
        whole, _, part = row["nominal"].partition("-")
        nominal = Fraction(whole) + (Fraction(part) if part else 0)
        for schedule in ("40", "80", "160", "XXS"):
            found = tables.pipe(nominal, schedule)
            if not row[schedule]:
                continue
            if found is None:
                wrong.append(f"{row['nominal']} {schedule}: missing")
                continue
            wall, outside = found.wall.m_as("in"), found.outside.m_as("in")
            if abs(wall - float(row[schedule])) > ROUNDING_THROUGH_MM:
                wrong.append(f"{row['nominal']} {schedule}: wall {wall} against {row[schedule]}")
            if abs(outside - float(row["outside"])) > ROUNDING_THROUGH_MM:
                wrong.append(f"{row['nominal']}: outside {outside} against {row['outside']}")
    assert wrong == []


def test_pipe_agrees_with_fluids() -> None:
    """fluids 1.3.1, ASME B36.10M and B36.19M in metres."""
    piping = pytest.importorskip("fluids.piping", reason="fluids is not installed")
    wrong = []
    for nominal in tables.pipe_sizes():
        for schedule in tables.pipe_schedules(nominal):
            row = tables.pipe(nominal, schedule)
            assert row is not None
            _, _, outside, wall = piping.nearest_pipe(NPS=float(nominal), schedule=schedule)
            apart = abs(row.wall.m_as("in") - wall / 0.0254)
            if apart > ROUNDING_THROUGH_MM:
                wrong.append(
                    f"{nominal} {schedule}: wall {row.wall:~P}, fluids {wall / 0.0254:.4f}"
                )
            # the standard's metric outside diameters are whole millimetres from 18 in on
            if abs(row.outside.m_as("in") - outside / 0.0254) > (0.003 if nominal < 18 else 0.06):
                wrong.append(f"{nominal}: outside {row.outside:~P}, fluids {outside / 0.0254:.4f}")
    assert wrong == []


def test_pipe_agrees_with_a_second_package_where_it_says_so() -> None:
    """steel-sections 0.1.0; two nominal walls of the standards' editions may differ by rounding."""
    package = pytest.importorskip("steel_sections", reason="steel-sections is not installed")
    wrong, compared = [], 0
    for nominal in tables.pipe_sizes():
        name = str(nominal.numerator) if nominal.denominator == 1 else ""
        if not name:
            whole, part = divmod(nominal, 1)
            name = f"{whole}-{part}" if whole else str(part)
        for schedule in tables.pipe_schedules(nominal):
            row = tables.pipe(nominal, schedule)
            assert row is not None
            try:
                listed = package.pipe(name, schedule)
            except KeyError:
                continue
            compared += 1
            if abs(row.wall.m_as("in") - listed.wall_in) > ROUNDING_THROUGH_MM and row.second_copy:
                wrong.append(f"{name} {schedule}: {row.wall:~P} against {listed.wall_in}")
    assert compared > 200
    assert wrong == []


def test_pipe_weights_follow_from_their_dimensions() -> None:
    """Steel of 0.2836 pounds a cubic inch; weights are given to a hundredth of a pound a foot."""
    density = float(tables.steel_density().value.m_as("lb/inch**3"))
    wrong = []
    for nominal in tables.pipe_sizes():
        for schedule in tables.pipe_schedules(nominal):
            row = tables.pipe(nominal, schedule)
            assert row is not None
            outside, wall = row.outside.m_as("in"), row.wall.m_as("in")
            weight = math.pi * wall * (outside - wall) * 12 * density
            # walls of the file are rounded to 0.001 in, the weights were not computed from those
            if abs(row.weight.m_as("lb/ft") - weight) > 0.006 + 0.0006 / wall * weight:
                wrong.append(f"{nominal} {schedule}: {row.weight:~P} against {weight:.3f}")
    assert wrong == []


def test_pipe_is_refused_outside_the_standard() -> None:
    assert tables.pipe(Fraction(7), "40") is None
    assert tables.pipe(Fraction(4), "45") is None
    assert tables.pipe_schedules(Fraction(9)) == ()
    row = tables.pipe(Fraction(3, 4), "schedule 80")
    assert row is not None
    assert row.schedule == "80"
