"""Times, pace, marks and practice in words: the read-back, and what is said at its time."""

from collections.abc import Iterable
from typing import Final

from handsfree.spoken_numbers import length_words, number_words, quantity_words
from handsfree.values.timing import PaceAct, Paced, Running, TimeNews, TimeNewsKind, TimerKind
from handsfree.wording.ear import for_the_ear

SECONDS_UP_TO: Final = 100.0
MINUTES_UP_TO: Final = 100.0
_ACT_SAID: Final = {
    PaceAct.BEGIN: "",
    PaceAct.STOP: "stop",
    PaceAct.LEFT: "",
    PaceAct.FASTER: "faster",
    PaceAct.SLOWER: "slower",
    PaceAct.MARK: "",
    PaceAct.FORGET: "forget",
    PaceAct.GO_ON: "",
}
# What is to be done when a time is over; any other time is simply up.
_OVER: Final = {
    TimerKind.FIRE_WATCH.value: (
        "Fire watch, {} over.",
        "Look once more above, below and behind before you leave.",
    ),
    TimerKind.MONITORING.value: ("Fire monitoring, {} over.", "Look over the place once more."),
    TimerKind.PREHEAT.value: ("Preheat time is over.", "The colour decides, not the clock."),
    TimerKind.WORK.value: ("Work time is over.", "Shut the torch, and rest for {then}."),
    TimerKind.REST.value: ("Rest is over.", "Work for {then}."),
    TimerKind.CYLINDER_CHECK.value: (
        "Cylinder check.",
        "Look at both gauges, the valves and the hoses.",
    ),
    TimerKind.UPRIGHT.value: ("The acetylene has stood upright for {}.",),
}
_TAKE_IT: Final = "Say, stop the timer, when you have heard it."
MARK_LOST: Final = "No mark came. Nothing was measured. Say mark to begin again."
CLOCK_WENT_BACK: Final = (
    "The clock of this machine was set back while I was off. I count no time for that."
)
DAY_S: Final = 86_400.0
CLOCK_JUMPED: Final = "The clock of this machine jumped {} by {}."
CLOCK_MOVES_NO_TIME: Final = "No time that runs is changed by that."
CLOCK_PARTS_TIMES: Final = "Times in the logbook before and after it do not fit together."


def paced_words(paced: Paced | None) -> tuple[str, ...]:
    """What a request says of times and pace, for the read-back.

    >>> from handsfree.values.units import registry
    >>> paced_words(Paced(PaceAct.BEGIN, TimerKind.REST, time=registry.Quantity(10.0, "minute")))
    ('rest', 'ten minutes')
    """
    if paced is None:
        return ()
    parts = [
        _ACT_SAID[paced.act],
        paced.case.value if paced.case is not None else "",
        paced.timer.value if paced.timer is not None else "",
        quantity_words(paced.time) if paced.time is not None else "",
        f"{quantity_words(paced.rest)} of rest" if paced.rest is not None else "",
        quantity_words(paced.speed) if paced.speed is not None else "",
        length_words(paced.length) if paced.length is not None else "",
        paced.result.value if paced.result is not None else "",
        paced.who,
    ]
    return tuple(part for part in parts if part)


def time_words(seconds: float) -> str:
    """A time as it is said: seconds, minutes, or hours and minutes.

    >>> time_words(15), time_words(3600), time_words(7500), time_words(60)
    ('fifteen seconds', 'sixty minutes', 'two hours and five minutes', 'sixty seconds')
    """
    if seconds <= SECONDS_UP_TO:
        return _many(round(max(0.0, seconds)), "second")
    minutes = round(seconds / 60)
    if minutes <= MINUTES_UP_TO:
        return _many(minutes, "minute")
    hours, rest = divmod(minutes, 60)
    more = f" and {_many(rest, 'minute')}" if rest else ""
    return f"{_many(hours, 'hour')}{more}"


def _many(count: int, unit: str) -> str:
    return f"{number_words(count)} {unit}{'' if count == 1 else 's'}"


def clock_jumped_said(jump: float) -> tuple[str, str, str]:
    """What is told of a clock that was set by so many seconds.

    >>> clock_jumped_said(-90.0)[0]
    'The clock of this machine jumped back by ninety seconds.'
    """
    far = abs(jump)
    much = time_words(far) if far < DAY_S else _many(round(far / DAY_S), "day")
    how = CLOCK_JUMPED.format("forward" if jump > 0 else "back", much)
    return how, CLOCK_MOVES_NO_TIME, CLOCK_PARTS_TIMES


def news_said(news: TimeNews, now: float) -> tuple[str, ...]:
    """What is said when a time has come.

    >>> timer = Running("fire watch", 3600.0, ends=3600.0)
    >>> news_said(TimeNews(TimeNewsKind.HALF, timer), now=1800.0)
    ('Fire watch, half is over.', 'Thirty minutes left.')
    """
    timer = news.of
    name = timer.name
    match news.kind:
        case TimeNewsKind.HALF:
            return _ears((f"{name}, half is over.", left_said(timer, now, named=False)))
        case TimeNewsKind.STILL:
            return _ears((f"{name} is over.", _TAKE_IT))
        case TimeNewsKind.LATE:
            late = time_words(now - timer.ends)
            done = _over(timer)[1:]
            return _ears((f"{name} went off while I was off, {late} ago.", *done))
        case TimeNewsKind.OVER:
            return _ears(_over(timer))


def _over(timer: Running) -> tuple[str, ...]:
    sentences = _OVER.get(timer.name, ("{name}, time is up.",))
    long = time_words(timer.seconds)
    is_over = f"{long} {'is' if long.startswith('one ') else 'are'}"
    then = time_words(timer.then[1]) if timer.then is not None else "as long as you need"
    opening = is_over if sentences[0].endswith("{} over.") else long
    return tuple(sentence.format(opening, then=then, name=timer.name) for sentence in sentences)


def left_said(timer: Running, now: float, *, named: bool = True) -> str:
    """How long is left of a time.

    >>> left_said(Running("rest", 600.0, ends=600.0), now=0.0)
    'Rest, ten minutes left.'
    """
    left = timer.left(now)
    said = "time is up" if timer.rung or left <= 0 else f"{time_words(left)} left"
    return for_the_ear(f"{timer.name}, {said}" if named else said)


def _ears(sentences: Iterable[str]) -> tuple[str, ...]:
    return tuple(for_the_ear(sentence) for sentence in sentences)
