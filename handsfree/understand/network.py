"""The rules of one listening state become a word network, for the parser and the recogniser alike.

The network is built from its end to its start: a rule is copied only where what follows it differs,
so that the hundred ways of saying a length are there once for every use of a length and not once
for every sentence.
"""

import math
from array import array
from collections.abc import Collection, Iterator, Mapping
from collections.abc import Sequence as Items
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
    text_of,
)
from handsfree.understand.usage import ENDS, Usage, last_of, name_of, together

MOST_ARCS = 400_000
LOOSE_SHARE = 0.05  # of all units, before phrases are counted

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
    """Collects states and arcs while it walks the tree of rules, last word first.

    Args:
        rules: all of them.
        usage: how often people take which alternative; without it a weight is a cost as it stands,
            and alternatives without one cost nothing.
        free: the rule whose repeated alternatives are units that follow each other as `usage` says.
        loose: words that are units of that rule too, each by itself.
    """

    def __init__(
        self,
        rules: Mapping[str, Node],
        usage: Usage | None = None,
        free: str = "",
        loose: Collection[str] = (),
    ) -> None:
        self._rules = rules
        self._usage = usage
        self._free = free
        self._loose = tuple(Word(word) for word in sorted(loose))
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
                start = self._choice(options, end)
            case Optional(item):
                start = self._optional(item, end)
            case Repeat(item) if self._usage is not None and self._open[-1] == self._free:
                start = self._units(item, end, self._usage)
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

    def _choice(self, options: Items[tuple[Node, float]], end: int) -> int:
        start = self._state()
        if self._usage is None:
            for option, weight in options:
                self._arc(start, self._before(option, end), cost=-math.log(weight))
            return start
        named = [(name_of(text_of(option)), weight) for option, weight in options]
        costs = self._usage.costs(self._open[-1], named)
        for (option, _), (name, _), cost in zip(options, named, costs, strict=True):
            self._taken(start, self._before(option, end), name, cost)
        return start

    def _optional(self, item: Node, end: int) -> int:
        start = self._state()
        if self._usage is None:
            self._arc(start, self._before(item, end))
            self._arc(start, end)
            return start
        weight = 1.0  # one that is given to what may be left out is against leaving it out
        if isinstance(item, Choice):
            weight = min(1.0, sum(weight for _, weight in item.options))
        name = name_of(f"[{text_of(item)}]")
        named = [(name, weight), (f"no {name}", 1.0)]
        said, left_out = self._usage.costs(self._open[-1], named)
        self._taken(start, self._before(item, end), name, said)
        self._taken(start, end, f"no {name}", left_out)
        return start

    def _units(self, item: Node, end: int, usage: Usage) -> int:
        """Units in any order, each at the cost that it has behind the ones before.

        One state stands for each unit or pair of units that was counted as what came before. Those
        that were seen behind it are reached at their own cost, all others over the state of the
        last unit alone, and then over one that has forgotten what was before.
        """
        named = {name: (node, weight) for name, node, weight in self._flat(item, 1.0)}
        for word in self._loose:
            named.setdefault(word.text, (word, LOOSE_SHARE / len(self._loose)))
        words = {name for name, (node, _) in named.items() if isinstance(node, Word)}
        pairs = usage.pairs([(name, weight) for name, (_, weight) in named.items()], words)
        forgotten = self._state()
        before = {name: self._state() for name in pairs.behind}

        def after(name: str, last: str) -> int:
            """The state that follows a unit which came behind another."""
            return before.get(together(last, name), before.get(name, forgotten))

        begins = {
            name: self._begun(name, self._before(node, after(name, "")))
            for name, (node, _) in named.items()
            if name not in words
        }

        def step(start: int, name: str, last: str, cost: float) -> None:
            if name == ENDS:
                self._arc(start, end, cost=cost)
            elif name in words:
                self._arc(start, after(name, last), name, self._mark(name), cost)
            else:
                self._arc(start, begins[name], cost=cost)

        for name, cost in pairs.single.items():
            step(forgotten, name, "", cost)
        for context, behind in pairs.behind.items():
            shorter = before.get(last_of(context)) if context != last_of(context) else None
            at = before[context]
            self._arc(at, forgotten if shorter is None else shorter, cost=pairs.back[context])
            for name, cost in behind.items():
                step(at, name, last_of(context), cost)
        return before.get(ENDS, forgotten)

    def _flat(self, node: Node, weight: float) -> Iterator[tuple[str, Node, float]]:
        """The alternatives of the free part with their names and shares.

        Alternatives of rules named like it (`free_...`) are its own; those of others are one unit.
        """
        if isinstance(node, Reference) and node.name.startswith(f"{self._free}_"):
            yield from self._flat(self._rules[node.name], weight)
        elif isinstance(node, Choice):
            total = sum(share for _, share in node.options)
            for option, share in node.options:
                yield from self._flat(option, weight * share / total)
        else:
            yield name_of(text_of(node)), node, weight

    def _taken(self, start: int, to: int, name: str, cost: float) -> None:
        """An arc of a choice; `name` is for those who count what is chosen."""
        self._arc(start, to, cost=cost)

    def _begun(self, name: str, begin: int) -> int:
        """Where a unit begins; `name` is for those who count what follows what."""
        return begin

    def _mark(self, name: str) -> str:
        """Tag of a unit that is one word; likewise."""
        return ""

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
