"""Trains the network: frame targets first, then CTC, then CTC against all phone strings.

    python -m models.train.train --speech FILE ... --seconds 400 --to FOLDER [--start CHECKPOINT]

The first :data:`FRAME_STEPS` steps teach the phone behind each frame, which the neural voice tells
us; CTC from scratch would stand on its plateau for thousands of steps. ``--against-all`` is the
share of the time, at the end, in which the right phones are set against all phone strings. Writes
``last.pt`` and ``average.pt`` (the running average of the weights, to be exported).
"""

from __future__ import annotations

import argparse
import math
import random
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere
from torch import Tensor

from models.train.augment import augmented, masked
from models.train.features import FRAME, HOP, log_mel, mel_bank
from models.train.losses import all_strings, phone_bigram, right_string, transitions
from models.train.network import SUBSAMPLING, Network
from models.train.noises import chance, uniform
from models.train.phones import OUTPUTS
from models.train.speakers import SKIP
from models.train.synthesise import UNIT

FRAME_STEPS = 500
WARM_UP = 300
WARPS, WOBBLES = 40, 5
LOW_WARP, HIGH_WARP = 0.68, 1.42
BATCH_SAMPLES = 15e6
BATCH_ROWS = 420


class Corpus:
    """All utterances on the device."""

    def __init__(self, files: list[Path], device: str) -> None:
        parts = [torch.load(file, weights_only=True) for file in files]
        self.samples = torch.cat(
            [p["samples"] for p in parts] + [torch.zeros(8, dtype=torch.int16)]
        )
        self.samples = self.samples.to(device)
        self.lengths = torch.cat([p["lengths"] for p in parts]).numpy()
        self.phones = torch.cat([p["phones"] for p in parts])
        self.phone_counts = torch.cat([p["phone_counts"] for p in parts])
        self.sounds = torch.cat([p["sounds"] for p in parts]).to(device)
        self.neural = np.concatenate([np.arange(len(p["lengths"])) < p["neural"] for p in parts])
        self.starts = np.concatenate([[0], np.cumsum(self.lengths)])[:-1]
        units = -(-self.lengths // UNIT)
        self.sound_starts = np.concatenate([[0], np.cumsum(units)])[:-1]
        counts = self.phone_counts.numpy()
        self.phone_starts = np.concatenate([[0], np.cumsum(counts)])[:-1]

    def batches(self, neural_only: bool, neural_share: float, cap: float) -> Iterator[np.ndarray]:
        """One pass in random order: rows of about the same length together."""
        keep = np.ones(len(self.lengths))
        heard, other = self.lengths[self.neural].sum(), self.lengths[~self.neural].sum()
        if neural_only:
            keep[~self.neural] = 0
        elif other and heard:
            keep[~self.neural] = min(1.0, heard * (1 - neural_share) / neural_share / other)
        index = np.nonzero(np.random.rand(len(keep)) < keep)[0]
        order = index[np.argsort(self.lengths[index] * np.random.uniform(0.9, 1.1, len(index)))]
        batches, current, longest = [], [], 0
        for i in order:
            longest = max(longest, self.lengths[i])
            if (
                current
                and (len(current) + 1) * (longest + 12000) > cap
                or len(current) >= BATCH_ROWS
            ):
                batches.append(np.array(current))
                current, longest = [], self.lengths[i]
            current.append(i)
        batches.append(np.array(current))
        random.shuffle(batches)
        yield from batches


class Batcher:
    """Turns rows of the corpus into features and targets, changed anew each time."""

    def __init__(self, corpus: Corpus, noises: Tensor | None, device: str) -> None:
        self.corpus, self.noises, self.device = corpus, noises, device
        warps = np.exp(np.linspace(math.log(LOW_WARP), math.log(HIGH_WARP), WARPS))
        banks = [
            mel_bank(float(warp), 0.0 if k == 0 else 0.02, seed=10 * i + k)
            for i, warp in enumerate(warps)
            for k in range(WOBBLES)
        ]
        self.banks = torch.stack(banks).to(device)

    def take(self, rows: np.ndarray) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        """Features [B, T, 40], sounds behind the frames [B, T], phones and their counts."""
        corpus, device, count = self.corpus, self.device, len(rows)
        pace = np.random.uniform(0.88, 1.14, (count, 1))
        lead = np.random.uniform(0, 8000, (count, 1)) * (np.random.rand(count, 1) < 0.9)
        lengths = corpus.lengths[rows][:, None]
        width = int((lengths / pace + lead).max()) + random.randint(800, 9000)
        told = np.concatenate(
            [pace, lead, lengths, corpus.starts[rows][:, None], corpus.sound_starts[rows][:, None]],
            1,
        )
        columns = torch.from_numpy(told).to(device).split(1, 1)
        speed, before, length = (column.float() for column in columns[:3])
        start, sound_start = columns[3].long(), columns[4].long()
        place = (torch.arange(width, device=device)[None] - before) * speed
        left = place.floor()
        inside = (left >= 0) & (left < length - 1)
        index = torch.minimum(left.long().clamp_min(0), length.long() - 2) + start
        share = place - left
        low, high = corpus.samples[index].float(), corpus.samples[index + 1].float()
        speech = torch.where(inside, low * (1 - share) + high * share, torch.zeros_like(low))
        heard = augmented(speech, (length / speed)[:, 0], self.noises)
        tract = speed[:, 0] / uniform(count, 0.82, 1.28, device)[:, 0]
        span = math.log(HIGH_WARP) - math.log(LOW_WARP)
        nearest = ((torch.log(tract) - math.log(LOW_WARP)) / span * (WARPS - 1)).round()
        wobble = torch.randint(0, WOBBLES, (count,), device=device)
        bank = self.banks[nearest.clamp(0, WARPS - 1).long() * WOBBLES + wobble]
        whisper = chance(count, 0.2, device) * torch.rand(count, 1, device=device)
        features = log_mel(heard, bank, whisper[:, :, None])
        middle = torch.arange(features.shape[1], device=device)[None] * HOP + FRAME // 2
        unit = ((middle - before) * speed / UNIT).floor().long()
        units = (length.long() + UNIT - 1) // UNIT
        known = corpus.sounds[torch.minimum(unit.clamp_min(0), units - 1) + sound_start].long()
        sounds = torch.where((unit >= 0) & (unit < units), known, torch.zeros_like(known))
        spans = [
            corpus.phones[s : s + n]
            for s, n in zip(corpus.phone_starts[rows], corpus.phone_counts[rows], strict=True)
        ]
        return features, sounds, torch.cat(spans).to(device), corpus.phone_counts[rows]


def learning_rate(step: int, share: float, peak: float) -> float:
    """Linear warm-up, then a cosine down to nothing at the end of the time."""
    return peak * min(1, (step + 1) / WARM_UP) * (0.5 + 0.5 * math.cos(math.pi * share)) + 1e-6


def main() -> None:
    """Train for the given time."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--speech", type=Path, nargs="+", required=True)
    parser.add_argument("--noises", type=Path, help="recorded sounds, int16 at 16 kHz, .npy")
    parser.add_argument("--seconds", type=float, default=400)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--start", type=Path)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--neural-share", type=float, default=0.75)
    parser.add_argument("--against-all", type=float, default=0.0)
    parser.add_argument("--batch-samples", type=float, default=BATCH_SAMPLES)
    parser.add_argument("--frame-steps", type=int, default=FRAME_STEPS)
    options = parser.parse_args()
    random.seed(options.seed)
    np.random.seed(options.seed)
    torch.manual_seed(options.seed)
    torch.backends.cuda.matmul.allow_tf32 = True
    device = "cuda" if torch.cuda.is_available() else "cpu"
    began = time.monotonic()
    corpus = Corpus(options.speech, device)
    noises = None
    if options.noises:
        noises = torch.from_numpy(np.load(options.noises)).to(device)
    batcher = Batcher(corpus, noises, device)
    moves, outputs = transitions(phone_bigram(corpus.phones, corpus.phone_counts))
    moves, outputs = moves.to(device), outputs.to(device)
    network = Network().to(device)
    if options.start:
        network.load_state_dict(torch.load(options.start, map_location=device, weights_only=True))
    optimiser = torch.optim.AdamW(network.parameters(), options.rate, weight_decay=1e-2)
    average = {name: value.clone() for name, value in network.state_dict().items()}
    options.to.mkdir(parents=True, exist_ok=True)
    hours = corpus.lengths.sum() / 57.6e6
    print(f"{len(corpus.lengths)} utterances, {hours:.1f} h, {int(corpus.neural.sum())} neural")
    step, over = 0, False
    frame_steps = 0 if options.start else options.frame_steps
    while not over:
        framewise = step < frame_steps
        for rows in corpus.batches(framewise, options.neural_share, options.batch_samples):
            share = (time.monotonic() - began) / options.seconds
            if share >= 1 or (framewise and step >= frame_steps):
                over = share >= 1
                break
            features, sounds, phones, counts = batcher.take(rows)
            if step == 0 and not options.start:
                network.mean.copy_(features.mean((0, 1)))
                network.deviation.copy_(features.std((0, 1)))
            features = masked(features, network.mean)
            for group in optimiser.param_groups:
                group["lr"] = learning_rate(step, share, options.rate)
            offset = random.randrange(SUBSAMPLING)
            with torch.autocast(device, torch.bfloat16, enabled=device == "cuda"):
                logits = network(features, offset)
            if framewise:
                target = sounds[:, offset::SUBSAMPLING]
                loss = F.cross_entropy(
                    logits.reshape(-1, OUTPUTS), target.reshape(-1), ignore_index=SKIP
                )
            else:
                log_probs = F.log_softmax(logits, -1).transpose(0, 1)
                lengths = torch.full((len(rows),), log_probs.shape[0])
                right = right_string(log_probs, phones, lengths, counts)
                per_phone = counts.to(device).clamp_min(1)
                loss = (right / per_phone).mean()
                if share > 1 - options.against_all:
                    everything = all_strings(log_probs, lengths.to(device), moves, outputs)
                    field = ((right + everything) / per_phone).mean()
                    loss = field + 0.1 * loss
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), 5)
            optimiser.step()
            if step % 4 == 0:
                _follow(average, network, min(0.995, 1 - 1 / (step / 4 + 2)))
            if step % 100 == 0 or step in (1, 2, frame_steps, frame_steps + 20):
                passed = time.monotonic() - began
                print(
                    f"{step} {passed:.0f} s, {len(rows)} x {features.shape[1]}: {loss.item():.3f}",
                    flush=True,
                )
            step += 1
            if step % 2000 == 0:
                _save(options.to, average, network)
    _save(options.to, average, network)
    print(f"{step} steps in {time.monotonic() - began:.0f} s")


def _follow(average: dict[str, Tensor], network: Network, kept: float) -> None:
    with torch.no_grad():
        for name, value in network.state_dict().items():
            if value.is_floating_point():
                average[name].lerp_(value, 1 - kept)
            else:
                average[name].copy_(value)


def _save(folder: Path, average: dict[str, Tensor], network: Network) -> None:
    torch.save({name: value.cpu() for name, value in average.items()}, folder / "average.pt")
    state = {name: value.cpu() for name, value in network.state_dict().items()}
    torch.save(state, folder / "last.pt")


if __name__ == "__main__":
    main()
