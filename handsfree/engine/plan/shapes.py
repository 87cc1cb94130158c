"""A piece becomes its cross-section: faces to be cut, edges to be drawn, area, weight and balance.

Inches. Every section is told as it stands in the trade's lists: a beam with its web upright, an
angle with its heel at the lower left, a channel with its web at the left, a tee with its flange on
top. How it lies while it is cut is a turn of that, in `lies.py`.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from handsfree.values import Point, Shape, Status

Ring = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Face:
    """A flat part of a section, cut in one travel along its middle line.

    Attributes:
        name: in the trade's words: "top flange", "web", "leg".
        thickness: square through.
        start: one end of its middle line.
        end: the other.
        outward: of length one, square to the middle line, away from the hollow or the trough.
        runs_into: names of the faces into whose middle it runs: these are cut before it.
        closed_behind: nothing can be held on its inner side: a tube's.
        root: of the metal where another face meets its middle, fillet and all; its own thickness
            where none does.
        root_length: how much of the travel goes through that.
        slant: how many times longer the travel is than straight across, along a mitre.
        bevel: of the torch sideways from square, in degrees, along a mitre.
    """

    name: str
    thickness: float
    start: Point
    end: Point
    outward: Point
    runs_into: tuple[str, ...] = ()
    closed_behind: bool = False
    root: float = 0.0
    root_length: float = 0.0
    slant: float = 1.0
    bevel: float = 0.0

    @property
    def length(self) -> float:
        """Of the middle line, which is the travel."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Section:
    """A cross-section to be cut through.

    Attributes:
        name: in the trade's spelling, "" for one whose sizes were told.
        shape: of the piece.
        faces: flat faces; empty for a round.
        rings: its edges, the outer one first, then its holes.
        radius: of a round outside; 0 for one with flat faces.
        bore: inner radius of a round; 0 for a solid one.
        area: of the steel.
        weight: of a foot, in pounds.
        balance: the centre of the area.
        corner: metal along the jet across an outside corner, inner fillet counted; 0 where there
            is no corner.
        slope: how many times the area is cut through along a mitre.
        sources: keys of the tables used.
        status: how far its sizes can be trusted.
    """

    name: str
    shape: Shape
    faces: tuple[Face, ...]
    rings: tuple[Ring, ...]
    area: float
    weight: float
    balance: Point
    radius: float = 0.0
    bore: float = 0.0
    corner: float = 0.0
    slope: float = 1.0
    sources: tuple[str, ...] = ()
    status: Status = Status.READ

    @property
    def wall(self) -> float:
        """Of a round: its wall, or its diameter when solid."""
        return self.radius - self.bore if self.bore else 2 * self.radius

    @property
    def hollow(self) -> bool:
        """Whether it closes round a hollow."""
        return bool(self.bore) or any(face.closed_behind for face in self.faces)

    def listed(
        self,
        name: str,
        area: float,
        weight: float,
        sources: tuple[str, ...],
        status: Status,
    ) -> "Section":
        """The section with the area and weight of its table, where a table lists them."""
        return replace(self, name=name, area=area, weight=weight, sources=sources, status=status)


STEEL = 0.2836  # lb/in3, the usual density
CIRCLE_POINTS = 48


def corner(thickness: float, fillet: float) -> float:
    """Metal along a jet that splits an outside corner, from its heel to the inner fillet.

    By geometry: the heel lies sqrt(2) (t + r) from the fillet's centre, the fillet r nearer.

    >>> round(corner(0.375, 0.0), 3), round(corner(0.375, 0.375), 3)
    (0.53, 0.686)
    """
    return math.sqrt(2) * (thickness + fillet) - fillet


def plate(width: float, thickness: float, shape: Shape = Shape.PLATE) -> Section:
    """Plate or flat bar, lying flat."""
    ring = _box(width, thickness)
    faces = (Face("plate", thickness, (-width / 2, 0.0), (width / 2, 0.0), (0.0, 1.0)),)
    return _section(shape, faces, (ring,))


