"""The voice's own process: a line with one sentence in, its samples out, over two pipes.

It runs apart so that an exit, a crash or a hang of the speech library costs a restart and not the
session, and so that the library stays out of our own process. Nothing of ours is imported here.

Each request is a line of JSON (`text`, `rate`, `pitch`, `voice`). Each reply is a line of JSON
and, after `{"rate": 22050, "size": N}`, N bytes of 16-bit little-endian samples; `{"fault": ...}`
says what went wrong. The first reply, `{"engine": ...}`, comes before any request.

The voice is the one in the `espeak-english` wheel, never one of the system. Its library looks for
its data in a buffer of 160 bytes and ends the process when the path is longer, so a long path is
reached through a short link.
"""

import contextlib
import ctypes
import json
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO, Protocol

import espeak_english

LONGEST_DATA_PATH = 120
FINISHED_WITHIN_S = 4.0
SETTLING_S = 0.001
SYNCHRONOUS, PIECE_MS, DO_NOT_EXIT = 2, 60, 0x8000
RATE_PARAMETER, PITCH_PARAMETER = 1, 3
CHARACTERS_UTF8, END_PAUSE = 1, 0x1000


class Engine(Protocol):
    """What turns a sentence into samples."""

    name: str

    def render(self, text: str, rate: int, pitch: int, voice: str) -> tuple[int, bytes]:
        """Sample rate and 16-bit samples of one sentence, at `rate` words a minute."""


class DriverEngine:
    """The wheel's voice through pyttsx3's driver, which finds the library that we loaded first."""

    name = "pyttsx3"

    def __init__(self, data: Path, folder: Path) -> None:
        os.environ["ESPEAK_DATA_PATH"] = str(data)
        ctypes.CDLL(str(espeak_english.library_path()))
        import pyttsx3  # only now: its driver looks for the library by name when imported
        from pyttsx3.drivers import _espeak

        self._speaks: Callable[[], int] = _espeak.IsPlaying
        self._engine = pyttsx3.init("espeak")
        self._folder = folder
        self._sentences = 0
        self._now: dict[str, int | str] = {}
        self._faults: list[Exception] = []
        self._engine.connect("error", lambda name, exception: self._faults.append(exception))
        self._finished = threading.Event()
        self._engine.connect("finished-utterance", lambda name, completed: self._finished.set())
        self._engine.runAndWait()  # nothing to say yet: from now on properties are set at once

    def render(self, text: str, rate: int, pitch: int, voice: str) -> tuple[int, bytes]:
        """One file a run: the driver keeps only the last of several, and forgets no file name.

        The library speaks in a thread of its own. A sentence sent while that thread still takes in
        a new rate is spoken at another rate, or not at all; and `runAndWait` returns before the
        file is whole. So each step waits until that thread has nothing to do. A new name for each
        file makes a slip a missing file, never the wrong sentence.
        """
        self._set({"voice": voice, "rate": rate, "pitch": pitch})
        self._sentences += 1
        file = self._folder / f"sentence{self._sentences}.wav"
        self._finished.clear()
        self._engine.save_to_file(text, str(file))
        self._engine.runAndWait()
        if not self._finished.wait(FINISHED_WITHIN_S):
            raise RuntimeError(f"the sentence was not finished in {FINISHED_WITHIN_S:g} seconds")
        self._settle()
        try:
            with wave.open(str(file), "rb") as sound:
                return sound.getframerate(), sound.readframes(sound.getnframes())
        finally:
            file.unlink(missing_ok=True)

    def _set(self, wanted: dict[str, int | str]) -> None:
        """Pass on what has changed; a fault is reported by an event, and would go unheard."""
        for name, value in wanted.items():
            if self._now.get(name) != value:
                self._now.pop(name, None)
                self._engine.setProperty(name, value)
                self._settle()
                if self._faults:
                    raise self._faults.pop()
                self._now[name] = value

    def _settle(self) -> None:
        """Until the library's thread is idle: it says so itself, unlike the driver."""
        ends = time.monotonic() + FINISHED_WITHIN_S
        while self._engine.isBusy() or self._speaks():
            if time.monotonic() > ends:
                raise RuntimeError(f"the voice was not idle in {FINISHED_WITHIN_S:g} seconds")
            time.sleep(SETTLING_S)


