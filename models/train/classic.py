"""The classic voices: flite (recorded units), espeak-ng (formants) and RHVoice, through ctypes.

``folder`` may hold the libraries (``lib/``) and the data (``espeak-ng-data/``); whatever is not
there is taken from the system's packages ``flite`` and ``espeak-ng``. RHVoice (statistical voices)
speaks where ``folder`` holds ``lib/libRHVoice.so`` and, in ``rhvoice/``, the folders ``languages``
and ``voices``. Held out of training: flite's voice ``slt`` (RHVoice has one of the same speaker,
held out too), espeak-ng's variants in :data:`HELD_OUT_VARIANTS` and the accent ``en-gb-x-gbclan``.
"""

from __future__ import annotations

import ctypes as c
from pathlib import Path
from random import Random

import numpy as np

from models.train.features import SAMPLE_RATE

TRAINED_FLITE = ("kal16", "awb", "rms")
HELD_OUT_FLITE = ("slt",)
TRAINED_RHVOICE = ("Clb",)
ASIDE_RHVOICE = ("Bdl",)  # never trained on: an unknown voice for development
ACCENTS = ("en-us", "en-us", "en", "en-gb-scotland", "en-gb-x-rp", "en-029", "en-us-nyc")
HELD_OUT_ACCENTS = ("en-gb-x-gbclan",)
VARIANTS = (
    "", "m1", "m2", "m4", "m5", "m6", "m8", "f1", "f2", "f3", "f5", "Alex", "Andy", "Annie",
    "Denis",
    "Gene", "Lee", "Michael", "rob", "steph", "adam", "benjamin", "linda", "belinda",
)  # fmt: skip
HELD_OUT_VARIANTS = ("m3", "m7", "f4", "Jacky", "quincy")
MADE_VARIANTS = 160
_SYSTEM = Path("/usr/lib/x86_64-linux-gnu")


def _library(folder: Path, name: str) -> c.CDLL:
    for place in (folder / "lib", _SYSTEM):
        if (place / name).exists():
            return c.CDLL(str(place / name), mode=c.RTLD_GLOBAL)
    return c.CDLL(name, mode=c.RTLD_GLOBAL)


class _Wave(c.Structure):
    _fields_ = [
        ("type", c.c_char_p),
        ("rate", c.c_int),
        ("samples", c.c_int),
        ("channels", c.c_int),
        ("data", c.POINTER(c.c_short)),
    ]


class _FliteVoice(c.Structure):
    _fields_ = [("name", c.c_char_p), ("features", c.c_void_p)]


class Flite:
    """Says a text with one of flite's voices, as float samples at 16 kHz."""

    def __init__(self, folder: Path, voices: tuple[str, ...] = TRAINED_FLITE) -> None:
        _library(folder, "libasound.so.2")
        self.flite = _library(folder, "libflite.so.1")
        _library(folder, "libflite_cmulex.so.1")
        _library(folder, "libflite_usenglish.so.1")
        self.flite.flite_init()
        self.flite.flite_text_to_wave.restype = c.POINTER(_Wave)
        self.flite.flite_text_to_wave.argtypes = [c.c_char_p, c.c_void_p]
        self.flite.feat_set_float.argtypes = [c.c_void_p, c.c_char_p, c.c_float]
        self.flite.delete_wave.argtypes = [c.POINTER(_Wave)]
        self.voices = {}
        for name in voices:
            register = getattr(
                _library(folder, f"libflite_cmu_us_{name}.so.1"), f"register_cmu_us_{name}"
            )
            register.restype = c.POINTER(_FliteVoice)
            self.voices[name] = register(None)

    def say(
        self, text: str, voice: str, stretch: float, pitch: float | None, spread: float
    ) -> np.ndarray:
        """Samples; ``pitch`` and ``spread`` in hertz, None for the voice's own."""
        told = self.voices[voice]
        features = told.contents.features
        self.flite.feat_set_float(features, b"duration_stretch", stretch)
        own = {"kal16": 95.0, "awb": 115.0, "rms": 95.0, "slt": 170.0}[voice]
        self.flite.feat_set_float(features, b"int_f0_target_mean", pitch or own)
        self.flite.feat_set_float(features, b"int_f0_target_stddev", spread)
        wave = self.flite.flite_text_to_wave(text.encode(), told)
        samples = np.ctypeslib.as_array(wave.contents.data, (wave.contents.samples,)).copy()
        rate = wave.contents.rate
        self.flite.delete_wave(wave)
        return resampled(samples.astype(np.float32), rate)


