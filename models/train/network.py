"""The acoustic network: a factorised time-delay network with 40 outputs, every third frame.

One affine layer over five frames, then :data:`STEPS` blocks. A block looks ``s`` frames back into a
narrow linear layer and ``s`` frames ahead out of it again; its rectified output is added to 0.66
times its input. The blocks with ``s`` = 3 need only every third frame, so training computes the
others for one of the three frame offsets, drawn anew for each batch.
"""

from __future__ import annotations

import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere
from torch import nn

from models.train.features import BANDS
from models.train.phones import OUTPUTS

SUBSAMPLING = 3
STEPS = (1, 1, 1, 3, 3, 3, 3, 3, 3, 3, 3, 3)
WIDTH, NARROW = 768, 128
FIRST = 2  # frames that the first layer sees on each side
CONTEXT = FIRST + sum(STEPS)  # frames seen on each side by the whole network
CARRIED = 0.66  # how much of a block's input is added to its output


class Network(nn.Module):
    """Features [B, T, 40] -> logits [B, ceil((T - offset) / 3), 40]; edges are repeated frames."""

    def __init__(
        self, steps: tuple[int, ...] = STEPS, width: int = WIDTH, narrow: int = NARROW
    ) -> None:
        super().__init__()
        self.steps = steps
        self.context = FIRST + sum(steps)
        self.dropout = 0.05
        self.first = nn.Conv1d(BANDS, width, 2 * FIRST + 1)
        self.first_norm = nn.BatchNorm1d(width)
        self.squeeze = nn.ModuleList(
            nn.Conv1d(width, narrow, 2, dilation=s, bias=False) for s in steps
        )
        self.spread = nn.ModuleList(nn.Conv1d(narrow, width, 2, dilation=s) for s in steps)
        self.norm = nn.ModuleList(nn.BatchNorm1d(width) for _ in steps)
        self.out = nn.Linear(width, OUTPUTS)
        self.mean: torch.Tensor
        self.deviation: torch.Tensor
        self.register_buffer("mean", torch.zeros(BANDS))
        self.register_buffer("deviation", torch.ones(BANDS))

    def forward(self, features: torch.Tensor, offset: int = 0) -> torch.Tensor:
        """Logits of the frames ``offset``, ``offset + 3``, ... of each row."""
        x = F.relu(_normed(taps(self.framed(features), self.first, 1), self.first_norm))
        coarse = False
        for step, squeeze, spread, norm in zip(
            self.steps, self.squeeze, self.spread, self.norm, strict=True
        ):
            if step == SUBSAMPLING and not coarse:
                x, coarse = x[:, offset::SUBSAMPLING], True
            d = step // SUBSAMPLING if coarse else step
            y = F.relu(_normed(taps(taps(x, squeeze, d), spread, d), norm))
            if self.training and self.dropout:
                keep = torch.rand(y.shape[0], 1, y.shape[2], device=y.device) - 0.5
                y = y * (1 + 4 * self.dropout * keep).to(y.dtype)
            x = CARRIED * x[:, d:-d] + y
        return self.out(x).float()

    def framed(self, features: torch.Tensor) -> torch.Tensor:
        """Normalised features with their first and last frame repeated over the context."""
        x = (features - self.mean) / self.deviation
        edge = self.context
        return torch.cat([x[:, :1].expand(-1, edge, -1), x, x[:, -1:].expand(-1, edge, -1)], 1)


def taps(x: torch.Tensor, conv: nn.Module, dilation: int) -> torch.Tensor:
    """A one-dimensional convolution in [B, T, C] layout, as one matrix product."""
    weight, bias = conv.weight, conv.bias
    assert isinstance(weight, torch.Tensor)
    taps = weight.shape[2]
    frames = x.shape[1] - (taps - 1) * dilation
    seen = torch.cat([x[:, k * dilation : k * dilation + frames] for k in range(taps)], 2)
    flat = weight.permute(0, 2, 1).reshape(weight.shape[0], -1)
    return F.linear(seen, flat, bias if isinstance(bias, torch.Tensor) else None)


def _normed(x: torch.Tensor, norm: nn.Module) -> torch.Tensor:
    """Batch normalisation in [B, T, C] layout."""
    flat: torch.Tensor = norm(x.reshape(-1, x.shape[2]))
    return flat.view_as(x)
