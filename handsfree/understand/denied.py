"""What was said not to be so is never taken for what is: the correction is, or it is asked.

"Not half inch, three eighths" is three eighths; "anything but half inch" is asked about. A phrase
of `DENIES` takes away the value behind it, one of `TAKES_BACK` those before it.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import product
from typing import TypeAlias

from handsfree.spoken_numbers import NUMBER_WORDS
from handsfree.values import (
    About,
    Consent,
    Control,
    NotUnderstood,
    Pick,
    Piece,
    Question,
    Request,
)
from handsfree.values.reply import Asks

SAY_WHAT_IT_IS = "You said what it is not. Say what it is."
TAKEN_BACK = "I dropped that. Say what it is instead."
WHAT_INSTEAD = (SAY_WHAT_IT_IS, TAKEN_BACK)
HOW_THICK = "Not that one, then. How thick is it?"

Meaning: TypeAlias = Request | Question | Consent | Control | Pick | NotUnderstood
Read: TypeAlias = Callable[[list[str]], tuple[Meaning, float]]
_Told: TypeAlias = dict[str, object]


def _each(*parts: str) -> tuple[tuple[str, ...], ...]:
    """Every phrase of one alternative from each part."""
    return tuple(
        tuple(" ".join(phrase).split()) for phrase in product(*(part.split("|") for part in parts))
    )


# Mean nothing else, wherever they stand: any value behind them is denied.
ALWAYS = (
    *_each("other than|rather than|instead of|in place of|as opposed to|apart from|aside from"),
    *_each(
        "anything|everything|whatever|all|any plate|every plate|any steel|any size", "but|except"
    ),
    *_each("except|excepting|excluding|exclude|save for|leave out|leaving out|omit|omitting"),
    *_each("ignore|ignoring|disregard|forget|forget about|forgetting|never mind|never mind about"),
    *_each("to hell with|enough of|hold off on|take back|who said|no longer|no more|nothing like"),
    *_each("i'm|i am|we're|we are", "not", "cutting|burning|doing|on|using"),
    *_each("don't|do not|didn't|did not|never", "use|want|mean|say|said|set|give|tell|bother"),
    *_each("stay|keep", "off|away from"),
)
# Deny a value that follows at once; before other words they are something else.
AT_ONCE = _each(
    "not|isn't|ain't|wasn't|aren't|never|hardly|far from|short of|can't be|cannot be|won't be"
    "|no way|neither|nor|barring|put aside|set aside|leave off|undo|erase|delete|cancel|avoid"
    "|less|minus"
)
# Likewise, and only at the beginning: later they are what is done to the steel.
AT_FIRST = _each("scrap|scratch|strike|skip|drop|leave|bin")
TAKES_BACK = (
    *_each(
        "scrap|scratch|forget|ignore|cancel|strike|delete|disregard|undo|erase|never mind",
        "that|it|this|that one|this one|what i said|all that",
    ),
    *_each("take that back|take it back|my mistake|i was wrong|is out|is wrong|that's wrong"),
    *_each("correction|not that one|no not that|is no good"),
)
# What may stand between such a phrase and the value.
LITTLE = frozenset(
    {"a", "an", "the", "this", "that", "it", "it's", "its", "my", "our", "your", "me", "for", "on"}
    | {"about", "with", "using", "any", "of", "to", "be", "as", "at", "said", "is", "was", "even"}
    | {"really", "actually", "quite", "from", "what", "i", "in", "going", "like", "by"}
)
# Belong to the size before them, which says as much without: "half | inch".
_ENDS_A_SIZE = frozenset(
    {"inch", "inches", "of", "an", "a", "thick", "mil", "mils", "millimetre", "millimetres", "mm"}
    | {"millimeter", "millimeters", "m", "gauge", "gage"}
)
_FIRST = frozenset(
    {"no", "okay", "ok", "so", "and", "but", "right", "just", "well", "oh", "please"}
)
_LONGEST = 14  # words of a value with what is said of it
_KEPT = (About.TIP_BOX, About.RIG, About.STEPS, About.TIMER)


def read_denied(heard: str, words: list[str], read: Read) -> tuple[Meaning, float]:
    """What words mean, with nothing in it that they deny.

    Args:
        heard: as it was said, for the reply.
        words: of the request, plain.
        read: what plain words mean, denials left out of account, and what the reading costs.
    """
    back = _found(words, TAKES_BACK)
    if back is not None and _has_number(words[: back[0]]):
        return _after(heard, words, back, read)
    denial = _found(words, ALWAYS) or _found(words, AT_ONCE) or _first(words)
    if denial is None:
        return read(words)
    whole = read(words)
    if isinstance(whole[0], Request) and whole[0].about in _KEPT:
        return whole  # "forget the half inch tip" takes it out of the box
    start, end = denial
    sure = tuple(words[start:end]) in ALWAYS
    while end < len(words) and words[end] in LITTLE:
        end += 1
    span = _value(words[end : end + _LONGEST], read)
    if span is None:
        lost = sure and _told(whole[0])
        return (_asked(heard), 0.0) if lost else whole
    length, denied = span
    if _goes_on(words[end + length :]):
        return _asked(heard), 0.0
    rest = [*words[:start], *words[end + length :]]
    return _corrected(heard, rest, denied, read)


def _found(words: Sequence[str], phrases: Sequence[tuple[str, ...]]) -> tuple[int, int] | None:
    """Where the first of the phrases stands, the longest where several begin there."""
    for start in range(len(words)):
        fits = [
            len(phrase) for phrase in phrases if tuple(words[start : start + len(phrase)]) == phrase
        ]
        if fits:
            return start, start + max(fits)
    return None


def _first(words: Sequence[str]) -> tuple[int, int] | None:
    """One of the phrases that deny only where a request begins."""
    found = _found(words, AT_FIRST)
    return found if found is not None and _FIRST.issuperset(words[: found[0]]) else None


def _has_number(words: Sequence[str]) -> bool:
    return bool((NUMBER_WORDS - {"a", "an", "and", "over", "point"}).intersection(words)) or (
        "inch" in words
    )


def _goes_on(behind: Sequence[str]) -> bool:
    """Whether what follows a denied value is denied with it: "half inch or three eighths"."""
    if not behind or behind[0] not in ("or", "nor", "and"):
        return False
    return len(behind) < 2 or behind[0] != "and" or _has_number(behind[1:3])


def _value(words: Sequence[str], read: Read) -> tuple[int, _Told] | None:
    """How many words name the value that they begin with, and what it is.

    The longest run that is one request says what the value is, so that "two inch and a half" is
    never a half that follows; the shortest that says as much ends it.
    """
    if not words:
        return None
    told = {length: _told(read(list(words[:length]))[0]) for length in range(1, len(words) + 1)}
    full = next((told[length] for length in range(len(words), 0, -1) if told[length]), None)
    if full is None:
        return None
    length = next(length for length, found in told.items() if found == full)
    end = length
    while end < len(words) and words[end] in _ENDS_A_SIZE:
        end += 1
        length = end if told[end] == full else length
    if length > 1 and _told(read(list(words[1:length]))[0]) == full:
        return None  # it begins with something else
    return length, full


def _told(made: Meaning) -> _Told:
    """What a request names, by kind; a size without its unit is one too."""
    if isinstance(made, Question):
        asked: _Told = {"size": made.prompt} if made.asks_for == Asks.THICKNESS else {}
        return asked | (_told(made.request) if made.request is not None else {})
    if not isinstance(made, Request):
        return {}
    piece, plain = made.piece or Piece(), Piece()
    size = (piece.thickness, piece.gauge, piece.nominal, piece.schedule, piece.designation)
    named: _Told = {
        "size": size if any(part is not None for part in size) else None,
        "outside": piece.outside or None,
        "shape": piece.shape,
        "metal": piece.metal if piece.metal is not plain.metal else None,
        "surface": piece.surface if piece.surface is not plain.surface else None,
        "tip": made.tip,
        "fuel": made.fuel,
        "hose": (made.hose_length, made.hose_bore) if made.hose_length or made.hose_bore else None,
        "pressure": made.asked_pressure,
    }
    return {kind: value for kind, value in named.items() if value is not None}


def _after(
    heard: str, words: list[str], back: tuple[int, int], read: Read
) -> tuple[Meaning, float]:
    """What follows words that take back what was said before them."""
    denied, instead = _told(read(words[: back[0]])[0]), words[back[1] :]
    made, cost = read_denied(heard, instead, read) if instead else (_asked(heard), 0.0)
    if isinstance(made, Request) and _takes_the_place(_told(made), denied or {"size": None}):
        return _instead_of(denied, made), cost
    return NotUnderstood(heard, TAKEN_BACK), 0.0


def _corrected(heard: str, rest: list[str], denied: _Told, read: Read) -> tuple[Meaning, float]:
    """The rest of the words where it says what is so, else the question."""
    made, cost = read_denied(heard, rest, read) if rest else (_asked(heard), 0.0)
    if not isinstance(made, Request):
        return _asked(heard), 0.0
    told = _told(made)
    if _takes_the_place(told, denied):
        return _instead_of(denied, made), cost
    asks = "size" in denied and "size" not in told and "setting" not in made.defaults
    if asks and made.piece is not None and not made.follows and set(denied) <= {"size", "shape"}:
        return Question(made, Asks.THICKNESS, HOW_THICK), cost
    return _asked(heard), 0.0


def _takes_the_place(told: _Told, denied: _Told) -> bool:
    """Whether each denied value has another in its place; a shape may be left as it was."""
    needed = set(denied) - {"shape", "outside"} or set(denied)
    return needed <= set(told) and all(told[kind] != denied[kind] for kind in needed)


def _instead_of(denied: _Told, made: Request) -> Request:
    """The request, with the length that a bare one stands for: whose it was, the talk knows.

    "Half inch plate with a three quarter tip", "scrap the three quarter, it's inch": the tip's.
    """
    size = denied.get("size")
    length = size[0] if isinstance(size, tuple) else None
    if length is None or "setting" not in made.defaults:
        return made
    return replace(made, follows=True, denies=length)


def _asked(heard: str) -> NotUnderstood:
    return NotUnderstood(heard, SAY_WHAT_IT_IS)
