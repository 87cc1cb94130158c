"""Reads a shipped ``final.mdl`` back into a network to train on, wider if the network now is.

The file holds batch normalisation and the input's mean folded into its affine layers, so their
statistics are measured anew on features like those of training; the network then gives the same
outputs in training and in use. Channels that the file lacks begin with random weights into them and
zeros out of them: they change nothing until they are trained.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere
from torch import Tensor, nn

from models.train.kaldi_model import WIDE
from models.train.network import CARRIED, SUBSAMPLING, Network, taps

SPREAD = 0.04  # weights before a normalisation are brought to this standard deviation
_AFFINE = re.compile(rb"<ComponentName> (\S+) <AffineComponent> ")


def read_affines(content: bytes) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Weights and biases of the affine components of a binary ``final.mdl``, by name."""
    found = {}
    for match in _AFFINE.finditer(content):
        label = b"<LinearParams> "
        at = content.index(label, match.end()) + len(label)
        kind, at = content[at : at + 2], content.index(b" ", at) + 1
        if kind == b"FM":
            rows, columns = (int.from_bytes(content[at + k : at + k + 4], "little") for k in (1, 6))
            at, size = at + 10, 4 * rows * columns
            weight = np.frombuffer(content, "<f4", rows * columns, at).copy()
        else:
            low, span, rows, columns = struct.unpack("<ffii", content[at : at + 16])
            at, size = at + 16, 2 * rows * columns
            stored = np.frombuffer(content, "<u2", rows * columns, at)
            weight = low + stored.astype(np.float32) * (span / WIDE)
        at = content.index(b"FV ", at + size) + 4
        count = int.from_bytes(content[at : at + 4], "little")
        bias = np.frombuffer(content, "<f4", count, at + 4)
        found[match.group(1).decode()] = (weight.reshape(rows, columns), bias.copy())
    return found


@torch.no_grad()
def network_from(file: Path, batches: Sequence[Tensor], device: str) -> Network:
    """The shipped network, its statistics measured on ``batches`` of features [B, T, 40]."""
    affines = {
        name: (torch.from_numpy(weight).to(device), torch.from_numpy(bias).to(device))
        for name, (weight, bias) in read_affines(file.read_bytes()).items()
    }
    network = Network().to(device)
    everything = torch.cat([batch.reshape(-1, batch.shape[2]) for batch in batches])
    network.mean.copy_(everything.mean(0))
    network.deviation.copy_(everything.std(0))
    weight, bias = affines["first.affine"]
    shaped = weight.view(len(weight), -1, len(network.mean)).permute(0, 2, 1)
    bias = bias + (shaped * network.mean[None, :, None]).sum((1, 2))
    scale = _scaled(network.first, shaped * network.deviation[None, :, None], bias)
    inputs = [network.framed(batch) for batch in batches]
    carried = _fitted(network.first_norm, [taps(x, network.first, 1) for x in inputs], scale)
    coarse = False
    for k, step in enumerate(network.steps):
        squeeze, spread, norm = network.squeeze[k], network.spread[k], network.norm[k]
        weight, _ = affines[f"squeeze{k}.affine"]
        narrow, wide = len(weight), weight.shape[1] // 2
        squeeze.weight.zero_()
        squeeze.weight[:narrow, :wide] = weight.view(narrow, 2, wide).permute(0, 2, 1)
        weight, bias = affines[f"spread{k}.affine"]
        scale = _scaled(spread, weight.view(len(weight), 2, narrow).permute(0, 2, 1), bias)
        if step == SUBSAMPLING and not coarse:
            carried, coarse = [x[:, ::SUBSAMPLING] for x in carried], True
        d = step // SUBSAMPLING if coarse else step
        added = _fitted(norm, [taps(taps(x, squeeze, d), spread, d) for x in carried], scale)
        carried = [CARRIED * x[:, d:-d] + y for x, y in zip(carried, added, strict=True)]
    weight, bias = affines["out.affine"]
    network.out.weight.zero_()
    network.out.weight[:, : weight.shape[1]] = weight
    network.out.bias.copy_(bias)
    return network


def _scaled(layer: nn.Conv1d, weight: Tensor, bias: Tensor) -> Tensor:
    """Put known rows [rows, inputs, taps] into a layer, scaled; how much each row was scaled."""
    assert layer.bias is not None
    scale = SPREAD / weight.std((1, 2)).clamp_min(1e-6)
    nn.init.normal_(layer.weight, std=SPREAD)
    nn.init.zeros_(layer.bias)
    layer.weight[: len(weight), : weight.shape[1]] = weight * scale[:, None, None]
    layer.weight[: len(weight), weight.shape[1] :] = 0
    layer.bias[: len(weight)] = bias * scale
    return scale


def _fitted(norm: nn.BatchNorm1d, found: Sequence[Tensor], scale: Tensor) -> list[Tensor]:
    """Make a normalisation undo its own statistics and the scale; the rectified outputs."""
    flat = torch.cat([x.reshape(-1, x.shape[2]) for x in found])
    norm.running_mean.copy_(flat.mean(0))
    norm.running_var.copy_(flat.var(0))
    rows = len(scale)
    norm.weight[:rows] = torch.sqrt(norm.running_var[:rows] + norm.eps) / scale
    norm.bias[:rows] = norm.running_mean[:rows] / scale
    norm.eval()
    outputs = [F.relu(norm(x.reshape(-1, x.shape[2])).view_as(x)) for x in found]
    norm.train()
    return outputs
