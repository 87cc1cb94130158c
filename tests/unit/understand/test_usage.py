"""Counts of what people say become costs: shares that add up, and the likelier cheaper."""

import math
from itertools import pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from handsfree.errors import GrammarError
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar_files import GrammarFiles, read_texts
from handsfree.understand.network import Network, NetworkBuilder
from handsfree.understand.rules import parse_expansion
from handsfree.understand.usage import ENDS, LEAST_SEEN, Usage, last_of, together, usage_in, written

UNITS = [("on", 0.5), ("half", 1.0), ("plate", 1.0), ("<size>", 0.25)]
WORDS = {"on", "half", "plate"}
NAMES = [name for name, _ in UNITS]
counts = st.dictionaries(st.sampled_from([*NAMES, ENDS]), st.integers(1, 40), min_size=1)
follows = st.dictionaries(st.sampled_from([*NAMES, ENDS]), counts, min_size=1)


def _shares(usage: Usage, context: str) -> dict[str, float]:
    """The share of each unit behind a context, over what was forgotten where it must be."""
    pairs = usage.pairs(UNITS, WORDS)
    single = {name: math.exp(-cost) for name, cost in pairs.single.items()}
    if context not in pairs.behind:
        return single if context == last_of(context) else _shares(usage, last_of(context))
    back = math.exp(-pairs.back[context])
    less = single if context == last_of(context) else _shares(usage, last_of(context))
    seen = {name: math.exp(-cost) for name, cost in pairs.behind[context].items()}
    return {name: seen.get(name, back * less[name]) for name in less}


@given(st.dictionaries(st.sampled_from(NAMES), st.integers(1, 99)))
def test_the_shares_of_a_choice_add_up_to_one(seen: dict[str, int]) -> None:
    costs = Usage({"size": seen}, scale=1.0).costs("size", UNITS)
    assert math.isclose(sum(math.exp(-cost) for cost in costs), 1.0)


@given(follows)
def test_the_shares_behind_each_unit_add_up_to_one(seen: dict[str, dict[str, int]]) -> None:
    usage = Usage(follows=seen, scale=1.0)
    for context in [ENDS, *NAMES]:
        assert math.isclose(sum(_shares(usage, context).values()), 1.0)


@given(follows, counts)
def test_the_shares_behind_two_units_add_up_to_one(
    seen: dict[str, dict[str, int]], behind: dict[str, int]
) -> None:
    two = together("on", "half")
    usage = Usage(follows={**seen, two: behind}, scale=1.0)
    assert (two in usage.pairs(UNITS, WORDS).behind) == (sum(behind.values()) >= LEAST_SEEN)
    assert math.isclose(sum(_shares(usage, two).values()), 1.0)


def test_what_is_said_more_often_costs_less_and_nothing_costs_all() -> None:
    said = Usage({"size": {"plate": 50, "on": 1}}, scale=1.0).costs("size", UNITS)
    weights = Usage(scale=1.0).costs("size", UNITS)
    assert said[2] < weights[2]
    assert said[0] > weights[0]
    assert all(cost < 8 for cost in said)


def test_two_units_count_only_behind_a_single_word() -> None:
    usage = Usage(follows={together("on", "<size>"): {"plate": 9}, "<size>": {"plate": 9}})
    assert set(usage.pairs(UNITS, WORDS).behind) == {"<size>"}


def test_counts_of_units_that_are_no_more_are_passed_over() -> None:
    usage = Usage(follows={"gone": {"plate": 5}, "on": {"gone": 5, "half": 1}})
    pairs = usage.pairs(UNITS, WORDS)
    assert set(pairs.behind) == {"on"}
    assert set(pairs.behind["on"]) == {"half"}


def test_what_is_written_is_read_again() -> None:
    chosen = {"size": {'a "quoted" \\ one': 3}}
    behind = {ENDS: {"on": 2}, together("on", "half"): {ENDS: 4}}
    content = yaml.load("\n".join(written(chosen, behind)), yaml.BaseLoader)
    assert usage_in(content) == Usage(chosen, behind)


