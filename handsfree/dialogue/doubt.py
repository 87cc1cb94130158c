"""What to do with words that were not heard surely: take them, ask, or have them said again."""

from collections.abc import Callable, Sequence
from enum import StrEnum

from handsfree.values import About, Control, NotUnderstood, Request
from handsfree.values.steps import EMERGENCIES

TAKE_FROM = 0.90
"""Words as sure as this are taken and read back."""

ASK_FROM = 0.35
"""Words less sure than this are not even asked about."""

ASK_UNCALLED_FROM = 0.70
"""Of words that nobody called for, while the helper stays, only those as sure are asked about."""

URGENT_FROM = 0.50
"""An emergency or an unsafe wish is taken from here on; heard less surely, it is asked about."""

MOST_CHOICES = 2
"""More than two readings cannot be told apart by ear."""


class Verdict(StrEnum):
    """What is done with words."""

    TAKE = "take"
    ASK = "ask"
    AGAIN = "again"


def weigh(
    sureness: float, readings: Sequence[Request], plausible: Callable[[Request], bool]
) -> tuple[Verdict, tuple[Request, ...]]:
    """What to do with what was heard, and the requests that are taken or asked about.

    Args:
        sureness: probability that the first reading is right.
        readings: what the words may mean, likeliest first, each meaning once.
        plausible: whether there can be such steel and such a tip; what cannot be gives way to what
            can, and is never taken without a question.

    An emergency or an unsafe wish is taken sooner than others: to say too much about a flashback
    costs less than to ask. Where it may have been said instead of the first, it is asked about;
    the cries themselves have ears of their own.
    """
    if not readings:
        return Verdict.AGAIN, ()
    first = readings[0]
    if sureness >= (URGENT_FROM if is_urgent(first) else TAKE_FROM) and (
        plausible(first) or is_urgent(first)
    ):
        return Verdict.TAKE, (first,)
    if sureness < ASK_FROM:
        return Verdict.AGAIN, ()
    if urgent := [reading for reading in readings if is_urgent(reading)]:
        others = [reading for reading in readings if reading is not urgent[0]]
        return Verdict.ASK, (urgent[0], *others)[:MOST_CHOICES]
    likely = tuple(reading for reading in readings if plausible(reading))[:MOST_CHOICES]
    return (Verdict.ASK, likely) if likely else (Verdict.TAKE, (first,))


def least_sureness(understood: object) -> float:
    """How surely words must have been heard that mean something else than a request.

    A question is asked as doubtful words are asked about; a yes and a pick are weighed again where
    they are acted upon; to fall silent hurts nobody. What was not understood needs no sureness.
    """
    if isinstance(understood, NotUnderstood):
        return 0.0
    obeyed = isinstance(understood, Control) and understood is not Control.STOP
    return TAKE_FROM if obeyed else ASK_FROM


def is_urgent(request: object) -> bool:
    """Whether waiting could hurt: an emergency list, or a wish that must be refused."""
    return emergency(request) is not None or (
        isinstance(request, Request) and bool(request.hazards)
    )


def emergency(request: object) -> str | None:
    """Which emergency's list a request is for; None where it is for none."""
    if not isinstance(request, Request) or request.about is not About.STEPS:
        return None
    return request.steps if request.steps in EMERGENCIES else None
