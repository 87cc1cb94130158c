"""The writer keeps the order of what happened, also over a disk that refuses for a while."""

import json
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from handsfree.logbook.logbook import Logbook
from handsfree.logbook.notes import Note, Noted
from handsfree.logbook.record_export import record_csv
from handsfree.logbook.writer import MOST_WAITING, LogbookWriter
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


POISON = ("\ud800", "\udcff", "\x00", "\uffff", "\u202e", "\x1b[2J", "3\udcbd inch")


@pytest.mark.parametrize("poison", POISON)
@pytest.mark.parametrize(
    "entry",
    [
        lambda text: replace(TOLD, heard=text),
        lambda text: replace(TOLD, understood=text, sentences=(text,), cautions=(text,)),
        lambda text: Note(RecordKind.SHIFT, text, text, text, {"who": text, "cautions": (text,)}),
        lambda text: replace(STEP, heard=text, came_to=text),
        lambda text: replace(BEGUN, list_title=text, open_steps=(text,)),
    ],
)
def test_no_text_keeps_an_entry_out_of_the_logbook_or_out_of_what_is_made_of_it(
    tmp_path: Path, poison: str, entry: Callable[[str], Told | Noted]
) -> None:
    book, faults = Logbook(tmp_path / "logbook.sqlite"), list[str]()
    writer = LogbookWriter(book, faults.append, lambda: AT)
    assert writer.put(entry(poison))
    assert writer.put(WATCH)
    assert not faults
    assert [each.kind for each in book.entries()][1:] == ["timer started"]
    assert book.broken_at() is None
    record_csv(book.entries()).encode()
    detail = json.loads(book.entries()[0].detail)
    json.dumps(detail, ensure_ascii=False).encode()


class PickyLogbook(Logbook):
    """Has something against entries that hold a word."""

    fault: Exception

    def _add(self, content: tuple[str, ...]) -> tuple[int, str]:
        if any("odd" in part for part in content):
            raise self.fault
        return super()._add(content)


@pytest.mark.parametrize(
    "fault",
    [
        UnicodeEncodeError("utf-8", "\ud800", 0, 1, "surrogates not allowed"),
        TypeError("Object of type Quantity is not JSON serializable"),
        RecursionError("maximum recursion depth exceeded"),
        OverflowError("string longer than INT_MAX bytes"),
        sqlite3.DataError("string or blob too big"),
        sqlite3.IntegrityError("NOT NULL constraint failed: entries.heard"),
        sqlite3.InterfaceError("Error binding parameter 3"),
        sqlite3.ProgrammingError("Error binding parameter 3: type 'set' is not supported"),
    ],
    ids=lambda fault: type(fault).__name__,
)
def test_an_entry_that_cannot_be_written_is_set_aside_and_told_and_the_next_one_is_written(
    tmp_path: Path, fault: Exception
) -> None:
    book, faults = PickyLogbook(tmp_path / "logbook.sqlite"), list[str]()
    book.fault = fault
    writer = LogbookWriter(book, faults.append, lambda: AT)
    odd = replace(STEP, came_to="odd")
    assert writer.put(BEGUN)
    assert not writer.put(odd, STEP, WATCH)
    assert writer.waiting == 0
    assert [each.kind for each in book.entries()] == ["list begun", "step", "timer started"]
    [told] = faults
    aside = tmp_path / "logbook.set-aside.jsonl"
    assert str(aside) in told
    assert type(fault).__name__ in told
    [line] = aside.read_text(encoding="utf-8").splitlines()
    assert json.loads(line)["entry"] == repr(odd)
    assert aside.stat().st_mode & 0o077 == 0
    assert writer.put(TOLD), "it is told once"


@pytest.mark.parametrize(
    "fault",
    [
        sqlite3.OperationalError("database or disk is full"),
        sqlite3.OperationalError("database is locked"),
        sqlite3.DatabaseError("file is not a database"),
        PermissionError(13, "Permission denied"),
    ],
    ids=str,
)
def test_what_the_disk_has_against_an_entry_is_no_fault_of_it(
    tmp_path: Path, fault: Exception
) -> None:
    book = PickyLogbook(tmp_path / "logbook.sqlite")
    book.fault = fault
    writer = LogbookWriter(book, clock=lambda: AT)
    assert not writer.put(replace(STEP, came_to="odd"), WATCH)
    assert writer.waiting == 2
    assert not (tmp_path / "logbook.set-aside.jsonl").exists()


def test_an_entry_that_can_be_kept_nowhere_is_told_as_lost(tmp_path: Path) -> None:
    book, faults = PickyLogbook(tmp_path / "logbook.sqlite"), list[str]()
    book.fault = TypeError("odd")
    (tmp_path / "logbook.set-aside.jsonl").mkdir()
    writer = LogbookWriter(book, faults.append, lambda: AT)
    assert not writer.put(replace(STEP, came_to="odd"), WATCH)
    assert "lost" in faults[0]
    assert [each.kind for each in book.entries()] == ["timer started"]
