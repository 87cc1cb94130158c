"""The peer: what the pocketsphinx wheel hears with its own model and the same grammar.

The grammar reaches it as a finite-state grammar made from the same word network, with the same
costs and pronunciations; its settings are its own.
"""

import importlib
import math
import tempfile
import time
from pathlib import Path
from typing import Any

from handsfree.hear.graph_reduce import EMPTY, reduced
from handsfree.hear.graph_words import Lexicon, numbered
from handsfree.values import WordNetwork
from tests.bench.hearing_people import NotThereError


class Peer:
    """Hears whole utterances in one network."""

    def __init__(self, network: WordNetwork) -> None:
        try:
            sphinx: Any = importlib.import_module("pocketsphinx")
        except ImportError as fault:
            raise NotThereError("install the wheel pocketsphinx") from fault
        spoken = dict(network.pronunciations)
        lines = [
            f"{word}{f'({at})' if at > 1 else ''} {' '.join(phones)}"
            for word, said in spoken.items()
            for at, phones in enumerate(dict.fromkeys(said), start=1)
        ]
        folder = Path(sphinx.get_model_path()) / "en-us"
        with tempfile.TemporaryDirectory() as made:
            dictionary = Path(made) / "words.dict"
            dictionary.write_text("\n".join(lines) + "\n", encoding="utf-8")
            self._decoder = sphinx.Decoder(
                hmm=str(folder / "en-us"), dict=str(dictionary), lm=None, loglevel="FATAL"
            )
        words = {number: word for number, word in enumerate(spoken, start=1)}
        lexicon = Lexicon({word: number for number, word in words.items()}, {})
        states = reduced(*numbered(network, lexicon, 0.0))
        steps: list[tuple[Any, ...]] = []
        for state, out in enumerate(states.arcs):
            for word, to, cost in out:
                step = (state, to, math.exp(-max(0.0, cost)))
                steps.append(step if word == EMPTY else (*step, words[word]))
        end = len(states.arcs)
        steps += [(state, end, math.exp(-max(0.0, cost))) for state, cost in states.finals.items()]
        grammar = self._decoder.create_fsg(network.name, 0, end, steps)
        self._decoder.add_fsg(network.name, grammar)
        self._decoder.activate_search(network.name)
        self.sound_s = self.work_s = 0.0

    def hear(self, samples: bytes) -> str:
        begin = time.process_time()
        self._decoder.start_utt()
        self._decoder.process_raw(samples, no_search=False, full_utt=True)
        self._decoder.end_utt()
        heard = self._decoder.hyp()
        self.work_s += time.process_time() - begin
        self.sound_s += len(samples) / 32_000
        return heard.hypstr if heard is not None else ""
