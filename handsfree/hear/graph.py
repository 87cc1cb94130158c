"""Compiles a word network into the folder that the recogniser loads, and keeps it for next time.

words ─► one state a beginning ─► phones ─► sound states, silence, hesitation, filler ─► graph
"""

import hashlib
import json
import os
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import handsfree
from handsfree.errors import ModelError
from handsfree.hear import graph_build
from handsfree.hear.graph_cache import cached_folder, content_hash, link_or_copy
from handsfree.hear.graph_states import Machine, Sounds
from handsfree.hear.graph_words import HESITATION, Lexicon, lexicon_of, word_machine
from handsfree.hear.model_folder import FEATURES, ModelFolder
from handsfree.values import WordNetwork

COMPILER = 1  # raise it when the same network and model come to give another graph
BUILD_LIMIT_S = 300.0
_MODEL_FILES = ("am/final.mdl", "conf/model.conf", *FEATURES)


def compile_graph(network: WordNetwork, model: ModelFolder, cache: Path) -> Path:
    """A folder that vosk loads: the model's files, the graph of `network`, its words.

    Costs of the network weigh as they are (-ln p); talk outside it decodes as the filler's word.
    A second call with the same network, model and compiler finds the first one's folder.

    Args:
        network: what may be said in one listening state, with pronunciations.
        model: a model of our own kind.
        cache: where finished graphs are kept; made when it is not there.

    Raises:
        GrammarError: the network has no end, a word without pronunciation, or an unknown phone.
        ModelError: the graph cannot be built, or can be written nowhere.
    """
    lexicon = lexicon_of(network, model)  # faults of the grammar show even when a graph is kept
    words = word_machine(network, lexicon, model.word_penalty)

    def build(folder: Path) -> None:
        for name in ("am", "conf", "graph/phones"):
            (folder / name).mkdir(parents=True)
        _build_apart(words, _sounds(model, lexicon), folder / "graph/HCLG.fst", network.name)
        table = ["<eps> 0", *(f"{word} {number}" for word, number in lexicon.numbers.items())]
        (folder / "graph/words.txt").write_text("\n".join(table) + "\n", encoding="utf-8")
        link_or_copy(model.path / "word_boundary.int", folder / "graph/phones/word_boundary.int")
        for name in _MODEL_FILES:
            if (model.path / name).is_file():
                link_or_copy(model.path / name, folder / name)

    return cached_folder(cache, graph_key(network, model), build)


def graph_key(network: WordNetwork, model: ModelFolder) -> str:
    """Name of the graph in the cache: the network's, and a hash of all that it is made of."""
    made_of = (
        COMPILER,
        version("kaldifst"),
        network.states,
        [(arc.start, arc.end, arc.word, arc.cost) for arc in network.arcs],
        network.finals,
        network.pronunciations,
        (model.filler, model.filler_cost, model.word_penalty, model.hesitation_cost),
        model.phones,
        repr(model.moves),
        [
            content_hash(model.path / name)
            for name in (*_MODEL_FILES, "word_boundary.int")
            if (model.path / name).is_file()
        ],
    )
    name = "".join(letter if letter.isalnum() else "_" for letter in network.name)[:40]
    return f"{name or 'network'}-{hashlib.sha256(json.dumps(made_of).encode()).hexdigest()[:24]}"


def _sounds(model: ModelFolder, lexicon: Lexicon) -> Sounds:
    assert model.moves is not None, "a stock model takes phrases, not a graph"
    return Sounds(
        moves=model.moves,
        phones=len(model.phones),
        words=lexicon.phones,
        hesitation=lexicon.numbers[HESITATION],
        hesitation_cost=model.hesitation_cost,
        filler=lexicon.numbers[model.filler],
        filler_cost=model.filler_cost,
    )


def _build_apart(words: Machine, sounds: Sounds, graph: Path, name: str) -> None:
    """Build in a process of its own, for the reason given in `graph_fst`."""
    home = str(Path(handsfree.__file__).resolve().parents[1])
    known = [home, *filter(None, [os.environ.get("PYTHONPATH")])]
    try:
        done = subprocess.run(
            [sys.executable, "-m", graph_build.__name__],
            input=graph_build.job(words, sounds, graph),
            env={**os.environ, "PYTHONPATH": os.pathsep.join(known)},
            capture_output=True,
            text=True,
            timeout=BUILD_LIMIT_S,
            check=False,
        )
    except subprocess.TimeoutExpired as fault:
        raise ModelError(
            f"The decoding graph of {name} was not ready after {BUILD_LIMIT_S:.0f} s. "
            "The grammar allows too much at once: make it smaller."
        ) from fault
    if done.returncode or not graph.is_file():
        said = done.stderr.strip().splitlines()[-1:] or [f"exit status {done.returncode}"]
        raise ModelError(
            f"The decoding graph of {name} cannot be built: {said[0]}. Install the project again."
        )
