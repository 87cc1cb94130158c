"""Times by word: the longest duty that applies, restarts, jumps of the clock, and stops."""

from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.engine import tables
from handsfree.errors import SettingsError
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.pacing.timekeeper import ROOFING
from handsfree.page.board import PageBoard
from handsfree.store.pace_files import TIMERS_FILE
from handsfree.store.settings import Kept
from handsfree.values import (
    About,
    Answer,
    Due,
    Failed,
    Question,
    Refusal,
    Reply,
    Request,
    TurnEvent,
    YesKind,
    YesTo,
)
from handsfree.values.steps import Timing
from handsfree.values.timing import PaceAct, Paced, TimerKind
from handsfree.values.units import Quantity, registry
from tests.unit.pacing.clocks import Shift
from tests.unit.voice.mouths import until


@pytest.fixture
def shift(tmp_path: Path) -> Shift:
    return Shift(tmp_path)


def minutes(count: float) -> Quantity:
    return registry.Quantity(count, "minute")


def asked(
    shift: Shift,
    timer: TimerKind | None,
    act: PaceAct = PaceAct.BEGIN,
    time: Quantity | None = None,
    rest: Quantity | None = None,
    yes: bool = False,
) -> Reply:
    confirmed = (YesTo(YesKind.END_WATCH, timer.value),) if yes and timer is not None else ()
    paced = Paced(act, timer=timer, time=time, rest=rest)
    return shift.pacing.reply(Request(About.TIMER, paced=paced, confirmed=confirmed), Kept())


def said(reply: Reply) -> str:
    assert isinstance(reply, Answer), reply
    return " ".join(reply.technique).lower()


def test_the_fire_watch_is_the_longest_that_applies_to_cutting(shift: Shift) -> None:
    longest = max(
        float(row.value.m_as("minute"))
        for applies, row in tables.fire_watches()
        if applies != ROOFING
    )
    reply = asked(shift, TimerKind.FIRE_WATCH)
    assert shift.pacing.left("fire watch") == longest * 60
    assert isinstance(reply, Answer)
    assert reply.sources == ("nfpa_51b",)
    assert "permit" in said(reply)


def test_a_fire_watch_below_the_rule_is_refused_and_none_runs(shift: Shift) -> None:
    reply = asked(shift, TimerKind.FIRE_WATCH, time=minutes(29))
    assert isinstance(reply, Refusal)
    assert "1910.252" in reply.rule
    assert shift.pacing.left("fire watch") is None
    assert isinstance(asked(shift, TimerKind.FIRE_WATCH, time=minutes(30)), Answer)
    assert "asks sixty minutes" in said(asked(shift, TimerKind.FIRE_WATCH, time=minutes(45)))


