"""Draws what is said in training: trade sentences, word strings of trade and general words.

The trade sentences come from two places: ``grammar/*.yaml`` of the project, sampled from its
``utterance`` rule, and ``trade_phrases.txt`` beside this file, written in the same notation, so
that the model also meets wordings that the grammar does not hold.
"""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path
from random import Random

import yaml

HERE = Path(__file__).resolve().parent
GRAMMAR = HERE.parents[1] / "grammar"
DIGITS = tuple("zero one two three four five six seven eight nine".split())  # noqa: SIM905
TEENS = tuple(
    "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()  # noqa: SIM905
)
TENS = tuple("twenty thirty forty fifty sixty seventy eighty ninety".split())  # noqa: SIM905
NUMBERS = (
    *DIGITS, *DIGITS, *TEENS, *TEENS, *TENS, *TENS,
    "hundred", "thousand", "oh", "nought", "point", "half", "quarter", "quarters", "third",
    "eighth", "eighths", "sixteenth", "sixteenths",
)  # fmt: skip
_TOKEN = re.compile(r"<\w+>|/[\d.]+/|\{[^}]*\}|[()\[\]|+*?]|[a-z'][a-z'-]*")
Node = tuple[str, object]


def trade_words() -> set[str]:
    """The words of ``trade_words.txt`` and ``trade_phrases.txt``."""
    listed = (HERE / "trade_words.txt").read_text().splitlines()
    words = {w for line in listed if not line.startswith("#") for w in line.split()}
    return {w for w in words if "-" not in w} | _words_of(phrase_rules())


def grammar_words() -> set[str]:
    """Every word that the project's grammar holds."""
    return _words_of(grammar_rules())


@cache
def grammar_rules(folder: Path = GRAMMAR) -> dict[str, str]:
    """All rules of ``grammar/*.yaml``, each as one text."""
    rules: dict[str, str] = {}
    for file in sorted(folder.glob("*.yaml")):
        content = yaml.safe_load(file.read_text()) or {}
        for name, body in (content.get("rules") or {}).items():
            rules[name] = " | ".join(map(str, body)) if isinstance(body, list) else str(body)
    return rules


@cache
def phrase_rules() -> dict[str, str]:
    """The rules of ``trade_phrases.txt``: ``name: alternatives``, one a line."""
    lines = (HERE / "trade_phrases.txt").read_text().splitlines()
    pairs = [line.split(":", 1) for line in lines if line and not line.startswith("#")]
    return {name.strip(): body for name, body in pairs}


def _words_of(rules: dict[str, str]) -> set[str]:
    return {
        token
        for body in rules.values()
        for token in _TOKEN.findall(body)
        if re.fullmatch(r"[a-z'][a-z']*", token)
    }


class Sampler:
    """Draws sentences from rules in the grammar's notation."""

    def __init__(self, rules: dict[str, str], top: str, evenness: float = 0.5) -> None:
        """``evenness`` 0 draws as the grammar's weights say, 1 each alternative as often."""
        self.rules, self.top, self.power = rules, top, 1 - evenness
        self.parsed: dict[str, Node] = {}

    def draw(self, random: Random) -> list[str]:
        """One sentence as words."""
        return self._say(("rule", self.top), random)

    def _rule(self, name: str) -> Node:
        if name not in self.parsed:
            self.parsed[name] = _Reader(self.rules[name]).alternatives()
        return self.parsed[name]

    def _say(self, node: Node, random: Random) -> list[str]:
        kind, inner = node
        if kind == "word":
            return [str(inner)]
        if kind == "rule":
            return self._say(self._rule(str(inner)), random)
        if kind == "maybe":
            return self._say(inner, random) if random.random() < 0.5 else []  # type: ignore[arg-type]
        if kind == "many":
            times = 1 + (random.random() < 0.6) + (random.random() < 0.35)
            return [w for _ in range(times) for w in self._say(inner, random)]  # type: ignore[arg-type]
        if kind == "either":
            choices: list[tuple[float, Node]] = inner  # type: ignore[assignment]
            weights = [weight**self.power for weight, _ in choices]
            return self._say(random.choices(choices, weights)[0][1], random)
        parts: list[Node] = inner  # type: ignore[assignment]
        return [w for part in parts for w in self._say(part, random)]


