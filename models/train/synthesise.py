"""Makes the training speech: neural voices on the GPU, classic voices on the other cores.

    python -m models.train.synthesise --seconds 150 --seed 1 --to speech.pt

Reads ``.carry/words.json``, ``.carry/voice.npz``, ``.carry/speakers.npz`` and, for the classic
voices, ``.carry-classic`` (or the system's packages). The file holds ``samples`` (int16, 16 kHz,
all utterances end to end), ``lengths``, ``phones`` and ``phone_counts`` (the outputs to be heard),
``sounds`` (the output behind each 25 ms, 255 where not known, end to end) and ``neural`` (how many
utterances, the first ones, come from the neural voice).
"""

from __future__ import annotations

import argparse
import json
import math
import os
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import torch

from models.train.classic_speech import LONGEST, ClassicVoices
from models.train.sentences import Texts
from models.train.speakers import SKIP, Pronouncer, Speakers
from models.train.voice import Voice
from models.train.weights import dequantised

BUILD = Path(".carry")
UNIT = 400  # samples at 16 kHz in one unit of the neural voice's lengths
POOL = 1536  # texts sorted by length together
SHORTEST = 2500  # samples
MOST_UNITS = 300


@dataclass
class Speech:
    """Utterances as they come in; samples stay on the device."""

    samples: list[torch.Tensor] = field(default_factory=list)
    phones: list[list[int]] = field(default_factory=list)
    sounds: list[np.ndarray] = field(default_factory=list)

    def add(self, samples: torch.Tensor, phones: list[int], sounds: np.ndarray | None) -> bool:
        """Keep an utterance unless it is too short, too long or too fast for 30 ms frames."""
        count = len(samples)
        if not SHORTEST <= count <= LONGEST or count < 480 * len(phones):
            return False
        units = -(-count // UNIT)
        known = np.full(units, SKIP, np.uint8)
        if sounds is not None:
            known[: len(sounds)] = sounds[:units]
        self.samples.append(samples)
        self.phones.append(phones)
        self.sounds.append(known)
        return True


def neural_speech(
    voice: Voice, words: dict[str, Any], seconds: float, seed: int, most: int = 10**9
) -> Speech:
    """Utterances of the neural voice, as many as can be made in the time."""
    random, numbers = Random(seed), np.random.default_rng(seed)
    torch.manual_seed(seed)
    texts = Texts(words["table"], words["weak"], words["trade"])
    pronouncer, speakers = Pronouncer(words), Speakers(BUILD / "speakers.npz")
    speech, began = Speech(), time.monotonic()
    while time.monotonic() - began < seconds and len(speech.samples) < most:
        told = [pronouncer.say(texts.draw(random), random) for _ in range(min(POOL, most))]
        told = sorted((t for t in told if 4 < len(t[0]) < 150), key=lambda t: len(t[0]))
        planned = []
        for at in range(0, len(told), 256):
            planned += _plan(voice, told[at : at + 256], speakers, random, numbers)
        totals = torch.stack([plan[2].sum() for plan in planned]).tolist()
        order = np.argsort(totals)
        at = 0
        while at < len(order):
            typical = totals[order[min(len(order) - 1, at + 40)]]
            batch = order[at : at + max(4, int(9000 / max(60, typical)))]
            at += len(batch)
            if max(totals[i] for i in batch) <= MOST_UNITS:
                _speak(voice, [planned[i] for i in batch], speech, random)
    return speech


def _plan(
    voice: Voice,
    told: list[tuple[list[int], list[int], list[int]]],
    speakers: Speakers,
    random: Random,
    numbers: np.random.Generator,
) -> list[tuple[torch.Tensor, torch.Tensor, torch.Tensor, torch.Tensor, list[int], list[int]]]:
    """Speakers and lengths for texts of about the same length."""
    device = voice.device
    styles = np.stack([speakers.draw(len(t[0]), random, numbers) for t in told])
    style = torch.tensor(styles, dtype=torch.float32, device=device)
    pace = torch.tensor([math.exp(random.gauss(0.02, 0.2)) for _ in told], dtype=torch.float32)
    encoded, text, units, padding = voice.prosody(
        [t[0] for t in told], style, pace.clamp(0.65, 1.6).to(device)
    )
    jitter = units * torch.exp(0.15 * torch.randn_like(units))
    units = torch.where(torch.rand_like(units[:, :1]) < 0.4, jitter, units)
    # Some speed up and slow down within a sentence.
    at = torch.arange(units.shape[1], device=device)[None] / 12
    sway = torch.sin(6.28 * (at * torch.rand_like(units[:, :1]) + torch.rand_like(units[:, :1])))
    swayed = units * torch.exp(0.3 * torch.rand_like(units[:, :1]) * sway)
    units = torch.where(torch.rand_like(units[:, :1]) < 0.35, swayed, units)
    whole = units.round().clamp(1, 60).long()
    # The first symbol keeps its length: cut short, it swallows the first word.
    whole = whole.masked_fill(padding, 0)
    planned = []
    for row, (symbols, phones, sounds) in enumerate(told):
        n = len(symbols)
        whole[row, n - 1].clamp_max_(12)
        planned.append(
            (encoded[row, :n], text[row, :n], whole[row, :n], style[row], phones, sounds)
        )
    return planned


def _speak(voice: Voice, batch: list[Any], speech: Speech, random: Random) -> None:
    """Speak a batch: the last symbol is lengthened so that all rows have one length, then cut."""
    device, rows = voice.device, len(batch)
    totals = [int(plan[2].sum()) for plan in batch]
    longest, n = max(totals), max(len(plan[2]) for plan in batch)
    encoded = torch.zeros(rows, n, 640, device=device)
    text = torch.zeros(rows, n, 512, device=device)
    units = torch.zeros(rows, n, dtype=torch.long, device=device)
    for row, plan in enumerate(batch):
        k = len(plan[2])
        encoded[row, :k], text[row, :k], units[row, :k] = plan[0], plan[1], plan[2]
        units[row, k - 1] += longest - totals[row]
    style = torch.stack([plan[3] for plan in batch])
    pitch = torch.exp(0.13 * torch.randn(rows, device=device)).clamp(0.7, 1.45)
    lively = torch.exp(0.3 * torch.randn(rows, device=device)).clamp(0.4, 1.8)
    sound = voice.speak(encoded, text, units, style, pitch, lively).float()
    spectrum = torch.fft.rfft(sound)
    count = sound.shape[1] * 2 // 3
    sound = torch.fft.irfft(spectrum[:, : count // 2 + 1], count) * (2 / 3)  # 24 to 16 kHz
    peak = sound.abs().amax(1)
    blocks = sound[:, : count // 80 * 80].reshape(rows, -1, 80).abs().amax(2)
    loud = blocks > peak[:, None] * 0.02
    index = torch.arange(blocks.shape[1], device=device)[None]
    first = torch.where(loud, index, 10**6).amin(1) * 80
    last = torch.where(loud, index, -1).amax(1) * 80 + 80
    good = torch.isfinite(peak) & (peak > 0.02)
    ends = torch.stack([first, last, good.long()]).cpu().tolist()
    level = 30000 / peak[:, None].clamp_min(1e-3)
    whole = (sound * level).nan_to_num().clamp(-32000, 32000).to(torch.int16)
    lengths = units.cpu().numpy()
    for row, plan in enumerate(batch):
        if not ends[2][row]:
            continue
        start = max(0, ends[0][row] - random.randint(160, 2400)) // UNIT * UNIT
        end = min(ends[1][row] + random.randint(160, 3200), totals[row] * UNIT)
        sounds = np.repeat(np.array(plan[5], np.uint8), lengths[row, : len(plan[5])])
        speech.add(whole[row, start:end].clone(), plan[4], sounds[start // UNIT :])


def save(speech: Speech, neural: int, to: Path) -> None:
    """Write the utterances in the form that training reads."""
    torch.save(
        {
            "samples": _joined(speech.samples),
            "lengths": torch.tensor([len(s) for s in speech.samples]),
            "phones": torch.from_numpy(np.concatenate([np.array(p) for p in speech.phones])),
            "phone_counts": torch.tensor([len(phones) for phones in speech.phones]),
            "sounds": torch.from_numpy(np.concatenate(speech.sounds)),
            "neural": neural,
        },
        to,
    )


def _joined(samples: list[torch.Tensor]) -> torch.Tensor:
    """All samples end to end: those on the GPU together first, then in one move."""
    there = [s for s in samples if s.is_cuda]
    here = [s for s in samples if not s.is_cuda]
    parts = [torch.cat(there).cpu()] if there else []
    return torch.cat([*parts, *here])


def main() -> None:
    """Make speech for the given time."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--processes", type=int, default=max(1, (os.cpu_count() or 2) - 1))
    parser.add_argument("--most", type=int, default=10**9, help="neural utterances")
    parser.add_argument("--no-classic", action="store_true")
    parser.add_argument("--no-neural", action="store_true")
    options = parser.parse_args()
    began = time.monotonic()
    words = json.loads((BUILD / "words.json").read_text())
    classic = None if options.no_classic else ClassicVoices(words, options.processes, options.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    speech = Speech()
    if not options.no_neural:
        voice = Voice(dequantised(dict(np.load(BUILD / "voice.npz"))), device)
        print(f"ready after {time.monotonic() - began:.0f} s", flush=True)
        left = options.seconds - (time.monotonic() - began)
        speech = neural_speech(voice, words, left, options.seed, options.most)
    neural = len(speech.samples)
    hours = sum(len(s) for s in speech.samples) / 57.6e6
    print(f"neural: {neural} utterances, {hours:.1f} h", flush=True)
    if classic:
        time.sleep(max(0.0, options.seconds - (time.monotonic() - began)))
        for samples, phones in classic.stop():
            speech.add(torch.from_numpy(samples), phones, None)
        total = sum(len(s) for s in speech.samples) / 57.6e6
        print(f"classic: {len(speech.samples) - neural}, {total - hours:.1f} h", flush=True)
    save(speech, neural, options.to)
    print(f"saved after {time.monotonic() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main()
