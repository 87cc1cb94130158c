"""Makes a new speaker for each utterance, and what the neural voice is told to say.

A speaker is drawn from the training voices in one of :data:`KINDS` of ways; timbre and manner are
drawn apart. A mix of few voices lies nearer the mean than a real new voice does, so most speakers
are drawn as far out as real ones: sums of all voices with random weights, which have the voices'
own spread in every direction that they span; a voice pushed away from another; and the one half of
the numbers from one voice, the other from another. A good fifth are pure voices. The pronunciation
varies too: British or American words, weak forms, flaps, dropped final stops and foreign habits,
while the phones to be heard stay the dictionary's.
"""

from __future__ import annotations

import math
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from models.train.phones import HEARD, OUTPUT
from models.train.sentences import TENS

# What foreign speakers make of English sounds.
HABITS = (
    (("θ", "t"), ("ð", "d")),
    (("ð", "d"), ("θ", "t"), ("ɪ", "i")),
    (("θ", "s"), ("ð", "z"), ("h", "")),
    (("w", "v"), ("θ", "s")),
    (("æ", "ɛ"), ("ʌ", "a")),
    (("ɹ", "ɾ"),),
    (("ɹ", "r"), ("ɪ", "i")),
    (("v", "w"), ("θ", "t"), ("ð", "d")),
    (("z", "s"), ("ʤ", "ʧ")),
    (("ŋ", "n"),),
    (("əɹ", "ə"), ("ɔɹ", "ɔ")),
    (("ɹ", "ʁ"), ("h", ""), ("ð", "z"), ("θ", "s")),
    (("ɹ", "ʁ"), ("w", "v"), ("v", "f"), ("z", "s")),
    (("ɹ", "ɾ"), ("θ", "t"), ("ð", "d"), ("w", "ʋ"), ("t", "ʈ")),
    (("ɪ", "i"), ("ʊ", "u"), ("æ", "a"), ("θ", "s")),
    (("θ", "f"), ("ð", "v")),
)
# How a timbre is drawn, and how often; a manner by the shares of the second list.
KINDS = ("pure", "mix", "spread", "beyond", "halves")
TIMBRES = (0.0, 0.26, 0.38, 0.18, 0.18)
MANNERS = (0.34, 0.26, 0.22, 0.08, 0.1)
FAR_TIMBRE, FAR_MANNER = (0.8, 1.25), (0.7, 1.1)  # times the voices' own spread
PURE = 0.22  # speakers of whom both are one voice's
_JOINED = {"ː": -1}  # a length mark belongs to the sound before it
PAUSE, SKIP = 0, 255


class Pronouncer:
    """Words -> the voice's symbols, the phones to be heard, and the phone behind each symbol."""

    def __init__(self, words: dict[str, Any], steady: bool = False) -> None:
        self.table: dict[str, list[str]] = words["table"]
        self.weak: dict[str, list[list[str]]] = words["weak"]
        self.symbols: dict[str, int] = words["symbols"]
        self.steady = steady  # for evaluation: no foreign habits, no dropped sounds

    def say(self, words: list[str], random: Random) -> tuple[list[int], list[int], list[int]]:
        """Symbol numbers (0 at both ends), phones as outputs, and an output for each symbol.

        The third list holds 0 for a pause and 255 where the sound is not known.
        """
        british = random.random() < 0.28
        careful = random.random() < 0.3
        habit = random.choice(HABITS) if random.random() < 0.27 and not self.steady else ()
        pauses = random.choice([0, 0, 0.06, 0.3]) if not self.steady else 0.03
        flap, flat = random.random() < 0.3, random.random() < 0.12 and not british
        drop = random.random() < 0.15 and not self.steady
        said: list[str] = []
        heard: list[int] = []
        for place, word in enumerate(words):
            last = place + 1 == len(words)
            if word in self.weak:
                sound, phones = random.choice(self.weak[word])
            else:
                us, gb, phones_us, phones_gb = self.table[word]
                sound, phones = (gb, phones_gb) if british else (us, phones_us)
            if not self.steady:
                sound = stressed(word, sound, random)
            if flap:
                sound = sound.replace("T", "t")
            if flat:
                sound = sound.replace("ˌ", "")
            if drop and sound[-1:] in "td" and len(sound) > 3 and not last:
                sound = sound[:-1] + ("ʔ" if sound[-1] == "t" else "")
            if not careful and "ˈ" in sound and random.random() < 0.12:
                sound = sound.replace("ˈ", "ˌ")
            for theirs, ours in habit:
                sound = sound.replace(theirs, ours)
            pause = ""
            if not last and random.random() < pauses:
                pause = "," if random.random() < 0.8 else "."
            said.append(sound + pause)
            heard += [OUTPUT[phone] for phone in phones.split()]
        text = " ".join(said) + random.choice(["", "", ".", ".", "?", "!"])
        symbols = [c for c in text if c in self.symbols]
        return [0, *(self.symbols[c] for c in symbols), 0], heard, [0, *_sounds(symbols), 0]


