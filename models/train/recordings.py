"""Gathers freely licensed recorded sounds for the training noise, end to end.

    python -m models.train.recordings FILE ... [--to .carry-classic/noises.npy]

Reads every WAV sound inside the files, also those packed into one archive file (Debian's package
``openttd-opensfx``: machines, vehicles, weather, blasts; CC BY-SA 3.0 and GPL). Sounds shorter than
a fifth of a second are left out; each is brought to one level and to 16 kHz.
"""

from __future__ import annotations

import argparse
import io
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from models.train.classic import resampled


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


def levelled(samples: np.ndarray, rate: int) -> np.ndarray | None:
    """A sound at 16 kHz and one level; None if it is too short or silent."""
    sound = resampled(samples, rate)
    power = float(np.sqrt((sound**2).mean()))
    if len(sound) < 3200 or power < 20:
        return None
    return np.clip(sound / power * 3000, -32000, 32000).astype(np.int16)


def main() -> None:
    """Write the sounds of the given files as one array."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", type=Path, nargs="+")
    parser.add_argument("--to", type=Path, default=Path(".carry-classic/noises.npy"))
    options = parser.parse_args()
    kept = [
        sound
        for file in options.files
        for samples, rate in wave_sounds(file.read_bytes())
        if (sound := levelled(samples, rate)) is not None
    ]
    whole = np.concatenate(kept)
    np.save(options.to, whole)
    print(f"{len(kept)} sounds, {len(whole) / 16000:.0f} s")


if __name__ == "__main__":
    main()
