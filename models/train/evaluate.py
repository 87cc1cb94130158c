"""Evaluates a model folder in the project's request grammar, for one or more filler costs.

    python -m models.train.evaluate FOLDER --model MODEL --filler 1 2 3 --ratios clean 20 10 5 0

FOLDER is what ``evaluation_speech`` wrote. The noise is mixed as ``tests/bench/noise.py`` does it:
by the level of the loud parts of speech, a made or a recorded noise in turn. For each condition it
prints how many requests of a hundred come out right (the same meaning to the project's parser), are
rejected (only filler), or come out as other words; then how much of the other talk is not rejected.
"""

from __future__ import annotations

import argparse
import json
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import vosk

from handsfree.audio.sound_file import read_wav
from handsfree.hear.graph import compile_graph
from handsfree.hear.model_folder import open_model
from handsfree.session.session import Session
from tests.bench.noise import Noises, from_bytes, mixed, to_bytes

QUIET = -2  # vosk's log level


def heard(model: vosk.Model, samples: bytes) -> str:
    """The words of the best path."""
    recogniser = vosk.KaldiRecognizer(model, 16000)
    recogniser.AcceptWaveform(samples)
    return str(json.loads(recogniser.FinalResult())["text"])


def said(folder: Path, most: int) -> list[dict[str, str]]:
    """Lines of a manifest, drawn evenly over the voices."""
    lines = [json.loads(line) for line in (folder / "manifest.jsonl").read_text().splitlines()]
    random.Random(8).shuffle(lines)
    seen: Counter[str] = Counter()
    ranked = []
    for line in lines:
        seen[line["voice"]] += 1
        ranked.append((seen[line["voice"]], line))
    return [line for _, line in sorted(ranked, key=lambda pair: pair[0])][:most]


def sounds(
    folder: Path, lines: list[dict[str, str]], ratio: str, noises: Noises
) -> Iterator[bytes]:
    """Each utterance as it is, or in noise."""
    names = list(noises.names())
    for number, line in enumerate(lines):
        samples = bytes(read_wav(folder / line["path"]).samples.data)
        if ratio != "clean":
            speech = from_bytes(samples)
            noise = noises.cut(names[number % len(names)], len(speech), number)
            samples = to_bytes(mixed(speech, noise, float(ratio)))
        yield samples


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--model", type=Path, required=True)
    parser.add_argument("--filler", type=float, nargs="+", required=True)
    parser.add_argument("--ratios", nargs="+", default=["clean", "20", "10", "5", "0"])
    parser.add_argument("--most", type=int, default=400)
    options = parser.parse_args()
    vosk.SetLogLevel(QUIET)
    session = Session()
    network = session.grammar.word_network()
    noises = Noises(options.folder / "noise")
    asked = said(options.folder / "requests", options.most)
    talk = []
    if (options.folder / "talk/manifest.jsonl").is_file():
        talk = said(options.folder / "talk", options.most)
    print("filler | ratio | right % | rejected % | other % | right by family | talk accepted %")
    for cost in options.filler:
        with tempfile.TemporaryDirectory() as cache:
            model = replace(open_model(options.model), filler_cost=cost)
            recogniser = vosk.Model(str(compile_graph(network, model, Path(cache))))
            for ratio in options.ratios:
                right: Counter[str] = Counter()
                of: Counter[str] = Counter()
                rejected = 0
                pairs = zip(
                    asked, sounds(options.folder / "requests", asked, ratio, noises), strict=True
                )
                for line, samples in pairs:
                    text = heard(recogniser, samples)
                    of[line["family"]] += 1
                    same = text == line["text"] or session.means(text) == session.means(
                        line["text"]
                    )
                    right[line["family"]] += same
                    rejected += not same and model.filler in text
                taken = sum(
                    model.filler not in heard(recogniser, samples)
                    for samples in sounds(options.folder / "talk", talk, ratio, noises)
                )
                families = ", ".join(f"{f} {100 * right[f] / of[f]:.0f}" for f in sorted(of))
                total = len(asked)
                shares = [100 * n / total for n in (sum(right.values()), rejected)]
                print(
                    f"{cost:g} | {ratio} | {shares[0]:.1f} | {shares[1]:.1f} | "
                    f"{100 - sum(shares):.1f} | {families} | {100 * taken / max(1, len(talk)):.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
