"""What happens between a mouth and the model: rooms, microphones, noise, level; on the device.

Works on whole batches [B, N] of samples on the int16 scale. ``seen_lengths`` is the length of the
speech in each row, by which the noise's level is set: a signal-to-noise ratio compares the mean
power of the speech over its own length with that of the noise over the row.
"""

from __future__ import annotations

import math
import random

import torch
from torch import Tensor

from models.train.features import BANDS, SAMPLE_RATE
from models.train.noises import chance, shop_noise, smooth_curves, uniform

TAIL = 6000  # samples that a room or a ring may add
_SIZES = sorted(2**a * 3**b * 5**c for a in range(5, 20) for b in range(3) for c in range(3))


def fft_size(least: int) -> int:
    """The next size that a Fourier transform does quickly."""
    return next(size for size in _SIZES if size >= least)


def augmented(
    speech: Tensor,
    before: Tensor,
    seen_lengths: Tensor,
    sounds: Tensor | None,
    ratio_db: float | None = None,
) -> Tensor:
    """Speech as a microphone near a torch might give it, rounded to whole numbers.

    ``before`` [B] is where the speech of each row begins; ``ratio_db`` sets the noise's level.
    """
    rows, count = speech.shape
    device = speech.device
    size = fft_size(count + TAIL)
    places = torch.linspace(0, 1, size // 2 + 1, device=device)[None]
    hertz = places * SAMPLE_RATE / 2
    spectrum = torch.fft.rfft(speech, size)
    if random.random() < 0.6:
        spectrum = spectrum * torch.fft.rfft(_rooms(rows, device), size)
    # Shouting over noise lifts what is above 300 Hz; a dull voice or a covered microphone lacks it.
    effort = chance(rows, 0.45, device) * uniform(rows, -6, 6, device)
    tilt = effort * torch.log2(hertz.clamp(300, 4000) / 300)
    colour = smooth_curves(rows, 5, 2.7, places) * uniform(rows, 0.3, 2, device)
    gain = 10 ** ((colour + tilt) / 20)
    telephone = chance(rows, 0.25, device)
    least = torch.where(
        telephone > 0, uniform(rows, 80, 350, device), uniform(rows, 50, 320, device)
    )
    high = 1 / torch.sqrt(1 + (least / hertz.clamp_min(1)) ** (2 * uniform(rows, 2, 6, device)))
    cut = torch.maximum(telephone, chance(rows, 0.3, device))
    gain = gain * (high * cut + 1 - cut)
    most = torch.where(
        telephone > 0, uniform(rows, 3200, 4000, device), uniform(rows, 3200, 8000, device)
    )
    order = torch.where(telephone > 0, uniform(rows, 16, 60, device), uniform(rows, 8, 48, device))
    low = 1 / torch.sqrt(1 + (hertz / most) ** order)
    cut = torch.maximum(telephone, chance(rows, 0.22, device))
    low = low * cut + 1 - cut
    after = chance(rows, 0.5, device)  # the band limit lies behind the noise, or before it
    shaped = torch.fft.irfft(spectrum * gain * (low * (1 - after) + after), size)[:, :count]
    shaped = _recorded_before(shaped, before, seen_lengths)
    power = (shaped**2).sum(1, keepdim=True) / seen_lengths[:, None]
    wide, loud = uniform(rows, -5, 40, device), uniform(rows, -7, 10, device)
    ratio = torch.where(torch.rand(rows, 1, device=device) < 0.6, loud, wide)
    present = 1 - chance(rows, 0.1, device)
    if ratio_db is not None:
        ratio, present = torch.full_like(ratio, ratio_db), torch.ones_like(present)
    noise = shop_noise(speech, size, places, sounds)
    mixed = shaped + noise * torch.sqrt(power) * 10 ** (-ratio / 20) * present
    mixed = torch.fft.irfft(torch.fft.rfft(mixed, size) * (low * after + 1 - after), size)[
        :, :count
    ]
    if random.random() < 0.3:
        mixed = _with_talkers(mixed)
    peak = mixed.abs().amax(1, keepdim=True).clamp_min(1e-3)
    limit = peak * uniform(rows, 0.15, 1, device)
    clipped = torch.maximum(torch.minimum(mixed, limit), -limit)
    mixed = torch.where(chance(rows, 0.12, device) > 0, clipped, mixed)
    mixed = _coded(mixed, telephone)
    peak = mixed.abs().amax(1, keepdim=True).clamp_min(1e-3)
    mixed = mixed / peak * 10 ** uniform(rows, 2.3, 4.45, device)
    hiss = 10 ** uniform(rows, -1, 1.3, device) * chance(rows, 0.8, device)
    return (mixed + torch.randn_like(mixed) * hiss).round()


def _recorded_before(speech: Tensor, before: Tensor, lengths: Tensor) -> Tensor:
    """Some rows as a recording played in silence: its own hiss ends where it ends."""
    rows, count = speech.shape
    device = speech.device
    at = torch.arange(count, device=device)[None]
    span = (at >= before[:, None]) & (at < (before + lengths)[:, None])
    level = speech.abs().amax(1, keepdim=True) * 10 ** (-uniform(rows, 28, 70, device) / 20)
    hiss = torch.randn(rows, count, device=device)
    dull = (hiss + hiss.roll(1, 1) + hiss.roll(2, 1)) / 1.73
    hiss = torch.where(torch.rand(rows, 1, device=device) < 0.5, hiss, dull)
    return speech + hiss * level * span * chance(rows, 0.22, device)


def _coded(mixed: Tensor, telephone: Tensor) -> Tensor:
    """Noise that goes with the signal, as speech codecs add it; mu-law on half the telephones."""
    rows = len(mixed)
    device = mixed.device
    quality = 10 ** (-uniform(rows, 12, 35, device) / 20)
    some = chance(rows, 0.15, device)
    mixed = mixed * (1 + some * quality * torch.randn_like(mixed))
    peak = mixed.abs().amax(1, keepdim=True).clamp_min(1e-3)
    x = mixed / peak * 10 ** (-uniform(rows, 0, 1.2, device))
    pressed = torch.log1p(255 * x.abs()) / math.log(256)
    stepped = (torch.expm1((pressed * 127).round() / 127 * math.log(256)) / 255) * torch.sign(x)
    half = telephone * chance(rows, 0.5, device)
    return torch.where(half > 0, stepped, x)


def _rooms(rows: int, device: torch.device) -> Tensor:
    """Impulse responses: the direct sound and a decaying tail."""
    length = 4000
    at = torch.arange(length, device=device)[None]
    tail = torch.randn(rows, length, device=device) * torch.exp(
        -at / uniform(rows, 200, 1700, device)
    )
    tail = tail * torch.rand(rows, 1, device=device) * 0.15 * chance(rows, 0.75, device)
    tail[:, 0] = 1
    return tail


def _with_talkers(mixed: Tensor) -> Tensor:
    """One or two of the batch's other talkers behind, 6 to 30 dB down."""
    rows, count = mixed.shape
    other = mixed.roll(random.randint(1, max(1, rows - 1)), 0)
    if random.random() < 0.5:
        third = mixed.roll(random.randint(1, max(1, rows - 1)), 0)
        other = other + third.roll(random.randint(0, count), 1)
    power = (mixed**2).sum(1, keepdim=True) / ((other**2).sum(1, keepdim=True) + 1e-3)
    level = 10 ** (-uniform(rows, 6, 30, mixed.device) / 20) * chance(rows, 0.6, mixed.device)
    return mixed + other * torch.sqrt(power) * level


def masked(features: Tensor, mean: Tensor) -> Tensor:
    """A swaying tilt, and patches of time and of bands replaced by the mean."""
    rows, frames, _ = features.shape
    device = features.device
    time = torch.arange(frames, device=device)[None]
    band = torch.arange(BANDS, device=device)[None]
    swing = chance(rows, 0.35, device) * uniform(rows, 0, 1.2, device)
    turn = uniform(rows, 0.05, 1.2, device) * time / 100 + uniform(rows, 0, 1, device)
    sway = swing * torch.sin(2 * math.pi * turn)
    features = features + sway[:, :, None] * ((band - 20) / 20.0)[:, None]
    hidden = torch.zeros(rows, frames, BANDS, dtype=torch.bool, device=device)
    for _ in range(2):
        width = uniform(rows, 0, 7, device) * chance(rows, 0.6, device)
        start = uniform(rows, 0, 38, device)
        hidden |= ((band >= start) & (band < start + width))[:, None, :]
        width = uniform(rows, 0, 14, device) * chance(rows, 0.6, device)
        start = uniform(rows, 0, frames, device)
        hidden |= ((time >= start) & (time < start + width))[:, :, None]
    return torch.where(hidden, mean, features)
