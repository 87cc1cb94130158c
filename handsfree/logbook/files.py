"""The files of a logbook: the database, what it makes beside itself, and the witness."""

import errno
import os
from contextlib import suppress
from pathlib import Path
from typing import Final

from handsfree.logbook.faults import is_plain
from handsfree.store.files import PRIVATE, set_aside

BESIDE: Final = ("-wal", "-shm")
"""Ends of the names of what the database makes beside itself."""


def make_private(path: Path, witness: Path) -> None:
    """Make the file of the database; it and those beside it are for this user alone.

    What the database makes beside it takes its rights.

    Raises:
        OSError: it cannot be made, or is no plain file.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not is_plain(path):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, PRIVATE))
    for each in (path, *_beside(path), witness):
        with suppress(OSError):  # it is not there, or another user's
            each.chmod(PRIVATE)


def set_all_aside(path: Path, witness: Path) -> Path:
    """Give the files of a logbook other names; that of the database.

    Raises:
        OSError: the folder refuses.
    """
    aside = set_aside(path)
    for each in (*_beside(path), witness):
        if os.path.lexists(each):
            set_aside(each)
    return aside


def identity(path: Path) -> tuple[int, int] | None:
    """Which file has this name now; None where none has."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _beside(path: Path) -> tuple[Path, ...]:
    return tuple(path.with_name(path.name + end) for end in BESIDE)
