"""The logbook keeps what was answered, leaves other talk out, and shows a later change."""

import json
import multiprocessing
import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from handsfree.errors import LogbookError
from handsfree.logbook.chain import SHOWN, sealed
from handsfree.logbook.logbook import Logbook
from handsfree.values import Failed, Told
from handsfree.values.record import RecordKind

AT = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)
TOLD = Told(
    "answer", "half inch plate", 0.97, "half inch plate", "setting", (), ("Half inch plate.",)
)
TRIGGERS = ("entries_stay", "entries_are_not_taken_out", "entries_are_not_replaced")


def write_some(path: Path, heard: str, count: int = 20) -> None:
    book = Logbook(path)
    for number in range(count):
        book.write(AT, replace(TOLD, heard=f"{heard} {number}"))
    book.close()


@contextmanager
def without_guard(path: Path) -> Iterator[sqlite3.Connection]:
    """The database as somebody opens it who means to change it."""
    with closing(sqlite3.connect(path)) as base, base:
        for name in TRIGGERS:
            base.execute(f"DROP TRIGGER {name}")
        yield base


def test_what_was_answered_is_read_back_oldest_first(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "new" / "logbook.sqlite")
    for heard in ("one", "two", "three"):
        book.write(AT, replace(TOLD, heard=heard))
    assert [entry.heard for entry in book.entries()] == ["one", "two", "three"]
    assert [entry.heard for entry in book.entries(2)] == ["two", "three"]
    assert book.entries()[0].at == "2026-03-04T15:30:00+00:00"
    assert book.broken_at() is None


def test_an_empty_logbook_lists_nothing(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "none.sqlite")
    assert book.entries() == ()
    assert book.broken_at() is None
    assert book.holds("ab") is None
    assert not book.path.exists(), "looking makes no file"


def test_talk_that_was_not_understood_is_not_kept(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.write(AT, replace(TOLD, kind="not_understood", heard="did you see the game"))
    assert book.entries() == ()


# --- only added to --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE entries SET said = 'Oxygen at ninety.' WHERE number = 2",
        "UPDATE entries SET number = 99 WHERE number = 2",
        "DELETE FROM entries WHERE number = 20",
        "DELETE FROM entries",
        "INSERT OR REPLACE INTO entries SELECT 2, at, kind, heard, understood, 'Ninety.', detail,"
        " seal FROM entries WHERE number = 2",
    ],
)
def test_the_database_itself_refuses_a_change(tmp_path: Path, change: str) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    before = Logbook(path).entries()
    with (
        closing(sqlite3.connect(path)) as base,
        pytest.raises(sqlite3.IntegrityError, match="only added to"),
    ):
        base.execute(change)
    assert Logbook(path).entries() == before


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ("UPDATE entries SET said = 'Oxygen at ninety.' WHERE number = 2", 2),
        ("UPDATE entries SET at = '2020-01-01' WHERE number = 2", 2),
        ("UPDATE entries SET kind = 'step' WHERE number = 20", 20),
        ("UPDATE entries SET detail = '{}' WHERE number = 7", 7),
        ("UPDATE entries SET number = 21 WHERE number = 20", 21),
        ("DELETE FROM entries WHERE number = 1", 2),
        ("DELETE FROM entries WHERE number = 9", 10),
        ("DELETE FROM entries WHERE number = 20", 20),
        ("DELETE FROM entries WHERE number > 12", 13),
        ("DELETE FROM entries", 1),
    ],
)
def test_a_later_change_shows(tmp_path: Path, change: str, where: int) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    with without_guard(path) as base:
        base.execute(change)
    assert Logbook(path).broken_at() == where


