"""A voice and a loudspeaker that behave as told, to see what the mouth makes of them."""

import array
import threading
import time
from collections.abc import Callable
from pathlib import Path

from handsfree.errors import VoiceError
from handsfree.values import Samples
from handsfree.voice.voice import Voice, VoiceSettings

RATE = 22050


class LoudStream:
    """Asks for samples some ten times as fast as a device; a `dead` one never asks again."""

    def __init__(self, system: "LoudSystem", give: Callable[[int], bytes]) -> None:
        self._system = system
        self._give = give
        self._running = threading.Event()

    def start(self) -> None:
        self._running = threading.Event()
        self._running.set()
        threading.Thread(target=self._run, args=(self._running,), daemon=True).start()

    def _run(self, running: threading.Event) -> None:
        while running.is_set() and not self._system.dead.is_set():
            data = self._give(110)
            if running.is_set():
                self._system.heard += data
            time.sleep(0.0005)

    def stop(self) -> None:
        self._running.clear()

    def close(self) -> None:
        self.stop()


class LoudSystem:
    """Opens loudspeakers, raises `fault` instead while there is one, or hangs while told to."""

    def __init__(self) -> None:
        self.heard = bytearray()
        self.names: list[str | None] = []
        self.fault: Exception | None = None
        self.dead = threading.Event()
        self.goes_on = threading.Event()
        self.goes_on.set()

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> LoudStream:
        self.goes_on.wait()
        if self.fault is not None:
            raise self.fault
        self.names.append(name)
        return LoudStream(self, give)

    def values(self) -> list[int]:
        """The samples that are no silence, each run of equal ones once."""
        found: list[int] = []
        for value in array.array("h", bytes(self.heard)):
            if value and (not found or found[-1] != value):
                found.append(value)
        return found


class MadeVoice(Voice):
    """Says `LENGTH` seconds of the number that a sentence is; fails or hangs when told to."""

    length_s = 0.05

    def __init__(self, folder: Path | None = None, settings: VoiceSettings | None = None) -> None:
        super().__init__(settings or VoiceSettings(loudness=1.0), folder)
        self.asked: list[str] = []
        self.rates: list[int] = []
        self.broken = False
        self.goes_on = threading.Event()
        self.goes_on.set()

    def _speak(self, request: dict[str, str | int]) -> Samples:
        text = str(request["text"])
        self.asked.append(text)
        self.rates.append(int(request["rate"]))
        self.goes_on.wait()
        if self.broken:
            self.fault = "The voice cannot speak: it is broken."
            raise VoiceError(self.fault)
        self.fault = ""
        value = int(text) if text.isdigit() else 1
        seconds = self.length_s
        return Samples(array.array("h", [value] * int(seconds * RATE)).tobytes(), RATE)

    def _speak_pieces(self, request: dict[str, str | int]) -> Samples:
        text = str(request["text"])
        return self._speak(request) if any(c.isalnum() for c in text) else Samples(b"", RATE)


def until(true: Callable[[], bool], seconds: float = 10.0) -> None:
    """Wait for what another thread does; the test fails when it does not."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.002)
