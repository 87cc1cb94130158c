"""A WAV file becomes 16 kHz samples of one channel, or a clear reason why not.

The standard library's reader knows whole numbers only; recorders write floats as well, so the
chunks are read here. What is taken: 8 to 48 kHz, one or two channels, whole numbers of 8, 16, 24
or 32 bits or floats of 32 or 64, from a tenth of a second up to two minutes.

Format: Multimedia Programming Interface and Data Specifications 1.0 (RIFF, IBM and Microsoft
1991), and the extensible form of its format chunk.
"""

import array
import math
import stat
import struct
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO, Final

from handsfree.audio.level import AT_THE_RAIL, Level, bytes_of, is_clipped, level_of, samples_of
from handsfree.audio.resample import resample
from handsfree.errors import SoundError
from handsfree.values import Samples

HEARING_RATE: Final = 16000
LOWEST_RATE, HIGHEST_RATE = 8000, 48000
SHORTEST_S, LONGEST_S = 0.1, 120.0

WHOLE, FLOAT, EXTENSIBLE = 1, 3, 0xFFFE
TO_THE_END: Final = 0xFFFFFFFF  # the size that a recorder writes into a pipe


@dataclass(frozen=True, slots=True)
class Recording:
    """What a sound file holds.

    Attributes:
        samples: at 16 kHz.
        level: how loud it is, and whether a channel was clipped.
    """

    samples: Samples
    level: Level


@dataclass(frozen=True, slots=True)
class _Format:
    code: int
    channels: int
    rate: int
    bits: int

    @property
    def frame_bytes(self) -> int:
        return self.channels * self.bits // 8


