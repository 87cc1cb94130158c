"""Hearing measured: spoken requests in noise through the real graph, and talk that is not for it.

    python -m tests.bench.hearing [FOLDER] [--most N] [--noises jet,roar] [--calibrate]

FOLDER (or the variable HANDSFREE_EVAL) holds `requests/manifest.jsonl` and, if there is any,
`talk/manifest.jsonl`: one object a line with `path` (a WAV file, beside the manifest or absolute),
`text`, `voice` and `family`; and `noise/*.wav`, recorded noise. Speech in a manifest must be by
voices that training never met. The measured figures are printed as they come out.
"""

import argparse
import json
import math
import os
import platform
import random
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np

from handsfree.devices import MODEL
from handsfree.dialogue.talk import SURE_ENOUGH
from handsfree.hear.graph import compile_graph
from handsfree.hear.model_folder import ModelFolder, Sureness, open_model
from handsfree.hear.recogniser import SAMPLE_RATE_HZ, Evidence, evidence, judged
from handsfree.hear.sound_file import read_wav
from handsfree.hear.vosk_adapter import VoskRecogniser, load_recogniser
from handsfree.session import Session
from handsfree.shipped import shipped_folder
from handsfree.understand.understanding import Understanding
from handsfree.values import NotUnderstood, Words
from tests.bench.noise import Noises, from_bytes, mixed, to_bytes

RATIOS_DB = (20, 10, 5, 0)
RIGHT_BARS = {"clean": 98, "20": 98, "10": 94, "5": 87, "0": 72}
WRONG_BARS = {"clean": 1, "20": 1, "10": 2, "5": 3, "0": 5}
FIRST_MODEL_BAR = 90  # requests right at 20 dB, of the first model
TALK_BAR, FACTOR_BAR, WORDS_MS_BAR, MEMORY_BAR = 1.0, 0.03, 150, 150
COMPILE_BAR_S, LOAD_BAR_S = 5.0, 0.5
BLOCK_BYTES = 640  # 20 ms, as a microphone gives them


@dataclass(frozen=True, slots=True)
class Utterance:
    """One line of a manifest."""

    path: Path
    text: str
    voice: str
    family: str


@dataclass(frozen=True, slots=True)
class Heard:
    """How one utterance was heard in one condition."""

    said: Utterance
    ratio: str
    noise: str
    words: Words
    evidence: Evidence | None
    text_right: bool
    right: bool
    accepted: bool


def utterances(manifest: Path) -> list[Utterance]:
    if not manifest.is_file():
        return []
    lines = manifest.read_text(encoding="utf-8").splitlines()
    found = []
    for line in filter(None, map(str.strip, lines)):
        told = json.loads(line)
        path = manifest.parent / told["path"]
        found.append(Utterance(path, told["text"], told["voice"], told.get("family", "")))
    return found


def some(found: Sequence[Utterance], most: int) -> list[Utterance]:
    """At most so many, drawn evenly over the voices, the same at each run."""
    by_voice: dict[str, list[Utterance]] = defaultdict(list)
    for one in random.Random(8).sample(found, len(found)):
        by_voice[one.voice].append(one)
    drawn: list[Utterance] = []
    while len(drawn) < most and any(by_voice.values()):
        for waiting in by_voice.values():
            if waiting and len(drawn) < most:
                drawn.append(waiting.pop())
    return drawn


class Bench:
    """Hears utterances and keeps what came out and how long it took."""

    def __init__(self, recogniser: VoskRecogniser, model: ModelFolder, session: Session) -> None:
        self._recogniser, self._model = recogniser, model
        self._means: Callable[[str], object] = session.means
        self._understanding = Understanding(session.grammar)
        self.sound_s = self.work_s = 0.0
        self.last_ms: list[float] = []

    def hear(self, said: Utterance, samples: bytes, ratio: str, noise: str) -> Heard:
        begin = time.process_time()
        self._recogniser.begin()
        for at in range(0, len(samples), BLOCK_BYTES):
            self._recogniser.accept(samples[at : at + BLOCK_BYTES])
        end_of_speech = time.perf_counter()
        readings, seconds = self._recogniser.readings()
        sureness, filler = self._model.sureness, self._model.filler
        words = judged(readings, seconds, sureness, filler, self._means)
        self.last_ms.append(1000 * (time.perf_counter() - end_of_speech))
        self.work_s += time.process_time() - begin
        self.sound_s += len(samples) / 2 / SAMPLE_RATE_HZ
        seen = None
        if readings:
            _, seen = evidence(readings, seconds, sureness.most, filler, self._means)
        understood = self._understanding.request(words)
        taken = not isinstance(understood, NotUnderstood)
        return Heard(
            said,
            ratio,
            noise,
            words,
            seen,
            text_right=words.text == said.text,
            right=taken and self._means(words.text) == self._means(said.text),
            accepted=taken and words.sureness >= SURE_ENOUGH,
        )


