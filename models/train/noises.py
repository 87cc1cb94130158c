"""Noise of a torch shop, made anew for each utterance on the device, steady and unsteady.

Jet hiss and flame roar (shaped noise), compressor and grinder (harmonics that wander), hammer blows
(rings set off at random), wind (slow low rumble) and recorded sounds. All levels move: a slow
random walk, bursts that come and go, or beats. Each function gives rows [B, N] of about unit power.
"""

from __future__ import annotations

import math

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
    decibels = walk[:, 0] * uniform(rows, 0, 7, device) * chance(rows, 0.6, device)
    bursts = (slow[:, 0] > torch.randn(rows, 1, device=device) * 0.7).float()
    hidden = chance(rows, 0.2, device) * uniform(rows, 6, 30, device)
    decibels = decibels - hidden * bursts
    curve = torch.nn.functional.interpolate(
        decibels[:, None], size=count, mode="linear", align_corners=True
    )[:, 0]
    level: Tensor = 10 ** (curve / 20)
    time = torch.arange(count, device=device)[None] / SAMPLE_RATE
    beat = torch.sin(2 * math.pi * uniform(rows, 0.4, 14, device) * time)
    return level * (1 + chance(rows, 0.25, device) * 0.85 * beat)


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
    for k in range(1, 15):
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


def recorded(rows: int, count: int, sounds: Tensor) -> Tensor:
    """Stretches of recorded sound, each played faster or slower."""
    device = sounds.device
    speed = torch.exp(uniform(rows, -0.5, 0.5, device))
    start = torch.rand(rows, 1, device=device) * len(sounds)
    place = (start + torch.arange(count, device=device)[None] * speed).long() % len(sounds)
    return unit(sounds[place].float() + 1e-3 * torch.randn(rows, count, device=device))


def shop_noise(rows: int, count: int, size: int, places: Tensor, sounds: Tensor | None) -> Tensor:
    """A mixture for each row; ``size`` is the FFT size, at least ``count`` + 6000."""
    device = places.device
    noise = shaped_noise(rows, count, size, places) * wandering(rows, count, device)
    noise = noise * chance(rows, 0.8, device)
    second = torch.randperm(rows, device=device)[: max(1, rows // 4)]
    other = shaped_noise(len(second), count, size, places) * wandering(len(second), count, device)
    noise = noise.index_add(0, second, other * uniform(len(second), 0.2, 1.2, device))
    some = torch.randperm(rows, device=device)[: max(1, rows // 4)]
    tones = machine_tones(len(some), count, device) * wandering(len(some), count, device)
    noise = noise.index_add(0, some, tones * uniform(len(some), 0.3, 1.5, device))
    some = torch.randperm(rows, device=device)[: max(1, rows // 5)]
    hits = blows(len(some), count, size, device)
    noise = noise.index_add(0, some, hits * uniform(len(some), 0.3, 1.6, device))
    if sounds is not None:
        some = torch.randperm(rows, device=device)[: max(1, int(rows * 0.3))]
        heard = recorded(len(some), count, sounds) * uniform(len(some), 0.4, 2, device)
        noise = noise.index_add(0, some, heard)
    return unit(noise + 1e-4 * torch.randn(rows, count, device=device))
