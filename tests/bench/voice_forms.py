"""What the voice bench reads back: the helper's sentences, their forms, and the numbers in them.

A form is a sentence with a slot in place of each number. The listener knows the forms, as a user
comes to know them; what number stands in a slot is open to him: whole, decimal, fraction, mixed, or
figure by figure; one that is said twice ("sixty, six oh") is said twice, whichever it is.
"""

import random
import re
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import islice, product
from pathlib import Path
from tempfile import TemporaryDirectory

import yaml

from handsfree.session.session import Session
from handsfree.spoken_numbers import NUMBER_WORDS, amount, digits_aloud, heard_twice
from handsfree.spoken_numbers.vocabulary import DENOMINATORS
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Settings
from handsfree.understand.grammar_files import GrammarFiles, read_texts
from handsfree.understand.network import Network, NetworkBuilder
from handsfree.understand.rules import Choice, Node, Reference, Word, parse_expansion
from handsfree.understand.rules import Sequence as InOrder
from handsfree.values import Arc, WordNetwork, Words

ROOT = Path(__file__).resolve().parents[2]
SLOT, TWICE = "<number>", "<twice>"
SLOTS = (SLOT, TWICE)
NOT_FIRST = frozenset({"a", "an", "and", "point"})
# Rarest first: a sentence counts as of the rarest kind of number in it.
KINDS = (
    "said twice",
    "millimetres",
    "drills",
    "decimals",
    "other wholes",
    "ends of ranges",
    "fractions",
)
FRACTIONS = frozenset(name for names in DENOMINATORS.values() for name in names)
NUMBER_RULES = {
    "digit": "one | two | three | four | five | six | seven | eight | nine",
    "teen": "ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen"
    " | eighteen | nineteen",
    "tens": "twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety",
    "below_hundred": "<digit> | <teen> | <tens> [<digit>]",
    "whole": "<below_hundred> | [<digit> thousand] <digit> hundred [[and] <below_hundred>]"
    " | <digit> thousand [[and] <below_hundred>]",
    "figure": "<digit> | oh",
    "decimal": "[<below_hundred> | zero | <digit> hundred [[and] <below_hundred>]]"
    " point <figure> [<figure> [<figure> [<figure>]]]",
    "figures": "<figure> <figure> [<figure> [<figure>]]",
    TWICE[1:-1]: " | ".join(
        digits_aloud(n).replace(",", "") for n in range(13, 1000) if heard_twice(n)
    ),
    "part": "half | a half | one half | (one | three) (quarter | quarters) | a quarter | quarter"
    " | [an | one | three | five | seven] (eighth | eighths) | <digit> (tenth | tenths)"
    " | [a | <digit> | <teen>] (sixteenth | sixteenths)"
    " | <below_hundred> thirty (second | seconds) | <below_hundred> sixty (fourth | fourths)",
    "mixed": "<below_hundred> and <part>",
    "number": "<whole> | <decimal> | <figures> | <part> | <mixed> | zero | ought | double ought",
}
# Pieces, tips and gases as asked for; every fourth combination is one request.
PIECES = (
    *(f"{size} plate" for size in (
        "three sixteenths", "quarter inch", "five sixteenths", "three eighths", "half inch",
        "five eighths", "three quarter", "seven eighths", "one inch", "inch and a quarter",
        "inch and a half", "two inch", "two and a half inch", "three inch", "four inch",
        "five inch", "six inch", "eight inch", "ten inch", "five mil", "eight mil", "ten mil",
        "twelve mil", "fifteen mil", "sixteen mil", "twenty mil", "thirty mil", "fifty mil",
        "sixty mil",
    )),
    "ten gauge sheet", "sixteen gauge sheet", "four inch schedule forty pipe",
    "six inch schedule eighty pipe", "w ten by thirty three", "w fourteen by thirty",
    "four by four by three eighths angle", "six by six by half tube",
)  # fmt: skip
TIPS = (
    "", "with a quarter inch tip", "with a one inch tip", "with a number fifty six drill tip",
    "with a number sixty drill tip", "with a number two tip made for half inch plate",
)  # fmt: skip
ASKED = ("what do i set for {}", "how fast on {}", "oxygen pressure for {}", "kerf on {}")
FUELS = ("", " on propane", " on natural gas")
CONVERTED = (
    "what's five eighths in millimetres", "what's fifteen millimetres in inches",
    "what's fifty millimetres in inches", "three bar in psi", "fifteen psi in kilopascals",
    "thirteen sixteenths in millimetres", "what is point three one two in millimetres",
    "twenty two millimetres in inches", "fifty psi in bar", "number fifty six drill in inches",
    "number sixteen drill in inches", "number sixty drill in inches", "sixty psi in kilopascals",
    "eighteen millimetres in inches", "eighty psi in bar", "nine sixty fourths in millimetres",
)  # fmt: skip


@dataclass(frozen=True)
class Said:
    """A sentence of the helper, its words with slots, and what stands in these."""

    sentence: str
    form: tuple[str, ...]
    numbers: tuple[str, ...]


