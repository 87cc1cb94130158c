"""Compiles a weighted word network with pronunciations into a folder that vosk decodes with.

The reference for ``models/README.md``, section 'Building a graph for it': whoever compiles graphs
for the model elsewhere must come to the same words and scores.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import kaldifst

# An arc of the word network: from, to, word (None: nothing is said), cost (a negative logarithm).
Arc = tuple[int, int, str | None, float]
# A pronunciation: phones, cost.
Pronunciation = tuple[Sequence[str], float]


@dataclass(frozen=True, slots=True)
class WordNetwork:
    """What may be said: arcs between states; it starts in ``start`` and ends in ``end``."""

    states: int
    arcs: tuple[Arc, ...]
    start: int
    end: int


class _Lines:
    """Collects arcs in OpenFst's text form; each state is a number."""

    def __init__(self, states: int) -> None:
        self.states = states
        self.arcs: list[tuple[int, int, int, int, float]] = []

    def state(self) -> int:
        self.states += 1
        return self.states - 1

    def arc(self, source: int, to: int, tid: int = 0, word: int = 0, cost: float = 0.0) -> None:
        self.arcs.append((source, to, tid, word, cost))


class _Phones:
    """Puts phones and silences into the graph, by the numbers in ``model.json``."""

    def __init__(self, card: Mapping[str, object], lines: _Lines) -> None:
        self.card, self.lines = card, lines
        phones, positions = card["phones"], card["positions"]
        assert isinstance(phones, list) and isinstance(positions, list)
        self.phones: list[str] = phones
        ids = card["phone_transition_ids"]
        assert isinstance(ids, dict)
        self.ids: dict[str, int] = ids
        self.place = {position: at for at, position in enumerate(positions)}
        self.number = {phone: at for at, phone in enumerate(self.phones)}

    def silence(self, source: int, to: int) -> None:
        """An optional silence between two states."""
        ids = self.card["silence_transition_ids"]
        assert isinstance(ids, dict)
        inside = self.lines.state()
        self.lines.arc(source, to)
        self.lines.arc(source, inside, ids["enter"])
        self.lines.arc(inside, inside, ids["loop"])
        self.lines.arc(inside, to)

    def phone(self, source: int, to: int, phone: str, place: str, word: int, cost: float) -> None:
        """One phone: frames of it, then frames of blank unless it ends a word."""
        ids, lines = self.ids, self.lines
        base = ids["first"] + ids["each"] * (4 * self.number[phone] + self.place[place])
        short = lines.state()
        lines.arc(source, short, base + ids["enter_and_leave"], word, cost)
        lines.arc(short, short, base + ids["loop"])
        lines.arc(short, to)
        if place in "BI":
            spoken, blank = lines.state(), lines.state()
            lines.arc(source, spoken, base + ids["enter_then_blank"], word, cost)
            lines.arc(spoken, spoken, base + ids["loop"])
            lines.arc(spoken, blank, base + ids["blank"])
            lines.arc(blank, blank, base + ids["blank_loop"])
            lines.arc(blank, to)


def compile_graph(
    network: WordNetwork,
    lexicon: Mapping[str, Iterable[Pronunciation]],
    model: Path,
    to: Path,
    filler_cost: float | None = None,
) -> None:
    """Write ``to`` as a vosk folder: the model's files beside the graph of a word network.

    ``filler_cost`` is the cost of each phone of the filler beside the network; None leaves the
    filler out. Raises KeyError for a word without pronunciation.
    """
    card = json.loads((model / "model.json").read_text())
    words = sorted({word for _, _, word, _ in network.arcs if word})
    number = {word: at for at, word in enumerate(words, start=1)}
    lines = _Lines(network.states)
    phones = _Phones(card, lines)
    start, over = lines.state(), lines.state()
    phones.silence(start, network.start)
    for source, end, word, cost in network.arcs:
        if word is None:
            lines.arc(source, end, cost=cost)
            continue
        said = lines.state()
        phones.silence(said, end)
        for pronunciation, extra in lexicon[word]:
            places = "S" if len(pronunciation) == 1 else f"B{'I' * (len(pronunciation) - 2)}E"
            at = source
            for k, (phone, place) in enumerate(zip(pronunciation, places, strict=True)):
                last = k == len(pronunciation) - 1
                after = said if last else lines.state()
                first = k == 0
                phones.phone(
                    at, after, phone, place, number[word] if first else 0, (cost + extra) * first
                )
                at = after
    lines.arc(network.end, over)
    if filler_cost is not None:
        number[card["filler"]["word"]] = len(number) + 1
        inside, done = lines.state(), lines.state()
        phones.silence(done, over)
        for phone in phones.phones:
            unknown = number[card["filler"]["word"]]
            phones.phone(network.start, inside, phone, "B", unknown, filler_cost)
            phones.phone(inside, inside, phone, "I", 0, filler_cost)
            phones.phone(inside, done, phone, "E", 0, filler_cost)
            phones.phone(network.start, done, phone, "S", unknown, filler_cost)
    text = "\n".join(
        f"{a} {b} {tid} {word} {cost:.6g}"
        for a, b, tid, word, cost in sorted(lines.arcs, key=lambda arc: arc[0] != start)
    )
    graph = kaldifst.compile(f"{text}\n{over}\n")
    kaldifst.rmepsilon(graph)
    kaldifst.connect(graph)
    kaldifst.arcsort(graph, "ilabel")
    _link_model(model, to)
    (to / "graph/phones").mkdir(parents=True, exist_ok=True)
    table = ["<eps> 0", *(f"{word} {at}" for word, at in number.items())]
    (to / "graph/words.txt").write_text("\n".join(table) + "\n")
    shutil.copyfile(model / "word_boundary.int", to / "graph/phones/word_boundary.int")
    kaldifst.StdConstFst(graph).write(str(to / "graph/HCLG.fst"))


def _link_model(model: Path, to: Path) -> None:
    """Put the model's files into the folder: linked where the system can, copied elsewhere."""
    for folder in ("am", "conf"):
        (to / folder).mkdir(parents=True, exist_ok=True)
        for file in (model / folder).iterdir():
            target = to / folder / file.name
            target.unlink(missing_ok=True)
            try:
                target.symlink_to(file.resolve())
            except OSError:
                shutil.copyfile(file, target)
