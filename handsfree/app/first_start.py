"""Expands the grammar and compiles the graphs of a first start in a process of its own.

Both take some 40 MB more than what they come to, which Python does not give back to the system. A
helper that runs for days shall not hold them: they go with the process that took them. Where it
fails, whoever needs what it should have made makes it himself, as on any other way through the
house.

    python -m handsfree.app.first_start MODEL PHRASE

Each of the two is empty where the user has none of his own.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree.errors import HandsfreeError
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder

STATES: Final = ("request", "answers")
"""Listening states whose grammar the parser needs."""
PATIENCE_S: Final = 120.0  # a small board takes ten times as long as what this was written on
LOOK_S: Final = 0.02


@dataclass(frozen=True, slots=True)
class FirstStart:
    """What is being made; nothing where all is there."""

    _attention: str | None
    _process: "subprocess.Popen[bytes] | None" = None

    def until_grammar(self) -> None:
        """Wait for what the parser needs."""
        end = time.monotonic() + PATIENCE_S
        while not _has_grammar(self._attention) and self._is_at_work() and time.monotonic() < end:
            time.sleep(LOOK_S)

    def until_graphs(self) -> None:
        """Wait for what the recognisers need."""
        end = time.monotonic() + PATIENCE_S
        while self._is_at_work() and time.monotonic() < end:
            time.sleep(LOOK_S)

    def _is_at_work(self) -> bool:
        return self._process is not None and self._process.poll() is None


@contextmanager
def first_start(model: Path | None, attention: str | None) -> Iterator[FirstStart]:
    """Begin to make what is not there yet; what is not finished at the end is left.

    Args:
        model: another model's folder; the one that came with this copy when None.
        attention: the user's own attention phrase; the grammar's when None.
    """
    if _has_grammar(attention):
        yield FirstStart(attention)
        return
    command = [sys.executable, "-P", "-m", "handsfree.app.first_start"]
    command += [str(model or ""), attention or ""]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    quiet = subprocess.DEVNULL
    try:
        process = subprocess.Popen(command, env=env, stdin=quiet, stdout=quiet, stderr=quiet)
    except (OSError, ValueError):  # no process, or a name that none can be given: made where needed
        yield FirstStart(attention)
        return
    try:
        yield FirstStart(attention, process)
    finally:
        process.kill()
        process.wait()


def make_all(model: Path | None, attention: str | None) -> None:
    """Fill the cache with the grammars, then with the graphs of all listening states.

    Raises:
        ModelError: there is no model that loads, or a graph can be written nowhere.
        GrammarError: the grammar breaks its notation, or the phrase cannot be pronounced.
    """
    from handsfree.app.wiring import MODEL
    from handsfree.hear.model_folder import ModelKind, open_model
    from handsfree.hear.vosk_adapter import compiled
    from handsfree.hear.wake import attention_network
    from handsfree.understand.grammar import load_grammar

    folder, cache = shipped_folder("grammar"), cache_folder()
    grammars = [
        load_grammar(folder, state, cache / "grammar", _own(state, attention)) for state in STATES
    ]
    own = open_model(model or shipped_folder(MODEL))
    if own.kind is ModelKind.STOCK:
        return  # it takes phrases, and no graph
    for grammar in grammars:
        compiled(grammar.word_network(), own, cache / "graphs")
    phrases = load_grammar(folder, "attention", cache / "grammar", attention).word_network()
    listened = attention_network(phrases, own.phones, own.filler)
    compiled(listened, own, cache / "graphs", timed=True)


def _has_grammar(attention: str | None) -> bool:
    from handsfree.understand.grammar import is_kept

    folder, cache = shipped_folder("grammar"), cache_folder() / "grammar"
    return all(is_kept(folder, state, cache, _own(state, attention)) for state in STATES)


def _own(state: str, attention: str | None) -> str | None:
    """The phrase where it is part of what is said: before a request, in one breath."""
    return attention if state == "request" else None


def main() -> int:
    """The process of its own; what fails is told by whoever needs it."""
    model, attention = sys.argv[1:3]
    try:
        make_all(Path(model) if model else None, attention or None)
    except HandsfreeError:
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
