"""The attention phrase, the user's own or the grammar's, as what is listened for."""

from typing import Final

from handsfree.errors import GrammarError
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.values import WordNetwork

SYLLABLES: Final = 3  # fewer are said by chance in any talk
_VOWELS: Final = frozenset("AEIOU")


def attention_network(phrase: str | None) -> WordNetwork:
    """The network of the attention state, with the user's own phrase if he has one.

    Raises:
        GrammarError: a word of it has no pronunciation, or it is too short to be told from talk.
    """
    from handsfree.understand.grammar import load_grammar

    folder, cache = shipped_folder("grammar"), cache_folder() / "grammar"
    try:
        network = load_grammar(folder, "attention", cache, phrase).word_network()
    except GrammarError as fault:
        if phrase is None:
            raise
        raise GrammarError(
            f"The attention phrase {phrase!r} cannot be listened for: {fault}."
            " Choose one of words that the helper knows."
        ) from fault
    if phrase is not None:
        phones = dict(network.pronunciations)
        vowels = [p for word in phrase.split() for p in phones[word][0] if p[0] in _VOWELS]
        if len(vowels) < SYLLABLES:
            raise GrammarError(
                f"The attention phrase {phrase!r} is too short: talk would call the helper."
                f" Choose one of {SYLLABLES} syllables or more."
            )
    return network
