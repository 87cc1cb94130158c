"""Practice on a coupon, led one sentence at a time: prepare, run between two marks, say how it was.

Pure: what the sentences are is handed in, and so is how the run and the cut came out.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from handsfree.values.timing import Coupon, CutResult, PracticeCase

MARGIN: Final = 0.05  # of the pace: a hand and a mark are no more exact than that


class Stage(StrEnum):
    """What is waited for."""

    READY = "ready"
    """That the present sentence is done."""
    RUN = "run"
    """The two marks."""
    RESULT = "result"
    """How the cut came out."""


@dataclass(frozen=True, slots=True)
class Practice:
    """Where a practice stands.

    Attributes:
        case: what is practised.
        who: who cuts.
        steps: what is done before the cut, one sentence each.
        low: slow end of the travel that is asked for, in inches a minute.
        high: fast end.
        at: the sentence that waits.
        speed: of the run that waits for its result; None before it.
    """

    case: PracticeCase
    who: str
    steps: tuple[str, ...]
    low: float
    high: float
    at: int = 0
    speed: float | None = None

    @property
    def stage(self) -> Stage:
        """What is waited for."""
        if self.at < len(self.steps) - 1:
            return Stage.READY
        return Stage.RUN if self.speed is None else Stage.RESULT

    @property
    def say(self) -> str:
        """The sentence that waits."""
        return self.steps[self.at]


def went_on(practice: Practice) -> Practice:
    """The practice at its next sentence; the last one waits for the marks.

    >>> first = Practice(PracticeCase.PIPE, "cutter 1", ("Lay it.", "Mark."), 10.0, 12.0)
    >>> first.stage, went_on(first).stage, went_on(went_on(first)).at
    (<Stage.READY: 'ready'>, <Stage.RUN: 'run'>, 1)
    """
    return replace(practice, at=min(practice.at + 1, len(practice.steps) - 1))


def went_back(practice: Practice) -> Practice:
    """The practice at the sentence before."""
    return replace(practice, at=max(practice.at - 1, 0), speed=None)


def ran(practice: Practice, speed: float) -> Practice:
    """The practice once a run was measured."""
    return replace(practice, speed=speed)


def judged(practice: Practice, result: CutResult, at: str) -> tuple[Practice, Coupon]:
    """The coupon, and the practice ready for the next run.

    A coupon passes that was cut at the pace asked for, within `MARGIN`, and came out good.
    """
    speed = practice.speed or 0.0
    inside = practice.low * (1 - MARGIN) <= speed <= practice.high * (1 + MARGIN)
    coupon = Coupon(
        at=at,
        who=practice.who,
        case=practice.case,
        speed=round(speed, 2),
        low=practice.low,
        high=practice.high,
        result=result,
        passed=inside and result is CutResult.GOOD,
    )
    return replace(practice, speed=None), coupon
