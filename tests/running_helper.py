"""The helper as a process of its own, as a user starts it: its lines, its page, its end."""

import fcntl
import json
import os
import re
import signal
import subprocess
import sys
import termios
import threading
import time
import urllib.request
from collections.abc import Callable, Mapping
from typing import Any, Final, Self

PATIENCE_S: Final = 60.0  # a machine that does much else; no bar


def _take_terminal() -> None:
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


class RunningHelper:
    """One process of `handsfree` on a free port; a context manager that ends it.

    Args:
        env: of the process.
        options: of the command.
        stdin: where its keys come from.
        owns_terminal: that is its own terminal, as if it had been started from there.
        redirect: where its streams go, as a shell writes it; its lines are not read then.
        port: of the page; any free one when 0.
    """

    def __init__(
        self,
        env: Mapping[str, str],
        *options: str,
        stdin: int = subprocess.DEVNULL,
        owns_terminal: bool = False,
        redirect: str = "",
        port: int = 0,
    ) -> None:
        self.lines: list[str] = []
        self.complaints: list[str] = []
        self._port = port
        command = [sys.executable, "-m", "handsfree.app.cli", "--port", str(port), *options]
        if redirect:
            command = ["sh", "-c", f'exec "$0" "$@" {redirect}', *command]
        self.process = subprocess.Popen(
            command,
            env=dict(env),
            stdin=stdin,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=owns_terminal,
            preexec_fn=_take_terminal if owns_terminal else None,
        )
        self._readers = [
            threading.Thread(target=self._read, args=pair, daemon=True)
            for pair in (
                (self.process.stdout, self.lines),
                (self.process.stderr, self.complaints),
            )
        ]
        for reader in self._readers:
            reader.start()

    def _read(self, pipe: Any, lines: list[str]) -> None:
        with pipe:
            for line in pipe:
                lines.append(line.rstrip("\n"))

    def reach(self, true: Callable[[], object], seconds: float = PATIENCE_S) -> None:
        """Wait for something that the process does; the test fails when it does not."""
        end = time.monotonic() + seconds
        while not true():
            assert time.monotonic() < end, (self.lines, self.complaints)
            time.sleep(0.02)

    def printed(self, pattern: str) -> bool:
        return any(re.search(pattern, line) for line in self.lines)

    def complained(self, pattern: str) -> bool:
        return any(re.search(pattern, line) for line in self.complaints)

    def until_it_listens(self) -> Self:
        """Or would, if there were a microphone: at the first start its graphs are made."""
        self.reach(lambda: self.printed("^(Listening|Ready)"), 120.0)
        return self

    def stop_reading(self, errors: bool) -> None:
        """Close our end of its output, and of its errors; the next line may still be read."""
        for pipe in (self.process.stdout, self.process.stderr if errors else None):
            if pipe is not None:
                nowhere = os.open(os.devnull, os.O_RDONLY)
                os.dup2(nowhere, pipe.fileno())  # the reader sees an end, and closes it
                os.close(nowhere)

    def answers(self) -> bool:
        """Whether the page is served yet."""
        try:
            self.page()
        except OSError:
            return False
        return True

    @property
    def url(self) -> str:
        if self._port:
            return f"http://127.0.0.1:{self._port}/"
        self.reach(lambda: self.printed("^Page: "))
        return next(line for line in self.lines if line.startswith("Page: ")).split()[1]

    def page(self) -> dict[str, Any]:
        """What the page shows now."""
        with urllib.request.urlopen(f"{self.url}latest", timeout=10) as reply:
            shown: dict[str, Any] = json.load(reply)
        return shown

    def faults(self) -> dict[str, str]:
        return {fault["part"]: fault["sentence"] for fault in self.page()["faults"]}

    def kind(self) -> str:
        """What kind of reply the page shows; empty before the first."""
        told = self.page()["told"]
        return "" if told is None else str(told["kind"])

    def ask(self, words: str) -> None:
        """Type words on the page."""
        self._post("ask", {"words": words})

    def press(self, key: str) -> None:
        """Press a key on the page."""
        self._post("key", {"key": key})

    def _post(self, where: str, what: Mapping[str, str]) -> None:
        request = urllib.request.Request(
            f"{self.url}{where}",
            data=json.dumps(what).encode(),
            headers={"Content-Type": "application/json", "Origin": self.url.rstrip("/")},
        )
        with urllib.request.urlopen(request, timeout=10):
            pass

    def end(self, how: signal.Signals = signal.SIGTERM) -> int:
        """End it; the exit status."""
        self.process.send_signal(how)
        return self.process.wait(PATIENCE_S)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        for reader in self._readers:
            reader.join(5.0)
