"""Turns words into the states that a recogniser walks: words, phones, sound states.

Pure: numbers in, numbers out. Each phone is a small machine of one or three states. A machine
belongs to a phone and the state that it leads to, so that all arcs over that phone into that state
share it; what differs between them, word and cost, lies on the arcs that enter it.

    enter_and_leave ─► short (loops) ──────────────────────────────► next
    enter_then_blank ─► spoken (loops) ─► blank (loops) ───────────► next     inside words only

After a word an optional silence and, against a cost, an optional hesitation ("uh", "um").
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from handsfree.hear.model_folder import PLACES, PhoneMoves

EMPTY = 0
ArcLine: TypeAlias = tuple[int, int, int, int, float]  # from, to, heard, said, cost


@dataclass(frozen=True, slots=True)
class Machine:
    """A weighted transducer over numbers, 0 for nothing; starts in `start`, ends in `finals`."""

    start: int
    states: int
    arcs: tuple[ArcLine, ...]
    finals: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Sounds:
    """All that the states of a graph need to know of the model and the words.

    Attributes:
        moves: how transition ids are numbered.
        phones: how many phones there are; each has a number for each place in a word.
        words: for each word number, its pronunciations as numbers of placed phones.
        hesitation: word number of "uh" and "um", whose pronunciations are in `words`.
        hesitation_cost: in nats.
        filler: word number of talk that is not for the helper.
        filler_cost: of each of its phones, in nats.
    """

    moves: PhoneMoves
    phones: int
    words: Mapping[int, tuple[tuple[int, ...], ...]]
    hesitation: int
    hesitation_cost: float
    filler: int
    filler_cost: float


def phone_machine(words: Machine, spoken: Mapping[int, tuple[tuple[int, ...], ...]]) -> Machine:
    """Words spelled out in phones, the word on the first; pronunciations share beginnings."""
    arcs: list[ArcLine] = []
    states = words.states
    for a, b, word, _, cost in words.arcs:
        if word == EMPTY:
            arcs.append((a, b, EMPTY, EMPTY, cost))
            continue
        reached: dict[tuple[int, ...], int] = {(): a}
        for phones in spoken[word]:
            for k in range(1, len(phones) + 1):
                if phones[:k] in reached:
                    continue
                if k == len(phones):
                    reached[phones[:k]] = b
                else:
                    reached[phones[:k]] = states
                    states += 1
                said, extra = (word, cost) if k == 1 else (EMPTY, 0.0)
                arcs.append(
                    (reached[phones[: k - 1]], reached[phones[:k]], phones[k - 1], said, extra)
                )
    return Machine(words.start, states, tuple(arcs), words.finals)


@dataclass(slots=True)
class SoundStates:
    """Collects the arcs of a decoding graph: transition ids heard, words said."""

    moves: PhoneMoves
    states: int
    arcs: list[ArcLine] = field(default_factory=list)
    entries: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)

    def state(self) -> int:
        """A new state."""
        self.states += 1
        return self.states - 1

    def empty(self, a: int, b: int, cost: float = 0.0) -> None:
        """A step over nothing."""
        self.arcs.append((a, b, EMPTY, EMPTY, cost))

    def silence(self, a: int, b: int) -> None:
        """An optional silence between two states."""
        moves = self.moves
        quiet = self.state()
        self.arcs += [
            (a, quiet, moves.silence_enter, EMPTY, 0.0),
            (quiet, quiet, moves.silence_loop, EMPTY, 0.0),
        ]
        self.empty(quiet, b)
        self.empty(a, b)

    def phone(self, a: int, b: int, phone: int, said: int, cost: float) -> None:
        """A step over one placed phone, through the machine that leads to `b`."""
        moves = self.moves
        base = moves.first + moves.each * (phone - 1)
        if (phone, b) not in self.entries:
            self.entries[phone, b] = self._machine(phone, base, b)
        short, spoken = self.entries[phone, b]
        self.arcs.append((a, short, base + moves.enter_and_leave, said, cost))
        if spoken >= 0:
            self.arcs.append((a, spoken, base + moves.enter_then_blank, said, cost))

    def _machine(self, phone: int, base: int, b: int) -> tuple[int, int]:
        moves = self.moves
        short = self.state()
        self.arcs.append((short, short, base + moves.loop, EMPTY, 0.0))
        self.empty(short, b)
        if ends_word(phone):
            return short, -1
        spoken, blank = self.state(), self.state()
        self.arcs += [
            (spoken, spoken, base + moves.loop, EMPTY, 0.0),
            (spoken, blank, base + moves.blank, EMPTY, 0.0),
            (blank, blank, base + moves.blank_loop, EMPTY, 0.0),
        ]
        self.empty(blank, b)
        return short, spoken


def ends_word(phone: int) -> bool:
    """Whether a placed phone is the last of its word."""
    return PLACES[(phone - 1) % len(PLACES)] in "ES"


def sound_machine(phones: Machine, sounds: Sounds) -> Machine:
    """The whole decoding graph: network, silences, hesitations, and the filler beside it."""
    graph = SoundStates(sounds.moves, phones.states)
    start, over = graph.state(), graph.state()
    graph.silence(start, phones.start)
    said_before = _boundaries(graph, phones, sounds)
    for a, b, phone, said, cost in phones.arcs:
        if phone == EMPTY:
            graph.empty(a, b, cost)
        else:
            graph.phone(a, said_before(b) if ends_word(phone) else b, phone, said, cost)
    for state, cost in phones.finals:
        graph.empty(state, over, cost)
    _filler(graph, phones.start, over, sounds)
    return Machine(start, graph.states, tuple(graph.arcs), ((over, 0.0),))


def _boundaries(graph: SoundStates, phones: Machine, sounds: Sounds) -> Callable[[int], int]:
    """Gives the state just after a word, from which silence and hesitation lead on."""
    before: dict[int, int] = {}

    def hesitate(a: int, b: int) -> None:
        word, cost = sounds.hesitation, sounds.hesitation_cost
        for said in sounds.words[word]:
            at = a
            for k, phone in enumerate(said):
                to = b if k == len(said) - 1 else graph.state()
                graph.phone(at, to, phone, word if k == 0 else EMPTY, cost if k == 0 else 0.0)
                at = to

    def said_before(state: int) -> int:
        if state not in before:
            before[state] = graph.state()
            graph.silence(before[state], state)
            hesitate(state, before[state])
        return before[state]

    said_before(phones.start)
    return said_before


def _filler(graph: SoundStates, start: int, over: int, sounds: Sounds) -> None:
    """Any phones at all, as one word, at a cost for each."""
    word, cost = sounds.filler, sounds.filler_cost
    inside, done = graph.state(), graph.state()
    graph.silence(done, over)
    first, within, last, alone = (1 + at for at in range(len(PLACES)))
    for step in range(0, len(PLACES) * sounds.phones, len(PLACES)):
        graph.phone(start, inside, first + step, word, cost)
        graph.phone(inside, inside, within + step, EMPTY, cost)
        graph.phone(inside, done, last + step, EMPTY, cost)
        graph.phone(start, done, alone + step, word, cost)
