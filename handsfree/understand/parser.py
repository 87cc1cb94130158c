"""Words become readings: the cheapest rows of units that take the words up, with their slots.

A request is its units in any order: a question, a thickness, a tip, a gas. For each place in the
words the parser finds the units that can begin there, walking the word network of one unit; then it
joins units to readings from the first word to the last. Harmless words are passed over at a small
cost; any other word must lie in a unit, else there is no reading. Nothing is guessed from a part.

What the slots of a reading mean together is decided in `meaning`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from handsfree.spoken_numbers import NUMBER_WORDS
from handsfree.understand.network import Network

ODDNESS = 0.4  # share of the recogniser's costs that counts here: the words are known
A_UNIT = 0.37  # cost of every unit: few large ones are likelier than many small ones
MOST_INSIDE = 2  # words passed over within a unit
INSIDE = 0.35  # cost of each, beside its own
KEEP = 24  # different beginnings kept at one place
MOST_READINGS = 24  # given back: where many do not go together, the right one may come late
BEAM = 5.0  # cost above the best of its place at which a beginning is given up
OPENING = 2  # words of address before a unit that must come first
MOST_WORDS = 60
MOST_NODES = 1_200  # walks kept from one parse to the next: what is said comes again soon
MOST_REACHES = 3_000  # states of which is kept what can be reached from them, about

_FLAGS = frozenset({"question", "verb", "part", "state", "tip_word", "change", "rig"})

# What stands before such a word and what follows it are two things: "five millimetre with tip for
# one inch"; within a unit it is never passed over.
_JOINS = frozenset({"with", "and", "for"})
_ONLY_FIRST = frozenset({"follows"})  # "no, three eighths" harks back; a later "no" does not

Slot: TypeAlias = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Passable:
    """What it costs to pass a word over, and what comes of it.

    Attributes:
        cost: of it.
        talk: it is common talk that any chat may hold.
        asked: it may change the cut, so that it is asked about.
    """

    cost: float
    talk: bool = False
    asked: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to take the words.

    Attributes:
        cost: how unlikely it is.
        slots: what it fills, in order spoken.
        talk: words of common talk that it passes over.
        asked: words that it passes over and that may change the cut.
    """

    cost: float
    slots: tuple[Slot, ...]
    talk: int = 0
    asked: tuple[str, ...] = ()


# A slot of a unit whose words are counted and not yet known: name, value, or begin and end.
_Mark: TypeAlias = tuple[str, str, int, int]
# Common talk that is passed over, by count, and words that are asked about.
_Over: TypeAlias = tuple[int, tuple[str, ...]]
_Unit: TypeAlias = tuple[int, float, tuple[Slot, ...], _Over]  # where it ends, cost, slots
_Begun: TypeAlias = tuple[float, tuple[Slot, ...], _Over]  # cost, slots
_Step: TypeAlias = tuple[int, float, tuple[str, ...]]  # the state a word leads to, cost, tags
_Branch: TypeAlias = tuple[int, tuple[tuple[int, str], ...]]  # a state and the tags on the way


@dataclass(slots=True)
class _Node:
    """Where a run of words leads within a unit: network states, each with the tags on the way.

    Attributes:
        branches: state and tags so far (with the number of words before each) -> cost.
        count: words taken so far.
        ends: the ways in which the unit can end here.
        after: nodes one word further; None where the word leads nowhere.
        passed: the same place for those branches in which a word may be passed over.
    """

    branches: dict[_Branch, float]
    count: int
    ends: list[tuple[float, tuple[_Mark, ...]]]
    after: "dict[str, _Node | None]" = field(default_factory=dict)
    passed: "_Node | None" = None


@dataclass(frozen=True, slots=True)
class _Reach:
    """What can be reached from a state without a word; `closes`: an open slot may end here."""

    words: dict[str, tuple[_Step, ...]]
    ends: list[tuple[float, tuple[str, ...]]]
    closes: bool


_NONE_OVER: _Over = (0, ())


