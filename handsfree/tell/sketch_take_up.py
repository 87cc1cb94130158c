"""What to take up as one picture: pieces against tips, how each goes told by shape and word.

SVG text of our own, black on white: a full disc goes right, a leaning bar is leaned, a wave is
woven slowly, a cross is refused. The columns of the chosen tips are framed.
"""

from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from handsfree.values import Going, TakeUp

CELL = 110.0  # the side of one square of the table
_LEFT = 520.0  # room for the pieces
_TOP = 150.0  # room for the tips
_LETTERS = 34  # of a piece's name
WORDS = {
    Going.RIGHT: "right",
    Going.LEANED: "leaned",
    Going.SLOW: "slow",
    Going.REFUSED: "no",
}


def take_up_picture(take_up: TakeUp) -> str:
    """The picture of a take-up list as an SVG document."""
    return "\n".join(_lines(take_up)) + "\n"


def _lines(take_up: TakeUp) -> Iterator[str]:
    width = _LEFT + CELL * len(take_up.tips) + 20
    height = _TOP + CELL * len(take_up.lines) + 20
    title = "Pieces against tips"
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'role="img" aria-label={quoteattr(title)}>'
    )
    yield f"<title>{escape(title)}</title>"
    yield f"<desc>{escape(_described(take_up))}</desc>"
    yield '<rect width="100%" height="100%" fill="#ffffff"/>'
    taken = take_up.choices[0].tips if take_up.choices else ()
    for column, tip in enumerate(take_up.tips):
        x = _LEFT + CELL * (column + 0.5)
        yield _text(x, _TOP - 60, _short(tip.name), 30, "middle")
        yield _text(x, _TOP - 20, f"{float(tip.bore.m_as('in')):.4f}", 26, "middle")
        for row, tried in enumerate(tip.tried):
            y = _TOP + CELL * (row + 0.5)
            yield from _mark(x, y - 12, tried.going)
            yield _text(x, y + 44, WORDS[tried.going], 26, "middle")
    for row, line in enumerate(take_up.lines):
        y = _TOP + CELL * (row + 0.5) + 10
        yield _text(20, y, f"{row + 1}.  {line[:_LETTERS]}", 30, "start")
    for column in taken:
        yield (
            f'<rect x="{_LEFT + CELL * column + 4:g}" y="{_TOP - 105:g}" width="{CELL - 8:g}" '
            f'height="{CELL * len(take_up.lines) + 110:g}" fill="none" stroke="#000000" '
            'stroke-width="8"/>'
        )
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


def _text(x: float, y: float, words: str, size: int, anchor: str) -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-family="sans-serif" '
        f'font-size="{size}">{escape(words)}</text>'
    )


def _short(name: str) -> str:
    return name.removeprefix("stamped ").partition(" 0.")[0][:7]


def _described(take_up: TakeUp) -> str:
    """The picture in words, for those who cannot see it."""
    said = []
    for tip in take_up.tips:
        goings = [WORDS[tried.going] for tried in tip.tried]
        said.append(f"{tip.name}: {', '.join(goings)}")
    return ". ".join(said)