class Espeak:
    """Says a text with espeak-ng, as float samples at 16 kHz; one a process."""

    def __init__(self, folder: Path) -> None:
        name = "libespeak-ng.so"
        self.espeak = _library(folder, name if (folder / "lib" / name).exists() else name + ".1")
        data = folder if (folder / "espeak-ng-data").exists() else _SYSTEM
        self.kind = c.CFUNCTYPE(c.c_int, c.POINTER(c.c_short), c.c_int, c.c_void_p)
        self.rate = self.espeak.espeak_Initialize(2, 0, str(data).encode(), 0x8000)
        if self.rate <= 0:
            raise RuntimeError(f"espeak-ng finds no data in {data}: install the package espeak-ng")
        self.pieces: list[np.ndarray] = []
        self.callback = self.kind(self._heard)
        self.espeak.espeak_SetSynthCallback(self.callback)

    def _heard(self, wave: object, count: int, events: object) -> int:
        if wave and count:
            self.pieces.append(np.ctypeslib.as_array(wave, (count,)).copy())  # type: ignore[call-overload]
        return 0

    def say(
        self, text: str, voice: str, rate: int, pitch: int, gap: int, lively: int = 50
    ) -> np.ndarray:
        """Samples; ``rate`` in words a minute, ``gap`` between words in 10 ms.

        ``pitch`` and ``lively`` (how far the pitch moves) are 0..99.
        """
        if self.espeak.espeak_SetVoiceByName(voice.encode()):
            raise ValueError(f"espeak-ng has no voice {voice}")
        for parameter, value in ((1, rate), (3, pitch), (4, lively), (7, gap)):
            self.espeak.espeak_SetParameter(parameter, value, 0)
        self.pieces = []
        said = text.encode() + b"\0"
        self.espeak.espeak_Synth(said, c.c_size_t(len(said)), 0, 1, 0, 1, None, None)
        whole = np.concatenate(self.pieces) if self.pieces else np.zeros(1, np.int16)
        return resampled(whole.astype(np.float32), self.rate)


class _Callbacks(c.Structure):
    _fields_ = [
        ("rate", c.CFUNCTYPE(c.c_int, c.c_int, c.c_void_p)),
        ("play", c.CFUNCTYPE(c.c_int, c.POINTER(c.c_short), c.c_uint, c.c_void_p)),
        *((name, c.c_void_p) for name in ("mark", "word", "word_end", "sentence", "sentence_end")),
        *((name, c.c_void_p) for name in ("audio", "done")),
    ]


class _Start(c.Structure):
    _fields_ = [
        ("data", c.c_char_p),
        ("config", c.c_char_p),
        ("places", c.c_void_p),
        ("callbacks", _Callbacks),
        ("options", c.c_uint),
    ]


class _Manner(c.Structure):
    _fields_ = [
        ("voice", c.c_char_p),
        *((f"absolute_{name}", c.c_double) for name in ("rate", "pitch", "volume")),
        *((f"relative_{name}", c.c_double) for name in ("rate", "pitch", "volume")),
        ("punctuation", c.c_int),
        ("listed", c.c_char_p),
        ("capitals", c.c_int),
        ("flags", c.c_int),
    ]


