"""The line of a cut on a round piece, unrolled: what is marked along it at each hour of the clock.

Inches and degrees. A square cut unrolls to a straight line, which is why a straight-edged band
wrapped round the piece marks one; a mitre to a wave; a stub that sits on a larger pipe to a saddle.
"""

import math
from collections.abc import Callable

from handsfree.engine.plan.round_wall import at_clock
from handsfree.engine.plan.shapes import Section
from handsfree.values import Development, Ordinate
from handsfree.values.units import Quantity, inches

LINES = 48  # ordinates round the piece: three to each of the sixteen that the trade lays out
STEEPEST = 60.0  # degrees of a mitre: beyond it the tip of the cut is longer than it holds
ALIKE = 1e-6  # inches, within which branch and header are of one size


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


def saddle_height(outside: float, header: float, angle: float, degrees: float = 0.0) -> float:
    """How far the end of a branch is cut back to sit on a header of that outside diameter.

    Measured along the branch from the nearest point of the line. A square branch meets the crown of
    the header at 0 and 180 degrees, and its sides reach furthest down; one that leans reaches on
    furthest on the side it leans to. With the header's radius R, the branch's r and its lean b the
    line lies at (sqrt(R^2 - r^2 sin^2) + r cos sin b) / cos b from where the centre lines cross.

    >>> saddle_height(4.5, 8.625, 0.0), round(saddle_height(4.5, 8.625, 90.0), 3)
    (0.0, 0.633)
    >>> round(saddle_height(4.5, 1e6, 180.0, 45.0), 3)  # on something flat it is a mitre
    4.5

    Args:
        outside: diameter of the branch.
        header: outside diameter of what it sits on, no smaller.
        angle: round the branch, from its shortest line.
        degrees: how far the branch leans from square.
    """
    turn, lean = math.radians(angle), math.radians(degrees)
    branch, radius = outside / 2, header / 2
    miss = branch * math.sin(turn)
    drop = miss**2 / (radius + math.sqrt(radius**2 - miss**2))  # R - sqrt(R^2 - miss^2), exactly
    return (drop + branch * math.sin(lean) * (1 - math.cos(turn))) / math.cos(lean)


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


def saddle(section: Section, header: float, degrees: float = 0.0) -> Development | None:
    """The unrolled line of a branch on a header; None where the branch is the larger.

    Twelve o'clock is where the branch is shortest: the side away from which it leans.
    """
    outside = 2 * section.radius
    if not outside or header < outside - ALIKE or not 0 <= degrees <= STEEPEST:
        return None
    header = max(header, outside)
    leans = f" at {degrees:g} deg" if degrees else ""
    return Development(
        name=f"{section.name or 'round'}, saddle on {header:g} in{leans}",
        outside=inches(outside),
        wrap=inches(wrap(outside)),
        ordinates=_ordinates(
            section, lambda angle: saddle_height(outside, header, angle, degrees), degrees
        ),
    )


def stretch(line: Development) -> float:
    """How much longer the line is than once round, along chords between its ordinates.

    >>> from handsfree.engine.plan.shapes import round_section
    >>> from handsfree.values import Shape
    >>> stub = round_section(4.5, 0.237, Shape.PIPE)
    >>> round(stretch(saddle(stub, 8.625)), 3), round(stretch(mitre(stub, 0.0)), 3)
    (1.019, 1.0)
    """
    heights = [float(ordinate.height.m_as("in")) for ordinate in line.ordinates]
    step = float(line.wrap.m_as("in")) / len(heights)
    steps = zip(heights, (*heights[1:], heights[0]), strict=True)
    return sum(math.hypot(step, after - before) for before, after in steps) / (step * len(heights))


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


def balance_of_saddled_stub(
    section: Section, header: float, length: float, degrees: float
) -> tuple[float, float]:
    """Where a branch of that length on its centre line balances, one end square, one saddled.

    The wall is taken as standing on its outside line, cut to the same height all through, and added
    up over the ordinates. What the saddle takes off shortens the branch from its mean.

    Returns:
        Off the centre line towards the long side, and along from the square end, in inches.
    """
    outside = 2 * section.radius
    places = [360 * place / LINES for place in range(LINES)]
    heights = [saddle_height(outside, header, angle, degrees) for angle in places]
    # at the centre line the branch ends on the header's crown: height of the line at 0 and 180
    middle = (heights[0] + heights[LINES // 2]) / 2
    reaches = [length + height - middle for height in heights]
    wall = (section.radius + section.bore) / 2
    whole = sum(reaches)
    along = sum(reach**2 / 2 for reach in reaches) / whole
    off = (
        -wall
        * sum(
            reach * math.cos(math.radians(angle))
            for reach, angle in zip(reaches, places, strict=True)
        )
        / whole
    )
    return off, along
