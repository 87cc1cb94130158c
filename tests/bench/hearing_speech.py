"""Makes the speech that the hearing bench listens to: requests, free wordings and talk.

    python -m tests.bench.hearing_speech --to FOLDER --onnx FILE [--voices trained] ...

`--voices held-out` speaks with voices that training never met: for evaluation. `--voices trained`
speaks with voices and mixes like those of training: for development, on which costs and the
constants of sureness are chosen. Three sets come of it (16 kHz, one channel, each with a
`manifest.jsonl`), no sentence in both evaluation and development but by chance of the draw:

- `requests/`: phrases of `tests/talks` that the recogniser's network holds (evaluation only), then
  sentences drawn from it as often as its weights say;
- `natural/`: phrases of `tests/talks` that it does not hold, one half for evaluation;
- `talk/`: what is not for the helper: phrases of `tests/talks` and `models/train/talk.txt`
  (evaluation only), then sentences of `site_talk.txt` or `site_talk_development.txt`.

Needs `.carry/words.json` and, of `.carry/held_out.npz` and `.carry/speakers.npz`, the one for its
voices (stages `words` and `weights` of `models.train`), the packages `flite`, `espeak-ng`,
`onnxruntime` and what `models.train.evaluation_speech` imports. FILE is the neural voice: the parts
of its packages, one behind the other. A run that was stopped goes on where it was.

The evaluation is fixed: its sentences and voices stand in `evaluation_sentences.tsv`, so that a
change of the grammar does not change what is measured. `--draw` draws others from the grammar as it
is; of the development set they are drawn always. The same seed gives the same words and voices.
"""

import argparse
import importlib
import json
import math
import re
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import yaml

from handsfree.session.session import Session
from handsfree.values import Arc, WordNetwork
from models.train.classic import (
    ACCENTS,
    HELD_OUT_FLITE,
    TRAINED_FLITE,
    VARIANTS,
    Espeak,
    Flite,
    resampled,
)
from models.train.classic_speech import CLASSIC
from models.train.evaluation_speech import ESPEAK, Mouths, listened_for, voices, write_wave
from models.train.sentences import Sampler
from models.train.speakers import Pronouncer, Speakers
from models.train.synthesise import BUILD
from models.train.voice import RATE

HERE = Path(__file__).resolve().parent
TALKS = HERE.parent / "talks"
PLAIN_TALK = HERE.parents[1] / "models/train/talk.txt"
MIXED = "mix"  # a neural speaker who is nobody
LONGEST = 16  # words of a sentence
SENTENCES = HERE / "evaluation_sentences.tsv"
Planned = tuple[int, str, str, str]  # number, text, voice, family


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


def drawn_requests(network: WordNetwork, number: int, random: Random) -> Iterator[str]:
    """So many sentences of the network."""
    leaving: dict[int, list[Arc]] = defaultdict(list)
    for arc in network.arcs:
        leaving[arc.start].append(arc)
    for _ in range(number):
        yield walked(leaving, dict(network.finals), random)


def drawn_talk(file: Path, number: int, random: Random) -> Iterator[str]:
    """So many sentences by the rules of a file."""
    lines = file.read_text(encoding="utf-8").splitlines()
    pairs = (line.split(":", 1) for line in lines if line and not line.startswith("#"))
    sampler = Sampler({name.strip(): body for name, body in pairs}, "top")
    for _ in range(number):
        yield " ".join(sampler.draw(random))


def phrases() -> tuple[list[str], list[str]]:
    """What is asked in `tests/talks`, and what is said to others there."""
    asked: list[str] = []
    other: list[str] = []
    for file in sorted(TALKS.glob("*.yaml")):
        for phrase in yaml.safe_load(file.read_text(encoding="utf-8")):
            said = str(phrase["say"])
            if re.fullmatch(r"[a-z' ]+", said):
                (other if phrase.get("not_for_helper") else asked).append(said)
    return asked, other