def conditions(noises: Sequence[str]) -> Iterator[tuple[str, str]]:
    yield "clean", ""
    for ratio in RATIOS_DB:
        for noise in noises:
            yield str(ratio), noise


def heard_all(
    bench: Bench, found: Sequence[Utterance], noises: Noises, named: Sequence[str]
) -> list[Heard]:
    heard = []
    for number, said in enumerate(found):
        speech = from_bytes(read_wav(said.path).samples.data)
        for ratio, noise in conditions(named):
            sound = speech
            if noise:
                sound = mixed(speech, noises.cut(noise, len(speech), number), float(ratio))
            heard.append(bench.hear(said, to_bytes(sound), ratio, noise))
    return heard


def share(of: Iterable[bool]) -> float:
    values = list(of)
    return 100 * sum(values) / len(values) if values else math.nan


def verdict(met: bool) -> str:
    return "met" if met else "short"


def row(figure: str, measured: float, bar: float, unit: str, at_least: bool = False) -> None:
    met = measured >= bar if at_least else measured <= bar
    sign = "at least" if at_least else "at most"
    print(f"{figure} | {measured:.3g} {unit} | {sign} {bar:g} {unit} | {verdict(met)}")


def request_rows(heard: Sequence[Heard]) -> None:
    for ratio in RIGHT_BARS:
        these = [h for h in heard if h.ratio == ratio]
        place = ratio if ratio == "clean" else f"{ratio} dB"
        row(f"requests right, {place}", share(h.right for h in these), RIGHT_BARS[ratio], "%", True)
        if ratio == "20":
            measured = share(h.right for h in these)
            row("requests right, 20 dB, first model", measured, FIRST_MODEL_BAR, "%", True)
        print(f"text equal, {place} | {share(h.text_right for h in these):.3g} % | none | -")
        wrong = share(h.accepted and not h.right for h in these)
        row(f"accepted but wrong, {place}", wrong, WRONG_BARS[ratio], "%")
        refused = share(h.right and not h.accepted for h in these)
        print(f"right but not sure enough, {place} | {refused:.3g} % | none | -")


def breakdown(heard: Sequence[Heard], name: str, key: Callable[[Heard], str]) -> None:
    """Requests right by voice, family or noise, in each ratio."""
    print(f"\nrequests right, % | {' | '.join(RIGHT_BARS)} | utterances")
    groups = sorted({key(h) for h in heard})
    for group in groups:
        figures = []
        for ratio in RIGHT_BARS:
            these = [h for h in heard if h.ratio == ratio and key(h) == group]
            figures.append(f"{share(h.right for h in these):.0f}" if these else "-")
        count = len({h.said.path for h in heard if key(h) == group})
        print(f"{name} {group or 'none'} | {' | '.join(figures)} | {count}")


def reliability(heard: Sequence[Heard]) -> None:
    """Whether a sureness of 0.8 is right in 80 of 100."""
    print("\nsureness | mean | right % | utterances")
    for low in (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95):
        high = {0.8: 0.9, 0.9: 0.95, 0.95: 1.01}.get(low, low + 0.2)
        these = [h for h in heard if low <= h.words.sureness < high]
        if these:
            mean = sum(h.words.sureness for h in these) / len(these)
            print(f"{low:g} to {min(high, 1):g} | {mean:.2f} | "
                  f"{share(h.right for h in these):.0f} | {len(these)}")  # fmt: skip
    squares = [(h.words.sureness - h.right) ** 2 for h in heard]
    print(f"mean squared error | {sum(squares) / len(squares):.3f} | | {len(squares)}")


def calibrated(heard: Sequence[Heard], most: float) -> dict[str, float]:
    """Constants of the logistic function by Newton's method, with a little shrinkage."""
    seen = [(h.evidence, h.right) for h in heard if h.evidence is not None]
    x = np.array([[1.0, max(0.0, e.margin), max(0.0, e.filler), e.fit] for e, _ in seen])
    y = np.array([float(right) for _, right in seen])
    w = np.zeros(x.shape[1])
    for _ in range(50):
        p = 1 / (1 + np.exp(-x @ w))
        slope = x.T @ (y - p) - 0.1 * w
        curve = (x * (p * (1 - p))[:, None]).T @ x + 0.1 * np.eye(len(w))
        w += np.linalg.solve(curve, slope)
    names = ("bias", "margin", "filler", "fit")
    return {**{n: round(float(v), 4) for n, v in zip(names, w, strict=True)}, "most": most}


