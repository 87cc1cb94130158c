"""What is told by who or what and what befalls it, in this order: "my sleeve" and "is on fire".

A table of words for things and a table of words for what happens to them give every sentence that
is made of both, so that none has to be thought of by itself.
"""

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

Group: TypeAlias = tuple[str, ...]
END = "$"
"""In a phrase: nothing may be said behind it."""

MOST_BETWEEN = 4  # small words between one group and the next

_APART = re.compile(r"(?<=[a-z])('s|'m|'re|'ve)(?= )")
_WHOLE = {"'s": " is", "'m": " am", "'re": " are", "'ve": " have"}


@dataclass(frozen=True, slots=True)
class Befalls:
    """One row of a table: a key is told where each group has a phrase of its own.

    Attributes:
        key: what is told by it.
        groups: phrases, group by group.
        between: words that may stand between two groups, few at a time.
        never_before: words that may not follow the last group: "burning half inch plate".
        unless: phrases with which it means something else, wherever they stand.
        in_order: the groups stand one behind the other; else they stand anywhere.
    """

    key: str
    groups: tuple[Group, ...]
    between: Group = ()
    never_before: Group = ()
    unless: Group = ()
    in_order: bool = True


def what_befalls(words: Sequence[str], rows: tuple[Befalls, ...]) -> tuple[str, ...]:
    """The keys that are told, in the order of the rows.

    >>> fire = Befalls("fire", (("rag", "my sleeve"), ("on fire", "burning")), ("is", "the"))
    >>> what_befalls("my sleeve's on fire".split(), (fire,))
    ('fire',)
    >>> what_befalls("burning rag".split(), (fire,))
    ()
    """
    text = spread(" ".join(words))
    return tuple(
        dict.fromkeys(
            row.key
            for row in rows
            if all(pattern.search(text) for pattern in _patterns(row))
            and not any(spread(phrase) in text for phrase in row.unless)
        )
    )


def spread(text: str) -> str:
    """A text between blanks, with what an apostrophe shortens spread out.

    >>> spread("i'm burning and the valve's hissing")
    ' i am burning and the valve is hissing '
    """
    return _APART.sub(lambda short: _WHOLE[short.group()], f" {text} ")


@functools.cache
def _patterns(row: Befalls) -> tuple[re.Pattern[str], ...]:
    """One pattern for groups in order, else one for each."""
    if not row.in_order:
        return tuple(re.compile(f"(?<= )(?:{_any_of(group)})(?= )") for group in row.groups)
    small = f"(?:(?:{_any_of(row.between)}) ){{0,{MOST_BETWEEN}}}" if row.between else ""
    groups = (f"(?:{_any_of(group)})" for group in row.groups)
    never = f"(?! (?:{_any_of(row.never_before)}) )" if row.never_before else ""
    return (re.compile("(?<= )" + f" {small}".join(groups) + f"(?= ){never}"),)


def _any_of(phrases: Group) -> str:
    """A pattern of any of the phrases; the end of the text where `END` stands."""
    return "|".join(
        re.escape(spread(phrase.removesuffix(END)).strip())
        + (r"(?= *$)" if phrase.endswith(END) else "")
        for phrase in phrases
    )
