"""Counts in phrases which alternatives of the grammar people use, and which unit follows which.

    python -m models.train.usage PHRASES ... [--to grammar/usage.yaml] [--rounds 3]

A file of phrases holds one a line, in words as they are spoken. Each is laid over the recogniser's
network along its likeliest way, by the counts of the round before; what was taken on the way is
counted. A word that the network does not hold stands for itself and is not counted. Needs
`kaldifst`.
"""

import argparse
import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path
from random import Random

import kaldifst

from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar_files import GrammarFiles, read_texts
from handsfree.understand.network import NetworkBuilder
from handsfree.understand.rules import Node, Word
from handsfree.understand.usage import ENDS, LEAST_SEEN, Usage, last_of, together, written

STRANGE = "strangeword"  # stands for each word that the network does not hold
STRANGE_UNIT = Word(STRANGE)
STRANGE_COST = 8.0
STRANGE_SHARE = 0.02


class CountingBuilder(NetworkBuilder):
    """Builds the network with the name of each choice and unit on its arcs."""

    def _taken(self, start: int, to: int, name: str, cost: float) -> None:
        self._arc(start, to, tag=f"chose {self._open[-1]} | {name}", cost=cost)

    def _begun(self, name: str, begin: int) -> int:
        marked = self._state()
        self._arc(marked, begin, tag=f"unit {name}")
        return marked

    def _mark(self, name: str) -> str:
        return f"unit {name}"

    def _flat(self, node: Node, weight: float) -> Iterator[tuple[str, Node, float]]:
        if weight == 1.0:
            yield STRANGE, STRANGE_UNIT, STRANGE_SHARE
        yield from super()._flat(node, weight)


class Aligner:
    """Lays phrases over a network."""

    def __init__(self, files: GrammarFiles, usage: Usage) -> None:
        head = files.head
        spoken = files.pronunciations()
        loose = [word for word in files.loose_words() if word in spoken]
        network = CountingBuilder(files.rules, usage, str(head["free"]), loose).build(
            str(head["listens_for"])
        )
        self._words = {word: at for at, word in enumerate(network.words)}
        self._tags = network.tags
        fst = kaldifst.StdVectorFst()
        for _ in range(network.states):
            fst.add_state()
        fst.start = 0
        fst.set_final(network.final, 0.0)
        for start, end, word, tag, cost in network.arcs:
            label = self._words[word]
            fst.add_arc(start, kaldifst.StdArc(label, self._tag(tag), cost, end))
        kaldifst.arcsort(fst, sort_type="ilabel")
        self._fst = fst

    def _tag(self, tag: str) -> int:
        if not tag.startswith(("chose ", "unit ")):
            return 0
        if not hasattr(self, "_numbers"):
            self._numbers = {text: at for at, text in enumerate(self._tags)}
        return self._numbers[tag]

    def marks(self, phrase: str) -> list[str]:
        """What the likeliest way through the network takes; empty where there is none."""
        said, strange = kaldifst.StdVectorFst(), self._words[STRANGE]
        said.start = said.add_state()
        for at, word in enumerate(phrase.split()):
            said.add_state()
            said.add_arc(at, kaldifst.StdArc(strange, strange, STRANGE_COST, at + 1))
            if label := self._words.get(word):
                said.add_arc(at, kaldifst.StdArc(label, label, 0.0, at + 1))
        said.set_final(said.num_states - 1, 0.0)
        ways = kaldifst.compose(said, self._fst, match_side="right")
        if ways.num_states == 0:
            return []
        found, _, marks, _ = kaldifst.get_linear_symbol_sequence(kaldifst.shortest_path(ways))
        return [self._tags[mark] for mark in marks] if found else []


def counted(aligner: Aligner, phrases: Mapping[str, int]) -> tuple[Usage, int]:
    """Counts of all phrases, each so many times, and how many of them the network does not hold."""
    chosen: dict[str, Counter[str]] = defaultdict(Counter)
    follows: dict[str, Counter[str]] = defaultdict(Counter)
    missing = 0
    for phrase, times in phrases.items():
        marks = aligner.marks(phrase)
        missing += not marks
        units = [mark.removeprefix("unit ") for mark in marks if mark.startswith("unit ")]
        line = [ENDS, *units, ENDS] if units else []
        for at, after in enumerate(line[1:], start=1):
            if STRANGE in line[at - 1 : at + 1]:
                continue
            follows[line[at - 1]][after] += times
            if at > 1 and line[at - 2] != STRANGE:
                follows[together(line[at - 2], line[at - 1])][after] += times
        for mark in marks:
            if mark.startswith("chose "):
                rule, _, name = mark.removeprefix("chose ").partition(" | ")
                chosen[rule][name] += times
    return Usage(chosen, follows, 1.0), missing


def drawn(files: GrammarFiles, number: int) -> Iterator[str]:
    """Sentences of the rule `composed`, each alternative as often as its weight says."""
    network = NetworkBuilder(files.rules, Usage(scale=1.0)).build("composed")
    random = Random(3)
    typed_only = files.words("words", "typed_only")
    for _ in range(number):
        words, state = [], 0
        while state != network.final:
            steps = list(network.leaving(state))
            end, word, _, _ = random.choices(steps, [math.exp(-step[3]) for step in steps])[0]
            words.append(word)
            state = end
        words = [word for word in words if word]
        if not typed_only.intersection(words):
            yield " ".join(words)


def main() -> None:
    """Count, and write the file."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("phrases", type=Path, nargs="+")
    parser.add_argument("--to", type=Path, default=Path("grammar/usage.yaml"))
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--drawn", type=int, default=8000, help="sentences by rule `composed`")
    parser.add_argument("--times", type=int, default=3, help="that a written phrase counts")
    options = parser.parse_args()
    texts = [path.read_text(encoding="utf-8").splitlines() for path in options.phrases]
    phrases = [line.strip() for text in texts for line in text if line.strip()]
    files = GrammarFiles("request", read_texts(shipped_folder("grammar")))
    counts = Counter(drawn(files, options.drawn))
    for phrase in phrases:
        counts[phrase] += options.times
    usage = Usage(scale=1.0)
    for number in range(options.rounds):
        usage, missing = counted(Aligner(files, usage), counts)
        total = sum(sum(counts.values()) for counts in usage.follows.values())
        print(
            f"round {number + 1}: {len(counts)} phrases, {missing} not held, {total} pairs",
            flush=True,
        )
    rare = {c for c, n in usage.follows.items() if c != last_of(c) and n.total() < LEAST_SEEN}
    for context in rare:
        del usage.follows[context]
    lines = [line for line in HEAD.splitlines()] + list(written(usage.chosen, usage.follows))
    options.to.write_text("\n".join(lines) + "\n", encoding="utf-8")


HEAD = """\
# How often people say what the grammar allows. `chosen`: how often each alternative of a rule was
# taken; `follows`: how often a unit of `freely` came behind another, or behind two ("" is start and
# end). Counted by `python -m models.train.usage` in models/train/said/ and in sentences drawn by
# `composed`. A wording without a count has its weight: it is heard without counting anew."""


if __name__ == "__main__":
    main()
