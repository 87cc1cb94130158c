"""Log-mel features as vosk computes them (Kaldi's filter bank), batched in PyTorch.

The options are those written into ``conf/fbank.conf``: 16 kHz, frames of 25 ms every 10 ms, mean
taken off, pre-emphasis 0.97, Povey window, 512-point power spectrum, 40 triangular mel bands from
20 to 7600 Hz, natural logarithm, no dither, no energy. Samples are on the int16 scale.
"""

from __future__ import annotations

import math

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere

SAMPLE_RATE = 16000
FRAME, HOP, FFT = 400, 160, 512
BANDS, LOW_HZ, HIGH_HZ = 40, 20.0, 7600.0
FLOOR = 1.1920929e-07  # Kaldi's: the smallest float32 step above 1

FBANK_CONF = f"""--sample-frequency={SAMPLE_RATE}
--num-mel-bins={BANDS}
--low-freq={LOW_HZ:g}
--high-freq={HIGH_HZ:g}
--use-energy=false
--dither=0
"""


def mel(hertz: np.ndarray | float) -> np.ndarray:
    """Hertz to Kaldi's mel scale: 1127 ln(1 + f/700)."""
    return 1127.0 * np.log(1.0 + np.asarray(hertz, float) / 700.0)


def mel_bank(warp: float = 1.0, wobble: float = 0.0, seed: int = 0) -> torch.Tensor:
    """Weights [257, 40] of the mel bands; ``warp`` stretches the vocal tract, ``wobble`` bends it.

    ``warp`` 1 and ``wobble`` 0 give Kaldi's own bank. Up to 6.5 kHz the frequency axis is divided
    by ``warp``, above it is bent back to end at 8 kHz.
    """
    nyquist = SAMPLE_RATE / 2
    hertz = np.arange(FFT // 2 + 1) * SAMPLE_RATE / FFT
    if warp != 1.0 or wobble:
        knee = 6500 * min(1.0, warp)
        above = knee / warp + (hertz - knee) * (nyquist - knee / warp) / (nyquist - knee)
        bent = np.where(hertz < knee, hertz / warp, above)
        if wobble:
            random = np.random.default_rng(seed)
            place = mel(hertz) / mel(nyquist)
            waves = [random.standard_normal() * np.sin(math.pi * k * place) for k in (1, 2, 3, 4)]
            bent = np.maximum.accumulate(bent * (1 + wobble * sum(waves)))
        hertz = bent
    place = mel(hertz)
    low, high = mel(LOW_HZ), mel(HIGH_HZ)
    step = (high - low) / (BANDS + 1)
    bank = np.zeros((FFT // 2 + 1, BANDS))
    for band in range(BANDS):
        left = low + band * step
        bank[:, band] = np.clip(
            np.minimum((place - left) / step, (left + 2 * step - place) / step), 0, None
        )
    bank[-1] = 0  # Kaldi leaves the Nyquist bin out
    for band in range(BANDS):  # a strong warp must not leave a low band without any bin
        if bank[:, band].sum() < 1e-3:
            bank[np.abs(place - (low + (band + 1) * step)).argmin(), band] = 0.3
    return torch.tensor(bank, dtype=torch.float32)


def log_mel(
    samples: torch.Tensor, bank: torch.Tensor, whisper: torch.Tensor | None = None
) -> torch.Tensor:
    """Features [B, T, 40] of samples [B, N]; ``bank`` is [257, 40] or one bank a row [B, 257, 40].

    ``whisper`` [B, 1, 1] in 0..1 replaces that share of each power spectrum by noise of the same
    envelope, which takes the voicing away.
    """
    frames = samples.unfold(1, FRAME, HOP)
    frames = frames - frames.mean(2, keepdim=True)
    frames = torch.cat([frames[:, :, :1] * 0.03, frames[:, :, 1:] - 0.97 * frames[:, :, :-1]], 2)
    at = torch.arange(FRAME, device=samples.device)
    window = (0.5 - 0.5 * torch.cos(2 * math.pi * at / (FRAME - 1))) ** 0.85
    power = torch.fft.rfft(frames * window, FFT).abs() ** 2
    if whisper is not None:
        envelope = F.avg_pool1d(power, 9, 1, 4, count_include_pad=False)
        noise = envelope * torch.empty_like(power).exponential_()
        power = (1 - whisper) * power + whisper * noise
    return torch.log((power @ bank).clamp_min(FLOOR))
