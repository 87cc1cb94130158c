"""Keeps the times that run: begun and stopped by word or by a step list, told when they are due."""

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from handsfree.dialogue.timers import begun, due, named, next_due, resumed, ringing, without
from handsfree.engine import tables
from handsfree.errors import SettingsError
from handsfree.logbook.notes import Note, timer_note
from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing.clocks import ClockWatch
from handsfree.store.local_time import local_time
from handsfree.store.pace_files import TimersFile
from handsfree.values import (
    YES_OR_NO,
    Answer,
    Due,
    Failed,
    Mended,
    Part,
    Question,
    Refusal,
    Reply,
    Request,
    YesKind,
    YesTo,
)
from handsfree.values.record import RecordKind
from handsfree.values.reply import Asks
from handsfree.values.timing import (
    PaceAct,
    Paced,
    Running,
    TimeNews,
    TimeNewsKind,
    Timer,
    TimerKind,
)
from handsfree.values.units import Quantity
from handsfree.wording.pace import (
    CLOCK_WENT_BACK,
    clock_jumped_said,
    left_said,
    news_said,
    time_words,
)

SHORTEST_S: Final = 5.0
LONGEST_S: Final = 12 * 3600.0
CLOCK_CREEPS_S: Final = 2.0  # the file follows a clock that was set by more
CLOCK_JUMP_S: Final = 30.0  # less is a clock that is being set right little by little
CLOCK_SHOWN_S: Final = 60.0
ROOFING: Final = "torch-applied roofing"  # a watch that no cut asks for
LEAST_WATCH: Final = "general industry"
NOT_RUNNING: Final = "I keep time while the helper runs."
START_IT: Final = "Start it with the word handsfree alone, then say that again."
NO_TIMER: Final = "No timer runs."
NOT_KEPT: Final = "It runs, but it could not be written down: it ends with the helper."
WATCHES: Final = frozenset({TimerKind.FIRE_WATCH.value, TimerKind.MONITORING.value})
_HOW_LONG: Final = {
    TimerKind.PREHEAT: "How long? Say, preheat timer for, and the time.",
    TimerKind.WORK: "How long is the work, and how long the rest? Say, work rest, and both.",
    TimerKind.REST: "How long? Say, rest for, and the time.",
    TimerKind.CYLINDER_CHECK: "How often? Say, cylinder check every, and the time.",
    TimerKind.TIMER: "How long? Say, set a timer for, and the time.",
}
_RULES: Final = {
    TimerKind.FIRE_WATCH: tables.fire_watches,
    TimerKind.MONITORING: tables.fire_monitoring,
    TimerKind.UPRIGHT: tables.upright_waits,
}
_KINDS: Final = {
    TimeNewsKind.HALF: RecordKind.TIMER_HALF,
    TimeNewsKind.OVER: RecordKind.TIMER_ENDED,
    TimeNewsKind.LATE: RecordKind.TIMER_ENDED,
    TimeNewsKind.STILL: RecordKind.ALARM,
}


