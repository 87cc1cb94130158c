"""The board between the helper and the open pages: the latest reply, its age, what the ears do.

The helper pins to it from any thread; every open page is told at once. A page that is slow gets the
newest state and never a queue of old ones, so nothing grows.
"""

import asyncio
import secrets
import threading
import time
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any

from handsfree.page import sizes as sizes
from handsfree.page.asking import tick_words
from handsfree.values import Part, Told
from handsfree.values.timing import Timer
from handsfree.wording.paper_plan import take_up_rows


class Ear(StrEnum):
    """What the helper's hearing does now, in the words that the page shows."""

    WAITING = "waiting for the phrase"
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
        phrase: what calls the helper; empty when nothing listens for it.
        partial: the words of the request that is being said, as far as they are heard.
        level: loudness of the microphone, 0 to 1 of the meter; None when it is not open.
        advice: what to do about that loudness, in one sentence; empty when it is right.
        can_say: what can be said now, a few phrases.
        faults: what does not work, by part, in the order in which it failed.
        timers: the times that run.
    """

    number: int
    told: Told | None
    age: float
    ear: Ear
    closed: bool = False
    run: str = ""
    phrase: str = ""
    partial: str = ""
    level: float | None = None
    advice: str = ""
    can_say: tuple[str, ...] = ()
    faults: tuple[tuple[Part, str], ...] = ()
    timers: tuple[Timer, ...] = ()

    def as_plain(self, known: int | None = None) -> dict[str, object]:
        """Plain names and values, ready for JSON.

        Args:
            known: number of the reply that the page has already; that one is left out.
        """
        plain: dict[str, object] = {
            "number": self.number,
            "age": round(self.age, 2),
            "ear": str(self.ear),
            "closed": self.closed,
            "run": self.run,
            "phrase": self.phrase,
            "partial": self.partial,
            "level": self.level,
            "advice": self.advice,
            "can_say": list(self.can_say),
            "faults": [{"part": str(part), "sentence": said} for part, said in self.faults],
            "timers": [asdict(timer) for timer in self.timers],
        }
        if known != self.number:
            plain["told"] = _plain_told(self.told)
        return plain


def _plain_told(told: Told | None) -> dict[str, object] | None:
    if told is None:
        return None
    # pictures, not words
    bare = replace(told, plan=None, development=None, take_up=None, progress=None)
    plain: dict[str, object] = asdict(bare)
    for picture in ("plan", "development", "take_up", "progress"):
        del plain[picture]
    drawn = (told.plan, told.take_up, told.progress)
    plain["picture"] = any(picture is not None for picture in drawn)
    plain["rows"] = list(take_up_rows(told.take_up)) if told.take_up is not None else []
    plain["ticks"] = ticks_of(told)
    plain["request"] = dict(told.request)
    return plain


def ticks_of(told: Told) -> list[dict[str, str]]:
    """Each piece of a list of work as a target: as it is shown, and the words that tick it off."""
    lines = told.take_up.lines if told.take_up is not None else ()
    return [
        {"shown": line, "words": tick_words(place)} for place, line in enumerate(lines, start=1)
    ]


class PageBoard:
    """Holds what the pages show and wakes the open ones; safe to use from any thread.

    Args:
        clock: seconds that only move forward.
        alive: seconds after which a page is told that the helper still lives.
        phrase: what calls the helper ("hello there"), for the page to show while it waits for it.
    """

    def __init__(
        self,
        clock: Callable[[], float] = time.monotonic,
        alive: float = sizes.ALIVE_S,
        phrase: str = "",
    ) -> None:
        self._clock = clock
        self._alive = alive
        self._lock = threading.Lock()
        self._now = Notice(0, None, 0.0, Ear.DEAF, run=secrets.token_hex(4), phrase=phrase)
        self._told_at = self._timed_at = clock()
        self._pages: dict[asyncio.Event, asyncio.AbstractEventLoop] = {}

    def publish(self, told: Told) -> None:
        """Pin a reply; pinning the very same value again changes nothing."""
        with self._lock:
            if told is self._now.told:
                return
            self._told_at = self._clock()
            self._change(told=told, number=self._now.number + 1, partial="")

    def hear(self, ear: Ear) -> None:
        """Show what the hearing does now. A new utterance or none takes the old words away."""
        with self._lock:
            over = ear in (Ear.WAITING, Ear.LISTENING, Ear.DEAF) and ear is not self._now.ear
            self._change(ear=ear, partial="" if over else self._now.partial)

    def call(self, phrase: str) -> None:
        """Show what calls the helper; empty when nothing listens for it."""
        with self._lock:
            self._change(phrase=phrase)

    def catch(self, words: str) -> None:
        """Show the words that are being said, as far as they are heard."""
        with self._lock:
            self._change(partial=words)

    def level(self, level_db: float | None) -> None:
        """Show how loud the microphone is: decibels below full scale; None when it is closed."""
        with self._lock:
            self._change(level=None if level_db is None else _on_the_meter(level_db))

    def advise(self, sentence: str) -> None:
        """Show what to do about the loudness; take it away when the sentence is empty."""
        with self._lock:
            self._change(advice=sentence)

    def offer(self, phrases: Sequence[str]) -> None:
        """Show what can be said now."""
        with self._lock:
            self._change(can_say=tuple(phrases))

    def notify(self, part: Part, sentence: str = "") -> None:
        """Show a fault until it is mended; an empty sentence says that it is."""
        with self._lock:
            faults = dict(self._now.faults) | {part: sentence}
            self._change(faults=tuple((known, said) for known, said in faults.items() if said))

    def keep_time(self, timers: Sequence[Timer]) -> None:
        """Show the times that run, as they stand now; the pages count on by themselves."""
        with self._lock:
            self._timed_at = self._clock()
            self._change(timers=tuple(timers))

    def close(self) -> None:
        """Tell every page that the helper stops, and end their streams."""
        with self._lock:
            self._change(closed=True)

    def latest(self) -> Notice:
        """The board as it is now."""
        with self._lock:
            now = self._clock()
            gone = now - self._timed_at
            timers = tuple(replace(timer, left=timer.left - gone) for timer in self._now.timers)
            return replace(self._now, age=now - self._told_at, timers=timers)

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

    def _change(self, **news: Any) -> None:
        """Put news on the board, and wake the pages when they are news; the lock is held."""
        if any(getattr(self._now, name) != value for name, value in news.items()):
            self._now = replace(self._now, **news)
            self._wake()

    def _wake(self) -> None:
        for changed, loop in list(self._pages.items()):
            try:
                loop.call_soon_threadsafe(changed.set)
            except RuntimeError:  # that server's loop is gone, and its pages with it
                self._pages.pop(changed, None)


def _on_the_meter(level_db: float) -> float:
    """The place of a level on the meter, in as many steps as it has, so that hiss wakes no page.

    >>> _on_the_meter(-100.0), _on_the_meter(-30.0), _on_the_meter(0.0)
    (0.0, 0.5, 1.0)
    """
    share = 1 - level_db / sizes.METER_LEAST_DB
    return round(sizes.METER_STEPS * min(1.0, max(0.0, share))) / sizes.METER_STEPS
