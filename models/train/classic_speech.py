"""Says the training texts with the classic voices, on all cores, each time in another manner.

Beside the voices' own rate, pitch and liveliness: the size of the vocal tract apart from the pitch
(the sound is played faster by a factor that rate and pitch take back), a random envelope of the
spectrum, steep narrow bands, and flat, buzzing pitch.
"""

from __future__ import annotations

import math
import multiprocessing
import threading
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from models.train.classic import (
    ACCENTS,
    TRAINED_FLITE,
    TRAINED_RHVOICE,
    VARIANTS,
    Espeak,
    Flite,
    Rhvoice,
    make_variants,
    resampled,
)
from models.train.features import SAMPLE_RATE
from models.train.festival import Festival
from models.train.phones import OUTPUT
from models.train.sentences import Texts

CLASSIC = Path(".carry-classic")
LONGEST = 115200  # samples of an utterance that training takes
SMALLEST, LARGEST = -0.17, 0.2  # logarithm of how much higher the formants lie
MISREAD = 0.15  # share of phones by which Festival may differ from the dictionary


class ClassicVoices:
    """Flite and espeak-ng on a pool of processes; utterances gather while other work goes on."""

    def __init__(self, words: dict[str, Any], processes: int, seed: int) -> None:
        self.found: list[tuple[np.ndarray, list[int]]] = []
        made = make_variants(CLASSIC) if (CLASSIC / "espeak-ng-data").exists() else []
        context = multiprocessing.get_context("fork")  # before the GPU is first used
        self.pool = context.Pool(processes, _start, (words, made))
        self.done = False
        self.thread = threading.Thread(target=self._gather, args=(seed,), daemon=True)
        self.thread.start()

    def _gather(self, seed: int) -> None:
        jobs = range(seed * 10**7, seed * 10**7 + 10**6)
        for made in self.pool.imap_unordered(_say, jobs, chunksize=8):
            if made is not None:
                self.found.append(made)
            if self.done:
                break
        self.pool.terminate()

    def stop(self) -> list[tuple[np.ndarray, list[int]]]:
        """End the processes and hand over what they made."""
        self.done = True
        self.thread.join(10)
        return self.found


_STATE: dict[str, Any] = {}


def _start(words: dict[str, Any], made: list[str]) -> None:
    _STATE.update(
        words=words,
        texts=Texts(words["table"], words["weak"], words["trade"]),
        flite=Flite(CLASSIC),
        espeak=Espeak(CLASSIC),
        made=made or list(VARIANTS),
        rhvoice=Rhvoice(CLASSIC) if (CLASSIC / "rhvoice").exists() else None,
        festival=Festival(CLASSIC) if (CLASSIC / "festival").exists() else None,
    )


def _say(job: int) -> tuple[np.ndarray, list[int]] | None:
    try:
        return _said(job)
    except (ValueError, IndexError, KeyError, OSError) as problem:
        if job % 100 < 4:
            print(f"classic voice, job {job}: {problem!r}", flush=True)
        return None


def _said(job: int) -> tuple[np.ndarray, list[int]] | None:
    random = Random(job)
    words = _STATE["texts"].draw(random)
    comma = random.choice([0, 0, 0.1, 0.35])
    text = words[0]
    for word in words[1:]:
        text += (", " if random.random() < comma else " ") + spelled(word)
    made = _spoken(text, words, random)
    if made is None:
        return None
    samples = coloured(made, random)
    peak = float(np.abs(samples).max())
    if peak < 100 or len(samples) > LONGEST + 16000:
        return None
    phones = [OUTPUT[p] for word in words for p in dictionary_phones(word, _STATE["words"], random)]
    return trimmed(samples / peak, random), phones


