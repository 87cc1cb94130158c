"""The logbook: what was asked, answered, refused and confirmed, in a file that nothing rewrites.

One SQLite file with write-ahead logging. Entries are only ever added, which the database itself
holds to, and each is sealed with a hash over itself and the seal before it, so that a later change
shows (`chain.py`). An entry is on the disk when its call returns. Talk that was not for the
helper is not kept, and sound never is.
"""

import json
import sqlite3
import threading
import weakref
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from handsfree.drawing.sketch_kept import kept_sketch
from handsfree.errors import LogbookError
from handsfree.logbook.chain import (
    Chain,
    Witness,
    add_to_witness,
    begin_witness,
    chain,
    content_of,
    read_witness,
    sealed,
)
from handsfree.logbook.faults import Trouble, cannot_write, trouble
from handsfree.logbook.files import identity, make_private, set_all_aside
from handsfree.logbook.reading import PATIENCE_S, reading
from handsfree.logbook.wanted import Wanted
from handsfree.store.faults import Faults
from handsfree.store.local_time import local_now
from handsfree.store.lock import locked
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
_ONLY_ADDED = "the logbook is only added to"
# The one on insertion is for INSERT OR REPLACE, which takes a row out without asking the others.
_TRIGGERS = {
    "entries_stay": "BEFORE UPDATE ON entries BEGIN",
    "entries_are_not_taken_out": "BEFORE DELETE ON entries BEGIN",
    "entries_are_not_replaced": "BEFORE INSERT ON entries"
    " WHEN EXISTS (SELECT 1 FROM entries WHERE number = NEW.number) BEGIN",
}
_COLUMNS = "number, at, kind, heard, understood, said, detail, seal"
_LISTED = "number, at, kind, heard, understood, said"
SKETCH = "sketch"  # name of the detail from which the picture of a reply is drawn again
IN_FLIGHT = 8  # entries that several helpers may have written before the first line beside them
LOST_BEFORE = "Entries before this one were taken away or changed: {} were known, {} are there."
BEGUN_ANEW = "The logbook before this one was damaged. It lies beside it as {}."
SET_ASIDE = (
    "The logbook {} cannot be used: {}. It is set aside as {}, with the files beside it, and"
    " another one is begun."
)
WITNESS_LOST = "The file {} was taken away: entries at the end may be missing."
KEPT_KINDS = frozenset(
    {RecordKind.ANSWER, RecordKind.STEPS, RecordKind.REFUSAL, RecordKind.QUESTION}
)  # of replies; each of the others is written by `Logbook.note`


