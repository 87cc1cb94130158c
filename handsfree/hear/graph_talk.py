"""Turns the pronunciations of common words into a tree of phones whose equal ends are shared.

The filler runs along it beside its plain phones: talk that is made of common words then costs less
than the same sounds taken one by one, and noise cannot bend it into anything.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TypeAlias

from handsfree.errors import ModelError

FILE = "talk.txt"  # of a model folder

TalkWords: TypeAlias = tuple[tuple[str, ...], ...]
TalkStep: TypeAlias = tuple[int, int, bool]  # phone, state after it (0: none), whether a word ends
TalkStates: TypeAlias = tuple[tuple[TalkStep, ...], ...]

_END = -1
_Tree: TypeAlias = dict[int, "_Tree"]


def talk_words(model: Path) -> TalkWords:
    """Pronunciations in a model folder's `talk.txt`; none where there is no such file.

    A line holds a word and its phones, parted by blanks.

    Raises:
        ModelError: a line is something else.
    """
    path = model / FILE
    if not path.is_file():
        return ()
    spoken = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if not line or line.startswith("#"):
            continue
        _, *phones = line.split()
        if not phones:
            raise ModelError(
                f"{path}, line {number}: {line} has no phones. "
                "Install the project again, or name a model folder with --model."
            )
        spoken.append(tuple(phones))
    return tuple(spoken)


def talk_states(words: Iterable[Iterable[str]], known: Mapping[str, int]) -> TalkStates:
    """The steps from each state, state 0 being where every word begins.

    Args:
        words: pronunciations; one with a phone that is not known is left out.
        known: numbers of the phones.

    >>> talk_states(["AB", "ABC", "DBC"], {"A": 0, "B": 1, "C": 2, "D": 3})
    (((0, 2, False), (3, 3, False)), ((2, 0, True),), ((1, 1, True),), ((1, 1, False),))
    """
    tree: _Tree = {}
    for word in words:
        phones = [known.get(phone, _END) for phone in word]
        if not phones or _END in phones:
            continue
        branch = tree
        for phone in phones:
            branch = branch.setdefault(phone, {})
        branch[_END] = {}
    states: list[tuple[TalkStep, ...]] = [()]
    numbers: dict[tuple[TalkStep, ...], int] = {}

    def steps_of(branch: _Tree) -> tuple[TalkStep, ...]:
        return tuple(
            (phone, number(further) if len(further) > (_END in further) else 0, _END in further)
            for phone, further in sorted(branch.items())
            if phone != _END
        )

    def number(branch: _Tree) -> int:
        steps = steps_of(branch)
        if steps not in numbers:
            numbers[steps] = len(states)
            states.append(steps)
        return numbers[steps]

    if tree:
        states[0] = steps_of(tree)
    return tuple(states) if tree else ()