class LibraryEngine:
    """The same voice without a driver, where pyttsx3 is not installed or does not start."""

    name = "espeak library"

    def __init__(self, data: Path, folder: Path) -> None:
        self._library = ctypes.CDLL(str(espeak_english.library_path()))
        callback = ctypes.CFUNCTYPE(
            ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
        )
        self._rate = self._library.espeak_Initialize(
            SYNCHRONOUS, PIECE_MS, os.fsencode(data), DO_NOT_EXIT
        )
        if self._rate <= 0:
            raise RuntimeError(f"no voice data in {data}")
        self._pieces: list[bytes] = []
        self._callback = callback(self._collect)  # kept: the library holds only its address
        self._library.espeak_SetSynthCallback(self._callback)

    def _collect(self, wav: Any, count: int, events: int) -> int:
        if wav and count > 0:
            self._pieces.append(ctypes.string_at(wav, 2 * count))
        return 0

    def render(self, text: str, rate: int, pitch: int, voice: str) -> tuple[int, bytes]:
        """All pieces of one sentence, joined."""
        if self._library.espeak_SetVoiceByName(voice.encode()):
            raise ValueError(f"no voice named {voice!r}")
        self._library.espeak_SetParameter(RATE_PARAMETER, rate, 0)
        self._library.espeak_SetParameter(PITCH_PARAMETER, pitch, 0)
        spoken = text.encode() + b"\0"
        self._pieces.clear()
        self._library.espeak_Synth(
            spoken, ctypes.c_size_t(len(spoken)), 0, 1, 0, CHARACTERS_UTF8 | END_PAUSE, None, None
        )
        return self._rate, b"".join(self._pieces)


def short_data_path(folder: Path, data: Path) -> Path:
    """The voice's data under a path that its library can hold, through a link where need be."""
    if len(os.fsencode(data)) <= LONGEST_DATA_PATH:
        return data
    for base in (folder, Path(tempfile.gettempdir()), Path("/tmp")):
        if len(os.fsencode(base)) > LONGEST_DATA_PATH - 40 or not os.access(base, os.W_OK):
            continue
        link = (base if base == folder else Path(tempfile.mkdtemp(dir=base))) / "espeak-ng-data"
        try:
            link.symlink_to(data, target_is_directory=True)
        except OSError:  # Windows grants links to few users; the data is 1 MB
            shutil.copytree(data, link)
        return link
    raise RuntimeError(f"the path to the voice's data is too long: {data}")


def start_engine(folder: Path, wanted: str) -> Engine:
    """The first engine that starts; pyttsx3's driver finds a loaded library on Linux only."""
    data = short_data_path(folder, Path(espeak_english.data_path()))
    kinds: list[Callable[[Path, Path], Engine]] = [DriverEngine, LibraryEngine]
    if wanted == "library" or not sys.platform.startswith("linux"):
        kinds = [LibraryEngine]
    faults = []
    for kind in kinds:
        try:
            return kind(data, folder)
        except Exception as fault:  # whatever a driver raises, the next engine may still speak
            faults.append(f"{kind.__name__}: {fault}")
    raise RuntimeError("; ".join(faults))


def answer(engine: Engine, line: bytes, out: BinaryIO) -> None:
    """Render the sentence of one request line and write its reply."""
    request = json.loads(line)
    try:
        rate, data = engine.render(
            request["text"], request["rate"], request["pitch"], request["voice"]
        )
    except Exception as fault:  # told to our own process, which decides what to do
        out.write(json.dumps({"fault": f"{type(fault).__name__}: {fault}"}).encode() + b"\n")
    else:
        out.write(json.dumps({"rate": rate, "size": len(data)}).encode() + b"\n" + data)
    out.flush()


def main(folder: Path, wanted: str) -> int:
    """Serve requests until the pipe closes; 1 when no engine starts."""
    out = os.fdopen(os.dup(1), "wb")
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # it ends with its pipe, not by a key
    os.dup2(2, 1)  # the driver prints on standard output, which is our pipe
    with contextlib.suppress(BrokenPipeError):
        try:
            engine = start_engine(folder, wanted)
        except Exception as fault:  # the reason must reach our own process in words
            out.write(json.dumps({"fault": str(fault)}).encode() + b"\n")
            out.flush()
            return 1
        out.write(json.dumps({"engine": engine.name}).encode() + b"\n")
        out.flush()
        for line in sys.stdin.buffer:
            answer(engine, line, out)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else ""))
