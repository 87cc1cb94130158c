"""A WAV file of any usual kind is heard the same; anything else gets a clear reason."""

import array
import math
import os
import struct
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.audio.level import FLOOR_DB, level_of
from handsfree.audio.sound_file import read_wav
from handsfree.errors import SoundError

FLOAT_KINDS = {(3, 32): "f", (3, 64): "d"}


def wav(
    values: list[float],
    *,
    rate: int = 16000,
    channels: int = 1,
    code: int = 1,
    bits: int = 16,
    extensible: bool = False,
    extra: bytes = b"",
    size: int | None = None,
) -> bytes:
    """A WAV file by the book; values from -1 to 1, channels interleaved."""
    if code == 3:
        data = array.array(FLOAT_KINDS[3, bits], values).tobytes()
    elif bits == 8:
        data = bytes(round(value * 127) + 128 for value in values)
    else:
        top = 2 ** (bits - 1) - 1
        data = b"".join(
            round(value * top).to_bytes(bits // 8, "little", signed=True) for value in values
        )
    frame = channels * bits // 8
    tag = 0xFFFE if extensible else code
    form = struct.pack("<HHIIHH", tag, channels, rate, rate * frame, frame, bits)
    if extensible:
        form += struct.pack("<HHIH", 22, bits, 3, code) + bytes.fromhex(
            "000000001000800000aa00389b71"
        )
    length = len(data) if size is None else size
    body = b"WAVEfmt " + struct.pack("<I", len(form)) + form + extra
    body += b"data" + struct.pack("<I", length) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


def tone(rate: int, seconds: float = 0.5, channels: int = 1, size: float = 0.5) -> list[float]:
    turn = 2 * math.pi * 440 / rate
    return [size * math.sin(turn * n) for n in range(int(rate * seconds)) for _ in range(channels)]


@pytest.mark.parametrize("rate", [8000, 11025, 16000, 22050, 44100, 48000])
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize(("code", "bits"), [(1, 8), (1, 16), (1, 24), (1, 32), (3, 32), (3, 64)])
def test_every_kind_of_file_gives_the_same_sound(
    tmp_path: Path, rate: int, channels: int, code: int, bits: int
) -> None:
    path = tmp_path / "request.wav"
    path.write_bytes(
        wav(tone(rate, channels=channels), rate=rate, channels=channels, code=code, bits=bits)
    )
    recording = read_wav(path)
    assert recording.samples.rate == 16000
    assert recording.samples.seconds == pytest.approx(0.5, abs=0.001)
    heard = array.array("h", recording.samples.data)
    expected = tone(16000)
    rough = 420 if bits == 8 else 40
    assert all(
        abs(value - 32767 * expected[n]) < rough
        for n, value in enumerate(heard)
        if 300 < n < len(heard) - 300
    )
    assert recording.level.level_db == pytest.approx(-9.03, abs=0.1)
    assert recording.level.peak_db == pytest.approx(-6.02, abs=0.2)
    assert not recording.level.clipped
    assert recording.level.advice == ""


def test_the_extensible_form_and_other_chunks_are_read(tmp_path: Path) -> None:
    plain, wide = tmp_path / "plain.wav", tmp_path / "wide.wav"
    plain.write_bytes(wav(tone(16000)))
    note = b"LIST" + struct.pack("<I", 5) + b"shop\0" + b"\0"
    wide.write_bytes(wav(tone(16000), extensible=True, extra=note))
    assert read_wav(wide) == read_wav(plain)
    wide.write_bytes(wav(tone(16000), code=3, bits=32, extensible=True))
    assert read_wav(wide).level.level_db == pytest.approx(read_wav(plain).level.level_db, abs=0.01)


def test_the_two_channels_are_averaged(tmp_path: Path) -> None:
    path = tmp_path / "request.wav"
    path.write_bytes(wav([0.5, 0.25] * 8000, channels=2))
    heard = array.array("h", read_wav(path).samples.data)
    assert set(heard) == {12288}


def test_a_size_left_open_by_a_recorder_means_to_the_end(tmp_path: Path) -> None:
    path = tmp_path / "request.wav"
    for size in (0, 0xFFFFFFFF):
        path.write_bytes(wav(tone(16000), size=size))
        assert read_wav(path).samples.seconds == 0.5


BAD: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is empty"),
    "one sample": (wav([0.1]), "holds 1 sample, too little"),
    "no sample": (wav([]), "holds 0 samples"),
    "not a WAV": (b"three quarter plate" * 100, "not a WAV"),
    "only a head": (wav(tone(16000))[:12], "no sound in it"),
    "cut in the format": (wav(tone(16000))[:30], "cut off in its first bytes"),
    "cut in the sound": (wav(tone(16000))[:-3000], "promises 16000 bytes of sound and holds 13000"),
    "2 GB promised": (wav(tone(16000), size=2**31), "promises 2147483648 bytes"),
    "five minutes": (wav([0.0] * (300 * 8000), rate=8000, bits=8), "lasts 300 seconds"),
    "too slow": (wav(tone(4000), rate=4000), "4000 samples a second"),
    "too fast": (wav(tone(96000), rate=96000), "96000 samples a second"),
    "no rate": (wav(tone(16000), rate=0), "0 samples a second"),
    "six channels": (wav([0.0] * 48000, channels=6), "6 channels"),
    "no channel": (wav(tone(16000), channels=0), "0 channels"),
    "compressed": (wav(tone(16000), code=2, bits=16), "compressed"),
    "no numbers": (wav([math.nan] * 8000, code=3, bits=32), "no numbers"),
    "no end": (wav([math.inf] * 8000, code=3, bits=32), "no numbers"),
    "sound before format": (
        b"RIFF\x14\0\0\0WAVEdata\x04\0\0\0\0\0\0\0",
        "before its format",
    ),
    "a chunk past the end": (
        b"RIFF\x14\0\0\0WAVELIST\xff\xff\xff\x7f\0\0\0\0",
        "no sound in it",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_refused_with_the_reason_and_what_to_do(tmp_path: Path, name: str) -> None:
    data, reason = BAD[name]
    path = tmp_path / "request.wav"
    path.write_bytes(data)
    with pytest.raises(SoundError) as fault:
        read_wav(path)
    assert reason in str(fault.value)
    assert str(path) in str(fault.value)
    assert any(word in str(fault.value) for word in ("again", "Save", "Cut out"))


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="is a folder"):
        read_wav(tmp_path)
    with pytest.raises(SoundError, match="No such file"):
        read_wav(tmp_path / "none.wav")
    with pytest.raises(SoundError, match="Check its name"):
        read_wav(Path("nul\0.wav"))
    with pytest.raises(SoundError, match="Check its name"):
        read_wav(Path("x" * 5000))
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    with pytest.raises(SoundError, match="not a file"):
        read_wav(pipe)


@pytest.mark.parametrize(
    ("make", "advice"),
    [
        (lambda: [0.0] * 8000, "No sound at all"),
        (lambda: tone(16000, size=0.002), "Too quiet"),
        (lambda: [min(max(3 * value, -1), 1) for value in tone(16000)], "clipped"),
    ],
)
def test_silence_quiet_and_clipping_are_values_not_faults(
    tmp_path: Path, make: Callable[[], list[float]], advice: str
) -> None:
    path = tmp_path / "request.wav"
    for code, bits in ((1, 16), (3, 32)):
        path.write_bytes(wav(make(), code=code, bits=bits))
        assert advice in read_wav(path).level.advice


def test_floats_past_full_scale_count_as_clipped(tmp_path: Path) -> None:
    path = tmp_path / "request.wav"
    path.write_bytes(wav(tone(16000, size=1.7), code=3, bits=32))
    assert read_wav(path).level.clipped


def test_a_single_click_at_full_scale_is_not_clipping() -> None:
    samples = array.array("h", [100] * 16000)
    samples[5] = 32767
    assert not level_of(samples.tobytes()).clipped
    assert level_of(b"").level_db == FLOOR_DB
