"""How many phones come out wrong on development speech, on the best path without words."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import numpy as np
import torch

if TYPE_CHECKING:
    from models.train.network import Network
    from models.train.train import Batcher


@torch.no_grad()
def phone_errors(
    network: Network, batcher: Batcher, ratios: tuple[float, ...], samples: float
) -> str:
    """Phones of a hundred that come out wrong, at each ratio in dB; batches of ``samples``."""
    network.eval()
    told = []
    state = random.getstate(), np.random.get_state(), torch.random.get_rng_state()
    for ratio in ratios:
        random.seed(7)
        np.random.seed(7)
        torch.manual_seed(7)
        wrong = total = 0
        for rows in batcher.corpus.batches(False, 0.5, samples):
            features, _, phones, counts = batcher.take(rows, ratio)
            best = network(features).argmax(2).cpu().numpy()
            right = np.split(phones.cpu().numpy(), np.cumsum(counts.numpy())[:-1])
            for outputs, truth in zip(best, right, strict=True):
                changed = outputs[np.insert(outputs[1:] != outputs[:-1], 0, True)]
                wrong += _distance(changed[changed != 0], truth)
                total += len(truth)
        told.append(f"{ratio:g} dB {100 * wrong / total:.2f}")
    random.setstate(state[0])
    np.random.set_state(state[1])
    torch.random.set_rng_state(state[2])
    network.train()
    return ", ".join(told)


def _distance(heard: np.ndarray, truth: np.ndarray) -> int:
    """Edit distance between two strings of phones."""
    row = np.arange(len(truth) + 1)
    place = np.arange(len(truth) + 1)
    for number, phone in enumerate(heard, 1):
        step = np.minimum(row[:-1] + (truth != phone), row[1:] + 1)
        step = np.concatenate([[number], step])
        row = np.minimum.accumulate(step - place) + place
    return int(row[-1])
