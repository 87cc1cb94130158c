"""Noise of a cutting place, made by formula with a fixed seed, and mixing it in at a ratio.

Arrays are one channel at 16 kHz, floats on the scale of 16-bit samples.
"""

import zlib
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import miniaudio
import numpy as np
import numpy.typing as npt

RATE = 16_000
RECORDED = (".wav", ".ogg", ".flac", ".mp3")
Sound = npt.NDArray[np.float64]
Spectrum = npt.NDArray[np.floating]


def from_bytes(samples: bytes) -> Sound:
    return np.frombuffer(samples, "<i2").astype(np.float64)


def to_bytes(sound: Sound) -> bytes:
    return np.clip(np.rint(sound), -32768, 32767).astype("<i2").tobytes()


def mixed(speech: Sound, noise: Sound, ratio_db: float) -> Sound:
    """Speech with noise, by the level of its loud parts: pauses do not count."""
    level = np.sqrt(np.mean(speech[_loud(speech)] ** 2))
    noise = noise[: len(speech)]
    gain = level / (np.sqrt(np.mean(noise**2)) + 1e-9) / 10 ** (ratio_db / 20)
    both = speech + gain * noise
    quieter: Sound = both * min(1.0, 30_000 / (float(np.max(np.abs(both))) + 1e-9))
    return quieter


def _loud(speech: Sound, frame: int = 320) -> npt.NDArray[np.bool_]:
    """Samples in frames within 30 dB of the loudest."""
    padded = np.pad(speech, (0, -len(speech) % frame)).reshape(-1, frame)
    energy = np.mean(padded**2, axis=1)
    return np.repeat(energy > np.max(energy) / 1000, frame)[: len(speech)]


def _shaped(
    samples: int, chance: np.random.Generator, tilt: Callable[[Spectrum], Spectrum]
) -> Sound:
    spectrum = np.fft.rfft(chance.standard_normal(samples))
    return np.fft.irfft(spectrum * tilt(np.fft.rfftfreq(samples, 1 / RATE)), samples)


def jet(samples: int, chance: np.random.Generator) -> Sound:
    """Hiss of the cutting jet: broad, strongest at 2 to 6 kHz, a little unsteady."""
    hiss = _shaped(samples, chance, lambda f: 1 / (1 + ((f - 4000) / 2500) ** 2) + 0.05)
    return hiss * (1 + 0.15 * _slow(samples, chance, 6.0))


def roar(samples: int, chance: np.random.Generator) -> Sound:
    """Roar of the preheat flames and the jet in steel: falls with frequency, flutters."""
    low = _shaped(samples, chance, lambda f: 1 / np.sqrt(1 + (f / 300) ** 2))
    return low * (1 + 0.4 * _slow(samples, chance, 12.0))


def grinder(samples: int, chance: np.random.Generator) -> Sound:
    """A hand grinder: harmonics of a wandering tone, with grit."""
    speed = 140 * (1 + 0.05 * _slow(samples, chance, 0.7))
    turn = 2 * np.pi * np.cumsum(speed) / RATE
    tones: Sound = np.zeros(samples)
    for harmonic in range(1, 40):
        tones += np.sin(harmonic * turn + chance.uniform(0, 6.28)) / harmonic**0.7
    return tones / np.std(tones) + 0.5 * chance.standard_normal(samples)


def hammer(samples: int, chance: np.random.Generator) -> Sound:
    """Blows on plate: ringing partials, three or four a second, over a quiet floor."""
    sound = 0.05 * chance.standard_normal(samples)
    at = int(chance.uniform(0, 0.3) * RATE)
    while at < samples:
        t = np.arange(min(samples - at, RATE // 3)) / RATE
        ring: Sound = np.zeros(len(t))
        for _ in range(6):
            decay = chance.uniform(10, 40)
            ring += np.exp(-decay * t) * np.sin(2 * np.pi * chance.uniform(300, 6000) * t)
        sound[at : at + len(t)] += ring * chance.uniform(0.5, 1.5)
        at += int(chance.uniform(0.2, 0.45) * RATE)
    return sound


def _slow(samples: int, chance: np.random.Generator, hz: float) -> Sound:
    points = chance.standard_normal(int(samples / RATE * hz) + 4)
    return np.interp(np.linspace(0, len(points) - 1, samples), np.arange(len(points)), points)


MADE: dict[str, Callable[[int, np.random.Generator], Sound]] = {
    "jet": jet,
    "roar": roar,
    "grinder": grinder,
    "hammer": hammer,
}


class Noises:
    """Noises by name: the made ones, and recordings, cut at random places.

    Args:
        folders: where recordings lie, as WAV, Ogg Vorbis, FLAC or MP3; a file is named by its stem.
        only: names to keep; all when None.
    """

    def __init__(self, folders: Iterable[Path] = (), only: Sequence[str] | None = None) -> None:
        files = [file for folder in folders for file in sorted(folder.iterdir())]
        found = {file.stem: file for file in files if file.suffix in RECORDED}
        known = [*MADE, *found]
        self._names = known if only is None else list(only)
        if unknown := sorted(set(self._names) - set(known)):
            raise SystemExit(f"no noise {', '.join(unknown)}: there are {', '.join(known)}")
        self._recorded = {name: recorded(found[name]) for name in self._names if name not in MADE}

    def names(self) -> Sequence[str]:
        return self._names

    def cut(self, name: str, samples: int, seed: int) -> Sound:
        """The same cut for the same seed; a recording that is too short goes round."""
        chance = np.random.default_rng([seed, zlib.crc32(name.encode())])
        if name in MADE:
            return MADE[name](samples, chance)
        whole = self._recorded[name]
        start = int(chance.integers(0, len(whole)))
        return np.resize(np.roll(whole, -start), samples)


def recorded(file: Path) -> Sound:
    """A recording as one channel at 16 kHz."""
    told = miniaudio.decode_file(str(file), nchannels=1, sample_rate=RATE)
    return np.array(told.samples, np.float64)
