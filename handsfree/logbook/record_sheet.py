"""Lays a record out as blocks in their order, which HTML and PDF print alike."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from handsfree.logbook.chain import SHOWN
from handsfree.logbook.record import (
    DEFERENCE,
    NO_PERMIT,
    NOTHING_OPEN,
    Drawn,
    Line,
    ListRun,
    ListState,
    Record,
    TimerRun,
)
from handsfree.values.record import RecordKind


@dataclass(frozen=True, slots=True)
class Fields:
    """Names with their values; an empty value is a line to be written on."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Heading:
    """What follows; `level` 2 opens a part, 3 a list in it.

    Attributes:
        text: the words of it.
        level: as above.
        keeps: how much of a page of paper has to be left for it and what follows, in mm.
    """

    text: str
    level: int = 2
    keeps: float = 26.0


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; a strong one must not be overlooked."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """Lines in a heavy frame, each with an empty square when it waits to be closed."""

    lines: tuple[str, ...]
    squares: bool


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under their columns.

    Attributes:
        columns: title and share of the width, in hundredths, of each.
        rows: the cells of each row.
        heavy: which rows are set strong.
    """

    columns: tuple[tuple[str, int], ...]
    rows: tuple[tuple[str, ...], ...]
    heavy: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Pictures:
    """Pictures side by side, each an SVG document under a line that tells what it is."""

    drawn: tuple[tuple[str, str], ...]


Block = Fields | Heading | Text | Box | Table | Pictures

_LETTERS: Final = re.compile(r"\b[A-Za-z](?: [A-Za-z]\b){2,}")
NONE: Final = "None on record."
PICTURE_ROOM: Final = 125.0  # mm, for a heading and the first row of pictures
AS_TOLD: Final = "Drawn for the tips and the rig that were kept then. Measure the work itself."
NOT_PASSED: Final = "DID NOT PASS"
CONFIRMED: Final = "confirmed"
_BREAKS: Final = {
    RecordKind.LIST_ASIDE: "put aside for something that came first",
    RecordKind.LIST_TAKEN_UP: "taken up again",
}
_STEPS: Final = (
    ("Step", 7),
    ("What the helper said", 38),
    ("Heard", 17),
    ("Came to", 14),
    ("Result", 12),
    ("Time", 12),
)
_TIMERS: Final = (
    ("For", 16),
    ("Set for", 10),
    ("Begun", 12),
    ("Half", 12),
    ("Up or stopped", 18),
    ("Rule", 32),
)
_TOLD: Final = (("Time", 12), ("Heard", 26), ("Came to", 26), ("Said", 36))
_ANSWERS: Final = (
    ("Time", 12),
    ("Heard", 25),
    ("Understood", 25),
    ("Answer, and how far it is known", 38),
)


def sheet(record: Record) -> Iterator[Block]:
    """The blocks of a record."""
    yield Fields(
        (
            ("Place", record.head.place),
            ("Day", record.days),
            ("Who", record.head.who),
            ("Permit number", record.head.permit),
        )
    )
    yield Text(NO_PERMIT, strong=True)
    yield Text(DEFERENCE)
    if record.left_out:
        yield Text(f"Not the whole of these days: {record.left_out}.", strong=True)
    yield Heading("Open")
    yield from _open(record)
    yield Heading("Lists that were led")
    if not record.lists:
        yield Text(NONE)
    sources = {line.source: None for each in record.lists for line in each.answers if line.source}
    numbers = {source: number for number, source in enumerate(sources, 1)}
    for each in record.lists:
        yield from _list_run(each, numbers)
    yield Heading("Times that were kept")
    if record.timers:
        yield _timers(record.timers, _one_day(record))
    else:
        yield Text(NONE)
    yield Heading("Alarms")
    yield _told(record.alarms, record) if record.alarms else Text(NONE)
    yield Heading("Refused")
    yield _told(record.refusals, record) if record.refusals else Text(NONE)
    if record.answers:
        yield Heading("Asked and answered")
        yield _answers(record.answers, record)
    if record.sketches:
        yield Heading("Sketches of what was answered", keeps=PICTURE_ROOM)
        yield Text(AS_TOLD)
        yield Pictures(tuple(_drawn(each, record) for each in record.sketches))
    if record.results:
        yield Heading("Measured travel, results and practice")
        yield _told(record.results, record)
    yield Heading("Cautions that were told")
    for caution in map(_written, record.cautions or (NONE,)):
        yield Text(caution)
    if numbers:
        yield Heading("Where the steps are from")
        for source, number in numbers.items():
            yield Text(f"[{number}] {source}")
    yield from _logbook(record)


