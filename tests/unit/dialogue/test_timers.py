"""Times that run down: what is told when, and what a late look at the clock leaves out."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.dialogue.timers import (
    Timers,
    begun,
    due,
    named,
    next_due,
    resumed,
    ringing,
    without,
)
from handsfree.values.timing import Running, TimeNews, TimeNewsKind

WATCH = Running("fire watch", 3600.0, ends=3600.0)
HALF, OVER, STILL, LATE = (
    TimeNewsKind.HALF,
    TimeNewsKind.OVER,
    TimeNewsKind.STILL,
    TimeNewsKind.LATE,
)


def told(timers: Timers, moments: list[float]) -> tuple[Timers, list[tuple[float, str]]]:
    """What is told at each of these moments."""
    found = []
    for now in moments:
        timers, news = due(timers, now)
        found += [(now, f"{each.of.name} {each.kind}") for each in news]
    return timers, found


def test_half_is_told_once_and_the_end_once() -> None:
    _, found = told((WATCH,), [0, 1799, 1800, 1801, 3000, 3599, 3600, 3601])
    assert found == [(1800, "fire watch half"), (3600, "fire watch over")]


def test_what_nobody_takes_rings_again_a_few_times_and_then_is_shown_only() -> None:
    moments = [float(s) for s in range(0, 3600 + 20 * 60)]
    timers, found = told((WATCH,), moments)
    still = [when for when, what in found if what.endswith("still")]
    assert still == [3660, 3720, 3780, 3840]
    assert ringing(timers) == timers != ()
    assert without(timers, ringing(timers)) == ()


def test_half_of_a_short_time_is_not_told() -> None:
    _, found = told((Running("preheat", 15.0, ends=15.0),), [float(s) for s in range(20)])
    assert found == [(15, "preheat over")]


def test_work_and_rest_take_turns_and_one_word_stops_both() -> None:
    work = Running("work", 300.0, ends=300.0, then=("rest", 100.0))
    timers, found = told((work,), [float(s) for s in range(0, 801)])
    ends = [(when, what) for when, what in found if what.endswith("over")]
    assert ends == [(300, "work over"), (400, "rest over"), (700, "work over"), (800, "rest over")]
    assert named(timers, "rest") == named(timers, "work") == timers[0]
    assert timers[0].then == ("rest", 100.0)


def test_a_check_that_comes_again_keeps_its_beat_however_late_it_is_looked_at() -> None:
    check = Running("cylinder check", 1800.0, ends=1800.0, repeats=True)
    timers, found = told((check,), [1800.0, 9100.0])
    assert [what for _, what in found] == ["cylinder check over"] * 2
    assert timers[0].ends == 10800.0


def test_a_new_time_takes_the_place_of_its_name_and_of_its_cycle() -> None:
    rest = Running("rest", 100.0, ends=100.0, then=("work", 300.0))
    other = Running("timer", 60.0, ends=60.0)
    work = Running("work", 600.0, ends=600.0, then=("rest", 60.0))
    assert begun((rest, other, replace(work, ends=1.0)), work) == (other, work)


def test_what_ended_while_the_helper_was_off_is_told_late_and_rings_on() -> None:
    timers, news = resumed((WATCH,), 5000.0)
    assert news == (TimeNews(LATE, WATCH),)
    assert timers[0].rung == 1
    assert resumed((WATCH,), 1000.0) == ((WATCH,), ())
    taken, again = resumed(timers, 5001.0)
    assert again == ()
    assert taken[0].rung >= 1


TIMES = st.lists(
    st.builds(
        lambda name, seconds, repeats, rest: Running(
            name,
            seconds,
            ends=seconds,
            repeats=repeats,
            then=("rest of it", rest) if rest and not repeats else None,
        ),
        st.sampled_from(["a", "b", "c", "d"]),
        st.floats(5, 5000),
        st.booleans(),
        st.none() | st.floats(5, 500),
    ),
    max_size=4,
    unique_by=lambda timer: timer.name,
)


@given(TIMES, st.lists(st.floats(0.1, 900), max_size=30))
def test_nothing_is_told_before_its_time_nor_forgotten(
    timers: list[Running], steps: list[float]
) -> None:
    going: Timers = tuple(timers)
    now = 0.0
    for step in steps:
        moment = next_due(going)
        now += step
        after, news = due(going, now)
        if moment is None or now < moment:
            assert news == ()
        for each in news:
            assert each.kind is not LATE
            left = each.of.ends - now
            assert (left > 0) == (each.kind is HALF)
        again, more = due(after, now)
        assert (again, more) == (after, ()) or all(each.kind is STILL for each in more)
        going = after
    assert {timer.name for timer in timers if timer.then is None} <= {t.name for t in going}


def test_when_something_is_due_is_known_beforehand() -> None:
    assert next_due(()) is None
    assert next_due((WATCH,)) == 1800.0
    timers, _ = due((WATCH,), 1800.0)
    assert next_due(timers) == 3600.0
    timers, _ = due(timers, 3600.0)
    assert next_due(timers) == pytest.approx(3660.0)
