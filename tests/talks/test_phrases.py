"""Phrases in which cutters ask the helper, each with its meaning: how many are understood rightly.

The files were written without sight of the grammar; what is judged of each phrase is said at
their heads. The floors are what the grammar reaches: a change that loses a phrase must show it.
"""

from pathlib import Path

import pytest
import yaml

from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import Words
from tests.talks.judging import fault_of

HERE = Path(__file__).parent
FLOORS = {
    "phrases_open.yaml": 99,
    "phrases_more.yaml": 297,
    "phrases_said.yaml": 178,
    "phrases_kept.yaml": 98,
    "phrases_second.yaml": 97,
}


@pytest.fixture(scope="module")
def understanding() -> Understanding:
    return Understanding(load_grammar(shipped_folder("grammar")))


@pytest.mark.parametrize("name", FLOORS)
def test_phrases_of_cutters_are_understood(understanding: Understanding, name: str) -> None:
    phrases = yaml.safe_load((HERE / name).read_text(encoding="utf-8"))
    misses = []
    for phrase in phrases:
        understood = understanding.request(Words(phrase["say"]))
        if (fault := fault_of(phrase, understood)) is not None:
            misses.append(f"{phrase['say']}\n    {fault}")
    right = len(phrases) - len(misses)
    assert right >= FLOORS[name], f"{right} of {len(phrases)} right:\n" + "\n".join(misses)
