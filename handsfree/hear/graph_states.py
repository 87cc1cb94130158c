"""Turns a network of words into the states that a recogniser walks, and writes them as a graph.

Each phone is a small machine. A machine belongs to the rest of its word and the state after the
word, so that all words that end alike share it; word and cost lie on the arcs that enter it.

    enter_and_leave ─► short (loops) ──────────────────────────► rest of the word
    enter_then_blank ─► spoken (loops) ─► blank (loops) ───────► rest of the word
    enter_and_leave ─► last (loops) ─► silence, hesitation, or nothing ─► state after the word

The last phone of a word has no blank: the silence after the word stands for it. Words may be parted
by silence and, against a cost, by hesitations. Beside the network runs the filler: common words and
any phones at all, at a cost for each. Pauses inside it are the blanks of its phones.
"""

import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from handsfree.hear.graph_reduce import EMPTY, WordStates
from handsfree.hear.graph_talk import TalkStates, TalkStep
from handsfree.hear.model_folder import PLACES, PhoneMoves

Phones: TypeAlias = tuple[int, ...]  # numbers of placed phones, from 1
Arc: TypeAlias = tuple[int, int, float, int]  # heard, said, cost, state: the order in the file

_NEVER_ENDS = float("inf")


@dataclass(frozen=True, slots=True)
class Sounds:
    """All that the states of a graph need to know of the model and the words.

    Attributes:
        moves: how transition ids are numbered.
        phones: how many phones there are; each has a number for each place in a word.
        spoken: for each word number, its pronunciations.
        hesitation: word number of "uh", "er" and "mm".
        hesitations: the placed phones that are one.
        hesitation_cost: of each, in nats.
        filler: word number of talk that is not for the helper.
        filler_cost: of each of its phones, in nats.
        filler_start_cost: of beginning it, in nats.
        talk: the common words of talk, for the filler.
        talk_word_cost: of each of them, in nats.
    """

    moves: PhoneMoves
    phones: int
    spoken: Mapping[int, tuple[Phones, ...]]
    hesitation: int
    hesitations: tuple[int, ...]
    hesitation_cost: float
    filler: int
    filler_cost: float
    filler_start_cost: float = 0.0
    talk: TalkStates = ()
    talk_word_cost: float = 0.0


def ends_word(phone: int) -> bool:
    """Whether a placed phone is the last of its word."""
    return PLACES[(phone - 1) % len(PLACES)] in "ES"


def write_graph(words: WordStates, sounds: Sounds, path: Path) -> tuple[int, int]:
    """Write the decoding graph in the form that loads fastest; returns its states and arcs."""
    heads, arcs, states, number = bytearray(), bytearray(), 0, 0
    head, arc = struct.Struct("<fIIII"), struct.Struct("<iifi")
    for out, end in _States(words, sounds).in_order():
        heard, said = zip(*((step[0], step[1]) for step in out), strict=True) if out else ((), ())
        heads += head.pack(end, number, len(out), heard.count(EMPTY), said.count(EMPTY))
        for step in out:
            arcs += arc.pack(*step)
        states, number = states + 1, number + len(out)
    with path.open("wb") as file:
        for part in (_file_head(states, number), heads, arcs):
            file.write(part)
    return states, number


def _file_head(states: int, arcs: int) -> bytes:
    """Head of OpenFst's `const` form, version 2: kinds, then start, states and arcs."""
    kind, weights = b"const", b"standard"
    return b"".join(
        (
            struct.pack("<ii", 2125659606, len(kind)),
            kind,
            struct.pack("<i", len(weights)),
            weights,
            struct.pack("<iiQqqq", 2, 0, 1, 0, states, arcs),
        )
    )


