"""What a printed hot-work record holds: lists with their answers, times, refusals, what is open."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from handsfree.logbook.chain import Chain

TITLE: Final = "Hot-work record"
NO_PERMIT: Final = "A record, not a permit."
DEFERENCE: Final = (
    "It allows nothing, and replaces no permit, no fire watch and no trained person. The permit,"
    " the employer's procedure and the local code come first. It holds what the helper said, what"
    " it heard and what that came to; whether it was so, only those who were there can say."
)
NOTHING_OPEN: Final = "Nothing is open on this record."


class ListState(StrEnum):
    """How a list stands."""

    FINISHED = "finished"
    NOT_FINISHED = "not finished"
    PUT_ASIDE = "put aside, not finished"
    NO_END = "no end on this record"


@dataclass(frozen=True, slots=True)
class Head:
    """What stands above the record; what is not given is a line to be written on.

    Attributes:
        place: where the work is.
        who: who works there.
        permit: number of the permit.
    """

    place: str = ""
    who: str = ""
    permit: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One entry in the words of the record.

    Attributes:
        number: of the entry in the logbook.
        day: on which day, ISO 8601.
        time: at which local time, to the second.
        kind: of the entry.
        heard: the words.
        came_to: what they came to.
        said: what the helper said.
        right: a step that is confirmed; None for what is no step.
        step: number of the step; 0 for what is none.
        figures: what was answered in digits, with how far each is to be trusted.
        source: where the step or the figure is from.
    """

    number: int
    day: str
    time: str
    kind: str
    heard: str
    came_to: str
    said: str
    right: bool | None = None
    step: int = 0
    figures: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class ListRun:
    """One leading of a list.

    Attributes:
        title: of the list.
        begun: day and time; empty when that is before the record.
        ended: day and time of its end; empty when it has none.
        state: how it stands.
        confirmed: how many steps are confirmed.
        of: how many it has; 0 when that is not on record.
        answers: every answer, right or not, in order.
        breaks: when it was put aside and taken up again, in order.
        open: the steps that are not confirmed, as they are said.
    """

    title: str
    begun: str
    ended: str
    state: ListState
    confirmed: int
    of: int
    answers: tuple[Line, ...]
    breaks: tuple[Line, ...]
    open: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TimerRun:
    """One time that ran.

    Attributes:
        name: what it was for.
        minutes: how long it was set for; None when that is not on record.
        begun: day and time; empty when that is before the record.
        half: likewise, when half was said.
        ended: likewise, when it was up or was stopped.
        stopped: it was stopped before its end.
        rule: why so long.
        open: it has no end on record, or a watch for fire was stopped before its end.
    """

    name: str
    minutes: float | None
    begun: str
    half: str
    ended: str
    stopped: bool
    rule: str
    open: bool


@dataclass(frozen=True, slots=True)
class Drawn:
    """The picture of one reply.

    Attributes:
        day: on which day it was told, ISO 8601.
        time: at which local time, to the second.
        told: what the reply was about.
        picture: an SVG document.
    """

    day: str
    time: str
    told: str
    picture: str


@dataclass(frozen=True, slots=True)
class Record:
    """A printable record of some days.

    Attributes:
        head: place, who, permit.
        days: the days that it covers, as they are shown.
        offset: of the local times from UTC, as the entries have it.
        open: everything that is open, in sentences.
        lists: in the order in which they were begun.
        timers: likewise.
        alarms: alarms, and a clock that jumped.
        refusals: what was refused.
        answers: settings and other answers.
        sketches: pictures of planned cuts and of lists of work.
        results: measured travel, how cuts came out, practice.
        cautions: each caution that was told, once.
        shown: how many entries it is made of.
        left_out: what was asked to be left out; empty for the whole of these days.
        chain: how the logbook stands.
        made: when it was printed: day, time and offset.
    """

    head: Head
    days: str
    offset: str
    open: tuple[str, ...]
    lists: tuple[ListRun, ...]
    timers: tuple[TimerRun, ...]
    alarms: tuple[Line, ...]
    refusals: tuple[Line, ...]
    answers: tuple[Line, ...]
    sketches: tuple[Drawn, ...]
    results: tuple[Line, ...]
    cautions: tuple[str, ...]
    shown: int
    left_out: str
    chain: Chain
    made: str
