"""Rules become networks; networks and words become readings."""

import math

import pytest

from handsfree.errors import GrammarError
from handsfree.understand import network as networks
from handsfree.understand.network import Network, NetworkBuilder
from handsfree.understand.parser import Parser, Passable, Reading
from handsfree.understand.rules import parse_expansion


def _network(**rules: str) -> Network:
    return NetworkBuilder({name: parse_expansion(text) for name, text in rules.items()}).build(
        next(iter(rules))
    )


def _sentences(network: Network) -> set[str]:
    """All that a network without loops can say."""

    def onward(state: int) -> set[tuple[str, ...]]:
        ends: set[tuple[str, ...]] = {()} if state == network.final else set()
        for end, word, _, _ in network.leaving(state):
            ends |= {((word,) if word else ()) + rest for rest in onward(end)}
        return ends

    return {" ".join(words) for words in onward(0)}


def test_a_network_says_what_its_rules_say() -> None:
    network = _network(top="[the] <size> plate", size="half [inch] | quarter")
    assert _sentences(network) == {
        *("half plate", "half inch plate", "quarter plate"),
        *("the half plate", "the half inch plate", "the quarter plate"),
    }


def test_weights_become_costs() -> None:
    network = _network(top="half | /0.25/ quarter")
    costs = {
        word: cost + before
        for _, end, _, _, before in network.arcs
        for _, word, _, cost in network.leaving(end)
        if word
    }
    assert costs["half"] == 0
    assert math.isclose(costs["quarter"], -math.log(0.25))


def test_a_rule_is_copied_only_where_what_follows_differs() -> None:
    shared = _network(top="a <tail> | b <tail>", tail="one two three four")
    assert sum(1 for arc in shared.arcs if arc[2] == "three") == 1
    copied = _network(top="<tail> a | <tail> b", tail="one two three four")
    assert sum(1 for arc in copied.arcs if arc[2] == "three") == 2


def test_arcs_of_a_state_lie_together_and_none_is_lost() -> None:
    network = _network(top="(a | b) [c]+ (d | e)")
    assert network.first[-1] == len(network.ends) == len(network.arcs)
    assert {arc[2] for arc in network.arcs} - {""} == set("abcde")


def test_a_network_that_grows_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(networks, "MOST_ARCS", 10)
    with pytest.raises(GrammarError, match="grows past 10 arcs in <top>"):
        _network(top="a b c d e f g h i j k l")


UNIT = (
    "how fast{about=speed} | what [pressure]{about=pressure} | (half | three quarter | one)"
    "{thick} [inch] | (quarter inch){tip} tip"
)


def _parser() -> Parser:
    passable = {word: Passable(0.5) for word in ("the", "on", "with", "a", "really")}
    passable["boss"] = Passable(0.6, talk=True)
    return Parser(_network(unit=UNIT), passable)


def _best(words: str) -> Reading:
    readings = _parser().readings(words.split())
    assert readings, words
    return readings[0]


def test_units_come_in_any_order() -> None:
    first = _best("how fast half inch quarter inch tip")
    second = _best("quarter inch tip half inch how fast")
    assert sorted(first.slots) == sorted(second.slots)
    assert sorted(first.slots) == [("about", "speed"), ("thick", "half"), ("tip", "quarter inch")]


def test_harmless_words_are_passed_over_at_a_cost() -> None:
    plain, padded = _best("how fast half inch"), _best("how really fast on the half inch")
    assert plain.slots == padded.slots
    assert padded.cost > plain.cost


def test_talk_is_counted() -> None:
    assert _best("boss how fast half inch").talk == 1
    assert _best("the how fast half inch").talk == 0


def test_a_word_that_no_rule_and_no_list_knows_leaves_no_reading() -> None:
    assert _parser().readings(["how", "fast", "half", "inch", "stainless"]) == ()
    assert _parser().readings(["stainless"]) == ()
    assert _parser().readings([]) == (Reading(0.0, ()),)


def test_no_word_is_passed_over_in_the_middle_of_a_slot() -> None:
    assert _parser().readings(["three", "the", "quarter", "inch"]) == ()


def test_the_cheapest_reading_comes_first_and_none_twice() -> None:
    readings = _parser().readings(["what", "pressure", "one", "inch", "quarter", "inch", "tip"])
    assert [reading.cost for reading in readings] == sorted(reading.cost for reading in readings)
    assert len({reading.slots for reading in readings}) == len(readings)


def test_what_was_worked_out_is_dropped_before_it_grows_without_end(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("handsfree.understand.parser.MOST_NODES", 3)
    monkeypatch.setattr("handsfree.understand.parser.MOST_REACHES", 3)
    parser = _parser()
    for _ in range(3):
        assert parser.readings(["how", "fast", "half", "inch", "quarter", "inch", "tip"])
