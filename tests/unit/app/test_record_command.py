"""`handsfree record` as a user, a safety officer or another program runs it."""

import csv
import io
import json
import re
import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from handsfree.app.cli import main
from handsfree.logbook.chain import SHOWN
from handsfree.logbook.logbook import Logbook
from handsfree.values.record import RecordKind
from tests.unit.logbook.record_shift import Afternoon


@pytest.fixture
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path))
    Afternoon(tmp_path).whole()
    return tmp_path


def printed(capsys: pytest.CaptureFixture[str], *arguments: str, status: int = 0) -> list[str]:
    """The lines that `handsfree record` prints."""
    assert main(["record", *arguments]) == status
    return capsys.readouterr().out.splitlines()


def kinds(lines: list[str]) -> list[str]:
    """Of the entries that were listed."""
    return [found[1] for line in lines if (found := re.match(r"\d+  \S+  ([a-z ]+): ", line))]


def test_it_lists_the_latest_entries_with_the_words_heard_and_the_chain(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = printed(capsys)
    assert len(kinds(lines)) == 20, "of 21"
    assert any('step: 5 psi  ("gauge reads five")' in line for line in lines)
    assert lines[-1] == "Chain whole: 21 entries, none was changed or is missing."


def test_it_lists_so_many_as_are_asked_for(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert kinds(printed(capsys, "--latest", "2")) == ["travel", "list begun"]
    assert len(kinds(printed(capsys, "--all"))) == 21


def test_an_empty_logbook_is_no_fault(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "new"))
    assert printed(capsys) == ["The logbook is empty."]
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("--kind", "refusal"), ["refusal"]),
        (("--kind", "alarm", "--kind", "Refusal"), ["refusal", "alarm"]),
        (("--list", "light"), ["list begun", *["step"], "not passed", *["step"] * 3, "list done"]),
        (("--list", "lighting"), ["list begun", "step", "not passed", *["step"] * 3, "list done"]),
        (("--list", "light", "--kind", "not passed"), ["not passed"]),
        (("--text", "LANYARD"), ["list stopped"]),
        (("--text", "gauge reads"), ["step"]),
        (("--text", "100%"), []),
        (("--day", "2026-03-04", "--kind", "shift"), ["shift"]),
        (("--day", "2026-03-05"), []),
        (("--since", "2026-03-05"), []),
        (("--until", "2026-03-03"), []),
        (("--since", "2026-03-04", "--until", "2026-03-04", "--latest", "1"), ["list begun"]),
    ],
)
def test_filters(
    home: Path,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    expected: list[str],
) -> None:
    lines = printed(capsys, *arguments)
    assert kinds(lines) == expected
    assert (lines[0] == "Nothing in the logbook fits that.") == (not expected)


def test_today_and_yesterday_are_days(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    now = datetime.now().astimezone()
    book = Logbook(home / "logbook.sqlite")
    book.note(now - timedelta(days=1), RecordKind.RESULT, understood="good cut")
    book.note(now, RecordKind.ALARM, understood="leak")
    assert kinds(printed(capsys, "--day", "today")) == ["alarm"]
    assert kinds(printed(capsys, "--day", "yesterday")) == ["result"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("--latest", "0"),
        ("--day", "the fourth"),
        ("--day", "2026-13-01"),
        ("--day", "today", "--since", "2026-03-04"),
        ("--since", "2026-03-05", "--until", "2026-03-04"),
        ("--kind", "gossip"),
        ("--holds", "not a seal"),
    ],
)
def test_wrong_use_is_told(
    home: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["record", *arguments])
    assert ended.value.code == 2
    assert "record:" in capsys.readouterr().err


# --- files ----------------------------------------------------------------------------------------


def test_it_writes_all_four_files_at_once(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = {end: home / f"shift.{end}" for end in ("csv", "json", "html", "pdf")}
    options = [part for end, path in names.items() for part in (f"--{end}", str(path))]
    lines = printed(capsys, *options, "--who", "Lena and Sam")
    assert [line.split(": ")[1] for line in lines] == ["21 entries."] * 4
    assert len(list(csv.reader(io.StringIO(names["csv"].read_text("utf-8"))))) == 22
    assert len(json.loads(names["json"].read_text("utf-8"))["entries"]) == 21
    page = names["html"].read_text("utf-8")
    assert "Lena and Sam" in page
    assert "Bay 4, under the crane rail" in page
    assert names["pdf"].read_bytes().startswith(b"%PDF-")


def test_a_file_called_minus_is_the_standard_output(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "--json", "-", "--kind", "alarm"]) == 0
    exported = json.loads(capsys.readouterr().out)
    assert [entry["kind"] for entry in exported["entries"]] == ["alarm"]
    assert exported["left_out"] == "only the kinds alarm"


