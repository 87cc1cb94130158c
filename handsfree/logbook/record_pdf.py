"""A record as PDF, by fpdf2, which the extra "pdf" brings."""

import unicodedata
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from handsfree.errors import RecordError
from handsfree.logbook.record import NO_PERMIT, TITLE, Record
from handsfree.logbook.record_pictures import for_pdf, size_mm
from handsfree.logbook.record_sheet import Block, Box, Fields, Heading, Pictures, Table, Text, sheet

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN: Final = 14.0  # mm
SMALL, PLAIN, LARGE = 8.0, 9.5, 12.0  # points
TITLE_SIZE: Final = 20.0
LINE: Final = 4.8  # mm from line to line of plain text
ROW: Final = 3.9  # likewise in a table
SQUARE: Final = 3.2  # mm, to be ticked
KEPT_TOGETHER: Final = 70.0  # mm: a box that is higher may be parted
NARROWEST: Final = 60.0  # mm, for the line above a small picture
GAP: Final = 6.0  # mm between pictures
FAMILY: Final = "record"
NOT_PRINTED: Final = (
    "Signs that this machine's fonts do not have are printed as question marks; the HTML record has"
    " all of them."
)
# Faces that have more than Latin letters, where common systems keep them: plain and bold.
_FACES: Final = (
    ("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/usr/share/fonts/TTF/DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/Library/Fonts/Arial Unicode.ttf", "Arial Unicode.ttf"),
    ("C:/Windows/Fonts/arial.ttf", "arialbd.ttf"),
)
_WRITTEN_OUT: Final = {"\u2033": " in", "\u2032": " ft", "\u2044": "/", "\u2212": "-"}


def record_pdf(record: Record, faces: tuple[tuple[str, str], ...] = _FACES) -> bytes:
    """The record as a PDF document.

    Text that is Latin is set in the faces that every reader of PDF has; other letters need a face
    of this machine, and become question marks, which is said, where there is none.

    Args:
        record: what is printed.
        faces: files of a plain face, and the bold one's name beside it, of which the first that is
            there is taken.

    Raises:
        RecordError: the library that writes PDF is not installed.
    """
    try:
        from fpdf import FPDF  # only for those who want paper: the extra "pdf" brings it
    except ImportError as fault:
        raise RecordError(
            "Writing PDF needs the package fpdf2: install handsfree[pdf], or ask for --html."
        ) from fault

    class Paper(FPDF):
        def footer(self) -> None:
            self.set_y(-MARGIN + 3)
            self.set_font(writer.family, size=SMALL)
            told = f"{TITLE} {record.days}. {NO_PERMIT} Page {self.page_no()} of {{nb}}"
            self.cell(0, 4, writer.fit(told), align="C")

    paper = Paper(unit="mm", format="A4")
    writer = _Writer(paper, faces)
    blocks = tuple(sheet(record))
    if not all(map(_is_latin, _all_text(record, blocks))):
        writer.take_face()
    paper.set_margins(MARGIN, MARGIN, MARGIN)
    paper.c_margin = 0.0
    paper.set_auto_page_break(True, MARGIN + 6)
    paper.set_title(writer.fit(f"{TITLE} {record.days}".strip()))
    paper.set_creator("handsfree")
    paper.add_page()
    writer.font(TITLE_SIZE, bold=True)
    paper.multi_cell(0, 10, TITLE, new_x="LMARGIN", new_y="NEXT")
    for block in blocks:
        writer.block(block)
    if writer.lost:
        writer.block(Text(NOT_PRINTED, strong=True))
    return bytes(paper.output())


class _Framed(NamedTuple):
    """A picture, how large it is and how wide the place is that it has in a row, in mm."""

    told: str
    svg: str
    wide: float
    high: float
    room: float