class Parser:
    """Finds readings; keeps what it has worked out about the network's states and word runs.

    Args:
        network: of one unit.
        passable: words that may be passed over.
        belongs: whether the word at a place belongs to the words before it, so that no unit may
            begin there.
        keep: different beginnings kept at one place.
    """

    def __init__(
        self,
        network: Network,
        passable: Mapping[str, Passable],
        belongs: Callable[[Sequence[str], int], bool] = lambda words, at: False,
        keep: int = KEEP,
    ) -> None:
        self._network = network
        self._passable = passable
        self._belongs = belongs
        self._keep = keep
        self._reaches: dict[int, _Reach] = {}
        self._older: dict[int, _Reach] = {}  # goes when the newer half is full
        self._steps: dict[_Step, _Step] = {}  # one object for all that are equal: a third of them
        self._branches: dict[_Branch, _Branch] = {}  # likewise
        self._nodes = 0
        self._root = _Node({(0, ()): 0.0}, 0, [])

    def readings(self, words: Sequence[str], most: int = MOST_READINGS) -> tuple[Reading, ...]:
        """The cheapest different readings of the words, best first; empty when there is none."""
        if self._nodes > MOST_NODES:
            self._root, self._nodes = _Node({(0, ()): 0.0}, 0, []), 0
            self._steps.clear()
            self._branches.clear()
        places: list[dict[tuple[Slot, ...], _Begun]] = [{} for _ in range(len(words) + 1)]
        places[0][()] = (0.0, (), _NONE_OVER)
        for at, word in enumerate(words):
            begun = _cheapest(places[at], self._keep)
            if not begun:
                continue
            if (passable := self._passable.get(word)) is not None:
                for cost, slots, over in begun:
                    more = _over(over, _passed_over(word, passable))
                    _keep(places[at + 1], cost + passable.cost, slots, more)
            if at and self._belongs(words, at):
                continue
            for end, step, filled, loose in self._units(words, at):
                place = places[end]
                if at > OPENING and filled and filled[-1][0] in _ONLY_FIRST:
                    continue
                for cost, slots, over in begun:
                    _keep(place, cost + step, _joined(slots, filled), _over(over, loose))
        return tuple(
            Reading(cost, slots, *over)
            for cost, slots, over in _cheapest(places[-1], max(most, self._keep))
        )

    def _units(self, words: Sequence[str], start: int) -> list[_Unit]:
        """The units that can begin at a place, one for each end and filling."""
        found: dict[tuple[int, tuple[Slot, ...]], _Unit] = {}
        walks: list[tuple[_Node, tuple[int, ...], float, int, int, _Over]] = []
        first = self._after(self._root, words[start])
        if first is not None:
            walks.append((first, (start,), A_UNIT, start + 1, 0, _NONE_OVER))
        while walks:
            node, taken, cost, at, inside, over = walks.pop()
            if inside == 0 or taken[-1] == at - 1:  # a unit does not end in a word passed over
                for step, marks in node.ends:
                    slots = _filled(marks, words, taken)
                    if slots is None:
                        continue
                    known = found.get((at, slots))
                    if known is None or cost + step < known[1]:
                        found[at, slots] = (at, cost + step, slots, over)
            if at == len(words):
                continue
            word = words[at]
            after = self._after(node, word)
            if after is not None and not (taken[-1] < at - 1 and _go_on(words, taken[-1], at)):
                walks.append((after, (*taken, at), cost, at + 1, inside, over))
            passable = None if word in _JOINS else self._passable.get(word)
            if inside < MOST_INSIDE and passable is not None and not passable.asked:
                passed = self._passed(node)
                if passed.branches:
                    loose = _over(over, _passed_over(word, passable))
                    walk = (passed, taken, cost + passable.cost + INSIDE, at + 1, inside + 1, loose)
                    walks.append(walk)
        return list(found.values())

    def _after(self, node: _Node, word: str) -> _Node | None:
        if word in node.after:
            return node.after[word]
        branches: dict[_Branch, float] = {}
        for (state, tags), cost in node.branches.items():
            for end, step, more in self._reach(state).words.get(word, ()):
                key = (end, tags + tuple((node.count, tag) for tag in more) if more else tags)
                key = self._branches.setdefault(key, key)
                if cost + step < branches.get(key, 1e9):
                    branches[key] = cost + step
        made = self._node(branches, node.count + 1) if branches else None
        node.after[word] = made
        return made

    def _node(self, branches: dict[_Branch, float], count: int) -> _Node:
        self._nodes += 1
        ends: dict[tuple[_Mark, ...], float] = {}
        for (state, tags), cost in branches.items():
            for step, more in self._reach(state).ends:
                marks = _marks((*tags, *((count, tag) for tag in more)))
                if cost + step < ends.get(marks, 1e9):
                    ends[marks] = cost + step
        best = sorted((cost, marks) for marks, cost in ends.items())
        return _Node(branches, count, best[: self._keep])

    def _passed(self, node: _Node) -> _Node:
        if node.passed is None:
            branches = {
                (state, tags): cost
                for (state, tags), cost in node.branches.items()
                if self._reach(state).closes or not _inside(tags)
            }
            node.passed = _Node(branches, node.count, [])
        return node.passed

    def _reach(self, state: int) -> _Reach:
        reach = self._reaches.get(state)
        if reach is None:
            if len(self._reaches) > MOST_REACHES // 2:
                self._reaches, self._older = {}, self._reaches
            reach = self._older.pop(state, None) or self._explore(state)
            self._reaches[state] = reach
        return reach

    def _explore(self, state: int) -> _Reach:
        words: dict[str, list[_Step]] = {}
        ends: list[tuple[float, tuple[str, ...]]] = []
        waiting: list[tuple[int, float, tuple[str, ...]]] = [(state, 0.0, ())]
        seen: set[tuple[int, tuple[str, ...]]] = set()
        closes = False
        while waiting:
            here, cost, tags = waiting.pop()
            if here == self._network.final:
                ends.append((cost, tags))
            for end, word, tag, weight in self._network.leaving(here):
                longer = (*tags, tag) if tag else tags
                closes = closes or tag.startswith("]")
                step = cost + weight * ODDNESS
                if word:
                    arc = (end, step, longer)
                    words.setdefault(word, []).append(self._steps.setdefault(arc, arc))
                elif (end, longer) not in seen:
                    seen.add((end, longer))
                    waiting.append((end, step, longer))
        return _Reach({word: tuple(steps) for word, steps in words.items()}, ends, closes)


