"""A kept file: read whatever it holds, changed under a lock as it is now, written all or nothing.

A file that cannot be used is told once, set aside under another name, and counts as not there; the
helper goes on without it. What can be neither used nor set aside is never written over.
"""

import contextlib
import errno
import os
import stat
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Generic, TypeVar

from handsfree.errors import SettingsError
from handsfree.store.faults import Faults
from handsfree.store.lock import locked, private_folder
from handsfree.store.plain import NONSENSE, why

MOST_BYTES: Final = 256 * 1024  # a thousand tips; more takes YAML too long
PRIVATE: Final = 0o600
_OF_THE_FILE: Final = frozenset({errno.EACCES, errno.EPERM, errno.EISDIR, errno.ELOOP})
T = TypeVar("T")


class UnusableError(Exception):
    """A file that cannot be used.

    Attributes:
        aside: whether it is the file itself, so that setting it aside helps.
    """

    def __init__(self, why_not: str, aside: bool = True) -> None:
        super().__init__(why_not)
        self.aside = aside


@dataclass(frozen=True, slots=True)
class KeptFile(Generic[T]):
    """One file with all that is kept in it.

    Attributes:
        path: where it lies.
        what: what it holds, in the words of a sentence's beginning.
        empty: what holds where there is no file.
        parse: its text to what it says; raises one of `NONSENSE`.
        text: the reverse; None where nothing is to be kept, and the file goes.
        without: what holds while the file is set aside, as a sentence.
        refused: what cannot be done, with `{fault}` in it, where the disk refuses.
        faults: takes what is wrong.
    """

    path: Path
    what: str
    empty: T
    parse: Callable[[str], T]
    text: Callable[[T], str | None]
    without: str
    refused: str
    faults: Faults = field(compare=False)

    def read(self) -> T:
        """What is kept; what is wrong with it goes to the faults."""
        try:
            return self._value()
        except UnusableError as fault:
            unusable = fault
        try:
            with locked(self.path.parent):
                return self._read_or_set_aside()
        except OSError as fault:
            self.faults.kept(
                f"{self._unusable(unusable)} It cannot be set aside: {refusal(fault)}."
            )
        except UnusableError as fault:
            self.faults.kept(f"{self._unusable(fault)} Nothing is written over it.")
        return self.empty

    def update(self, change: Callable[[T], T]) -> T:
        """Change what the file holds now, and keep it; nothing is written where nothing changes.

        Args:
            change: makes the new of the old; it may be called twice.

        Raises:
            SettingsError: the disk refuses; the old file stands.
        """
        now = self.read()
        if change(now) == now:
            return now
        return self._put(change)

    def write(self, value: T) -> None:
        """Keep this in the place of whatever is kept; raises as `update`."""
        self._put(lambda _: value)

    def _put(self, change: Callable[[T], T]) -> T:
        try:
            with locked(self.path.parent):
                changed = change(self._read_or_set_aside())
                text = self.text(changed)
                if text is None:
                    self.path.unlink(missing_ok=True)
                else:
                    write_whole(self.path, text)
        except (OSError, UnusableError) as fault:
            raise SettingsError(self.refused.replace("{fault}", refusal(fault))) from fault
        return changed

    def _value(self) -> T:
        raw = content(self.path)
        if raw is None:
            return self.empty
        try:
            return self.parse(raw.decode("utf-8"))
        except NONSENSE as fault:
            raise UnusableError(why(fault)) from fault

    def _read_or_set_aside(self) -> T:
        """What is kept, with the lock held; `UnusableError` where setting aside is no help."""
        try:
            return self._value()
        except UnusableError as fault:
            if not fault.aside:
                raise
            name = set_aside(self.path).name
            self.faults.kept(f"{self._unusable(fault)} It is set aside as {name}. {self.without}")
            return self.empty

    def _unusable(self, fault: UnusableError) -> str:
        return f"{self.what} in {self.path} cannot be used: {fault}."


def refusal(fault: Exception) -> str:
    """Why the system refuses, without the file's name."""
    return getattr(fault, "strerror", None) or str(fault)


def content(path: Path, most: int = MOST_BYTES) -> bytes | None:
    """The bytes of a plain file; None where there is none.

    Raises:
        UnusableError: it is something else, too large, empty, or may not be read.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would be waited for
            raise UnusableError("a folder has its name" if path.is_dir() else "it is no plain file")
        with path.open("rb") as file:
            found = file.read(most + 1)
    except FileNotFoundError:
        return None
    except OSError as fault:
        said = "it may not be read" if isinstance(fault, PermissionError) else refusal(fault)
        raise UnusableError(said, fault.errno in _OF_THE_FILE) from fault
    if len(found) > most:
        raise UnusableError(f"it is larger than {most // 1024} kilobytes")
    if not found.strip(b"\0 \t\r\n"):
        raise UnusableError("it is empty")
    return found


def set_aside(path: Path) -> Path:
    """Give a file another name, one that nothing has; the lock is held.

    Raises:
        OSError: the folder refuses.
    """
    number = 1
    while os.path.lexists(other := path.with_name(f"{path.name}.broken-{number}")):
        number += 1
    path.rename(other)
    return other


def write_whole(path: Path, text: str) -> None:
    """Replace a file, all or nothing, readable by its user alone; its folder likewise.

    Raises:
        OSError: the disk refuses; the old file stands.
    """
    part = path.with_suffix(f".{os.getpid()}.part")
    private_folder(path.parent)
    try:
        part.unlink(missing_ok=True)
        part.touch(PRIVATE, exist_ok=False)
        with part.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise
