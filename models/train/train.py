"""Trains the network: frame targets first, then CTC, then CTC against all phone strings.

    python -m models.train.train --speech FILE ... --seconds 400 --to FOLDER [--start CHECKPOINT]
    python -m models.train.train ... --start-shipped models/shop-english/am/final.mdl

``--more PATTERN`` names files of speech that may come while training goes on; each pass takes in
what is there by then. ``--check FILE`` is speech for development: at the end, and for the start, it
prints how many phones of a hundred come out wrong in noise of several strengths, for the weights
and for their average.

The first :data:`FRAME_STEPS` steps teach the phone behind each frame, which the neural voice tells
us; CTC from scratch would stand on its plateau for thousands of steps. ``--against-all`` is the
share of the time, at the end, in which the right phones are set against all phone strings. Writes
``last.pt`` and ``average.pt`` (the running average of the weights, to be exported).

``--uses 2`` takes each batch of features twice: making rooms and noise takes several times as long
as a step of this small network, so batches wait among :data:`WAITING` others and come again later,
with other patches hidden and another of the three frame offsets.

``--processes N`` trains on N GPUs of one host together (``together.py``): each process reads the
files whose names hold its number for ``{}``; process 0 keeps the time, checks and saves.
"""

from __future__ import annotations

import argparse
import glob
import math
import os
import random
import sys
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
from models.train.phone_check import phone_errors
from models.train.phones import OUTPUTS
from models.train.recordings import from_mu_law
from models.train.shipped import network_from
from models.train.speakers import SKIP
from models.train.synthesise import UNIT
from models.train.together import Together, launch

FRAME_STEPS = 500
WARM_UP = 300
WARPS, WOBBLES = 40, 5
LOW_WARP, HIGH_WARP = 0.68, 1.42
BATCH_SAMPLES = 15e6
BATCH_ROWS = 420
WAITING = 24
TIMED = 10  # steps between two looks at the clock
CHECKED_DB = (40.0, 20.0, 10.0, 5.0, 0.0, -5.0)


class Corpus:
    """All utterances on the device."""

    def __init__(self, files: list[Path], device: str) -> None:
        self.files = files
        parts = [torch.load(file, weights_only=True, mmap=True) for file in files]
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

    def hours(self) -> float:
        """Hours of speech."""
        return float(self.lengths.sum() / 57.6e6)

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


Batch = tuple[Tensor, Tensor, Tensor, Tensor]
Taken = Iterator[Batch]


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

    def take(self, rows: np.ndarray, ratio_db: float | None = None) -> Batch:
        """Features [B, T, 40], sounds behind the frames [B, T], phones and their counts.

        ``ratio_db`` sets how loud the noise is, for development; None draws everything.
        """
        corpus, device, count = self.corpus, self.device, len(rows)
        pace = np.random.uniform(0.88, 1.14, (count, 1))
        longest = np.where(np.random.rand(count, 1) < 0.3, 19200, 8000)
        lead = np.random.uniform(0, 1, (count, 1)) * longest * (np.random.rand(count, 1) < 0.88)
        lengths = corpus.lengths[rows][:, None]
        width = int((lengths / pace + lead).max()) + random.randint(800, 11000)
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
        speech = _cut_close(speech)
        heard = augmented(speech, before[:, 0], (length / speed)[:, 0], self.noises, ratio_db)
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


def _cut_close(speech: Tensor) -> Tensor:
    """A quarter of the rows without what is 40 to 50 dB below their peak at either end."""
    rows, count = speech.shape
    at = torch.arange(count, device=speech.device)[None]
    depth = 10 ** (-uniform(rows, 40, 50, speech.device) / 20)
    loud = speech.abs() > speech.abs().amax(1, keepdim=True) * depth
    first = torch.where(loud, at, count).amin(1, keepdim=True) - 160
    last = torch.where(loud, at, 0).amax(1, keepdim=True) + 320
    kept = ((at >= first) & (at < last)) | (chance(rows, 0.75, speech.device) > 0)
    return speech * kept