def _open(record: Record) -> Iterator[Block]:
    if record.chain.broken_at is not None:
        yield Box((f"The logbook is not as it was written. {record.chain.told}",), squares=False)
    if record.open:
        yield Box(record.open, squares=True)
    else:
        yield Text(NOTHING_OPEN)


def _list_run(run: ListRun, numbers: Mapping[str, int]) -> Iterator[Block]:
    count = f"{run.confirmed} of {run.of}" if run.of else str(run.confirmed)
    state = str(run.state) if run.state is ListState.FINISHED else str(run.state).upper()
    yield Heading(f"{run.title}: {state}", level=3)
    ended = f", ended {run.ended}" if run.ended else ""
    yield Text(f"{count} steps confirmed. Begun {run.begun or 'before this record'}{ended}.")
    if run.answers:
        yield Table(
            _STEPS,
            tuple(
                (
                    str(line.step or ""),
                    _with_source(line, numbers),
                    line.heard,
                    line.came_to,
                    CONFIRMED if line.right else NOT_PASSED,
                    line.time,
                )
                for line in run.answers
            ),
            frozenset(at for at, line in enumerate(run.answers) if not line.right),
        )
    for line in run.breaks:
        yield Text(f"{line.day} {line.time}: {_BREAKS.get(RecordKind(line.kind), line.kind)}.")
    if run.open:
        yield Box(run.open, squares=True)


def _drawn(drawn: Drawn, record: Record) -> tuple[str, str]:
    when = drawn.time if _one_day(record) else f"{drawn.day} {drawn.time}"
    return f"{when}  {drawn.told}", drawn.picture


def _with_source(line: Line, numbers: Mapping[str, int]) -> str:
    return f"{line.said} [{numbers[line.source]}]" if line.source else line.said


def _with_rule(line: Line) -> str:
    said = _written(line.said)
    return f"{said} [{line.source}]" if line.source and line.kind == RecordKind.REFUSAL else said


def _written(said: str) -> str:
    """What was spoken, with the letters that a voice says one by one put together again.

    >>> _written("Fifteen p s i. The rule is twenty nine C F R nineteen ten.")
    'Fifteen psi. The rule is twenty nine CFR nineteen ten.'
    """
    return _LETTERS.sub(lambda found: found[0].replace(" ", ""), said)


def _timers(timers: Iterable[TimerRun], one_day: bool) -> Table:
    rows, heavy = list[tuple[str, ...]](), set[int]()
    for at, timer in enumerate(timers):
        if timer.ended:
            ended = _short(timer.ended, one_day)
            end = f"STOPPED EARLY {ended}" if timer.stopped else f"up {ended}"
        else:
            end = "NO END ON THIS RECORD"
        if timer.open:
            heavy.add(at)
        rows.append(
            (
                timer.name,
                "" if timer.minutes is None else f"{timer.minutes:g} min",
                _short(timer.begun, one_day),
                _short(timer.half, one_day),
                end,
                timer.rule,
            )
        )
    return Table(_TIMERS, tuple(rows), frozenset(heavy))


def _told(lines: Iterable[Line], record: Record) -> Table:
    return Table(
        _TOLD,
        tuple(
            (_time(line, record), line.heard, _written(line.came_to), _with_rule(line))
            for line in lines
        ),
    )


def _answers(lines: Iterable[Line], record: Record) -> Table:
    return Table(
        _ANSWERS,
        tuple(
            (
                _time(line, record),
                line.heard,
                _written(line.came_to),
                line.figures or _written(line.said),
            )
            for line in lines
        ),
    )


def _logbook(record: Record) -> Iterator[Block]:
    chain = record.chain
    yield Heading("The logbook")
    yield Text(chain.told, strong=chain.broken_at is not None)
    if chain.seal:
        seal = chain.seal[:SHOWN]
        yield Text(
            f"Last entry {chain.last}, sealed {seal}. While this seal is found in the logbook by "
            f"'handsfree record --holds {seal}' and its chain is whole, what is printed here is as "
            "it was written."
        )
    yield Text(
        f"Made {record.made} from {record.shown} entries, whose times are local: {record.offset}."
        if record.shown
        else f"Made {record.made}. It has no entries."
    )
    yield Fields((("Read by", ""), ("On", "")))


def _one_day(record: Record) -> bool:
    return " to " not in record.days


def _time(line: Line, record: Record) -> str:
    return line.time if _one_day(record) else f"{line.day} {line.time}"


def _short(moment: str, one_day: bool) -> str:
    return moment[11:] if one_day else moment
