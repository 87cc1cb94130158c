"""What to take up as one picture: pieces against tips, how each goes told by shape and word.

SVG text of our own, black on white: a full disc goes right, a leaning bar is leaned, a wave is
woven slowly, a cross is refused. A chosen tip is framed, and its mark on
each piece that it cuts. A piece's name stands
over its marks, so that the letters stay large on a phone.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from handsfree.values import Going, TakeUp

CELL = 190.0  # the width of a tip's column
ROW = 210.0  # the height of a piece's row: its name over its marks
LEAST_WIDTH = 760.0  # room for the names of pieces where there are few tips
_TOP = 150.0  # room for the tips
_LETTERS = 34  # of a piece's name
WORDS = {
    Going.RIGHT: "right",
    Going.LEANED: "leaned",
    Going.SLOW: "slow",
    Going.REFUSED: "no",
}


@dataclass(frozen=True, slots=True)
class DrawnTip:
    """One tip as it is drawn.

    Attributes:
        name: as in `TipTried`.
        bore: in inches.
        goings: how each piece goes with it, in the order of the list.
    """

    name: str
    bore: float
    goings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeUpDrawing:
    """All that the picture of a list is drawn from, in plain values that a logbook can keep.

    Attributes:
        lines: the pieces.
        tips: those that were tried.
        taken: places of the tips that are taken.
        cuts_with: for each piece the place of its tip; None where none cuts it.
    """

    lines: tuple[str, ...]
    tips: tuple[DrawnTip, ...]
    taken: tuple[int, ...]
    cuts_with: tuple[int | None, ...]


def take_up_drawing(take_up: TakeUp) -> TakeUpDrawing:
    """What of a list is drawn."""
    best = take_up.choices[0] if take_up.choices else None
    return TakeUpDrawing(
        take_up.lines,
        tuple(
            DrawnTip(
                tip.name,
                float(tip.bore.m_as("in")),
                tuple(tried.going.value for tried in tip.tried),
            )
            for tip in take_up.tips
        ),
        best.tips if best is not None else (),
        best.cuts_with if best is not None else tuple(None for _ in take_up.lines),
    )


def take_up_picture(
    take_up: TakeUpDrawing, tips_at_most: int | None = None, rows_at_most: int | None = None
) -> str:
    """The picture of a take-up list as an SVG document.

    Args:
        take_up: what is drawn.
        tips_at_most: on a small screen no more columns than these; those that are taken stay.
        rows_at_most: likewise rows; how many more there are is written below.
    """
    order = sorted(range(len(take_up.tips)), key=lambda tip: (tip not in take_up.taken, tip))
    columns = sorted(order[:tips_at_most])
    rows = take_up.lines[:rows_at_most]
    return "\n".join(_lines(take_up, columns, rows)) + "\n"


def _lines(take_up: TakeUpDrawing, columns: list[int], rows: tuple[str, ...]) -> Iterator[str]:
    width = max(LEAST_WIDTH, CELL * len(columns)) + 40
    left = (width - CELL * len(columns)) / 2
    more = len(take_up.lines) - len(rows)
    height = _TOP + ROW * len(rows) + (70 if more else 20)
    title = "Pieces against tips"
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'role="img" aria-label={quoteattr(title)}>'
    )
    yield f"<title>{escape(title)}</title>"
    yield f"<desc>{escape(_described(take_up))}</desc>"
    yield '<rect width="100%" height="100%" fill="#ffffff"/>'
    for row, line in enumerate(rows):
        top = _TOP + ROW * row
        yield (
            f'<line x1="12" y1="{top:g}" x2="{width - 12:g}" y2="{top:g}" stroke="#000000" '
            'stroke-width="3"/>'
        )
        yield _text(20, top + 52, f"{row + 1}.  {line[:_LETTERS]}", 44, "start")
    for place, column in enumerate(columns):
        tip = take_up.tips[column]
        x = left + CELL * (place + 0.5)
        yield _text(x, _TOP - 75, _short(tip.name), 44, "middle")
        yield _text(x, _TOP - 24, f"{tip.bore:.4f}", 38, "middle")
        for row, going in enumerate(map(Going, tip.goings[: len(rows)])):
            y = _TOP + ROW * row + 108
            yield from _mark(x, y, going)
            yield _text(x, y + 66, WORDS[going], 38, "middle")
        if column in take_up.taken:
            yield _frame(x, _TOP - 125, 112)
            cut = [row for row in range(len(rows)) if take_up.cuts_with[row] == column]
            yield from (_frame(x, _TOP + ROW * row + 66, 126) for row in cut)
    if more:
        yield _text(20, height - 22, f"and {more} more", 40, "start")
    yield "</svg>"


def _mark(x: float, y: float, going: Going) -> Iterator[str]:
    match going:
        case Going.RIGHT:
            yield f'<circle cx="{x:g}" cy="{y:g}" r="24"/>'
        case Going.LEANED:
            yield (
                f'<line x1="{x - 26:g}" y1="{y + 20:g}" x2="{x + 26:g}" y2="{y - 20:g}" '
                'stroke="#000000" stroke-width="12"/>'
            )
        case Going.SLOW:
            yield (
                f'<path d="M{x - 34:g} {y:g}q11 -28 22 0t22 0t22 0" fill="none" stroke="#000000" '
                'stroke-width="8"/>'
            )
        case Going.REFUSED:
            yield (
                f'<path d="M{x - 22:g} {y - 22:g}L{x + 22:g} {y + 22:g}M{x + 22:g} {y - 22:g}'
                f'L{x - 22:g} {y + 22:g}" stroke="#000000" stroke-width="8"/>'
            )


def _frame(x: float, top: float, height: float) -> str:
    return (
        f'<rect x="{x - CELL / 2 + 8:g}" y="{top:g}" width="{CELL - 16:g}" height="{height:g}" '
        'fill="none" stroke="#000000" stroke-width="9"/>'
    )


def _text(x: float, y: float, words: str, size: int, anchor: str) -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-family="sans-serif" '
        f'font-size="{size}">{escape(words)}</text>'
    )


def _short(name: str) -> str:
    return name.removeprefix("stamped ").partition(" 0.")[0][:7]


def _described(take_up: TakeUpDrawing) -> str:
    """The picture in words, for those who cannot see it."""
    said = []
    for tip in take_up.tips:
        goings = [WORDS[Going(going)] for going in tip.goings]
        said.append(f"{tip.name}: {', '.join(goings)}")
    return ". ".join(said)
