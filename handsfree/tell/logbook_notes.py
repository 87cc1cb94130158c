"""What is led and timed, as notes for the logbook."""

from dataclasses import dataclass, field
from typing import Final

from handsfree.values.record import RecordDetail, RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark

_ENDS: Final = {
    ListEnd.BEGUN: RecordKind.LIST_BEGUN,
    ListEnd.FINISHED: RecordKind.LIST_DONE,
    ListEnd.NOT_FINISHED: RecordKind.LIST_STOPPED,
    ListEnd.PUT_ASIDE: RecordKind.LIST_ASIDE,
    ListEnd.TAKEN_UP: RecordKind.LIST_TAKEN_UP,
}


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


def note_of(happened: Confirmed | ListMark) -> Note:
    """An answer to a step, or the beginning or end of a list, as a note."""
    match happened:
        case Confirmed():
            return Note(
                RecordKind.STEP if happened.right else RecordKind.NOT_PASSED,
                happened.heard,
                happened.came_to,
                happened.say,
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
                },
            )
