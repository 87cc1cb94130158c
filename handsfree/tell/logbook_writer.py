"""Writes what happens into the logbook in its order, and keeps what the disk refuses until it can.

One writer is shared by every thread of a helper: replies, confirmed steps and timers come from
several. Nothing is lost between two writes but by a crash while the disk was full, of which the
user is told at once.
"""

import threading
from collections import deque
from collections.abc import Callable
from datetime import datetime

from handsfree.errors import LogbookError
from handsfree.tell.logbook import Logbook
from handsfree.tell.logbook_notes import Note, Noted, note_of
from handsfree.values import Told

MOST_WAITING = 1000  # entries that wait for a disk with room


def _now() -> datetime:
    return datetime.now().astimezone()


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
        clock: Callable[[], datetime] = _now,
    ) -> None:
        self._logbook = logbook
        self._on_fault = on_fault
        self._clock = clock
        self._waiting: deque[tuple[datetime, Told | Note]] = deque(maxlen=MOST_WAITING)
        self._one = threading.Lock()

    def put(self, *happened: Told | Noted) -> bool:
        """Write these down, after all that still waits; whether nothing waits now.

        On True they are on the disk: a confirmed step may be followed by the next one.
        """
        if self._logbook is None:
            return True
        at = self._clock()
        with self._one:
            self._waiting.extend(
                (at, each if isinstance(each, Told) else note_of(each)) for each in happened
            )
            try:
                while self._waiting:
                    self._write(self._logbook, *self._waiting[0])
                    self._waiting.popleft()
            except LogbookError as fault:
                refused = str(fault)
            else:
                return True
        self._on_fault(refused)
        return False

    @property
    def waiting(self) -> int:
        """How many entries the disk has refused so far; they wait."""
        return len(self._waiting)

    @staticmethod
    def _write(logbook: Logbook, at: datetime, entry: Told | Note) -> None:
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
