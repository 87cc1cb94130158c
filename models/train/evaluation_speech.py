"""Makes the evaluation speech: requests and other talk by voices that training never met.

    python -m models.train.evaluation_speech --to FOLDER --noises WAV ...

Needs ``.carry/words.json``, ``.carry/voice.npz`` and ``.carry/held_out.npz`` (stages ``words`` and
``weights``) and the packages ``flite`` and ``espeak-ng``. Writes three sets (16 kHz, mono, int16,
each with a ``manifest.jsonl``) and ``noise/`` (the given recordings, at most 20 s each):

- ``requests/``: what the request grammar listens for: the phrases of ``tests/talks`` that it holds,
  and sentences drawn from it by its own weights;
- ``natural/``: the other phrases of ``tests/talks``, which it does not hold word for word;
- ``talk/``: what is not for the helper: phrases of ``tests/talks`` and ``talk.txt`` beside this
file.

The same seed gives the same voices for the same words.
"""

from __future__ import annotations

import argparse
import json
import re
import wave
from collections.abc import Iterator
from pathlib import Path
from random import Random

import numpy as np
import torch
import yaml

from handsfree.session.session import Session
from models.train.classic import (
    HELD_OUT_ACCENTS,
    HELD_OUT_FLITE,
    HELD_OUT_VARIANTS,
    Espeak,
    Flite,
    resampled,
)
from models.train.classic_speech import CLASSIC, spelled, trimmed
from models.train.features import SAMPLE_RATE
from models.train.recordings import levelled, wave_sounds
from models.train.sentences import Sampler, grammar_rules
from models.train.speakers import Pronouncer, Speakers
from models.train.synthesise import BUILD
from models.train.voice import RATE, Voice
from models.train.weights import HELD_OUT, dequantised

HERE = Path(__file__).resolve().parent
TALKS = HERE.parents[1] / "tests/talks"
PAUSE = 4800  # samples of near silence before and after
ESPEAK = "espeak-ng"


def listened_for(texts: list[str]) -> list[str]:
    """Those texts that are paths of the request grammar's word network."""
    network = Session().grammar.listens_for
    moves: dict[int, list[tuple[str | None, int]]] = {}
    for start, end, word, *_ in network.arcs:
        moves.setdefault(start, []).append((word, end))

    def settled(states: set[int]) -> set[int]:
        waiting = list(states)
        while waiting:
            for word, end in moves.get(waiting.pop(), []):
                if not word and end not in states:
                    states.add(end)
                    waiting.append(end)
        return states

    def holds(text: str) -> bool:
        states = settled({0})
        for word in text.split():
            states = settled({e for s in states for w, e in moves.get(s, []) if w == word})
        return network.final in states

    return [text for text in texts if holds(text)]


def drawn(count: int, random: Random, known: set[str]) -> list[str]:
    """Sentences of 3 to 12 words from the grammar, by its weights."""
    sampler = Sampler(grammar_rules(), "utterance", evenness=0.0)
    found: dict[str, None] = {}
    while len(found) < count:
        words = sampler.draw(random)
        if 3 <= len(words) <= 12 and known.issuperset(words):
            found[" ".join(words)] = None
    return list(found)


def texts() -> tuple[list[str], list[str]]:
    """What is asked, and what is said to others."""
    asked, other = [], []
    for file in ("shop_requests", "phrases_open", "phrases_more"):
        for phrase in yaml.safe_load((TALKS / f"{file}.yaml").read_text()):
            said = str(phrase["say"])
            if re.fullmatch(r"[a-z' ]+", said):
                (other if phrase.get("not_for_helper") else asked).append(said)
    other += (HERE / "talk.txt").read_text().split("\n")
    return list(dict.fromkeys(asked)), list(dict.fromkeys(t.strip() for t in other if t.strip()))


def voices(random: Random) -> list[tuple[str, str]]:
    """A voice and its family for each place in turn: half neural, the rest classic."""
    classic = [(f"flite-{name}", "flite") for name in HELD_OUT_FLITE] * 2
    accents = ("en-us", "en", *HELD_OUT_ACCENTS)
    classic += [(f"{random.choice(accents)}+{name}", ESPEAK) for name in HELD_OUT_VARIANTS]
    neural = [(name, "kokoro") for name in HELD_OUT]
    return [voice for pair in zip(neural * 7, classic * 6, strict=True) for voice in pair]


