"""Writes a file of the page's that this user alone may read, whole or not at all."""

from pathlib import Path

from handsfree.store.files import write_whole


def write_private(file: Path, text: str) -> None:
    """Put `text` into `file`, making its folder; a crash leaves the old file or the new one.

    Raises:
        OSError: the folder or the file cannot be written; the old file is untouched.
    """
    write_whole(file, text)
