"""One run of the voice process, at the other end of its pipes: a request in, its samples out.

Whatever becomes of the process, a request ends within its patience with samples or a `VoiceError`.
"""

import contextlib
import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from handsfree.errors import VoiceError
from handsfree.values import Samples

MEMORY_FOLDER: Final = Path("/dev/shm")


def default_command() -> tuple[str, ...]:
    """The voice process in this Python, run by path so that it imports nothing of ours."""
    return (sys.executable, "-P", str(Path(__file__).with_name("synthesis_process.py")))


def _in_memory() -> Path | None:
    """A folder in memory, which a full disk does not touch; None where the system has none."""
    return MEMORY_FOLDER if os.access(MEMORY_FOLDER, os.W_OK) else None


class VoiceProcess:
    """One run of the voice process, with its pipes and its own folder.

    Args:
        command: the program and its arguments; the folder is put behind them.

    Raises:
        VoiceError: it does not start.
    """

    def __init__(self, command: Sequence[str]) -> None:
        try:
            self._folder = tempfile.TemporaryDirectory(
                prefix="voice-", dir=_in_memory(), ignore_cleanup_errors=True
            )
        except OSError as fault:
            raise VoiceError(f"there is no room for its sentences ({fault}).") from fault
        self._said_aside = Path(self._folder.name) / "stderr"
        try:
            with self._said_aside.open("wb") as aside:
                self._child = subprocess.Popen(
                    [*command, self._folder.name],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=aside,
                )
        except OSError as fault:
            self._folder.cleanup()
            raise VoiceError(f"its process does not start ({fault}).") from fault
        self._replies: queue.SimpleQueue[tuple[dict[str, object], bytes] | None]
        self._replies = queue.SimpleQueue()
        self._started = False
        self._reader = threading.Thread(target=self._read, name="voice replies", daemon=True)
        self._reader.start()

    def speak(self, request: dict[str, str | int], patience_s: float) -> Samples:
        """The samples of one sentence.

        Args:
            request: as `synthesis_process.py` takes it.
            patience_s: how long it may take; twice as long for the start.

        Raises:
            VoiceError: it ended, hangs, reports a fault or gives no sound; only the reason is told.
        """
        if not self._started:
            self._reply(patience_s * 2)
            self._started = True
        assert self._child.stdin is not None
        try:
            self._child.stdin.write(json.dumps(request).encode() + b"\n")
            self._child.stdin.flush()
        except OSError as fault:
            raise VoiceError(self._last_words("its process has ended")) from fault
        header, data = self._reply(patience_s)
        rate = header.get("rate")
        if not isinstance(rate, int) or len(data) < 2:
            raise VoiceError("it gave no sound.")
        return Samples(data, rate)

    def _reply(self, patience_s: float) -> tuple[dict[str, object], bytes]:
        try:
            reply = self._replies.get(timeout=patience_s)
        except queue.Empty:
            raise VoiceError(f"it has not answered for {patience_s:g} seconds.") from None
        if reply is None:
            raise VoiceError(self._last_words("its process has ended"))
        if "fault" in reply[0]:
            raise VoiceError(f"it reports {reply[0]['fault']}.")
        return reply

    def _read(self) -> None:
        """Pass replies on until the pipe ends or carries something that is none."""
        assert self._child.stdout is not None
        with contextlib.suppress(ValueError, OSError):  # not JSON, or closed under our hands
            while line := self._child.stdout.readline():
                header = json.loads(line)
                size = header.get("size", 0) if isinstance(header, dict) else None
                if not isinstance(size, int):
                    break
                data = self._child.stdout.read(size)
                if len(data) < size:
                    break
                self._replies.put((header, data))
        self._replies.put(None)

    def _last_words(self, what: str) -> str:
        try:
            lines = self._said_aside.read_text(errors="replace").strip().splitlines()
        except OSError:
            lines = []
        return f"{what} ({lines[-1][:200]})." if lines else f"{what}."

    def kill(self) -> None:
        """End it at once, from any thread; whoever waits for a sentence is told."""
        self._child.kill()

    def close(self) -> None:
        """End it and leave nothing behind."""
        self._child.kill()
        self._child.wait()
        self._reader.join(timeout=1.0)
        for pipe in (self._child.stdin, self._child.stdout):
            if pipe:
                with contextlib.suppress(OSError):
                    pipe.close()
        self._folder.cleanup()
