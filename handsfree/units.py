"""The one unit registry of the project, and short makers for the quantities of the trade.

A quantity is what passes from room to room; a bare float lives only inside a formula.

>>> round(inches(0.75).m_as("mm"), 6)
19.05
>>> psi(25) < kilopascals(180)
True
"""

import os
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeAlias

import pint

# Any: pint types the magnitude only; ours are floats.
Quantity: TypeAlias = pint.Quantity[Any]


def _cache_folder() -> str | None:
    """Where pint keeps its parsed definitions: 110 ms of start-up; None on a read-only disk."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    folder = Path(base) / "handsfree" / "units"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return str(folder) if os.access(folder, os.W_OK) else None


def _registry() -> pint.UnitRegistry[Any]:
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(
        cache_folder=_cache_folder(), autoconvert_offset_to_baseunit=True
    )
    # Shop gas flow is told in cubic feet an hour at about 70 F and 1 atm; pint's cfh is not known.
    registry.define("cubic_foot_per_hour = foot ** 3 / hour = cfh")
    registry.define("inch_per_minute = inch / minute = ipm")
    return registry


registry = _registry()
pint.set_application_registry(registry)  # type: ignore[no-untyped-call]  # pint has no types here

_INCH = registry.inch
_MM = registry.millimeter
_PSI = registry.psi
_KPA = registry.kilopascal
_IPM = registry.inch_per_minute
_CFH = registry.cubic_foot_per_hour
_DEGREE = registry.degree
_SECOND = registry.second
_FOOT = registry.foot


def inches(value: float | Fraction) -> Quantity:
    """A length in inches."""
    return registry.Quantity(float(value), _INCH)


def feet(value: float | Fraction) -> Quantity:
    """A length in feet."""
    return registry.Quantity(float(value), _FOOT)


def millimetres(value: float) -> Quantity:
    """A length in millimetres."""
    return registry.Quantity(float(value), _MM)


def psi(value: float) -> Quantity:
    """A gauge pressure in pounds a square inch, as is every pressure between rooms."""
    return registry.Quantity(float(value), _PSI)


def kilopascals(value: float) -> Quantity:
    """A gauge pressure in kilopascals."""
    return registry.Quantity(float(value), _KPA)


def inches_a_minute(value: float) -> Quantity:
    """A travel speed in inches a minute."""
    return registry.Quantity(float(value), _IPM)


def cubic_feet_an_hour(value: float) -> Quantity:
    """A gas flow in cubic feet an hour, at 70 F and one atmosphere."""
    return registry.Quantity(float(value), _CFH)


def degrees(value: float) -> Quantity:
    """An angle in degrees."""
    return registry.Quantity(float(value), _DEGREE)


def seconds(value: float) -> Quantity:
    """A time in seconds."""
    return registry.Quantity(float(value), _SECOND)
