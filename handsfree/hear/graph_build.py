"""Builds one decoding graph in a process of its own: a job on standard input, a file as result.

    python -m handsfree.hear.graph_build < job.json

The process keeps the finite-state library, and the memory that it needs, away from the recogniser.
"""

import json
import sys
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from handsfree.hear.graph_fst import reduce_acceptor, share_endings, write_graph
from handsfree.hear.graph_states import Machine, Sounds, phone_machine, sound_machine
from handsfree.hear.model_folder import PhoneMoves

GROWTH = 4  # a network may grow so many times by having one state for each beginning


def job(words: Machine, sounds: Sounds, graph: Path) -> str:
    """What the process must be told, as text."""
    return json.dumps({"words": asdict(words), "sounds": asdict(sounds), "graph": str(graph)})


def build(words: Machine, sounds: Sounds, graph: Path) -> None:
    """Write the decoding graph of an acceptor over words to the file `graph`."""
    reduced = reduce_acceptor(words, most_states=GROWTH * words.states + 1000)
    phones = phone_machine(reduced.machine, sounds.words)
    if reduced.deterministic:  # else equal arcs could leave a state, and merging is not exact
        phones = share_endings(phones)
    write_graph(sound_machine(phones, sounds), graph)


def _from_job(text: str) -> tuple[Machine, Sounds, Path]:
    told: Mapping[str, Any] = json.loads(text)
    words, sounds = told["words"], told["sounds"]
    arcs = tuple((a, b, heard, said, cost) for a, b, heard, said, cost in words["arcs"])
    finals = tuple((state, cost) for state, cost in words["finals"])
    spoken = {
        int(word): tuple(tuple(phones) for phones in pronunciations)
        for word, pronunciations in sounds["words"].items()
    }
    return (
        Machine(words["start"], words["states"], arcs, finals),
        Sounds(**{**sounds, "words": spoken, "moves": PhoneMoves(**sounds["moves"])}),
        Path(told["graph"]),
    )


if __name__ == "__main__":
    build(*_from_job(sys.stdin.read()))
