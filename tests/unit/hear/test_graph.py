"""A compiled graph says what its network says, at the same cost, and nothing else."""

import math
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.errors import GrammarError
from handsfree.hear.graph import compile_graph
from handsfree.hear.graph_reduce import WordArc, reduced
from handsfree.hear.model_folder import open_model
from handsfree.values import Arc, WordNetwork
from tests.unit.hear.graph_reader import read_graph, sentences, words_of
from tests.unit.hear.networks import network, pronounced
from tests.unit.hear.tone_ear import write_tone_ear

NEVER = ("[unk]", "[uh]")


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_tone_ear(tmp_path_factory.mktemp("ear"))


def test_says_exactly_the_sentences_of_the_network(ear: Path, tmp_path: Path) -> None:
    texts = ("what tip for half inch plate", "what tip", "three eighths plate", "one inch plate")
    folder = compile_graph(network(*texts), open_model(ear), tmp_path)
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), NEVER)
    assert set(said) == {*texts, ""}  # nothing at all is said by silence


def test_carries_the_costs_of_the_network(ear: Path, tmp_path: Path) -> None:
    costs = {"half inch plate": math.log(2), "half inch": math.log(8), "a tip": 0.0}
    folder = compile_graph(network(*costs, costs=costs), open_model(ear), tmp_path)
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), NEVER)
    assert {text: round(cost, 3) for text, cost in said.items() if text} == {
        text: round(cost, 3) for text, cost in costs.items()
    }


def test_ends_where_the_network_ends_and_adds_the_cost_of_ending(ear: Path, tmp_path: Path) -> None:
    arcs = (Arc(0, 1, "a", cost=0.5), Arc(1, 2, "tip"))
    ends = WordNetwork("ends", 3, arcs, ((1, 2.0), (2, 0.25)), pronounced({"a", "tip"}))
    folder = compile_graph(ends, open_model(ear), tmp_path)
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), NEVER)
    assert said == pytest.approx({"": 0.0, "a": 2.5, "a tip": 0.75})


def test_adds_the_models_penalty_for_each_word(tmp_path: Path) -> None:
    ear = write_tone_ear(tmp_path / "ear", word_penalty=0.5)
    folder = compile_graph(network("a tip", "tip"), open_model(ear), tmp_path / "cache")
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), NEVER)
    assert said == pytest.approx({"": 0.0, "a tip": 1.0, "tip": 0.5})


def test_filler_costs_by_the_phone(ear: Path, tmp_path: Path) -> None:
    folder = compile_graph(network("a tip"), open_model(ear), tmp_path)
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), ("[uh]",))
    assert said["[unk]"] == pytest.approx(30.0)  # one phone is the least


def test_filler_costs_once_to_begin(tmp_path: Path) -> None:
    filler = {"word": "[unk]", "cost_per_phone": 3.0, "start_cost": 5.0}
    model = open_model(write_tone_ear(tmp_path / "ear", filler=filler))
    folder = compile_graph(network("a tip"), model, tmp_path / "cache")
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), ("[uh]",))
    assert said["[unk]"] == pytest.approx(8.0)


def test_options_of_a_state_come_after_those_of_the_model(ear: Path, tmp_path: Path) -> None:
    model = open_model(ear)
    told = (ear / "conf/model.conf").read_text()
    folder = compile_graph(network("a tip"), model, tmp_path, options=("--beam=9",))
    assert (folder / "conf/model.conf").read_text() == f"{told}--beam=9\n"
    assert (ear / "conf/model.conf").read_text() == told  # it may have been one file, two names
    assert compile_graph(network("a tip"), model, tmp_path) != folder


def test_words_are_numbered_from_one_with_the_filler_last(ear: Path, tmp_path: Path) -> None:
    folder = compile_graph(network("set a tip"), open_model(ear), tmp_path)
    assert words_of(folder) == {0: "<eps>", 1: "a", 2: "set", 3: "tip", 4: "[uh]", 5: "[unk]"}


ARCS = st.lists(
    st.tuples(
        st.integers(0, 5), st.integers(0, 5), st.integers(0, 3), st.sampled_from([0.0, 0.5, 1.25])
    ),
    max_size=14,
)


@settings(max_examples=300, deadline=None)
@given(
    arcs=ARCS, finals=st.dictionaries(st.integers(0, 5), st.sampled_from([0.0, 1.0]), min_size=1)
)
def test_reducing_changes_no_sentence_and_no_cost(
    arcs: list[tuple[int, int, int, float]], finals: dict[int, float]
) -> None:
    by_state: list[list[WordArc]] = [[] for _ in range(6)]
    for a, b, word, cost in arcs:
        by_state[a].append((word, b, cost))
    small = reduced(by_state, finals)
    before = _language(by_state, finals)
    after = _language([list(out) for out in small.arcs], dict(small.finals))
    assert before == pytest.approx(after, abs=1e-3)


