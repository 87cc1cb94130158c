"""Words become readings: the cheapest ways through the word network, with the slots they fill.

A reading is a list of slots in the order spoken; what the slots mean together is decided in
`meaning`. Words of the grammar's harmless list are passed over at a small cost; any other word must
lie on a way through the network, else there is no reading. Nothing is ever guessed from a part.
"""

from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from handsfree.understand.grammar import Network

ODDNESS = 0.4  # share of the recogniser's costs that counts here: the words are known
PASS_OVER = 0.5  # cost of a harmless word that no rule takes up
PASS_OVER_KNOWN = 1.2  # of a word that stands only inside rules, such as a verb
KEEP_PER_STATE = 3  # different beginnings kept in one state
BEAM = 6.0  # cost above the best at which a beginning is given up
MOST_WORDS = 60

Slot: TypeAlias = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to take the words: what it costs and the slots it fills, in order spoken."""

    cost: float
    slots: tuple[Slot, ...]


@dataclass(frozen=True, slots=True)
class _Trail:
    """Tags met so far, newest first: the tags, and how many words stood before them.

    `sign` tells different trails apart; `inside` counts slots that are opened and not closed.
    """

    tags: tuple[str, ...]
    at: int
    before: "_Trail | None"
    sign: int
    inside: int


_Beginning: TypeAlias = tuple[float, _Trail | None]
_Step: TypeAlias = tuple[int, float, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Reach:
    """What can be reached from a state without a word: word arcs, junctions and the end.

    `closes` tells that an open slot can be closed here, so that the next word may be passed over.
    """

    words: dict[str, list[_Step]]
    junctions: list[_Step]
    ends: list[tuple[float, tuple[str, ...]]]
    closes: bool


class Parser:
    """Finds readings in one network; keeps what it has worked out about the states it met."""

    def __init__(
        self, network: Network, harmless: frozenset[str], heeded: frozenset[str] = frozenset()
    ) -> None:
        self._network = network
        known = {arc[2] for arc in network.arcs} - heeded
        self._pass_over = dict.fromkeys(known, PASS_OVER_KNOWN) | dict.fromkeys(harmless, PASS_OVER)
        self._arcs: list[list[tuple[int, str, str, float]]] = [[] for _ in range(network.states)]
        for start, end, word, tag, cost in network.arcs:
            self._arcs[start].append((end, word, tag, cost * ODDNESS))
        self._reaches: dict[int, _Reach] = {}

    def readings(self, words: Sequence[str], most: int = 8) -> tuple[Reading, ...]:
        """The cheapest different readings of the words, best first; empty when there is none."""
        front: dict[int, list[_Beginning]] = {0: [(0.0, None)]}
        for at, word in enumerate(words):
            front = self._advance(front, word, at)
            if not front:
                return ()
        found: list[_Beginning] = []
        for state, beginnings in self._with_junctions(front, len(words)).items():
            for cost, tags in self._reach(state).ends:
                found += [
                    (begun + cost, _longer(trail, tags, len(words))) for begun, trail in beginnings
                ]
        found.sort(key=lambda beginning: beginning[0])
        readings: list[Reading] = []
        for cost, trail in found:
            slots = _slots(trail, words, self._pass_over)
            if all(slots != reading.slots for reading in readings):
                readings.append(Reading(cost, slots))
            if len(readings) == most:
                break
        return tuple(readings)

    @staticmethod
    def unknown(words: Sequence[str], known: frozenset[str]) -> tuple[str, ...]:
        """Words that no rule and no list knows, in order."""
        return tuple(dict.fromkeys(word for word in words if word not in known))

    def _advance(
        self, front: dict[int, list[_Beginning]], word: str, at: int
    ) -> dict[int, list[_Beginning]]:
        """All beginnings, one word further."""
        ahead: dict[int, list[_Beginning]] = {}
        for state, beginnings in self._with_junctions(front, at).items():
            for end, cost, tags in self._reach(state).words.get(word, ()):
                for begun, trail in beginnings:
                    _keep(ahead, end, begun + cost, _longer(trail, tags, at))
        if (cost := self._pass_over.get(word)) is not None:
            for state, beginnings in front.items():
                closes = self._reach(state).closes
                for begun, trail in beginnings:
                    if closes or trail is None or not trail.inside:
                        _keep(ahead, state, begun + cost, trail)
        if not ahead:
            return ahead
        limit = min(kept[0][0] for kept in ahead.values()) + BEAM
        return {state: kept for state, kept in ahead.items() if kept[0][0] <= limit}

    def _with_junctions(
        self, front: dict[int, list[_Beginning]], at: int
    ) -> dict[int, list[_Beginning]]:
        """The beginnings, and those who reach a junction without a word, gathered there."""
        everywhere = {state: list(kept) for state, kept in front.items()}
        todo = list(front.items())
        while todo:
            state, beginnings = todo.pop()
            for junction, cost, tags in self._reach(state).junctions:
                fresh = [
                    (begun + cost, longer)
                    for begun, trail in beginnings
                    if _keep(
                        everywhere,
                        junction,
                        begun + cost,
                        longer := _longer(trail, tags, at),
                    )
                ]
                if fresh:
                    todo.append((junction, fresh))
        return everywhere

    def _reach(self, state: int) -> _Reach:
        reach = self._reaches.get(state)
        if reach is None:
            reach = self._reaches[state] = self._explore(state)
        return reach

    def _explore(self, state: int) -> _Reach:
        words: dict[str, list[_Step]] = {}
        junctions: list[_Step] = []
        ends: list[tuple[float, tuple[str, ...]]] = []
        todo: list[tuple[int, float, tuple[str, ...]]] = [(state, 0.0, ())]
        seen: set[tuple[int, tuple[str, ...]]] = set()
        closes = False
        while todo:
            here, cost, tags = todo.pop()
            if here == self._network.final:
                ends.append((cost, tags))
            if here != state and here in self._network.junctions:
                junctions.append((here, cost, tags))
                continue
            for end, word, tag, step in self._arcs[here]:
                longer = (*tags, tag) if tag else tags
                closes = closes or tag.startswith("]")
                if word:
                    words.setdefault(word, []).append((end, cost + step, longer))
                elif (end, longer) not in seen:
                    seen.add((end, longer))
                    todo.append((end, cost + step, longer))
        return _Reach(words, junctions, ends, closes)


def _longer(trail: _Trail | None, tags: tuple[str, ...], at: int) -> _Trail | None:
    if not tags:
        return trail
    inside = trail.inside if trail else 0
    for tag in tags:
        inside += (tag[0] == "[") - (tag[0] == "]")
    return _Trail(tags, at, trail, hash((trail.sign if trail else 0, tags, at)), inside)


def _keep(
    front: dict[int, list[_Beginning]], state: int, cost: float, trail: _Trail | None
) -> bool:
    """Keep the beginning when it is among the cheapest different ones of its state."""
    kept = front.get(state)
    if kept is None:
        front[state] = [(cost, trail)]
        return True
    sign = trail.sign if trail else 0
    for place, (other, same) in enumerate(kept):
        if (same.sign if same else 0) == sign:
            if other <= cost:
                return False
            del kept[place]
            break
    if len(kept) >= KEEP_PER_STATE and kept[-1][0] <= cost:
        return False
    kept.append((cost, trail))
    kept.sort(key=lambda beginning: beginning[0])
    del kept[KEEP_PER_STATE:]
    return True


def _slots(
    trail: _Trail | None, words: Sequence[str], passable: Container[str]
) -> tuple[Slot, ...]:
    """The slots of a finished trail: set values, and the words between opening and closing."""
    marks: list[tuple[int, str]] = []
    while trail is not None:
        marks += [(trail.at, tag) for tag in reversed(trail.tags)]
        trail = trail.before
    slots: list[Slot] = []
    opened: dict[str, int] = {}
    for at, tag in reversed(marks):
        if tag.startswith("["):
            opened[tag[1:]] = at
        elif tag.startswith("]"):
            begin, end = opened.pop(tag[1:]), at
            while end > begin + 1 and words[end - 1] in passable:
                end -= 1  # passed over while the slot could have been closed
            slots.append((tag[1:], " ".join(words[begin:end])))
        else:
            name, _, value = tag.partition("=")
            slots.append((name, value))
    return tuple(slots)
