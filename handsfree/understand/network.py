"""The rules of one listening state become a word network, for the parser and the recogniser alike.

The network is built from its end to its start: a rule is copied only where what follows it differs,
so that the hundred ways of saying a length are there once for every use of a length and not once
for every sentence.
"""

import math
from array import array
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from handsfree.errors import GrammarError
from handsfree.understand.rules import (
    Choice,
    Node,
    Optional,
    Reference,
    Repeat,
    Sequence,
    Tagged,
    Word,
)

MOST_ARCS = 400_000

Step: TypeAlias = tuple[int, int, str, str, float]


@dataclass(frozen=True, slots=True)
class Network:
    """States and arcs of one start rule, in flat arrays that load at once; state 0 is the start.

    Attributes:
        final: the state in which a way through ends.
        words: the words that stand on arcs; the first is empty, for arcs without a word.
        tags: likewise.
        first: for each state its first arc, and one entry more; arcs of a state lie together.
        ends: for each arc the state that it leads to.
        word_of: for each arc the place of its word in `words`.
        tag_of: for each arc the place of its tag in `tags`.
        costs: for each arc -ln of its weight.
    """

    final: int
    words: tuple[str, ...]
    tags: tuple[str, ...]
    first: "array[int]"
    ends: "array[int]"
    word_of: "array[int]"
    tag_of: "array[int]"
    costs: "array[float]"

    @property
    def states(self) -> int:
        """Number of states."""
        return len(self.first) - 1

    def leaving(self, state: int) -> Iterator[tuple[int, str, str, float]]:
        """The arcs of a state: where each leads, its word, its tag, its cost."""
        words, tags = self.words, self.tags
        for arc in range(self.first[state], self.first[state + 1]):
            yield self.ends[arc], words[self.word_of[arc]], tags[self.tag_of[arc]], self.costs[arc]

    @property
    def arcs(self) -> tuple[Step, ...]:
        """All arcs as start, end, word, tag and cost."""
        return tuple((state, *arc) for state in range(self.states) for arc in self.leaving(state))


class NetworkBuilder:
    """Collects states and arcs while it walks the tree of rules, last word first."""

    def __init__(self, rules: Mapping[str, Node]) -> None:
        self._rules = rules
        self._open: list[str] = []
        self._made: dict[tuple[int, int], int] = {}  # node and what follows it -> its first state
        self._states = 1
        self._arcs: list[Step] = []

    def build(self, start: str) -> Network:
        """The network of the named rule.

        Raises:
            GrammarError: a rule is missing, refers to itself, or the whole grows too large.
        """
        final = self._state()
        self._arc(0, self._before(Reference(start), final))
        self._arcs.sort(key=lambda arc: arc[0])
        words = {"": 0} | {word: 0 for _, _, word, _, _ in self._arcs}
        tags = {"": 0} | {tag: 0 for _, _, _, tag, _ in self._arcs}
        for known in (words, tags):
            known.update({text: place for place, text in enumerate(known)})
        first = array("i", bytes(4 * (self._states + 1)))
        for begin, _, _, _, _ in self._arcs:
            first[begin + 1] += 1
        for state in range(self._states):
            first[state + 1] += first[state]
        return Network(
            final=final,
            words=tuple(words),
            tags=tuple(tags),
            first=first,
            ends=array("i", [arc[1] for arc in self._arcs]),
            word_of=array("i", [words[arc[2]] for arc in self._arcs]),
            tag_of=array("i", [tags[arc[3]] for arc in self._arcs]),
            costs=array("d", [arc[4] for arc in self._arcs]),
        )

    def _state(self) -> int:
        self._states += 1
        return self._states - 1

    def _arc(self, start: int, end: int, word: str = "", tag: str = "", cost: float = 0.0) -> None:
        self._arcs.append((start, end, word, tag, cost))
        if len(self._arcs) > MOST_ARCS:
            raise GrammarError(
                f"the grammar grows past {MOST_ARCS} arcs in <{self._open[-1]}>: "
                "use fewer copies of its largest rules"
            )

    def _before(self, node: Node, end: int) -> int:
        """The state from which the node leads to `end`."""
        if isinstance(node, Reference):
            return self._reference(node.name, end)
        made = self._made.get((id(node), end))
        if made is None:
            made = self._make(node, end)
            self._made[id(node), end] = made
        return made

    def _make(self, node: Node, end: int) -> int:
        match node:
            case Word(text):
                start = self._state()
                self._arc(start, end, word=text)
            case Sequence(items):
                start = end
                for item in reversed(items):
                    start = self._before(item, start)
            case Choice(options):
                start = self._state()
                for option, weight in options:
                    self._arc(start, self._before(option, end), cost=-math.log(weight))
            case Optional(item):
                start = self._state()
                self._arc(start, self._before(item, end))
                self._arc(start, end)
            case Repeat(item):
                start, after = self._state(), self._state()
                self._arc(start, self._before(item, after))
                self._arc(after, start)
                self._arc(after, end)
            case Tagged(item, tag):
                start = self._tagged(item, tag, end)
            case _:
                raise AssertionError("references are resolved before")
        return start

    def _tagged(self, item: Node, tag: str, end: int) -> int:
        closing = self._state()
        if "=" in tag:
            self._arc(closing, end, tag=tag)
            return self._before(item, closing)
        self._arc(closing, end, tag=f"]{tag}")
        start = self._state()
        self._arc(start, self._before(item, closing), tag=f"[{tag}")
        return start

    def _reference(self, name: str, end: int) -> int:
        if name not in self._rules:
            inside = f", asked for in <{self._open[-1]}>" if self._open else ""
            raise GrammarError(f"there is no rule <{name}>{inside}")
        if name in self._open:
            raise GrammarError(f"rule <{name}> refers to itself: {' > '.join(self._open)} > {name}")
        self._open.append(name)
        start = self._before(self._rules[name], end)
        self._open.pop()
        return start