class Timekeeper:
    """The times of one helper; safe to call from several threads.

    Args:
        file: where they are kept.
        record: takes what happens to them into the logbook.
        clock: seconds that only move forward; every time is counted by it.
        wall: the machine's clock in seconds, by which the file is written.
    """

    def __init__(
        self,
        file: TimersFile,
        record: LogbookWriter,
        clock: Callable[[], float],
        wall: Callable[[], float],
    ) -> None:
        self._file = file
        self._record = record
        self._clock = clock
        self._wall = wall
        self._timers: tuple[Running, ...] = ()
        self._runs = False
        self._changed: Callable[[], None] = lambda: None
        self._watch = ClockWatch(clock, wall)
        self._clock_news: tuple[Failed | Mended, ...] = ()
        self._jumped_at: float | None = None  # while that is shown
        self._one = threading.RLock()

    def run(self, changed: Callable[[], None]) -> tuple[Due, ...]:
        """Keep time from now on, with what ran in an earlier run; what is to be said of that.

        Args:
            changed: called after every change, from the thread that made it.
        """
        with self._one:
            now = self._clock()
            self._runs, self._changed = True, changed
            kept, went_back = self._file.read(now, self._wall())
            self._timers, late = resumed(kept, now)
            told = [self._due(news, now) for news in late]
            running = [timer for timer in self._timers if not timer.rung]
            if running:
                said = tuple(f"{left_said(timer, now)}" for timer in running)
                told.append(Due(said))
            if went_back and kept:
                told.append(Due((CLOCK_WENT_BACK,)))
            if kept:
                self._keep()
            return tuple(told)

    @property
    def runs(self) -> bool:
        """Whether there is a helper that can tell when a time is over."""
        return self._runs

    def begin(
        self,
        name: str,
        seconds: float,
        *,
        rule: str = "",
        repeats: bool = False,
        then: tuple[str, float] | None = None,
    ) -> bool:
        """Let a time run, in place of one of the same name.

        Args:
            name: what it is for.
            seconds: how long.
            rule: as in `Running`.
            repeats: likewise.
            then: likewise.

        Returns:
            Whether it was written down, so that it outlives the helper.
        """
        with self._one:
            now = self._clock()
            run = local_time(self._wall()).isoformat(timespec="seconds")
            timer = Running(
                name, seconds, now + seconds, rule=rule, run=run, repeats=repeats, then=then
            )
            self._timers = begun(self._timers, timer)
            self._record.put(timer_note(RecordKind.TIMER_STARTED, timer))
            return self._keep()

    def left(self, name: str) -> float | None:
        """Seconds that are left of a time; 0 once it is over, None when there is none."""
        with self._one:
            timer = named(self._timers, name)
            return None if timer is None else max(0.0, timer.left(self._clock()))

    def shown(self) -> tuple[Timer, ...]:
        """The times for the page, those that end first first."""
        with self._one:
            now = self._clock()
            ordered = sorted(self._timers, key=lambda timer: timer.ends)
            return tuple(Timer(each.name, each.left(now), bool(each.rung)) for each in ordered)

    def until_due(self) -> float | None:
        """Seconds until something is to be told; None when nothing runs."""
        with self._one:
            moment = next_due(self._timers)
            return None if moment is None else max(0.0, moment - self._clock())

    def due(self) -> tuple[Due, ...]:
        """What is to be said now; a machine's clock that jumped is followed by the file."""
        with self._one:
            now = self._clock()
            was = self._timers
            self._timers, news = due(self._timers, now)
            told = tuple(self._due(each, now) for each in news)
            jump = self._watch.jump()
            if self._timers != was or (abs(jump) > CLOCK_CREEPS_S and self._timers):
                self._keep()
            return (*told, *self._jumped(jump, now))

    def clock_news(self) -> tuple[Failed | Mended, ...]:
        """What `due` has found since of the machine's clock, to be shown: a jump, then its end."""
        with self._one:
            news, self._clock_news = self._clock_news, ()
            return news

    def _jumped(self, jump: float, now: float) -> tuple[Due, ...]:
        """A jump of the machine's clock is recorded and shown, and is said where a time runs."""
        if abs(jump) < CLOCK_JUMP_S:
            if self._jumped_at is not None and now - self._jumped_at >= CLOCK_SHOWN_S:
                self._jumped_at = None
                self._clock_news += (Mended(Part.CLOCK),)
            return ()
        self._jumped_at = now
        said = clock_jumped_said(jump)
        told = " ".join(said)
        self._record.put(Note(RecordKind.CLOCK, said=told))
        self._clock_news += (Failed(Part.CLOCK, told),)
        return (Due(said[:2]),) if self._timers else ()

    def _due(self, news: TimeNews, now: float) -> Due:
        said = news_said(news, now)
        self._record.put(timer_note(_KINDS[news.kind], news.of, said=" ".join(said)))
        quiet = news.kind is TimeNewsKind.HALF or news.of.name == TimerKind.PREHEAT.value
        return Due(said, alarm=not quiet)

    def _keep(self) -> bool:
        try:
            self._file.write(self._timers, self._clock(), self._wall())
        except SettingsError:
            return False
        finally:
            self._changed()
        return True

    # --- by word --------------------------------------------------------------------------------

    def reply(self, request: Request, usual_preheat: Quantity | None) -> Reply:
        """The reply to a request about a timer, once it is done.

        Args:
            request: what is asked.
            usual_preheat: of the cut that was asked about last, the long end; None for none.
        """
        paced = request.paced
        if paced is None or not self._runs:
            return Refusal(request, NOT_RUNNING, instead=(*_asked_by_rule(paced), START_IT))
        with self._one:
            match paced.act:
                case PaceAct.STOP:
                    return self._stop(request, paced)
                case PaceAct.LEFT:
                    return self._left(request, paced)
                case _:
                    return self._begin(request, paced, usual_preheat)

    def _begin(self, request: Request, paced: Paced, usual_preheat: Quantity | None) -> Reply:
        kind = paced.timer or TimerKind.TIMER
        if kind in _RULES:
            return self._by_rule(request, paced, kind)
        time = paced.time
        sources: tuple[str, ...] = ()
        said: tuple[str, ...] = ()
        if kind is TimerKind.PREHEAT:
            if time is None and usual_preheat is not None:
                time, sources = usual_preheat, ("trade_memory",)
            said = ("Bright red decides, not the clock.",)
        if time is None or (kind is TimerKind.WORK and paced.rest is None):
            return Question(request, Asks.TIME, _HOW_LONG[kind])
        seconds = float(time.m_as("second"))
        rest = None if paced.rest is None else float(paced.rest.m_as("second"))
        if any(not SHORTEST_S <= each <= LONGEST_S for each in (seconds, rest or seconds)):
            return _implausible(request)
        if kind is TimerKind.CYLINDER_CHECK:
            kept = self.begin(kind.value, seconds, repeats=True)
            return _begun(request, f"Every {time_words(seconds)}, until you stop it.", kept)
        if kind is TimerKind.WORK and rest is not None:
            kept = self.begin(kind.value, seconds, then=(TimerKind.REST.value, rest))
            turns = f"Work, {time_words(seconds)}, then rest, {time_words(rest)}, turn by turn."
            return _begun(request, turns, kept)
        kept = self.begin(kind.value, seconds)
        return _begun(request, f"It runs, {time_words(seconds)}.", kept, *said, sources=sources)

    def _by_rule(self, request: Request, paced: Paced, kind: TimerKind) -> Reply:
        """A time for which rules speak: the longest that applies, and never below the law's own."""
        rows = _RULES[kind]()
        applies, longest = next(row for row in rows if row[0] != ROOFING)
        most = float(longest.value.m_as("second"))
        seconds = most if paced.time is None else float(paced.time.m_as("second"))
        if kind is TimerKind.FIRE_WATCH:
            least = next(listed for name, listed in rows if name == LEAST_WATCH)
            if seconds < float(least.value.m_as("second")):
                return Refusal(
                    request,
                    f"A fire watch is never shorter than {time_words(least.value.m_as('second'))}.",
                    tables.duty("fire_watch_general_industry").cite,
                    ("Set the fire watch without a time, or for longer.",),
                    (least.source,),
                )
        if not SHORTEST_S <= seconds <= LONGEST_S:
            return _implausible(request)
        rule = f"{time_words(most)}: {applies}"
        if seconds < most:
            why = (
                f"{applies[:1].upper()}{applies[1:]}, asks {time_words(most)}. Your permit decides."
            )
        elif kind is TimerKind.UPRIGHT:
            why = f"The longest that is told, {applies}."
        else:
            why = f"By {applies}. Your permit may ask for more."
        kept = self.begin(kind.value, seconds, rule=rule)
        runs = f"It runs, {time_words(seconds)}."
        return _begun(request, runs, kept, why, sources=(longest.source,))

    def _left(self, request: Request, paced: Paced) -> Reply:
        now = self._clock()
        wanted = self._timers
        if paced.timer is not None:
            found = named(self._timers, paced.timer.value)
            wanted = (found,) if found is not None else ()
            if found is None and not self._timers:
                return Answer(request, technique=(NO_TIMER,))
            if found is None:
                return Answer(request, technique=(f"No {paced.timer.value} runs.",))
        said = tuple(left_said(timer, now) for timer in sorted(wanted, key=lambda t: t.ends))
        return Answer(request, technique=said or (NO_TIMER,))

    def _stop(self, request: Request, paced: Paced) -> Reply:
        found = self._meant(paced)
        if isinstance(found, str):
            return Answer(request, technique=(found,))
        if len(found) > 1 and not all(timer.rung for timer in found):
            names = tuple(f"stop the {timer.name}" for timer in found)
            return Question(request, Asks.TIMER, "Which one?", names)
        now = self._clock()
        watch = next((t for t in found if t.name in WATCHES and not t.rung), None)
        end = YesTo(YesKind.END_WATCH, watch.name) if watch is not None else None
        if watch is not None and end not in request.confirmed:
            left = time_words(watch.left(now))
            asked = replace(request, paced=replace(paced, timer=TimerKind(watch.name)))
            prompt = f"The {watch.name} has {left} to go. Stop it all the same?"
            return Question(asked, Asks.CONFIRM, prompt, YES_OR_NO, yes_to=end)
        said = []
        for timer in found:
            if timer.rung:
                said.append(f"The {timer.name} is taken.")
            else:
                left = time_words(timer.left(now))
                said.append(f"The {timer.name} is stopped with {left} to go.")
                self._record.put(
                    timer_note(
                        RecordKind.TIMER_STOPPED, timer, understood=f"{timer.name}: {left} to go"
                    )
                )
        self._timers = without(self._timers, found)
        self._keep()
        return Answer(replace(request, defaults=()), technique=tuple(said))

    def _meant(self, paced: Paced) -> tuple[Running, ...] | str:
        """The timers that are to stop; a sentence when there is none."""
        if paced.timer is not None and paced.timer is not TimerKind.TIMER:
            found = named(self._timers, paced.timer.value)
            return (found,) if found is not None else f"No {paced.timer.value} runs."
        return ringing(self._timers) or self._timers or NO_TIMER


def _asked_by_rule(paced: Paced | None) -> tuple[str, ...]:
    """What the rules say of a time that cannot be kept here."""
    kind = None if paced is None else paced.timer
    if kind not in _RULES:
        return ()
    applies, longest = next(row for row in _RULES[kind]() if row[0] != ROOFING)
    long = time_words(float(longest.value.m_as("second")))
    return (f"The longest {kind.value} that applies is {long}, by {applies}.",)


def _begun(
    request: Request, runs: str, kept: bool, *more: str, sources: tuple[str, ...] = ()
) -> Answer:
    told = (runs, *more) if kept else (runs, *more, NOT_KEPT)
    return Answer(request, technique=told, sources=sources)


def _implausible(request: Request) -> Question:
    return Question(
        request, Asks.TIME, "I keep times from five seconds to twelve hours. How long?", again=True
    )
