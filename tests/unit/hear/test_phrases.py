"""A stock model is given each word in each of its places, in a whole sentence."""

from handsfree.hear.phrases import phrases_of
from handsfree.values import Arc, WordNetwork
from tests.unit.hear.networks import network


def test_sentences_beside_each_other_come_back() -> None:
    texts = ("a tip", "fifty", "half inch plate")
    assert phrases_of(network(*texts)) == texts


def test_every_word_occurs_in_its_place_in_the_shortest_sentence() -> None:
    # (what | a) then (tip | plate), then perhaps (half), in any combination
    arcs = (
        Arc(0, 1, "what"),
        Arc(0, 1, "a"),
        Arc(1, 2, tag="slot"),
        Arc(2, 3, "tip"),
        Arc(2, 3, "plate"),
        Arc(3, 4, "half"),
        Arc(3, 4),
    )
    assert phrases_of(WordNetwork("mixed", 5, arcs, ((4, 0.0),), ())) == (
        "a tip",
        "what plate",
        "what tip",
        "what tip half",
    )


def test_loops_come_to_an_end_and_dead_ends_are_left_out() -> None:
    arcs = (
        Arc(0, 1, "one"),
        Arc(1, 1, "and"),
        Arc(1, 2),
        Arc(2, 0),
        Arc(0, 3, "lost"),
        Arc(4, 2, "never"),
    )
    phrases = phrases_of(WordNetwork("loop", 5, arcs, ((2, 0.0),), ()))
    assert phrases == ("one", "one and")
