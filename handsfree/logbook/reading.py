"""Opens the file of a logbook for a reader, which can change nothing in it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from handsfree.errors import LogbookError
from handsfree.logbook.faults import cannot_read, has_room, is_plain, may_write

PATIENCE_S = 5.0  # another process may be writing


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection | None]:
    """A connection to it; None where there is no logbook yet.

    Raises:
        LogbookError: the file is there and cannot be read.
    """
    try:
        if not path.exists():
            yield None
            return
        if not is_plain(path):
            raise LogbookError(cannot_read(path, IsADirectoryError()))
        with closing(
            sqlite3.connect(
                f"{path.resolve().as_uri()}?{_way_in(path)}",
                uri=True,
                timeout=PATIENCE_S,
                isolation_level=None,
            )
        ) as base:
            base.execute("PRAGMA query_only=ON")
            # A helper that was killed as it began leaves a file with nothing in it.
            made = base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
            yield base if made else None
    except (sqlite3.Error, OSError) as fault:
        raise LogbookError(cannot_read(path, fault)) from fault


def _way_in(path: Path) -> str:
    """How a reader opens the file.

    It may mend what a killed helper left half done, which one that may only read could not. On a
    stick or share that takes no writing, or a disk that is full, where nobody can be writing
    either, nothing is mended.
    """
    if may_write(path) and has_room(path):
        return "mode=rw"
    log = path.with_name(f"{path.name}-wal")
    return "mode=ro" if log.exists() and log.stat().st_size else "mode=ro&immutable=1"
