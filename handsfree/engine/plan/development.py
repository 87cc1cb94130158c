"""The line of a cut on a round piece, unrolled: what is marked along it at each hour of the clock.

Inches and degrees. A square cut unrolls to a straight line, which is why a straight-edged band
wrapped round the piece marks one; a mitre to a wave; a stub that sits on a larger pipe to a saddle.
"""

import math
from collections.abc import Callable

from handsfree.engine.plan.round_wall import at_clock
from handsfree.engine.plan.shapes import Section
from handsfree.units import Quantity, inches
from handsfree.values import Development, Ordinate

LINES = 48  # ordinates round the piece: three to each of the sixteen that the trade lays out
STEEPEST = 60.0  # degrees of a mitre: beyond it the tip of the cut is longer than it holds


def wrap(outside: float) -> float:
    """Length of a band that goes once round.

    >>> round(wrap(4.5), 3)
    14.137
    """
    return math.pi * outside


def mitre_height(outside: float, degrees: float, angle: float) -> float:
    """How far a mitre lies above its lowest point, at an angle from that point round the pipe.

    >>> round(mitre_height(4.5, 45.0, 180.0), 3), mitre_height(4.5, 45.0, 0.0)
    (4.5, 0.0)
    """
    rise = outside / 2 * math.tan(math.radians(degrees))
    return rise * (1 - math.cos(math.radians(angle)))


def saddle_height(outside: float, header: float, angle: float) -> float:
    """How far the end of a square branch is cut back to sit on a header of that outside diameter.

    At 0 and 180 degrees the branch meets the crown of the header; the sides reach furthest down.

    >>> saddle_height(4.5, 8.625, 0.0), round(saddle_height(4.5, 8.625, 90.0), 3)
    (0.0, 0.633)
    """
    miss = outside / 2 * math.sin(math.radians(angle))
    return header / 2 - math.sqrt((header / 2) ** 2 - miss**2)


def mitre(section: Section, degrees: float) -> Development | None:
    """The unrolled line of a mitre, lowest at twelve o'clock; None where it is too steep."""
    if not section.radius or not 0 <= degrees <= STEEPEST:
        return None
    outside = 2 * section.radius
    name = f"{section.name or 'round'}, {'square' if not degrees else f'mitre {degrees:g} deg'}"
    return Development(
        name=name,
        outside=inches(outside),
        wrap=inches(wrap(outside)),
        ordinates=_ordinates(section, lambda angle: mitre_height(outside, degrees, angle), degrees),
    )


def saddle(section: Section, header: float) -> Development | None:
    """The unrolled line of a branch on a header; None where the branch is the larger."""
    if not section.radius or header < 2 * section.radius:
        return None
    outside = 2 * section.radius
    return Development(
        name=f"{section.name or 'round'}, saddle on {header:g} in",
        outside=inches(outside),
        wrap=inches(wrap(outside)),
        ordinates=_ordinates(section, lambda angle: saddle_height(outside, header, angle)),
    )


def _ordinates(
    section: Section, height: Callable[[float], float], lean: float = 0.0
) -> tuple[Ordinate, ...]:
    return tuple(
        Ordinate(
            clock=12 * place / LINES or 12.0,
            along=inches(wrap(2 * section.radius) * place / LINES),
            height=inches(height(360 * place / LINES)),
            metal=_metal(section, 12 * place / LINES, lean),
        )
        for place in range(LINES)
    )


def _metal(section: Section, clock: float, lean: float) -> Quantity | None:
    found = at_clock(section.radius, section.bore, clock, lean)
    return inches(found) if found else None


def balance_of_mitred_stub(
    radius: float, bore: float, length: float, degrees: float
) -> tuple[float, float]:
    """Where a round stub of that mean length, mitred at one end, balances.

    The mitre takes I tan(a) / (A L) off the centre line towards its long side, and
    I tan(a)^2 / (2 A L) along. With I / A = (R^2 + r^2) / 4.

    >>> round(balance_of_mitred_stub(2.25, 2.013, 12.0, 0.0)[1], 3)
    6.0

    Returns:
        Off the centre line towards the long side, and along from the square end, in inches.
    """
    shape = (radius**2 + bore**2) / 4
    slope = math.tan(math.radians(degrees))
    return shape * slope / length, length / 2 + shape * slope**2 / (2 * length)