def square_bar(side: float, height: float) -> Section:
    """Solid square or rectangular bar."""
    ring = _box(side, height)
    faces = (Face("bar", height, (-side / 2, 0.0), (side / 2, 0.0), (0.0, 1.0)),)
    return _section(Shape.SQUARE_BAR, faces, (ring,))


def beam(
    depth: float, width: float, flange: float, web: float, root: float, taper: float = 0.0
) -> Section:
    """Wide flange or I, web upright.

    Args:
        depth: outside.
        width: of the flanges.
        flange: their thickness, half way out where they taper.
        web: its thickness.
        root: from the flange's outer face to the fillet's toe.
        taper: slope of the flanges' inner faces.
    """
    high, side, half = depth / 2, width / 2, web / 2
    under = high - flange
    more = taper * (side - half) / 2
    toe, heel = under + more, under - more
    ring = (
        *((-side, high), (side, high), (side, toe), (half, heel)),
        *((half, -heel), (side, -toe), (side, -high), (-side, -high)),
        *((-side, -toe), (-half, -heel), (-half, heel), (-side, toe)),
    )
    middle = high - flange / 2
    reach = web + 2 * max(0.0, root - flange)
    deep = max(root, flange)
    faces = (
        Face(
            "top flange",
            flange,
            (-side, middle),
            (side, middle),
            (0.0, 1.0),
            root=deep,
            root_length=min(reach, width),
        ),
        Face(
            "bottom flange",
            flange,
            (-side, -middle),
            (side, -middle),
            (0.0, -1.0),
            root=deep,
            root_length=min(reach, width),
        ),
        Face(
            "web",
            web,
            (0.0, -under),
            (0.0, under),
            (1.0, 0.0),
            runs_into=("top flange", "bottom flange"),
        ),
    )
    return _section(Shape.BEAM, faces, (ring,))


def tee(
    depth: float, width: float, flange: float, stem: float, root: float, taper: float = 0.0
) -> Section:
    """Structural tee, flange on top; arguments as of a beam."""
    side, half = width / 2, stem / 2
    more = taper * (side - half) / 2
    toe, heel = -flange + more, -flange - more
    ring = (
        *((-side, 0.0), (side, 0.0), (side, toe), (half, heel)),
        *((half, -depth), (-half, -depth), (-half, heel), (-side, toe)),
    )
    faces = (
        Face(
            "flange",
            flange,
            (-side, -flange / 2),
            (side, -flange / 2),
            (0.0, 1.0),
            root=max(root, flange),
            root_length=min(stem + 2 * max(0.0, root - flange), width),
        ),
        Face("stem", stem, (0.0, -depth), (0.0, -flange), (1.0, 0.0), runs_into=("flange",)),
    )
    return _section(Shape.TEE, faces, (ring,))


def channel(
    depth: float, width: float, flange: float, web: float, root: float, taper: float = 0.0
) -> Section:
    """Channel, web at the left and upright; arguments as of a beam."""
    high = depth / 2
    more = taper * (width - web) / 2
    toe, heel = high - flange + more, high - flange - more
    ring = (
        *((0.0, -high), (width, -high), (width, -toe), (web, -heel)),
        *((web, heel), (width, toe), (width, high), (0.0, high)),
    )
    middle = high - flange / 2
    faces = (
        Face("bottom flange", flange, (width, -middle), (web / 2, -middle), (0.0, -1.0)),
        Face("web", web, (web / 2, -middle), (web / 2, middle), (-1.0, 0.0)),
        Face("top flange", flange, (web / 2, middle), (width, middle), (0.0, 1.0)),
    )
    found = _section(Shape.CHANNEL, faces, (ring,))
    return replace(found, corner=corner(max(flange, web), max(0.0, root - flange)))


