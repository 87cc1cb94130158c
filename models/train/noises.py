"""Noise of a torch shop, made anew for each utterance on the device, steady and unsteady.

Jet hiss and flame roar (shaped noise), compressor and grinder (harmonics that wander), hammer blows
(rings set off at random), wind (slow low rumble), recorded sounds and babble. All levels move: a
slow random walk, bursts that come and go, or beats. Each function gives rows [B, N] of about unit
power.
"""

from __future__ import annotations

import math
import random

import torch
from torch import Tensor

from models.train.features import SAMPLE_RATE


def uniform(rows: int, low: float, high: float, device: torch.device | str) -> Tensor:
    """One number a row, [B, 1]."""
    return torch.rand(rows, 1, device=device) * (high - low) + low


def chance(rows: int, share: float, device: torch.device | str) -> Tensor:
    """One or zero a row, [B, 1]."""
    return (torch.rand(rows, 1, device=device) < share).float()


def unit(x: Tensor) -> Tensor:
    """Rows scaled to mean power one."""
    return x / torch.sqrt((x**2).mean(1, keepdim=True) + 1e-9)


def smooth_curves(rows: int, waves: int, deviation: float, places: Tensor) -> Tensor:
    """Random smooth curves over ``places`` (0..1), in decibels."""
    device = places.device
    curves = torch.zeros(rows, places.shape[1], device=device)
    for k in range(1, waves + 1):
        size = torch.randn(rows, 1, device=device) * deviation
        curves = curves + size * torch.cos(math.pi * k * places)
    return curves


def wandering(rows: int, count: int, device: torch.device | str) -> Tensor:
    """Levels [B, N] that move: steady, drifting, beating, or coming in bursts."""
    seconds = count / SAMPLE_RATE
    points = max(4, int(seconds * 16))
    speed = torch.rand(rows, 1, 1, device=device)
    raw = torch.randn(rows, 1, points, device=device)
    slow = torch.nn.functional.avg_pool1d(raw, 7, 1, 3, count_include_pad=False) * 2.2
    walk = torch.where(speed < 0.6, slow, raw)
    decibels = walk[:, 0] * uniform(rows, 0, 8, device) * chance(rows, 0.65, device)
    bursts = (walk[:, 0] > torch.randn(rows, 1, device=device) * 0.7).float()
    hidden = chance(rows, 0.3, device) * uniform(rows, 6, 35, device)
    decibels = decibels - hidden * bursts
    curve = torch.nn.functional.interpolate(
        decibels[:, None], size=count, mode="linear", align_corners=True
    )[:, 0]
    level: Tensor = 10 ** (curve / 20)
    time = torch.arange(count, device=device)[None] / SAMPLE_RATE
    beat = torch.sin(2 * math.pi * uniform(rows, 0.4, 14, device) * time)
    return level * (1 + chance(rows, 0.3, device) * uniform(rows, 0.3, 0.95, device) * beat)


def shaped_noise(rows: int, count: int, size: int, places: Tensor) -> Tensor:
    """Hiss, roar, wind: noise of a random smooth spectrum, at times with one broad hump."""
    device = places.device
    hertz = places * SAMPLE_RATE / 2
    fall = uniform(rows, -0.8, 1.4, device) * 10 * torch.log10(hertz.clamp_min(40) / 1000)
    decibels = smooth_curves(rows, 5, 4.5, places) - fall
    centre = 150 * torch.exp(uniform(rows, 0, math.log(45), device))
    octaves = torch.log2(hertz.clamp_min(20) / centre) / uniform(rows, 0.25, 1.5, device)
    hump = chance(rows, 0.4, device) * uniform(rows, 5, 25, device)
    decibels = decibels + hump * torch.exp(-0.5 * octaves**2)
    spectrum = torch.fft.rfft(torch.randn(rows, size, device=device)) * 10 ** (decibels / 20)
    return unit(torch.fft.irfft(spectrum, size)[:, :count])


def machine_tones(rows: int, count: int, device: torch.device | str) -> Tensor:
    """Hum, compressor, grinder: harmonics of a pitch that wanders, with sliding load."""
    time = torch.arange(count, device=device)[None] / SAMPLE_RATE
    base = 40 * torch.exp(uniform(rows, 0, math.log(25), device))
    sway = uniform(rows, 0, 0.02, device) * torch.sin(
        2 * math.pi * uniform(rows, 0.1, 3, device) * time
    )
    slide = 1 + uniform(rows, -0.08, 0.08, device) * time
    phase = 2 * math.pi * base * (time * slide + sway)
    fall = uniform(rows, 0, 1.5, device)
    tones = torch.zeros(rows, count, device=device)
    for k in range(1, 25):
        size = torch.rand(rows, 1, device=device) * k**-fall * (k * base < 7600)
        tones = tones + size * torch.sin(k * phase + uniform(rows, 0, 6.3, device))
    return unit(tones)


