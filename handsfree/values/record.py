"""What the logbook keeps beside replies: kinds of entry, and the names of their details.

A detail is a small mapping that goes into the entry as JSON; every name in it is optional, and is
one of `RecordDetail`, so that the printed record finds it again.
"""

from enum import StrEnum
from typing import TypedDict


class RecordKind(StrEnum):
    """What an entry tells."""

    ANSWER = "answer"
    STEPS = "steps"
    REFUSAL = "refusal"
    QUESTION = "question"
    LIST_BEGUN = "list begun"
    STEP = "step"  # confirmed with the answer that belongs to it
    NOT_PASSED = "not passed"  # wrong or missing answer: the list stays on the step
    LIST_ASIDE = "list aside"  # an emergency came first; it is offered again
    LIST_TAKEN_UP = "list taken up"  # after an emergency or a restart
    LIST_DONE = "list done"
    LIST_STOPPED = "list stopped"  # not finished: open in the record
    TIMER_STARTED = "timer started"
    TIMER_HALF = "timer half"
    TIMER_ENDED = "timer ended"
    TIMER_STOPPED = "timer stopped"  # by word, before its end
    ALARM = "alarm"
    TRAVEL = "travel"  # a measured run between two marks
    RESULT = "result"  # how a cut came out
    PRACTICE = "practice"  # a coupon, measured and judged
    SHIFT = "shift"  # who works where, under which permit
    CLOCK = "clock"  # the machine's clock jumped
    CHAIN = "chain"  # entries before this one were lost


class RecordDetail(TypedDict, total=False):
    """Details of an entry.

    Attributes:
        list: key of the step list.
        title: its title.
        run: tells this leading of the list, or this timer, from another of the same name; it ties
            their entries together.
        step: number of the step, from 1.
        steps: how many steps the list has.
        confirmed: how many of them are confirmed.
        open: the steps that are not, as they are said, once the list has ended.
        right: whether the answer was what the step asks for.
        number: the number that was answered, in `unit`.
        unit: psi, in, minutes and the like.
        limits: the least and the most that the number may be; None where there is no such end.
        name: what the timer is called; with `run` it is one timer.
        minutes: how long it was set for.
        ends: when it ends, ISO 8601 with its offset.
        place: where the work is.
        who: by whom, or who was named.
        permit: number of the permit.
        tip: which tip.
        thickness: of which plate, as it is said.
        figures: name, digits, unit, status of each figure.
        sources: citations, clauses among them.
        cautions: what was told that can hurt.
    """

    list: str
    title: str
    run: str
    step: int
    steps: int
    confirmed: int
    open: tuple[str, ...]
    right: bool
    number: float
    unit: str
    limits: tuple[float | None, float | None]
    name: str
    minutes: float
    ends: str
    place: str
    who: str
    permit: str
    tip: str
    thickness: str
    figures: list[tuple[str, str, str, str]]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