LISTENER = """
import resource, sys
from pathlib import Path
from handsfree.hear.model_folder import open_model
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.session import Session
session = Session()
model = open_model(Path(sys.argv[1]))
network = session.grammar.word_network()
recogniser = load_recogniser(model, network, Path(sys.argv[2]), session.means)
recogniser.recognise(bytes(96000))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def memory_mb(model: Path, cache: Path) -> float:
    """Peak of a process that has a session and its recogniser, and not this bench's numpy."""
    told = subprocess.run(
        [sys.executable, "-c", LISTENER, str(model), str(cache)],
        capture_output=True,
        text=True,
        check=True,
    )
    return int(told.stdout) / (1024 * 1024 if sys.platform == "darwin" else 1024)


def parsed() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    default = os.environ.get("HANDSFREE_EVAL")
    parser.add_argument("folder", type=Path, nargs="?", default=default and Path(default))
    parser.add_argument("--most", type=int, default=150, help="requests heard in each condition")
    parser.add_argument("--noises", help="names, by commas; all when left out")
    parser.add_argument("--model", type=Path, default=None)
    parser.add_argument("--calibrate", action="store_true", help="fit the constants of sureness")
    parser.add_argument("--errors", type=int, default=0, help="print so many that went wrong")
    return parser.parse_args()


def main() -> None:
    given = parsed()
    session = Session()
    model = open_model(given.model or shipped_folder(MODEL))
    network = session.grammar.word_network()
    print("figure | measured | bar | met or short")
    with tempfile.TemporaryDirectory() as cache:
        begin = time.perf_counter()
        compile_graph(network, model, Path(cache))
        row("compile the request graph", time.perf_counter() - begin, COMPILE_BAR_S, "s")
        begin = time.perf_counter()
        recogniser = load_recogniser(model, network, Path(cache), session.means)
        row("load it after", time.perf_counter() - begin, LOAD_BAR_S, "s")
        row("memory, peak with this graph", memory_mb(model.path, Path(cache)), MEMORY_BAR, "MB")
        bench = Bench(recogniser, model, session)
        if given.folder is None or not (given.folder / "requests/manifest.jsonl").is_file():
            print("spoken requests | not measured: name a folder, or set HANDSFREE_EVAL | - | -")
        else:
            measure(bench, given, model.sureness)
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, {platform.system()}, "
        f"Python {sys.version.split()[0]}, vosk {version('vosk')}; {len(network.arcs)} arcs; sure "
        f"enough at {SURE_ENOUGH:g}; noise by the level of the loud parts of speech"
    )


def measure(bench: Bench, given: argparse.Namespace, sureness: Sureness) -> None:
    noises = Noises(given.folder / "noise")
    named = given.noises.split(",") if given.noises else list(noises.names())
    found = some(utterances(given.folder / "requests/manifest.jsonl"), given.most)
    heard = heard_all(bench, found, noises, named)
    request_rows(heard)
    talk_found = some(utterances(given.folder / "talk/manifest.jsonl"), 2 * given.most)
    talk = heard_all(bench, talk_found, noises, named[:1])
    if talk:
        row("talk accepted", share(h.accepted for h in talk), TALK_BAR, "%")
    else:
        print("talk accepted | not measured: no talk/manifest.jsonl | at most 1 % | -")
    row("real-time factor, one core", bench.work_s / bench.sound_s, FACTOR_BAR, "")
    row("words after the end of speech, 95 of 100", np.percentile(bench.last_ms, 95),
        WORDS_MS_BAR, "ms")  # fmt: skip
    breakdown(heard, "family", lambda h: h.said.family)
    breakdown(heard, "voice", lambda h: h.said.voice)
    breakdown([h for h in heard if h.noise], "noise", lambda h: h.noise)
    reliability([*heard, *talk])
    for h in [h for h in heard if not h.right][: given.errors]:
        print(f"{h.ratio} {h.noise} {h.said.voice} | {h.said.text} | {h.words.text} | "
              f"{h.words.sureness:.2f}")  # fmt: skip
    if given.calibrate:
        print(f'\n"sureness": {json.dumps(calibrated([*heard, *talk], sureness.most))}')


if __name__ == "__main__":
    main()
