"""Words become a request, a question about it, or the plain word that they were not understood."""

import functools
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

from handsfree.spoken_numbers import NUMBER_WORDS
from handsfree.understand.befalls import what_befalls
from handsfree.understand.denied import WHAT_INSTEAD, read_denied
from handsfree.understand.grammar import Grammar
from handsfree.understand.hazards import spotted_hazards, words_beside
from handsfree.understand.meaning import meaning
from handsfree.understand.nothing_lost import NO_CUT, Meaning, asked_about, left_over, with_pressure
from handsfree.understand.parser import MOST_WORDS, Parser, Passable, Reading
from handsfree.understand.typed import typed_words
from handsfree.understand.work_list import list_parts
from handsfree.values import (
    About,
    Consent,
    Control,
    NotUnderstood,
    Pick,
    Piece,
    Question,
    Request,
    Sense,
    Wanted,
    Words,
)
from handsfree.values.heard import UNREAD
from handsfree.values.reply import Asks
from handsfree.values.steps import EMERGENCIES

HESITATIONS = frozenset({"um", "uh", "er", "erm", "ah", "eh", "hmm", "mm", "huh", "like"})
# All that may be said with a yes: any talk holds one soon ("yes today", heard in "yesterday").
BESIDE_A_YES = frozenset(
    {"yes", "yep", "confirm", "correct", "affirmative", "that's", "right", "please", "thanks"}
    | {"okay", "ok", "yeah", "oh", "well", "helper", "mate", "sir", "thank", "you", "hey", "hello"}
    | {"alright", "now", "so"}
)
# Likewise with a no, which sounds like "know".
BESIDE_A_NO = BESIDE_A_YES | frozenset(
    {"no", "nope", "nah", "negative", "wrong", "not", "never", "mind", "cancel", "forget", "way"}
    | {"scratch", "leave", "wait", "it", "it's", "is", "isn't", "ain't", "do", "don't", "that"}
    | {"this", "the", "a"}
)
_SHORTENED = ("'s", "'ll", "'d", "'re", "'ve", "s'")
_INFLECTED = (
    *(("es", ""), ("ies", "y"), ("ed", ""), ("ed", "e"), ("ied", "y")),
    *(("ing", ""), ("ing", "e"), ("er", ""), ("er", "e"), ("ly", "")),
)
_NOT_APART = frozenset({"it's", "that's", "what's", "there's", "how's", "where's", "let's"})
SHORTEST_BASE = 3
IMPLIED = 0.8  # cost of a reading in which nothing is asked for in so many words
PASS_OVER = 0.5  # cost of a word that no rule takes up
PASS_OVER_KNOWN = 1.2  # of a word that stands only inside rules, such as a verb
SPLIT = 0.8  # of a reading that leaves a number without its unit
SENSELESS = 6.0  # nats: what does not mean anything was less likely said by so much
LOOSE = 1.3  # nats: and likewise for each unit of what a reading costs
EVEN = 0.3  # two readings whose costs differ by less are both weighed
MOST_TALK = 6  # words of common talk beside a question with a size in it
LITTLE_TALK = 2  # beside one that names a piece, steps or tips, but no size
_ENDINGS = frozenset(
    {"inch", "inches", "eighth", "eighths", "sixteenth", "sixteenths", "quarters", "fourths"}
    | {"millimetres", "millimeters", "mil", "hundred", "point"}
)
_FIGURES = frozenset(
    {"oh", "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
)
_NO_NUMBER = frozenset({"a", "an", "and", "over", "second", "seconds"})
_TALKED_OF = frozenset({"wet", "alone"})  # dangers only beside a request
_OF_A_SIZE = (NUMBER_WORDS - _NO_NUMBER) | {"inch", "gauge", "plate", "pipe", "beam"}
_NAMED_THINGS = (About.STEPS, About.TIP_BOX, About.RIG, About.TECHNIQUE)
AGAIN = "I can take that two ways. Say it again, with inch, gauge or tip in it."
NO_EMERGENCY = "I took that for no emergency. If it is one, say it again in a word."
FIRE_IS_OUT = "Where it burned, go on watching. For the time of that say, set the fire watch."
HINTS = (
    "what do i set for half inch plate",
    "how fast with a quarter inch tip on three quarter plate",
    "my oxygen gauge is dead",
    "help",
)

_Meant: TypeAlias = tuple[Reading, Meaning]


def ends_a_number(words: Sequence[str], at: int) -> bool:
    """Whether the word at a place can only end the number before it: "quarter | inch tip".

    Figures with an "oh" among them are a name ("three oh four"), and no decimal goes on from it;
    each figure behind a point belongs to its decimal.

    >>> ends_a_number(["quarter", "inch"], 1), ends_a_number(["an", "inch"], 1)
    (True, False)
    >>> ends_a_number(["point", "two", "five"], 2), ends_a_number(["two", "five"], 1)
    (True, False)
    """
    before, word = words[at - 1], words[at]
    if word in _FIGURES:
        start = at - 1
        while start > 0 and words[start] in _FIGURES:
            start -= 1
        return words[start] == "point"
    if word == "point" and at > 1 and words[at - 2] == "oh":
        return False
    return word in _ENDINGS and before in NUMBER_WORDS and before not in _NO_NUMBER


class Understanding:
    """The parser of one listening state with its list of unsafe wishes."""

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        ruled = dict.fromkeys(
            grammar.heard_as.words, Passable(PASS_OVER_KNOWN, talk=True, asked=True)
        )
        passable = ruled | dict.fromkeys(grammar.talk, Passable(PASS_OVER, talk=True))
        passable |= dict.fromkeys(grammar.small, Passable(PASS_OVER_KNOWN, talk=True))
        passable |= dict.fromkeys(grammar.weighty, Passable(PASS_OVER, asked=True))
        for word in grammar.heeded:
            passable.pop(word, None)
        passable |= dict.fromkeys(grammar.harmless, Passable(PASS_OVER))
        self._parser = Parser(grammar.heard_as, passable, ends_a_number)
        spotted = {
            word
            for _, groups in grammar.spotted
            for group in groups
            for phrase in group
            for word in phrase.split()
        }
        self._known = grammar.words() | HESITATIONS
        self._recognised = self._known | spotted

    def request(self, heard: Words) -> Meaning | NotUnderstood:
        """The request that heard or typed words make."""
        return self._weighed(heard)[0]

    def sense(self, text: str) -> Sense:
        """What a text comes to, itself where that is nothing, and how unlikely it is to be said.

        The more words no rule takes up, the likelier they were heard wrongly.
        """
        understood, cost = self._weighed(Words(text))
        if isinstance(understood, NotUnderstood):
            return Sense(text, SENSELESS)
        return Sense(understood, LOOSE * cost)

    def _weighed(self, heard: Words) -> tuple[Meaning | NotUnderstood, float]:
        """The request that words make, and what its reading costs."""
        if parts := list_parts(heard.text):
            return self._list(heard, parts), 0.0
        said = [word for word in typed_words(heard.text).split() if word not in HESITATIONS]
        heeded = self._grammar.heeded
        if urgent := what_befalls(said, self._grammar.emergencies):
            return Request(About.STEPS, steps=urgent[0]), 0.0
        spoken = [plain_word(word, self._recognised, heeded) for word in said]
        words = _names([plain_word(word, self._known, heeded) for word in said])
        if hazards := self._hazards(said, spoken):
            loose = len(words_beside(spoken, hazards, self._grammar.spotted))
            if (unsafe := self._unsafe(heard.text, words, hazards)) is not None:
                return unsafe, IMPLIED + PASS_OVER * loose
        if UNREAD in heard.text:
            words = [word for word in words if word != "unk"]
        why_not = "" if words else "I heard no request."
        if len(words) > MOST_WORDS:
            why_not = "That was too long. Ask for one cut at a time."
        elif words and UNREAD in heard.text:
            why_not = "I did not get all of that. Say it again."
        if why_not:
            return NotUnderstood(heard.text, why_not, HINTS), 0.0
        made, cost = read_denied(heard.text, words, functools.partial(self._read, heard.text))
        if isinstance(made, NotUnderstood) and made.why in WHAT_INSTEAD:
            made = replace(made, hints=HINTS)
        return self._calmed(heard.text, said, words, with_pressure(made, said)), cost

    def _calmed(
        self, heard: str, said: Sequence[str], words: list[str], made: Meaning | NotUnderstood
    ) -> Meaning | NotUnderstood:
        """What was made, or no emergency where its word tells of none: "the car backfired"."""
        if not isinstance(made, Request) or made.steps not in EMERGENCIES:
            return made
        text, calm = f" {' '.join(said)} ", self._grammar.calm
        if any(f" {phrase} " in text for phrase in calm.get(made.steps or "", ())):
            return NotUnderstood(heard, NO_EMERGENCY)
        plain = f" {' '.join(words)} "
        for name in calm.get("names", ()):
            plain = plain.replace(f" {name} ", " ")
        rest = plain.split()
        again = self._read(heard, rest)[0] if rest != words else made
        same = isinstance(again, Request) and again.steps == made.steps
        return made if same else NotUnderstood(heard, NO_EMERGENCY)

    def _read(self, heard: str, words: list[str]) -> tuple[Meaning | NotUnderstood, float]:
        """The request that plain words make, and what its reading costs."""
        readings = self._parser.readings(words)
        if readings and readings[0].slots == (("over", "fire"),):
            return NotUnderstood(heard, FIRE_IS_OUT, HINTS), 0.0
        found = self._meanings(readings)
        if not found:  # "tip's", which rules know, for "tip is"
            apart = [_before_apostrophe(word, self._known) for word in words]
            found = self._meanings(self._parser.readings(apart)) if apart != words else []
        if not found:
            return self._not_understood(heard, words), 0.0
        best, first = _fullest(found)
        if first == Consent(True) and not BESIDE_A_YES.issuperset(words):
            unsure = "I am not sure that this is a yes. Say yes or no."
            return NotUnderstood(heard, unsure), 0.0
        if first == Consent(False) and not BESIDE_A_NO.issuperset(words):
            unsure = "I am not sure that this is a no. Say yes or no."
            return NotUnderstood(heard, unsure), 0.0
        for reading, made in found:
            rival = reading.cost - best.cost < EVEN and _figures(made) != _figures(first)
            if rival and not _is_poorer(reading, best):
                return Question(None, Asks.READING, AGAIN, ()), best.cost
        return asked_about(heard, first, left_over(best)), best.cost

    def _hazards(self, said: Sequence[str], spoken: Sequence[str]) -> tuple[str, ...]:
        """The unsafe wishes that are named, and what is told of the piece and its place."""
        spotted = spotted_hazards(spoken, self._grammar.spotted)
        return tuple(dict.fromkeys((*spotted, *what_befalls(said, self._grammar.told))))

    def _unsafe(self, heard: str, words: list[str], hazards: tuple[str, ...]) -> Request | None:
        """A request that carries hazards: with its piece, where the rest makes one.

        None where nothing is asked and men only talk of the weather.
        """
        made = NotUnderstood(heard, "") if UNREAD in heard else self._read(heard, words)[0]
        request = made.request if isinstance(made, Question) else made
        if isinstance(request, Request) and request.about not in NO_CUT and not request.follows:
            return replace(request, hazards=tuple(dict.fromkeys((*hazards, *request.hazards))))
        if _TALKED_OF.issuperset(hazards) and not _OF_A_SIZE & set(words):
            return None
        return Request(About.SETTING, hazards=hazards)

    def _list(self, heard: Words, parts: Sequence[str]) -> Meaning | NotUnderstood:
        """A typed list as one request; what is no piece is named, and nothing is lost silently."""
        wanted: list[Wanted] = []
        for part in parts:
            made = self.request(replace(heard, text=part))
            if isinstance(made, Request) and (made.about is not About.TAKE_UP or not made.wanted):
                said = part.removeprefix("going up ")
                made = NotUnderstood(heard.text, f"I found no piece in {said}.", HINTS)
            if not isinstance(made, Request) or made.hazards:
                return made
            wanted += made.wanted
        return Request(About.TAKE_UP, wanted=tuple(wanted))

    @staticmethod
    def _meanings(readings: Sequence[Reading]) -> list[_Meant]:
        """What the readings mean, cheapest first; asking in so many words is worth a little."""
        found: list[_Meant] = []
        best = float("inf")
        for reading in readings:
            if reading.cost > best + EVEN:
                break  # what follows costs more still: neither the best nor its rival
            made = meaning(reading)
            if made is not None and not _too_loose(reading, made):
                cost = reading.cost + IMPLIED * _is_implied(made)
                cost += SPLIT * isinstance(made, Question)
                best = min(best, cost)
                found.append((replace(reading, cost=cost), made))
        return sorted(found, key=lambda meant: meant[0].cost)

    def _not_understood(self, heard: str, words: Sequence[str]) -> NotUnderstood:
        unknown = tuple(dict.fromkeys(word for word in words if word not in self._known))
        if unknown:
            named = ", ".join(unknown[:3])
            return NotUnderstood(heard, f"I do not know what {named} means here.", HINTS)
        return NotUnderstood(heard, "I could not make one request of that.", HINTS)


def plain_word(word: str, known: frozenset[str], heeded: frozenset[str] = frozenset()) -> str:
    """The word as the grammar knows it: "bottle's" as "bottle", "cuttin" as "cutting".

    What is cut off is no more than "is", "has", "will" and "would", or the ending of a plural or of
    a verb; a "not" stays, and so does what only an ending keeps from being a heeded word.
    """
    if word in known:
        return word
    for ending in _SHORTENED:
        if word.endswith(ending) and word.removesuffix(ending) in known:
            return word.removesuffix(ending)
    bare = word.rstrip("'")
    if bare.endswith("in") and len(bare) > SHORTEST_BASE + 1:
        bare += "g"
    if bare in known:
        return bare
    if bare.endswith("ties") and f"{bare[:-3]}y" in known:
        return f"{bare[:-3]}y"  # a few W twelve by forties
    if bare.endswith("s") and bare[:-1] in known and len(bare) > SHORTEST_BASE:
        return bare[:-1]
    for ending, instead in _INFLECTED:
        base = bare.removesuffix(ending)
        if base == bare or len(base) < SHORTEST_BASE:
            continue
        if not instead and base[-1] == base[-2] and base[:-1] in known - heeded:
            return base[:-1]  # trimming, from trim
        if base + instead in known and base + instead not in heeded:
            return base + instead
    return word


def _names(words: list[str]) -> list[str]:
    """The words, with "red lead" as the paint that it is: no hose, and no metal that glows."""
    return f" {' '.join(words)} ".replace(" red lead ", " lead paint ").split()


def _before_apostrophe(word: str, known: frozenset[str]) -> str:
    base = word.removesuffix("'s")
    return base if base in known and word not in _NOT_APART else word


def _fullest(found: Sequence[_Meant]) -> _Meant:
    """The cheapest reading, or one about as cheap that takes up all it does and more."""
    best = found[0]
    for other in found[1:]:
        if other[0].cost - found[0][0].cost < EVEN and set(best[0].slots) < set(other[0].slots):
            best = other
    return best


def _figures(made: Meaning) -> tuple[object, ...]:
    """All that was said in numbers: where it differs, no meaning may be picked silently."""
    if isinstance(made, Consent | Control | Pick):
        return (made,)
    request = made if isinstance(made, Request) else made.request
    options = made.options if isinstance(made, Question) else ()
    if request is None:
        return (options,)
    piece = request.piece or Piece()
    return (
        *(piece.thickness, piece.gauge, piece.nominal, piece.schedule, piece.designation),
        *(piece.outside, piece.carbon_percent, request.tip, request.hose_length),
        *(request.hose_bore, request.asked_pressure, request.oxygen_purity_percent),
        *(request.conversion and request.conversion.amount, options),
    )


def _is_implied(made: Meaning) -> bool:
    request = made.request if isinstance(made, Question) else made
    return isinstance(request, Request) and "setting" in request.defaults


def _is_poorer(reading: Reading, best: Reading) -> bool:
    """Whether a reading only leaves out or takes apart what the best one takes as a whole."""
    apart = ("tip_word", "yes") in reading.slots and ("tip_word", "yes") not in best.slots
    return apart or set(reading.slots) < set(best.slots)


def _too_loose(reading: Reading, made: Meaning) -> bool:
    """Whether more common talk was passed over than beside such a request is likely."""
    if isinstance(made, Consent | Control | Pick):
        return reading.talk > 0
    request = made if isinstance(made, Request) else made.request
    if request is None or "setting" in request.defaults:
        return reading.talk > 0
    if request.about is About.HELP:
        return reading.talk > 0
    if request.about is About.PRACTICE or (
        request.about is About.TIP_BOX and request.tip is not None
    ):
        return reading.talk + len(reading.asked) > 1  # the quarter past train was full
    if any(figure is not None and figure != () for figure in _figures(request)):
        return reading.talk > MOST_TALK
    named = request.piece is not None or request.about in _NAMED_THINGS
    return reading.talk > LITTLE_TALK if named else bool(reading.talk or reading.asked)
