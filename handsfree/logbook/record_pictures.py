"""The pictures of a record: each where a reply was told with one, fitted to a page of paper.

A picture is SVG text. A page of HTML takes it as it is, but for the names in it, which must differ
from picture to picture. The library that writes PDF draws all of it but arrow heads and letters
that are not Latin, so that for it the heads become plain shapes.
"""

import json
import math
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterable, Iterator
from typing import Final

from handsfree.drawing.sketch_kept import sketch_of
from handsfree.logbook.logbook import SKETCH, Entry
from handsfree.logbook.record import Drawn

SCALE: Final = 0.085  # mm on paper for a unit of a picture: its letters are then plain to read
HIGH: Final = 215.0  # mm, the most of a page that one picture takes
HEAD: Final = 26.0  # the length of an arrow head in units of a picture
_HEAD_ON: Final = 7 / 10  # of it that lies before the end of its line
_NAMES: Final = "http://www.w3.org/2000/svg"
_NOT_PRINTED: Final = frozenset({"title", "desc", "defs"})
_LINES: Final = frozenset({"line", "polyline"})


def drawn_of(entries: Iterable[Entry]) -> tuple[Drawn, ...]:
    """The pictures that these entries keep, each once: what is said in parts keeps it each time."""
    found: dict[str, Drawn] = {}
    for entry in entries:
        if f'"{SKETCH}"' not in entry.detail:
            continue  # most have none, and there may be a hundred thousand
        try:
            kept = json.loads(entry.detail).get(SKETCH)
        except (ValueError, AttributeError):
            continue  # it is no longer what was written; the chain tells so
        picture = sketch_of(kept) if isinstance(kept, dict) else None
        if picture is not None and picture not in found:
            told = entry.understood or entry.heard
            found[picture] = Drawn(entry.at[:10], entry.at[11:19], told, picture)
    return tuple(found.values())


def size_mm(picture: str, wide: float) -> tuple[float, float]:
    """Width and height of a picture on paper, in mm.

    Args:
        picture: the SVG document.
        wide: how wide the paper is between its margins, in mm.
    """
    _, _, width, height = map(float, ET.fromstring(picture).get("viewBox", "0 0 1 1").split())
    scale = min(SCALE, wide / width, HIGH / height)
    return round(width * scale, 1), round(height * scale, 1)


def for_html(picture: str, number: int) -> str:
    """The picture to stand in a page of HTML beside others."""
    return picture.strip().replace('id="head"', f'id="head{number}"').replace(
        "url(#head)", f"url(#head{number})"
    )  # fmt: skip


def for_pdf(picture: str, fit: Callable[[str], str]) -> bytes:
    """The picture in such shapes as the library that writes PDF knows.

    Args:
        picture: the SVG document.
        fit: a text in signs that can be printed.
    """
    root = ET.fromstring(picture)
    plain = ET.Element("svg", {"xmlns": _NAMES, **root.attrib})
    for part in root:
        part.tag = part.tag.removeprefix(f"{{{_NAMES}}}")
        if part.tag in _NOT_PRINTED:
            continue
        plain.append(part)
        if part.tag == "text":
            part.text = fit(part.text or "")
        elif part.tag in _LINES and part.attrib.pop("marker-end", ""):
            plain.extend(_head(list(_ends(part))))
    return ET.tostring(plain)


def _ends(line: ET.Element) -> Iterator[tuple[float, float]]:
    """The places through which a line goes."""
    if line.tag == "line":
        for end in ("1", "2"):
            yield float(line.get(f"x{end}", 0)), float(line.get(f"y{end}", 0))
        return
    for pair in line.get("points", "").split():
        x, y = pair.split(",")
        yield float(x), float(y)


def _head(line: list[tuple[float, float]]) -> Iterator[ET.Element]:
    """The arrow head at the end of a line as a shape; none on a line without length."""
    if len(line) < 2 or line[-1] == line[-2]:
        return
    (x, y), (before_x, before_y) = line[-1], line[-2]
    length = math.hypot(x - before_x, y - before_y)
    along = (x - before_x) / length, (y - before_y) / length

    def at(on: float, across: float) -> str:
        right = x + on * along[0] - across * along[1]
        down = y + on * along[1] + across * along[0]
        return f"{right:.1f} {down:.1f}"

    back, side = -_HEAD_ON * HEAD, HEAD / 2
    shape = {
        "d": f"M{at(back, -side)}L{at((1 - _HEAD_ON) * HEAD, 0)}L{at(back, side)}Z",
        "fill": "#000000",
    }
    yield ET.Element("path", shape)