class _Reader:
    """Reads one rule body."""

    def __init__(self, text: str) -> None:
        self.tokens = _TOKEN.findall(text)
        self.at = 0

    def alternatives(self) -> Node:
        choices: list[tuple[float, Node]] = []
        while True:
            weight = 1.0
            if self._next().startswith("/"):
                weight = float(self.tokens[self.at].strip("/"))
                self.at += 1
            choices.append((weight, self._sequence()))
            if self._next() != "|":
                return ("either", choices)
            self.at += 1

    def _next(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def _sequence(self) -> Node:
        parts: list[Node] = []
        while self._next() not in ("", "|", ")", "]"):
            token = self.tokens[self.at]
            self.at += 1
            if token in "([":
                inner = self.alternatives()
                self.at += 1
                parts.append(inner if token == "(" else ("maybe", inner))
            elif token in "+*":
                parts[-1] = ("many", parts[-1])
            elif token == "?":
                parts[-1] = ("maybe", parts[-1])
            elif token[0] == "<":
                parts.append(("rule", token[1:-1]))
            elif token[0] not in "{/":
                parts.append(("word", token))
        return ("all", parts)


class Texts:
    """Mixes the kinds of text; every word drawn is in the word table."""

    def __init__(self, table: dict[str, list[str]], weak: dict[str, object], trade: list[str]):
        self.known = set(table) | set(weak)
        self.general = list(table)
        self.trade = trade
        self.call = grammar_rules().get("attention", "").split()
        self.samplers = [Sampler(phrase_rules(), "top")]
        self.numbers = [word for word in NUMBERS if word in self.known]
        if "utterance" in grammar_rules():
            self.samplers += [
                Sampler(grammar_rules(), "utterance", evenness) for evenness in (0.0, 0.5)
            ]

    def draw(self, random: Random) -> list[str]:
        """One text of 1 to 14 words."""
        kind = random.random()
        if kind < 0.36:
            for _ in range(20):
                words = random.choice(self.samplers).draw(random)
                called = len(self.call)
                with_call = called > 0 and words[:called] == self.call
                if with_call and random.random() < 0.85:  # else one request in three
                    words = words[called:]
                if 1 <= len(words) <= 14 and self.known.issuperset(words):
                    return words
        if kind < 0.62:
            return [word for word in self._numbers(random) if word in self.known] or ["one"]
        if kind < 0.78:
            count = random.choice([1, 2, 2, 3, 3, 4, 4, 5, 6, 7, 8])
            return [
                random.choice(self.trade) if random.random() < 0.65 else self._general(random)
                for _ in range(count)
            ]
        if kind < 0.95:
            count = random.choice([1, 1, 2, 3, 4, 5, 6, 7, 8, 9])
            return [self._general(random) for _ in range(count)]
        return [random.choice(self.trade)]

    def _numbers(self, random: Random) -> list[str]:
        """Numbers alone and in strings: those that are taken for one another side by side."""
        kind, pick = random.random(), random.choice
        if kind < 0.2:
            return [pick(self.numbers)]
        if kind < 0.3:
            return [pick(DIGITS)]
        if kind < 0.42:
            return [pick(DIGITS) for _ in range(random.randint(1, 6))]
        if kind < 0.6:
            return [pick(pick((TEENS, TENS, DIGITS))) for _ in range(random.randint(2, 5))]
        if kind < 0.76:
            tail = [pick(("inch", "inches", "millimetres", "mil", "gauge", "psi", "bar"))]
            return [pick(TENS), pick(DIGITS[1:])] + (tail if random.random() < 0.5 else [])
        if kind < 0.87:
            middle = ["and"] if random.random() < 0.4 else []
            rest = pick(([pick(TENS), pick(DIGITS[1:])], [pick(TEENS)], [pick(TENS)], []))
            return [pick((*DIGITS[1:], "a")), "hundred", *(middle if rest else []), *rest]
        return [pick((*DIGITS, *TEENS, *TENS)), pick(("by", "not", "point", "and", "or", "oh"))] + [
            pick(self.numbers) for _ in range(random.randint(1, 3))
        ]

    def _general(self, random: Random) -> str:
        """A general word; a word's chance falls with its rank, slowly."""
        low, high = math.log(150), math.log(len(self.general) + 150)
        place = int(math.exp(random.uniform(low, high))) - 150
        return self.general[min(len(self.general) - 1, place)]
