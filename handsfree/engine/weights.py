"""What a foot or a square foot of the piece weighs."""

import math

from handsfree.engine import tables
from handsfree.engine.pieces import Metal, find_metal
from handsfree.engine.plan import balance
from handsfree.engine.plan.sections import section_of
from handsfree.engine.trust import weakest
from handsfree.values import (
    Answer,
    Figure,
    Piece,
    Question,
    Request,
    Shape,
    Status,
    Task,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, registry

ROUND = (Shape.SHAFT,)
SQUARE = (Shape.SQUARE_BAR,)
_FLAT = (None, Shape.PLATE, Shape.SHEET, Shape.FLAT_BAR)


def answer_weight(request: Request) -> Answer | Question:
    """Weight of a foot of section, pipe or bar, or of a square foot of plate.

    Source: the section and pipe tables' own weights; plate and bars from their size and the usual
    density of steel, 0.2836 lb a cubic inch.
    """
    if request.task is Task.HOLE and request.cut_length is None:
        return Question(request, Asks.HOLE, "How wide is the hole?")
    piece = request.piece or Piece()
    listed = _listed(piece)
    metal = find_metal(request)
    if listed is None and not isinstance(metal, Metal):
        return metal
    if listed is not None:
        weight, source, status, note = listed
    else:
        assert isinstance(metal, Metal)
        weight, source, status, note = _from_size(piece, metal)
    whole_piece, balance = _of_the_piece(request)
    slug = slug_weight(request)
    figure = Figure("weight", weight, weight, source, status, note)
    name = metal.name if isinstance(metal, Metal) else ""
    if listed is not None and piece.designation is not None:
        row = tables.section(piece.designation)
        name = row.designation if row else name
    return Answer(
        request=request,
        figures=(slug,) if slug else (*whole_piece, figure),
        technique=() if slug else balance,
        cautions=("Rigging and lifting are for a competent person.",),
        thickness=metal.quantity if isinstance(metal, Metal) else None,
        thickness_name=name,
        sources=(source,),
    )


def slug_weight(request: Request) -> Figure | None:
    """What drops out of a hole in plate: a disc as wide as the hole; None for any other work.

    >>> from handsfree.values.units import inches
    >>> from handsfree.values import About
    >>> hole = Piece(shape=Shape.PLATE, thickness=inches(0.5))
    >>> made = Request(About.WEIGHT, piece=hole, task=Task.HOLE, cut_length=inches(2))
    >>> round(float(slug_weight(made).low.m_as("lb")), 2)
    0.45
    """
    piece = request.piece or Piece()
    if request.task is not Task.HOLE or request.cut_length is None or piece.shape not in _FLAT:
        return None
    metal = find_metal(request)
    if not isinstance(metal, Metal):
        return None
    density = tables.steel_density()
    wide = float(request.cut_length.m_as("in"))
    pounds = float(density.value.m_as("lb/inch**3")) * math.pi / 4 * wide**2 * metal.thickness
    weight = registry.Quantity(pounds, "lb")
    status = weakest(density.status, metal.status, Status.COMPUTED)
    return Figure("weight", weight, weight, density.source, status, "of the slug")


def _of_the_piece(request: Request) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """What the whole piece weighs, where its length was told, and where it balances."""
    section = section_of(request.piece or Piece(), request.cut_length)
    if section is None:
        return (), ()
    found = balance.sentences_of(request, section)
    if request.piece_length is None:
        return (), found
    pounds = registry.Quantity(section.weight * float(request.piece_length.m_as("ft")), "lb")
    source = section.sources[0] if section.sources else tables.steel_density().source
    status = weakest(section.status, Status.COMPUTED)
    return (Figure("weight", pounds, pounds, source, status, "of the piece"),), found


def _listed(piece: Piece) -> tuple[Quantity, str, Status, str] | None:
    if piece.designation is not None:
        row = tables.section(piece.designation)
        if row is None:
            return None
        return _a_foot(row.weight), row.source, row.status, ""
    if piece.nominal is not None and piece.schedule is not None:
        pipe = tables.pipe(piece.nominal, piece.schedule)
        if pipe is None:
            return None
        status = weakest(pipe.status, Status.COMPUTED)
        return _a_foot(pipe.weight), pipe.source, status, ""
    return None


def _a_foot(weight: Quantity) -> Quantity:
    """Pounds a foot, from either a weight or a mass of a length."""
    if weight.check("[mass] / [length]"):
        return weight.to("lb/ft")
    return registry.Quantity(float(weight.m_as("lbf/ft")), "lb/ft")


def _from_size(piece: Piece, metal: Metal) -> tuple[Quantity, str, Status, str]:
    density = tables.steel_density()
    status = weakest(density.status, metal.status, Status.COMPUTED)
    pounds = float(density.value.m_as("lb/inch**3"))
    through = metal.thickness
    if piece.shape in ROUND or piece.shape in SQUARE:
        area = through**2 * (math.pi / 4 if piece.shape in ROUND else 1.0)
        weight = registry.Quantity(pounds * area * 12, "lb/ft")
        return weight, density.source, status, ""
    weight = registry.Quantity(pounds * through * 144, "lb/ft**2")
    return weight, density.source, status, ""
