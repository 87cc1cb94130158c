"""Words become a request, a question about it, or the plain word that they were not understood."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

from handsfree.understand.grammar import Grammar
from handsfree.understand.hazards import spotted_hazards
from handsfree.understand.meaning import meaning
from handsfree.understand.parser import MOST_WORDS, Parser, Passable, Reading
from handsfree.understand.typed import typed_words
from handsfree.values import About, Consent, NotUnderstood, Question, Request, Words

HESITATIONS = frozenset({"um", "uh", "er", "erm", "ah", "eh", "hmm", "mm", "huh", "like"})
_SHORTENED = ("'s", "'ll", "'d", "'re", "'ve", "s'")
IMPLIED = 0.8  # cost of a reading in which nothing is asked for in so many words
PASS_OVER = 0.5  # cost of a word that no rule takes up
PASS_OVER_KNOWN = 1.2  # of a word that stands only inside rules, such as a verb
EVEN = 0.3  # two meanings whose costs differ by less are both offered
UNK = "[unk]"
AGAIN = "I can take that two ways. Say it again, with inch, gauge or tip in it."
HINTS = (
    "what do i set for half inch plate",
    "how fast with a quarter inch tip on three quarter plate",
    "my oxygen gauge is dead",
    "help",
)

Meaning: TypeAlias = Request | Question | Consent
_Meant: TypeAlias = tuple[Reading, Meaning]


class Understanding:
    """The parser of one listening state with its list of unsafe wishes."""

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        ruled = dict.fromkeys(grammar.heard_as.words, Passable(PASS_OVER_KNOWN, talk=True))
        passable = ruled | dict.fromkeys(grammar.talk, Passable(PASS_OVER, talk=True))
        for word in grammar.heeded:
            passable.pop(word, None)
        passable |= dict.fromkeys(grammar.harmless, Passable(PASS_OVER))
        self._parser = Parser(grammar.heard_as, passable)
        self._known = grammar.words() | HESITATIONS

    def request(self, heard: Words) -> Request | Question | Consent | NotUnderstood:
        """The request that heard or typed words make."""
        words = [
            plain_word(word, self._known)
            for word in typed_words(heard.text).split()
            if word not in HESITATIONS
        ]
        if UNK in heard.text:
            words = [word for word in words if word != "unk"]
        if hazards := spotted_hazards(words, self._grammar.spotted):
            return Request(About.SETTING, hazards=hazards)
        if not words:
            return NotUnderstood(heard.text, "I heard no request.", HINTS)
        if len(words) > MOST_WORDS:
            return NotUnderstood(heard.text, "That was too long. Ask for one cut at a time.", HINTS)
        if UNK in heard.text:
            return NotUnderstood(heard.text, "I did not get all of that. Say it again.", HINTS)
        found = self._meanings(self._parser.readings(words))
        if not found:
            return self._not_understood(heard.text, words)
        best, first = _fullest(found)
        for reading, made in found:
            rival = reading.cost - best.cost < EVEN and made != first
            if rival and not set(reading.slots) < set(best.slots):
                return _which(first, made)
        return first

    @staticmethod
    def _meanings(readings: Sequence[Reading]) -> list[_Meant]:
        """What the readings mean, cheapest first; asking in so many words is worth a little."""
        found = []
        for reading in readings:
            made = meaning(reading)
            if made is not None:
                implied = isinstance(made, Request) and "setting" in made.defaults
                found.append((replace(reading, cost=reading.cost + IMPLIED * implied), made))
        return sorted(found, key=lambda meant: meant[0].cost)

    def _not_understood(self, heard: str, words: Sequence[str]) -> NotUnderstood:
        unknown = tuple(dict.fromkeys(word for word in words if word not in self._known))
        if unknown:
            named = ", ".join(unknown[:3])
            return NotUnderstood(heard, f"I do not know what {named} means here.", HINTS)
        return NotUnderstood(heard, "I could not make one request of that.", HINTS)


def plain_word(word: str, known: frozenset[str]) -> str:
    """The word as the grammar knows it: "bottle's" as "bottle", "cuttin" as "cutting".

    What is cut off is no more than "is", "has", "will" and "would"; a "not" stays.
    """
    if word in known:
        return word
    for ending in _SHORTENED:
        if word.endswith(ending) and word.removesuffix(ending) in known:
            return word.removesuffix(ending)
    longer = f"{word.removesuffix(chr(39))}g"
    return longer if word.rstrip(chr(39)).endswith("in") and longer in known else word


def _fullest(found: Sequence[_Meant]) -> _Meant:
    """The cheapest reading, or one about as cheap that takes up all it does and more."""
    best = found[0]
    for other in found[1:]:
        if other[0].cost - found[0][0].cost < EVEN and set(best[0].slots) < set(other[0].slots):
            best = other
    return best


def _which(first: Meaning, second: Meaning) -> Question:
    """Ask between two meanings of the same words by what differs in them."""
    if not isinstance(first, Request) or not isinstance(second, Request):
        return first if isinstance(first, Question) else Question(None, "reading", AGAIN, ())
    if first.about is not second.about:
        options = tuple(str(request.about).replace("_", " ") for request in (first, second))
        return Question(None, "about", f"Do you want {options[0]}, or {options[1]}?", options)
    return Question(None, "reading", AGAIN, ())
