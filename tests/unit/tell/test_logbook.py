"""The logbook keeps what was answered, leaves other talk out, and shows a later change."""

import json
import multiprocessing
import sqlite3
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from handsfree.errors import LogbookError
from handsfree.tell.logbook import Logbook, listed
from handsfree.values import Told
from handsfree.values.record import RecordKind

AT = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)
TOLD = Told(
    "answer", "half inch plate", 0.97, "half inch plate", "setting", (), ("Half inch plate.",)
)


def write_some(path: Path, heard: str) -> None:
    for number in range(20):
        Logbook(path).write(AT, replace(TOLD, heard=f"{heard} {number}"))


def test_what_was_answered_is_read_back_oldest_first(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "new" / "logbook.sqlite")
    for heard in ("one", "two", "three"):
        book.write(AT, replace(TOLD, heard=heard))
    assert [entry.heard for entry in book.entries()] == ["one", "two", "three"]
    assert [entry.heard for entry in book.entries(2)] == ["two", "three"]
    assert book.entries()[0].at == "2026-03-04T15:30:00+00:00"
    assert book.broken_at() is None


def test_an_empty_logbook_lists_nothing(tmp_path: Path) -> None:
    assert Logbook(tmp_path / "none.sqlite").entries() == ()


def test_talk_that_was_not_understood_is_not_kept(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.write(AT, replace(TOLD, kind="not_understood", heard="did you see the game"))
    assert book.entries() == ()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE entries SET said = 'Oxygen at ninety.' WHERE number = 2",
        "UPDATE entries SET at = '2020-01-01' WHERE number = 2",
        "DELETE FROM entries WHERE number = 1",
    ],
)
def test_a_later_change_shows(tmp_path: Path, change: str) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    with sqlite3.connect(path) as base:
        base.execute(change)
    base.close()
    assert Logbook(path).broken_at() == 2


def test_two_processes_write_one_unbroken_chain(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=write_some, args=(path, name)) for name in ("a", "b")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    book = Logbook(path)
    assert len(book.entries()) == 40
    assert book.broken_at() is None


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "kept").write_text("a file", encoding="utf-8")
    with pytest.raises(LogbookError, match="not on record"):
        Logbook(tmp_path / "kept" / "logbook.sqlite").write(AT, TOLD)


def test_a_file_that_is_no_logbook_is_told(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.write_text("not a database at all, only words " * 40, encoding="utf-8")
    with pytest.raises(LogbookError, match="Move it away"):
        Logbook(path).entries()


def test_entries_are_listed_with_time_and_answer(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.write(AT, TOLD)
    lines = list(listed(book.entries()))
    assert lines[0] == "1  2026-03-04T15:30:00+00:00  answer: half inch plate"
    assert lines[1].strip() == "Half inch plate."


def test_a_confirmed_step_is_kept_with_its_words_and_its_details(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.note(
        AT,
        RecordKind.STEP,
        heard="gauge reads five",
        understood="5 psi",
        said="What does the acetylene gauge read?",
        detail={"list": "setting_pressures", "step": 3, "right": True},
    )
    (entry,) = book.entries()
    assert (entry.kind, entry.heard, entry.understood) == ("step", "gauge reads five", "5 psi")
    assert json.loads(entry.detail) == {"list": "setting_pressures", "step": 3, "right": True}
    assert book.broken_at() is None