class _States:
    """Numbers all states first, then tells the arcs of each in that order.

    The start and the silence before the first word; the network's states; the way into network or
    filler, the filler's end and its inside; the filler's states inside common words; one silence
    before each of the network's, the way in and the filler's end; then the machines, three states
    for a phone inside a word and one for its last.
    """

    START, QUIET, WORDS = 0, 1, 2

    def __init__(self, words: WordStates, sounds: Sounds) -> None:
        self._words, self._sounds, self._moves = words, sounds, sounds.moves
        network = len(words.arcs)
        self._way_in, self._done, self._inside = network, network + 1, network + 2
        self._silences = self.WORDS + self._inside + max(1, len(sounds.talk))
        self._number = self._silences + network + 2  # no word ends inside the filler
        self._machines: dict[tuple[int, Phones], int] = {}
        for out in words.arcs:
            for word, to, _ in out:
                for phones in sounds.spoken[word] if word else ():
                    self._add(phones, to)
        for to in range(network + 1):
            for phone in sounds.hesitations:
                self._add((phone,), to)
        for at, place in enumerate(PLACES):
            to = self._inside if place in "BI" else self._done
            for step in range(0, len(PLACES) * sounds.phones, len(PLACES)):
                self._add((1 + at + step,), to)
        for phone, to, _ in (step for out in sounds.talk for step in out):
            for place in "BI":
                self._add((self._at(phone, place),), self._inside + to)

    def in_order(self) -> Iterator[tuple[list[Arc], float]]:
        """Arcs of each state, and what it costs to end there."""
        moves = self._moves
        yield [(moves.silence_enter, 0, 0.0, self.QUIET), self._over(self._way_in)], _NEVER_ENDS
        yield self._silence(self.QUIET, self._way_in), 0.0  # nothing but silence is no words
        for state, out in enumerate(self._words.arcs):
            yield self._words_from(state, out), self._words.finals.get(state, _NEVER_ENDS)
        hesitations = self._words_from(self._way_in, ())
        talk = self._sounds.talk
        begun = [*self._filler("BS", starts=True), *self._talk_words("BS", talk[0] if talk else ())]
        yield [self._over(0), *hesitations, *begun], _NEVER_ENDS
        yield [], 0.0
        for state, out in enumerate(talk or ((),)):
            more = self._filler("IE", starts=False) if state == 0 else []
            yield [*more, *self._talk_words("IE", out, first=state == 0)], _NEVER_ENDS
        for state in range(self._done + 1):
            yield self._silence(self._silences + state, state), _NEVER_ENDS
        for (after, phones), at in self._machines.items():
            for steps in self._machine(at, phones, after):
                yield steps, _NEVER_ENDS

    def _add(self, phones: Phones, after: int) -> None:
        """Number the machines of a word's phones, up to those that another word has numbered."""
        for start in range(len(phones)):
            key = (after, phones[start:])
            if key in self._machines:
                return
            self._machines[key] = self._number
            self._number += 1 if ends_word(phones[start]) else 3

    def _over(self, state: int, cost: float = 0.0) -> Arc:
        """A step over nothing to a state of the network."""
        return (EMPTY, EMPTY, cost, self.WORDS + state)

    def _silence(self, at: int, after: int) -> list[Arc]:
        return [(self._moves.silence_loop, EMPTY, 0.0, at), self._over(after)]

    def _words_from(self, state: int, out: Sequence[tuple[int, int, float]]) -> list[Arc]:
        arcs: list[Arc] = []
        sounds = self._sounds
        for word, to, cost in out:
            if word == EMPTY:
                arcs.append(self._over(to, cost))
            for phones in sounds.spoken[word] if word else ():
                arcs += self._into(phones, to, word, cost)
        for phone in sounds.hesitations:
            arcs += self._into((phone,), state, sounds.hesitation, sounds.hesitation_cost)
        return arcs

    def _filler(self, places: str, starts: bool) -> list[Arc]:
        """One phone of the filler at each of the places; the word is told at its start."""
        arcs: list[Arc] = []
        word, cost = EMPTY, self._sounds.filler_cost
        if starts:
            word, cost = self._sounds.filler, cost + self._sounds.filler_start_cost
        for place in places:
            to = self._inside if place in "BI" else self._done
            for step in range(0, len(PLACES) * self._sounds.phones, len(PLACES)):
                arcs += self._into((1 + PLACES.index(place) + step,), to, word, cost)
        return arcs

    def _talk_words(self, places: str, steps: Sequence[TalkStep], first: bool = True) -> list[Arc]:
        """A phone of common words: inside the filler, or at its start, where its word is told.

        `places` are those of a phone that others follow, and of the filler's last.
        """
        arcs: list[Arc] = []
        sounds, word = self._sounds, EMPTY
        cost = sounds.talk_word_cost if first else 0.0
        if places[0] == "B":
            word, cost = sounds.filler, cost + sounds.filler_start_cost
        for phone, to, ends in steps:
            inside, last = (self._at(phone, place) for place in places)
            if to:
                arcs += self._into((inside,), self._inside + to, word, cost)
            if ends:
                arcs += self._into((inside,), self._inside, word, cost)
                arcs += self._into((last,), self._done, word, cost)
        return arcs

    def _at(self, phone: int, place: str) -> int:
        """Number of a phone at a place in a word."""
        return 1 + len(PLACES) * phone + PLACES.index(place)

    def _into(self, phones: Phones, after: int, said: int, cost: float) -> list[Arc]:
        """The arcs that enter the machine of the first of some phones."""
        moves, phone = self._moves, phones[0]
        base = moves.first + moves.each * (phone - 1)
        at = self._machines[after, phones]
        short = (base + moves.enter_and_leave, said, cost, at)
        if ends_word(phone):
            return [short]
        return [short, (base + moves.enter_then_blank, said, cost, at + 1)]

    def _machine(self, at: int, phones: Phones, after: int) -> list[list[Arc]]:
        """Arcs of the one or three states of a phone."""
        moves = self._moves
        base = moves.first + moves.each * (phones[0] - 1)
        loop = (base + moves.loop, EMPTY, 0.0, at)
        if ends_word(phones[0]):
            silence = (moves.silence_enter, EMPTY, 0.0, self._silences + after)
            return [[loop, silence, self._over(after)]]
        rest = self._into(phones[1:], after, EMPTY, 0.0) if phones[1:] else [self._over(after)]
        return [
            [loop, *rest],
            [(base + moves.loop, EMPTY, 0.0, at + 1), (base + moves.blank, EMPTY, 0.0, at + 2)],
            [(base + moves.blank_loop, EMPTY, 0.0, at + 2), *rest],
        ]
