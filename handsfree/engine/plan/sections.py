"""The piece that a user named becomes its section: looked up in a table, or from the sizes told."""

import functools

from handsfree.engine import tables
from handsfree.engine.plan import shapes
from handsfree.engine.plan.shapes import Section
from handsfree.engine.tables import SectionRow
from handsfree.engine.trust import weakest
from handsfree.values import Piece, Shape, Status
from handsfree.values.units import Quantity

A_FOOT = 12.0  # inches of cut, for plate whose width was not told
_MOST = 48.0  # inches across: more is no piece for one cut plan
_CHANNELS = frozenset(("C", "MC", "UPN", "UPE"))
_TEES = frozenset(("WT", "MT", "ST"))
# Slope of the flanges' inner faces: 1 in 6 of the inch ones, 8 percent of UPN (common practice of
# the mills, from memory); it moves an outline and a balance point, and no thickness.
_TAPERS = {"S": 1 / 6, "C": 1 / 6, "MC": 1 / 6, "ST": 1 / 6, "UPN": 0.08}
_TUBES = frozenset(("HSS", "SHS", "RHS", "CHS"))


def section_of(piece: Piece, cut_length: Quantity | None = None) -> Section | None:
    """The section of a piece; None while too little is known of it.

    Args:
        piece: as it was named.
        cut_length: how far plate is cut, when that was said.
    """
    if piece.designation is not None:
        row = tables.section(piece.designation)
        return None if row is None else listed_section(row.designation)
    if piece.nominal is not None:
        return None if piece.schedule is None else _pipe(piece)
    thickness = _thickness(piece)
    sides = tuple(float(side.m_as("in")) for side in piece.outside)
    if thickness is None or not 0 < thickness <= _MOST or not all(0 < s <= _MOST for s in sides):
        return None
    found = _told(piece.shape, thickness, sides, cut_length)
    if found is None or piece.gauge is None:
        return found
    gauge = tables.sheet_gauge(piece.gauge)
    if gauge is None:
        return found
    return found.listed(
        f"{piece.gauge} gauge", found.area, found.weight, (gauge.source,), gauge.status
    )


@functools.lru_cache(maxsize=256)
def listed_section(designation: str) -> Section | None:
    """The section of a listed designation, None for a family that has no geometry here."""
    row = tables.section(designation)
    if row is None:
        return None
    drawn = _drawn(row)
    return drawn.listed(
        row.designation,
        float(row.area.m_as("in**2")),
        float(_pounds_a_foot(row.weight)),
        (row.source,),
        row.status,
    )


def _drawn(row: SectionRow) -> Section:
    depth, root = _inch(row.depth), 0.0
    width = _inch(row.width) if row.width is not None else 0.0
    if row.root is not None:
        root = _inch(row.root)
    if row.family in _TUBES:
        assert row.wall is not None
        if row.width is None:
            return shapes.round_section(depth, _inch(row.wall), Shape.ROUND_TUBE)
        return shapes.tube(depth, width, _inch(row.wall))
    if row.family == "L":
        assert row.wall is not None
        return shapes.angle(depth, width, _inch(row.wall), root)
    assert row.flange is not None and row.web is not None
    sizes = depth, width, _inch(row.flange), _inch(row.web), root
    taper = _TAPERS.get(row.family, 0.0)
    if row.family in _TEES:
        return shapes.tee(*sizes, taper)
    draw = shapes.channel if row.family in _CHANNELS else shapes.beam
    return draw(*sizes, taper)


def _pipe(piece: Piece) -> Section | None:
    assert piece.nominal is not None and piece.schedule is not None
    row = tables.pipe(piece.nominal, piece.schedule)
    if row is None:
        return None
    found = shapes.round_section(_inch(row.outside), _inch(row.wall), Shape.PIPE)
    return found.listed(
        "",
        found.area,
        float(_pounds_a_foot(row.weight)),
        (row.source,),
        weakest(row.status, Status.COMPUTED),
    )


def _told(
    shape: Shape | None, thickness: float, sides: tuple[float, ...], cut_length: Quantity | None
) -> Section | None:
    """A section from sizes that were told: the thickness and what else is known."""
    match shape, sides:
        case Shape.SHAFT, _:
            return shapes.round_section(thickness, None, Shape.SHAFT)
        case Shape.SQUARE_BAR, _:
            return shapes.square_bar(max(thickness, *sides, 0.0), thickness)
        case ((Shape.PIPE | Shape.ROUND_TUBE), (outside, *_)):
            return _if_hollow(outside, thickness, shape)
        case Shape.SQUARE_TUBE, (height, *others):
            width = others[0] if others else height
            return (
                shapes.tube(max(height, width), min(height, width), thickness)
                if 2 * thickness < min(height, width)
                else None
            )
        case Shape.ANGLE, (first, *others):
            longer, shorter = max(first, *others), min(first, *others)
            fits = thickness < shorter
            return shapes.angle(longer, shorter, thickness, thickness) if fits else None
        case ((None | Shape.PLATE | Shape.SHEET | Shape.FLAT_BAR), _):
            width = float(cut_length.m_as("in")) if cut_length is not None else 0.0
            width = width or (max(sides) if sides else A_FOOT)
            return shapes.plate(width, thickness, shape or Shape.PLATE) if width > 0 else None
    return None


def _if_hollow(outside: float, wall: float, shape: Shape) -> Section | None:
    return shapes.round_section(outside, wall, shape) if 2 * wall < outside else None


def _thickness(piece: Piece) -> float | None:
    if piece.thickness is not None:
        return float(piece.thickness.m_as("in"))
    if piece.gauge is not None:
        found = tables.sheet_gauge(piece.gauge)
        return None if found is None else float(found.value.m_as("in"))
    if piece.shape in (Shape.SHAFT, Shape.SQUARE_BAR) and piece.outside:
        return float(min(piece.outside).m_as("in"))
    return None


def _inch(value: Quantity) -> float:
    return float(value.m_as("in"))


def _pounds_a_foot(weight: Quantity) -> float:
    """Pounds a foot, from either a weight or a mass of a length."""
    unit = "lb/ft" if weight.check("[mass] / [length]") else "lbf/ft"
    return float(weight.m_as(unit))