class Mouths:
    """Says words with any held-out voice."""

    def __init__(self) -> None:
        words = json.loads((BUILD / "words.json").read_text())
        self.known = set(words["table"]) | set(words["weak"])
        self.pronouncer = Pronouncer(words, steady=True)
        self.speakers = Speakers(BUILD / "held_out.npz")
        self.voice = Voice(dequantised(dict(np.load(BUILD / "voice.npz"))))
        self.flite = Flite(CLASSIC, HELD_OUT_FLITE)
        self.espeak = Espeak(CLASSIC)

    def say(self, text: str, voice: str, family: str, random: Random) -> np.ndarray:
        """Speech as int16 at 16 kHz, with a little near silence around it."""
        if family == "kokoro":
            samples = self._neural(text.split(), voice, random)
        elif family == "flite":
            spoken = " ".join(spelled(word) for word in text.split())
            name = voice.removeprefix("flite-")
            stretch = random.uniform(0.8, 1.2)
            samples = self.flite.say(spoken, name, stretch, None, random.uniform(8, 20))
        else:
            spoken = " ".join(spelled(word) for word in text.split())
            rate, pitch = random.randint(125, 195), random.randint(30, 70)
            samples = self.espeak.say(spoken, voice, rate, pitch, random.choice([0, 0, 2]))
        speech = trimmed(samples / max(1e-3, float(np.abs(samples).max())), random) * 0.5
        whole = np.zeros(len(speech) + 2 * PAUSE)
        whole[PAUSE : PAUSE + len(speech)] = speech
        # A whisper of noise: digital silence is a sound that no microphone gives.
        noise = np.random.default_rng(random.randrange(2**32)).standard_normal(len(whole)) * 3
        return np.asarray(np.round(whole + noise), np.int16)

    def _neural(self, words: list[str], voice: str, random: Random) -> np.ndarray:
        symbols, _, _ = self.pronouncer.say(words, random)
        style = torch.tensor(self.speakers.pure(voice, len(symbols)))[None]
        pace = torch.tensor([random.uniform(0.9, 1.15)])
        encoded, text, units, _ = self.voice.prosody([symbols], style, pace)
        whole = units.round().clamp(1, 60).long()  # a shortened start would swallow the first word
        return resampled(self.voice.speak(encoded, text, whole, style)[0].numpy(), RATE)


def write_wave(file: Path, samples: np.ndarray) -> None:
    """A mono WAV file at 16 kHz."""
    with wave.open(str(file), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(SAMPLE_RATE)
        sound.writeframes(samples.astype("<i2").tobytes())


def plan(said: list[str], most: int, seed: int) -> Iterator[tuple[int, str, str, str]]:
    """Number, text, voice and family; the classic voices first, since they are quick."""
    random = Random(seed)
    random.shuffle(said)
    turn = voices(random)
    rows = [(k, text, *turn[k % len(turn)]) for k, text in enumerate(said[:most])]
    yield from sorted(rows, key=lambda row: row[3] == "kokoro")


def main() -> None:
    """Write both sets and the noises."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--noises", type=Path, nargs="*", default=[])
    parser.add_argument("--requests", type=int, default=310)
    parser.add_argument("--talk", type=int, default=60)
    parser.add_argument("--natural", type=int, default=400)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--family", help="only this family's utterances, added to what is there")
    options = parser.parse_args()
    (options.to / "noise").mkdir(parents=True, exist_ok=True)
    for file in options.noises:
        for samples, rate in wave_sounds(file.read_bytes()):
            sound = levelled(samples, rate)
            if sound is not None:
                write_wave(options.to / "noise" / f"{file.stem}.wav", sound[: 20 * SAMPLE_RATE])
    mouths = Mouths()
    asked, other = texts()
    held = [t for t in listened_for(asked) if mouths.known.issuperset(t.split())]
    more = drawn(options.requests, Random(options.seed), mouths.known)
    requests = [*held, *(t for t in more if t not in held)][: options.requests]
    sets = (
        ("talk", other, options.talk),
        ("requests", requests, options.requests),
        ("natural", [text for text in asked if text not in held], options.natural),
    )
    for name, said, most in sets:
        if not most:
            continue
        folder = options.to / name
        folder.mkdir(parents=True, exist_ok=True)
        sayable = [text for text in said if mouths.known.issuperset(text.split())]
        print(f"{name}: {len(sayable)} of {len(said)} texts can be said", flush=True)
        with (folder / "manifest.jsonl").open("a" if options.family else "w") as manifest:
            for number, text, voice, family in plan(sayable, most, options.seed):
                if options.family not in (None, family):
                    continue
                file = f"{number:03d}-{voice.replace('+', '-')}.wav"
                sound = mouths.say(text, voice, family, Random(f"{number} {text}"))
                write_wave(folder / file, sound)
                row = {"path": file, "text": text, "voice": voice, "family": family}
                manifest.write(json.dumps(row) + "\n")
                manifest.flush()


if __name__ == "__main__":
    main()
