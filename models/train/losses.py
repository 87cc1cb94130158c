"""The sequence losses: connectionist temporal classification, and its conditional random field.

The second one sets the score of the right phones against the score of all phone strings, weighted
by a bigram over phones, in the same topology: frames of a phone, then frames of blank.
"""

from __future__ import annotations

from typing import Any

import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere
from torch import Tensor

from models.train.phones import BLANK, OUTPUTS

PHONES = OUTPUTS - 1


def phone_bigram(phones: Tensor, counts: Tensor, smoothing: float = 0.5) -> Tensor:
    """Probabilities [40, 39]: row 0 for the first phone, row ``k`` for what follows phone ``k``."""
    first = torch.zeros(len(phones), dtype=torch.bool)
    first[torch.cat([torch.zeros(1, dtype=torch.long), counts.cumsum(0)[:-1]])] = True
    before = torch.where(first, torch.zeros_like(phones), phones.roll(1))
    table = torch.full((OUTPUTS, PHONES), smoothing, dtype=torch.float64)
    table.index_put_((before, phones - 1), torch.ones(len(phones), dtype=torch.float64), True)
    return (table / table.sum(1, keepdim=True)).float()


def transitions(bigram: Tensor) -> tuple[Tensor, Tensor]:
    """Moves [79, 79] between states and each state's output [79].

    State 0 is the silence before the first phone; ``k`` is phone ``k`` spoken; ``39 + k`` the blank
    after phone ``k``.
    """
    states = 1 + 2 * PHONES
    moves = torch.zeros(states, states)
    phone, blank = slice(1, 1 + PHONES), slice(1 + PHONES, states)
    moves[0, 0] = 1
    moves[0, phone] = bigram[0]
    moves[phone, phone] = bigram[1:] * (1 - torch.eye(PHONES)) + torch.eye(PHONES)
    moves[blank, phone] = bigram[1:]
    moves[phone, blank] = torch.eye(PHONES)
    moves[blank, blank] = torch.eye(PHONES)
    outputs = torch.cat([torch.zeros(1), torch.arange(1, OUTPUTS), torch.zeros(PHONES)]).long()
    return moves, outputs


class _AllStrings(torch.autograd.Function):
    """The logarithm of the summed weight of all paths; its gradient is the outputs' share."""

    @staticmethod
    def forward(
        ctx: Any, log_probs: Tensor, lengths: Tensor, moves: Tensor, outputs: Tensor
    ) -> Tensor:
        frames, rows, _ = log_probs.shape
        weights = log_probs.detach().exp()[:, :, outputs]
        alive = torch.arange(frames, device=lengths.device)[:, None] < lengths[None]
        alphas = torch.empty_like(weights)
        scales = torch.ones(frames, rows, 1, device=weights.device)
        start = torch.zeros(rows, len(outputs), device=weights.device)
        start[:, 0] = 1
        alpha = start
        for t in range(frames):
            step = (alpha @ moves) * weights[t]
            scale = step.sum(1, keepdim=True).clamp_min(1e-30)
            here = alive[t][:, None]
            alpha = torch.where(here, step / scale, alpha)
            scales[t] = torch.where(here, scale, scales[t])
            alphas[t] = alpha
        beta = torch.ones(rows, len(outputs), device=weights.device)
        shares = torch.empty_like(weights)
        for t in range(frames - 1, -1, -1):
            here = alive[t][:, None]
            share = alphas[t] * beta
            shares[t] = share / share.sum(1, keepdim=True).clamp_min(1e-30) * here
            beta = torch.where(here, ((weights[t] * beta) @ moves.T) / scales[t], beta)
        gradient = torch.zeros_like(log_probs)
        gradient.index_add_(2, outputs, shares)
        ctx.save_for_backward(gradient)
        return scales.log().sum((0, 2))

    @staticmethod
    def backward(ctx: Any, *grads: Tensor) -> tuple[Tensor, None, None, None]:
        (gradient,) = ctx.saved_tensors
        return gradient * grads[0][None, :, None], None, None, None


def all_strings(log_probs: Tensor, lengths: Tensor, moves: Tensor, outputs: Tensor) -> Tensor:
    """Log weight [B] of all phone strings, for log probabilities [T, B, 40]."""
    total: Tensor = _AllStrings.apply(log_probs, lengths, moves, outputs)
    return total


def right_string(log_probs: Tensor, phones: Tensor, lengths: Tensor, counts: Tensor) -> Tensor:
    """Minus the log weight [B] of the right phones (CTC), for log probabilities [T, B, 40]."""
    return F.ctc_loss(
        log_probs, phones, lengths, counts, blank=BLANK, reduction="none", zero_infinity=True
    )