def angle(longer: float, shorter: float, thickness: float, root: float) -> Section:
    """Angle, heel at the lower left, its longer leg upright."""
    t = thickness
    ring = ((0.0, 0.0), (shorter, 0.0), (shorter, t), (t, t), (t, longer), (0.0, longer))
    faces = (
        Face("lying leg", t, (shorter, t / 2), (t / 2, t / 2), (0.0, -1.0)),
        Face("standing leg", t, (t / 2, t / 2), (t / 2, longer), (-1.0, 0.0)),
    )
    found = _section(Shape.ANGLE, faces, (ring,))
    return replace(found, corner=corner(t, max(0.0, root - t)))


def tube(height: float, width: float, wall: float) -> Section:
    """Square or rectangular tube, with the outside corner radius of twice the wall."""
    high, side = height / 2, width / 2
    outer = _rounded(side, high, 2 * wall)
    inner = _rounded(side - wall, high - wall, wall)
    x, y = side - wall / 2, high - wall / 2
    names = ("bottom", "right side", "top", "left side")
    corners = ((-x, -y), (x, -y), (x, y), (-x, y), (-x, -y))
    outward = ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))
    faces = tuple(
        Face(name, wall, start, end, out, closed_behind=True)
        for name, (start, end), out in zip(names, pairwise(corners), outward, strict=True)
    )
    found = _section(Shape.SQUARE_TUBE, faces, (outer, inner))
    return replace(found, corner=wall)  # the walls of a formed corner share their centre


def round_section(outside: float, wall: float | None, shape: Shape) -> Section:
    """Pipe, round tube, or a solid round when `wall` is None or reaches the middle."""
    radius = outside / 2
    bore = 0.0 if wall is None else max(0.0, radius - wall)
    area = math.pi * (radius**2 - bore**2)
    rings: tuple[Ring, ...] = (_circle(radius),)
    if bore:
        rings += (_circle(bore),)
    return Section(
        "",
        shape,
        (),
        rings,
        area,
        area * 12 * STEEL,
        (0.0, 0.0),
        radius=radius,
        bore=bore,
    )


def ring_area(ring: Ring) -> float:
    """Area inside a ring, positive when it runs against the clock.

    >>> ring_area(((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)))
    2.0
    """
    closed = (*ring, ring[0])
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(closed)) / 2


def ring_balance(ring: Ring) -> Point:
    """Centre of the area inside a ring."""
    area = ring_area(ring)
    x = y = 0.0
    for a, b in pairwise((*ring, ring[0])):
        cross = a[0] * b[1] - b[0] * a[1]
        x += (a[0] + b[0]) * cross
        y += (a[1] + b[1]) * cross
    return x / (6 * area), y / (6 * area)


def _section(shape: Shape, faces: tuple[Face, ...], rings: tuple[Ring, ...]) -> Section:
    faces = tuple(face if face.root else replace(face, root=face.thickness) for face in faces)
    areas = [abs(ring_area(ring)) for ring in rings]
    area = areas[0] - sum(areas[1:])
    x = y = 0.0
    for sign, size, ring in zip((1, *(-1 for _ in rings[1:])), areas, rings, strict=True):
        middle = ring_balance(ring)
        x, y = x + sign * size * middle[0], y + sign * size * middle[1]
    return Section("", shape, faces, rings, area, area * 12 * STEEL, (x / area, y / area))


def _box(width: float, height: float) -> Ring:
    x, y = width / 2, height / 2
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def _circle(radius: float) -> Ring:
    step = 2 * math.pi / CIRCLE_POINTS
    return tuple(
        (radius * math.cos(step * place), radius * math.sin(step * place))
        for place in range(CIRCLE_POINTS)
    )


def _rounded(side: float, high: float, radius: float) -> Ring:
    """A box with rounded corners, six points to each."""
    radius = min(radius, side, high)
    points = []
    for x, y, first in (
        (side - radius, -high + radius, -90.0),
        (side - radius, high - radius, 0.0),
        (-side + radius, high - radius, 90.0),
        (-side + radius, -high + radius, 180.0),
    ):
        for step in range(6):
            turn = math.radians(first + 18 * step)
            points.append((x + radius * math.cos(turn), y + radius * math.sin(turn)))
    return tuple(points)