def test_reducing_makes_one_of_what_leads_on_alike_and_of_what_is_reached_alike() -> None:
    # Two contexts, each with its own copy of (one | two) three, at different costs.
    arcs: list[list[WordArc]] = [[] for _ in range(8)]
    for context, cost in ((0, 0.25), (3, 1.0)):
        arcs[0] += [(1, context + 1, cost), (2, context + 1, cost + 0.5)]
        arcs[context + 1].append((3, context + 2, 0.0))
        arcs[context + 2].append((4 + context, 7, 0.0))
    small = reduced(arcs, {7: 0.0})
    assert len(small.arcs) == 4
    assert _language([list(out) for out in small.arcs], dict(small.finals)) == pytest.approx(
        _language(arcs, {7: 0.0})
    )


def _language(arcs: list[list[WordArc]], finals: dict[int, float]) -> dict[tuple[int, ...], float]:
    """Sentences of up to four words with their lowest cost, by walking every way."""
    cheapest: dict[tuple[int, tuple[int, ...]], float] = {(0, ()): 0.0}
    waiting: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    while waiting:
        state, said = waiting.pop()
        for word, to, extra in arcs[state]:
            longer = (*said, word) if word else said
            cost = cheapest[state, said] + extra
            if len(longer) <= 4 and cost < cheapest.get((to, longer), math.inf) - 1e-9:
                cheapest[to, longer] = cost
                waiting.append((to, longer))
    found: dict[tuple[int, ...], float] = {}
    for (state, said), cost in cheapest.items():
        if state in finals:
            found[said] = min(found.get(said, math.inf), cost + finals[state])
    return found


REFERENCE = """
import sys
try:
    import kaldifst
except ImportError:
    sys.exit(77)
graph = kaldifst.StdVectorFst(kaldifst.StdConstFst.read(sys.argv[1]))
states = graph.num_states
kaldifst.connect(graph)
print(states, graph.num_states)
"""


def test_an_independent_library_reads_the_file_and_finds_no_useless_state(
    ear: Path, tmp_path: Path
) -> None:
    # kaldifst (OpenFst) in a process of its own: loaded before vosk it makes vosk hang.
    folder = compile_graph(network("what tip", "half inch plate"), open_model(ear), tmp_path)
    path = folder / "graph/HCLG.fst"
    done = subprocess.run(
        [sys.executable, "-c", REFERENCE, str(path)], capture_output=True, text=True, check=False
    )
    if done.returncode == 77:
        pytest.skip("kaldifst is not installed")
    assert done.returncode == 0, done.stderr
    states, useful = (int(value) for value in done.stdout.split())
    assert states == useful == len(read_graph(path).arcs)


def test_refuses_words_that_nobody_can_pronounce(ear: Path, tmp_path: Path) -> None:
    mute = WordNetwork("mute", 2, (Arc(0, 1, "kerf"),), ((1, 0.0),), ())
    with pytest.raises(GrammarError, match="without a pronunciation: kerf"):
        compile_graph(mute, open_model(ear), tmp_path)


def test_refuses_phones_that_the_model_does_not_know(ear: Path, tmp_path: Path) -> None:
    odd = WordNetwork("odd", 2, (Arc(0, 1, "loch"),), ((1, 0.0),), (("loch", (("L", "X"),)),))
    with pytest.raises(GrammarError, match="X in loch"):
        compile_graph(odd, open_model(ear), tmp_path)


@pytest.mark.parametrize("finals", [(), ((1, 0.0),)])
def test_refuses_a_network_in_which_nothing_can_be_said(
    ear: Path, tmp_path: Path, finals: tuple[tuple[int, float], ...]
) -> None:
    with pytest.raises(GrammarError, match="no end"):
        compile_graph(
            WordNetwork("shut", 3, (Arc(0, 2, "a"),), finals, pronounced({"a"})),
            open_model(ear),
            tmp_path,
        )


def test_refuses_arcs_that_lead_outside_the_network(ear: Path, tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match="2 states, but arcs lead from 1 to 7"):
        compile_graph(
            WordNetwork("wide", 2, (Arc(1, 7, "a"),), ((1, 0.0),), pronounced({"a"})),
            open_model(ear),
            tmp_path,
        )
