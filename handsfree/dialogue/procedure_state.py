"""Where a list that is led stands, and the few ways in which it goes on from there; pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from handsfree.dialogue.procedure_words import (
    FROM_THE_TOP,
    LEFT_OPEN,
    SHALL_GO_ON,
    SHALL_GO_ON_WITH,
    can_say,
    put_again,
)
from handsfree.values import (
    Confirmed,
    Expect,
    LedStep,
    ListEnd,
    ListMark,
    Step,
    StepAnswer,
    StepList,
    Timing,
)

OFFERED: Final = ("go on", "stop the list")


@dataclass(frozen=True, slots=True)
class Leading:
    """Where a list stands.

    Attributes:
        list: which.
        run: tells this leading of it from another one.
        at: the step that waits, from 0.
        confirmed: the steps that are confirmed, from 0.
        offered: the list itself waits to be taken up: "go on", or "stop the list".
        begun: it has begun; one that is offered as the next has not.
        until: when the wait of this step is over; None for a step without one.
        unsure: an answer that would pass, heard doubtfully and said back.
        aside: lists that were put aside for this one, the latest first.
    """

    list: StepList
    run: str
    at: int = 0
    confirmed: frozenset[int] = frozenset()
    offered: bool = False
    begun: bool = True
    until: float | None = None
    unsure: StepAnswer | None = None
    aside: tuple["Leading", ...] = ()

    @property
    def step(self) -> Step:
        """The step that waits."""
        return self.list.steps[self.at]


@dataclass(frozen=True, slots=True)
class Led:
    """What comes of a turn of leading.

    Attributes:
        leading: where the list stands now; None when none is led any more.
        sentences: what is said, in order.
        records: what goes on record, before anything is said.
        starts: times that begin now.
        alarm: it cannot wait: the alarm sounds, and these sentences come before all else.
    """

    leading: Leading | None
    sentences: tuple[str, ...]
    records: tuple[Confirmed | ListMark, ...] = ()
    starts: tuple[Timing, ...] = ()
    alarm: bool = False


def begin(
    steps: StepList, now: float, run: str, before: Leading | None = None, reply: str = ""
) -> Led:
    """Begin a list; one that is led is put aside for it, and offered again after.

    Args:
        steps: the list.
        now: seconds on the wall.
        run: tells this leading from others.
        before: what was led until now.
        reply: said first, about what led here.
    """
    records: list[Confirmed | ListMark] = []
    aside: tuple[Leading, ...] = ()
    if before is not None:
        aside, marks = _put_aside(before, steps)
        records += marks
    leading = Leading(steps, run, aside=aside)
    records.append(mark_of(leading, ListEnd.BEGUN))
    opening = () if steps.emergency else (f"{steps.title}.", *steps.cautions, steps.opens)
    said = spoken(reply, *opening)
    return put_step(leading, now, said, records, alarm=steps.emergency)


def again(leading: Leading) -> tuple[str, ...]:
    """The step, put once more after something else was answered."""
    if leading.offered:
        return (offer_of(leading),)
    return put_again(leading.step)


def offered(leading: Leading) -> Led:
    """A list that was left open when the helper ended: it is offered, at the step not confirmed."""
    open_one = replace(leading, offered=True, unsure=None)
    number, of = leading.at + 1, len(leading.list.steps)
    return Led(open_one, (LEFT_OPEN.format(leading.list.title, number, of), SHALL_GO_ON))


def shown(leading: Leading) -> LedStep:
    """The step that waits, for the page."""
    step, steps = leading.step, leading.list
    ask = SHALL_GO_ON if leading.offered else step.ask
    says = OFFERED if leading.offered else can_say(step)
    return LedStep(
        key=steps.key,
        title=steps.title,
        number=leading.at + 1,
        of=len(steps.steps),
        say=step.say,
        ask=ask,
        can_say=says,
        emergency=steps.emergency,
    )


def can_tap(leading: Leading) -> tuple[str, ...]:
    """Answers that can be chosen by touch, as phrases; a number and a name are never offered."""
    if leading.offered:
        return OFFERED
    step = leading.step
    seen = tuple(sight.kind for sight in step.sights)
    done = ("done",) if step.expects is Expect.DONE else ()
    return (*seen, *done, "i can't", "stop the list")


def put_step(
    leading: Leading,
    now: float,
    told: Sequence[str],
    records: Sequence[Confirmed | ListMark],
    *,
    alarm: bool = False,
) -> Led:
    """Put the step at which the list stands; a time that it waits for begins."""
    step, starts = leading.step, leading.step.starts
    waits = starts is not None and starts.waits
    until = now + 60.0 * starts.minutes if starts is not None and waits else None
    leading = replace(leading, until=until, unsure=None)
    begun = (starts,) if starts is not None and waits else ()
    return Led(leading, (*told, step.say, step.ask), tuple(records), begun, alarm)


def offer_of(leading: Leading) -> str:
    """The sentence that offers a list: one that was put aside, or the one that goes on."""
    if leading.begun:
        return SHALL_GO_ON_WITH.format(leading.list.title)
    return FROM_THE_TOP.format(leading.list.title.lower())


def _put_aside(before: Leading, steps: StepList) -> tuple[tuple[Leading, ...], list[ListMark]]:
    """The lists that wait once another begins; a list begun anew does not wait for itself."""
    aside = tuple(each for each in before.aside if each.list.key != steps.key)
    ended = [each for each in before.aside if each.list.key == steps.key]
    marks = [mark_of(each, ListEnd.NOT_FINISHED) for each in ended]
    if not before.begun:
        return aside, marks
    if before.list.key == steps.key:
        return aside, [*marks, mark_of(before, ListEnd.NOT_FINISHED)]
    waiting = replace(before, aside=(), offered=False, unsure=None)
    return (waiting, *aside), [*marks, mark_of(before, ListEnd.PUT_ASIDE)]


def mark_of(leading: Leading, how: ListEnd) -> ListMark:
    """What goes on record about the list itself; what is open is named once it has ended."""
    steps = leading.list.steps
    ended = how in (ListEnd.NOT_FINISHED, ListEnd.FINISHED)
    left_open = tuple(s.say for n, s in enumerate(steps) if n not in leading.confirmed)
    return ListMark(
        list_key=leading.list.key,
        list_title=leading.list.title,
        how=how,
        confirmed=len(leading.confirmed),
        of=len(steps),
        open_steps=left_open if ended else (),
        run=leading.run,
        cautions=leading.list.cautions if how is ListEnd.BEGUN else (),
    )


def record_of(leading: Leading, answer: StepAnswer, said: str, *, right: bool) -> Confirmed:
    """What goes on record about an answer to the present step, and what it came to."""
    return Confirmed(
        list_key=leading.list.key,
        list_title=leading.list.title,
        number=leading.at + 1,
        of=len(leading.list.steps),
        say=leading.step.say,
        heard=answer.text,
        came_to=said,
        right=right,
        source=leading.step.source,
        run=leading.run,
        ask=leading.step.ask,
    )


def spoken(*sentences: str) -> tuple[str, ...]:
    """Those sentences that there are."""
    return tuple(sentence for sentence in sentences if sentence)
