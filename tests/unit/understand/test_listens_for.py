"""What the recogniser listens for: every word can be said, every written form is understood."""

import math
import random

import pytest

from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import Grammar
from handsfree.understand.grammar_files import GrammarFiles, read_texts
from handsfree.understand.network import Network, NetworkBuilder
from handsfree.understand.understanding import Understanding
from handsfree.values import Consent, Control, Pick, Question, Request, Words

SOME, MANY = 120, 2_000  # sentences: in the quick tier, and in the long one
ASKED_AT_MOST = 0.03  # share of sentences whose numbers are really ambiguous
MOST_ARCS = 60_000


def _composed() -> Network:
    """The sentences whose words stand in any order in what is heard, each in its own order.

    Drawn by weight alone: a free run of units also yields rows that mean nothing.
    """
    files = GrammarFiles("request", read_texts(shipped_folder("grammar")))
    return NetworkBuilder(files.rules).build("composed")


def _sentences(network: Network, grammar: Grammar, count: int, seed: int) -> list[str]:
    """Ways through the network, each step drawn by its weight; short spellings are never said."""
    draw = random.Random(seed)
    leaving = {}
    sentences: list[str] = []
    while len(sentences) < count:
        state, words = 0, []
        while state != network.final:
            if state not in leaving:
                arcs = list(network.leaving(state))
                leaving[state] = arcs, [math.exp(-arc[3]) for arc in arcs]
            arcs, weights = leaving[state]
            state, word, _, _ = draw.choices(arcs, weights)[0]
            if word:
                words.append(word)
        if not grammar.typed_only.intersection(words):
            sentences.append(" ".join(words))
    return sentences


@pytest.mark.parametrize("paths", [SOME, pytest.param(MANY, marks=pytest.mark.long)])
def test_every_sentence_that_can_be_heard_is_understood(
    grammar: Grammar, understanding: Understanding, paths: int
) -> None:
    lost, asked = [], []
    for sentence in _sentences(_composed(), grammar, paths, seed=20):
        understood = understanding.request(Words(sentence))
        if isinstance(understood, Question):
            asked.append(sentence)
        elif not isinstance(understood, Request | Consent | Control | Pick):
            lost.append(sentence)
    assert not lost, "\n".join(lost)
    if paths == MANY:  # a share of fewer says little
        assert len(asked) <= ASKED_AT_MOST * paths, "\n".join(asked)


def test_every_word_has_a_pronunciation(grammar: Grammar) -> None:
    assert grammar.unpronounced() == ()


def test_the_word_network_is_whole_and_compact(grammar: Grammar) -> None:
    network = grammar.word_network()
    assert len(network.arcs) <= MOST_ARCS
    assert all(
        0 <= arc.start < network.states and 0 <= arc.end < network.states for arc in network.arcs
    )
    spoken = {arc.word for arc in network.arcs if arc.word}
    assert spoken == {word for word, _ in network.pronunciations}
    assert not spoken & grammar.typed_only


def test_what_the_recogniser_hears_stays_clear_of_single_hints(grammar: Grammar) -> None:
    hints = {tag for _, _, _, tag, _ in grammar.listens_for.arcs if tag.startswith("trouble=")}
    assert not hints
