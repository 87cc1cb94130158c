"""The rules of one listening state become a word network, for the parser and the recogniser alike.

The network is built from its end to its start: a rule is copied only where what follows it differs,
so that the hundred ways of saying a length are there once for every use of a length and not once
for every sentence. A loop gets one state of its own, its junction, so that the parser can look
words up there once for all who arrive.
"""

import math
from collections.abc import Mapping

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
from handsfree.values import Arc

MOST_ARCS = 400_000


class NetworkBuilder:
    """Collects states and arcs while it walks the tree of rules, last word first."""

    def __init__(self, rules: Mapping[str, Node]) -> None:
        self._rules = rules
        self._open: list[str] = []
        self._made: dict[tuple[int, int], int] = {}  # node and what follows it -> its first state
        self.states = 1
        self.arcs: list[Arc] = []
        self.junctions: list[int] = []

    def build(self, start: str) -> int:
        """Build from the named rule at state 0; the final state."""
        final = self._state()
        self._arc(0, self._before(Reference(start), final))
        return final

    def _state(self) -> int:
        self.states += 1
        return self.states - 1

    def _arc(self, start: int, end: int, word: str = "", tag: str = "", cost: float = 0.0) -> None:
        self.arcs.append(Arc(start, end, word, tag, cost))
        if len(self.arcs) > MOST_ARCS:
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
                self.junctions.append(start)
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
            raise GrammarError(f"there is no rule <{name}>, asked for in <{self._open[-1]}>")
        if name in self._open:
            raise GrammarError(f"rule <{name}> refers to itself: {' > '.join(self._open)} > {name}")
        self._open.append(name)
        start = self._before(self._rules[name], end)
        self._open.pop()
        return start