def taken(batcher: Batcher, batches: Iterator[np.ndarray], uses: int, waiting: int) -> Taken:
    """The features and targets of batches, each ``uses`` times, the later ones a while later."""
    held: list[tuple[Batch, int]] = []
    for rows in batches:
        fresh = batcher.take(rows)
        yield fresh
        if uses > 1:
            held.append((fresh, uses - 1))
        for _ in range(uses - 1):
            if len(held) >= waiting:
                place = random.randrange(len(held))
                batch, left = held[place]
                if left > 1:
                    held[place] = batch, left - 1
                else:
                    held[place] = held[-1]
                    held.pop()
                yield batch
    for batch, left in held:
        for _ in range(left):
            yield batch


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
    parser.add_argument("--start-shipped", type=Path, help="a final.mdl to begin from")
    parser.add_argument("--more", help="pattern of speech files that may come later")
    parser.add_argument("--check", type=Path, help="speech for development")
    parser.add_argument("--check-noises", type=Path, help="recorded sounds for development")
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--uses", type=int, default=1, help="steps with each batch")
    parser.add_argument("--neural-share", type=float, default=0.75)
    parser.add_argument("--against-all", type=float, default=0.0)
    parser.add_argument("--batch-samples", type=float, default=BATCH_SAMPLES)
    parser.add_argument("--frame-steps", type=int, default=FRAME_STEPS)
    parser.add_argument("--processes", type=int, default=1, help="GPUs that train together")
    options = parser.parse_args()
    if options.processes > 1 and "RANK" not in os.environ:
        sys.exit(launch(options.processes, "models.train.train"))
    together = Together()
    device, first = together.device, together.number == 0
    seed = options.seed + 1000 * together.number
    random.seed(seed)
    np.random.seed(seed)
    torch.manual_seed(seed)
    torch.backends.cuda.matmul.allow_tf32 = True
    began = time.monotonic()
    speech = [Path(str(file).format(together.number)) for file in options.speech]
    corpus = Corpus(speech, device)
    noises = _sounds(options.noises, device)
    batcher = Batcher(corpus, noises, device)
    moves, outputs = transitions(phone_bigram(corpus.phones, corpus.phone_counts))
    moves, outputs = moves.to(device), outputs.to(device)
    together.same([moves])
    check = None
    if options.check and first:
        check_noises = _sounds(options.check_noises, device)
        check = Batcher(Corpus([options.check], device), check_noises, device)
    network = Network().to(device)
    if options.start:
        network.load_state_dict(torch.load(options.start, map_location=device, weights_only=True))
    if options.start_shipped:
        some = list(corpus.batches(False, options.neural_share, options.batch_samples))[:6]
        seen = [batcher.take(rows)[0] for rows in some]
        network = network_from(options.start_shipped, seen, device)
        del seen
    started = bool(options.start or options.start_shipped)
    if check and started:
        print(f"start: {phone_errors(network, check, CHECKED_DB, BATCH_SAMPLES)}", flush=True)
    together.same(network.state_dict().values())
    optimiser = torch.optim.AdamW(network.parameters(), options.rate, weight_decay=1e-2)
    average = {name: value.clone() for name, value in network.state_dict().items()}
    options.to.mkdir(parents=True, exist_ok=True)
    step, share, over, hours = 0, 0.0, False, 0.0
    frame_steps = 0 if started else options.frame_steps
    while not over:
        more = options.more and options.more.format(together.number)
        there = sorted(glob.glob(more)) if more else []  # noqa: PTH207
        files = [*speech, *(Path(name) for name in there)]
        if files != corpus.files:
            batcher.corpus = corpus = Corpus(files, device)
        if corpus.hours() != hours:
            hours = corpus.hours()
            neural = int(corpus.neural.sum())
            heard = f"{len(corpus.lengths)} utterances, {hours:.1f} h, {neural} neural"
            print(f"process {together.number}: {heard}", flush=True)
        framewise = step < frame_steps
        batches = corpus.batches(framewise, options.neural_share, options.batch_samples)
        for features, sounds, phones, counts in taken(batcher, batches, options.uses, WAITING):
            if step % TIMED == 0:
                share = together.told((time.monotonic() - began) / options.seconds)
            if share >= 1 or (framewise and step >= frame_steps):
                over = share >= 1
                break
            if step == 0 and not started:
                network.mean.copy_(features.mean((0, 1)))
                network.deviation.copy_(features.std((0, 1)))
                together.same([network.mean, network.deviation])
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
                lengths = torch.full((len(features),), log_probs.shape[0])
                right = right_string(log_probs, phones, lengths, counts)
                per_phone = counts.to(device).clamp_min(1)
                loss = (right / per_phone).mean()
                if share > 1 - options.against_all:
                    everything = all_strings(log_probs, lengths.to(device), moves, outputs)
                    field = ((right + everything) / per_phone).mean()
                    loss = field + 0.1 * loss
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            together.average(network.parameters())
            torch.nn.utils.clip_grad_norm_(network.parameters(), 5)
            optimiser.step()
            if step % 4 == 0:
                _follow(average, network, min(0.995, 1 - 1 / (step / 4 + 2)))
            if first and (step % 100 == 0 or step in (1, 2, frame_steps, frame_steps + 20)):
                passed = time.monotonic() - began
                size = f"{len(features)} x {features.shape[1]}"
                print(f"{step} {passed:.0f} s, {size}: {loss.item():.3f}", flush=True)
            step += 1
            if first and step % 500 == 0:
                _save(options.to, average, network)
    together.end()
    if not first:
        return
    _save(options.to, average, network)
    print(f"{step} steps in {time.monotonic() - began:.0f} s", flush=True)
    if check:
        last = {name: value.clone() for name, value in network.state_dict().items()}
        for name, state in (("average", average), ("last", last)):
            network.load_state_dict(state)
            errors = phone_errors(network, check, CHECKED_DB, BATCH_SAMPLES)
            print(f"{name}: {errors}", flush=True)


def _sounds(file: Path | None, device: str) -> Tensor | None:
    return None if file is None else torch.from_numpy(from_mu_law(np.load(file))).to(device)


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