def helpers_sentences() -> list[Said]:
    """Every sentence with a number in it that the helper says to all these requests, once.

    Sources and rules are left out: nobody sets anything by the year of a book or a clause.
    """
    asked = [
        f"{form.format(piece)} {tip}{fuel}"
        for form, piece, tip, fuel in islice(product(ASKED, PIECES, TIPS, FUELS), 0, None, 4)
    ]
    said: dict[str, None] = {}
    with TemporaryDirectory() as kept:
        session = Session(Settings(Path(kept)))
        for request in (*asked, *CONVERTED, *_phrases()):
            session.start_afresh()
            told = session.take(Words(request))
            said |= dict.fromkeys((*told.sentences, *told.more))
    spoken = (
        taken_apart(one) for one in said if not re.search(r"^Source|\b[A-Z] [A-Z] [A-Z]\b", one)
    )
    return [one for one in spoken if one.numbers]


def _phrases() -> list[str]:
    found = []
    for file in sorted((ROOT / "tests/talks").glob("phrases_*.yaml")):
        found += [phrase["say"] for phrase in yaml.safe_load(file.read_text(encoding="utf-8"))]
    return found


def taken_apart(sentence: str) -> Said:
    """A sentence with its numbers in slots; a stop or a comma ends a number."""
    form: list[str] = []
    numbers: list[str] = []
    for chunk in re.split(r"[,.?]", sentence.lower()):
        words = chunk.split()
        begins = True
        while words:
            length = number_length(words)
            if not length:
                form.append(words[0])
            elif begins and form[-1:] == [SLOT] and _is_said_again(numbers[-1], words[:length]):
                numbers[-1] += " " + " ".join(words[:length])
                form[-1] = TWICE
            else:
                numbers.append(" ".join(words[:length]))
                form.append(SLOT)
            begins = False
            words = words[max(length, 1) :]
    return Said(sentence, tuple(form), tuple(numbers))


def _is_said_again(number: str, words: Sequence[str]) -> bool:
    value = amount(number.split())
    whole = value is not None and value.denominator == 1 and heard_twice(int(value))
    return whole and digits_aloud(int(value or 0)).split(", ")[1:] == [" ".join(words)]


def number_length(words: Sequence[str]) -> int:
    """How many words from the first on are the longest number; 0 when none is."""
    if words[0] not in NUMBER_WORDS or words[0] in NOT_FIRST - {"point"}:
        return 0
    reach = next((n for n, word in enumerate(words) if word not in NUMBER_WORDS), len(words))
    return next((n for n in range(reach, 0, -1) if amount(list(words[:n])) is not None), 0)


def plain(number: str) -> str:
    """A number by its words less what no listener cares for: "three quarters", "one half"."""
    said = re.sub(r"\b(quarter|eighth|tenth|sixteenth|second|fourth)s\b", r"\1", number)
    said = re.sub(r"\b(?:a|an|and)\b ?", "", said)
    return re.sub(r"(^|(?<=[a-z]) )one (?=(?:half|quarter|eighth|sixteenth)$)", r"\1", said)


def kind_of(said: Said, at: int) -> str:
    """What kind of number stands in a slot."""
    number = said.numbers[at]
    place = [place for place, word in enumerate(said.form) if word in SLOTS][at]
    before, after = said.form[:place][-1:], said.form[place + 1 : place + 3]
    words = number.split()
    if said.form[place] == TWICE:
        return "said twice"
    if "point" in words:
        return "decimals"
    if FRACTIONS & {*words}:
        return "fractions"
    if before == ("number",) or "drill" in after[:1]:
        return "drills"
    if after[:1] == ("to",) or before == ("to",):
        return "ends of ranges"
    return "millimetres" if after[:1] and after[0].startswith("millimetre") else "other wholes"


def some(found: Iterable[Said], half: int, least_numbers: int) -> list[Said]:
    """A half of the sentences (0 to choose by, 1 to measure by), every kind of number in turn.

    Drawn the same at each run.
    """
    by_kind: dict[str, list[Said]] = {kind: [] for kind in KINDS}
    for one in found:
        if zlib.crc32(one.sentence.encode()) % 2 == half:
            kinds = {kind_of(one, at) for at in range(len(one.numbers))}
            by_kind[min(kinds, key=KINDS.index)].append(one)
    chance = random.Random(half)
    for alike in by_kind.values():
        alike.sort(key=lambda one: one.sentence)
        chance.shuffle(alike)
    drawn: list[Said] = []
    while any(by_kind.values()):
        for alike in by_kind.values():
            if sum(len(one.numbers) for one in drawn) >= least_numbers:
                return drawn
            if alike:
                drawn.append(alike.pop())
    return drawn


