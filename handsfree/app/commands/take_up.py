"""`handsfree take-up`: which tip to take up for a list of work in a file, a piece a line."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.app.commands.replying import add_reply_options, request, session_for, tell
from handsfree.errors import SettingsError, in_words

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.session.session import Session


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("file", type=Path, help='a text file, a piece a line: "two W12x26"')
    add_reply_options(parser)


def act(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """The list as one request.

    Raises:
        SettingsError: the file or a line of it cannot be read; the message names it.
    """
    pieces = dict(pieces_of(given.file))
    session = session_for(given.terminal)
    told = session.take(request(_asked(*pieces.values())))
    if told.kind != "answer":
        for fault in _unread(session, pieces):
            given.terminal.complain(f"handsfree: {given.file}, {fault}")
    return tell(told, given)


def pieces_of(file: Path) -> Iterator[tuple[int, str]]:
    """The lines that name a piece, by number; raises as `act`."""
    from handsfree.values.clean_text import clean_text

    try:
        raw = file.read_bytes()
    except (OSError, ValueError) as fault:
        raise SettingsError(
            f"The list {file} cannot be read: {in_words(fault)}. Name a text file, a piece a line."
        ) from fault
    for number, line in enumerate(raw.removeprefix(b"\xef\xbb\xbf").splitlines(), start=1):
        try:
            text = line.decode("utf-8").strip()
        except UnicodeError as fault:
            shown = clean_text(line.decode("utf-8", errors="replace"))[:60]
            raise SettingsError(
                f"{file}, line {number}: {in_words(fault)}: {shown!r}. Save the list as UTF-8."
            ) from fault
        if text and not text.startswith("#"):
            yield number, text


def _asked(*pieces: str) -> str:
    from handsfree.values.clean_text import clean_text

    return clean_text(f"going up: {'; '.join(pieces)}")


def _unread(session: "Session", pieces: dict[int, str]) -> Iterator[str]:
    """Which lines are no piece by themselves."""
    from handsfree.values import Request

    for number, text in pieces.items():
        if not isinstance(session.means(_asked(text)), Request):
            yield f"line {number} is no piece that I know: {text[:60]!r}."
