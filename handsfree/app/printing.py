"""Prints the helper's lines from a thread of its own: a terminal that is held up holds up nobody.

Lines that wait too long are lost, the oldest first. That the output takes none any more is told as
a fault of the terminal, and that it takes them again.
"""

import threading
from collections import deque
from collections.abc import Callable
from types import TracebackType
from typing import Final, Self

from handsfree.app.terminal import Terminal
from handsfree.values import Failed, Mended, Part, TurnEvent

MOST_WAITING: Final = 1000
CLOSING_S: Final = 1.0  # what a terminal has not taken by then is lost


class Printing:
    """Takes lines from any thread, also before it is entered.

    Args:
        terminal: prints them.
    """

    def __init__(self, terminal: Terminal) -> None:
        self._terminal = terminal
        self._post: Callable[[TurnEvent], None] | None = None
        self._lines: deque[tuple[Callable[[str], bool], str]] = deque(maxlen=MOST_WAITING)
        self._more = threading.Condition()
        self._closed = False
        self._lost = False
        self._thread = threading.Thread(target=self._print_all, name="printing", daemon=True)

    def tell(self, line: str) -> None:
        """Print it on standard output."""
        self._put(self._terminal.say, line)

    def complain(self, line: str) -> None:
        """Print it on standard error."""
        self._put(self._terminal.complain, f"handsfree: {line}")

    def report_to(self, post: Callable[[TurnEvent], None]) -> None:
        """Tell from now on when the output is lost, and when it is back."""
        self._post = post

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._more:
            self._closed = True
            self._more.notify()
        self._thread.join(CLOSING_S)

    def _put(self, how: Callable[[str], bool], line: str) -> None:
        with self._more:
            self._lines.append((how, line))
            self._more.notify()

    def _print_all(self) -> None:
        while True:
            with self._more:
                self._more.wait_for(lambda: self._lines or self._closed)
                if not self._lines:
                    return
                how, line = self._lines.popleft()
            printed = how(line)
            if how == self._terminal.say:
                self._report(printed)

    def _report(self, printed: bool) -> None:
        if self._post is None or printed is not self._lost:
            return
        self._lost = not printed
        lost = Failed(Part.TERMINAL, self._terminal.lost_said())
        self._post(Mended(Part.TERMINAL) if printed else lost)
