"""Times that run down: begun, told of at half and at the end, taken, stopped; pure.

Moments are seconds of a clock that only moves forward and are handed in. What is told comes back as
`TimeNews`; how it is worded, kept and sounded is for others.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from handsfree.values.timing import Running, TimeNews, TimeNewsKind

# Of a shorter time the half is over before it is said, and of one that comes again and again nobody
# wants to hear it.
HALF_FROM_S: Final = 120.0
RINGS_AGAIN_S: Final = 60.0
RINGS_AT_MOST: Final = 5  # then it is on the page alone

Timers = tuple[Running, ...]


def begun(timers: Timers, new: Running) -> Timers:
    """The timers with a new one; one of the same name, or of the same cycle, goes.

    >>> first = Running("preheat", 10.0, ends=20.0)
    >>> begun((first,), replace(first, ends=30.0))[0].ends
    30.0
    """
    cycle = {new.name, *((new.then[0],) if new.then else ())}
    return (*(each for each in timers if each.name not in cycle), new)


def due(timers: Timers, now: float) -> tuple[Timers, tuple[TimeNews, ...]]:
    """The timers as they go on, and what is told of them now.

    However late this is asked, nothing is left out but the half of a time that is over, and the
    turns of a repeated time that went by unseen.
    """
    going: list[Running] = []
    news: list[TimeNews] = []
    for timer in timers:
        if timer.rung:
            again = timer.ends + RINGS_AGAIN_S * timer.rung
            if timer.rung < RINGS_AT_MOST and now >= again:
                timer = replace(timer, rung=timer.rung + 1)
                news.append(TimeNews(TimeNewsKind.STILL, timer))
            going.append(timer)
        elif now >= timer.ends:
            news.append(TimeNews(TimeNewsKind.OVER, timer))
            going.append(_after(timer, now))
        else:
            if not timer.half_said and now >= timer.ends - timer.seconds / 2:
                timer = replace(timer, half_said=True)
                if timer.seconds >= HALF_FROM_S and not timer.repeats:
                    news.append(TimeNews(TimeNewsKind.HALF, timer))
            going.append(timer)
    return tuple(going), tuple(news)


def _after(timer: Running, now: float) -> Running:
    """What runs once a time is over: the next of its cycle, the same again, or nothing."""
    if timer.then is not None:
        name, seconds = timer.then
        return Running(
            name, seconds, now + seconds, timer.rule, timer.run, then=(timer.name, timer.seconds)
        )
    if timer.repeats:
        missed = int((now - timer.ends) // timer.seconds)
        ends = timer.ends + (missed + 1) * timer.seconds
        return replace(timer, ends=ends, half_said=False)
    return replace(timer, rung=1, half_said=True)


def next_due(timers: Timers) -> float | None:
    """When `due` has something to tell at the earliest; None for never.

    >>> next_due((Running("rest", 600.0, ends=1000.0),))
    700.0
    """
    moments = [moment for timer in timers if (moment := _next(timer)) is not None]
    return min(moments, default=None)


def _next(timer: Running) -> float | None:
    if timer.rung:
        return timer.ends + RINGS_AGAIN_S * timer.rung if timer.rung < RINGS_AT_MOST else None
    return timer.ends if timer.half_said else timer.ends - timer.seconds / 2


def named(timers: Timers, name: str) -> Running | None:
    """The timer of that name; of a cycle of work and rest either name finds it."""
    for timer in timers:
        if timer.name == name or (timer.then is not None and timer.then[0] == name):
            return timer
    return None


def without(timers: Timers, gone: Iterable[Running]) -> Timers:
    """The timers that are left."""
    names = {timer.name for timer in gone}
    return tuple(timer for timer in timers if timer.name not in names)


def ringing(timers: Timers) -> Timers:
    """Those that have gone off and that nobody has taken."""
    return tuple(timer for timer in timers if timer.rung)


def resumed(timers: Timers, now: float) -> tuple[Timers, tuple[TimeNews, ...]]:
    """The timers of an earlier run, and which of them went off in between.

    What ended while the helper was off is told as late and rings on; a cycle goes on from now.
    """
    late = [timer for timer in timers if not timer.rung and now >= timer.ends]
    going, _ = due(timers, now)
    return going, tuple(TimeNews(TimeNewsKind.LATE, timer) for timer in late)
