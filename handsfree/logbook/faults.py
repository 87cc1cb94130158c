"""A fault of the logbook's file in words: what is wrong, and what to do about just that."""

import errno
import os
import shutil
import sqlite3
import stat
from enum import StrEnum
from pathlib import Path
from typing import Final

LEAST_ROOM: Final = 128 * 1024  # bytes; what the database makes beside its file takes 32 KiB
_NOT_YET: Final = "What happened now is not on record yet."


class Trouble(StrEnum):
    """What can be wrong with the file of a logbook, each with what to do."""

    FULL = "the disk is full. Free some room on it."
    LOCKED = "another program holds it. Close what else has it open, or wait for it and try again."
    NOT_A_DATABASE = (
        "it is damaged, or no logbook. Move it away, with the files beside it that begin with its"
        " name, to begin anew."
    )
    FOLDER = "it is no plain file. Move it away, or name another logbook."
    PERMISSION = "this user may not. Give him the file and its folder, or name another logbook."
    DEVICE = "the disk refuses. Free some room on it; if that is no help, look after the disk."


_BY_CODE: Final = {
    sqlite3.SQLITE_FULL: Trouble.FULL,
    sqlite3.SQLITE_BUSY: Trouble.LOCKED,
    sqlite3.SQLITE_LOCKED: Trouble.LOCKED,
    sqlite3.SQLITE_NOTADB: Trouble.NOT_A_DATABASE,
    sqlite3.SQLITE_CORRUPT: Trouble.NOT_A_DATABASE,
    sqlite3.SQLITE_PERM: Trouble.PERMISSION,
    sqlite3.SQLITE_READONLY: Trouble.PERMISSION,
    sqlite3.SQLITE_AUTH: Trouble.PERMISSION,
}
_BY_ERRNO: Final = {
    errno.ENOSPC: Trouble.FULL,
    errno.EDQUOT: Trouble.FULL,
    errno.EFBIG: Trouble.FULL,
    errno.EACCES: Trouble.PERMISSION,
    errno.EPERM: Trouble.PERMISSION,
    errno.EROFS: Trouble.PERMISSION,
    errno.EISDIR: Trouble.FOLDER,
}
_WRONG_TABLE: Final = ("no such table", "no such column", "has no column", "Could not decode")


def trouble(path: Path, fault: Exception) -> Trouble:
    """What is wrong with a logbook.

    Args:
        path: its file.
        fault: what the system or the database raised; of the latter's general ones the disk, the
            rights and the file itself are looked at.
    """
    if not is_plain(path):
        return Trouble.FOLDER
    if isinstance(fault, OSError):
        return _BY_ERRNO.get(fault.errno or 0, Trouble.DEVICE)
    code = getattr(fault, "sqlite_errorcode", 0) & 0xFF  # the rest of it tells where
    if code in _BY_CODE:
        return _BY_CODE[code]
    told = str(fault)
    if "is full" in told:
        return Trouble.FULL
    if any(each in told for each in _WRONG_TABLE) or isinstance(fault, ValueError):
        return Trouble.NOT_A_DATABASE
    if not has_room(path):
        return Trouble.FULL
    if not may_write(path):
        return Trouble.PERMISSION
    return Trouble.DEVICE


def cannot_write(path: Path, fault: Exception) -> str:
    """The sentence about an entry that was refused."""
    return f"The logbook {path} cannot be written: {trouble(path, fault).value} {_NOT_YET}"


def cannot_read(path: Path, fault: Exception) -> str:
    """The sentence about a logbook that cannot be read."""
    return f"The logbook {path} cannot be read: {trouble(path, fault).value}"


def is_plain(path: Path) -> bool:
    """Whether it is a file, or nothing yet; a pipe would be waited for."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except OSError as fault:
        return fault.errno != errno.ELOOP


def has_room(path: Path) -> bool:
    """Whether the disk takes what the database makes beside its file."""
    try:
        return shutil.disk_usage(path.parent).free >= LEAST_ROOM
    except OSError:
        return True


def may_write(path: Path) -> bool:
    """Whether this user may write the file and beside it."""
    there = os.access(path, os.W_OK) or not path.exists()
    return there and os.access(path.parent, os.W_OK)
