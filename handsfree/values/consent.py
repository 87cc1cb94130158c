"""A yes or no, and what exactly a yes is to."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # a request holds what was said yes to
    from handsfree.values.request import Piece

YES_OR_NO: Final = ("yes", "no")
"""What answers a question that asks for consent."""


@dataclass(frozen=True, slots=True)
class Consent:
    """A yes or no to what was just asked; silence is never one."""

    given: bool


class YesKind(StrEnum):
    """What kind of thing is done or answered only after a yes."""

    COATING = "coating"
    """A coating that can poison is dealt with; of the very piece that was asked about."""
    HAZARD_DEALT_WITH = "hazard dealt with"
    """What was refused before is so no more; of a key of the engine's refusal table."""
    END_WATCH = "end watch"
    """A watch ends before its time; of the watch's name."""
    FORGET_LESSONS = "forget lessons"
    """What a tip's cuts have taught is thrown away; of the tip that the lessons are kept under."""
    LEFT_OVER = "left over"
    """Words that nothing took up change nothing; of those words."""


@dataclass(frozen=True, slots=True)
class YesTo:
    """What a yes confirms: it opens this and nothing else, once.

    Who asked takes it only where kind and thing are those that he would ask about now. No
    follow-up, correction or joined request has it from the request before.

    Attributes:
        kind: what kind of thing.
        of: which one.
    """

    kind: YesKind
    of: "Piece | str"
