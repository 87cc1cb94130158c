"""What is wrong with a logbook's file is named, with what to do about just that."""

import errno
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from handsfree.errors import LogbookError
from handsfree.logbook import logbook
from handsfree.logbook.faults import Trouble, cannot_read, cannot_write, trouble
from handsfree.logbook.logbook import Logbook
from tests.unit.logbook.test_logbook import AT, TOLD, write_some

MOVE = "Move it away"


def coded(code: int, told: str = "") -> sqlite3.Error:
    fault = sqlite3.OperationalError(told)
    fault.sqlite_errorcode = code
    return fault


@pytest.mark.parametrize(
    ("fault", "wrong"),
    [
        (coded(sqlite3.SQLITE_FULL, "database or disk is full"), Trouble.FULL),
        (OSError(errno.ENOSPC, "No space left on device"), Trouble.FULL),
        (OSError(errno.EDQUOT, "Disk quota exceeded"), Trouble.FULL),
        (coded(sqlite3.SQLITE_BUSY, "database is locked"), Trouble.LOCKED),
        (coded(sqlite3.SQLITE_LOCKED, "database table is locked"), Trouble.LOCKED),
        (coded(sqlite3.SQLITE_NOTADB, "file is not a database"), Trouble.NOT_A_DATABASE),
        (coded(sqlite3.SQLITE_CORRUPT, "malformed"), Trouble.NOT_A_DATABASE),
        (coded(sqlite3.SQLITE_ERROR, "no such table: entries"), Trouble.NOT_A_DATABASE),
        (coded(sqlite3.SQLITE_READONLY, "readonly database"), Trouble.PERMISSION),
        (coded(sqlite3.SQLITE_READONLY_DIRECTORY, "readonly"), Trouble.PERMISSION),
        (OSError(errno.EACCES, "Permission denied"), Trouble.PERMISSION),
        (OSError(errno.EROFS, "Read-only file system"), Trouble.PERMISSION),
        (coded(sqlite3.SQLITE_IOERR_READ, "disk I/O error"), Trouble.DEVICE),
        (OSError(errno.EIO, "Input/output error"), Trouble.DEVICE),
    ],
)
def test_each_fault_says_what_is_wrong_and_only_damage_asks_to_move_the_logbook(
    tmp_path: Path, fault: Exception, wrong: Trouble
) -> None:
    path = tmp_path / "logbook.sqlite"
    path.touch()
    assert trouble(path, fault) is wrong
    for told in (cannot_write(path, fault), cannot_read(path, fault)):
        assert wrong.value in told and str(path) in told
        assert (MOVE in told) == (wrong is Trouble.NOT_A_DATABASE)


@pytest.mark.parametrize("code", [sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_CANTOPEN])
def test_a_general_fault_on_a_full_disk_is_that_it_is_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    full = type(shutil.disk_usage(tmp_path))(1000, 1000, 0)
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: full)
    assert trouble(tmp_path / "logbook.sqlite", coded(code)) is Trouble.FULL


def test_a_logbook_on_a_full_disk_is_read_and_nothing_is_made_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 3)
    before = sorted(file.name for file in tmp_path.iterdir())
    full = type(shutil.disk_usage(tmp_path))(1000, 1000, 0)
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: full)
    opened: list[str] = []
    real = sqlite3.connect

    def connect(name: str, **how: object) -> sqlite3.Connection:
        opened.append(name)
        found: sqlite3.Connection = real(name, **how)  # type: ignore[call-overload]  # handed on
        return found

    monkeypatch.setattr(sqlite3, "connect", connect)
    assert len(Logbook(path).entries()) == 3
    assert all(name.endswith("immutable=1") for name in opened)
    assert sorted(file.name for file in tmp_path.iterdir()) == before


def test_a_logbook_that_another_program_holds_is_told_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "logbook.sqlite"
    write_some(path, "half", 1)
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.01)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(LogbookError, match="another program holds it"):
            Logbook(path).write(AT, TOLD)


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo], ids=["folder", "pipe"])
def test_what_is_no_plain_file_is_told_and_not_waited_for(
    tmp_path: Path, make: Callable[[Path], None]
) -> None:
    path = tmp_path / "logbook.sqlite"
    make(path)
    with pytest.raises(LogbookError, match="no plain file"):
        Logbook(path).entries()


WRITES_WITHOUT_ROOM = """
import resource, signal, sys
from pathlib import Path
from handsfree.errors import LogbookError
from handsfree.logbook.logbook import Logbook
from tests.unit.logbook.test_logbook import AT, TOLD

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (16, 16))
try:
    Logbook(Path(sys.argv[1])).write(AT, TOLD)
except LogbookError as fault:
    print(fault)
"""


def test_a_write_that_the_system_refuses_asks_for_room(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    done = subprocess.run(
        [sys.executable, "-c", WRITES_WITHOUT_ROOM, str(path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert "Free some room" in done.stdout and MOVE not in done.stdout
