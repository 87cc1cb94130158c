"""What the hearing bench listens to: spoken sentences from manifests, and the noise around them.

A manifest is a `manifest.jsonl` with one object a line: `path` (a WAV file, beside the manifest or
absolute), `text`, `voice` and `family`.
"""

import json
import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
import yaml

from handsfree.audio.sound_file import read_wav
from tests.bench.noise import Noises, Sound, from_bytes, mixed, to_bytes

RATIOS_DB = (20, 10, 5, 0)
RATIOS = ("clean", *(str(ratio) for ratio in RATIOS_DB))
TALKS = Path(__file__).resolve().parents[1] / "talks"
WHISPER = 3.0  # standard deviation of the noise in silence: no microphone gives digital silence


@dataclass(frozen=True)
class Utterance:
    """A spoken sentence: its words, who says it, and the sound or where it lies."""

    path: Path
    text: str
    voice: str
    family: str
    made: Sound | None = None

    @cached_property
    def sound(self) -> Sound:
        return from_bytes(read_wav(self.path).samples.data) if self.made is None else self.made


def utterances(manifest: Path) -> list[Utterance]:
    """All of a manifest; none where there is no such file."""
    if not manifest.is_file():
        return []
    found = []
    for line in filter(None, map(str.strip, manifest.read_text(encoding="utf-8").splitlines())):
        told = json.loads(line)
        path = manifest.parent / told["path"]
        found.append(Utterance(path, told["text"], told["voice"], told.get("family", "")))
    return found


def of_kind(folders: Sequence[Path], kinds: Sequence[str]) -> list[Utterance]:
    """The utterances in `FOLDER/KIND/manifest.jsonl` of every folder and kind."""
    return [
        one
        for folder in folders
        for kind in kinds
        for one in utterances(folder / kind / "manifest.jsonl")
    ]


def phrases_of_people(talks: Path = TALKS) -> frozenset[str]:
    """What is asked in `tests/talks` in people's own words."""
    return frozenset(
        str(phrase["say"])
        for file in sorted(talks.glob("*.yaml"))
        for phrase in yaml.safe_load(file.read_text(encoding="utf-8"))
        if isinstance(phrase, dict) and "say" in phrase
    )


def some(found: Sequence[Utterance], most: int) -> list[Utterance]:
    """At most so many, drawn evenly over the voices, the same at each run."""
    if len(found) <= most:
        return list(found)
    by_voice: dict[str, list[Utterance]] = defaultdict(list)
    for one in random.Random(8).sample(found, len(found)):
        by_voice[one.voice].append(one)
    drawn: list[Utterance] = []
    while len(drawn) < most and any(by_voice.values()):
        for waiting in by_voice.values():
            if waiting and len(drawn) < most:
                drawn.append(waiting.pop())
    return drawn


@dataclass(frozen=True, slots=True)
class Mixed:
    """One utterance in one condition; `samples` are 16-bit at 16 kHz."""

    said: Utterance
    ratio: str
    noise: str
    samples: bytes


def in_noise(
    said: Utterance, number: int, noises: Noises, each: int, ratios: Sequence[str] = RATIOS
) -> Iterator[Mixed]:
    """The utterance clean and at each ratio, there in `each` of the noises.

    The noises take turns: utterance `number` gets those that are next, so that every noise is met
    equally often.
    """
    names = noises.names()
    turn = [names[(number * each + k) % len(names)] for k in range(min(each, len(names)))]
    whisper = np.random.default_rng(number).standard_normal(len(said.sound)) * WHISPER
    speech = said.sound + whisper
    for ratio in ratios:
        if ratio == "clean":
            yield Mixed(said, ratio, "", to_bytes(speech))
            continue
        for name in turn:
            noise = noises.cut(name, len(speech), number)
            yield Mixed(said, ratio, name, to_bytes(mixed(speech, noise, float(ratio))))
