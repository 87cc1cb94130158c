"""Compiles a word network into the folder that the recogniser loads, and keeps it for next time.

words ─► one state a beginning ─► phones ─► sound states, silence, hesitation, filler ─► graph
"""

import hashlib
from pathlib import Path

from handsfree.hear.graph_cache import cached_folder, content_hash, link_or_copy
from handsfree.hear.graph_reduce import reduced
from handsfree.hear.graph_states import Sounds, write_graph
from handsfree.hear.graph_talk import TalkWords, talk_states
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

COMPILER = 3  # raise it when the same network and model come to give another graph
OPTIONS = "conf/model.conf"
_MODEL_FILES = ("am/final.mdl", OPTIONS, *FEATURES)


def compile_graph(
    network: WordNetwork,
    model: ModelFolder,
    cache: Path,
    talk: TalkWords = (),
    options: tuple[str, ...] = (),
) -> Path:
    """A folder that vosk loads: the model's files, the graph of `network`, its words.

    Costs of the network weigh as they are (-ln p); talk outside it decodes as the filler's word.
    A second call with the same network, model and compiler finds the first one's folder.

    Args:
        network: what may be said in one listening state, with pronunciations.
        model: a model of our own kind.
        cache: where finished graphs are kept; made when it is not there.
        talk: pronunciations of common words that the filler is made of beside plain phones.
        options: lines for the decoder, which count more than those of the model.

    Raises:
        GrammarError: the network has no end, a word without pronunciation, or an unknown phone.
        ModelError: the graph can be written nowhere.
    """

    def build(folder: Path) -> None:
        lexicon = lexicon_of(network, model)
        for name in ("am", "conf", "graph/phones"):
            (folder / name).mkdir(parents=True)
        words = reduced(*numbered(network, lexicon, model.word_penalty))
        write_graph(words, _sounds(model, lexicon, talk), folder / "graph/HCLG.fst")
        table = ["<eps> 0", *(f"{word} {number}" for word, number in lexicon.numbers.items())]
        (folder / "graph/words.txt").write_text("\n".join(table) + "\n", encoding="utf-8")
        link_or_copy(model.path / "word_boundary.int", folder / "graph/phones/word_boundary.int")
        for name in _MODEL_FILES:
            if (model.path / name).is_file():
                link_or_copy(model.path / name, folder / name)
        if options:
            told = (model.path / OPTIONS).read_text(encoding="utf-8").splitlines()
            (folder / OPTIONS).unlink()  # it may be the model's own file under a second name
            (folder / OPTIONS).write_text("\n".join([*told, *options, ""]), encoding="utf-8")

    return cached_folder(cache, graph_key(network, model, talk, options), build)


def graph_key(
    network: WordNetwork,
    model: ModelFolder,
    talk: TalkWords = (),
    options: tuple[str, ...] = (),
) -> str:
    """Name of the graph in the cache: the network's, and a hash of all that it is made of."""
    digest = hashlib.sha256()

    def add(part: object) -> None:
        digest.update(repr(part).encode())

    add((COMPILER, options, network.states, network.finals, network.pronunciations))
    add(talk)
    for arc in network.arcs:  # one by one: the text of all would take more memory than the graph
        add((arc.start, arc.end, arc.word, arc.cost))
    add((model.filler, model.filler_cost, model.filler_start_cost, model.talk_word_cost))
    add((model.word_penalty, model.hesitation_cost))
    add((model.phones, model.moves))
    for name in (*_MODEL_FILES, "word_boundary.int"):
        if (model.path / name).is_file():
            add((name, content_hash(model.path / name)))
    name = "".join(letter if letter.isalnum() else "_" for letter in network.name)[:40]
    return f"{name or 'network'}-{digest.hexdigest()[:24]}"


def _sounds(model: ModelFolder, lexicon: Lexicon, talk: TalkWords) -> Sounds:
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
        filler_start_cost=model.filler_start_cost,
        talk=() if model.talk_word_cost is None else talk_states(talk, known),
        talk_word_cost=model.talk_word_cost or 0.0,
    )
