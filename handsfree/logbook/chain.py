"""Whether a logbook is as it was written: every entry sealed over the one before it.

Three things show a later change. A seal is a hash over its entry and the seal before it: a changed
entry, or one taken out, breaks the chain there. The database counts every entry that it ever took,
and a witness beside it, a text file, gets a line with the number and the beginning of the seal
after each entry: entries taken off the end, and an older copy put in place, leave it ahead. Who may
write all of these files can still make a new chain out of nothing; against him stands the last
seal, which is printed on every record and can be looked up again.

A seal is the SHA-256 of the JSON list of the seal before, time, kind, heard, understood, said and
detail, so never change what is kept of an old entry, nor the order. The database may be ahead of
the witness (a kill came between), but never behind.
"""

import hashlib
import json
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree.values.record import RecordKind

SHOWN: Final = 20  # characters of a seal that are written beside the logbook and on paper
TAIL: Final = 4096
_LINE: Final = re.compile(rb"(\d{1,12}) ([0-9a-f]{20})")
CHANGED: Final = (
    "Entry {} was changed after it was written, or one before it was changed or is missing."
)
CUT_OFF: Final = "Entries are missing at the end: {} were written, {} are there."
TOLD_OF: Final = "Entry {} tells that entries before it were lost."
WHOLE: Final = "Chain whole: {} entries, none was changed or is missing."
EMPTY: Final = "The logbook is empty."
NO_WITNESS: Final = (
    "The file {} is missing or empty, so entries taken off the end before the next one would not"
    " show."
)


@dataclass(frozen=True, slots=True)
class Witness:
    """What the file beside the logbook knows: the last entry, and how its seal begins."""

    number: int
    seal: str


@dataclass(frozen=True, slots=True)
class Chain:
    """How a logbook stands.

    Attributes:
        entries: how many there are.
        last: number of the last one; 0 when there is none.
        seal: that of the last one; empty when there is none.
        broken_at: number of the first entry that was changed or is missing; None when none is.
        told: the state in a sentence.
    """

    entries: int
    last: int
    seal: str
    broken_at: int | None
    told: str


def content_of(
    at: str, kind: str, heard: str, understood: str, said: str, detail: str
) -> tuple[str, ...]:
    """What a seal is taken over, in its order."""
    return at, kind, heard, understood, said, detail


def sealed(before: str, content: tuple[str, ...]) -> str:
    """The seal of an entry.

    Args:
        before: seal of the entry before; empty for the first one.
        content: as `content_of`.
    """
    return hashlib.sha256(json.dumps([before, *content]).encode()).hexdigest()


def chain(
    rows: Iterable[tuple[int, str, str, str, str, str, str, str]],
    written: int,
    witness: Witness | None,
    witness_name: str,
) -> Chain:
    """How entries stand.

    Args:
        rows: number, the content in its order, and seal of each entry, first to last.
        written: how many entries the database ever took.
        witness: what the file beside it knows; None where there is none.
        witness_name: what that file is called.
    """
    before, last, number, broken, told = "", 0, 0, None, ""
    seen_by_witness = witness is None
    for number, *content, seal in rows:
        last += 1
        if broken is None:
            if number != last or seal != sealed(before, tuple(content)):
                broken, told = number, CHANGED.format(number)
            elif content[1] == RecordKind.CHAIN:
                broken, told = number, TOLD_OF.format(number)
        if witness is not None and number == witness.number:
            seen_by_witness = seal.startswith(witness.seal)
        before = seal
    if broken is None and witness is not None and not seen_by_witness:
        at = min(witness.number, last + 1)
        cut_off = witness.number > last
        told = CUT_OFF.format(witness.number, last) if cut_off else CHANGED.format(at)
        broken = last + 1 if cut_off else at
    if broken is None and written > last:
        broken, told = last + 1, CUT_OFF.format(written, last)
    if broken is None:
        told = WHOLE.format(last) if last else EMPTY
        if last and witness is None:
            told = f"{told} {NO_WITNESS.format(witness_name)}"
    return Chain(last, number, before, broken, told)


def read_witness(path: Path) -> Witness | None:
    """The last whole line of the file; None where there is none."""
    try:
        with path.open("rb") as file:
            size = file.seek(0, os.SEEK_END)
            for much in (TAIL, size):  # a power cut may have left more of its end unwritten
                file.seek(max(0, size - much))
                for line in reversed(file.read().split(b"\n")):
                    if whole := _LINE.fullmatch(line):
                        return Witness(int(whole[1]), whole[2].decode())
    except OSError:
        pass
    return None


def begin_witness(path: Path) -> None:
    """Make the file, before there is an entry that it could know of: none is missing then."""
    file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    try:
        os.fsync(file)
    finally:
        os.close(file)


def add_to_witness(path: Path, number: int, seal: str) -> None:
    """Write the line of one more entry, in one piece, so that no kill leaves half of it.

    It is not flushed: a line that a power cut takes harms nothing, as the witness may lag behind
    the database, but never lead it.
    """
    file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    try:
        os.write(file, f"{number} {seal[:SHOWN]}\n".encode())
    finally:
        os.close(file)
