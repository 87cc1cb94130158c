"""Writes a file that this user alone may read, whole or not at all."""

import os
from pathlib import Path


def write_private(file: Path, text: str) -> None:
    """Put `text` into `file`, making its folder; a crash leaves the old file or the new one.

    Raises:
        OSError: the folder or the file cannot be written; the old file is untouched.
    """
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    fresh = file.with_suffix(".new")
    fresh.unlink(missing_ok=True)
    made = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(made, "w", encoding="utf-8") as out:
        out.write(text)
        out.flush()
        os.fsync(out.fileno())
    fresh.replace(file)
