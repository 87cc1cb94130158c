"""What the user's own cuts say of a tip's travel, and the advice moved by it within its limits.

The rule. Each cut says which speed would have been right: the speed that was run, times the step
that its look stands for (data/cut_results.yaml). The logarithms of these speeds over the table's
are averaged as if `BEHIND` more cuts at the table's own speed stood beside them:

    move = exp( sum of log(speed * step / table) / (cuts + BEHIND) )

Fewer than `LEAST_CUTS` move nothing; only the `LATEST` count; one cut says at most `ONE_SAYS`; the
move is never more than `FURTHEST`, never takes a tip too small past the right one's pace, and never
a leaned tip too large below it. Forgetting the cuts gives the table's advice back exactly. Only the
travel moves, and what follows from it: pressures, leans and plans of several cuts stay the tables'.
"""

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from handsfree.engine import published
from handsfree.engine.job import Job
from handsfree.engine.jobs import job_for
from handsfree.engine.saying import eighths_of_an_inch, whole
from handsfree.engine.saying import stamp as stamp_words
from handsfree.engine.tables import table
from handsfree.engine.tips import KnownTip
from handsfree.engine.trust import weakest
from handsfree.values import Answer, Figure, Fit, Rig, Status, TipBox
from handsfree.values.timing import Against, CutLesson, CutResult
from handsfree.values.units import Quantity, inches_a_minute

LEAST_CUTS: Final = 3
BEHIND: Final = 3  # cuts at the table's own pace that stand beside the user's
LATEST: Final = 20  # a tip wears, and a hand learns
ONE_SAYS: Final = 1.5  # a mark made a moment late must not speak for all
FURTHEST: Final = 1.25
LEAST_MOVE: Final = 0.02  # less is nothing that a hand can follow
_HALVES_FROM = 5.0  # inches a minute: below, paces are told in quarters


@dataclass(frozen=True, slots=True)
class Reading:
    """What the look of a cut stands for.

    Attributes:
        step: the right speed over the one that was run.
        change: what to do next, fit to be said.
        source: key of the source.
        status: how far it can be trusted.
    """

    step: float
    change: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class Move:
    """By how much the travel is moved, and by how many cuts."""

    factor: float
    cuts: int


@functools.cache
def _readings() -> dict[str, Reading]:
    return {
        row.text("key"): Reading(row.number("step"), row.text("change"), row.source(), row.status())
        for row in table("cut_results").rows
    }


def reading(result: CutResult) -> Reading:
    """What a result says of the travel, and what to change.

    >>> reading(CutResult.GOOD).step
    1.0
    """
    return _readings()[result.value]


def move_of(cuts: Sequence[CutLesson]) -> Move | None:
    """How far these cuts of one tip on one thickness move its travel; None for not at all.

    >>> def cut(speed: float) -> CutLesson:
    ...     return CutLesson("", "tip", 0.5, speed, 12.0, CutResult.GOOD)
    >>> move_of([cut(16.0)] * 2) is None, round(12 * move_of([cut(16.0)] * 5).factor, 1)
    (True, 14.4)
    """
    counted = cuts[-LATEST:]
    if len(counted) < LEAST_CUTS:
        return None
    bound = math.log(ONE_SAYS)
    logs = [
        math.log(cut.speed * reading(cut.result).step / cut.table)
        for cut in counted
        if cut.speed > 0 and cut.table > 0
    ]
    mean = math.fsum(max(-bound, min(bound, log)) for log in logs) / (len(logs) + BEHIND)
    factor = max(1 / FURTHEST, min(FURTHEST, math.exp(mean)))
    return Move(factor, len(logs)) if abs(factor - 1) >= LEAST_MOVE else None


def cuts_of(cuts: Iterable[CutLesson], tip: str, thickness: float) -> tuple[CutLesson, ...]:
    """The cuts of a tip on a thickness, in their order."""
    return tuple(
        cut
        for cut in cuts
        if cut.tip == tip and abs(cut.thickness - thickness) < 2 * published.SAME
    )


def tip_key(tip: KnownTip | None) -> str:
    """How lessons know a tip: by its stamp and its bore, so that a new tip begins anew.

    >>> tip_key(KnownTip(0.0465, stamp="1")), tip_key(None)
    ('1 bore 0.0465', '')
    """
    return "" if tip is None else f"{tip.stamp} bore {tip.bore:.4f}".strip()


def tip_said(tip: KnownTip) -> str:
    """The tip in words that can stand in a sentence."""
    if tip.stamp:
        return f"the tip stamped {stamp_words(tip.stamp)}"
    if tip.made_for:
        return f"the tip made for {eighths_of_an_inch(tip.made_for[1])}"
    return "that tip"


