"""How a section lies while it is cut: turned as a cutter would lay it, or left as it stands.

Common practice: an angle is laid heel up like a folded flat, a beam and a tee on their side, a
channel web up like a flat folded twice. What is cut in place stays as the lists draw it.
"""

import functools
import math
from dataclasses import dataclass, replace

from handsfree.engine.plan.shapes import Face, Ring, Section
from handsfree.values import Access, Point, Position, Shape

_LAID = {
    Shape.ANGLE: (-135.0, "Lay the angle heel up, like a folded flat."),
    Shape.BEAM: (90.0, "Lay the beam on its side, web flat."),
    Shape.TEE: (90.0, "Lay the tee on its side, stem flat."),
    Shape.CHANNEL: (-90.0, "Lay the channel web up, like a flat folded twice."),
}
_LAID_NAMES = {
    Shape.ANGLE: {"lying leg": "left leg", "standing leg": "right leg"},
    Shape.BEAM: {"top flange": "left flange", "bottom flange": "right flange"},
    Shape.CHANNEL: {"bottom flange": "left flange", "top flange": "right flange"},
}
_STANDS = {
    Shape.PLATE: "The plate lies flat.",
    Shape.SHEET: "The sheet lies flat.",
    Shape.FLAT_BAR: "The bar lies flat.",
    Shape.PIPE: "The pipe lies level.",
    Shape.ROUND_TUBE: "The tube lies level.",
    Shape.SQUARE_TUBE: "The tube lies level.",
    Shape.SHAFT: "The shaft lies level.",
    Shape.SQUARE_BAR: "The bar lies level.",
}


@dataclass(frozen=True, slots=True)
class Lie:
    """A section as it lies, and which way is down.

    Attributes:
        section: turned, its faces named as they lie.
        says: one short sentence.
        upright: the piece stands on end, so that slag falls along it and not across the section.
        turnable: it can be turned over.
    """

    section: Section
    says: str
    upright: bool
    turnable: bool


@functools.lru_cache(maxsize=256)
def lie(section: Section, access: Access, position: Position | None = None) -> Lie:
    """How a section lies for a cut from there."""
    if position is Position.VERTICAL:
        says = "The piece stands on end, and the cut runs level round it."
        return Lie(section, says, upright=True, turnable=False)
    if access is not Access.BENCH:
        says = _STANDS.get(section.shape, "It is cut as it stands.")
        if position is Position.OVERHEAD:
            says = "It hangs overhead, and is cut as it hangs."
        return Lie(section, says, upright=False, turnable=False)
    degrees, says = _LAID.get(section.shape, (0.0, _STANDS.get(section.shape, "")))
    names = _LAID_NAMES.get(section.shape, {})
    return Lie(_turned(section, degrees, names), says, upright=False, turnable=True)


def turn(point: Point, degrees: float) -> Point:
    """A point turned against the clock about the origin.

    >>> turn((1.0, 0.0), 90)
    (0.0, 1.0)
    """
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    x, y = point
    return round(x * cos - y * sin, 9) + 0.0, round(x * sin + y * cos, 9) + 0.0


def _turned(section: Section, degrees: float, names: dict[str, str]) -> Section:
    if not degrees:
        return section

    def ring(points: Ring) -> Ring:
        return tuple(turn(point, degrees) for point in points)

    def face(one: Face) -> Face:
        return replace(
            one,
            name=names.get(one.name, one.name),
            start=turn(one.start, degrees),
            end=turn(one.end, degrees),
            outward=turn(one.outward, degrees),
            runs_into=tuple(names.get(name, name) for name in one.runs_into),
        )

    return replace(
        section,
        faces=tuple(map(face, section.faces)),
        rings=tuple(map(ring, section.rings)),
        balance=turn(section.balance, degrees),
    )
