"""A section becomes the same section cut along a mitre: longer travels, bevelled faces.

By geometry, checked in tests/reference against a mesh that is sliced. The cut rises over the depth
of what stands (beam, channel, angle, tee, tube) and over the width of what lies flat. A face along
that rise is cut on a slanted line with the torch square; a face across it is cut straight over with
the torch tilted sideways by the mitre, through that much more steel. Inches and degrees.
"""

import math
from dataclasses import replace

from handsfree.engine.plan.shapes import Face, Section
from handsfree.values import Point, Shape

STEEPEST = 60.0  # degrees: beyond it the point of the cut is longer than it holds
STEEPEST_BEVEL = 45.0  # degrees a hand holds a torch over sideways (common practice)
_LIES_FLAT = frozenset((Shape.PLATE, Shape.SHEET, Shape.FLAT_BAR, Shape.SQUARE_BAR))


def rises_over(section: Section) -> Point:
    """The direction in the section over which the cut rises, of length one."""
    return (1.0, 0.0) if section.shape in _LIES_FLAT else (0.0, 1.0)


def can_be_mitred(section: Section, degrees: float) -> bool:
    """Whether a hand can cut that mitre on it."""
    if not 0 <= degrees <= STEEPEST:
        return False
    bevelled = any(face.bevel > STEEPEST_BEVEL for face in mitred(section, degrees).faces)
    return not bevelled


def mitred(section: Section, degrees: float) -> Section:
    """The section as the jet meets it along a mitre; one with a round wall only gains area."""
    if not degrees:
        return section
    faces = tuple(_along(face, rises_over(section), degrees) for face in section.faces)
    most = max(
        (new.thickness / old.thickness for new, old in zip(faces, section.faces, strict=True)),
        default=1.0,
    )
    return replace(
        section,
        faces=faces,
        corner=section.corner * most,
        slope=1 / math.cos(math.radians(degrees)),
    )


def out_of_square(section: Section, degrees: float) -> float:
    """How far the line runs along the piece from one edge to the other.

    >>> from handsfree.engine.plan.shapes import tube
    >>> round(out_of_square(tube(6.0, 6.0, 0.375), 45.0), 3)
    6.0
    """
    across, up = rises_over(section)
    along = [across * x + up * y for x, y in section.rings[0]]
    return (max(along) - min(along)) * math.tan(math.radians(degrees))


def _along(face: Face, rise: Point, degrees: float) -> Face:
    """A face with its slant, its bevel, and the steel that the bevelled jet meets.

    With the piece along z, the cut is the plane z = slope * (rise . p). The jet lies in that plane,
    square to the travel.
    """
    slope = math.tan(math.radians(degrees))
    across = (
        (face.end[0] - face.start[0]) / face.length,
        (face.end[1] - face.start[1]) / face.length,
    )
    climb = slope * (across[0] * rise[0] + across[1] * rise[1])
    plane = (-slope * rise[0], -slope * rise[1], 1.0)
    travel = (*across, climb)
    jet = (
        plane[1] * travel[2] - plane[2] * travel[1],
        plane[2] * travel[0] - plane[0] * travel[2],
        plane[0] * travel[1] - plane[1] * travel[0],
    )
    square = abs(jet[0] * face.outward[0] + jet[1] * face.outward[1]) / math.hypot(*jet)
    return replace(
        face,
        thickness=face.thickness / square,
        root=face.root / square,
        slant=math.hypot(1.0, climb),
        bevel=round(math.degrees(math.acos(min(1.0, square))), 6),
    )
