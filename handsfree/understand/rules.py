"""Grammar text becomes a tree: the expansions of the JSpeech Grammar Format, one rule a YAML key.

The notation is that of JSGF (W3C note of 5 June 2000): `a b` one after the other, `a | b` either,
`[a]` or nothing, `(a)` a group, `<name>` another rule, `a*` and `a+` repeated, `/0.3/ a` the weight
of an alternative, `{tag}` behind an item. Two kinds of tag are used: `{fuel=propane}` sets a slot,
`{thick}` fills a slot with the words of the item before it. Rules may not refer to themselves, so
that what may be said stays a finite network.

>>> parse_expansion("(half | three quarter) [inch]")
Sequence(items=(Choice(options=((Word(text='half'), 1.0), (Sequence(items=(Word(text='three'), \
Word(text='quarter'))), 1.0))), Optional(item=Word(text='inch'))))
"""

import re
from dataclasses import dataclass
from typing import TypeAlias

from handsfree.errors import GrammarError


@dataclass(frozen=True, slots=True)
class Word:
    """One word, lower case."""

    text: str


@dataclass(frozen=True, slots=True)
class Reference:
    """Another rule, by its name."""

    name: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """Items one after the other; empty for nothing."""

    items: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several, each with its weight (1 is usual, less is odd)."""

    options: tuple[tuple["Node", float], ...]


@dataclass(frozen=True, slots=True)
class Optional:
    """The item or nothing."""

    item: "Node"


@dataclass(frozen=True, slots=True)
class Repeat:
    """The item at least once."""

    item: "Node"


@dataclass(frozen=True, slots=True)
class Tagged:
    """An item that fills or sets a slot."""

    item: "Node"
    tag: str


Node: TypeAlias = Word | Reference | Sequence | Choice | Optional | Repeat | Tagged

_TOKEN = re.compile(
    r"\s*(?:(?P<word>[a-z][a-z']*)|<(?P<ref>[a-z_0-9]+)>|\{(?P<tag>[a-z_]+(?:=[^{}]*)?)\}"
    r"|/(?P<weight>[0-9.]+)/|(?P<mark>[()\[\]|*+]))"
)


class _Reader:
    """Reads the tokens of one expansion from left to right."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._tokens: list[tuple[str, str]] = []
        at, end = 0, len(text.rstrip())
        while at < end:
            match = _TOKEN.match(text, at)
            if match is None or match.lastgroup is None:
                raise GrammarError(
                    f"cannot read {text[at : at + 20].strip()!r} in {text!r}: words are lower "
                    "case, rules stand in <>, tags in {}"
                )
            self._tokens.append((match.lastgroup, match.group(match.lastgroup)))
            at = match.end()
        self._next = 0

    def peek(self) -> tuple[str, str]:
        return self._tokens[self._next] if self._next < len(self._tokens) else ("end", "")

    def take(self) -> tuple[str, str]:
        token = self.peek()
        self._next += 1
        return token

    def choice(self) -> Node:
        options = [self._weighted()]
        while self.peek() == ("mark", "|"):
            self.take()
            options.append(self._weighted())
        if len(options) == 1 and options[0][1] == 1.0:
            return options[0][0]
        return Choice(tuple(options))

    def _weighted(self) -> tuple[Node, float]:
        weight = 1.0
        if self.peek()[0] == "weight":
            weight = float(self.take()[1])
            if not 0 < weight <= 1:
                raise GrammarError(
                    f"weight {weight} in {self._text!r}: give one above 0, at most 1"
                )
        return self._sequence(), weight

    def _sequence(self) -> Node:
        items: list[Node] = []
        while self.peek()[0] in ("word", "ref") or self.peek()[1] in ("(", "["):
            items.append(self._item())
        return items[0] if len(items) == 1 else Sequence(tuple(items))

    def _item(self) -> Node:
        kind, text = self.take()
        node: Node
        if kind == "word":
            node = Word(text)
        elif kind == "ref":
            node = Reference(text)
        else:
            inner = self.choice()
            closing = ")" if text == "(" else "]"
            if self.take() != ("mark", closing):
                raise GrammarError(f"{closing!r} is missing in {self._text!r}")
            node = inner if text == "(" else Optional(inner)
        while True:
            kind, text = self.peek()
            if kind == "tag":
                node = Tagged(node, text)
            elif text == "+":
                node = Repeat(node)
            elif text == "*":
                node = Optional(Repeat(node))
            else:
                return node
            self.take()


def text_of(node: Node) -> str:
    """An expansion that parses to the node again, weights left out where they are 1.

    >>> text_of(parse_expansion("(half|/0.5/three quarter){thick} [inch]"))
    '(half | /0.5/ three quarter){thick} [inch]'
    """
    match node:
        case Word(text):
            return text
        case Reference(name):
            return f"<{name}>"
        case Sequence(items):
            return " ".join(
                f"({text_of(i)})" if isinstance(i, Choice) else text_of(i) for i in items
            )
        case Choice(options):
            told = (text_of(o) if w == 1 else f"/{w:g}/ {text_of(o)}" for o, w in options)
            return " | ".join(told)
        case Optional(item):
            return f"[{text_of(item)}]"
        case Repeat(item):
            return f"{_grouped(item)}+"
        case Tagged(item, tag):
            return f"{_grouped(item)}{{{tag}}}"


def _grouped(node: Node) -> str:
    bare = isinstance(node, Word | Reference | Tagged | Optional)
    return text_of(node) if bare else f"({text_of(node)})"


def parse_expansion(text: str) -> Node:
    """The tree of one expansion.

    Raises:
        GrammarError: the text breaks the notation; the message shows where.
    """
    reader = _Reader(text)
    node = reader.choice()
    if reader.peek()[0] != "end":
        raise GrammarError(f"{reader.peek()[1]!r} is not expected in {text!r}")
    return node
