"""What was said and answered, written as WAV files that are numbered in the order of the shift."""

import wave
from array import array
from pathlib import Path
from typing import Final

from handsfree.errors import SoundError
from handsfree.values import Samples

FARTHER: Final = 4  # who stands there comes in so many times smaller


class Recordings:
    """Files in one folder.

    Args:
        folder: made where it is not there.

    Attributes:
        count: how many were written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.count = 0

    def write(self, who: str, samples: Samples) -> None:
        """Write the next one: "07-helper.wav".

        Raises:
            SoundError: the disk refuses.
        """
        path = self.folder / f"{self.count + 1:02d}-{who}.wav"
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with path.open("wb") as raw, wave.open(raw, "wb") as file:
                file.setnchannels(1)
                file.setsampwidth(2)
                file.setframerate(samples.rate)
                file.writeframes(samples.data)
        except OSError as fault:
            raise SoundError(
                f"Cannot write {path}: {fault.strerror}. Name another folder with --keep."
            ) from fault
        self.count += 1


def farther(samples: Samples) -> Samples:
    """The same from further away."""
    values = array("h")
    values.frombytes(samples.data)
    return Samples(array("h", (value // FARTHER for value in values)).tobytes(), samples.rate)
