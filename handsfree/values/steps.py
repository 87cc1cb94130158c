"""A list of steps that is led aloud: what is said, what may be answered, and what was confirmed."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from handsfree.values.standing import Status

EMERGENCIES: Final = (
    *("burning_person", "burning_cylinder", "flashback", "fire", "backfire", "leak"),
)
"""Step lists that begin at once, without a yes; where several are told, the first of them does."""


class Expect(StrEnum):
    """What kind of answer belongs to a step."""

    SEEN = "seen"
    """What he sees or hears, as one of the step's sights; "done" does not pass it."""
    NUMBER = "number"
    """What a gauge or a watch reads; "done" does not pass it."""
    NAMED = "named"
    """A name or a place in his own words; "done" does not pass it."""
    DONE = "done"
    """That it is done is enough; never on a safety step."""


@dataclass(frozen=True, slots=True)
class Sight:
    """Something that he may have seen when a step asks.

    Attributes:
        kind: its name, as grammar/answers.yaml fills the slot `sight` ("no bubbles").
        right: the step is confirmed by it; else the step stays, or the list branches.
        reply: said about it; empty when there is nothing to say but the next step.
        goes_to: key of the list that follows it; empty when this list goes on.
    """

    kind: str
    right: bool
    reply: str = ""
    goes_to: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """What a number may be.

    Attributes:
        measures: what is read, in the trade's words ("acetylene on the low gauge").
        unit: psi, minutes, feet...; every number of this limit is in it.
        low: the least that passes; None when there is none.
        high: the most that passes; None when there is none.
        too_low: said when it reads less.
        too_high: said when it reads more: what to do, first.
        alarm_high: reading more is a danger now: the alarm sounds first.
    """

    measures: str
    unit: str
    low: float | None = None
    high: float | None = None
    too_low: str = ""
    too_high: str = ""
    alarm_high: bool = False


@dataclass(frozen=True, slots=True)
class Timing:
    """A time that a step starts.

    Attributes:
        name: what it is for, as it is said and shown ("fire watch").
        minutes: how long.
        waits: the step is confirmed only when the time is up; else the list goes on beside it.
    """

    name: str
    minutes: float
    waits: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a list.

    Attributes:
        say: what to do, in one short sentence.
        ask: what is asked then ("What do you see?"); said when "done" does not answer it, too.
        expects: what kind of answer belongs to it.
        sights: what he may have seen.
        limit: what a number may be, where one is expected.
        cannot: said when he cannot do it: what to do instead.
        cannot_to: key of the list that follows then; empty when this step stays.
        starts: the time that begins when the step is said, or, where `Timing.waits` is False,
            once it is confirmed.
        safety: it can never be skipped.
        source: key into the engine's sources.
        status: how far the source can be trusted.
    """

    say: str
    ask: str
    expects: Expect
    sights: tuple[Sight, ...]
    limit: Limit | None
    cannot: str
    cannot_to: str
    starts: Timing | None
    safety: bool
    source: str
    status: Status

    def seen(self, kind: str) -> Sight | None:
        """The sight of that name, None when it does not belong to this step."""
        return next((sight for sight in self.sights if sight.kind == kind), None)


@dataclass(frozen=True, slots=True)
class StepList:
    """A list that is led step by step.

    Attributes:
        key: as a request names it: "light", "shutdown".
        title: its spoken name.
        opens: said once before the first step; empty for an emergency.
        emergency: it starts at once on its words, in any state, without read-back.
        steps: in order.
        cautions: what can hurt, said once before the first step of a list that is no emergency.
        ends: said after the last step.
        goes_on: key of the list that is offered after the last step; empty when none is.
    """

    key: str
    title: str
    opens: str
    emergency: bool
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    ends: str = ""
    goes_on: str = ""


class StepAnswerKind(StrEnum):
    """What an answer to a step is."""

    SEEN = "seen"
    NUMBER = "number"
    NAMED = "named"
    DONE = "done"
    """That it was done, not what was seen: "done", "checked", "yes"."""
    NOT_DONE = "not done"
    """It is not yet so: "no", "not yet"."""
    CANNOT = "cannot"
    """He cannot, or it will not: "I can't", "it won't"."""
    SKIP = "skip"
    """To the next without an answer: "skip it"; refused on a safety step."""
    BACK = "back"
    """To the step before: "go back"."""
    AGAIN = "again"
    """The step once more: "say again"."""
    WHERE = "where"
    """Which step of how many: "where are we"."""
    STOP = "stop"
    """It stays on record as not finished: "stop the list"."""
    GO_ON = "go on"
    """With a list that was put aside or left open: "go on with the list"."""


@dataclass(frozen=True, slots=True)
class StepAnswer:
    """What was understood of an answer to the present step.

    Attributes:
        kind: what it is.
        sight: name of what was seen, for SEEN.
        number: for NUMBER, in `unit`.
        unit: that of the step's limit.
        text: the words as heard.
        sureness: of the hearing, 0 to 1; typed words have 1.
    """

    kind: StepAnswerKind
    sight: str = ""
    number: float | None = None
    unit: str = ""
    text: str = ""
    sureness: float = 1.0


@dataclass(frozen=True, slots=True)
class Confirmed:
    """An answer to a step, for the logbook; it is there before the next step is said.

    Attributes:
        list_key: of the list.
        list_title: likewise.
        number: of the step, from 1.
        of: how many steps the list has.
        say: the step as it was said.
        heard: the words of the answer.
        came_to: what they came to: "no bubbles", "5 psi".
        right: the step is confirmed by it; False for one that stays, branches or is left open.
        source: citation key of the step.
        run: tells this leading of the list from another one of the same list.
        ask: what was asked with the step.
    """

    list_key: str
    list_title: str
    number: int
    of: int
    say: str
    heard: str
    came_to: str
    right: bool
    source: str
    run: str = ""
    ask: str = ""


class ListEnd(StrEnum):
    """How the leading of a list came to its end, or was put aside; for the logbook."""

    BEGUN = "begun"
    FINISHED = "finished"
    NOT_FINISHED = "not finished"
    """He stopped it, or it branched to another list; what is left is open."""
    PUT_ASIDE = "put aside"
    """An emergency came first; it is offered again."""
    TAKEN_UP = "taken up"
    """It goes on, after an emergency or a restart."""


@dataclass(frozen=True, slots=True)
class ListMark:
    """A list began, ended, or was put aside; for the logbook.

    Attributes:
        list_key: of the list.
        list_title: likewise.
        how: what happened to it.
        confirmed: how many steps are confirmed.
        of: how many it has.
        open_steps: those that are not, as they are said; for a list that has ended.
        run: as in `Confirmed`.
        cautions: what was said before the first step; for a list that has begun.
    """

    list_key: str
    list_title: str
    how: ListEnd
    confirmed: int
    of: int
    open_steps: tuple[str, ...] = ()
    run: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LedStep:
    """The step that waits for its answer, as the page shows it.

    Attributes:
        key: of the list.
        title: of the list.
        number: of the step, from 1.
        of: how many steps the list has.
        say: what to do.
        ask: what is asked.
        can_say: answers that are understood, a few, as phrases.
        emergency: the list is one for an emergency.
        alarm: what was answered last is a danger now, so that the alarm sounds before the words.
    """

    key: str
    title: str
    number: int
    of: int
    say: str
    ask: str
    can_say: tuple[str, ...]
    emergency: bool = False
    alarm: bool = False
