"""Recorded people: telephone prompts of Debian's registry, and a public set of spoken digits.

The prompts (packages `asterisk-core-sounds-en-g722`, one woman, 16 kHz, CC BY-SA 3.0, and
`asterisk-core-sounds-en` with the published texts) are decoded with the wheel `g722`. Numbers are
put together from them as a telephone does: "two", "hundred", "thirty", "five". The digits are those
of the public repository `Jakobovski/free-spoken-digit-dataset` (six men, two of them native
speakers, 8 kHz, cut close, CC BY-SA 4.0): name its folder `recordings`. For evaluation only.
"""

import gzip
import importlib
import math
import random
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import numpy as np

from handsfree.values import Arc, WordNetwork
from tests.bench.hearing_sets import WHISPER, Utterance
from tests.bench.noise import RATE, Sound, recorded

PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
TEXTS = Path("/usr/share/doc/asterisk-core-sounds-en/core-sounds-en.txt.gz")
DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = [
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
NUMBER_WORDS = (*DIGITS, *TEENS, *TENS, "hundred")
SPELT = {str(n): word for n, word in enumerate((*DIGITS, *TEENS))}
PAUSE_S, AROUND_S = 0.06, 0.3
Phones = Mapping[str, tuple[tuple[str, ...], ...]]


class NotThereError(Exception):
    """Why recordings cannot be heard, and what to install."""


def prompt_texts(texts: Path = TEXTS) -> dict[str, str]:
    """The words of each prompt in plain lower case, by the file's name without ending."""
    if not texts.is_file() or not PROMPTS.is_dir():
        raise NotThereError(
            "install the packages asterisk-core-sounds-en and asterisk-core-sounds-en-g722"
        )
    found = {}
    for line in gzip.decompress(texts.read_bytes()).decode("utf-8", "replace").splitlines():
        name, colon, said = line.partition(":")
        if not colon or name.startswith(";") or re.search(r"[\[<@#*]", said):
            continue
        words = (SPELT.get(word, word) for word in re.findall(r"[a-z']+|\d+", said.lower()))
        found[name.strip()] = " ".join(words)
    return found


def prompt(name: str) -> Sound:
    """A prompt's sound, with what is silent at its ends cut off."""
    try:
        codec = importlib.import_module("G722").G722(RATE, 64_000)
    except ImportError as fault:
        raise NotThereError("install the wheel g722, which decodes the prompts") from fault
    sound = np.frombuffer(bytes(codec.decode((PROMPTS / f"{name}.g722").read_bytes())), "<i2")
    return _cut_close(sound.astype(np.float64))


def _cut_close(sound: Sound, frame: int = 160) -> Sound:
    """Without the frames at both ends that are 45 dB below the loudest."""
    frames = np.pad(sound, (0, -len(sound) % frame)).reshape(-1, frame)
    energy = (frames**2).mean(axis=1)
    loud = np.flatnonzero(energy > energy.max() / 10**4.5)
    return sound[max(0, loud[0] - 2) * frame : (loud[-1] + 3) * frame]


def joined(parts: Sequence[Sound], seed: int) -> Sound:
    """Parts one after another, a short pause apart and a longer one around, over a whisper."""
    gap, around = np.zeros(int(PAUSE_S * RATE)), np.zeros(int(AROUND_S * RATE))
    between = [piece for part in parts for piece in (gap, part)][1:]
    whole = np.concatenate([around, *between, around])
    return whole + np.random.default_rng(seed).standard_normal(len(whole)) * WHISPER


def number_texts(most: int, seed: int = 5) -> list[str]:
    """Numbers up to 999 and strings of three digits; the 28 single recordings first."""
    chance = random.Random(seed)
    found = dict.fromkeys((*DIGITS, *TEENS, *TENS))
    while len(found) < most:
        kind = chance.random()
        below = chance.choice((f"{chance.choice(TENS)} {chance.choice(DIGITS[1:])}",
                               chance.choice(TENS), chance.choice(TEENS)))  # fmt: skip
        if kind < 0.4:
            found[f"{chance.choice(TENS)} {chance.choice(DIGITS[1:])}"] = None
        elif kind < 0.7:
            found[f"{chance.choice(DIGITS[1:])} hundred {below}"] = None
        else:
            found[" ".join(chance.choice(DIGITS) for _ in range(3))] = None
    return list(found)[:most]


def prompt_numbers(most: int = 200) -> list[Utterance]:
    """Numbers by the prompts' speaker."""
    texts = prompt_texts()
    names = {words: name for name, words in reversed(texts.items()) if name.startswith("digits/")}
    sound = {word: prompt(names[word]) for word in NUMBER_WORDS}
    return [
        Utterance(PROMPTS, text, "prompts", "prompts", joined([sound[w] for w in text.split()], k))
        for k, text in enumerate(number_texts(most))
    ]


def prompt_words(known: Iterable[str]) -> list[Utterance]:
    """Prompts of one to three words that the grammar knows, numbers left out, each once."""
    texts, words = prompt_texts(), set(known) - set(NUMBER_WORDS)
    found = {
        text: name
        for name, text in texts.items()
        if 0 < len(text.split()) <= 3 and words.issuperset(text.split())
        and (PROMPTS / f"{name}.g722").is_file()
    }  # fmt: skip
    return [
        Utterance(PROMPTS, text, "prompts", "prompts", joined([prompt(name)], k))
        for k, (text, name) in enumerate(sorted(found.items()))
    ]


def prompt_talk(most: int = 150) -> list[Utterance]:
    """Whole sentences of the prompts, four words and more: a person's talk that is not for us."""
    names = [
        (name, text)
        for name, text in sorted(prompt_texts().items())
        if 4 <= len(text.split()) <= 20 and (PROMPTS / f"{name}.g722").is_file()
    ]
    chosen = random.Random(3).sample(names, min(most, len(names)))
    return [
        Utterance(PROMPTS, text, "prompts", "prompts", joined([prompt(name)], k))
        for k, (name, text) in enumerate(chosen)
    ]


def spoken_digits(folder: Path, each: int = 4) -> list[Utterance]:
    """Digits of the public set: `each` of every digit by every speaker."""
    found = []
    for number, file in enumerate(sorted(folder.glob("*.wav"))):
        digit, speaker, take = file.stem.split("_")
        if int(take) < each:
            sound = joined([recorded(file)], number)
            found.append(Utterance(file, DIGITS[int(digit)], f"digits-{speaker}", "digits", sound))
    if not found:
        raise NotThereError(f"no recordings of spoken digits in {folder}")
    return found


def choice_of(name: str, sentences: Sequence[str], phones: Phones) -> WordNetwork:
    """A network of sentences beside each other, all as likely."""
    arcs, at, cost = [], 2, math.log(max(1, len(sentences)))
    for text in dict.fromkeys(sentences):
        words, state = text.split(), 0
        for place, word in enumerate(words):
            last = place + 1 == len(words)
            arcs.append(Arc(state, 1 if last else at, word, cost=cost if place == 0 else 0.0))
            state, at = at, at if last else at + 1
    return _network(name, at, arcs, phones)


def numbers(phones: Phones) -> WordNetwork:
    """A network of numbers to 999 and strings of one to three digits, each kind as likely."""
    start, final, units, after, strung, last = range(6)
    third = math.log(3)

    def arcs(words: Iterable[str], begin: int, end: int, cost: float) -> list[Arc]:
        told = list(words)
        return [Arc(begin, end, word, cost=cost + math.log(len(told))) for word in told]

    return _network(
        "numbers",
        6,
        [
            *arcs((*TEENS, *TENS), start, final, third),
            *arcs(TENS, start, units, third),
            *arcs(DIGITS[1:], units, final, 0.0),
            *arcs(DIGITS, start, strung, third),
            Arc(strung, final, cost=third),
            *arcs(("hundred",), strung, after, third),
            Arc(after, final, cost=third),
            *arcs((*TEENS, *TENS), after, final, third),
            *arcs(TENS, after, units, third),
            *arcs(DIGITS, strung, last, third),
            *arcs(DIGITS, last, final, 0.0),
        ],
        phones,
    )


def _network(name: str, states: int, arcs: Sequence[Arc], phones: Phones) -> WordNetwork:
    words = sorted({arc.word for arc in arcs if arc.word})
    return WordNetwork(
        name, states, tuple(arcs), ((1, 0.0),), tuple((word, phones[word]) for word in words)
    )
