"""The unrolled line of a cut as a full-size template to print, cut out and wrap round the pipe.

SVG with its size in millimetres, or PDF laid over as many sheets as it takes. Both carry a square
to be measured: a printer that fits to the page spoils a template.
"""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from handsfree.errors import TemplateError
from handsfree.spoken_numbers import trade_fraction
from handsfree.values import Development

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN = 10.0  # mm round the template
BAND = 66.0  # mm of straight band below the lowest point, to square it on the pipe
LAP = 15.0  # mm to tape over
CHECK = 50.0  # mm, the side of the square that is measured
LINES_EVERY = 3  # of the ordinates, one line is drawn and lettered
LETTERS, LETTER_WIDTH = 3.8, 0.58  # mm of type at most; how wide a letter is to its height
SHEET = (297.0, 210.0)  # mm, A4 lying; what fits it fits a letter sheet but for 18 mm
PRINTED = (259.0, 190.0)  # mm of it that both kinds of sheet print
LONGEST = 3000.0  # mm round: more is no pipe for a paper template


def template_svg(development: Development) -> str:
    """The template as an SVG document of true size.

    Raises:
        TemplateError: the line is too long or too high for a template.
    """
    wrap, high = _size(development)
    width, height = wrap + LAP + 2 * MARGIN, high + BAND + 2 * MARGIN
    return "\n".join(_svg(development, width, height)) + "\n"


def _svg(development: Development, width: float, height: float) -> Iterator[str]:
    wrap, high = _size(development)
    base = MARGIN + high
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.2f}mm" height="{height:.2f}mm" '
        f'viewBox="0 0 {width:.2f} {height:.2f}">'
    )
    yield f"<title>{escape(development.name)}</title>"
    yield '<rect width="100%" height="100%" fill="#ffffff"/>'
    yield (
        f'<path d="{_path(development, base)}" fill="none" stroke="#000000" stroke-width="0.4"/>'
    )
    for x, up, words in _lines(development):
        yield (
            f'<line x1="{x:.2f}" y1="{base - up:.2f}" x2="{x:.2f}" y2="{base + BAND:.2f}" '
            'stroke="#000000" stroke-width="0.15"/>'
        )
        yield (
            f'<text x="{x + 1:.2f}" y="{base + BAND - 2:.2f}" font-family="sans-serif" '
            f'font-size="3.2">{escape(words)}</text>'
        )
    side, top = MARGIN + wrap, base + BAND
    yield (
        f'<rect x="{side:.2f}" y="{base:.2f}" width="{LAP:g}" height="{BAND:g}" fill="none" '
        'stroke="#000000" stroke-width="0.2" stroke-dasharray="2 1"/>'
    )
    check = min(CHECK, BAND - 12)
    yield (
        f'<rect x="{MARGIN + 12:.2f}" y="{top - check - 8:.2f}" width="{check:g}" '
        f'height="{check:g}" fill="none" stroke="#000000" stroke-width="0.3"/>'
    )
    yield (
        f'<text x="{MARGIN + 14:.2f}" y="{top - check / 2 - 8:.2f}" font-family="sans-serif" '
        f'font-size="3.6">this square is {check:g} mm: measure it</text>'
    )
    for line, (words, size) in enumerate(_title_lines(development, width - 2 * MARGIN)):
        yield (
            f'<text x="{MARGIN:.2f}" y="{top + 4.2 + 4.2 * line:.2f}" font-family="sans-serif" '
            f'font-size="{size:.2f}">{escape(words)}</text>'
        )
    yield "</svg>"


def _title_lines(development: Development, room: float) -> Iterator[tuple[str, float]]:
    """What it is, and how it is printed, under the band: each with letters that fit the room."""
    for words in (development.name, _title(development).removeprefix(f"{development.name}, ")):
        yield words, min(LETTERS, room / (LETTER_WIDTH * len(words)))


