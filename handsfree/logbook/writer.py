"""Writes what happens into the logbook in its order, and keeps what the disk refuses until it can.

One writer is shared by every thread of a helper: replies, confirmed steps and timers come from
several. Nothing is lost between two writes but by a crash while the disk was full, of which the
user is told at once. An entry that no disk could ever take is set aside in a file of its own, and
told: it never keeps the next one waiting.
"""

import json
import os
import sqlite3
import threading
from collections import deque
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final

from handsfree.errors import LogbookError
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.notes import Noted, clean_entry, note_of
from handsfree.store.local_time import local_now
from handsfree.values import Told

MOST_WAITING = 1000  # entries that wait for a disk with room
SET_ASIDE: Final = ".set-aside.jsonl"
NOT_AN_ENTRY: Final = (
    "An entry could not be written into the logbook ({}). {} What came after it is written down."
)
KEPT_ASIDE: Final = "It is kept in {}."
NOT_KEPT: Final = "It is lost: {} cannot be written either."
_OF_THE_ENTRY: Final = (
    sqlite3.DataError,
    sqlite3.IntegrityError,
    sqlite3.InterfaceError,
    sqlite3.ProgrammingError,
)
"""What the database has against an entry; all else it has against its file or the disk."""


class LogbookWriter:
    """Puts entries down one after another; safe to call from several threads.

    Args:
        logbook: where to; nowhere when None.
        on_fault: told in words when the disk refuses.
        clock: the time of the machine, with its time zone.
    """

    def __init__(
        self,
        logbook: Logbook | None,
        on_fault: Callable[[str], None] = lambda fault: None,
        clock: Callable[[], datetime] = local_now,
    ) -> None:
        self._logbook = logbook
        self._on_fault = on_fault
        self._clock = clock
        self._waiting: deque[tuple[datetime, Told | Noted]] = deque(maxlen=MOST_WAITING)
        self._one = threading.Lock()

    def put(self, *happened: Told | Noted) -> bool:
        """Write these down, after all that still waits; whether all of it is there.

        On True they are on the disk: a confirmed step may be followed by the next one. It is False
        as well where one of them was set aside.
        """
        if self._logbook is None:
            return True
        at = self._clock()
        with self._one:
            self._waiting.extend((at, each) for each in happened)
            faults = self._write_all(self._logbook)
        for fault in faults:
            self._on_fault(fault)
        return not faults

    def _write_all(self, logbook: Logbook) -> list[str]:
        """Write what waits, in its order, as far as the disk takes it; what went wrong."""
        faults: list[str] = []
        while self._waiting:
            at, entry = self._waiting[0]
            try:
                self._write(logbook, at, entry)
            except Exception as fault:  # whatever is wrong with one entry, the next is written
                if isinstance(fault, LogbookError) and not _is_of_the_entry(fault):
                    return [*faults, str(fault)]
                faults.append(_set_aside(logbook.path.with_suffix(SET_ASIDE), at, entry, fault))
            self._waiting.popleft()
        return faults

    @property
    def waiting(self) -> int:
        """How many entries the disk has refused so far; they wait."""
        return len(self._waiting)

    @staticmethod
    def _write(logbook: Logbook, at: datetime, happened: Told | Noted) -> None:
        entry = clean_entry(happened if isinstance(happened, Told) else note_of(happened))
        if isinstance(entry, Told):
            logbook.write(at, entry)
        else:
            logbook.note(
                at,
                entry.kind,
                heard=entry.heard,
                understood=entry.understood,
                said=entry.said,
                detail=entry.detail,
            )


def _is_of_the_entry(fault: LogbookError) -> bool:
    return isinstance(fault.__cause__, _OF_THE_ENTRY)


def _set_aside(path: Path, at: datetime, entry: Told | Noted, fault: Exception) -> str:
    """Keep an entry beside the logbook, as far as it can be shown; what is told of that."""
    cause = fault.__cause__ if isinstance(fault, LogbookError) else fault
    why = f"{type(cause).__name__}: {cause}"
    line = json.dumps({"at": at.isoformat(timespec="seconds"), "fault": why, "entry": repr(entry)})
    kept = KEPT_ASIDE
    try:
        file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(file, f"{line}\n".encode())
        finally:
            os.close(file)
    except OSError:
        kept = NOT_KEPT
    return NOT_AN_ENTRY.format(type(cause).__name__, kept.format(path))
