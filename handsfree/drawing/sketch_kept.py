"""The picture of a reply, and what the logbook keeps of it so that it can be drawn again.

What is kept is plain values, a few kilobytes of JSON at most; the picture drawn from them is the
one that the page showed.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from handsfree.drawing.practice_plot import practice_plot
from handsfree.drawing.sketch import DrawnCut, SectionDrawing, section_drawing, section_sketch
from handsfree.drawing.sketch_take_up import (
    DrawnTip,
    TakeUpDrawing,
    take_up_drawing,
    take_up_picture,
)
from handsfree.values import Told

SECTION, TAKE_UP = "section", "take_up"
DIGITS = 3  # of an inch: finer than any line is drawn


def sketch_of(
    shown: Told | Mapping[str, Any], *, tips: int | None = None, rows: int | None = None
) -> str | None:
    """The picture of a reply as SVG: of one that was just told, or of what was kept of it.

    Args:
        shown: the reply, or what `kept_sketch` gave for it; both may come from a newer version.
        tips: for a list of work, as in `take_up_picture`.
        rows: likewise.

    Returns:
        The SVG document; None where there is nothing to draw.
    """
    if isinstance(shown, Told):
        if shown.plan is None and shown.take_up is None and shown.progress is not None:
            return practice_plot(shown.progress)
        kept = kept_sketch(shown)
        return None if kept is None else sketch_of(kept, tips=tips, rows=rows)
    try:
        if shown.get("draws") == SECTION:
            return section_sketch(_section(shown))
        if shown.get("draws") == TAKE_UP:
            return take_up_picture(_take_up(shown), tips, rows)
    except (KeyError, TypeError, ValueError, IndexError, ArithmeticError):
        return None  # kept by another version, or no longer what was kept
    return None


def kept_sketch(told: Told) -> dict[str, Any] | None:
    """What the logbook keeps of the picture of a reply, ready for JSON; None for none."""
    if told.plan is not None:
        return {"draws": SECTION, **_rounded(asdict(section_drawing(told.plan)))}
    if told.take_up is not None:
        return {"draws": TAKE_UP, **_rounded(asdict(take_up_drawing(told.take_up)))}
    return None


def _rounded(value: Any) -> Any:
    """Plain lists and names, lengths no finer than is drawn; a bore keeps its fourth digit."""
    if isinstance(value, dict):
        return {
            name: round(part, 4) if name == "bore" else _rounded(part)
            for name, part in value.items()
        }
    if isinstance(value, list | tuple):
        return [_rounded(part) for part in value]
    return round(value, DIGITS) if isinstance(value, float) else value


def _section(kept: Mapping[str, Any]) -> SectionDrawing:
    return SectionDrawing(
        str(kept["name"]),
        str(kept["lies"]),
        tuple(_points(ring) for ring in kept["outline"]),
        tuple(
            DrawnCut(
                int(cut["number"]),
                _points(cut["path"]),
                _points([cut["jet"]])[0],
                float(cut["thickness"]),
                str(cut["said"]),
            )
            for cut in kept["cuts"]
        ),
    )


def _take_up(kept: Mapping[str, Any]) -> TakeUpDrawing:
    return TakeUpDrawing(
        tuple(map(str, kept["lines"])),
        tuple(
            DrawnTip(str(tip["name"]), float(tip["bore"]), tuple(map(str, tip["goings"])))
            for tip in kept["tips"]
        ),
        tuple(map(int, kept["taken"])),
        tuple(None if tip is None else int(tip) for tip in kept["cuts_with"]),
    )


def _points(pairs: Any) -> tuple[tuple[float, float], ...]:
    points = tuple((float(x), float(y)) for x, y in pairs)
    if not all(math.isfinite(length) for point in points for length in point):
        raise ValueError("a length without end")
    return points
