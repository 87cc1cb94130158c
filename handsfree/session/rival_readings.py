"""What words may have meant, for those who have to choose: told apart, and asked about."""

from handsfree.understand.understanding import HINTS
from handsfree.values import YES_OR_NO, NotUnderstood, Question, Request, Words
from handsfree.values.reply import Asks
from handsfree.wording.readback import understood

CONFIRM_WORDS = YES_OR_NO


def numbers(request: Request) -> tuple[object, ...]:
    """All of a request that is said in numbers."""
    return (
        *(request.piece, request.tip, request.hose_length, request.hose_bore),
        *(request.asked_pressure, request.conversion, request.oxygen_purity_percent),
        request.paced,
    )


def not_caught(words: Words) -> NotUnderstood:
    """Words that may have been anything."""
    return NotUnderstood(words.text, "I did not catch that. Say it again.", HINTS)


def told_apart(meant: tuple[Request, ...]) -> tuple[Request, ...]:
    """Those that the read-back tells apart, likeliest first: nobody can choose between others."""
    apart: dict[str, Request] = {}
    for request in meant:
        apart.setdefault(understood(request), request)
    return tuple(apart.values())


def which_of(meant: tuple[Request, ...]) -> Question:
    """Ask between what the words may have meant, in the words of the read-back."""
    told_back = tuple(understood(request) for request in meant)
    if len(meant) == 1:
        return Question(meant[0], Asks.READING, f"Did you say {told_back[0]}?", CONFIRM_WORDS)
    return Question(None, Asks.READING, "Which did you say?", told_back)