def template_pdf(development: Development) -> bytes:
    """The template as PDF sheets, to be taped together at their marks.

    Raises:
        TemplateError: as `template_svg`, or the library that writes PDF is not installed.
    """
    try:
        from fpdf import FPDF  # only for those who want paper: the extra "pdf" brings it
    except ImportError as fault:
        raise TemplateError(
            "Writing PDF needs the package fpdf2: install handsfree[pdf], or ask for SVG."
        ) from fault
    wrap, high = _size(development)
    width, height = wrap + LAP + 2 * MARGIN, high + BAND + 2 * MARGIN
    across = math.ceil(width / PRINTED[0])
    down = math.ceil(height / PRINTED[1])
    paper = FPDF(orientation="landscape", unit="mm", format="A4")
    paper.set_auto_page_break(False)
    paper.set_title(development.name)
    paper.set_font("helvetica", size=9)
    paper.set_line_width(0.2)
    for row in range(down):
        for column in range(across):
            paper.add_page()
            left, top = (SHEET[0] - PRINTED[0]) / 2, (SHEET[1] - PRINTED[1]) / 2
            with paper.rect_clip(x=left, y=top, w=PRINTED[0], h=PRINTED[1]):
                shift = left - column * PRINTED[0], top - row * PRINTED[1]
                _draw(paper, development, shift)
            paper.rect(left, top, PRINTED[0], PRINTED[1])
            number = row * across + column + 1
            paper.text(left, top + PRINTED[1] + 6, f"{_title(development)}")
            paper.text(left + PRINTED[0] - 40, top + PRINTED[1] + 6, f"{number} of {across * down}")
    return bytes(paper.output())


def _draw(paper: "FPDF", development: Development, shift: tuple[float, float]) -> None:
    wrap, high = _size(development)
    right, down = shift
    base = MARGIN + high
    points = [(x + right, y + down) for x, y in _points(development, base)]
    for one, other in zip(points, points[1:], strict=False):
        paper.line(*one, *other)
    for x, up, words in _lines(development):
        paper.line(x + right, base - up + down, x + right, base + BAND + down)
        paper.text(x + right + 1, base + BAND + down - 2, words)
    paper.rect(MARGIN + right, base + down, wrap + LAP, BAND)
    check = min(CHECK, BAND - 12)
    corner = MARGIN + 12 + right, base + BAND - check - 8 + down
    paper.rect(*corner, check, check)
    paper.text(corner[0] + 2, corner[1] + check / 2, f"{check:g} mm: measure it")


def _size(development: Development) -> tuple[float, float]:
    """Once round and the highest ordinate, in mm."""
    wrap = float(development.wrap.m_as("mm"))
    high = max(float(line.height.m_as("mm")) for line in development.ordinates)
    if not 0 < wrap <= LONGEST or high > LONGEST:
        raise TemplateError(
            f"{development.name} is {wrap:.0f} mm round and {high:.0f} mm high: too large for a "
            f"paper template; mark the ordinates on the pipe instead."
        )
    return wrap, high


def _points(development: Development, base: float) -> list[tuple[float, float]]:
    """The line as points, closed at its end by its beginning."""
    wrap, _ = _size(development)
    found = [
        (MARGIN + float(line.along.m_as("mm")), base - float(line.height.m_as("mm")))
        for line in development.ordinates
    ]
    return [*found, (MARGIN + wrap, found[0][1])]


def _path(development: Development, base: float) -> str:
    """The line, and round the band below it."""
    points = _points(development, base)
    curve = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return f"M{curve}L{points[-1][0]:.2f} {base + BAND:.2f}L{MARGIN:.2f} {base + BAND:.2f}Z"


def _lines(development: Development) -> Iterator[tuple[float, float, str]]:
    """Every line that is drawn: its place, how far up it goes, and its letters."""
    for line in development.ordinates[::LINES_EVERY]:
        up = float(line.height.m_as("mm"))
        yield MARGIN + float(line.along.m_as("mm")), up, _clock(line.clock)


def _clock(clock: float) -> str:
    hours, minutes = divmod(round(clock * 60), 60)
    return f"{hours}:{minutes:02d}"


def _title(development: Development) -> str:
    outside = float(development.outside.m_as("in"))
    size = trade_fraction(outside)
    if size is None or size.denominator == 1:
        told = f"{outside:g}"
    else:
        units, rest = divmod(size, 1)
        told = f"{units} {rest}" if units else f"{rest}"
    return f"{development.name}, {told} in outside, print at 100 %"
