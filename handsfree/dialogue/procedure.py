"""Leads a list step by step: an answer and the time give what is said and what goes on record.

    begin ─► step is said ─► answered ─right─► next step ... last one ─► ends, next list offered
                 ▲              │ wrong, missing, not sure: stays ("done" is no answer)
                 └──────────────┘ branches: the list is put aside, another begins; it is offered
                                  again when that one has ended

Silence never goes on, a safety step is never skipped, and what is wrong is told at once. Moments
are seconds of the clock on the wall, so that a wait lasts over a restart. Pure.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from handsfree.dialogue.procedure_state import (
    Leading,
    Led,
    again,
    begin,
    can_tap,
    mark_of,
    offer_of,
    offered,
    put_step,
    record_of,
    shown,
    spoken,
)
from handsfree.dialogue.procedure_words import (
    FULL_STOP,
    HEARD_DOUBTFULLY,
    NO_STEP_BEFORE,
    NOT_SKIPPED,
    NOT_YET,
    OTHER_STEP,
    OTHER_UNIT,
    SHALL_GO_ON,
    SKIPPED,
    STILL_WAITS,
    STOPPED,
    TAKE_YOUR_TIME,
    WHERE,
    came_to,
    left,
    what_belongs,
)
from handsfree.values import (
    Confirmed,
    Expect,
    Limit,
    ListEnd,
    Sight,
    StepAnswer,
    StepAnswerKind,
    StepList,
    Timing,
)

__all__ = [
    "Leading",
    "Led",
    "again",
    "answered",
    "begin",
    "can_tap",
    "not_understood",
    "offered",
    "shown",
]

SURE_FROM: Final = 0.9
"""An answer less sure than this is said back, and counts when it is said again or confirmed."""

BRANCH_FROM: Final = 0.5
"""What is wrong is acted upon when it is as sure as this: to be too careful costs little."""

ListOf = Callable[[str], StepList]


# --- what can be asked of it ----------------------------------------------------------------------


def answered(
    leading: Leading, answer: StepAnswer, now: float, lists: ListOf, new_run: Callable[[], str]
) -> Led:
    """What an answer to the present step comes to.

    Args:
        leading: where the list stands.
        answer: what was understood.
        now: seconds on the wall.
        lists: a list by its key, for a branch.
        new_run: a name for the leading of the list that follows.
    """
    if leading.offered:
        return _to_an_offer(leading, answer, now)
    if leading.unsure is not None:
        answer = _resolved(leading.unsure, answer)
        leading = replace(leading, unsure=None)
    branch = _Branch(now, lists, new_run)
    match answer.kind:
        case StepAnswerKind.AGAIN:
            return Led(leading, (leading.step.say, leading.step.ask))
        case StepAnswerKind.GO_ON:
            return Led(leading, (STILL_WAITS, leading.step.say, leading.step.ask))
        case StepAnswerKind.WHERE:
            where = WHERE.format(leading.list.title, leading.at + 1, len(leading.list.steps))
            return Led(leading, (where, leading.step.say, leading.step.ask))
        case StepAnswerKind.BACK:
            return _back(leading, now)
        case StepAnswerKind.STOP | StepAnswerKind.SKIP if answer.sureness < SURE_FROM:
            return _doubted(leading, answer, answer.text)
        case StepAnswerKind.STOP:
            return _stopped(leading)
        case StepAnswerKind.SKIP:
            return _skip(leading, answer, branch)
        case StepAnswerKind.CANNOT:
            return _cannot(leading, answer, branch)
        case StepAnswerKind.NOT_DONE:
            return Led(leading, (TAKE_YOUR_TIME, what_belongs(leading.step)))
        case _:
            return _judged(leading, answer, branch)


def not_understood(leading: Leading, why: str) -> Led:
    """Words that are no answer to this step: it stays, and what belongs to it is said."""
    if leading.offered:
        return Led(leading, (why, SHALL_GO_ON))
    return Led(leading, (why, what_belongs(leading.step)))


# --- a step and its answer ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Branch:
    """How a list gets to another one."""

    now: float
    lists: ListOf
    new_run: Callable[[], str]

    def to(self, key: str, leading: Leading, reply: str) -> Led:
        """Begin another list; this one is put aside."""
        return begin(self.lists(key), self.now, self.new_run(), leading, reply)


def _judged(leading: Leading, answer: StepAnswer, branch: _Branch) -> Led:
    """An answer that says something: right, wrong, or not what this step asks."""
    step = leading.step
    match answer.kind, step.expects:
        case StepAnswerKind.SEEN, _ if (sight := step.seen(answer.sight)) is not None:
            return _sighted(leading, answer, sight, branch)
        case StepAnswerKind.NUMBER, Expect.NUMBER if step.limit is not None:
            return _measured(leading, answer, step.limit, branch)
        case StepAnswerKind.NAMED, Expect.NAMED:
            return _passed(leading, answer, answer.text, "", branch)
        case StepAnswerKind.DONE, Expect.DONE:
            return _passed(leading, answer, "done", "", branch)
    record = record_of(leading, answer, came_to(answer), right=False)
    elsewhere = answer.kind in (StepAnswerKind.SEEN, StepAnswerKind.NUMBER)
    said = (OTHER_STEP, step.say, what_belongs(step)) if elsewhere else (what_belongs(step),)
    return Led(leading, said, (record,))


def _sighted(leading: Leading, answer: StepAnswer, sight: Sight, branch: _Branch) -> Led:
    if not sight.right and sight.goes_to and answer.sureness < BRANCH_FROM:
        return _doubted(leading, answer, sight.kind)
    if not sight.right:
        record = record_of(leading, answer, sight.kind, right=False)
        return _branched(leading, (record,), sight.goes_to, sight.reply, branch)
    if (waiting := _waits(leading, branch.now)) is not None:
        return waiting
    if sight.goes_to:
        return _passed_to(leading, answer, sight, branch)
    return _passed(leading, answer, sight.kind, sight.reply, branch)


def _measured(leading: Leading, answer: StepAnswer, limit: Limit, branch: _Branch) -> Led:
    number, said = answer.number, came_to(answer)
    if number is None or answer.unit != limit.unit:
        record = record_of(leading, answer, said, right=False)
        return Led(leading, (OTHER_UNIT.format(limit.unit), leading.step.ask), (record,))
    high = limit.high is not None and number > limit.high
    low = limit.low is not None and number < limit.low
    if high or low:
        record = record_of(leading, answer, said, right=False)
        alarm = high and limit.alarm_high
        told = limit.too_high if high else limit.too_low
        # What to do comes before what was heard where it is a danger.
        sentences = (told, f"{said}.") if alarm else (f"{said}.", told)
        return Led(leading, (*sentences, leading.step.ask), (record,), alarm=alarm)
    if (waiting := _waits(leading, branch.now)) is not None:
        return waiting
    return _passed(leading, answer, said, "", branch)


def _passed(leading: Leading, answer: StepAnswer, said: str, reply: str, branch: _Branch) -> Led:
    """The step is confirmed: on record, then the next one; or said back when not heard surely."""
    if answer.sureness < SURE_FROM:
        return _doubted(leading, answer, said)
    record = record_of(leading, answer, said, right=True)
    done = replace(leading, confirmed=leading.confirmed | {leading.at})
    begins = leading.step.starts
    starts = (begins,) if begins is not None and not begins.waits else ()
    told = (*spoken(f"{said.capitalize()}{FULL_STOP}", reply),)
    if done.at + 1 == len(done.list.steps):
        return _finished(done, told, (record,), starts, branch)
    led = put_step(replace(done, at=done.at + 1), branch.now, told, (record,))
    return replace(led, starts=(*starts, *led.starts))


def _passed_to(leading: Leading, answer: StepAnswer, sight: Sight, branch: _Branch) -> Led:
    """A right answer that another list follows: this one has done its work."""
    if answer.sureness < SURE_FROM:
        return _doubted(leading, answer, sight.kind)
    record = record_of(leading, answer, sight.kind, right=True)
    done = replace(leading, confirmed=leading.confirmed | {leading.at})
    mark = mark_of(done, ListEnd.FINISHED)
    said = " ".join(spoken(f"{sight.kind.capitalize()}{FULL_STOP}", sight.reply))
    led = begin(branch.lists(sight.goes_to), branch.now, branch.new_run(), None, said)
    if led.leading is not None:
        led = replace(led, leading=replace(led.leading, aside=leading.aside))
    return replace(led, records=(record, mark, *led.records))


def _doubted(leading: Leading, answer: StepAnswer, said: str) -> Led:
    """Say back what was heard; it counts when it is said again, or confirmed by a sure yes."""
    return Led(replace(leading, unsure=answer), (HEARD_DOUBTFULLY.format(said),))


def _resolved(unsure: StepAnswer, answer: StepAnswer) -> StepAnswer:
    """The doubtful answer, once it was confirmed or said again; else what is said now."""
    if answer.kind is StepAnswerKind.DONE and answer.sureness >= SURE_FROM:
        return replace(unsure, sureness=1.0)
    same = (unsure.kind, unsure.sight, unsure.number, unsure.unit)
    if same == (answer.kind, answer.sight, answer.number, answer.unit):
        if answer.kind is StepAnswerKind.NAMED and answer.text != unsure.text:
            return answer
        return replace(answer, sureness=1.0)
    return answer


def _cannot(leading: Leading, answer: StepAnswer, branch: _Branch) -> Led:
    step = leading.step
    record = record_of(leading, answer, "cannot", right=False)
    return _branched(leading, (record,), step.cannot_to, step.cannot, branch)


def _branched(
    leading: Leading, records: Sequence[Confirmed], goes_to: str, reply: str, branch: _Branch
) -> Led:
    """Go to the list that follows something wrong, or stay on the step and say what to do."""
    if goes_to and goes_to != leading.list.key:
        led = branch.to(goes_to, leading, reply)
        return replace(led, records=(*records, *led.records))
    ask = leading.step.ask
    return Led(leading, spoken(reply, ask), tuple(records))


def _skip(leading: Leading, answer: StepAnswer, branch: _Branch) -> Led:
    step = leading.step
    if step.safety:
        record = record_of(leading, answer, "skip", right=False)
        return Led(leading, (NOT_SKIPPED, step.say, step.ask), (record,))
    record = record_of(leading, answer, "skipped", right=False)
    if leading.at + 1 == len(leading.list.steps):
        return _finished(leading, (SKIPPED,), (record,), (), branch)
    return put_step(replace(leading, at=leading.at + 1), branch.now, (SKIPPED,), (record,))


def _back(leading: Leading, now: float) -> Led:
    if leading.at == 0:
        return Led(leading, (NO_STEP_BEFORE, leading.step.say, leading.step.ask))
    return put_step(replace(leading, at=leading.at - 1), now, (), ())


def _waits(leading: Leading, now: float) -> Led | None:
    """That the time of this step is not up yet; None when it is."""
    if leading.until is None or now >= leading.until:
        return None
    return Led(leading, (NOT_YET.format(left(leading.until - now)),))


# --- beginnings and ends --------------------------------------------------------------------------


def _finished(
    leading: Leading,
    told: Sequence[str],
    records: Sequence[Confirmed],
    starts: tuple[Timing, ...],
    branch: _Branch,
) -> Led:
    """The last step is done: the list that was put aside is offered, else the one that goes on."""
    steps = leading.list
    mark = mark_of(leading, ListEnd.FINISHED)
    said = [*told, *spoken(steps.ends)]
    if leading.aside:
        following, *rest = leading.aside
        offer = replace(following, offered=True, aside=tuple(rest))
        said.append(offer_of(offer))
    elif steps.goes_on:
        offer = Leading(branch.lists(steps.goes_on), branch.new_run(), offered=True, begun=False)
        said.append(offer_of(offer))
    else:
        return Led(None, tuple(said), (*records, mark), starts)
    return Led(offer, tuple(said), (*records, mark), starts)


def _to_an_offer(leading: Leading, answer: StepAnswer, now: float) -> Led:
    """Take the list up, or leave it: by a word that says which."""
    match answer.kind:
        case StepAnswerKind.GO_ON | StepAnswerKind.DONE | StepAnswerKind.WHERE:
            if answer.sureness < SURE_FROM:
                return Led(leading, again(leading))
            taken = replace(leading, offered=False)
            if not leading.begun:
                led = begin(leading.list, now, leading.run)
                if led.leading is None:
                    return led
                return replace(led, leading=replace(led.leading, aside=leading.aside))
            return put_step(
                replace(taken, begun=True), now, (), (mark_of(taken, ListEnd.TAKEN_UP),)
            )
        case StepAnswerKind.STOP | StepAnswerKind.NOT_DONE | StepAnswerKind.SKIP:
            return _stopped(leading)
        case _:
            return Led(leading, again(leading))


def _stopped(leading: Leading) -> Led:
    """Leave the list: what is open stays open on record."""
    records = (mark_of(leading, ListEnd.NOT_FINISHED),) if leading.begun else ()
    said = [STOPPED.format(leading.list.title)] if leading.begun else [TAKE_YOUR_TIME]
    if leading.aside:
        following, *rest = leading.aside
        offer = replace(following, offered=True, aside=tuple(rest))
        said.append(offer_of(offer))
        return Led(offer, tuple(said), records)
    return Led(None, tuple(said), records)