def learned(reply: Answer, cuts: Sequence[CutLesson], rig: Rig, box: TipBox) -> Answer:
    """An answer whose travel is moved by the user's own cuts, and says so; else as it is."""
    if not cuts or reply.plan is not None or reply.take_up is not None:
        return reply
    speed = next((figure for figure in reply.figures if figure.name == "travel_speed"), None)
    timed = any(figure.name == "time" for figure in reply.figures)
    if speed is None and not timed:
        return reply
    job = job_for(reply.request, rig, box)
    if not isinstance(job, Job):
        return reply
    move = _move_within(job, cuts)
    if move is None:
        return reply
    return replace(reply, figures=tuple(_moved(figure, move, job) for figure in reply.figures))


def against(reply: Answer, table_reply: Answer, rig: Rig, box: TipBox) -> Against | None:
    """What a run of the cut in an answer is compared with; None where it has no travel.

    Args:
        reply: the answer as it was given, its travel moved.
        table_reply: the same before it was moved.
        rig: gas and hoses.
        box: the user's tips.
    """
    given, listed = (
        next((figure for figure in each.figures if figure.name == "travel_speed"), None)
        for each in (reply, table_reply)
    )
    job = job_for(reply.request, rig, box)
    if given is None or listed is None or not isinstance(job, Job):
        return None
    return Against(
        tip=tip_key(job.tip),
        tip_said="" if job.tip is None else tip_said(job.tip),
        thickness=job.metal.thickness,
        thickness_said=job.metal.name,
        low=float(given.low.m_as("in/min")),
        high=float(given.high.m_as("in/min")),
        table_low=float(listed.low.m_as("in/min")),
        table_high=float(listed.high.m_as("in/min")),
    )


def _move_within(job: Job, cuts: Sequence[CutLesson]) -> Move | None:
    """The move of this tip on this steel, held within what the engine says of an odd tip."""
    if job.tip is None:
        return None
    move = move_of(cuts_of(cuts, tip_key(job.tip), job.metal.thickness))
    if move is None:
        return None
    low, high = job.work.speed
    slowest, fastest = job.work.row.speed
    factor = move.factor
    if job.work.fit is Fit.TOO_SMALL and high > 0:
        factor = min(factor, max(1.0, fastest / high))
    elif job.work.fit is Fit.TOO_LARGE and low > 0 and job.work.lean:
        factor = max(factor, min(1.0, slowest / low))
    return replace(move, factor=factor) if abs(factor - 1) >= LEAST_MOVE else None


def _moved(figure: Figure, move: Move, job: Job) -> Figure:
    status = weakest(figure.status, Status.COMMON_PRACTICE)
    if figure.name == "time":
        return replace(
            figure,
            low=figure.low / move.factor,
            high=figure.high / move.factor,
            source="this_project",
            status=status,
        )
    if figure.name != "travel_speed":
        return figure
    low, high = (_told(end, move.factor) for end in (figure.low, figure.high))
    was = float(((figure.low + figure.high) / 2).m_as("in/min"))
    said = moved_said(was, was * move.factor, move.cuts)
    note = ", ".join(filter(None, (said, figure.note)))
    return Figure("travel_speed", low, high, "this_project", status, note)


def moved_said(was: float, now: float, cuts: int) -> str:
    """The move in words.

    >>> moved_said(12.0, 14.1, 5)
    'moved from twelve to fourteen by five of your cuts'
    """
    first, last = pace_words(was), pace_words(now)
    if first == last:
        first, last = pace_words(was, 0.25), pace_words(now, 0.25)
    return f"moved from {first} to {last} by {whole(cuts)} of your cuts"


def pace_words(speed: float, step: float | None = None) -> str:
    """A pace in inches a minute as a hand can follow it, without its unit.

    >>> pace_words(12.3), pace_words(14.6), pace_words(3.3)
    ('twelve and a half', 'fourteen and a half', 'three and a quarter')
    """
    step = step or (0.25 if speed < _HALVES_FROM else 0.5)
    quarters = round(round(speed / step) * step * 4)
    units, rest = divmod(quarters, 4)
    part = ("", "a quarter", "a half", "three quarters")[rest]
    if not units:
        return part or "zero"
    return f"{whole(units)} and {part}" if part else whole(units)


def _told(end: Quantity, factor: float) -> Quantity:
    speed = float(end.m_as("in/min")) * factor
    step = 0.25 if speed < _HALVES_FROM else 0.5
    return inches_a_minute(round(speed / step) * step)