def read_wav(path: Path) -> Recording:
    """The sound in a WAV file, down-mixed and resampled to 16 kHz.

    Raises:
        SoundError: the file cannot be read, is no WAV of the kinds taken, is cut off, or is too
            short or too long. The message says which, and what to do.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            kind = "a folder" if path.is_dir() else "not a file"
            raise SoundError(f"{path} is {kind}. Name a WAV file.")
        size = path.stat().st_size
        with path.open("rb") as file:
            form, data = _chunks(path, file, size)
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise SoundError(f"Cannot read {path}: {reason}. Check its name and rights.") from fault
    except ValueError as fault:  # a name that no file can have
        raise SoundError(f"Cannot read {str(path)!r}: {fault}. Check its name.") from fault
    mixed, level = _one_channel(path, form, data)
    return Recording(
        Samples(bytes_of(resample(mixed, form.rate, HEARING_RATE)), HEARING_RATE), level
    )


def _chunks(path: Path, file: BinaryIO, size: int) -> tuple[_Format, bytes]:
    """The format and the sound; other chunks are passed over."""
    if size == 0:
        raise SoundError(f"{path} is empty. Record it again.")
    head = file.read(12)
    if len(head) < 12 or head[:4] not in (b"RIFF", b"RF64") or head[8:] != b"WAVE":
        raise SoundError(f"{path} is not a WAV file. Save the recording as WAV (16-bit PCM).")
    form = None
    while len(chunk := file.read(8)) == 8:
        name, length = struct.unpack("<4sI", chunk)
        left = size - file.tell()
        if name == b"fmt ":
            form = _format(path, file.read(min(length, 64)))
            file.seek(max(0, length - 64) + length % 2, 1)
        elif name == b"data":
            if form is None:
                raise SoundError(f"{path} holds sound before its format. Save it as WAV again.")
            return form, _sound(path, file, form, length, left)
        else:
            file.seek(length + length % 2, 1)
    raise SoundError(f"{path} has no sound in it. Record it again.")


def _format(path: Path, data: bytes) -> _Format:
    if len(data) < 16:
        raise SoundError(f"{path} is cut off in its first bytes. Record it again.")
    code, channels, rate, _, _, bits = struct.unpack("<HHIIHH", data[:16])
    if code == EXTENSIBLE and len(data) >= 26:
        (code,) = struct.unpack("<H", data[24:26])
    if (code, bits) not in (
        (WHOLE, 8),
        (WHOLE, 16),
        (WHOLE, 24),
        (WHOLE, 32),
        (FLOAT, 32),
        (FLOAT, 64),
    ):
        raise SoundError(
            f"{path} is compressed or of an unusual kind (format {code}, {bits} bits)."
            " Save it as WAV with 16-bit PCM."
        )
    if channels not in (1, 2):
        raise SoundError(f"{path} has {channels} channels. Save it with one or two.")
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise SoundError(
            f"{path} has {rate} samples a second. Save it with {LOWEST_RATE} to {HIGHEST_RATE}."
        )
    return _Format(code, channels, rate, bits)


def _sound(path: Path, file: BinaryIO, form: _Format, length: int, left: int) -> bytes:
    if length in (0, TO_THE_END):
        length = left
    if length > left:
        raise SoundError(
            f"{path} promises {length} bytes of sound and holds {left}: it was cut off."
            " Record or copy it again."
        )
    frames = length // form.frame_bytes
    seconds = frames / form.rate
    if seconds < SHORTEST_S:
        raise SoundError(
            f"{path} holds {frames} sample{'s' * (frames != 1)}, too little to hear a word in."
            " Record it again."
        )
    if seconds > LONGEST_S:
        raise SoundError(
            f"{path} lasts {seconds:.0f} seconds; a request may last {LONGEST_S:.0f}."
            " Cut out the part with the request."
        )
    return file.read(frames * form.frame_bytes)


def _one_channel(path: Path, form: _Format, data: bytes) -> "tuple[array.array[int], Level]":
    """The mean of the channels, and its level; clipped when one of the channels is."""
    if form.code == FLOAT:
        return _from_floats(path, form, data)
    samples = _wholes(form, data)
    if form.channels == 1:
        return samples, level_of(bytes_of(samples))
    loud = max(max(samples), -min(samples)) >= AT_THE_RAIL
    clipped = loud and level_of(bytes_of(samples)).clipped
    pairs = zip(samples[0::2], samples[1::2], strict=True)
    mixed = array.array("h", [(left + right) >> 1 for left, right in pairs])
    return mixed, replace(level_of(bytes_of(mixed)), clipped=clipped)


def _wholes(form: _Format, data: bytes) -> "array.array[int]":
    """The upper 16 bits of each sample."""
    if form.bits == 16:
        return samples_of(data)
    step = form.bits // 8
    upper = bytearray(len(data) // step * 2)
    if form.bits == 8:  # unsigned
        upper[1::2] = data.translate(bytes(value ^ 0x80 for value in range(256)))
    else:
        upper[0::2] = data[step - 2 :: step]
        upper[1::2] = data[step - 1 :: step]
    return samples_of(bytes(upper))


def _from_floats(path: Path, form: _Format, data: bytes) -> "tuple[array.array[int], Level]":
    values = array.array("f" if form.bits == 32 else "d")
    values.frombytes(data)
    if sys.byteorder == "big":
        values.byteswap()
    if not math.isfinite(sum(values)):
        raise SoundError(f"{path} holds samples that are no numbers. Record it again.")
    rails = 0
    if max(max(values), -min(values)) * 32767 >= AT_THE_RAIL:
        values = array.array("f", [min(max(value, -1.0), 1.0) for value in values])
        rails = sum(abs(value) * 32767 >= AT_THE_RAIL for value in values)
    if form.channels == 1:
        samples = array.array("h", [int(value * 32767) for value in values])
    else:
        pairs = zip(values[0::2], values[1::2], strict=True)
        samples = array.array("h", [int((left + right) * 16383.5) for left, right in pairs])
    clipped = is_clipped(rails, len(values))
    return samples, replace(level_of(bytes_of(samples)), clipped=clipped)