def _spoken(text: str, words: list[str], random: Random) -> np.ndarray | None:
    """The text by a voice and in a manner drawn at random; None where it was misread."""
    kind = random.random()
    # How much higher the formants lie; played faster, so said slower and lower.
    higher = math.exp(random.uniform(SMALLEST, LARGEST)) if random.random() < 0.6 else 1.0
    # Some are as flat as a robot, some sing.
    spread = random.uniform(0, 4) if random.random() < 0.25 else random.uniform(4, 40)
    rate = round(SAMPLE_RATE * higher)
    if kind < 0.2 and _STATE["rhvoice"]:
        pace, pitch = math.exp(random.gauss(0.05, 0.2)), math.exp(random.gauss(0, 0.16))
        voice = random.choice(TRAINED_RHVOICE)
        samples = _STATE["rhvoice"].say(text, voice, pace / higher, pitch / higher)
        return resampled(samples, rate)
    if kind < 0.3 and _STATE["festival"]:
        pitch, stretch = random.uniform(75, 200), random.uniform(0.75, 1.35)
        samples, phones = _STATE["festival"].say(
            text, stretch * higher, pitch / higher, spread / higher
        )
        return resampled(samples, rate) if well_read(phones, words, _STATE["words"]) else None
    if kind < 0.64:
        voice = random.choice(TRAINED_FLITE)
        wanted = None if random.random() < 0.2 else random.uniform(80, 260) / higher
        stretch = random.uniform(0.7, 1.35)
        samples = _STATE["flite"].say(text, voice, stretch * higher, wanted, spread / higher)
        return resampled(samples, rate)
    variants = _STATE["made"] if random.random() < 0.6 else VARIANTS
    variant = random.choice(variants)
    voice = random.choice(ACCENTS) + (f"+{variant}" if variant else "")
    return _STATE["espeak"].say(  # type: ignore[no-any-return]
        text,
        voice,
        random.randint(110, 220),
        random.randint(15, 85),
        random.choice([0, 0, 0, 2, 5]),
        random.choice([50, 50, random.randint(0, 90)]),
    )


def well_read(phones: list[str], words: list[str], table: dict[str, Any]) -> bool:
    """Whether a voice that spells by its own rules said the dictionary's phones, or nearly."""
    wanted = [p for word in words for p in dictionary_phones(word, table, Random(1))]
    row = list(range(len(wanted) + 1))
    for number, phone in enumerate(phones, 1):
        before, row[0] = row[0], number
        for place, other in enumerate(wanted, 1):
            best = min(before + (phone != other), row[place] + 1, row[place - 1] + 1)
            before, row[place] = row[place], best
    return row[-1] <= max(1, MISREAD * len(wanted))


def coloured(samples: np.ndarray, random: Random) -> np.ndarray:
    """A random envelope of the spectrum on some, a steep upper edge on others."""
    enveloped, cut = random.random() < 0.35, random.random() < 0.15
    if not (enveloped or cut) or len(samples) < 100:
        return samples
    spectrum = np.fft.rfft(samples)
    places = np.linspace(0, 1, len(spectrum))
    decibels = np.zeros(len(spectrum))
    if enveloped:
        for wave in range(1, 13):
            decibels += random.gauss(0, 1.7) * np.cos(math.pi * wave * places)
    if cut:
        edge = random.uniform(2900, 5200) / (SAMPLE_RATE / 2)
        decibels -= np.clip((places - edge) * 800, 0, random.uniform(40, 70))
    return np.asarray(np.fft.irfft(spectrum * 10 ** (decibels / 20), len(samples)), np.float32)


def spelled(word: str) -> str:
    """A word as the classic voices read it best."""
    return {"psi": "P S I", "mm": "M M", "kerf": "curf"}.get(word, word)


def dictionary_phones(word: str, words: dict[str, Any], random: Random) -> list[str]:
    """The phones to be heard of a word said by a classic voice."""
    if word in words["weak"]:
        return random.choice(words["weak"][word])[1].split()  # type: ignore[no-any-return]
    return words["table"][word][2].split()  # type: ignore[no-any-return]


def trimmed(samples: np.ndarray, random: Random) -> np.ndarray:
    """Speech with peak 1 -> int16, with 10 to 200 ms around it."""
    blocks = np.abs(samples[: len(samples) // 80 * 80]).reshape(-1, 80).max(1)
    loud = np.nonzero(blocks > 0.02)[0]
    start = max(0, loud[0] * 80 - random.randint(160, 2400))
    end = loud[-1] * 80 + 80 + random.randint(160, 3200)
    return np.asarray(samples[start:end] * 30000, np.int16)
