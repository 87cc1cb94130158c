"""The thread that keeps time: what is due becomes an event of the helper, and the page counts."""

import threading
import time
from collections.abc import Callable, Sequence
from types import TracebackType
from typing import Final, Protocol, Self

from handsfree.pacing.pacing import Pacing
from handsfree.values import Failed, Part, TurnEvent
from handsfree.values.timing import Timer

LOOKS_UP_S: Final = 1.0  # at least so often a clock that jumped is seen
CLOSING_S: Final = 2.0
WENT_WRONG: Final = (
    "Something went wrong in keeping time ({}). Look at a watch. If it stays, stop the helper and"
    " start it again: the times that run are kept."
)


class ShowsTime(Protocol):
    """The board of the page."""

    def keep_time(self, timers: Sequence[Timer]) -> None:
        """Show the times that run."""


class KeepingTime:
    """Keeps time from when it is entered until it is left.

    Args:
        pacing: whose times they are.
        post: takes what is due.
        board: shows the times.
    """

    def __init__(self, pacing: Pacing, post: Callable[[TurnEvent], None], board: ShowsTime) -> None:
        self._pacing = pacing
        self._post = post
        self._board = board
        self._changed = threading.Event()
        self._closed = False
        self._thread = threading.Thread(target=self._keep, name="keeping time", daemon=True)

    def begin(self) -> None:
        """Go on with the times of an earlier run, and tell of them; starts no thread."""
        told = self._pacing.times.run(self._news)
        self._news()
        self.tell(told)

    def tell(self, told: Sequence[TurnEvent]) -> None:
        """Hand over what is due, and what is to be shown."""
        for each in told:
            self._post(each)

    def __enter__(self) -> Self:
        self.begin()
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._closed = True
        self._changed.set()
        self._thread.join(CLOSING_S)

    def _news(self) -> None:
        self._board.keep_time(self._pacing.times.shown())
        self._changed.set()

    def _keep(self) -> None:
        while not self._closed:
            until = self._pacing.until_due()
            self._changed.wait(LOOKS_UP_S if until is None else min(LOOKS_UP_S, until))
            self._changed.clear()
            if not self._closed:
                self.look()

    def look(self) -> None:
        """Hand over what is due by now; whatever goes wrong is told, and time goes on."""
        try:
            self.tell(self._pacing.due())
            self.tell(self._pacing.times.clock_news())
        except Exception as fault:  # without this thread no watch would ever end
            self._post(Failed(Part.SESSION, WENT_WRONG.format(type(fault).__name__)))
            time.sleep(LOOKS_UP_S)
