"""One writer at a time in a folder, whichever process it is in: who changes a kept file locks it.

Where the system, or the share that the folder lies on, knows no locks, nothing is locked: each file
is still written whole, but of two changes at one instant the second wins.
"""

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

LOCK_FILE: Final = ".lock"
PATIENCE_S: Final = 5.0  # a change takes some milliseconds
LOOKS_AGAIN_S: Final = 0.01
_NO_LOCKS: Final = frozenset({errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP})
_STICKY: Final = 0o1000


def private_folder(folder: Path) -> None:
    """Make a folder that its user alone may enter, or close one of his to all others.

    A folder that is shared by its nature (the home itself, one for temporary files, another
    user's) stays as it is.

    Raises:
        OSError: it is not there and cannot be made.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not hasattr(os, "geteuid"):
        return
    with suppress(OSError, RuntimeError):
        found = folder.stat()
        shared = found.st_mode & _STICKY or folder.resolve() in (Path("/"), Path.home().resolve())
        if found.st_uid == os.geteuid() and found.st_mode & 0o077 and not shared:
            folder.chmod(0o700)


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Nobody else changes what is kept in a folder meanwhile; not to be entered twice by a thread.

    Raises:
        OSError: the folder cannot be written, or somebody else has held it for too long.
    """
    private_folder(folder)
    file = os.open(folder / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        until = time.monotonic() + PATIENCE_S
        while not _took(file):
            if time.monotonic() > until:
                raise TimeoutError("another helper is writing there; end it or try again")
            time.sleep(LOOKS_AGAIN_S)
        yield
    finally:
        os.close(file)  # gives the lock back, as the end of the process would


if sys.platform == "win32":
    import msvcrt

    def _took(file: int) -> bool:
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _took(file: int) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as fault:
            if fault.errno not in _NO_LOCKS:
                raise
        return True