def test_the_printed_record_is_of_the_latest_day_unless_days_are_named(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    later = datetime.fromisoformat("2026-03-06T07:00:00-05:00")
    Logbook(home / "logbook.sqlite").note(later, RecordKind.ALARM, understood="leak")
    page = home / "shift.html"
    for arguments, count in (((), 1), (("--all",), 22), (("--until", "2026-03-05"), 21)):
        assert printed(capsys, "--html", str(page), *arguments) == [
            f"{page}: {count} {'entry' if count == 1 else 'entries'}."
        ]


def test_a_part_of_a_day_says_what_is_left_out(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["record", "--html", "-", "--kind", "step"])
    assert "Not the whole of these days: only the kinds step." in capsys.readouterr().out


def test_a_file_that_cannot_be_written_is_told(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "--csv", str(home / "no" / "such.csv")]) == 1
    assert "cannot be written" in capsys.readouterr().err
    assert main(["record", "--pdf", "-"]) == 1
    assert "name a file" in capsys.readouterr().err


def test_another_logbook_is_read_where_it_lies(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other" / "logbook.sqlite"
    Logbook(other).note(datetime.now().astimezone(), RecordKind.ALARM, understood="leak")
    assert kinds(printed(capsys, "--logbook", str(other))) == ["alarm"]
    assert main(["record", "--logbook", str(other.with_name("none.sqlite"))]) == 1
    assert "There is no logbook at" in capsys.readouterr().err


# --- was it changed -------------------------------------------------------------------------------


def tamper(home: Path) -> None:
    with closing(sqlite3.connect(home / "logbook.sqlite")) as base, base:
        base.execute("DROP TRIGGER entries_stay")
        base.execute("UPDATE entries SET heard = 'gauge reads four' WHERE number = 6")


def test_a_change_shows_in_every_way_of_looking(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert printed(capsys, "--check")[-1].startswith("Chain whole: 21 entries")
    tamper(home)
    told = "Entry 6 was changed after it was written, or one before it was changed or is missing."
    assert printed(capsys, "--check", status=1) == [told]
    assert printed(capsys, status=1)[-1] == told
    page = home / "shift.html"
    assert main(["record", "--html", str(page)]) == 1
    assert told in capsys.readouterr().err
    assert f"The logbook is not as it was written. {told}" in page.read_text("utf-8")


def test_a_printed_seal_is_looked_up(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seal = Logbook(home / "logbook.sqlite").entries(1)[0].seal[:SHOWN]
    grouped = f"{seal[:10]} {seal[10:]}".upper()
    assert printed(capsys, "--holds", grouped)[0] == "Entry 21 has this seal."
    assert "not in this logbook" in printed(capsys, "--holds", "0" * SHOWN, status=1)[0]


def test_control_signs_of_typed_words_do_not_reach_the_terminal(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    now = datetime.now().astimezone()
    Logbook(home / "logbook.sqlite").note(now, RecordKind.RESULT, heard="\x1b[2Jgood\x07 cut\n1")
    (line, _) = printed(capsys, "--latest", "1")
    assert line.endswith("result:  [2Jgood  cut 1")


def test_who_works_where_is_written_down_once_and_stands_on_every_record(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head = ("--place", "Yard 2", "--who", "Sam", "--permit", "118")
    assert printed(capsys, "--begin", *head) == ["On record: place Yard 2, who Sam, permit 118."]
    assert main(["record", "--html", "-"]) == 0
    page = capsys.readouterr().out
    for value in ("Yard 2", "Sam", "118"):
        assert f"<dd>{value}</dd>" in page
    assert Logbook(home / "logbook.sqlite").broken_at() is None
    with pytest.raises(SystemExit):
        main(["record", "--begin"])
