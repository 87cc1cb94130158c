"""What the slots say of times, the beat, marks, how a cut came out, and practice.

Each is asked for in words of its own (slot `pace`); beside the beat and practice a piece of steel
is named as for any other request, and beside the rest nothing is.
"""

from fractions import Fraction
from typing import Final

from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import About
from handsfree.values.timing import CutResult, PaceAct, Paced, PracticeCase, TimerKind
from handsfree.values.units import Quantity, feet, inches_a_minute, registry

_ASKED: Final = {
    "timer begin": (About.TIMER, PaceAct.BEGIN),
    "timer left": (About.TIMER, PaceAct.LEFT),
    "timer stop": (About.TIMER, PaceAct.STOP),
    "beat begin": (About.BEAT, PaceAct.BEGIN),
    "beat stop": (About.BEAT, PaceAct.STOP),
    "beat faster": (About.BEAT, PaceAct.FASTER),
    "beat slower": (About.BEAT, PaceAct.SLOWER),
    "mark": (About.MARK, PaceAct.MARK),
    "mark stop": (About.MARK, PaceAct.STOP),
    "result": (About.RESULT, PaceAct.BEGIN),
    "result left": (About.RESULT, PaceAct.LEFT),
    "result forget": (About.RESULT, PaceAct.FORGET),
    "practice begin": (About.PRACTICE, PaceAct.BEGIN),
    "practice stop": (About.PRACTICE, PaceAct.STOP),
    "practice left": (About.PRACTICE, PaceAct.LEFT),
    "go on": (About.PRACTICE, PaceAct.GO_ON),
}
_OF_PACE: Final = frozenset(
    {"pace", "timer", "timer_any", "time_min", "time_s", "time_set", "rest_min", "beat_in"}
    | {"beat_mm", "mark_length", "mark_feet", "cut_result", "practice", "who"}
)
_PLAIN: Final = frozenset({"question", "tip_word", "verb"})
"""What may stand beside any of them and says no more."""
_WITH_A_PIECE: Final = frozenset({"beat begin", "practice begin"})


def pace_of(slots: Slots) -> tuple[About, Paced] | None:
    """What is asked of times and pace; None when it is another kind of request.

    >>> pace_of(Slots((("pace", "mark"), ("mark_length", "six inches"))))[1].length.magnitude
    6.0

    Raises:
        Unreadable: something stands beside it that does not belong to it.
    """
    asked = slots.one("pace")
    if asked is None:
        return None
    names = {name for name, _ in slots.said}
    beside = names - _OF_PACE - _PLAIN
    if beside and asked not in _WITH_A_PIECE:
        raise Unreadable(f"{asked} beside {', '.join(sorted(beside))}")
    if asked == "go on" and len(slots.said) > 1:
        raise Unreadable("ready, and something else")
    about, act = _ASKED[asked]
    result, case, timer = slots.one("cut_result"), slots.one("practice"), slots.one("timer")
    return about, Paced(
        act,
        timer=TimerKind(timer) if timer is not None else None,
        time=_time(slots),
        rest=_minutes(slots.number("rest_min")),
        speed=_speed(slots),
        metric="beat_mm" in slots,
        length=_length(slots),
        result=CutResult(result) if result is not None else None,
        case=PracticeCase(case) if case is not None else None,
        who=f"cutter {slots.one('who')}" if "who" in slots else "",
    )


def _time(slots: Slots) -> Quantity | None:
    said = slots.any_of("time_min", "time_s", "time_set")
    if not said:
        return None
    if sum(name in slots for name in ("time_min", "time_s", "time_set")) > 1:
        raise Unreadable("two times")
    if (seconds := slots.number("time_s")) is not None:
        return registry.Quantity(float(seconds), "second")
    set_to = slots.one("time_set")
    return _minutes(Fraction(set_to) if set_to is not None else slots.number("time_min"))


def _minutes(count: Fraction | None) -> Quantity | None:
    return None if count is None else registry.Quantity(float(count), "minute")


def _speed(slots: Slots) -> Quantity | None:
    if (value := slots.number("beat_mm")) is not None:
        return registry.Quantity(float(value), "millimeter / minute")
    value = slots.number("beat_in")
    return None if value is None else inches_a_minute(float(value))


def _length(slots: Slots) -> Quantity | None:
    value = slots.number("mark_feet")
    return slots.length("mark_length") if value is None else feet(value)
