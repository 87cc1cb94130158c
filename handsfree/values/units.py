"""The one unit registry of the project, and short makers for the quantities of the trade.

A quantity is what passes from room to room; a bare float lives only inside a formula.

>>> round(inches(0.75).m_as("mm"), 6)
19.05
>>> psi(25) < kilopascals(180)
True
"""

import os
import pickle
import shutil
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeAlias

import pint

# Any: pint types the magnitude only; ours are floats.
Quantity: TypeAlias = pint.Quantity[Any]


_BROKEN = (EOFError, pickle.PickleError, OSError, ValueError, TypeError, LookupError)
_BROKEN_NAMES = (AttributeError, ImportError)


def _cache_folder() -> Path | None:
    """Where pint keeps its parsed definitions: 110 ms of start-up; None on a read-only disk."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    folder = Path(base) / "handsfree" / f"units-{pint.__version__}"
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder.parent, os.W_OK) else None


def _registry() -> pint.UnitRegistry[Any]:
    """The registry, from pint's cache when that is whole.

    pint writes its cache in place, so a crash or a second process could leave a half-written file
    that stops every later start. The cache is therefore made in a folder of this process, which
    then takes its name, and one that does not load is thrown away.
    """
    folder = _cache_folder()
    if folder is None:
        return _defined(None)
    if folder.is_dir():
        try:
            return _defined(folder)
        except (*_BROKEN, *_BROKEN_NAMES):
            shutil.rmtree(folder, ignore_errors=True)
    own = folder.with_name(f"{folder.name}.{os.getpid()}")
    try:
        made = _defined(own)
        own.rename(folder)
    except OSError:  # another process was first, or the disk is full: this one has its registry
        made = _defined(None)
    shutil.rmtree(own, ignore_errors=True)
    return made


def _defined(cache: Path | None) -> pint.UnitRegistry[Any]:
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(
        cache_folder=None if cache is None else str(cache), autoconvert_offset_to_baseunit=True
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
