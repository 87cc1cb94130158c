"""Phrases in which cutters ask the helper, each with its meaning: all but known misses are right.

The files were written without sight of the grammar; what is judged of each phrase is said at
their heads. A phrase that the grammar does not reach stands there as `missed`, with what it is that
cannot be read. A change that loses another one must show it, and one that mends one takes the mark
off.
"""

from pathlib import Path

import pytest
import yaml

from handsfree.understand.understanding import Understanding
from handsfree.values import Words
from tests.talks.judging import fault_of

HERE = Path(__file__).parent
COUNTS = {  # phrases, and how many of them are known to be missed: a file must not lose either
    "phrases_open.yaml": (100, 0),
    "phrases_more.yaml": (300, 3),
    "phrases_said.yaml": (178, 0),
    "phrases_kept.yaml": (100, 1),
    "phrases_second.yaml": (100, 3),
}


@pytest.mark.parametrize("name", COUNTS)
def test_phrases_of_cutters_are_understood(understanding: Understanding, name: str) -> None:
    phrases = yaml.safe_load((HERE / name).read_text(encoding="utf-8"))
    new, mended = [], []
    for phrase in phrases:
        fault = fault_of(phrase, understanding.request(Words(phrase["say"])))
        if fault is not None and "missed" not in phrase:
            new.append(f"{phrase['say']}\n    {fault}")
        elif fault is None and "missed" in phrase:
            mended.append(phrase["say"])
    assert not new, f"{len(new)} more of {name} are missed:\n" + "\n".join(new)
    assert not mended, f"understood now; take `missed` off in {name}:\n" + "\n".join(mended)


@pytest.mark.parametrize("name", COUNTS)
def test_no_phrase_goes_and_no_miss_comes_unseen(name: str) -> None:
    phrases = yaml.safe_load((HERE / name).read_text(encoding="utf-8"))
    assert len({phrase["say"] for phrase in phrases}) == len(phrases)
    missed = [phrase for phrase in phrases if "missed" in phrase]
    assert (len(phrases), len(missed)) == COUNTS[name]
    assert all(phrase["missed"] for phrase in missed), "each says what cannot be read"