def _cheapest(place: Mapping[tuple[Slot, ...], _Begun], keep: int) -> list[_Begun]:
    begun = sorted(place.values(), key=lambda one: one[0])[:keep]
    return [one for one in begun if one[0] <= begun[0][0] + BEAM]


def _keep(
    place: dict[tuple[Slot, ...], _Begun], cost: float, slots: tuple[Slot, ...], over: _Over
) -> None:
    known = place.get(slots)
    if known is None or cost < known[0]:
        place[slots] = (cost, slots, over)


def _passed_over(word: str, passable: Passable) -> _Over:
    return int(passable.talk), (word,) if passable.asked else ()


def _over(before: _Over, more: _Over) -> _Over:
    return before[0] + more[0], before[1] + more[1]


def _joined(slots: tuple[Slot, ...], filled: tuple[Slot, ...]) -> tuple[Slot, ...]:
    """Slots with those of one unit more; a flag said twice says no more than once.

    Hints are counted, and slots that come several at once belong together.
    """
    if len(filled) == 1 and filled[0][0] in _FLAGS and filled[0] in slots:
        return slots
    return slots + filled


def _go_on(words: Sequence[str], before: int, at: int) -> bool:
    """Whether a number would go on over a word passed over: "three and sixteen" is no grade."""
    return words[before] in NUMBER_WORDS and words[at] in NUMBER_WORDS


def _inside(tags: Sequence[tuple[int, str]]) -> bool:
    """Whether a slot is open."""
    return sum((tag[0] == "[") - (tag[0] == "]") for _, tag in tags) > 0


def _marks(tags: Sequence[tuple[int, str]]) -> tuple[_Mark, ...]:
    """Set slots with their values, and filled slots with the words that they span."""
    marks: list[_Mark] = []
    opened: dict[str, int] = {}
    for count, tag in tags:
        if tag[0] == "[":
            opened[tag[1:]] = count
        elif tag[0] == "]":
            marks.append((tag[1:], "", opened.pop(tag[1:]), count))
        else:
            name, _, value = tag.partition("=")
            marks.append((name, value, 0, 0))
    return tuple(marks)


def _filled(
    marks: Sequence[_Mark], words: Sequence[str], taken: Sequence[int]
) -> tuple[Slot, ...] | None:
    """The slots of a unit; None when a word was passed over in the middle of one."""
    slots: list[Slot] = []
    for name, value, begin, end in marks:
        if end:
            first, last = taken[begin], taken[end - 1]
            if last - first != end - 1 - begin:
                return None
            value = " ".join(words[first : last + 1])
        slots.append((name, value))
    return tuple(slots)
