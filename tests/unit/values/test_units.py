"""The unit registry starts whatever a crash has left in its cache."""

import os
import subprocess
import sys
from pathlib import Path

import pint
import pytest

from handsfree.values.units import (
    cubic_feet_an_hour,
    degrees,
    feet,
    inches,
    inches_a_minute,
    kilopascals,
    millimetres,
    psi,
    seconds,
)

ROOT = Path(__file__).resolve().parents[3]
START = "from handsfree.values.units import inches; print(inches(1).m_as('mm'))"


def start(cache: Path) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", START],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(cache)},
    )


def starts(cache: Path) -> bool:
    out, err = start(cache).communicate(timeout=60)
    return out.strip() == "25.4" and not err


def test_a_half_written_cache_is_made_anew(tmp_path: Path) -> None:
    assert starts(tmp_path)
    kept = [path for path in (tmp_path / "handsfree").rglob("*") if path.is_file()]
    assert kept
    for path in kept:
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert starts(tmp_path)
    assert starts(tmp_path)
    for path in kept:
        path.write_bytes(b"")
    assert starts(tmp_path)


def test_processes_that_start_together_all_start(tmp_path: Path) -> None:
    started = [start(tmp_path) for _ in range(4)]
    for process in started:
        out, err = process.communicate(timeout=60)
        assert (out.strip(), err) == ("25.4", "")
    assert len(list((tmp_path / "handsfree").iterdir())) == 1


def test_no_place_for_a_cache_is_no_fault(tmp_path: Path) -> None:
    (tmp_path / "handsfree").write_text("a file", encoding="utf-8")
    assert starts(tmp_path)


@pytest.mark.parametrize(
    ("quantity", "unit", "value"),
    [
        # Exact by definition: the inch is 25.4 mm, the foot 12 in (NIST SP 811, appendix B).
        (inches(1), "millimeter", 25.4),
        (feet(1), "inch", 12),
        (millimetres(25.4), "inch", 1),
        (inches_a_minute(1), "millimeter / minute", 25.4),
        # NIST SP 811: 1 psi is 6.894757 kPa.
        (psi(1), "kilopascal", 6.894757),
        (kilopascals(6.894757), "psi", 1),
        # NIST SP 811: 1 cubic foot is 28.31685 litres.
        (cubic_feet_an_hour(1), "litre / hour", 28.31685),
        (degrees(180), "radian", 3.14159265),
        (seconds(60), "minute", 1),
    ],
)
def test_units_are_those_of_the_standard(
    quantity: "pint.Quantity[float]", unit: str, value: float
) -> None:
    assert quantity.m_as(unit) == pytest.approx(value, rel=1e-6)
