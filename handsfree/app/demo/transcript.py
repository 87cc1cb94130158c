"""A shift as lines to read: what was said, what was heard, what was answered, and what is kept."""

import textwrap
from collections.abc import Callable, Iterable
from typing import Final

from handsfree.logbook.logbook import Entry
from handsfree.values import Heard, ToldFigure

WIDTH: Final = 96
NAMES: Final = 16
SHORT: Final = 200  # characters of an entry that are listed


class Transcript:
    """Writes a shift down as it happens.

    Args:
        tell: is given each line.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell

    def scene(self, told: str) -> None:
        """A new scene."""
        self._tell("")
        for line in textwrap.wrap(told, WIDTH):
            self._tell(line)

    def line(self, seconds: float, who: str, what: str) -> None:
        """One thing that somebody did, with the time of the shift at which he did it."""
        minutes, rest = divmod(int(seconds), 60)
        opening = f"  {minutes:2d}:{rest:02d}  {who:<{NAMES}}"
        blank = " " * len(opening)
        for line in textwrap.wrap(what, WIDTH - len(opening)) or [""]:
            self._tell(opening + line)
            opening = blank

    def more(self, what: str) -> None:
        """More of the line before."""
        self._tell(" " * (9 + NAMES) + what)

    def rest(self, lines: Iterable[str]) -> None:
        """Lines as they are, after a blank one."""
        self._tell("")
        for line in lines:
            self._tell(line)


def as_heard(heard: Heard, otherwise: bool) -> str:
    """What the helper heard, how surely, and whether it was something else than was said."""
    words = heard.words
    said = (
        f'"{words.text}"' if words.text else "the attention phrase" if heard.called else "nothing"
    )
    parts = [f"{said}, sure to {words.sureness:.0%}" if words.text else said]
    if otherwise:
        parts.append("MISHEARD")
        parts += [f'or "{other}"' for other in words.others[:2]]
    if heard.advice:
        parts.append(heard.advice)
    return ", ".join(parts)


def as_figures(figures: Iterable[ToldFigure]) -> str:
    """Figures in one line, as the page shows them.

    >>> from handsfree.values import Status
    >>> as_figures([ToldFigure("kerf", "kerf", 1, 2, "mm", "1-2", "", "", Status.READ)])
    'kerf 1-2 mm'
    """
    return "; ".join(
        " ".join(part for part in (figure.label, figure.digits, figure.unit) if part)
        for figure in figures
    )


def as_entry(entry: Entry) -> list[str]:
    """One entry of the logbook, short."""
    said = textwrap.shorten(entry.said, SHORT, placeholder=" ...")
    head = (
        f"  {entry.number:2d}  {entry.at[11:19]}  {entry.kind}: {entry.understood or entry.heard}"
    )
    return [
        head,
        *textwrap.wrap(said, WIDTH - 6, initial_indent=" " * 6, subsequent_indent=" " * 6),
    ]