def sets(
    network: WordNetwork, known: set[str], evaluation: bool, sizes: dict[str, int], random: Random
) -> dict[str, list[str]]:
    """The sentences of each set; only such as the voices can say."""
    asked, other = phrases()
    held = listened_for(asked) if evaluation else []
    held_ones = set(listened_for(asked))
    free = [
        text
        for text in asked
        if text not in held_ones and zlib.crc32(text.encode()) % 2 == int(evaluation)
    ]
    told = PLAIN_TALK.read_text(encoding="utf-8").splitlines()
    plain = [*other, *filter(None, map(str.strip, told))] if evaluation else []
    site = HERE / ("site_talk.txt" if evaluation else "site_talk_development.txt")
    random.shuffle(free)

    def first(name: str, *texts: Sequence[str]) -> list[str]:
        sayable = dict.fromkeys(
            text
            for part in texts
            for text in part
            if text and len(text.split()) <= LONGEST and known.issuperset(text.split())
        )
        return list(sayable)[: sizes[name]]

    many = 20 * max(sizes.values())
    return {
        "requests": first("requests", held, list(drawn_requests(network, many, random))),
        "talk": first("talk", plain, list(drawn_talk(site, many, random))),
        "natural": first("natural", free),
    }


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

    def __init__(self, onnx: Path, trained: bool, threads: int) -> None:
        words = json.loads((BUILD / "words.json").read_text(encoding="utf-8"))
        self.known = set(words["table"]) | set(words["weak"])
        self.pronouncer = Pronouncer(words, steady=True)
        self.trained = trained
        self.speakers = Speakers(BUILD / ("speakers.npz" if trained else "held_out.npz"))
        self.flite = Flite(CLASSIC, TRAINED_FLITE if trained else HELD_OUT_FLITE)
        self.espeak = Espeak(CLASSIC)
        onnxruntime: Any = importlib.import_module("onnxruntime")
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        self.session: Any = onnxruntime.InferenceSession(str(onnx), options)

    def _neural(self, words: list[str], voice: str, random: Random) -> np.ndarray:
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


def planned(texts: list[str], turn: list[tuple[str, str]]) -> list[Planned]:
    """Each text with a voice in turn; the classic ones first, since they are quick."""
    rows = [(number, text, *turn[number % len(turn)]) for number, text in enumerate(texts)]
    return sorted(rows, key=lambda row: row[3] == "kokoro")


def fixed(file: Path) -> dict[str, list[Planned]]:
    """What stands in a file: set, number, voice, family and text in each line."""
    found: dict[str, list[Planned]] = defaultdict(list)
    for line in file.read_text(encoding="utf-8").splitlines():
        name, number, voice, family, text = line.split("\t")
        found[name].append((int(number), text, voice, family))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--onnx", type=Path, required=True)
    parser.add_argument("--voices", choices=("held-out", "trained"), default="held-out")
    for name, size in (("requests", 600), ("talk", 300), ("natural", 300)):
        parser.add_argument(f"--{name}", type=int, default=size)
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument("--draw", action="store_true", help="other sentences for the evaluation")
    options = parser.parse_args()
    trained = options.voices == "trained"
    random = Random(29 if trained else 17)
    turn = trained_voices(random) if trained else voices(random)
    mouths = BenchMouths(options.onnx, trained, options.threads)
    sizes = {name: getattr(options, name) for name in ("requests", "talk", "natural")}
    if trained or options.draw:
        network = Session().grammar.word_network()
        drawn = sets(network, mouths.known, not trained, sizes, random)
        plan = {name: planned(texts, turn) for name, texts in drawn.items()}
    else:
        plan = {name: rows[: sizes[name]] for name, rows in fixed(SENTENCES).items()}
    for name, rows in plan.items():
        folder = options.to / name
        folder.mkdir(parents=True, exist_ok=True)
        with (folder / "manifest.jsonl").open("w", encoding="utf-8") as manifest:
            for number, text, voice, family in rows:
                file = f"{number:03d}-{zlib.crc32(text.encode()):08x}-{voice}.wav".replace("+", "-")
                if not (folder / file).is_file():
                    sound = mouths.say(text, voice, family, Random(f"{number} {text}"))
                    write_wave(folder / f"{file}.part", sound)
                    (folder / f"{file}.part").rename(folder / file)
                speaker = f"{voice}-{number:03d}" if voice == MIXED else voice
                row = {"path": file, "text": text, "voice": speaker, "family": family}
                manifest.write(json.dumps(row) + "\n")
                manifest.flush()
        print(f"{name}: {len(rows)} sentences", flush=True)


if __name__ == "__main__":
    main()
