"""Makes a network of words smaller without changing what may be said, or at what cost.

A walk from the ends to the start does four things at each state: steps over nothing are taken out
where that adds no arcs, costs move towards the start, equal arcs become one, and states that lead
on alike become one. Cycles are cut at the states that close them, which stay as they are. The same
walk over the network turned round makes one of the states that are reached alike.

Making the network deterministic would go further, but the grammar lets slots come in any order and
the number of states explodes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

EMPTY = 0
SMALL = 2  # states with so few arcs are copied into whoever reaches them over nothing
PRECISION = 4  # decimals of a cost that count

WordArc: TypeAlias = tuple[int, int, float]  # word (0: none), state, cost


@dataclass(frozen=True, slots=True)
class WordStates:
    """For each state its arcs; state 0 is the start; `finals` holds what it costs to end."""

    arcs: tuple[tuple[WordArc, ...], ...]
    finals: Mapping[int, float]


def reduced(arcs: Sequence[Iterable[WordArc]], finals: Mapping[int, float]) -> WordStates:
    """The same sentences at the same lowest cost, from state 0, with fewer states.

    >>> reduced([[(1, 1, 0.5), (1, 2, 0.7)], [(2, 3, 0.0)], [(3, 3, 0.0)], []], {3: 0.0}).arcs
    (((1, 1, 0.5),), ((2, 2, 0.0), (3, 2, 0.2)), ())
    """
    once = _walked(arcs, finals)
    turned = _walked(*_turned_round(once))
    return _walked(*_turned_round(turned))


def _walked(arcs: Sequence[Iterable[WordArc]], finals: Mapping[int, float]) -> WordStates:
    walk = _Walk(_without_dead_ends(arcs, finals), finals)
    walk.all_from(0)
    return walk.result(0)


def _turned_round(words: WordStates) -> tuple[list[list[WordArc]], dict[int, float]]:
    """The network from its ends to its start: state `n` becomes `n + 1`; 0 leads to the ends."""
    arcs: list[list[WordArc]] = [[] for _ in range(len(words.arcs) + 1)]
    for state, out in enumerate(words.arcs):
        for word, to, cost in out:
            arcs[to + 1].append((word, state + 1, cost))
    for state, cost in words.finals.items():
        arcs[0].append((EMPTY, state + 1, cost))
    return arcs, {1: 0.0}


def _without_dead_ends(
    arcs: Sequence[Iterable[WordArc]], finals: Mapping[int, float]
) -> list[list[WordArc]]:
    into: dict[int, list[int]] = {}
    kept = [[arc for arc in out if arc[0] or arc[1] != state] for state, out in enumerate(arcs)]
    for state, out in enumerate(kept):
        for _, to, _ in out:
            into.setdefault(to, []).append(state)
    alive, waiting = set(finals), list(finals)
    while waiting:
        for state in into.get(waiting.pop(), ()):
            if state not in alive:
                alive.add(state)
                waiting.append(state)
    return [[arc for arc in out if arc[1] in alive] for out in kept]


class _Walk:
    """Depth first: a state is settled when all that it leads to is; `same` names its equal."""

    def __init__(self, arcs: list[list[WordArc]], finals: Mapping[int, float]) -> None:
        self._arcs = arcs
        self._finals = dict(finals)
        self._reached_by = [0] * len(arcs)
        for out in arcs:
            for _, to, _ in out:
                self._reached_by[to] += 1
        self._same: dict[int, int] = {}
        self._known: dict[tuple[object, ...], int] = {}
        self._settled: dict[int, tuple[WordArc, ...]] = {}
        self._closes_cycle: set[int] = set()
        self._moved: dict[int, float] = {}  # cost taken from a state's arcs to those that reach it

    def all_from(self, start: int) -> None:
        self._closes_cycle.add(start)  # its costs have nowhere to go
        open_now = {start}
        path = [(start, iter(self._arcs[start]))]
        while path:
            state, steps = path[-1]
            for _, to, _ in steps:
                if to in self._same:
                    continue
                if to in open_now:
                    self._closes_cycle.add(to)
                    continue
                open_now.add(to)
                path.append((to, iter(self._arcs[to])))
                break
            else:
                path.pop()
                open_now.discard(state)
                self._settle(state)

    def _settle(self, state: int) -> None:
        best: dict[tuple[int, int], float] = {}
        ends = self._finals.get(state)

        def add(word: int, to: int, cost: float) -> None:
            cost = round(cost, PRECISION)
            if cost < best.get((word, to), float("inf")):
                best[word, to] = cost

        for word, told, cost in self._arcs[state]:
            to = self._same.get(told, told)
            cost += self._moved.get(told, 0.0)
            beyond = self._settled.get(to)
            if beyond is None or to == state:  # closes a cycle: not known yet
                add(word, to, cost)
                continue
            to_ends = self._finals.get(to)
            if word == EMPTY and (len(beyond) <= SMALL or self._reached_by[told] == 1):
                for next_word, further, extra in beyond:
                    add(next_word, further, cost + extra)
                if to_ends is not None:
                    ends = min(cost + to_ends, float("inf") if ends is None else ends)
            elif len(beyond) == 1 and beyond[0][0] == EMPTY and to_ends is None:
                add(word, beyond[0][1], cost + beyond[0][2])
            else:
                add(word, to, cost)
        least = 0.0
        if state not in self._closes_cycle:
            least = min([*best.values(), *([] if ends is None else [ends])])
        self._moved[state] = least
        if ends is not None:
            ends = self._finals[state] = round(ends - least, PRECISION)
        out = tuple(sorted((w, to, round(c - least, PRECISION)) for (w, to), c in best.items()))
        key = (state,) if state in self._closes_cycle else (out, ends)
        self._same[state] = self._known.setdefault(key, state)
        self._settled.setdefault(self._same[state], out)

    def result(self, start: int) -> WordStates:
        """Renumbered from the start, only what can be reached."""
        first = self._same[start]
        number = {first: 0}
        order = [first]
        arcs: list[tuple[WordArc, ...]] = []
        for state in order:
            out = []
            for word, to, cost in self._settled[state]:
                if to not in number:
                    number[to] = len(order)
                    order.append(to)
                out.append((word, number[to], float(cost)))
            arcs.append(tuple(out))
        finals = {number[state]: self._finals[state] for state in order if state in self._finals}
        return WordStates(tuple(arcs), finals)
