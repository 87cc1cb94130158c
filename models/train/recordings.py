"""Gathers freely licensed recorded sounds for the training noise, end to end.

    python -m models.train.recordings FOLDER_OR_FILE ... --aside NAME ... [--to FILE]

Reads Ogg Vorbis, FLAC and MP3 files (with the package ``miniaudio``) and every WAV sound inside
other files (Debian's package ``openttd-opensfx`` packs its own into one). Each sound is brought to
one level and to 16 kHz, cut at :data:`LONGEST_S`, and kept once; sounds shorter than a fifth of a
second are left out. Those whose file is named in ``--aside`` are kept apart, for development
(``FILE.aside.npy``). The arrays hold 8-bit mu-law, half the size of 16-bit samples: 38 dB over its
own noise is plenty for a noise.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from models.train.classic import resampled

LONGEST_S = 4
DECODED = (".ogg", ".flac", ".mp3")


def wave_sounds(content: bytes) -> Iterator[tuple[np.ndarray, int]]:
    """Each WAV sound in a file's bytes, mono, with its rate."""
    at = content.find(b"RIFF")
    while at >= 0:
        size = int.from_bytes(content[at + 4 : at + 8], "little") + 8
        if content[at + 8 : at + 12] == b"WAVE":
            try:
                with wave.open(io.BytesIO(content[at : at + size])) as sound:
                    data, width = sound.readframes(sound.getnframes()), sound.getsampwidth()
                    if width == 1:
                        samples = (np.frombuffer(data, np.uint8).astype(np.float32) - 128) * 256
                    elif width == 2:
                        samples = np.frombuffer(data, "<i2").astype(np.float32)
                    else:
                        samples = np.zeros(0, np.float32)
                    if len(samples):
                        yield (
                            samples.reshape(-1, sound.getnchannels()).mean(1),
                            sound.getframerate(),
                        )
            except (wave.Error, EOFError):
                pass
        at = content.find(b"RIFF", at + 4)


def sounds_of(file: Path) -> Iterator[tuple[np.ndarray, int]]:
    """Each sound of a file, mono, with its rate."""
    if file.suffix in DECODED:
        import miniaudio

        try:
            told = miniaudio.decode_file(str(file), nchannels=1, sample_rate=16000)
        except miniaudio.DecodeError:
            print(f"left out, cannot be decoded: {file.name}")
            return
        yield np.array(told.samples, np.float32), 16000
    else:
        yield from wave_sounds(file.read_bytes())


def levelled(samples: np.ndarray, rate: int) -> np.ndarray | None:
    """A sound at 16 kHz and one level; None if it is too short or silent."""
    sound = resampled(samples, rate)
    power = float(np.sqrt((sound**2).mean()))
    if len(sound) < 3200 or power < 20:
        return None
    return np.clip(sound / power * 3000, -32000, 32000).astype(np.int16)


def to_mu_law(samples: np.ndarray) -> np.ndarray:
    """int16 -> mu-law bytes."""
    x = samples.astype(np.float32) / 32768
    pressed = np.sign(x) * np.log1p(255 * np.abs(x)) / np.log(256)
    return np.asarray(np.rint(pressed * 127 + 128), np.uint8)


def from_mu_law(stored: np.ndarray) -> np.ndarray:
    """mu-law bytes -> int16."""
    pressed = (stored.astype(np.float32) - 128) / 127
    x = np.sign(pressed) * (np.power(256, np.abs(pressed)) - 1) / 255
    return np.asarray(np.clip(np.rint(x * 32768), -32768, 32767), np.int16)


def main() -> None:
    """Write the sounds of the given files as one array, and those set aside as another."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("places", type=Path, nargs="+")
    parser.add_argument("--aside", nargs="*", default=[], help="parts of file names")
    parser.add_argument("--to", type=Path, default=Path(".carry-classic/noises.npy"))
    options = parser.parse_args()
    files = [
        file
        for place in options.places
        for file in ([place] if place.is_file() else sorted(p for p in place.rglob("*")))
        if file.is_file()
    ]
    kept: list[np.ndarray] = []
    aside: list[np.ndarray] = []
    seen: set[bytes] = set()
    for file in files:
        for samples, rate in sounds_of(file):
            sound = levelled(samples[: LONGEST_S * rate], rate)
            known = b"" if sound is None else hashlib.sha256(sound.tobytes()).digest()
            if sound is None or known in seen:
                continue
            seen.add(known)
            apart = any(part in file.name for part in options.aside)
            (aside if apart else kept).append(sound)
    options.to.parent.mkdir(parents=True, exist_ok=True)
    for sounds, to in ((kept, options.to), (aside, options.to.with_suffix(".aside.npy"))):
        whole = to_mu_law(np.concatenate(sounds)) if sounds else np.zeros(0, np.uint8)
        np.save(to, whole)
        print(f"{to.name}: {len(sounds)} sounds, {len(whole) / 16000:.0f} s")


if __name__ == "__main__":
    main()
