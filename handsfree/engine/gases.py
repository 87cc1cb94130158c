"""Pressures and flows of fuel and preheat oxygen for a plate, as bare floats (psi, cfh)."""

import functools
from dataclasses import dataclass

from handsfree.engine import published, tables
from handsfree.engine.tables import table
from handsfree.engine.trust import weakest
from handsfree.values import Fuel, Status

Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class FuelPressure:
    """Fuel pressure at the regulator and the limit that is never passed, in psi gauge."""

    pressure: Ends
    limit: float
    source: str
    status: Status
    limit_source: str


@dataclass(frozen=True, slots=True)
class Flows:
    """Gas flows in cfh; `oxygen` counts cutting and preheat together."""

    oxygen: Ends
    fuel: Ends
    source: str
    status: Status


def fuel_pressure(fuel: Fuel, thickness: float) -> FuelPressure | None:
    """What to set the fuel regulator to; None beyond the table.

    >>> fuel_pressure(Fuel.ACETYLENE, 0.75).pressure
    (4.0, 5.0)
    """
    for found_fuel, up_to, found in _fuel_pressures():
        if found_fuel is fuel and thickness <= up_to + published.SAME:
            return found
    return None


def fuel_limit(fuel: Fuel) -> FuelPressure:
    """The row with a fuel's limit and its widest usual range."""
    rows = [found for found_fuel, _, found in _fuel_pressures() if found_fuel is fuel]
    first, last = rows[0], rows[-1]
    return FuelPressure(
        (first.pressure[0], last.pressure[1]),
        last.limit,
        last.source,
        weakest(*(row.status for row in rows)),
        last.limit_source,
    )


def neutral_ratio(fuel: Fuel) -> Ends:
    """Volumes of oxygen through the torch to one of fuel in a neutral flame."""
    return tables.fuel(fuel).neutral_ratio


def flows(fuel: Fuel, thickness: float) -> Flows | None:
    """Flows for the right tip; None where no table lists that fuel.

    Acetylene is the hand table's own. For the others the later machine table gives cutting oxygen
    and fuel, and the preheat oxygen follows from the neutral ratio. No table lists propylene: its
    flow is the propane's with the same heat in it.
    """
    row = published.hand_cutting_at(thickness)
    if row is None:
        return None
    if fuel is Fuel.ACETYLENE:
        return Flows(row.oxygen, row.acetylene, row.source, row.status)
    machine = _machine_flows(fuel, thickness)
    if machine is None:
        return None
    cutting, burned, source, status = machine
    ratio = neutral_ratio(fuel)
    oxygen = cutting[0] + ratio[0] * burned[0], cutting[1] + ratio[1] * burned[1]
    return Flows(oxygen, burned, source, weakest(status, tables.fuel(fuel).status))


def preheat_oxygen(fuel: Fuel, burned: Ends) -> Ends:
    """Oxygen that a neutral flame takes for a fuel flow."""
    ratio = neutral_ratio(fuel)
    return ratio[0] * burned[0], ratio[1] * burned[1]


def _machine_flows(fuel: Fuel, thickness: float) -> tuple[Ends, Ends, str, Status] | None:
    if fuel is Fuel.PROPYLENE:
        return _of_the_same_heat(thickness)
    rows = _machine_rows(fuel)
    for below, above in zip(rows, rows[1:], strict=False):
        if below[0] - published.SAME <= thickness <= above[0] + published.SAME:
            share = min(1.0, max(0.0, (thickness - below[0]) / (above[0] - below[0])))
            cutting = _blend(below[1], above[1], share)
            return cutting, _blend(below[2], above[2], share), below[3], below[4]
    return None


def _of_the_same_heat(thickness: float) -> tuple[Ends, Ends, str, Status] | None:
    """Propane's row with propylene in its place: less heat to a cubic foot, so more of it."""
    propane = _machine_flows(Fuel.PROPANE, thickness)
    if propane is None:
        return None
    cutting, burned, source, status = propane
    heats = [
        float(tables.fuel(each).heat.m_as("Btu/ft**3")) for each in (Fuel.PROPANE, Fuel.PROPYLENE)
    ]
    more = heats[0] / heats[1]
    same = burned[0] * more, burned[1] * more
    return (
        cutting,
        same,
        source,
        weakest(status, Status.COMPUTED, tables.fuel(Fuel.PROPYLENE).status),
    )


@functools.cache
def _machine_rows(fuel: Fuel) -> tuple[tuple[float, Ends, Ends, str, Status], ...]:
    found = []
    for row in tables.machine_cutting():
        burned = row.fuel_flow(fuel)
        if burned is not None:
            thickness = float(row.thickness.m_as("in"))
            found.append((thickness, _cfh(row.oxygen_flow), _cfh(burned), row.source, row.status))
    return tuple(found)


def _cfh(found: tables.Range) -> Ends:
    return float(found.low.m_as("cfh")), float(found.high.m_as("cfh"))


def _blend(low: Ends, high: Ends, share: float) -> Ends:
    return low[0] + share * (high[0] - low[0]), low[1] + share * (high[1] - low[1])


@functools.cache
def _fuel_pressures() -> tuple[tuple[Fuel, float, FuelPressure], ...]:
    return tuple(
        (
            Fuel(row.text("fuel")),
            row.number("thickness_to"),
            FuelPressure(
                (row.number("low"), row.number("high")),
                row.number("limit"),
                row.text("source"),
                Status(row.text("status")),
                row.text("limit_source"),
            ),
        )
        for row in table("fuel_pressures").rows
    )
