"""Lines that are typed on the terminal become requests, where nobody can be heard."""

import os
import select
import threading
from collections.abc import Callable
from typing import Final

from handsfree.app.terminal_keys import terminal_of
from handsfree.values.clean_text import clean_text

LONGEST_LINE: Final = 20_000  # characters of one request that are looked at


class TypedLines:
    """The lines of one terminal, read in a thread of their own; a context manager.

    Args:
        take: is given each line with words in it.
        end: is called when the terminal was closed, or Ctrl-D was pressed.
        descriptor: of the terminal; standard input when None.
    """

    def __init__(
        self,
        take: Callable[[str], None],
        end: Callable[[], None],
        descriptor: int | None = None,
    ) -> None:
        self._take = take
        self._end = end
        self._descriptor = descriptor
        self._wake: tuple[int, int] | None = None
        self._thread: threading.Thread | None = None

    @property
    def are_read(self) -> bool:
        """Whether there is a terminal whose lines are read."""
        return self._thread is not None

    def __enter__(self) -> "TypedLines":
        descriptor = terminal_of(self._descriptor)
        if descriptor is not None:
            self._wake = os.pipe()
            self._thread = threading.Thread(
                target=self._read, args=(descriptor, self._wake[0]), name="typed", daemon=True
            )
            self._thread.start()
        return self

    def __exit__(self, *fault: object) -> None:
        if self._wake is None or self._thread is None:
            return
        os.write(self._wake[1], b".")
        self._thread.join(1.0)
        for end in self._wake:
            os.close(end)
        self._wake = None

    def _read(self, descriptor: int, wake: int) -> None:
        rest = b""
        while True:
            try:
                ready, _, _ = select.select([descriptor, wake], [], [])
                if wake in ready:
                    return
                data = os.read(descriptor, 4096)
            except OSError:  # the terminal was closed
                data = b""
            if not data:
                self._end()
                return
            *lines, rest = (rest + data).split(b"\n")
            for line in lines:
                text = clean_text(line.decode("utf-8", errors="replace"))[:LONGEST_LINE].strip()
                if text:
                    self._take(text)