@pytest.mark.parametrize(
    "change",
    [
        "DELETE FROM entries WHERE number > 12",
        "UPDATE entries SET said = 'Oxygen at ninety.' WHERE number = 20",
    ],
)
def test_an_end_that_was_sealed_anew_shows_by_the_witness(tmp_path: Path, change: str) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    with without_guard(path) as base:
        base.execute(change)
        base.execute("UPDATE sqlite_sequence SET seq = (SELECT max(number) FROM entries)")
        rows = base.execute("SELECT * FROM entries ORDER BY number DESC LIMIT 2").fetchall()
        seal = sealed(rows[1][-1], rows[0][1:-1])
        base.execute("UPDATE entries SET seal = ? WHERE number = ?", (seal, rows[0][0]))
    chain = Logbook(path).chain()
    assert chain.broken_at == (13 if "DELETE" in change else 20)


def test_what_was_lost_stays_told_when_the_logbook_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    with without_guard(path) as base:
        base.execute("DELETE FROM entries WHERE number > 12")
        base.execute("UPDATE sqlite_sequence SET seq = 12")
    write_some(path, "and on", 3)
    book = Logbook(path)
    assert [entry.kind for entry in book.entries(4)] == ["chain", "answer", "answer", "answer"]
    assert "20 were known, 12 are there" in book.entries(4)[0].said
    assert book.broken_at() == 13


def test_an_older_copy_put_in_place_shows(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 5)
    older = path.read_bytes()
    write_some(path, "more", 5)
    path.write_bytes(older)
    chain = Logbook(path).chain()
    assert (chain.entries, chain.broken_at) == (5, 6)
    assert "10 were written, 5 are there" in chain.told


def test_a_witness_that_was_taken_away_shows(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 5)
    Logbook(path).witness_path.unlink()
    assert "logbook.seals is missing or empty" in Logbook(path).chain().told
    write_some(path, "more", 1)
    assert Logbook(path).broken_at() == 6


def test_a_witness_that_lags_or_is_torn_at_its_end_is_no_breach(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 5)
    witness = Logbook(path).witness_path
    lines = witness.read_text("utf-8").splitlines(keepends=True)
    witness.write_text("".join(lines[:3]) + lines[3][:9] + "\0" * 9000, "utf-8")
    assert Logbook(path).broken_at() is None
    write_some(path, "more", 2)
    assert Logbook(path).broken_at() is None
    assert len(Logbook(path).entries()) == 7


def test_a_kill_between_an_entry_and_its_line_is_no_breach(tmp_path: Path) -> None:
    """Also of the first entry, of which the file then has nothing yet."""
    path = tmp_path / "logbook.sqlite"
    for count in (1, 2):
        write_some(path, "half", 1)
        witness = Logbook(path).witness_path
        lines = witness.read_text("utf-8").splitlines(keepends=True)
        witness.write_text("".join(lines[:-1]) if count > 1 else "", "utf-8")
    write_some(path, "more", 1)
    assert [entry.kind for entry in Logbook(path).entries()] == ["answer"] * 3
    assert Logbook(path).broken_at() is None