def stressed(word: str, sound: str, random: Random) -> str:
    """Teens and tens as people stress them: FIFteen, fifTEEN, both; fif-TY, drawn out."""
    if word.endswith("teen") or word.endswith("teenth") or word.endswith("teenths"):
        first = sound.replace("ˌ", "1").replace("ˈ", "2")
        way = random.random()
        if way < 0.25:  # on the first syllable
            return first.replace("1", "ˈ").replace("2", "ˌ")
        if way < 0.5:  # on both
            return first.replace("1", "ˈ").replace("2", "ˈ")
        return sound
    if word in TENS:
        end = sound.rstrip("ː")
        way = random.random()
        if way < 0.15 and end[-2:] in ("Ti", "di", "ti"):  # each syllable by itself
            return f"{end[:-2]}ˌt{end[-1]}"
        if way < 0.3 and end.endswith("i"):  # drawn
            return f"{end}ː"
    return sound


def _sounds(symbols: list[str]) -> list[int]:
    """The output behind each symbol, for the frame targets of the warm-up."""
    sounds: list[int] = []
    for place, symbol in enumerate(symbols):
        following = symbols[place + 1] if place + 1 < len(symbols) else ""
        if symbol in _JOINED:
            sounds.append(sounds[-1] if sounds else SKIP)
        elif symbol in "ˈˌ":
            sounds.append(OUTPUT[HEARD[following]] if following in HEARD else SKIP)
        elif symbol in HEARD:
            r_coloured = symbol == "ə" and following == "ɹ"
            after_er = symbol == "ɹ" and place > 0 and symbols[place - 1] in "əɜː"
            if after_er and symbols[place - 1] == "ː" and symbols[place - 2] != "ɜ":
                after_er = False
            sounds.append(OUTPUT["ER" if r_coloured or after_er else HEARD[symbol]])
        else:
            sounds.append(PAUSE if symbol in ",.!?" else SKIP)
    return sounds


class Speakers:
    """Draws styles [256]: the first half is timbre, the second manner."""

    def __init__(self, file: Path) -> None:
        stored = np.load(file)
        self.names = [str(name) for name in stored["names"]]
        self.styles = stored["styles"].astype(np.float32)
        groups = {"a": 0, "b": 1}
        self.groups: list[list[int]] = [[], [], []]
        for at, name in enumerate(self.names):
            self.groups[groups.get(name[0], 2)].append(at)
        self.spread = self.styles.mean(1).std(0)
        self.mean = self.styles.mean((0, 1))

    def row(self, symbols: int) -> int:
        """Which of a voice's styles suits a text of that many symbols."""
        return min(39, max(0, round((symbols - 4) / 4)))

    def pure(self, name: str, symbols: int) -> np.ndarray:
        """A voice as it is."""
        style: np.ndarray = self.styles[self.names.index(name), self.row(symbols)]
        return style

    def draw(
        self, symbols: int, random: Random, numbers: np.random.Generator, kind: str = ""
    ) -> np.ndarray:
        """A speaker that nobody has met; ``kind`` names how the timbre is drawn, for trials."""
        row = self.row(symbols)
        if kind == "pure" or (not kind and random.random() < PURE):
            return self.styles[self._pick(0.5, random), row]  # type: ignore[no-any-return]
        timbre = self._part(
            kind or random.choices(KINDS, TIMBRES)[0], slice(0, 128), row, random, numbers
        )
        manner = self._part(
            random.choices(KINDS, MANNERS)[0], slice(128, 256), row, random, numbers
        )
        return np.concatenate([timbre, manner])

    def _part(
        self, kind: str, part: slice, row: int, random: Random, numbers: np.random.Generator
    ) -> np.ndarray:
        """One half of a style, drawn in one of :data:`KINDS` of ways."""
        timbre = part.start == 0
        american = 0.42 if timbre else 0.6
        voices = self.styles[:, row, part]
        one, other = voices[self._pick(american, random)], voices[self._pick(american, random)]
        if kind == "pure":
            return np.asarray(one)
        if kind == "mix":
            count = random.choice([1, 2, 2, 3, 4] if timbre else [1, 1, 2, 3])
            return self._mix(part, american, count, row, random, numbers)
        middle = voices.mean(0)
        if kind == "spread":
            weights = numbers.standard_normal(len(voices)) / math.sqrt(len(voices) - 1)
            far = random.uniform(*(FAR_TIMBRE if timbre else FAR_MANNER))
            drawn = middle + far * (weights @ (voices - middle))
        elif kind == "beyond":
            drawn = one + random.uniform(0.1, 0.4) * (one - other)
        else:
            drawn = np.where(numbers.random(128) < 0.5, one, other)
        return np.asarray(drawn, np.float32)

    def _pick(self, american: float, random: Random) -> int:
        share = random.random()
        group = 0 if share < american else 1 if share < american + 0.15 else 2
        return random.choice(self.groups[group] or self.groups[0])

    def _mix(
        self,
        part: slice,
        american: float,
        voices: int,
        row: int,
        random: Random,
        numbers: np.random.Generator,
    ) -> np.ndarray:
        chosen = [self._pick(american, random) for _ in range(voices)]
        weights = numbers.dirichlet([1.2] * voices)
        mixed = (weights[:, None] * self.styles[chosen, row][:, part]).sum(0)
        push = random.uniform(0.9, 1.3 if voices > 1 else 1.15)
        mixed = self.mean[part] + (mixed - self.mean[part]) * push
        noise = (
            numbers.standard_normal(128) * self.spread[part] * random.choice([0, 0.1, 0.25, 0.35])
        )
        return np.asarray(mixed + noise, np.float32)
