"""The writer keeps the order of what happened, also over a disk that refuses for a while."""

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from handsfree.tell.logbook import Logbook
from handsfree.tell.logbook_notes import Note
from handsfree.tell.logbook_writer import MOST_WAITING, LogbookWriter
from handsfree.values import Told
from handsfree.values.record import RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark

AT = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)
TOLD = Told("answer", "half inch plate", 1.0, "half inch plate", "setting", (), ("Half inch.",))
BEGUN = ListMark("light", "lighting up", ListEnd.BEGUN, 0, 5, run="7")
STEP = Confirmed("light", "lighting up", 1, 5, "Open the fuel.", "open", "open", True, "", "7")
WATCH = Note(RecordKind.TIMER_STARTED, understood="fire watch, 60 minutes")


class FullLogbook(Logbook):
    full = False

    def _add(self, content: tuple[str, ...]) -> tuple[int, str]:
        if self.full:
            raise sqlite3.OperationalError("database or disk is full")
        return super()._add(content)


def test_replies_steps_lists_and_timers_stand_in_the_order_in_which_they_happened(
    tmp_path: Path,
) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    writer = LogbookWriter(book, clock=lambda: AT)
    assert writer.put(TOLD)
    assert writer.put(BEGUN, STEP)
    assert writer.put(WATCH)
    kinds = [entry.kind for entry in book.entries()]
    assert kinds == ["answer", "list begun", "step", "timer started"]
    assert {entry.at for entry in book.entries()} == {"2026-03-04T15:30:00+00:00"}


def test_what_the_disk_refuses_is_told_and_written_later_before_what_came_after_it(
    tmp_path: Path,
) -> None:
    book, faults = FullLogbook(tmp_path / "logbook.sqlite"), list[str]()
    writer = LogbookWriter(book, faults.append, lambda: AT)
    book.full = True
    assert not writer.put(STEP)
    assert not writer.put(WATCH)
    assert writer.waiting == 2
    assert len(faults) == 2
    assert "disk is full" in faults[0]
    book.full = False
    assert writer.put(TOLD)
    assert writer.waiting == 0
    assert [entry.kind for entry in book.entries()] == ["step", "timer started", "answer"]


def test_a_disk_that_stays_full_costs_the_oldest_not_the_memory(tmp_path: Path) -> None:
    book = FullLogbook(tmp_path / "logbook.sqlite")
    book.full = True
    writer = LogbookWriter(book, clock=lambda: AT)
    for _ in range(MOST_WAITING + 5):
        writer.put(WATCH)
    assert writer.waiting == MOST_WAITING


def test_without_a_logbook_nothing_waits() -> None:
    writer = LogbookWriter(None)
    assert writer.put(STEP)
    assert writer.waiting == 0
