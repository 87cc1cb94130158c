"""Words become the answer to the step of a list that waits: what is seen, read, named or wished.

The step decides what words mean: "clear" may be soot, holes or the ground below. What else was said
in the same breath must be harmless, else there is no answer in it: "one is shut" is not "shut".
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from handsfree.spoken_numbers import amount
from handsfree.understand.grammar import Grammar
from handsfree.understand.parser import Parser, Passable
from handsfree.understand.slots import Slots
from handsfree.understand.typed import typed_words
from handsfree.understand.understanding import HESITATIONS
from handsfree.values import Expect, Sight, Step, StepAnswer, StepAnswerKind, Words
from handsfree.values.heard import UNREAD
from handsfree.values.units import registry

PASS_OVER: Final = 0.5  # cost of a word that says nothing
MOST_MEANT: Final = 60  # sights for which one word may stand, all steps taken together
MOST_NAMED: Final = 6  # words of a name and an office
DOUBTED: Final = 0.6  # at most so sure of words whose next best reading would be another answer

# Nothing here may weaken, turn round or add to an answer: no "nearly", no "but", no "not".
SAYS_NOTHING: Final = frozenset(
    {"the", "a", "an", "my", "our", "this", "that", "these", "those", "it", "it's", "is", "are"}
    | {"i", "i'm", "i've", "we", "we've", "they", "they're", "there", "there's", "here", "he's"}
    | {"she's", "that's", "has", "have", "had", "got", "see", "can", "now", "then", "so", "and"}
    | {"well", "right", "okay", "ok", "oh", "ah", "yeah", "please", "mate", "thanks", "thank"}
    | {"you", "helper", "sir", "in", "of", "at", "to", "on", "with", "us", "me", "from", "was"}
    | {"gauge", "reads", "needle", "looks", "look", "sure", "all", "really", "very", "quite"}
)
ASKS: Final = frozenset({"is", "are", "was", "has", "can", "do", "does", "should", "shall"})
"""Who begins with one of these and goes on with a thing asks, and answers nothing: "is it shut"."""

_ASKED: Final = frozenset({"it", "they", "that", "this", "the", "these", "i", "we", "you", "both"})

_STEERS: Final = {
    "skip": StepAnswerKind.SKIP,
    "back": StepAnswerKind.BACK,
    "again": StepAnswerKind.AGAIN,
    "where": StepAnswerKind.WHERE,
    "stop": StepAnswerKind.STOP,
    "go on": StepAnswerKind.GO_ON,
}
_ZERO: Final = frozenset({"zero", "nought", "nothing", "oh"})
_IN_UNITS: Final = {
    "turns": "turn",
    "minutes": "minute",
    "seconds": "second",
    "hours": "hour",
    "feet": "foot",
}


class Answers:
    """Reads answers by the grammar of the state `answers`."""

    def __init__(self, grammar: Grammar) -> None:
        passable = {
            word: Passable(PASS_OVER) for word in SAYS_NOTHING if word not in grammar.heeded
        }
        self._parser = Parser(grammar.heard_as, passable, keep=MOST_MEANT)

    def of(self, heard: Words, step: Step) -> StepAnswer | None:
        """What the words are as an answer, though it be to another step; None when they are none.

        Where the next best reading of the sound would be another answer, it is less sure.
        """
        found = self._answer(heard.text, step)
        if found is None:
            return None
        others = (self._answer(text, step) for text in heard.others)
        rivals = any(
            other is not None and _said(other) != _said(found) and _weighs(other, step)
            for other in others
        )
        sureness = min(heard.sureness, DOUBTED) if rivals else heard.sureness
        return replace(found, sureness=sureness)

    def named(self, heard: Words) -> StepAnswer | None:
        """Any few words as a name; None where a part of them was not made out.

        They may as well be talk, so that they are never sure.
        """
        words = typed_words(heard.text).split()
        if UNREAD in heard.text or not words or len(words) > MOST_NAMED:
            return None
        return StepAnswer(StepAnswerKind.NAMED, text=heard.text, sureness=DOUBTED)

    def _answer(self, text: str, step: Step) -> StepAnswer | None:
        words = [word for word in typed_words(text).split() if word not in HESITATIONS]
        if UNREAD in text or not words or _asks(words):
            return None
        found = list(self._readings(words, step))
        return replace(min(found, key=lambda one: one[0])[1], text=text) if found else None

    def _readings(self, words: list[str], step: Step) -> Iterator[tuple[int, StepAnswer]]:
        """Every answer that the words can be, each with its rank: what this step asks goes first.

        One phrase as a whole goes before two ("soot is clear" has no soot in it), and something
        wrong that is seen before something right.
        """
        for reading in self._parser.readings(words, most=MOST_MEANT):
            slots = Slots(reading.slots)
            names = {name for name, _ in slots.said}
            if names == {"sight"}:
                seen = [sight for kind in slots.all("sight") if (sight := step.seen(kind))]
                if len(seen) == len(slots.said):
                    worst = min(seen, key=lambda sight: sight.right)
                    yield (1 if worst.right else 0) + 2 * (len(seen) > 1), _seen(worst)
                else:  # never the one that does fit: what stands beside it may turn it round
                    others = (kind for kind in slots.all("sight") if step.seen(kind) is None)
                    yield 8, StepAnswer(StepAnswerKind.SEEN, sight=next(others))
            elif names <= {"number", "unit", "hours", "turns", "number_is"}:
                if (read := _number(slots, step.limit.unit if step.limit else "")) is not None:
                    yield (1 if step.limit else 8), read
            elif names == {"named"} and step.expects is Expect.NAMED:
                yield 4, StepAnswer(StepAnswerKind.NAMED)
            elif names == {"cannot"}:
                yield 5, StepAnswer(StepAnswerKind.CANNOT)
            elif names == {"steer"} and len(slots.said) == 1:
                yield 5, StepAnswer(_STEERS[slots.said[0][1]])
            elif names == {"done"}:
                said = set(slots.all("done"))
                if len(said) == 1:
                    kind = StepAnswerKind.DONE if said == {"yes"} else StepAnswerKind.NOT_DONE
                    yield 6, StepAnswer(kind)


def _asks(words: list[str]) -> bool:
    """Whether the words are a question.

    >>> _asks(["is", "it", "shut"]), _asks(["is", "shut"])
    (True, False)
    """
    return words[0] in ASKS and len(words) > 1 and words[1] in _ASKED


def _seen(sight: Sight) -> StepAnswer:
    return StepAnswer(StepAnswerKind.SEEN, sight=sight.kind)


def _said(answer: StepAnswer) -> tuple[object, ...]:
    return answer.kind, answer.sight, answer.number, answer.unit


def _weighs(other: StepAnswer, step: Step) -> bool:
    """Whether taking one for the other would matter: two right sights are as good as one.

    A reading where none is asked for is no rival: nothing would come of it.
    """
    if other.kind is StepAnswerKind.NUMBER:
        return step.limit is not None
    seen = step.seen(other.sight)
    return other.kind is not StepAnswerKind.SEEN or seen is None or not seen.right


def _number(slots: Slots, unit: str) -> StepAnswer | None:
    """The one number of the slots, in the step's unit where it has one of the same kind."""
    for name, said_unit in (("hours", "hours"), ("turns", "turns"), ("number_is", "")):
        if (words := slots.all(name)) and len(slots.said) == 1:
            value = _value(words[0])
            return None if value is None else _in_unit(value, said_unit, unit)
    numbers, units = slots.all("number"), slots.all("unit")
    if len(numbers) != 1 or len(units) > 1:
        return None
    value = _value(numbers[0])
    return None if value is None else _in_unit(value, units[0] if units else "", unit)


def _value(words: str) -> float | None:
    if words in _ZERO:
        return 0.0
    found = amount(words.split())
    return None if found is None else float(found)


def _in_unit(value: float, said: str, wanted: str) -> StepAnswer:
    """The number in the wanted unit; in the one that was said where the two do not go together."""
    if not said or not wanted or said == wanted:
        return StepAnswer(StepAnswerKind.NUMBER, number=value, unit=wanted or said)
    amount_said = registry.Quantity(value, _IN_UNITS.get(said, said))
    into = _IN_UNITS.get(wanted, wanted)
    if not amount_said.is_compatible_with(into):
        return StepAnswer(StepAnswerKind.NUMBER, number=value, unit=said)
    return StepAnswer(StepAnswerKind.NUMBER, number=float(amount_said.m_as(into)), unit=wanted)