def test_half_and_end_are_said_and_are_on_record(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    assert shift.go_on(1799) == []
    (half,) = shift.go_on(2)
    assert not half.alarm
    (over,) = shift.go_on(1800)
    assert over.alarm
    assert "look once more" in " ".join(over.sentences).lower()
    assert shift.kinds() == ["timer started", "timer half", "timer ended"]
    assert shift.logbook.entries()[0].detail.count("NFPA 51B")


def test_a_watch_survives_a_restart_with_the_time_that_went_by(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    shift.go_on(600)
    shift.clocks.wall += 300  # off for five minutes
    shift.clocks.now = 3.0  # a clock that only moves forward begins anew
    shift.restart()
    assert shift.pacing.left("fire watch") == pytest.approx(3600 - 900, abs=2)
    assert "fire watch, forty five minutes left" in shift.said()


def test_a_watch_that_ended_while_the_helper_was_off_is_told_at_once(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    shift.clocks.wall += 4000
    shift.restart()
    assert shift.told[0].alarm
    assert "fire watch went off while i was off" in shift.said()
    assert shift.pacing.times.shown()[0].ringing


def test_a_clock_set_back_while_off_takes_no_time_off_the_watch(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    shift.go_on(600)
    asked(shift, TimerKind.PREHEAT, time=minutes(1))  # written at ten minutes
    shift.clocks.wall -= 7200
    shift.restart()
    assert shift.pacing.left("fire watch") == pytest.approx(3000, abs=2)
    assert "clock of this machine was set back" in shift.said()


def test_a_clock_that_jumps_while_it_runs_moves_no_timer_nor_its_restart(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    shift.go_on(60)
    shift.clocks.wall += 86400
    shift.go_on(60)
    assert shift.said().count("clock of this machine jumped") == 1
    assert "clock" in shift.kinds()
    assert shift.pacing.left("fire watch") == pytest.approx(3480)
    shift.restart()
    assert shift.pacing.left("fire watch") == pytest.approx(3480, abs=2)


def test_stopping_a_watch_early_asks_first_and_any_other_time_stops_at_once(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    question = asked(shift, TimerKind.FIRE_WATCH, PaceAct.STOP)
    assert isinstance(question, Question)
    assert question.options == ("yes", "no")
    assert shift.pacing.left("fire watch") is not None
    assert question.request is not None
    assert question.yes_to is not None
    another = YesTo(YesKind.END_WATCH, TimerKind.MONITORING.value)
    for wrong in (another, YesTo(YesKind.COATING, question.yes_to.of)):
        unmeant = replace(question.request, confirmed=(wrong,))
        assert isinstance(shift.pacing.reply(unmeant, Kept()), Question)
    confirmed = replace(question.request, confirmed=(question.yes_to,))
    assert "stopped with" in said(shift.pacing.reply(confirmed, Kept()))
    assert shift.pacing.left("fire watch") is None
    assert shift.kinds()[-1] == "timer stopped"
    asked(shift, TimerKind.PREHEAT, time=minutes(2))
    assert "stopped with" in said(asked(shift, None, PaceAct.STOP))


def test_stop_the_timer_takes_what_rings_and_leaves_what_runs(shift: Shift) -> None:
    asked(shift, TimerKind.FIRE_WATCH)
    asked(shift, TimerKind.PREHEAT, time=registry.Quantity(10.0, "second"))
    shift.go_on(12)
    assert "preheat is taken" in said(asked(shift, None, PaceAct.STOP))
    assert [timer.name for timer in shift.pacing.times.shown()] == ["fire watch"]


def test_which_of_two_running_times_is_asked(shift: Shift) -> None:
    asked(shift, TimerKind.CYLINDER_CHECK, time=minutes(30))
    asked(shift, TimerKind.TIMER, time=minutes(5))
    question = asked(shift, None, PaceAct.STOP)
    assert isinstance(question, Question)
    assert set(question.options) == {"stop the cylinder check", "stop the timer"}


def test_a_time_without_its_length_is_asked_for_and_one_of_a_day_is_not_kept(shift: Shift) -> None:
    for kind in (TimerKind.PREHEAT, TimerKind.WORK, TimerKind.CYLINDER_CHECK, TimerKind.TIMER):
        assert isinstance(asked(shift, kind), Question), kind
    assert isinstance(asked(shift, TimerKind.WORK, time=minutes(30)), Question)
    assert isinstance(asked(shift, TimerKind.TIMER, time=minutes(60 * 24)), Question)
    assert isinstance(asked(shift, TimerKind.TIMER, time=registry.Quantity(1.0, "s")), Question)
    assert shift.pacing.times.shown() == ()


def test_a_step_list_starts_a_time_and_sees_how_much_is_left(shift: Shift) -> None:
    assert shift.pacing.begin(Timing("needle watch", 5.0, waits=True))
    assert shift.pacing.left("needle watch") == 300
    shift.go_on(300)
    assert shift.pacing.left("needle watch") == 0
    assert "needle watch, time is up" in shift.said()
    assert shift.pacing.left("something else") is None


def test_a_jump_while_nothing_runs_is_on_record_and_not_said(shift: Shift) -> None:
    shift.clocks.wall -= 3600
    assert shift.go_on(10) == []
    assert shift.kinds() == ["clock"]


def test_no_time_is_kept_where_no_helper_runs_to_tell_of_it(tmp_path: Path) -> None:
    shift = Shift(tmp_path)
    other = Shift(tmp_path / "once")
    other.pacing.times._runs = False
    reply = asked(other, TimerKind.FIRE_WATCH)
    assert isinstance(reply, Refusal)
    assert other.pacing.left("fire watch") is None
    assert shift.pacing.times.runs


def test_a_disk_that_refuses_costs_the_restart_and_not_the_time(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: object) -> None:
        raise SettingsError("Cannot keep the timers: the disk is full.")

    monkeypatch.setattr(shift.pacing.times._file, "write", full)
    assert "ends with the helper" in said(asked(shift, TimerKind.FIRE_WATCH))
    assert shift.pacing.left("fire watch") == 3600


@pytest.mark.parametrize("content", ["", "[]", '{"at": 1}', '{"at": 1, "timers": [{}]}', "\x00"])
def test_a_spoilt_file_is_named_with_what_to_do(shift: Shift, content: str) -> None:
    (shift.folder / TIMERS_FILE).write_text(content, encoding="utf-8")
    shift.restart()
    told: list[Failed] = []
    shift.faults.tell_to(told.append)
    assert [TIMERS_FILE in fault.sentence for fault in told] == [True]
    assert "set a fire watch anew" in told[0].sentence
    assert shift.pacing.times.runs  # and a time can be set all the same
    assert isinstance(asked(shift, TimerKind.FIRE_WATCH), Answer)


def test_the_page_is_told_of_every_change(shift: Shift) -> None:
    before = shift.changes
    asked(shift, TimerKind.FIRE_WATCH)
    assert shift.changes > before
    assert [(t.name, round(t.left)) for t in shift.pacing.times.shown()] == [("fire watch", 3600)]


def test_a_fault_in_keeping_time_is_told_and_time_goes_on(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[TurnEvent] = []
    keeping = KeepingTime(shift.pacing, told.append, PageBoard())
    monkeypatch.setattr("handsfree.pacing.clock_thread.LOOKS_UP_S", 0.0)
    asked(shift, TimerKind.PREHEAT, time=registry.Quantity(10.0, "second"))

    def broken() -> tuple[Due, ...]:
        raise ZeroDivisionError

    with monkeypatch.context() as patched:
        patched.setattr(shift.pacing.times, "due", broken)
        keeping.look()
    assert isinstance(told[0], Failed)
    assert "ZeroDivisionError" in told[0].sentence
    shift.clocks.go_on(11)
    keeping.look()
    assert isinstance(told[1], Due)


def test_the_thread_tells_what_is_due_and_ends(shift: Shift) -> None:
    told: list[TurnEvent] = []
    board = PageBoard()
    with KeepingTime(shift.pacing, told.append, board):
        asked(shift, TimerKind.TIMER, time=registry.Quantity(10.0, "second"))
        assert [timer.name for timer in board.latest().timers] == ["timer"]
        shift.clocks.go_on(11)
        asked(shift, TimerKind.REST, time=minutes(5))  # a change wakes the thread
        until(lambda: bool(told))
    assert isinstance(told[0], Due)
    assert "time is up" in " ".join(told[0].sentences)