@pytest.mark.parametrize("content", [{"chosen": []}, {"follows": {"on": {"half": "many"}}}])
def test_a_file_that_is_not_counts_is_refused(content: dict[str, object]) -> None:
    with pytest.raises(GrammarError, match="Count anew"):
        usage_in(content)


def _cheapest(network: Network, sentence: str) -> float:
    """The cost of the cheapest way that says the sentence."""
    open_now = {0: 0.0}

    def closed(states: dict[int, float]) -> dict[int, float]:
        waiting = list(states)
        while waiting:
            state = waiting.pop()
            for to, word, _, cost in network.leaving(state):
                if not word and states[state] + cost < states.get(to, math.inf) - 1e-12:
                    states[to] = states[state] + cost
                    waiting.append(to)
        return states

    for said in sentence.split():
        onward: dict[int, float] = {}
        for state, before in closed(open_now).items():
            for to, word, _, cost in network.leaving(state):
                if word == said:
                    onward[to] = min(before + cost, onward.get(to, math.inf))
        open_now = onward
    return closed(open_now)[network.final]


def test_the_network_gives_each_sentence_the_cost_of_its_units() -> None:
    rules = {
        name: parse_expansion(text)
        for name, text in {
            "free": "(<free_word> | <size>)+",
            "free_word": "on | plate",
            "size": "half [inch] | /0.5/ quarter",
        }.items()
    }
    behind = {
        ENDS: {"on": 6, "<size>": 4},
        "on": {"<size>": 6},
        "<size>": {"plate": 9, ENDS: 1},
        "plate": {ENDS: 8, "on": 1},
        together("<size>", "plate"): {ENDS: 7, "on": 2},
    }
    usage = Usage({"size": {"half [inch]": 8}}, behind, scale=0.5)
    network = NetworkBuilder(rules, usage, "free", ["please"]).build("free")
    named = [("on", 0.25), ("plate", 0.25), ("<size>", 0.5), ("please", 0.05)]
    pairs = usage.pairs(named, {"on", "plate", "please"})
    half, _ = usage.costs("size", [("half [inch]", 1.0), ("quarter", 0.5)])
    bare = usage.costs("size", [("[inch]", 1.0), ("no [inch]", 1.0)])[1]

    def behind_it(context: str, after: str) -> float:
        shorter = last_of(context)
        less = pairs.single[after] if shorter == context else behind_it(shorter, after)
        if context not in pairs.behind:
            return less
        return min(pairs.behind[context].get(after, math.inf), pairs.back[context] + less)

    def cost(*units: str) -> float:
        contexts = [ENDS, *(together(*two) for two in pairwise([ENDS, *units]))]
        steps = zip(contexts, [*units, ENDS], strict=True)
        return sum(behind_it(context, after) for context, after in steps)

    assert math.isclose(_cheapest(network, "on half"), cost("on", "<size>") + half + bare)
    assert math.isclose(_cheapest(network, "half plate"), cost("<size>", "plate") + half + bare)
    assert math.isclose(_cheapest(network, "plate please"), cost("plate", "please"))
    assert _cheapest(network, "half plate") < _cheapest(network, "quarter plate")


def test_what_was_counted_is_in_the_grammar() -> None:
    """A rule that was taken away or reworded leaves counts behind: count anew then."""
    files = GrammarFiles("request", read_texts(shipped_folder("grammar")))
    content = files.file("usage")
    usage = usage_in(content)
    known = [rule for rule in usage.chosen if rule in files.rules]
    assert len(known) >= 0.9 * len(usage.chosen)
    assert sum(sum(n.values()) for c, n in usage.follows.items() if c == last_of(c)) > 20_000


def test_no_phrase_that_was_counted_is_one_of_the_evaluation() -> None:
    tests = Path(__file__).resolve().parents[2]
    spoken = (tests / "bench/evaluation_sentences.tsv").read_text(encoding="utf-8").splitlines()
    evaluated = {line.split("\t")[-1] for line in spoken}
    said = [
        line
        for file in (tests.parent / "models/train/said").glob("*.txt")
        for line in file.read_text(encoding="utf-8").splitlines()
    ]
    assert len(said) > 4_000
    assert not evaluated.intersection(said)
