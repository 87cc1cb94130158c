"""A file to which a line of JSON is added for each thing that happened; nothing is written over.

Lines of which nothing can be made, as one that a crash cut short, are counted and told once: the
file as it was is set aside, and the good lines go on.
"""

import errno
import json
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Generic, TypeVar

from handsfree.errors import SettingsError
from handsfree.store.faults import Faults
from handsfree.store.files import PRIVATE, UnusableError, content, refusal, set_aside, write_whole
from handsfree.store.lock import locked
from handsfree.store.plain import NONSENSE, from_json

MOST_BYTES: Final = 16 * 1024 * 1024  # eighty thousand cuts
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class LineFile(Generic[T]):
    """One such file.

    Attributes:
        path: where it lies.
        what: what it holds, in the words of a sentence's beginning.
        line: names and values of a line to what it says; raises one of `NONSENSE`.
        without: what holds while the whole file is set aside, as a sentence.
        faults: takes what is wrong.
    """

    path: Path
    what: str
    line: Callable[[Mapping[str, Any]], T]
    without: str
    faults: Faults = field(compare=False)

    def read(self) -> tuple[T, ...]:
        """What the lines say, in their order; what is wrong with them goes to the faults."""
        found: list[tuple[str, T]] = []
        try:
            found, skipped = self._lines()
            unusable = _skipped(skipped, len(found))
        except UnusableError as fault:
            unusable = str(fault)
        if unusable:
            try:
                with locked(self.path.parent):
                    found = self._mended()
            except (OSError, UnusableError) as fault:
                told = f"It cannot be set aside: {refusal(fault)}."
                self.faults.kept(f"{self._unusable(unusable)} {told}")
        return tuple(value for _, value in found)

    def add(self, plain: Mapping[str, object]) -> None:
        """Add a line.

        Raises:
            SettingsError: the disk refuses; what was there stays.
        """
        line = json.dumps(plain, separators=(",", ":")).encode() + b"\n"
        try:
            with locked(self.path.parent):
                self._mended()
                _append(self.path, line)
        except (OSError, UnusableError) as fault:
            raise SettingsError(
                f"Cannot add to {self.path}: {refusal(fault)}. Free the disk; that cut is not kept."
            ) from fault

    def _lines(self) -> tuple[list[tuple[str, T]], int]:
        """The good lines with what they say, and how many are none; raises `UnusableError`."""
        raw = content(self.path, MOST_BYTES)
        found: list[tuple[str, T]] = []
        skipped = 0
        for each in (raw or b"").split(b"\n"):
            if not each.strip():
                continue
            try:
                text = each.decode("utf-8")
                found.append((text, self.line(from_json(text))))
            except NONSENSE:
                skipped += 1
        return found, skipped

    def _mended(self) -> list[tuple[str, T]]:
        """The good lines, with the lock held; a file that holds others is set aside.

        Raises:
            UnusableError: setting it aside is no help.
            OSError: the disk refuses.
        """
        found: list[tuple[str, T]] = []
        try:
            found, skipped = self._lines()
            unusable = _skipped(skipped, len(found))
        except UnusableError as fault:
            if not fault.aside:
                raise
            unusable = str(fault)
        if not unusable:
            return found
        aside = set_aside(self.path)
        try:
            if found:
                write_whole(self.path, "".join(f"{line}\n" for line, _ in found))
        except OSError:
            aside.rename(self.path)
            raise
        self.faults.kept(
            f"{self._unusable(unusable)} The whole file is set aside as {aside.name}."
            f" {'The others count.' if found else self.without}"
        )
        return found

    def _unusable(self, fault: str) -> str:
        return f"{self.what} in {self.path} cannot be used as they are: {fault}."


def _skipped(count: int, good: int) -> str:
    """How many lines are none, in words; empty for none of them."""
    if not count:
        return ""
    return f"nothing can be made of {count} of its {count + good} lines"


def _append(path: Path, line: bytes) -> None:
    """Add a line at the end of a file; what a full disk took of it is taken back."""
    file = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT, PRIVATE)
    try:
        with suppress(OSError):  # one of an older version was open to others
            path.chmod(PRIVATE)
        size = os.lseek(file, 0, os.SEEK_END)
        if size:
            os.lseek(file, size - 1, os.SEEK_SET)
            line = line if os.read(file, 1) == b"\n" else b"\n" + line
        try:
            if os.write(file, line) < len(line):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(file)
        except OSError:
            os.ftruncate(file, size)
            raise
    finally:
        os.close(file)
