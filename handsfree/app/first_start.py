"""Expands the grammar and compiles the graphs of a first start, in two processes side by side.

What they take of memory Python does not give back to the system, and a helper that runs for days
shall not hold it: it goes with the processes. The larger half is how requests sound and their
graph; the other is how they are worded, and all that is small. Where one fails, whoever needs what
it should have made makes it himself, as on any other way through the house.

    python -m handsfree.app.first_start JOB MODEL PHRASE

Model and phrase are empty where the user has none of his own. Each part that is there is printed.
"""

import gc
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import IO, Final

from handsfree.errors import HandsfreeError
from handsfree.store.resources import MODEL, shipped_folder
from handsfree.store.settings import cache_folder

STATES: Final = ("request", "answers")
"""Listening states whose grammar the parser needs."""
PATIENCE_S: Final = 120.0  # a small board takes ten times as long as what this was written on


class Made(StrEnum):
    """What is made at a first start, as it is told."""

    REQUESTS = "how requests are worded"
    ANSWERS = "how answers are worded"
    SMALL_GRAPHS = "how answers and calls sound"
    SOUNDS = "how requests sound"
    GRAPH = "all requests as one graph"


_FOR_THE_PARSER: Final = frozenset({Made.REQUESTS, Made.ANSWERS})


class FirstStart:
    """What is being made; nothing where all is there.

    Args:
        on_made: is told each part that is there, from a thread, and how many are there by then.
    """

    def __init__(self, on_made: Callable[[Made, int], None] = lambda part, done: None) -> None:
        self._on_made = on_made
        self._made: set[Made] = set()
        self._working = 0
        self._change = threading.Condition()

    def until_grammar(self) -> None:
        """Wait for what the parser needs."""
        self._wait(lambda: self._made >= _FOR_THE_PARSER)

    def until_graphs(self) -> None:
        """Wait for what the recognisers need."""
        self._wait(lambda: False)

    def watch(self, lines: IO[bytes]) -> threading.Thread:
        """Follow a process by what it prints, until it ends."""
        with self._change:
            self._working += 1
        thread = threading.Thread(target=self._follow, args=(lines,), name="first start")
        thread.start()
        return thread

    def _wait(self, there: Callable[[], bool]) -> None:
        with self._change:
            self._change.wait_for(lambda: there() or not self._working, PATIENCE_S)

    def _follow(self, lines: IO[bytes]) -> None:
        with lines:
            for line in lines:
                part = Made(line.decode().strip())
                with self._change:
                    self._made.add(part)
                    self._change.notify_all()
                    done = len(self._made)
                self._on_made(part, done)
        with self._change:
            self._working -= 1
            self._change.notify_all()


@contextmanager
def first_start(
    model: Path | None,
    attention: str | None,
    on_made: Callable[[Made, int], None] = lambda part, done: None,
) -> Iterator[FirstStart]:
    """Begin to make what is not there yet; what is not finished at the end is left.

    Args:
        model: another model's folder; the one that came with this copy when None.
        attention: the user's own attention phrase; the grammar's when None.
        on_made: as of `FirstStart`.
    """
    first = FirstStart(on_made)
    if _has_grammar(attention):
        yield first
        return
    processes, threads = [], []
    try:
        for job in _JOBS:
            if (process := _started(job, model, attention)) is not None and process.stdout:
                processes.append(process)
                threads.append(first.watch(process.stdout))
        yield first
    finally:
        for process in processes:
            process.kill()
            process.wait()
        for thread in threads:
            thread.join()


def _started(
    job: str, model: Path | None, attention: str | None
) -> "subprocess.Popen[bytes] | None":
    command = [sys.executable, "-P", "-m", "handsfree.app.first_start", job]
    command += [str(model or ""), attention or ""]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    quiet = subprocess.DEVNULL
    try:
        return subprocess.Popen(command, env=env, stdin=quiet, stdout=subprocess.PIPE, stderr=quiet)
    except (OSError, ValueError):  # no process, or a name that none can be given: made where needed
        return None


def _has_grammar(attention: str | None) -> bool:
    from handsfree.understand.grammar import is_kept

    folder, cache = shipped_folder("grammar"), cache_folder() / "grammar"
    return all(is_kept(folder, state, cache, _own(state, attention)) for state in STATES)


def _own(state: str, attention: str | None) -> str | None:
    """The phrase where it is part of what is said: before a request, in one breath."""
    return attention if state == "request" else None


# --- in the processes -----------------------------------------------------------------------------


def _small(model: Path | None, attention: str | None) -> Iterator[Made]:
    """How requests and answers are worded, then the graphs of answers and of calls."""
    from handsfree.understand.grammar import load_grammar

    folder, cache = shipped_folder("grammar"), cache_folder()
    load_grammar(folder, "request", cache / "grammar", attention)
    yield Made.REQUESTS
    answers = load_grammar(folder, "answers", cache / "grammar")
    yield Made.ANSWERS

    from handsfree.hear.model_folder import ModelKind, open_model
    from handsfree.hear.vosk_adapter import compiled
    from handsfree.hear.wake import attention_network

    own = open_model(model or shipped_folder(MODEL))
    if own.kind is ModelKind.STOCK:
        return  # it takes phrases, and no graph
    compiled(answers.word_network(), own, cache / "graphs")
    phrases = load_grammar(folder, "attention", cache / "grammar", attention).word_network()
    listened = attention_network(phrases, own.phones, own.filler)
    compiled(listened, own, cache / "graphs", timed=True)
    yield Made.SMALL_GRAPHS


def _large(model: Path | None, attention: str | None) -> Iterator[Made]:
    """How requests sound, then their graph."""
    from handsfree.understand.grammar import expand_for_hearing, load_grammar

    folder, cache = shipped_folder("grammar"), cache_folder()
    expand_for_hearing(folder, "request", cache / "grammar", attention)
    yield Made.SOUNDS

    from handsfree.hear.model_folder import ModelKind, open_model
    from handsfree.hear.vosk_adapter import compiled

    own = open_model(model or shipped_folder(MODEL))
    if own.kind is ModelKind.STOCK:
        return
    # The other process has written how they are worded by now, which is read here.
    grammar = load_grammar(folder, "request", cache / "grammar", attention)
    compiled(grammar.word_network(), own, cache / "graphs")
    yield Made.GRAPH


_JOBS: Final[Mapping[str, Callable[[Path | None, str | None], Iterator[Made]]]] = {
    "small": _small,
    "large": _large,
}


def main() -> int:
    """A process of its own; what fails is told by whoever needs it."""
    job, model, attention = sys.argv[1:4]
    gc.disable()  # it ends soon, and a collector that looks at it all takes a quarter of the time
    try:
        for part in _JOBS[job](Path(model) if model else None, attention or None):
            sys.stdout.write(f"{part}\n")
            sys.stdout.flush()
    except HandsfreeError:
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
