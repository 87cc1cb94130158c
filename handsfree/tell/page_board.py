"""The board between the session and the open pages: the latest reply, its age, and who listens.

The session pins a reply to it from any thread; every open page is told at once. A page that is
slow gets the newest state and never a queue of old ones, so nothing grows.
"""

import asyncio
import secrets
import threading
import time
from collections.abc import AsyncIterator, Callable
from dataclasses import asdict, dataclass
from enum import StrEnum

from handsfree.tell import page_sizes as sizes
from handsfree.values import Told


class Ear(StrEnum):
    """What the helper's hearing does now, in the words that the page shows."""

    LISTENING = "listening"
    WORKING = "working"
    SPEAKING = "speaking"
    DEAF = "not listening"


@dataclass(frozen=True, slots=True)
class Notice:
    """The board at one moment.

    Attributes:
        number: counts replies, so that a page knows a new one from the same one again.
        told: the latest reply, None before the first.
        age: seconds since that reply was pinned.
        ear: what the hearing does.
        closed: the helper is stopping.
        run: tells this run of the helper from the one before.
    """

    number: int
    told: Told | None
    age: float
    ear: Ear
    closed: bool = False
    run: str = ""

    def as_plain(self) -> dict[str, object]:
        """Plain names and values, ready for JSON."""
        told: dict[str, object] | None = None
        if self.told is not None:
            told = asdict(self.told)
            told["request"] = dict(self.told.request)
        return {
            "number": self.number,
            "told": told,
            "age": round(self.age, 2),
            "ear": str(self.ear),
            "closed": self.closed,
            "run": self.run,
        }


class PageBoard:
    """Holds the latest reply and wakes the open pages; safe to use from any thread.

    Args:
        clock: seconds that only move forward.
        alive: seconds after which a page is told that the helper still lives.
    """

    def __init__(
        self, clock: Callable[[], float] = time.monotonic, alive: float = sizes.ALIVE_S
    ) -> None:
        self._clock = clock
        self._alive = alive
        self._lock = threading.Lock()
        self._run = secrets.token_hex(4)
        self._number = 0
        self._told: Told | None = None
        self._at = clock()
        self._ear = Ear.DEAF
        self._closed = False
        self._pages: dict[asyncio.Event, asyncio.AbstractEventLoop] = {}

    def publish(self, told: Told) -> None:
        """Pin a reply; pinning the very same value again changes nothing."""
        with self._lock:
            if told is self._told:
                return
            self._told = told
            self._number += 1
            self._at = self._clock()
            self._wake()

    def hear(self, ear: Ear) -> None:
        """Show what the hearing does now."""
        with self._lock:
            if ear is not self._ear:
                self._ear = ear
                self._wake()

    def close(self) -> None:
        """Tell every page that the helper stops, and end their streams."""
        with self._lock:
            self._closed = True
            self._wake()

    def latest(self) -> Notice:
        """The board as it is now."""
        with self._lock:
            age = self._clock() - self._at
            return Notice(self._number, self._told, age, self._ear, self._closed, self._run)

    @property
    def pages(self) -> int:
        """How many pages are open."""
        with self._lock:
            return len(self._pages)

    async def notices(self) -> AsyncIterator[Notice]:
        """The board now, then at every change and every `alive` seconds, until it is closed."""
        changed = asyncio.Event()
        with self._lock:
            self._pages[changed] = asyncio.get_running_loop()
        try:
            while True:
                changed.clear()
                notice = self.latest()
                yield notice
                if notice.closed:
                    return
                try:
                    await asyncio.wait_for(changed.wait(), self._alive)
                except TimeoutError:
                    continue
        finally:
            with self._lock:
                self._pages.pop(changed, None)

    def _wake(self) -> None:
        for changed, loop in list(self._pages.items()):
            try:
                loop.call_soon_threadsafe(changed.set)
            except RuntimeError:  # that server's loop is gone, and its pages with it
                self._pages.pop(changed, None)