def network_of(said: Iterable[Said]) -> WordNetwork:
    """All forms of these sentences, with any number in each slot."""
    rules = _number_rules()
    forms = sorted({one.form for one in said})
    rules["sentence"] = Choice(tuple((_rule(form), 1.0) for form in forms))
    built = NetworkBuilder(rules).build("sentence")
    arcs = tuple(Arc(start, end, word, "", 0.0) for start, end, word, _, _ in built.arcs)
    words = sorted({arc.word for arc in arcs if arc.word})
    return WordNetwork("sentences", built.states, arcs, ((built.final, 0.0),), _spoken(words))


def unreadable(said: Iterable[Said]) -> set[str]:
    """Numbers that no slot can hold, so that they could not be read back however well said."""
    slots = {slot: NetworkBuilder(_number_rules()).build(slot[1:-1]) for slot in SLOTS}
    asked = {
        (number, slot)
        for one in said
        for number, slot in zip(one.numbers, filter(SLOTS.__contains__, one.form), strict=True)
    }
    return {number for number, slot in asked if not _holds(slots[slot], number.split())}


def _holds(network: Network, words: Sequence[str]) -> bool:
    """Whether the words are a way through the network."""
    states = _without_words(network, {0})
    for spoken in words:
        ahead = {
            end for state in states for end, word, _, _ in network.leaving(state) if word == spoken
        }
        states = _without_words(network, ahead)
    return network.final in states


def _without_words(network: Network, states: set[int]) -> set[int]:
    found, waiting = set(states), list(states)
    while waiting:
        for end, word, _, _ in network.leaving(waiting.pop()):
            if not word and end not in found:
                found.add(end)
                waiting.append(end)
    return found


def _number_rules() -> dict[str, Node]:
    return {name: parse_expansion(text) for name, text in NUMBER_RULES.items()}


def _rule(form: Sequence[str]) -> Node:
    return InOrder(tuple(Reference(word[1:-1]) if word in SLOTS else Word(word) for word in form))


def known(said: Iterable[Said]) -> list[Said]:
    """The sentences whose every word has a known pronunciation."""
    found = _dictionary()
    return [one for one in said if all(word in SLOTS or word in found for word in one.form)]


def _spoken(words: Iterable[str]) -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    found = _dictionary()
    return tuple((word, found[word]) for word in words)


_FOUND: dict[str, tuple[tuple[str, ...], ...]] = {}


def _dictionary() -> dict[str, tuple[tuple[str, ...], ...]]:
    """The grammar's pronunciations, and the dictionary's inside pocketsphinx where it is there."""
    if not _FOUND:
        spec = find_spec("pocketsphinx")
        if spec is not None and spec.origin is not None:
            for file in Path(spec.origin).parent.rglob("cmudict-en-us.dict"):
                for line in file.read_text(encoding="utf-8").splitlines():
                    word, *phones = line.split()
                    word = re.sub(r"\(\d+\)$", "", word)
                    _FOUND[word] = (*_FOUND.get(word, ()), tuple(phones))
        _FOUND.update(
            GrammarFiles("request", read_texts(shipped_folder("grammar"))).pronunciations()
        )
    return _FOUND


def compared(said: Said, heard: str) -> list[tuple[bool, str]]:
    """Each number of a sentence: whether it was read back as said, and what was heard for it.

    Numbers are compared by their place among the words: those of the form are the guide, and a
    sentence that was heard in another form is laid beside it by its longest common words.
    """
    slots = _slots(said.form, heard.split())
    return [
        (slot is not None and plain(slot) == plain(number), slot or "-")
        for number, slot in zip(said.numbers, slots, strict=True)
    ]


def _slots(form: Sequence[str], heard: list[str]) -> list[str | None]:
    """What was heard in each slot: the best way to lay the form over the words, by words missed."""
    none: tuple[float, tuple[str | None, ...]] = (float("inf"), ())
    best: list[list[tuple[float, tuple[str | None, ...]]]] = [
        [none] * (len(heard) + 1) for _ in range(len(form) + 1)
    ]
    best[0][0] = (0.0, ())
    for at in range(len(form) + 1):
        for place in range(len(heard) + 1):
            cost, slots = best[at][place]
            if cost == float("inf"):
                continue
            if place < len(heard):
                _better(best, at, place + 1, cost + 1, slots)
            if at == len(form):
                continue
            if form[at] in SLOTS:
                _better(best, at + 1, place, cost + 1, (*slots, None))
                for length in range(1, min(9, len(heard) - place) + 1):
                    run = heard[place : place + length]
                    if any(word not in NUMBER_WORDS for word in run):
                        break
                    _better(best, at + 1, place + length, cost, (*slots, " ".join(run)))
            else:
                same = place < len(heard) and heard[place] == form[at]
                _better(best, at + 1, place, cost + 1, slots)
                if place < len(heard):
                    _better(best, at + 1, place + 1, cost + (0 if same else 1.5), slots)
    return list(best[len(form)][len(heard)][1])


def _better(
    best: list[list[tuple[float, tuple[str | None, ...]]]],
    at: int,
    place: int,
    cost: float,
    slots: tuple[str | None, ...],
) -> None:
    if cost < best[at][place][0]:
        best[at][place] = (cost, slots)
