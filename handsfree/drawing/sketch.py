"""A cut plan as one picture: the section as it lies, and its cuts numbered in order.

SVG text of our own, black on white. Meaning is by number, arrow and word, never by hue, for a
filter lens turns colours black. Only presentation attributes are used, so that a page that forbids
inline style shows it as it is.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from handsfree.values import CutPlan, PlannedCut, Point
from handsfree.wording.plan import held_at, span_told

WIDTH, HEIGHT = 1000.0, 1000.0  # of the picture, in its own units
_DRAWN = 440.0  # the side of the square into which the section is fitted
_MIDDLE: Point = (500.0, 385.0)
_REACH = 105.0  # from the metal to the number of a cut, where the torch is held
_RADIUS = 34.0  # of the disc that carries a number
_LINE = 52.0  # between lines of the list
_MOST_LINES = 5


@dataclass(frozen=True, slots=True)
class DrawnCut:
    """One cut as it is drawn.

    Attributes:
        number: its place in the order.
        path: the line of travel on the section, in inches.
        jet: where the torch points, of length one.
        thickness: of the metal there, in inches.
        said: the cut in a few words.
    """

    number: int
    path: tuple[Point, ...]
    jet: Point
    thickness: float
    said: str


@dataclass(frozen=True, slots=True)
class SectionDrawing:
    """All that the picture of a plan is drawn from, in plain values that a logbook can keep.

    Attributes:
        name: of the section.
        lies: how it lies, one sentence.
        outline: the section's edges as closed rings, in inches.
        cuts: in order.
    """

    name: str
    lies: str
    outline: tuple[tuple[Point, ...], ...]
    cuts: tuple[DrawnCut, ...]


def section_drawing(plan: CutPlan) -> SectionDrawing:
    """What of a plan is drawn."""
    cuts = tuple(
        DrawnCut(
            cut.number,
            cut.path,
            cut.jet,
            float(cut.thickness.m_as("in")),
            _said(plan, cut),
        )
        for cut in plan.cuts
    )
    return SectionDrawing(plan.name, plan.lies, plan.outline, cuts)


def section_sketch(drawing: SectionDrawing) -> str:
    """The picture of a plan as an SVG document.

    Each cut is a heavy line with an arrow head where it ends, and a numbered disc on the side from
    which the torch is held; a thin arrow shows the jet.
    """
    return "\n".join(_lines(drawing)) + "\n"


def _lines(plan: SectionDrawing) -> Iterator[str]:
    title = f"Cuts of {plan.name}"
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'role="img" aria-label={quoteattr(title)}>'
    )
    yield f"<title>{escape(title)}</title>"
    yield f"<desc>{escape(_described(plan))}</desc>"
    yield '<rect width="100%" height="100%" fill="#ffffff"/>'
    yield (
        '<defs><marker id="head" viewBox="0 0 10 10" refX="7" refY="5" markerWidth="26" '
        'markerHeight="26" markerUnits="userSpaceOnUse" orient="auto-start-reverse">'
        '<path d="M0 0L10 5L0 10z"/></marker></defs>'
    )
    place = _Placed(plan)
    rings = "".join(_ring(place, ring) for ring in plan.outline)
    yield (
        f'<path d="{rings}" fill="#cccccc" fill-rule="evenodd" stroke="#000000" '
        'stroke-width="4" stroke-linejoin="round"/>'
    )
    for cut in plan.cuts:
        yield from _cut(place, cut)
    yield from _list(plan)
    yield "</svg>"


class _Placed:
    """Where a place on the section lies in the picture."""

    def __init__(self, plan: SectionDrawing) -> None:
        points = [point for ring in plan.outline for point in ring]
        low = [min(point[axis] for point in points) for axis in (0, 1)]
        high = [max(point[axis] for point in points) for axis in (0, 1)]
        self.centre = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
        self.scale = _DRAWN / max(high[0] - low[0], high[1] - low[1])

    def at(self, point: Point) -> Point:
        """The place in the picture, whose y runs down."""
        x = _MIDDLE[0] + (point[0] - self.centre[0]) * self.scale
        y = _MIDDLE[1] - (point[1] - self.centre[1]) * self.scale
        return round(x, 1), round(y, 1)


def _ring(place: _Placed, ring: tuple[Point, ...]) -> str:
    points = [place.at(point) for point in ring]
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + "Z"


def _cut(place: _Placed, cut: DrawnCut) -> Iterator[str]:
    points = [place.at(point) for point in cut.path]
    line = " ".join(f"{x:g},{y:g}" for x, y in points)
    half = cut.thickness * place.scale / 2
    wide = max(4.0, min(9.0, half))
    yield (
        f'<polyline points="{line}" fill="none" stroke="#ffffff" '
        f'stroke-width="{min(16.0, 1.6 * half):.1f}" stroke-linecap="butt"/>'
    )
    yield (
        f'<polyline points="{line}" fill="none" stroke="#000000" stroke-width="{wide:.1f}" '
        'stroke-dasharray="22 9" marker-end="url(#head)"/>'
    )
    middle = points[len(points) // 2] if len(points) > 2 else _between(points[0], points[-1])
    jet = cut.jet[0], -cut.jet[1]
    torch = middle[0] - jet[0] * (_REACH + half), middle[1] - jet[1] * (_REACH + half)
    tip = middle[0] - jet[0] * (half + 14), middle[1] - jet[1] * (half + 14)
    yield (
        f'<line x1="{torch[0]:.1f}" y1="{torch[1]:.1f}" x2="{tip[0]:.1f}" y2="{tip[1]:.1f}" '
        'stroke="#000000" stroke-width="6" marker-end="url(#head)"/>'
    )
    yield f'<circle cx="{torch[0]:.1f}" cy="{torch[1]:.1f}" r="{_RADIUS:g}"/>'
    yield (
        f'<text x="{torch[0]:.1f}" y="{torch[1] + 17:.1f}" text-anchor="middle" fill="#ffffff" '
        f'font-family="sans-serif" font-weight="bold" font-size="48">{cut.number}</text>'
    )


def _between(start: Point, end: Point) -> Point:
    return (start[0] + end[0]) / 2, (start[1] + end[1]) / 2


def _list(plan: SectionDrawing) -> Iterator[str]:
    """The cuts in words under the picture; a plan never has more than fit."""
    top = HEIGHT - _LINE * (min(len(plan.cuts), _MOST_LINES) - 1) - 30
    for row, cut in enumerate(plan.cuts[:_MOST_LINES]):
        yield (
            f'<text x="40" y="{top + row * _LINE:g}" font-family="sans-serif" font-size="40">'
            f"{escape(cut.said)}</text>"
        )


def _said(plan: CutPlan, cut: PlannedCut) -> str:
    time = span_told("time", cut.time)
    parts = [
        f"{cut.number}  {cut.part}",
        held_at(cut, "\u00b0"),
        f"{time.digits} {time.unit}" if time is not None else "no time known",
    ]
    if len(plan.cuts) > 1 and cut is plan.cuts[-1]:
        parts.append("frees it")
    return ", ".join(parts)


def _described(plan: SectionDrawing) -> str:
    """The picture in words, for those who cannot see it."""
    return f"{plan.lies} " + ". ".join(cut.said for cut in plan.cuts)
