"""Makes more spoken requests and talk than `models.train.evaluation_speech` does, from the grammar.

    python -m tests.bench.hearing_speech --to FOLDER [--voices held-out] [--requests 300]

`--voices held-out` speaks with voices that training never met: for evaluation. `--voices trained`
speaks with voices and mixes like those of training: for development, on which costs and the
constants of sureness are chosen. Requests are drawn from the network that the recogniser listens
for, as often as its weights say; talk comes from `site_talk.txt` beside this file. Needs what
`models.train.evaluation_speech` needs; with `--onnx FILE` (the parts of the neural voice put
together, and the package `onnxruntime`) the neural voice is several times quicker. The same seed
gives the same words, voices and order.
"""

import argparse
import importlib
import json
import math
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from handsfree.session import Session
from handsfree.values import Arc, WordNetwork
from models.train.classic import ACCENTS, TRAINED_FLITE, VARIANTS, Flite, resampled
from models.train.evaluation_speech import ESPEAK, Mouths, voices, write_wave
from models.train.sentences import Sampler
from models.train.speakers import Speakers
from models.train.synthesise import BUILD, CLASSIC
from models.train.voice import RATE

SITE_TALK = Path(__file__).with_name("site_talk.txt")
MIXED = "mix"  # a neural speaker who is nobody
Row = tuple[str, str, str]  # text, voice, family


def walked(leaving: dict[int, list[Arc]], finals: dict[int, float], random: Random) -> str:
    """One sentence of a network, each step as often as its cost says."""
    state = 0
    words: list[str] = []
    while True:
        steps = leaving[state]
        weights = [math.exp(-arc.cost) for arc in steps]
        if state in finals and random.random() < math.exp(-finals[state]) / (
            math.exp(-finals[state]) + sum(weights)
        ):
            return " ".join(words)
        if not steps:
            return ""  # what followed is only typed
        arc = random.choices(steps, weights)[0]
        if arc.word:
            words.append(arc.word)
        state = arc.end


def requests(network: WordNetwork, known: set[str], number: int, random: Random) -> list[str]:
    """So many different requests that the voices can say."""
    leaving: dict[int, list[Arc]] = defaultdict(list)
    for arc in network.arcs:
        leaving[arc.start].append(arc)
    found: dict[str, None] = {}
    while len(found) < number:
        text = walked(leaving, dict(network.finals), random)
        if text and len(text.split()) <= 16 and known.issuperset(text.split()):
            found[text] = None
    return list(found)


def talk(known: set[str], number: int, random: Random) -> list[str]:
    """So many different sentences that are not for the helper."""
    lines = SITE_TALK.read_text(encoding="utf-8").splitlines()
    pairs = (line.split(":", 1) for line in lines if line and not line.startswith("#"))
    sampler = Sampler({name.strip(): body for name, body in pairs}, "top")
    found: dict[str, None] = {}
    while len(found) < number:
        words = sampler.draw(random)
        if known.issuperset(words):
            found[" ".join(words)] = None
    return list(found)


def trained_voices(random: Random) -> list[tuple[str, str]]:
    """Half neural mixes, the rest classic voices that training met."""
    classic = [(f"flite-{name}", "flite") for name in TRAINED_FLITE]
    classic += [
        (f"{random.choice(ACCENTS)}+{name}" if name else random.choice(ACCENTS), ESPEAK)
        for name in random.sample(VARIANTS, 9)
    ]
    return [voice for one in classic for voice in ((MIXED, "kokoro"), one)]


class BenchMouths(Mouths):
    """The voices of the evaluation, or those of development, with a quicker neural voice."""

    def __init__(self, onnx: Path | None, trained: bool) -> None:
        super().__init__()
        self.trained = trained
        if trained:
            self.speakers = Speakers(BUILD / "speakers.npz")
            self.flite = Flite(CLASSIC, TRAINED_FLITE)
        self.session: Any = None
        if onnx is not None:
            onnxruntime: Any = importlib.import_module("onnxruntime")
            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = 1
            self.session = onnxruntime.InferenceSession(str(onnx), options)

    def _neural(self, words: list[str], voice: str, random: Random) -> np.ndarray:
        if self.session is None and not self.trained:
            return super()._neural(words, voice, random)
        symbols, _, _ = self.pronouncer.say(words, random)
        style = (
            self.speakers.draw(len(symbols), random, np.random.default_rng(random.randrange(2**32)))
            if self.trained
            else self.speakers.pure(voice, len(symbols))
        )
        told = {
            "tokens": np.array([symbols], np.int64),
            "style": np.asarray(style, np.float32)[None],
            "speed": np.array([random.uniform(0.9, 1.15)], np.float32),
        }
        return resampled(np.asarray(self.session.run(None, told)[0]).reshape(-1), RATE)


def planned(texts: list[str], turn: list[tuple[str, str]]) -> Iterator[tuple[int, Row]]:
    """Each text with a voice in turn; the classic ones first, since they are quick."""
    rows = [(number, (text, *turn[number % len(turn)])) for number, text in enumerate(texts)]
    yield from sorted(rows, key=lambda row: row[1][2] == "kokoro")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--voices", choices=("held-out", "trained"), default="held-out")
    parser.add_argument("--requests", type=int, default=300)
    parser.add_argument("--talk", type=int, default=240)
    parser.add_argument("--onnx", type=Path)
    options = parser.parse_args()
    trained = options.voices == "trained"
    if trained and options.onnx is None:
        sys.exit("--voices trained mixes speakers through the quicker voice: give --onnx FILE")
    random = Random(29 if trained else 17)
    turn = trained_voices(random) if trained else voices(random)
    mouths = BenchMouths(options.onnx, trained)
    network = Session().grammar.word_network()
    sets = {
        "requests": requests(network, mouths.known, options.requests, random),
        "talk": talk(mouths.known, options.talk, random),
    }
    for name, texts in sets.items():
        folder = options.to / name
        folder.mkdir(parents=True, exist_ok=True)
        with (folder / "manifest.jsonl").open("w", encoding="utf-8") as manifest:
            for number, (text, voice, family) in planned(texts, turn):
                file = f"{number:03d}-{voice.replace('+', '-')}.wav"
                write_wave(
                    folder / file, mouths.say(text, voice, family, Random(f"{number} {text}"))
                )
                name = f"{voice}-{number:03d}" if voice == MIXED else voice
                row = {"path": file, "text": text, "voice": name, "family": family}
                manifest.write(json.dumps(row) + "\n")
                manifest.flush()


if __name__ == "__main__":
    main()