def test_an_emptied_witness_shows(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half")
    Logbook(path).witness_path.write_text("", "utf-8")
    write_some(path, "more", 1)
    assert Logbook(path).broken_at() == 21


def test_a_seal_that_was_printed_is_found_again(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 5)
    book = Logbook(path)
    seal = book.entries()[2].seal
    assert book.holds(seal) == 3
    assert book.holds(seal[:SHOWN].upper()) == 3
    assert book.holds("0" * SHOWN) is None


def test_a_logbook_of_an_older_version_opens_and_goes_on_in_one_chain(tmp_path: Path) -> None:
    """As it was made before there were triggers, a witness and notes."""
    path = tmp_path / "logbook.sqlite"
    content = ("2026-03-01T08:00:00+00:00", "answer", "old", "old", "Old.", "{}")
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("PRAGMA journal_mode=WAL")
        base.execute(
            "CREATE TABLE entries (number INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, kind"
            " TEXT NOT NULL, heard TEXT NOT NULL, understood TEXT NOT NULL, said TEXT NOT NULL,"
            " detail TEXT NOT NULL, seal TEXT NOT NULL)"
        )
        base.execute(
            "INSERT INTO entries (at, kind, heard, understood, said, detail, seal)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            (*content, sealed("", content)),
        )
    assert Logbook(path).broken_at() is None
    write_some(path, "new", 2)
    book = Logbook(path)
    assert [entry.heard for entry in book.entries()] == ["old", "new 0", "new 1"]
    assert book.chain().broken_at is None
    with closing(sqlite3.connect(path)) as base, pytest.raises(sqlite3.IntegrityError):
        base.execute("DELETE FROM entries")


# --- several writers, and files that change under it ----------------------------------------------


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


def test_threads_share_one_logbook(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")

    def write() -> None:
        for _ in range(20):
            book.write(AT, TOLD)

    threads = [threading.Thread(target=write) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(book.entries()) == 60
    assert book.broken_at() is None


def test_a_logbook_that_is_moved_away_while_it_is_open_is_begun_anew_and_says_so(
    tmp_path: Path,
) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.write(AT, TOLD)
    book.path.rename(tmp_path / "moved.sqlite")
    book.write(AT, replace(TOLD, heard="after"))
    assert [entry.heard for entry in book.entries()][-1] == "after"
    assert book.entries()[0].kind == "chain"
    assert len(Logbook(tmp_path / "moved.sqlite").entries()) == 1


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "kept").write_text("a file", encoding="utf-8")
    with pytest.raises(LogbookError, match="not on record"):
        Logbook(tmp_path / "kept" / "logbook.sqlite").write(AT, TOLD)


def test_a_file_that_is_no_logbook_is_told(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.write_text("not a database at all, only words " * 40, encoding="utf-8")
    for look in (Logbook(path).entries, Logbook(path).chain):
        with pytest.raises(LogbookError, match="Move it away"):
            look()


def test_a_damaged_logbook_is_set_aside_and_the_next_one_tells_of_it(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 3)
    path.write_text("not a database at all, only words " * 40, encoding="utf-8")
    book, told = Logbook(path), list[Failed]()
    book.write(AT, TOLD)
    book.write(AT, TOLD)
    book.faults.tell_to(told.append)
    assert len(told) == 1 and "logbook.sqlite.broken-1" in told[0].sentence
    assert path.with_name("logbook.sqlite.broken-1").read_text(encoding="utf-8").startswith("not a")
    assert path.with_name("logbook.seals.broken-1").exists()
    kinds = [entry.kind for entry in book.entries()]
    assert kinds == [RecordKind.CHAIN, "answer", "answer"]
    assert book.chain().broken_at == 1, "nobody takes it for the whole record"


def test_a_logbook_on_a_medium_that_takes_no_writing_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the system tells it: whoever runs the tests may write everywhere."""
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 3)
    before = sorted(file.name for file in tmp_path.iterdir())
    monkeypatch.setattr(os, "access", lambda path, how: how != os.W_OK)
    assert len(Logbook(path).entries()) == 3
    assert Logbook(path).broken_at() is None
    assert sorted(file.name for file in tmp_path.iterdir()) == before, "nothing is made beside it"


def test_a_file_without_entries_table_is_told(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("CREATE TABLE other (x)")
    with pytest.raises(LogbookError, match="Move it away"):
        Logbook(path).entries()


def test_entries_are_listed_with_time_and_answer(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.write(AT, TOLD)
    lines = book.lines()
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


def test_a_note_is_on_the_disk_when_its_call_returns(tmp_path: Path) -> None:
    """Another connection finds it, while the one that wrote it stays open."""
    book = Logbook(tmp_path / "logbook.sqlite")
    for number in range(1, 6):
        book.note(AT, RecordKind.STEP, understood=f"step {number}")
        with closing(sqlite3.connect(book.path)) as other:
            assert other.execute("SELECT count(*) FROM entries").fetchone() == (number,)


def test_a_copy_of_the_main_file_alone_is_whole_while_the_helper_runs(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    for _ in range(3):
        book.write(AT, TOLD)
    (tmp_path / "copy.sqlite").write_bytes(book.path.read_bytes())
    assert len(Logbook(tmp_path / "copy.sqlite").entries()) == 3
