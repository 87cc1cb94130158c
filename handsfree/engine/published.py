"""The hand table as bare floats at any thickness inside it, for the formulas of the engine.

Inches, psi gauge, inches a minute, cubic feet an hour. Between two rows every end of a range is
interpolated linearly in thickness: the metric trade table does so itself with its pressures.
Outside the table there is no answer.
"""

import functools
from collections.abc import Callable
from dataclasses import dataclass

from handsfree.engine import tables
from handsfree.values import Fuel, Status

Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Published:
    """What the hand table says for one thickness, or what lies between two of its rows.

    Attributes:
        thickness: inches.
        bore: smallest and largest listed, inches.
        pressure: cutting oxygen, psi gauge.
        speed: inches a minute.
        oxygen: cutting and preheat oxygen together, cfh.
        acetylene: cfh.
        between: False when the thickness is a row of the table.
    """

    thickness: float
    bore: Ends
    pressure: Ends
    speed: Ends
    oxygen: Ends
    acetylene: Ends
    between: bool
    source: str
    status: Status


@functools.cache
def rows() -> tuple[Published, ...]:
    """The hand table, thinnest first."""
    found = []
    for row in tables.hand_cutting():
        pressure, acetylene = row.oxygen_pressure, row.fuel_flow(Fuel.ACETYLENE)
        assert pressure is not None and acetylene is not None  # the hand table lists both
        found.append(
            Published(
                thickness=float(row.thickness.m_as("in")),
                bore=_ends(row.bore, "in"),
                pressure=_ends(pressure, "psi"),
                speed=_ends(row.speed, "in/min"),
                oxygen=_ends(row.oxygen_flow, "cfh"),
                acetylene=_ends(acetylene, "cfh"),
                between=False,
                source=row.source,
                status=row.status,
            )
        )
    return tuple(found)


def thinnest() -> float:
    """The thinnest plate of the hand table, in inches."""
    return rows()[0].thickness


def thickest() -> float:
    """The thickest plate of the hand table, in inches."""
    return rows()[-1].thickness


@functools.lru_cache(maxsize=1024)
def hand_cutting_at(thickness: float) -> Published | None:
    """The hand table at a thickness in inches, None outside it.

    >>> hand_cutting_at(0.75).pressure, hand_cutting_at(0.625).pressure
    ((24.0, 35.0), (22.0, 32.5))
    >>> hand_cutting_at(0.05) is None
    True
    """
    table = rows()
    if not thinnest() - SAME <= thickness <= thickest() + SAME:
        return None
    for row in table:
        if abs(row.thickness - thickness) <= SAME:
            return row
    above = next(index for index, row in enumerate(table) if row.thickness > thickness)
    low, high = table[above - 1], table[above]
    share = (thickness - low.thickness) / (high.thickness - low.thickness)
    return Published(
        thickness=thickness,
        bore=_blend(low.bore, high.bore, share),
        pressure=_blend(low.pressure, high.pressure, share),
        speed=_blend(low.speed, high.speed, share),
        oxygen=_blend(low.oxygen, high.oxygen, share),
        acetylene=_blend(low.acetylene, high.acetylene, share),
        between=True,
        source=low.source,
        status=low.status,
    )


SAME = 0.002  # inches within which a thickness is a row: 6 mm is not, 12.7 mm and 3.175 mm are


@functools.lru_cache(maxsize=1024)
def suiting(thickness: float) -> Ends | None:
    """Smallest and largest bore that either table lists for a plate; None outside the hand table.

    >>> suiting(0.5)
    (0.0465, 0.0595)
    """
    found = hand_cutting_at(thickness)
    if found is None:
        return None
    nozzles = [n.bore for n in metric_nozzles() if n.pressure_at(thickness) is not None]
    return min([found.bore[0], *nozzles]), max([found.bore[1], *nozzles])


def pressure_limit(bore: float) -> float | None:
    """The highest oxygen pressure that any table lists for a bore, in psi.

    A bore between two listed ones has the smaller one's limit; None for one smaller than all.

    >>> pressure_limit(0.038), pressure_limit(0.02)
    (25.0, None)
    """
    return _of_listed(bore, lambda plate, pressure: pressure)


def thickest_listed(bore: float) -> float | None:
    """The thickest plate for which any table lists a bore, in inches; otherwise as above.

    >>> thickest_listed(0.038)
    0.375
    """
    return _of_listed(bore, lambda plate, pressure: plate)


NEAR = 0.0006  # inches: half a step between neighbouring small number drills


@functools.cache
def _listed() -> tuple[tuple[Ends, float, float], ...]:
    """Bores, plate and highest pressure of every row of both tables."""
    hand = [(row.bore, row.thickness, row.pressure[1]) for row in rows()]
    metric = [((n.bore, n.bore), n.thickness[1], n.pressure[1]) for n in metric_nozzles()]
    return tuple(hand + metric)


def _of_listed(bore: float, which: Callable[[float, float], float]) -> float | None:
    matching = [row for row in _listed() if row[0][0] - NEAR <= bore <= row[0][1] + NEAR]
    if not matching:
        below = max((row[0][1] for row in _listed() if row[0][1] < bore), default=None)
        if below is None:
            return None
        matching = [row for row in _listed() if row[0][0] <= below <= row[0][1]]
    return max(which(plate, pressure) for _, plate, pressure in matching)


@dataclass(frozen=True, slots=True)
class MetricNozzle:
    """One nozzle of the metric table: bore and plates in inches, pressures in psi gauge."""

    bore: float
    thickness: Ends
    pressure: Ends
    acetylene_pressure: float
    source: str
    status: Status

    def pressure_at(self, thickness: float) -> float | None:
        """Interpolated as its source does; None outside the nozzle's band."""
        low, high = self.thickness
        if not low - SAME <= thickness <= high + SAME:
            return None
        share = (thickness - low) / (high - low)
        return self.pressure[0] + share * (self.pressure[1] - self.pressure[0])


@functools.cache
def metric_nozzles() -> tuple[MetricNozzle, ...]:
    """The metric trade table, smallest nozzle first."""
    return tuple(
        MetricNozzle(
            bore=float(row.bore.m_as("in")),
            thickness=_ends(row.thickness, "in"),
            pressure=_ends(row.oxygen_pressure, "psi"),
            acetylene_pressure=float(row.acetylene_pressure.m_as("psi")),
            source=row.source,
            status=row.status,
        )
        for row in tables.metric_cutting()
    )


def _ends(found: tables.Range, unit: str) -> Ends:
    return float(found.low.m_as(unit)), float(found.high.m_as(unit))


def _blend(low: Ends, high: Ends, share: float) -> Ends:
    return low[0] + share * (high[0] - low[0]), low[1] + share * (high[1] - low[1])