class Rhvoice:
    """Says a text with one of RHVoice's voices, as float samples at 16 kHz; one a process."""

    def __init__(self, folder: Path) -> None:
        self.rhvoice = c.CDLL(str(folder / "lib/libRHVoice.so"))
        self.pieces: list[np.ndarray] = []
        self.rate = 24000
        kinds = dict(_Callbacks._fields_)
        self.callbacks = _Callbacks(kinds["rate"](self._told_rate), kinds["play"](self._heard))
        data = str(folder / "rhvoice").encode()
        self.rhvoice.RHVoice_new_tts_engine.restype = c.c_void_p
        self.rhvoice.RHVoice_new_message.restype = c.c_void_p
        self.rhvoice.RHVoice_new_message.argtypes = [
            c.c_void_p, c.c_char_p, c.c_uint, c.c_int, c.POINTER(_Manner), c.c_void_p,
        ]  # fmt: skip
        for name in ("RHVoice_speak", "RHVoice_delete_message"):
            getattr(self.rhvoice, name).argtypes = [c.c_void_p]
        start = _Start(data, data, None, self.callbacks, 0)
        self.engine = self.rhvoice.RHVoice_new_tts_engine(c.byref(start))
        if not self.engine:
            raise RuntimeError(f"RHVoice finds no voices in {folder / 'rhvoice'}")

    def _told_rate(self, rate: int, told: object) -> int:
        self.rate = rate
        return 1

    def _heard(self, samples: object, count: int, told: object) -> int:
        self.pieces.append(np.ctypeslib.as_array(samples, (count,)).copy())  # type: ignore[call-overload]
        return 1

    def say(self, text: str, voice: str, rate: float, pitch: float) -> np.ndarray:
        """Samples; ``rate`` and ``pitch`` are factors on the voice's own."""
        manner = _Manner(voice.encode(), 0, 0, 0, rate, pitch, 1, 0, None, 0, 0)
        self.pieces = []
        said = text.encode()
        message = self.rhvoice.RHVoice_new_message(
            self.engine, said, len(said), 0, c.byref(manner), None
        )
        self.rhvoice.RHVoice_speak(message)
        self.rhvoice.RHVoice_delete_message(message)
        whole = np.concatenate(self.pieces) if self.pieces else np.zeros(1, np.int16)
        return resampled(whole.astype(np.float32), self.rate)


def make_variants(folder: Path) -> list[str]:
    """Write espeak-ng voice variants of our own; the same ones each time."""
    place = folder / "espeak-ng-data/voices/!v"
    random = Random(7)
    names = []
    for number in range(MADE_VARIANTS):
        size = random.uniform(0.86, 1.24)
        low = random.uniform(62, 230) if size < 1.05 else random.uniform(120, 280)
        lines = [
            "language variant",
            f"name r{number}",
            f"pitch {low:.0f} {low * random.uniform(1.1, 1.7):.0f}",
            f"flutter {random.randint(0, 10)}",
            f"roughness {random.randint(0, 5)}",
            f"voicing {random.randint(60, 120)}",
            f"consonants {random.randint(70, 130)} {random.randint(70, 130)}",
        ]
        lines += [
            f"formant {k} {100 * size * random.uniform(0.95, 1.05):.0f} "
            f"{random.randint(75, 125)} {random.randint(80, 160)}"
            for k in range(9)
        ]
        if random.random() < 0.4:
            lines.append("breath " + " ".join(str(random.randint(0, 60)) for _ in range(6)))
        if random.random() < 0.5:
            heights = [random.randint(60, 255) for _ in range(5)]
            pairs = zip((100, 600, 1200, 2500, 5000), heights, strict=True)
            lines.append("tone " + " ".join(f"{hertz} {height}" for hertz, height in pairs))
        (place / f"r{number}").write_text("\n".join(lines) + "\n")
        names.append(f"r{number}")
    return names


def resampled(samples: np.ndarray, rate: int) -> np.ndarray:
    """The same sound at 16 kHz, by its spectrum."""
    if rate == SAMPLE_RATE:
        return samples
    count = int(len(samples) * SAMPLE_RATE / rate)
    spectrum = np.fft.rfft(samples)
    kept = np.zeros(count // 2 + 1, complex)
    shared = min(len(kept), len(spectrum))
    kept[:shared] = spectrum[:shared]
    return np.asarray(np.fft.irfft(kept, count) * count / len(samples), np.float32)
