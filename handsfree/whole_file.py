"""A small file replaced all or nothing: a crash in mid-write leaves the old one."""

import contextlib
import os
from pathlib import Path

from handsfree.errors import SettingsError


def write_whole(path: Path, text: str, complaint: str) -> None:
    """Replace a file; its folder is made where there is none.

    Args:
        path: of the file.
        text: all of it.
        complaint: what cannot be done, with `{fault}` in it, where the disk refuses.

    Raises:
        SettingsError: the disk refuses; the old file stands.
    """
    part = path.with_suffix(f".{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as fault:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise SettingsError(complaint.replace("{fault}", str(fault))) from fault
