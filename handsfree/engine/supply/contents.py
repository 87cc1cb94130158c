"""What a cylinder still holds: oxygen by gauge and temperature, fuel by its weight.

Floats: psi gauge, degrees Fahrenheit, pounds, cubic feet at 70 F and one atmosphere.
"""

import functools
from bisect import bisect_right

from handsfree.engine import tables
from handsfree.engine.flow import ATMOSPHERE
from handsfree.engine.tables import table
from handsfree.values import Fuel

USUAL = 70.0  # F: the temperature at which contents are told
FULL = 2200.0  # psi gauge at 70 F of a full oxygen cylinder
ZERO = 459.67  # F below which there is no heat
COLDEST, WARMEST = -20.0, 120.0  # F, inside the compressibility table
HIGHEST = 2700.0  # psi gauge, likewise
SIZES = (5.0, 500.0)  # cubic feet that one cylinder may hold
FUEL_WEIGHTS = (1.0, 450.0)  # pounds of fuel in one cylinder


def oxygen_left(gauge: float, temperature: float = USUAL, content: float = 244.0) -> float | None:
    """What an oxygen cylinder gives off down to an empty gauge; None outside the table.

    Gas law with compressibility: moles are p V / (Z R T), so at the cylinder's own volume the
    content is to the full one as p / (Z T) to that of 2200 psig at 70 F.

    >>> round(oxygen_left(2200)), round(oxygen_left(1000)), round(oxygen_left(1974, 32))
    (244, 108, 244)
    >>> oxygen_left(3000) is None
    True

    Args:
        gauge: as read.
        temperature: of the cylinder.
        content: of the full cylinder.
    """
    now, full = _density(gauge, temperature), _density(FULL, USUAL)
    empty, bare = _density(0.0, temperature), _density(0.0, USUAL)
    if now is None or empty is None:
        return None
    assert full is not None and bare is not None
    return content * (now - empty) / (full - bare)


def full_gauge(temperature: float) -> float | None:
    """What the gauge of a full cylinder reads at a temperature; None outside the table.

    >>> round(full_gauge(32)), round(full_gauge(70))
    (1974, 2200)
    """
    if not COLDEST <= temperature <= WARMEST:
        return None
    full = _density(FULL, USUAL)
    assert full is not None
    low, high = 0.0, HIGHEST
    for _ in range(40):
        middle = (low + high) / 2
        found = _density(middle, temperature)
        assert found is not None
        low, high = (middle, high) if found < full else (low, middle)
    return (low + high) / 2


def fuel_by_weight(fuel: Fuel, gross: float, tare: float) -> float | None:
    """Gas in a fuel cylinder from its weight less the tare; None for what is not sold so.

    >>> round(fuel_by_weight(Fuel.ACETYLENE, 110, 100)), fuel_by_weight(Fuel.NATURAL_GAS, 9, 1)
    (147, None)
    """
    pounds = gross - tare
    a_pound = gas_a_pound(fuel)
    if a_pound is None or not 0 <= pounds <= FUEL_WEIGHTS[1]:
        return None
    return pounds * a_pound


def gas_a_pound(fuel: Fuel) -> float | None:
    """Cubic feet of gas from a pound of fuel, None for natural gas."""
    if fuel is Fuel.ACETYLENE:
        return rule("acetylene_a_pound")
    listed = tables.fuel(fuel).gas_a_pound
    return None if listed is None else float(listed.value.m_as("ft**3/lb"))


def rule(key: str) -> float:
    """A value of data/supply_rules.yaml, in the unit that stands there.

    >>> rule("oxygen_left_in")
    50.0
    """
    return _rules()[key]


@functools.cache
def _rules() -> dict[str, float]:
    return {row.text("key"): row.number("value") for row in table("supply_rules").rows}


def _density(gauge: float, temperature: float) -> float | None:
    """Amount of gas in a volume, in psi over degrees Rankine."""
    found = compressibility(gauge, temperature)
    return None if found is None else (gauge + ATMOSPHERE) / (found * (temperature + ZERO))


@functools.lru_cache(maxsize=4096)
def compressibility(gauge: float, temperature: float) -> float | None:
    """Of oxygen, in proportion between the rows of its table; None outside them.

    >>> compressibility(2200, 70)
    0.9376
    """
    warmth, pressures, grid = _grid()
    if not (warmth[0] <= temperature <= warmth[-1] and pressures[0] <= gauge <= pressures[-1]):
        return None
    row, share = _between(warmth, temperature)
    column, part = _between(pressures, gauge)
    low = grid[row][column] + part * (grid[row][column + 1] - grid[row][column])
    high = grid[row + 1][column] + part * (grid[row + 1][column + 1] - grid[row + 1][column])
    return low + share * (high - low)


def _between(values: tuple[float, ...], value: float) -> tuple[int, float]:
    place = min(bisect_right(values, value), len(values) - 1) - 1
    return place, (value - values[place]) / (values[place + 1] - values[place])


@functools.cache
def _grid() -> tuple[tuple[float, ...], tuple[float, ...], tuple[tuple[float, ...], ...]]:
    found: dict[float, dict[float, float]] = {}
    for row in table("oxygen_compressibility").rows:
        warmth = found.setdefault(row.number("temperature"), {})
        warmth[row.number("gauge")] = row.number("compressibility")
    pressures = tuple(next(iter(found.values())))
    grid = tuple(tuple(row[pressure] for pressure in pressures) for row in found.values())
    return tuple(found), pressures, grid
