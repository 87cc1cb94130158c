"""Gas that cools as it leaves: how cold a regulator gets, and what a propane cylinder gives.

Floats: psi gauge, degrees Fahrenheit, pounds, cubic feet an hour.
"""

import functools
import math
from bisect import bisect_right
from dataclasses import dataclass

from handsfree.engine import tables
from handsfree.engine.tables import table
from handsfree.engine.trust import weakest
from handsfree.values import Fuel, Status

USUAL = 70.0  # F, of a cylinder whose warmth was not told
CYLINDER = 100.0  # pounds of the cylinder that the table is for
_WARMTHS = (0.0, 20.0, 40.0, 60.0, 70.0)  # F, the columns of the table


@dataclass(frozen=True, slots=True)
class PropaneDraw:
    """The most that may be drawn from one cylinder.

    Attributes:
        flow: of gas.
        source: key of the table.
        status: with the heat of the gas in it.
    """

    flow: float
    source: str
    status: Status


def oxygen_cooling(gauge: float) -> float | None:
    """How much colder oxygen leaves its regulator than its cylinder; None outside the table.

    >>> round(oxygen_cooling(2200)), round(oxygen_cooling(750)), oxygen_cooling(50)
    (68, 24, None)
    """
    rows = _cooling()
    if not rows[0][0] <= gauge <= rows[-1][0]:
        return None
    after = min(bisect_right([row[0] for row in rows], gauge), len(rows) - 1)
    (low, drop), (high, more) = rows[after - 1], rows[after]
    return drop + (more - drop) * (gauge - low) / (high - low)


def propane_draw(pounds: float = CYLINDER, warmth: float = USUAL) -> PropaneDraw | None:
    """What a hundred pound cylinder gives without frosting; None outside the table.

    Between rows and columns the smaller is taken: a cylinder is never fuller or warmer than told.

    >>> round(propane_draw().flow), round(propane_draw(55, 45).flow), propane_draw(5) is None
    (117, 49, True)
    """
    rows = [row for row in table("propane_draw").rows if row.number("left") <= pounds]
    known = [column for column in _WARMTHS if column <= warmth]
    if not rows or not known or pounds > CYLINDER:
        return None
    heat = rows[-1].quantity(f"at_{known[-1]:g}")
    of_gas = tables.fuel(Fuel.PROPANE).heat_read
    flow = float((heat / of_gas.value).m_as("ft**3/hour"))
    return PropaneDraw(flow, rows[-1].source(), weakest(rows[-1].status(), of_gas.status))


def propane_cylinders(flow: float, draw: PropaneDraw) -> int:
    """From how many cylinders a flow must be drawn together."""
    return max(1, math.ceil(flow / draw.flow - 1e-9))


@functools.cache
def _cooling() -> tuple[tuple[float, float], ...]:
    return tuple((row.number("gauge"), row.number("drop")) for row in table("oxygen_cooling").rows)
