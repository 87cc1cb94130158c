"""Why the recogniser's library does not load, as a sentence that says what to do.

It stands on libraries of the system that its wheel does not bring: a bare Debian on a small ARM
computer has no `libatomic.so.1`.
"""

import re
from typing import Final

from handsfree.errors import ModelError

DOES_NOT_LOAD: Final = (ImportError, OSError, TypeError)
"""What importing vosk may raise: a `TypeError` where it knows no such system."""
_ABSENT: Final = re.compile(r"(?:^|\s)([^\s/:]+\.so[\d.]*): cannot open shared object file")
"""The loader's own words. A file with its folder before it is the wheel's own."""


def library_fault(fault: BaseException) -> ModelError:
    """What to do about a recogniser whose library does not load.

    Args:
        fault: what importing vosk raised, one of `DOES_NOT_LOAD`.

    >>> print(library_fault(OSError("libatomic.so.1: cannot open shared object file")))
    Nothing can be heard: this system has no libatomic.so.1. On Debian do: sudo apt install
    libatomic1. Elsewhere install the package that holds that file.
    """
    absent = _ABSENT.search(str(fault))
    if absent is None:
        reason = str(fault).rstrip(".")
        return ModelError(
            f"Nothing can be heard: the recogniser does not load ({reason}). Install the project "
            "again."
        )
    return ModelError(
        f"Nothing can be heard: this system has no {absent[1]}. On Debian do: sudo apt install "
        f"{_debian_package(absent[1])}. Elsewhere install the package that holds that file."
    )


def recogniser_fault() -> ModelError | None:
    """What keeps the recogniser from loading here, and what to do; None where it loads.

    It finds out by loading it, which a process that does not listen would do without.
    """
    try:
        import handsfree.hear.vosk_adapter  # noqa: F401 - only whether it loads
    except ModelError as fault:
        return fault
    return None


def _debian_package(library: str) -> str:
    """The package that holds a shared library, by Debian's rule for their names (Policy 8.1).

    >>> [_debian_package(name) for name in ("libatomic.so.1", "libgcc_s.so.1", "libabc2.so.3")]
    ['libatomic1', 'libgcc-s1', 'libabc2-3']
    """
    stem, _, version = library.partition(".so")
    between = "-" if version and stem[-1].isdigit() else ""
    return f"{stem}{between}{version.removeprefix('.')}".replace("_", "-").lower()
