"""Reads a decoding graph back from its file, for tests, independently of what wrote it."""

import struct
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Graph:
    """Arcs of each state as (heard, said, cost, to), and what it costs to end in it."""

    start: int
    arcs: list[list[tuple[int, int, float, int]]]
    ends: list[float]


def read_graph(path: Path) -> Graph:
    """OpenFst's const form, version 2, with standard arcs."""
    content = path.read_bytes()
    magic, length = struct.unpack_from("<ii", content)
    assert magic == 2125659606 and content[8 : 8 + length] == b"const"
    at = 8 + length
    (length,) = struct.unpack_from("<i", content, at)
    assert content[at + 4 : at + 4 + length] == b"standard"
    at += 4 + length
    version, flags, _, start, states, arcs = struct.unpack_from("<iiQqqq", content, at)
    assert (version, flags) == (2, 0)
    at += 40
    heads = [struct.unpack_from("<fIIII", content, at + 20 * state) for state in range(states)]
    at += 20 * states
    steps = [struct.unpack_from("<iifi", content, at + 16 * step) for step in range(arcs)]
    assert len(content) == at + 16 * arcs
    return Graph(
        start, [steps[first : first + n] for _, first, n, _, _ in heads], [h[0] for h in heads]
    )


def sentences(graph: Graph, words: dict[int, str], never: Iterable[str]) -> dict[str, float]:
    """Every sentence with its lowest cost, self-loops and the words in `never` left out."""
    shut = {number for number, word in words.items() if word in never}
    found: dict[str, float] = {}
    waiting: list[tuple[int, tuple[int, ...], float]] = [(graph.start, (), 0.0)]
    seen: dict[tuple[int, tuple[int, ...]], float] = {}
    while waiting:
        state, said, cost = waiting.pop()
        if seen.get((state, said), float("inf")) <= cost + 1e-9:
            continue
        seen[state, said] = cost
        if graph.ends[state] != float("inf"):
            text = " ".join(words[word] for word in said)
            found[text] = min(found.get(text, float("inf")), cost + graph.ends[state])
        for _, word, extra, to in graph.arcs[state]:
            if to != state and word not in shut:
                waiting.append((to, (*said, word) if word else said, cost + extra))
    return found


def words_of(folder: Path) -> dict[int, str]:
    """The graph's word table, number to word."""
    lines = (folder / "graph/words.txt").read_text(encoding="utf-8").splitlines()
    return {int(number): word for word, number in (line.split() for line in lines)}
