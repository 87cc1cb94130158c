"""Unsafe wishes are spotted in any wording, by words that together say nothing else."""

from collections.abc import Sequence

SpottedRules = tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]


def spotted_hazards(words: Sequence[str], rules: SpottedRules) -> tuple[str, ...]:
    """Keys of the unsafe wishes that the words name, in the order of the rules.

    Args:
        words: what was said.
        rules: for each wish, groups of words or phrases; every group needs one of its own.

    >>> spotted_hazards("light it with a match".split(), (("matches", (("light",), ("match",))),))
    ('matches',)
    """
    said = f" {' '.join(words)} "
    text = f"{said}/" + said.replace("'s ", " ")  # "the bottle's lying down" names a bottle, too
    found = [
        wish
        for wish, groups in rules
        if all(any(f" {phrase} " in text for phrase in group) for group in groups)
    ]
    return tuple(dict.fromkeys(found))


def words_beside(
    words: Sequence[str], wishes: Sequence[str], rules: SpottedRules
) -> tuple[str, ...]:
    """The words that have no part in any of these wishes.

    >>> rules = (("matches", (("light", "light it"), ("match",))),)
    >>> words_beside("please light it with a match".split(), ("matches",), rules)
    ('please', 'with', 'a')
    """
    named = {
        word
        for wish, groups in rules
        if wish in wishes
        for group in groups
        for phrase in group
        for word in phrase.split()
    }
    return tuple(word for word in words if word not in named)
