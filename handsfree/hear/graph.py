"""Compiles a word network into the folder that the recogniser loads, and keeps it for next time.

words ─► one state a beginning ─► phones ─► sound states, silence, hesitation, filler ─► graph
"""

import hashlib
import json
from pathlib import Path

from handsfree.hear.graph_cache import cached_folder, content_hash, link_or_copy
from handsfree.hear.graph_reduce import reduced
from handsfree.hear.graph_states import Sounds, write_graph
from handsfree.hear.graph_words import (
    HESITATION,
    HESITATIONS,
    Lexicon,
    lexicon_of,
    numbered,
    placed,
)
from handsfree.hear.model_folder import FEATURES, ModelFolder
from handsfree.values import WordNetwork

COMPILER = 1  # raise it when the same network and model come to give another graph
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
        ModelError: the graph can be written nowhere.
    """
    lexicon = lexicon_of(network, model)  # faults of the grammar show even when a graph is kept
    arcs, finals = numbered(network, lexicon, model.word_penalty)

    def build(folder: Path) -> None:
        for name in ("am", "conf", "graph/phones"):
            (folder / name).mkdir(parents=True)
        write_graph(reduced(arcs, finals), _sounds(model, lexicon), folder / "graph/HCLG.fst")
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
    known = {phone: at for at, phone in enumerate(model.phones)}
    return Sounds(
        moves=model.moves,
        phones=len(model.phones),
        spoken=lexicon.phones,
        hesitation=lexicon.numbers[HESITATION],
        hesitations=tuple(placed([phone], known)[0] for phone in HESITATIONS if phone in known),
        hesitation_cost=model.hesitation_cost,
        filler=lexicon.numbers[model.filler],
        filler_cost=model.filler_cost,
    )
