"""Where a piece balances once it is off, in words; rigging stays with a competent person.

By geometry: of the section its centre of area, along the piece the middle, moved by a mitre or a
saddle at one end. Inches.
"""

import math
from itertools import pairwise

from handsfree.engine import advice
from handsfree.engine.plan import mitres, saddles
from handsfree.engine.plan.shapes import Ring, Section, ring_area
from handsfree.engine.saying import eighths_of_an_inch
from handsfree.values import Point, Request

TOLD_FROM = 0.125  # inches: nearer than an eighth is the middle


def sentences_of(request: Request, section: Section) -> tuple[str, ...]:
    """Where it balances, in words."""
    moved = _moved(request, section)
    if moved is not None:
        off, along = moved
        aside = f", {eighths_of_an_inch(off)} off centre to the long side"
        said = [
            f"It balances {eighths_of_an_inch(along)} from its square end"
            f"{aside if off >= TOLD_FROM else ''}."
        ]
    elif _angle(request) or request.header is not None:
        said = list(advice.sentences("plan_balance_long_side"))
    else:
        said = list(advice.sentences("plan_balance_middle"))
    if section.radius:
        return tuple(said)
    for place, edge in zip(section.balance, ("left edge", "bottom edge"), strict=True):
        axis = 0 if edge == "left edge" else 1
        off = place - min(point[axis] for point in section.rings[0])
        if abs(place) >= TOLD_FROM and off >= TOLD_FROM:  # a symmetric one stands about its middle
            said.append(f"As listed, its middle lies {eighths_of_an_inch(off)} from the {edge}.")
    return tuple(said)


def of_mitred(section: Section, length: float, degrees: float) -> tuple[float, float]:
    """Off centre and along from the square end, of a piece of flat faces mitred at one end.

    A piece that is longer by slope times the distance over which the cut rises has its weight off
    the centre by slope I / (A L), and along at L / 2 + slope^2 I / (2 A L).

    >>> from handsfree.engine.plan.shapes import plate
    >>> [round(end, 3) for end in of_mitred(plate(6.0, 0.5), 12.0, 45.0)]
    [0.25, 6.125]

    Args:
        section: as it is listed.
        length: on its centre of area.
        degrees: of the mitre.
    """
    rise = mitres.rises_over(section)
    areas = [abs(ring_area(ring)) for ring in section.rings]
    area = areas[0] - sum(areas[1:])
    seconds = [_second_moment(ring, section.balance, rise) for ring in section.rings]
    shape = (seconds[0] - sum(seconds[1:])) / area
    slope = math.tan(math.radians(degrees))
    return shape * slope / length, length / 2 + shape * slope**2 / (2 * length)


def _moved(request: Request, section: Section) -> tuple[float, float] | None:
    """Where it balances with an end that is not square; None for a square one, or no length."""
    if request.piece_length is None:
        return None
    if section.radius:
        return saddles.balance(request, section)
    degrees = _angle(request)
    return of_mitred(section, float(request.piece_length.m_as("in")), degrees) if degrees else None


def _angle(request: Request) -> float:
    return 0.0 if request.mitre is None else float(request.mitre.m_as("degree"))


def _second_moment(ring: Ring, about: Point, along: Point) -> float:
    """Second moment of the area inside a ring, of the distance along a direction from a point."""
    total = 0.0
    moved = [(x - about[0], y - about[1]) for x, y in ring]
    for one, other in pairwise((*moved, moved[0])):
        first, last = (point[0] * along[0] + point[1] * along[1] for point in (one, other))
        cross = one[0] * other[1] - other[0] * one[1]
        total += cross * (first**2 + first * last + last**2)
    return abs(total) / 12
