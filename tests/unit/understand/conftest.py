"""The shipped grammar, expanded once for all tests of the understanding."""

import pytest

from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.understanding import Understanding


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    return load_grammar(shipped_folder("grammar"))


@pytest.fixture(scope="session")
def understanding(grammar: Grammar) -> Understanding:
    return Understanding(grammar)
