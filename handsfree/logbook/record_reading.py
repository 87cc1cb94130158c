"""Reads entries of the logbook as a record: which belong together, and what is left open.

An entry whose details are missing or torn is still shown, with what it has; nothing is guessed.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from handsfree.logbook.chain import Chain
from handsfree.logbook.logbook import Entry
from handsfree.logbook.record import Head, Line, ListRun, ListState, Record, TimerRun
from handsfree.logbook.record_pictures import drawn_of
from handsfree.values.record import RecordKind
from handsfree.values.timing import TimerKind

WATCHES: Final = (TimerKind.FIRE_WATCH, TimerKind.MONITORING)  # open when they are cut short
_LISTS: Final = frozenset(
    {
        RecordKind.LIST_BEGUN,
        RecordKind.STEP,
        RecordKind.NOT_PASSED,
        RecordKind.LIST_ASIDE,
        RecordKind.LIST_TAKEN_UP,
        RecordKind.LIST_DONE,
        RecordKind.LIST_STOPPED,
    }
)
_ANSWERED: Final = frozenset({RecordKind.STEP, RecordKind.NOT_PASSED})
_STATES: Final = {
    RecordKind.LIST_ASIDE: ListState.PUT_ASIDE,
    RecordKind.LIST_TAKEN_UP: ListState.NO_END,
    RecordKind.LIST_BEGUN: ListState.NO_END,
    RecordKind.LIST_DONE: ListState.FINISHED,
    RecordKind.LIST_STOPPED: ListState.NOT_FINISHED,
}
_TIMERS: Final = frozenset(
    {
        RecordKind.TIMER_STARTED,
        RecordKind.TIMER_HALF,
        RecordKind.TIMER_ENDED,
        RecordKind.TIMER_STOPPED,
    }
)
_RESULTS: Final = frozenset({RecordKind.TRAVEL, RecordKind.RESULT, RecordKind.PRACTICE})
_ALARMS: Final = frozenset({RecordKind.ALARM, RecordKind.CLOCK, RecordKind.CHAIN})


def record_of(
    entries: Sequence[Entry],
    chain: Chain,
    head: Head,
    made: datetime,
    left_out: str = "",
) -> Record:
    """The record of these entries.

    Args:
        entries: in their order.
        chain: how the whole logbook stands.
        head: what was given for place, who and permit; entries of a shift fill what was not.
        made: now, with its time zone.
        left_out: what was left out of these days, in words.
    """
    lists = tuple(_list_runs(entries))
    timers = tuple(_timer_runs(entries))
    return Record(
        head=_head(entries, head),
        days=_days(entries),
        offset=", ".join(dict.fromkeys(f"UTC{entry.at[19:]}" for entry in entries)),
        open=tuple(_open(lists, timers)),
        lists=lists,
        timers=timers,
        alarms=_lines(entries, _ALARMS),
        refusals=_lines(entries, {RecordKind.REFUSAL}),
        answers=_lines(entries, {RecordKind.ANSWER, RecordKind.STEPS}),
        sketches=drawn_of(entries),
        results=_lines(entries, _RESULTS),
        cautions=_cautions(entries),
        shown=len(entries),
        left_out=left_out,
        chain=chain,
        made=f"{made:%Y-%m-%d %H:%M:%S} UTC{made.isoformat()[-6:]}",
    )


# --- lists ----------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Gathered:
    """Entries that belong together, as they are found."""

    entries: list[Entry] = field(default_factory=list)
    details: list[dict[str, object]] = field(default_factory=list)

    def add(self, entry: Entry, detail: dict[str, object]) -> None:
        self.entries.append(entry)
        self.details.append(detail)

    def last(self, name: str) -> object:
        """The latest of what the entries tell under this name; None when none does."""
        return next((each[name] for each in reversed(self.details) if name in each), None)


def _list_runs(entries: Iterable[Entry]) -> Iterable[ListRun]:
    gathered: dict[tuple[str, str], _Gathered] = {}
    for entry in entries:
        if entry.kind in _LISTS:
            detail = detail_of(entry)
            run = _text(detail, "list"), _text(detail, "run")
            gathered.setdefault(run, _Gathered()).add(entry, detail)
    for (key, _), found in gathered.items():
        yield _list_run(key, found)


def _list_run(key: str, found: _Gathered) -> ListRun:
    marks = [entry for entry in found.entries if entry.kind in _STATES]
    state = _STATES[RecordKind(marks[-1].kind)] if marks else ListState.NO_END
    answers = tuple(
        _line(entry, detail)
        for entry, detail in zip(found.entries, found.details, strict=True)
        if entry.kind in _ANSWERED
    )
    steps = found.last("steps")
    of = steps if isinstance(steps, int) else 0
    confirmed = {line.step: line for line in answers if line.right}
    ended = state in (ListState.FINISHED, ListState.NOT_FINISHED)
    title = found.last("title")
    return ListRun(
        title=_capital(title if isinstance(title, str) and title else key or "list without a name"),
        begun=_moment(found.entries[0].at)
        if found.entries[0].kind == RecordKind.LIST_BEGUN
        else "",
        ended=_moment(marks[-1].at) if ended else "",
        state=state,
        confirmed=len(confirmed),
        of=of,
        answers=answers,
        breaks=tuple(
            _line(entry, {})
            for entry in marks
            if entry.kind in (RecordKind.LIST_ASIDE, RecordKind.LIST_TAKEN_UP)
        ),
        open=_open_steps(found, state, {line.step: line for line in answers}, confirmed, of),
    )


def _open_steps(
    found: _Gathered,
    state: ListState,
    asked: dict[int, Line],
    confirmed: dict[int, Line],
    of: int,
) -> tuple[str, ...]:
    """The steps without a right answer; one that was never said has only its number."""
    told = found.last("open")
    if isinstance(told, list) and told:
        return tuple(str(step) for step in told)
    if state is ListState.FINISHED and len(confirmed) >= of:
        return ()
    return tuple(
        f"Step {step}: {asked[step].said}" if step in asked else f"Step {step}"
        for step in range(1, of + 1)
        if step not in confirmed
    )


# --- times ----------------------------------------------------------------------------------------


def _timer_runs(entries: Iterable[Entry]) -> Iterable[TimerRun]:
    """Each start opens a time; what follows under its name belongs to it until its end."""
    found: list[_Gathered] = []
    running: dict[tuple[str, str], _Gathered] = {}
    for entry in entries:
        if entry.kind not in _TIMERS:
            continue
        detail = detail_of(entry)
        key = _text(detail, "name"), _text(detail, "run")
        if entry.kind == RecordKind.TIMER_STARTED or key not in running:
            running[key] = _Gathered()
            found.append(running[key])
        running[key].add(entry, detail)
        if entry.kind in (RecordKind.TIMER_ENDED, RecordKind.TIMER_STOPPED):
            del running[key]
    return map(_timer_run, found)


def _timer_run(found: _Gathered) -> TimerRun:
    at = {entry.kind: _moment(entry.at) for entry in found.entries}
    name, minutes = found.last("name"), found.last("minutes")
    called = name if isinstance(name, str) and name else "a time without a name"
    ended = at.get(RecordKind.TIMER_ENDED, "")
    stopped = at.get(RecordKind.TIMER_STOPPED, "")
    return TimerRun(
        name=called,
        minutes=float(minutes) if isinstance(minutes, int | float) else None,
        begun=at.get(RecordKind.TIMER_STARTED, ""),
        half=at.get(RecordKind.TIMER_HALF, ""),
        ended=ended or stopped,
        stopped=bool(stopped),
        rule=_sources(found.details[0]),
        open=not ended and (not stopped or called in WATCHES),
    )


def _open(lists: Iterable[ListRun], timers: Iterable[TimerRun]) -> Iterable[str]:
    for each in lists:
        if each.state is not ListState.FINISHED or each.open:
            of = f" of {each.of}" if each.of else ""
            begun = f", begun {each.begun}" if each.begun else ""
            yield f"{each.title}{begun}: {each.state}, {each.confirmed}{of} steps confirmed."
    for timer in timers:
        if timer.open:
            begun = f", begun {timer.begun}" if timer.begun else ""
            how = (
                f"stopped {timer.ended}, before its end"
                if timer.stopped
                else "no end on this record"
            )
            yield f"{_capital(timer.name)}{_length(timer)}{begun}: {how}."


def _length(timer: TimerRun) -> str:
    return "" if timer.minutes is None else f" of {timer.minutes:g} minutes"


# --- the rest -------------------------------------------------------------------------------------


def _head(entries: Iterable[Entry], given: Head) -> Head:
    """What was given; what was not, as the latest entry of a shift has it."""
    told: dict[str, str] = {}
    for entry in entries:
        if entry.kind == RecordKind.SHIFT:
            detail = detail_of(entry)
            told |= {
                name: value for name in ("place", "who", "permit") if (value := _text(detail, name))
            }
    return Head(
        given.place or told.get("place", ""),
        given.who or told.get("who", ""),
        given.permit or told.get("permit", ""),
    )


def _days(entries: Sequence[Entry]) -> str:
    if not entries:
        return ""
    first, last = entries[0].at[:10], entries[-1].at[:10]
    return first if first == last else f"{first} to {last}"


def _lines(entries: Iterable[Entry], kinds: Iterable[str]) -> tuple[Line, ...]:
    wanted = frozenset(kinds)
    return tuple(_line(entry, detail_of(entry)) for entry in entries if entry.kind in wanted)


def _line(entry: Entry, detail: dict[str, object]) -> Line:
    step = detail.get("step")
    return Line(
        number=entry.number,
        day=entry.at[:10],
        time=entry.at[11:19],
        kind=entry.kind,
        heard=entry.heard,
        came_to=entry.understood,
        said=entry.said,
        right=(entry.kind == RecordKind.STEP) if entry.kind in _ANSWERED else None,
        step=step if isinstance(step, int) else 0,
        figures=_figures(detail),
        source=_sources(detail),
    )


def _figures(detail: dict[str, object]) -> str:
    """Name, digits, unit and status of each figure, in one line."""
    found = detail.get("figures")
    told = []
    for figure in found if isinstance(found, list) else ():
        if isinstance(figure, list) and len(figure) == 4:
            name, digits, unit, status = (str(part) for part in figure)
            measured = digits if unit == name else f"{digits} {unit}".strip()  # "shade 3-4", once
            told.append(f"{name.replace('_', ' ')} {measured} ({status})")
    return "; ".join(told)


def _cautions(entries: Iterable[Entry]) -> tuple[str, ...]:
    told: dict[str, None] = {}
    for entry in entries:
        found = detail_of(entry).get("cautions")
        told |= dict.fromkeys(str(each) for each in (found if isinstance(found, list) else ()))
    return tuple(told)


def detail_of(entry: Entry) -> dict[str, object]:
    """The details of an entry; none where they are no longer what was written."""
    try:
        found = json.loads(entry.detail)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _text(detail: dict[str, object], name: str) -> str:
    found = detail.get(name)
    return found if isinstance(found, str) else ""


def _sources(detail: dict[str, object]) -> str:
    found = detail.get("sources")
    return "; ".join(str(each) for each in (found if isinstance(found, list) else ()))


def _moment(at: str) -> str:
    """Day and time without the offset, which stands at the head once."""
    return f"{at[:10]} {at[11:19]}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
