"""What is led and timed, as notes for the logbook."""

from dataclasses import dataclass, field, replace
from typing import Final, cast

from handsfree.values import Told
from handsfree.values.clean_text import clean_text, clean_values
from handsfree.values.record import RecordDetail, RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark
from handsfree.values.timing import Running, TimeNews, TimeNewsKind

_ENDS: Final = {
    ListEnd.BEGUN: RecordKind.LIST_BEGUN,
    ListEnd.FINISHED: RecordKind.LIST_DONE,
    ListEnd.NOT_FINISHED: RecordKind.LIST_STOPPED,
    ListEnd.PUT_ASIDE: RecordKind.LIST_ASIDE,
    ListEnd.TAKEN_UP: RecordKind.LIST_TAKEN_UP,
}
_NEWS: Final = {
    TimeNewsKind.HALF: (RecordKind.TIMER_HALF, "{}: half is over"),
    TimeNewsKind.OVER: (RecordKind.TIMER_ENDED, "{}: the time is up"),
    TimeNewsKind.LATE: (RecordKind.TIMER_ENDED, "{}: the time was up while the helper was off"),
    TimeNewsKind.STILL: (RecordKind.ALARM, "{}: the time is up, and nobody has taken it"),
}
MINUTE_S: Final = 60.0


@dataclass(frozen=True, slots=True)
class Note:
    """What `Logbook.note` writes down, but for the time.

    Attributes:
        kind: what the entry tells.
        heard: the words.
        understood: what they came to.
        said: what was spoken for it.
        detail: the rest.
    """

    kind: RecordKind
    heard: str = ""
    understood: str = ""
    said: str = ""
    detail: RecordDetail = field(default_factory=RecordDetail)


Noted = Note | Confirmed | ListMark | TimeNews


def clean_entry(entry: Told | Note) -> Told | Note:
    """The entry with text that the logbook can hold, also where a door let other text in."""
    if isinstance(entry, Told):
        return replace(
            entry,
            heard=clean_text(entry.heard),
            understood=clean_text(entry.understood),
            sentences=tuple(map(clean_text, entry.sentences)),
            cautions=tuple(map(clean_text, entry.cautions)),
        )
    return Note(
        entry.kind,
        clean_text(entry.heard),
        clean_text(entry.understood),
        clean_text(entry.said),
        cast(RecordDetail, clean_values(entry.detail)),
    )


def note_of(happened: Noted) -> Note:
    """An answer to a step, the beginning or end of a list, or news of a time, as a note."""
    match happened:
        case Note():
            return happened
        case TimeNews(news, running):
            kind, told = _NEWS[news]
            return timer_note(kind, running, understood=told.format(running.name))
        case Confirmed():
            return Note(
                RecordKind.STEP if happened.right else RecordKind.NOT_PASSED,
                happened.heard,
                happened.came_to,
                " ".join(part for part in (happened.say, happened.ask) if part),
                {
                    "list": happened.list_key,
                    "title": happened.list_title,
                    "run": happened.run,
                    "step": happened.number,
                    "steps": happened.of,
                    "right": happened.right,
                    "sources": (happened.source,) if happened.source else (),
                },
            )
        case ListMark():
            return Note(
                _ENDS[happened.how],
                understood=f"{happened.list_title}: {happened.how}",
                detail={
                    "list": happened.list_key,
                    "title": happened.list_title,
                    "run": happened.run,
                    "steps": happened.of,
                    "confirmed": happened.confirmed,
                    "open": happened.open_steps,
                    "cautions": happened.cautions,
                },
            )


def timer_note(
    kind: RecordKind, running: Running, *, heard: str = "", understood: str = "", said: str = ""
) -> Note:
    """A time that was begun, stopped or has rung, as a note.

    >>> from handsfree.values.timing import Running
    >>> watch = Running("fire watch", 3600.0, ends=4000.0, run="1")
    >>> timer_note(RecordKind.TIMER_STARTED, watch).understood
    'fire watch: 60 minutes'
    """
    minutes = round(running.seconds / MINUTE_S, 2)
    return Note(
        kind,
        heard,
        understood or f"{running.name}: {minutes:g} minutes",
        said,
        {
            "name": running.name,
            "run": running.run,
            "minutes": minutes,
            "sources": (running.rule,) if running.rule else (),
        },
    )
