"""What was said before, so that it can be said again, gone on with, or gone back to."""

from dataclasses import dataclass, replace
from typing import Final

from handsfree.values import Control, Told

PART: Final = 4  # sentences after each "more"
MORE: Final = "More?"
THAT_IS_ALL: Final = "That is all."
REMEMBERED: Final = 20  # replies; nobody goes back further by ear


@dataclass(frozen=True, slots=True)
class SaidBefore:
    """The latest replies, oldest first, and which of them is spoken of.

    Attributes:
        replies: each with what is left of it for "more".
        place: index of the one that "again" and "more" are about.
    """

    replies: tuple[Told, ...] = ()
    place: int = -1

    def and_now(self, told: Told) -> "SaidBefore":
        """With a new reply, which is spoken of from now on."""
        replies = (*self.replies, told)[-REMEMBERED:]
        return SaidBefore(replies, len(replies) - 1)


def repeated(before: SaidBefore, control: Control) -> tuple[SaidBefore, Told | None]:
    """What to say to "again", "more" or "back"; None when nothing was said before.

    >>> said = SaidBefore().and_now(Told("answer", "", 1.0, "", "", (), ("One.",), ("Two.",)))
    >>> said, more = repeated(said, Control.MORE)
    >>> more.sentences
    ('Two.',)
    >>> repeated(said, Control.AGAIN)[1].sentences
    ('One.',)
    """
    if not before.replies:
        return before, None
    last = before.replies[before.place]
    match control:
        case Control.AGAIN:
            return before, last
        case Control.MORE:
            part, rest = last.more[:PART], last.more[PART:]
            said = (*part, MORE) if rest else part or (THAT_IS_ALL,)
            left = list(before.replies)
            left[before.place] = replace(last, more=rest)
            return replace(before, replies=tuple(left)), replace(last, sentences=said, more=rest)
        case Control.BACK:
            earlier = [
                place
                for place, told in enumerate(before.replies[: before.place])
                if told.kind != "question"  # it was answered, or dropped
            ]
            if not earlier:
                return before, None
            return replace(before, place=earlier[-1]), before.replies[earlier[-1]]
        case _:
            return before, None
