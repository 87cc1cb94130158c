"""A folder of finished decoding graphs, named by what they were made of; safe for many processes.

A graph is built in a folder of its own and moved into place whole; its seal, written last, holds
the hash of every file. What is half written or damaged has no valid seal and is built again.
"""

import contextlib
import getpass
import hashlib
import json
import os
import shutil
import stat
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from handsfree.errors import ModelError

SEAL = "seal.json"
BUILDING = ".building-"
KEEP = 24  # graphs kept: a few listening states times a few models
STALE_S = 24 * 3600.0  # a build folder this old was left by a process that died


def cached_folder(cache: Path, key: str, build: Callable[[Path], None]) -> Path:
    """The sealed folder for `key`, made by `build` if it is not there or not whole.

    Where `cache` cannot be written, a folder of this user in the system's temporary folder serves.

    Raises:
        ModelError: it can be written nowhere.
    """
    faults = []
    for place in (cache, None):
        try:
            folder = _private_temporary() if place is None else place
            folder.mkdir(parents=True, exist_ok=True)
            return _kept(folder, key, build)
        except OSError as fault:
            faults.append(f"{fault.filename or place}: {fault.strerror or fault}")
    raise ModelError(
        f"The decoding graph can be written nowhere ({'; '.join(faults)}). "
        "Free some space, or choose a cache folder that can be written."
    )


def content_hash(path: Path) -> str:
    """SHA-256 of a file's content."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def is_whole(folder: Path) -> bool:
    """Whether a folder holds exactly what its seal says."""
    try:
        seal = json.loads((folder / SEAL).read_text(encoding="utf-8"))
        return isinstance(seal, dict) and bool(seal) and all(
            content_hash(folder / name) == value for name, value in seal.items()
        )  # fmt: skip
    except (OSError, ValueError):
        return False


def link_or_copy(source: Path, target: Path) -> None:
    """The same content under a second name: a hard link where the system can, else a copy."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)


def _kept(cache: Path, key: str, build: Callable[[Path], None]) -> Path:
    kept = cache / key
    if is_whole(kept):
        with contextlib.suppress(OSError):
            os.utime(kept)
        return kept
    _tidy(cache)
    built = Path(tempfile.mkdtemp(prefix=f"{BUILDING}{key}-", dir=cache))
    try:
        build(built)
        _seal(built)
        _move_into_place(built, kept)
    finally:
        shutil.rmtree(built, ignore_errors=True)
    return kept


def _seal(folder: Path) -> None:
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    seal = {path.relative_to(folder).as_posix(): content_hash(path) for path in files}
    unfinished = folder / f"{SEAL}.part"
    unfinished.write_text(json.dumps(seal, indent=1), encoding="utf-8")
    unfinished.replace(folder / SEAL)
    folder.chmod(0o755)


def _move_into_place(built: Path, kept: Path) -> None:
    """Another process may be doing the same: whoever comes second takes what the first left."""
    for _ in range(5):
        try:
            built.rename(kept)
            return
        except OSError:
            if is_whole(kept):
                return
            aside = Path(tempfile.mkdtemp(prefix=BUILDING, dir=kept.parent))
            with contextlib.suppress(OSError):
                kept.rename(aside / "damaged")
            shutil.rmtree(aside, ignore_errors=True)
    raise OSError(f"{kept} cannot be replaced")


def _tidy(cache: Path) -> None:
    """Drop builds that died, and the graphs that were used longest ago."""
    now = time.time()
    kept: list[tuple[float, Path]] = []
    for path in cache.iterdir():
        with contextlib.suppress(OSError):
            used = path.stat().st_mtime
            if not path.name.startswith(BUILDING):
                if (path / SEAL).is_file():
                    kept.append((used, path))
            elif now - used > STALE_S:
                shutil.rmtree(path, ignore_errors=True)
    for _, path in sorted(kept, reverse=True)[KEEP:]:
        shutil.rmtree(path, ignore_errors=True)


def _private_temporary() -> Path:
    """A folder in the system's temporary folder that nobody else can have prepared."""
    try:
        user = getpass.getuser()
    except (OSError, KeyError):
        user = "user"
    folder = Path(tempfile.gettempdir()) / f"handsfree-graphs-{user}"
    with contextlib.suppress(FileExistsError):
        folder.mkdir(mode=0o700)
    found = folder.lstat()
    ours = not hasattr(os, "getuid") or found.st_uid == os.getuid()
    if stat.S_ISDIR(found.st_mode) and ours and not found.st_mode & 0o022:
        return folder
    return Path(tempfile.mkdtemp(prefix="handsfree-graphs-"))