class Entry(NamedTuple):
    """One turn as it was written down; a tuple, because there may be a hundred thousand.

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
    """One file of entries; safe for several threads and several processes.

    Args:
        path: where it lies; it is made with the first entry.

    Attributes:
        path: of the database.
        witness_path: of the file beside it.
        faults: takes that it was damaged, and another one begun.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.witness_path = path.with_suffix(".seals")
        self.faults = Faults()
        self._one = threading.Lock()
        self._base: sqlite3.Connection | None = None
        self._file: tuple[int, int] | None = None  # which file `_base` has open
        self._end: weakref.finalize[[], Logbook] | None = None

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
        detail: dict[str, object] = {
            "figures": [
                [figure.name, figure.digits, figure.unit, figure.status.value]
                for figure in told.figures
            ],
            "sources": told.sources,
            "sureness": told.sureness,
            "cautions": told.cautions,
        }
        if (sketch := kept_sketch(told)) is not None:
            detail[SKETCH] = sketch
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

    def entries(self, latest: int | None = None, wanted: Wanted | None = None) -> tuple[Entry, ...]:
        """The entries, oldest first; arguments and faults as of `each`."""
        return tuple(self.each(latest, wanted))

    def each(self, latest: int | None = None, wanted: Wanted | None = None) -> Iterator[Entry]:
        """The entries, oldest first, as they are read.

        Args:
            latest: only so many, the latest ones; all when None.
            wanted: only those that this asks for; all when None.

        Raises:
            LogbookError: the file is there and cannot be read.
        """
        yield from map(Entry._make, self._rows(_COLUMNS, latest, wanted))

    def lines(self, latest: int | None = None, wanted: Wanted | None = None) -> list[str]:
        """The entries as lines to read; arguments and faults as of `each`.

        Each stands on one line, and what was said for it on the next.
        """
        lines: list[str] = []
        for number, at, kind, heard, understood, said in self._rows(_LISTED, latest, wanted):
            told = understood or heard
            if heard and heard != told:
                told = f'{told}  ("{heard}")'
            lines.append(_printable(f"{number}  {at}  {kind}: {told}"))
            if said:
                lines.append(_printable(f"    {said}"))
        return lines

    def chain(self) -> Chain:
        """Whether all of it is as it was written.

        Raises:
            LogbookError: the file is there and cannot be read.
        """
        witness = read_witness(self.witness_path)  # first: it may lag behind, never be ahead
        with reading(self.path) as base:
            if base is None:
                return chain((), 0, witness, self.witness_path.name)
            base.execute("BEGIN")  # one state of it, also while another process writes
            written = base.execute("SELECT seq FROM sqlite_sequence WHERE name = 'entries'")
            count = (written.fetchone() or (0,))[0]
            rows = base.execute(f"SELECT {_COLUMNS} FROM entries ORDER BY number")
            return chain(rows, count, witness, self.witness_path.name)

    def broken_at(self) -> int | None:
        """Number of the first entry that was changed or is missing; None if none."""
        return self.chain().broken_at

    def holds(self, seal: str) -> int | None:
        """Number of the entry that has this seal, or a seal that begins so; None if none.

        Raises:
            LogbookError: the file is there and cannot be read.
        """
        with reading(self.path) as base:
            if base is None:
                return None
            found = base.execute(
                "SELECT number FROM entries WHERE substr(seal, 1, ?) = ? ORDER BY number",
                (len(seal), seal.lower()),
            ).fetchone()
        return None if found is None else int(found[0])

    def close(self) -> None:
        """Let go of the file; the next entry opens it again."""
        with self._one:
            self._let_go()

    # --- writing --------------------------------------------------------------------------------

    def _write(self, content: tuple[str, ...]) -> None:
        with self._one:
            try:
                number, seal = self._added(content)
            except (OSError, sqlite3.Error) as fault:
                self._let_go()  # whatever state it is in; the next entry opens it anew
                raise LogbookError(cannot_write(self.path, fault)) from fault
            with suppress(OSError):  # the entry is on the disk; the witness may lag behind
                add_to_witness(self.witness_path, number, seal)

    def _added(self, content: tuple[str, ...]) -> tuple[int, str]:
        """As `_add`; a file that can never be written again first makes way for another one."""
        try:
            return self._add(content)
        except (OSError, sqlite3.Error) as fault:
            self._let_go()
            found = trouble(self.path, fault)
            if found not in (Trouble.NOT_A_DATABASE, Trouble.FOLDER):
                raise
        with locked(self.path.parent):
            with suppress(OSError, sqlite3.Error):
                return self._add(content)  # another helper was first
            self._let_go()
            aside = set_all_aside(self.path, self.witness_path)
            told = BEGUN_ANEW.format(aside.name)
            self._add(_content(_now(), RecordKind.CHAIN, "", "", told, {}))
        self.faults.kept(SET_ASIDE.format(self.path, found.value.partition(".")[0], aside.name))
        return self._add(content)

    def _add(self, content: tuple[str, ...]) -> tuple[int, str]:
        """Put one entry at the end; its number and its seal."""
        base = self._opened()
        with base:
            base.execute("BEGIN IMMEDIATE")
            return _append(base, content)

    def _opened(self) -> sqlite3.Connection:
        """The open connection; a new one where the file was moved away or changed for another."""
        if self._base is not None and self._file != identity(self.path):
            self._let_go()
        if self._base is None:
            base = self._open()
            try:
                self._prepare(base)
            except BaseException:
                base.close()
                raise
            self._base, self._file = base, identity(self.path)
            self._end = weakref.finalize(self, base.close)
        return self._base

    def _open(self) -> sqlite3.Connection:
        make_private(self.path, self.witness_path)
        return sqlite3.connect(
            self.path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False
        )

    def _prepare(self, base: sqlite3.Connection) -> None:
        """The table and its triggers; what the witness knows better is written into the chain."""
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("PRAGMA synchronous=FULL")
        # Each entry goes on into the main file at once, so that a copy of that file alone is whole.
        base.execute("PRAGMA wal_autocheckpoint=1")
        with base:
            base.execute("BEGIN IMMEDIATE")
            base.execute(_TABLE)
            guarded = base.execute(
                "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'entries'"
            ).fetchone()[0]
            if not guarded:
                begin_witness(self.witness_path)
            for name, when in _TRIGGERS.items():
                base.execute(
                    f"CREATE TRIGGER IF NOT EXISTS {name} {when} "
                    f"SELECT RAISE(ABORT, '{_ONLY_ADDED}'); END"
                )
            witness, last = read_witness(self.witness_path), _last(base)
            if lost := self._lost(base, guarded > 0, witness):
                _append(base, _content(local_now(), RecordKind.CHAIN, "", "", lost, {}))
                self.faults.kept(f"The logbook {self.path}: {lost}")
            elif last is not None and (witness is None or witness.number < last[0]):
                # A kill may have come between an entry and its line; and a logbook of an older
                # version gets its first line before its triggers say that it must have one.
                add_to_witness(self.witness_path, *last)

    def _lost(self, base: sqlite3.Connection, guarded: bool, witness: Witness | None) -> str:
        """What the witness knows and the entries do not show; empty where they agree."""
        last = (_last(base) or (0, ""))[0]
        if witness is None:
            few = last <= IN_FLIGHT and self.witness_path.exists()
            return (
                WITNESS_LOST.format(self.witness_path.name) if guarded and last and not few else ""
            )
        row = base.execute(
            "SELECT seal FROM entries WHERE number = ?", (witness.number,)
        ).fetchone()
        if row is not None and str(row[0]).startswith(witness.seal):
            return ""
        return LOST_BEFORE.format(witness.number, last)

    def _let_go(self) -> None:
        if self._end is not None:
            self._end()  # closes it, once
        self._base = self._file = self._end = None

    def _rows(
        self, columns: str, latest: int | None, wanted: Wanted | None
    ) -> Iterator[tuple[Any, ...]]:
        where, values = (wanted or Wanted()).sql()
        found = f"SELECT {columns} FROM entries WHERE {where}"
        if latest is not None:
            found = f"SELECT * FROM ({found} ORDER BY number DESC LIMIT {latest:d})"
        with reading(self.path) as base:
            if base is not None:
                yield from base.execute(f"{found} ORDER BY number", values)


def _append(base: sqlite3.Connection, content: tuple[str, ...]) -> tuple[int, str]:
    last = _last(base)
    seal = sealed("" if last is None else last[1], content)
    added = base.execute(
        "INSERT INTO entries (at, kind, heard, understood, said, detail, seal)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (*content, seal),
    )
    return int(added.lastrowid or 0), seal


def _last(base: sqlite3.Connection) -> tuple[int, str] | None:
    """Number and seal of the last entry."""
    found = base.execute("SELECT number, seal FROM entries ORDER BY number DESC LIMIT 1").fetchone()
    return None if found is None else (int(found[0]), str(found[1]))


def _content(
    at: datetime, kind: str, heard: str, understood: str, said: str, detail: object
) -> tuple[str, ...]:
    when = at.isoformat(timespec="seconds")
    return content_of(when, str(kind), heard, understood, said, json.dumps(detail))


def _now() -> datetime:
    return datetime.now().astimezone()


def _printable(line: str) -> str:
    """The line with control characters as blanks: typed words may hold some."""
    if line.isprintable():
        return line
    return "".join(sign if sign.isprintable() else " " for sign in line)
