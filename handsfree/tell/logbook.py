"""The logbook: what was asked, answered, refused and confirmed, in a file that nothing rewrites.

One SQLite file with write-ahead logging. Entries are only ever added, and each is sealed with a
hash over itself and the seal before it, so that a later change shows. Talk that was not for the
helper is not kept, and sound never is.
"""

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree.errors import LogbookError
from handsfree.values import Told
from handsfree.values.record import RecordDetail, RecordKind

_TABLE = """
CREATE TABLE IF NOT EXISTS entries (
  number INTEGER PRIMARY KEY AUTOINCREMENT,
  at TEXT NOT NULL,
  kind TEXT NOT NULL,
  heard TEXT NOT NULL,
  understood TEXT NOT NULL,
  said TEXT NOT NULL,
  detail TEXT NOT NULL,
  seal TEXT NOT NULL
)
"""
_PATIENCE_S = 5.0  # another process may be writing
KEPT_KINDS = frozenset(
    {RecordKind.ANSWER, RecordKind.STEPS, RecordKind.REFUSAL, RecordKind.QUESTION}
)  # of replies; each of the others is written by `Logbook.note`


@dataclass(frozen=True, slots=True)
class Entry:
    """One turn as it was written down.

    Attributes:
        number: counts up from 1.
        at: local time with its offset, ISO 8601.
        kind: one of `RecordKind`.
        heard: the words.
        understood: the read-back.
        said: what was spoken.
        detail: figures and sources as JSON.
        seal: hash over this entry and the seal before it.
    """

    number: int
    at: str
    kind: str
    heard: str
    understood: str
    said: str
    detail: str
    seal: str


class Logbook:
    """One file of entries; safe for several processes."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def write(self, at: datetime, told: Told) -> None:
        """Write a reply down; talk that was not understood is left out.

        Args:
            at: when, with its time zone.
            told: the reply.

        Raises:
            LogbookError: the disk refuses; the reply stands all the same.
        """
        if told.kind not in KEPT_KINDS:
            return
        detail = {
            "figures": [
                [figure.name, figure.digits, figure.unit, figure.status.value]
                for figure in told.figures
            ],
            "sources": told.sources,
            "sureness": told.sureness,
        }
        said = " ".join(told.sentences)
        self._write(_content(at, told.kind, told.heard, told.understood, said, detail))

    def note(
        self,
        at: datetime,
        kind: RecordKind,
        *,
        heard: str = "",
        understood: str = "",
        said: str = "",
        detail: RecordDetail | None = None,
    ) -> None:
        """Write down what is no reply: a step, a timer, an alarm, a result.

        A helper does so by `LogbookWriter.put` (`Session.record`), which keeps the order.

        It is on the disk when this returns, so that a confirmed step is there before the next one
        is said.

        Args:
            at: when, with its time zone.
            kind: what the entry tells.
            heard: the words that were heard.
            understood: what they came to: of a step what was seen, of a timer how long it runs.
            said: what was spoken for it: of a step the step itself.
            detail: what the record needs beside that.

        Raises:
            LogbookError: the disk refuses; nothing is written.
        """
        self._write(_content(at, kind, heard, understood, said, detail or {}))

    def _write(self, content: tuple[str, ...]) -> None:
        try:
            with closing(self._open()) as base, base:
                base.execute("BEGIN IMMEDIATE")
                last = base.execute("SELECT seal FROM entries ORDER BY number DESC LIMIT 1")
                before = (last.fetchone() or ("",))[0]
                base.execute(
                    "INSERT INTO entries (at, kind, heard, understood, said, detail, seal)"
                    " VALUES (?, ?, ?, ?, ?, ?, ?)",
                    (*content, _seal(before, content)),
                )
        except (OSError, sqlite3.Error) as fault:
            raise LogbookError(
                f"The logbook {self._path} cannot be written: {fault}. "
                "Free the disk or mend the folder; this answer is not on record."
            ) from fault

    def entries(self, latest: int | None = None) -> tuple[Entry, ...]:
        """The entries, oldest first; only the latest ones when a number is given.

        Raises:
            LogbookError: the file is there and is no logbook.
        """
        if not self._path.exists():
            return ()
        try:
            with closing(self._open()) as base:
                found = base.execute(
                    "SELECT number, at, kind, heard, understood, said, detail, seal"
                    " FROM entries ORDER BY number DESC LIMIT ?",
                    (-1 if latest is None else latest,),
                )
                return tuple(Entry(*row) for row in reversed(found.fetchall()))
        except sqlite3.Error as fault:
            raise LogbookError(
                f"{self._path} cannot be read as a logbook: {fault}. Move it away to begin anew."
            ) from fault

    def broken_at(self) -> int | None:
        """Number of the first entry that was changed, or that follows a lost one; None if none."""
        before = ""
        for entry in self.entries():
            content = (
                entry.at,
                entry.kind,
                entry.heard,
                entry.understood,
                entry.said,
                entry.detail,
            )
            if entry.seal != _seal(before, content):
                return entry.number
            before = entry.seal
        return None

    def _open(self) -> sqlite3.Connection:
        self._path.parent.mkdir(parents=True, exist_ok=True)
        base = sqlite3.connect(self._path, timeout=_PATIENCE_S, isolation_level=None)
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("PRAGMA synchronous=FULL")
        base.execute(_TABLE)
        return base


def _content(
    at: datetime, kind: str, heard: str, understood: str, said: str, detail: object
) -> tuple[str, ...]:
    when = at.isoformat(timespec="seconds")
    return when, str(kind), heard, understood, said, json.dumps(detail)


def _seal(before: str, content: tuple[str, ...]) -> str:
    return hashlib.sha256(json.dumps([before, *content]).encode()).hexdigest()


def listed(entries: tuple[Entry, ...]) -> Iterator[str]:
    """Entries as lines to read."""
    for entry in entries:
        yield f"{entry.number}  {entry.at}  {entry.kind}: {entry.understood or entry.heard}"
        yield f"    {entry.said}"