class _Writer:
    """Sets blocks one below the other."""

    def __init__(self, paper: "FPDF", faces: tuple[tuple[str, str], ...]) -> None:
        self._paper = paper
        self._faces = faces
        self.family = "helvetica"
        self._has: frozenset[int] | None = None  # characters of the face; None for Latin alone
        self.lost = False  # a sign could not be printed

    def take_face(self) -> None:
        """Take a face of this machine that has more letters."""
        for plain, bold in self._faces:
            path = Path(plain)
            if path.is_file() and path.with_name(bold).is_file():
                self._paper.add_font(FAMILY, fname=path)
                self._paper.add_font(FAMILY, style="B", fname=path.with_name(bold))
                self.family = FAMILY
                font = self._paper.fonts[FAMILY]
                self._has = frozenset(getattr(font, "cmap", {}))
                return

    def font(self, size: float, *, bold: bool = False) -> None:
        """What is set from now on."""
        self._paper.set_font(self.family, style="B" if bold else "", size=size)

    def fit(self, text: str) -> str:
        """The text in signs that can be printed."""
        return "".join(map(self._sign, text))

    def _sign(self, sign: str) -> str:
        if not sign.isprintable():
            return " "
        if self._has is not None:
            if ord(sign) in self._has:
                return sign
        elif _is_latin(sign):
            return sign
        plain = _WRITTEN_OUT.get(sign) or unicodedata.normalize("NFKD", sign)
        plain = "".join(_WRITTEN_OUT.get(each, each) for each in plain)
        plain = "".join(each for each in plain if not unicodedata.combining(each))
        if plain and plain.isascii():
            return plain
        self.lost = True
        return "?"

    def block(self, block: Block) -> None:
        """One block."""
        match block:
            case Heading(text, level, keeps):
                self._heading(text, level, keeps)
            case Text(text, strong):
                self.font(LARGE if strong else PLAIN, bold=strong)
                self._lines(text, LINE + (1 if strong else 0))
                self._paper.ln(1)
            case Fields(rows):
                self._fields(rows)
            case Box(lines, squares):
                self._box(lines, squares)
            case Pictures(drawn):
                self._pictures(drawn)
            case Table():
                self._table(block)

    def _lines(self, text: str, high: float, indent: float = 0.0) -> None:
        self._paper.set_x(MARGIN + indent)
        self._paper.multi_cell(
            self._paper.epw - indent, high, self.fit(text), align="L", new_x="LMARGIN", new_y="NEXT"
        )

    def _heading(self, text: str, level: int, keeps: float) -> None:
        paper = self._paper
        if paper.will_page_break(keeps):  # never a heading alone at the foot
            paper.add_page()
        paper.ln(4 if level == 2 else 2)
        self.font(LARGE if level == 2 else PLAIN + 1, bold=True)
        self._lines(text, 6 if level == 2 else 5.5)
        if level == 2:
            paper.set_line_width(0.5)
            paper.line(MARGIN, paper.y, MARGIN + paper.epw, paper.y)
            paper.ln(1.5)

    def _fields(self, rows: tuple[tuple[str, str], ...]) -> None:
        """Two of them side by side, each with its line below."""
        paper = self._paper
        half, gap = (paper.epw - 8) / 2, 8.0
        paper.set_line_width(0.25)
        for at in range(0, len(rows), 2):
            if paper.will_page_break(14):
                paper.add_page()
            top, low = paper.y + 2, paper.y + 8
            for column, (name, value) in enumerate(rows[at : at + 2]):
                left = MARGIN + column * (half + gap)
                self.font(PLAIN, bold=True)
                label = paper.get_string_width(name) + 3
                paper.set_xy(left, top)
                paper.cell(label, 6, self.fit(name))
                self.font(PLAIN)
                paper.set_xy(left + label, top)
                if value:
                    paper.multi_cell(half - label, 6, self.fit(value), align="L", new_y="NEXT")
                    low = max(low, paper.y)
            for column in range(len(rows[at : at + 2])):
                left = MARGIN + column * (half + gap)
                self.font(PLAIN, bold=True)
                label = paper.get_string_width(rows[at + column][0]) + 3
                paper.line(left + label, low, left + half, low)
            paper.set_xy(MARGIN, low + 1)
        paper.ln(2)

    def _box(self, lines: tuple[str, ...], squares: bool) -> None:
        """Lines between two heavy rules, which may be parted by the end of a page."""
        paper = self._paper
        high = len(lines) * (LINE + 1) + 6
        if high < KEPT_TOGETHER and paper.will_page_break(high):
            paper.add_page()
        paper.ln(1)
        self._rule()
        for line in lines:
            if paper.will_page_break(2 * LINE):
                paper.add_page()
            self.font(PLAIN, bold=not squares)
            if squares:
                paper.set_line_width(0.4)
                paper.rect(MARGIN + 1, paper.y + 0.8, SQUARE, SQUARE)
            self._lines(line, LINE, indent=SQUARE + 3 if squares else 1)
            paper.ln(0.6)
        self._rule()
        paper.ln(1)

    def _pictures(self, drawn: tuple[tuple[str, str], ...]) -> None:
        """As many in a row as go beside each other, each in a thin frame under its line."""
        paper = self._paper
        self.font(PLAIN, bold=True)
        row: list[_Framed] = []
        for told, svg in drawn:
            wide, high = size_mm(svg, paper.epw)
            framed = _Framed(told, svg, wide, high, max(wide, NARROWEST))
            if row and sum(each.room + GAP for each in row) + framed.room > paper.epw:
                self._row(row)
                row = []
            row.append(framed)
        self._row(row)

    def _row(self, row: "list[_Framed]") -> None:
        paper = self._paper
        lines = max(self._high(each.told, each.room) for each in row)
        high = max(each.high for each in row)
        if paper.will_page_break(lines + high + 4):
            paper.add_page()
        top, left = paper.y, MARGIN
        for each in row:
            above = lines - self._high(each.told, each.room) + high - each.high
            paper.set_xy(left, top + above)
            paper.multi_cell(each.room, LINE, self.fit(each.told), align="L", new_y="NEXT")
            under = top + lines + high - each.high + 1
            picture = for_pdf(each.svg, lambda text: _latin(self.fit(text)))
            paper.image(BytesIO(picture), x=left, y=under, w=each.wide, h=each.high)
            paper.set_line_width(0.2)
            paper.rect(left, under, each.wide, each.high)
            left += each.room + GAP
        paper.set_xy(MARGIN, top + lines + high + 4)

    def _high(self, text: str, wide: float) -> float:
        """How high a text is that is set so wide, in mm."""
        high = self._paper.multi_cell(
            wide, LINE, self.fit(text), align="L", dry_run=True, output="HEIGHT"
        )
        return high if isinstance(high, float) else LINE

    def _rule(self) -> None:
        paper = self._paper
        paper.set_line_width(0.8)
        paper.line(MARGIN, paper.y, MARGIN + paper.epw, paper.y)
        paper.ln(1.2)

    def _table(self, table: Table) -> None:
        from fpdf.fonts import FontFace

        paper = self._paper
        paper.set_line_width(0.2)
        self.font(SMALL)
        heading = FontFace(emphasis="BOLD", fill_color=(228, 228, 228))
        with paper.table(
            col_widths=tuple(share for _, share in table.columns),
            width=paper.epw,
            text_align="LEFT",
            v_align="TOP",
            line_height=ROW,
            padding=0.8,
            headings_style=heading,
        ) as printed:
            printed.row([self.fit(title) for title, _ in table.columns])
            for at, row in enumerate(table.rows):
                style = FontFace(emphasis="BOLD") if at in table.heavy else None
                printed.row([self.fit(cell) for cell in row], style=style)
        paper.ln(2)


def _all_text(record: Record, blocks: tuple[Block, ...]) -> list[str]:
    """Every text that is printed, to see which letters it needs."""
    found = [record.days]
    for block in blocks:
        match block:
            case Heading(text) | Text(text):
                found.append(text)
            case Fields(rows):
                found += [value for _, value in rows]
            case Box(lines):
                found += lines
            case Pictures(drawn):
                found += [told for told, _ in drawn]
            case Table():
                found += [cell for row in block.rows for cell in row]
    return found


def _latin(text: str) -> str:
    """The text in signs of the one face that pictures are lettered in."""
    return text.encode("latin-1", "replace").decode("latin-1")


def _is_latin(text: str) -> bool:
    """Whether the faces that every reader of PDF has can print it."""
    try:
        text.encode("latin-1")
    except UnicodeEncodeError:
        return False
    return True
