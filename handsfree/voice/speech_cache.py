"""Phrases that were rendered before, kept on disk under a hash of all that made them.

A store is a convenience: whatever goes wrong with its folder, the phrase is rendered again.
"""

import contextlib
import hashlib
import os
import tempfile
import wave
from pathlib import Path
from typing import Final

from handsfree.values import Samples

LARGEST_STORE: Final = 64 * 2**20  # bytes, some 480 sentences
# What was made by another voice, or otherwise cut, is no good: change it with the pin.
FORMAT: Final = "espeak-english 0.1.1, trimmed"


class VoiceStore:
    """A folder of WAV files that never grows past `largest` bytes; the longest unused go first."""

    def __init__(self, folder: Path, largest: int = LARGEST_STORE) -> None:
        self._folder = folder
        self._largest = largest

    def get(self, key: str) -> Samples | None:
        """The samples kept under `key`, or None."""
        path = self._path(key)
        try:
            with wave.open(str(path), "rb") as file:
                if file.getnchannels() != 1 or file.getsampwidth() != 2 or not file.getnframes():
                    return None
                samples = Samples(file.readframes(file.getnframes()), file.getframerate())
                if len(samples.data) != 2 * file.getnframes():
                    return None
            os.utime(path)
        except (OSError, wave.Error, EOFError):
            return None
        return samples

    def has(self, key: str) -> bool:
        """Whether something is kept under `key`."""
        return self._path(key).is_file()

    def put(self, key: str, samples: Samples) -> None:
        """Keep samples under `key`; a crash in mid-write leaves the old file or none."""
        path = self._path(key)
        if len(samples.data) > self._largest // 4 or path.exists():
            return
        with contextlib.suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self._folder, suffix=".part")
            try:
                with os.fdopen(handle, "wb") as raw, wave.open(raw, "wb") as file:
                    file.setnchannels(1)
                    file.setsampwidth(2)
                    file.setframerate(samples.rate)
                    file.writeframes(samples.data)
                Path(name).replace(path)
            except OSError:
                Path(name).unlink(missing_ok=True)
                raise
            self._shrink()

    def _path(self, key: str) -> Path:
        return self._folder / (hashlib.sha256(f"{FORMAT}\n{key}".encode()).hexdigest() + ".wav")

    def _shrink(self) -> None:
        files = []
        for path in self._folder.iterdir():
            if path.suffix in (".wav", ".part"):
                status = path.stat()
                files.append((status.st_mtime_ns, status.st_size, path))
        total = sum(size for _, size, _ in files)
        for _, size, path in sorted(files):
            if total <= self._largest:
                break
            path.unlink(missing_ok=True)
            total -= size
