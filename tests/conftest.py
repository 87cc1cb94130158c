"""What the whole run shares: folders of its own, one cache, one grammar, and heed of an interrupt.

No test touches the user's own files: tips, rig and caches lie in a folder of the run. The cache is
one for all workers of it, so that grammars and graphs are made once; each is written all or
nothing. A test that asks how they are made sets an empty cache of its own.
"""

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.understanding import Understanding


@pytest.fixture(scope="session", autouse=True)
def folders_of_the_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    base = tmp_path_factory.mktemp("home")
    run = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        run = run.parent  # each worker has a folder in that of the run
    os.environ["HANDSFREE_HOME"] = str(base / "kept")
    os.environ.setdefault("XDG_CACHE_HOME", str(run / "cache"))
    return base


@pytest.fixture(scope="session", autouse=True)
def interrupts_are_heeded() -> Iterator[None]:
    """A job in the background is started with interrupts ignored, and so is all that it starts."""
    before = signal.getsignal(signal.SIGINT)
    if before is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(scope="session")
def grammar(folders_of_the_run: Path) -> Grammar:
    """The shipped grammar of requests."""
    return load_grammar(shipped_folder("grammar"), cache=cache_folder() / "grammar")


@pytest.fixture(scope="session")
def understanding(grammar: Grammar) -> Understanding:
    return Understanding(grammar)