def blows(rows: int, count: int, size: int, device: torch.device | str) -> Tensor:
    """Hammer blows and rattle: short rings, each row with its own ring and rate."""
    length = 6000
    at = torch.arange(length, device=device)[None]
    ring = torch.randn(rows, length, device=device) * torch.exp(
        -at / (40 * torch.exp(uniform(rows, 0, math.log(35), device)))
    )
    for _ in range(2):
        pitch = uniform(rows, 300, 6000, device)
        tone = torch.sin(2 * math.pi * pitch * at / SAMPLE_RATE)
        ring = ring * (1 + chance(rows, 0.5, device) * 3 * tone)
    rate = torch.exp(uniform(rows, math.log(0.6), math.log(14), device)) / SAMPLE_RATE
    hits = (torch.rand(rows, count, device=device) < rate) * torch.randn(rows, count, device=device)
    spectrum = torch.fft.rfft(hits, size) * torch.fft.rfft(ring, size)
    return unit(torch.fft.irfft(spectrum, size)[:, :count])


def recorded(rows: int, count: int, size: int, places: Tensor, sounds: Tensor) -> Tensor:
    """Stretches of recorded sound, faster or slower, in a random smooth colour; at times two."""
    device = sounds.device
    at = torch.arange(count, device=device)[None]
    heard = torch.zeros(rows, count, device=device)
    for share in (1.0, 0.4):
        speed = torch.exp(uniform(rows, -0.5, 0.5, device))
        start = torch.rand(rows, 1, device=device) * len(sounds)
        stretch = sounds[(start + at * speed).long() % len(sounds)].float()
        heard = heard + stretch * chance(rows, share, device) * uniform(rows, 0.3, 1, device)
    colour = 10 ** (smooth_curves(rows, 4, 3.5, places) / 20)
    heard = torch.fft.irfft(torch.fft.rfft(heard, size) * colour, size)[:, :count]
    return unit(heard + 1e-3 * torch.randn(rows, count, device=device))


def babble(speech: Tensor) -> Tensor:
    """Three to eight of the batch's talkers at once, each as loud as he likes."""
    rows, count = speech.shape
    mixed = torch.zeros_like(speech)
    for _ in range(random.randint(3, 8)):
        other = speech.roll(random.randint(1, max(1, rows - 1)), 0)
        mixed = mixed + other.roll(random.randint(0, count), 1) * uniform(
            rows, 0.2, 1, speech.device
        )
    return unit(mixed + torch.randn_like(mixed))


def shop_noise(speech: Tensor, size: int, places: Tensor, sounds: Tensor | None) -> Tensor:
    """A mixture for each row; ``size`` is the FFT size, at least the samples + 6000."""
    device, (rows, count) = speech.device, speech.shape
    noise = shaped_noise(rows, count, size, places) * wandering(rows, count, device)
    noise = noise * chance(rows, 0.75, device)

    def some(share: float) -> Tensor:
        return torch.randperm(rows, device=device)[: max(1, int(rows * share))]

    def added(noise: Tensor, at: Tensor, sound: Tensor, low: float, high: float) -> Tensor:
        """At times the sound replaces what was there before."""
        alone = torch.ones(rows, 1, device=device)
        alone[at] = 1 - chance(len(at), 0.4, device)
        return (noise * alone).index_add(0, at, sound * uniform(len(at), low, high, device))

    at = some(0.25)
    other = shaped_noise(len(at), count, size, places) * wandering(len(at), count, device)
    noise = noise.index_add(0, at, other * uniform(len(at), 0.2, 1.2, device))
    at = some(0.22)
    tones = machine_tones(len(at), count, device) * wandering(len(at), count, device)
    noise = added(noise, at, tones, 0.3, 1.5)
    at = some(0.18)
    noise = added(noise, at, blows(len(at), count, size, device), 0.3, 1.6)
    if sounds is not None:
        at = some(0.4)
        heard = recorded(len(at), count, size, places, sounds)
        heard = heard * torch.where(
            torch.rand(len(at), 1, device=device) < 0.3, wandering(len(at), count, device), 1.0
        )
        noise = added(noise, at, heard, 0.4, 2)
    at = some(0.13)
    noise = added(noise, at, babble(speech[at]), 0.4, 1.6)
    return unit(noise + 1e-4 * torch.randn(rows, count, device=device))
