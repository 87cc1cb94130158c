"""Sheet thinner than the hand table's first row: leaned until its path lies inside the table.

A welding textbook (read) holds the torch 70 to 75 degrees from vertical under 1/8 in, which lets a
larger tip cut clean. The leaned path is then inside the hand table and gives the pressure. From
3 mm on the metric trade table (read) lists a nozzle of its own, held as on plate. No table gives a
speed for sheet: the model's is held between the fast end of the table's first row and the fastest
speed that the model was ever checked on. Inches, psi gauge, inches a minute, degrees, cfh.
"""

import functools
import math
from dataclasses import dataclass, replace

from handsfree.engine import published, speed, tables

Ends = tuple[float, float]

LEAN = (70.0, 75.0)  # degrees from vertical, welding textbook p. 398
THINNEST_GAUGE = (
    16  # manufacturers' standard, 0.0598 in: below it no speed or face was ever checked
)
SPREADS = 2  # times the model's own spread: its plates end at 1/8 in
LARGE_TIP_SHARE = 0.25  # a tip too large runs in the lowest quarter of the path's range


@dataclass(frozen=True, slots=True)
class SheetWork:
    """What to set on sheet.

    Attributes:
        row: what the tables list for the leaned path, or for the sheet itself when held upright.
        pressure: oxygen at the torch.
        speed: travel.
        kerf: width of the cut.
        lean: the least, from square; 0 when upright.
        path: at that lean.
        bore: smallest and largest that the figures are for.
    """

    row: published.Published
    pressure: Ends
    speed: Ends
    kerf: Ends
    lean: float
    path: float
    bore: Ends


@functools.cache
def thinnest() -> float:
    """The thinnest sheet that is answered for, in inches.

    A lean of 75 degrees would bring 0.0324 in into the table; we stop sooner, at 16 gauge.

    >>> round(thinnest(), 4)
    0.0598
    """
    gauge = tables.sheet_gauge(THINNEST_GAUGE)
    assert gauge is not None, "the gauge table has it"
    reached = published.thinnest() * math.cos(math.radians(LEAN[1]))
    return max(float(gauge.value.m_as("in")), reached)


def is_sheet(thickness: float) -> bool:
    """Whether a thickness lies under the hand table and is still answered for.

    >>> is_sheet(0.0598), is_sheet(0.0478), is_sheet(0.125)
    (True, False, False)
    """
    return thinnest() - published.SAME <= thickness < published.thinnest() - published.SAME


def upright_from() -> float:
    """From this thickness on, in inches, the metric table lists a nozzle held as on plate: 3 mm."""
    return published.metric_nozzles()[0].thickness[0]


def suiting() -> Ends:
    """Smallest and largest bore that either table lists for the thinnest plate it has."""
    return published.metric_nozzles()[0].bore, published.rows()[0].bore[1]


def work_out_sheet(
    thickness: float, bore: float | None, too_large: bool, round_wall: bool, pace: float
) -> SheetWork | None:
    """What to set on sheet; None when the tip is too large for it, even leaned.

    Args:
        thickness: for which `is_sheet` holds.
        bore: of the tip on hand, not below `suiting`; None for the right one.
        too_large: that the bore is larger than any listed for thin plate.
        round_wall: of a pipe or round tube, along which a lean does not hold.
        pace: what the oxygen's purity leaves of the speed.
    """
    nozzle = published.metric_nozzles()[0]
    fits_upright = bore is None or bore <= nozzle.bore + published.NEAR or round_wall
    if thickness >= upright_from() - published.SAME and fits_upright:
        return None if too_large else _upright(thickness, bore, nozzle, pace)
    if round_wall:
        return None
    return _leaned(thickness, bore, too_large, pace)


def _upright(
    thickness: float, bore: float | None, nozzle: published.MetricNozzle, pace: float
) -> SheetWork:
    first = published.rows()[0]
    pressure = nozzle.pressure_at(max(thickness, nozzle.thickness[0]))
    assert pressure is not None, "the band of the nozzle begins here"
    used = bore or nozzle.bore
    found = speed.pace(thickness, used, pressure, purity=pace)
    travel = max(found.low, first.speed[0] * pace), max(found.high, first.speed[0] * pace)
    row = published.Published(
        thickness=thickness,
        bore=(nozzle.bore, nozzle.bore),
        pressure=(pressure, pressure),
        speed=travel,
        oxygen=first.oxygen,
        acetylene=first.acetylene,
        between=False,
        source=nozzle.source,
        status=nozzle.status,
    )
    kerf = speed.straight_kerf(used, thickness)
    return SheetWork(row, row.pressure, travel, (kerf, kerf), 0.0, thickness, (used, used))


def _leaned(thickness: float, bore: float | None, too_large: bool, pace: float) -> SheetWork | None:
    law = speed.constants()
    near, far = (speed.path(thickness, lean) for lean in LEAN)
    listed, longest = published.hand_cutting_at(near), published.suiting(far)
    assert listed is not None and longest is not None, "the thinnest sheet is chosen so"
    if bore is not None and (
        bore > longest[1] * law.large_limit + published.NEAR or far / bore < law.shortest_path
    ):
        return None
    low, high = listed.pressure
    if too_large:
        high = low + LARGE_TIP_SHARE * (high - low)
    bores = suiting() if bore is None else (bore, bore)
    middle = (low + high) / 2
    slow = speed.pace(thickness, bores[0], middle, LEAN[0], pace)
    fast = speed.pace(thickness, bores[1], middle, LEAN[1], pace)
    first, fastest = published.rows()[0].speed[1] * pace, fastest_checked() * pace
    travel = (
        min(slow.handbook * (1 - SPREADS * law.spread), first),
        min(fast.trade * (1 + SPREADS * law.spread), fastest),
    )
    kerf = speed.straight_kerf(bores[0], near), speed.straight_kerf(bores[1], far)
    row = replace(listed, bore=suiting())  # a thin sheet calls for no larger tip than thin plate
    return SheetWork(row, (low, high), travel, kerf, LEAN[0], near, bores)


@functools.cache
def fastest_checked() -> float:
    """The fastest speed by hand that any check of the model gives, in inches a minute.

    >>> fastest_checked()
    45.0
    """
    return max(float(check.speed.high.m_as("in/min")) for check in tables.trade_checks())
