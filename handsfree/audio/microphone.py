"""The microphone becomes frames of 20 ms at 16 kHz, and says when it is lost and back.

The sound library does not say when a device goes away: its callbacks stop. So silence of the
callbacks for `STALLED_S` counts as a lost microphone; it is opened again, with growing waits, for
as long as it takes. Whoever reads frames reads none meanwhile, and goes on when it is back.
"""

import collections
import contextlib
import queue
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, Protocol, TypeAlias

from handsfree.audio.level import Level, level_of
from handsfree.errors import SoundError

RATE: Final = 16000
FRAME_MS: Final = 20
FRAME_BYTES: Final = 2 * RATE * FRAME_MS // 1000
STALLED_S: Final = 0.6
FIRST_SOUND_S: Final = 3.0  # a wireless headset takes a while to begin
FIRST_WAIT_S, LONGEST_WAIT_S = 0.25, 5.0
MOST_WAITING: Final = 500  # frames, ten seconds: what is older is no longer worth an answer
METERED: Final = 50  # frames, one second
STOPPED: Final = "It stopped giving sound. Check its plug, battery and switch."


@dataclass(frozen=True, slots=True)
class Listening:
    """The microphone works, for the first time or again."""

    name: str


@dataclass(frozen=True, slots=True)
class Lost:
    """The microphone gives nothing; it is being tried again."""

    name: str
    reason: str


MicrophoneState: TypeAlias = Listening | Lost


class Stream(Protocol):
    """An open microphone."""

    def start(self) -> None:
        """Begin to hand over samples."""

    def stop(self) -> None:
        """Hand over no more."""

    def close(self) -> None:
        """Give the device back."""


class Capture(Protocol):
    """What can open a microphone."""

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream:
        """Open one that hands 16-bit samples of one channel to `take`, from its own thread."""


class Microphone:
    """One microphone, kept open through losses until `close`.

    Args:
        system: opens microphones.
        name: which one; None for the default, which follows the choice in the sound system.
        on_state: called with each change, from the watching thread; it must not block.
        clock: seconds that only go forward.
    """

    def __init__(
        self,
        system: Capture,
        name: str | None = None,
        on_state: Callable[[MicrophoneState], None] = lambda state: None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._system = system
        self._name = name
        self._on_state = on_state
        self._clock = clock
        self._frames: queue.Queue[bytes] = queue.Queue(MOST_WAITING)
        self._metered: collections.deque[bytes] = collections.deque(maxlen=METERED)
        self._rest = bytearray()
        self._stream: Stream | None = None
        self._expected_by = 0.0
        self._gives_sound = False  # an open device may still give none
        self._told: MicrophoneState | None = None
        self._closed = threading.Event()
        self._watcher: threading.Thread | None = None

    @property
    def called(self) -> str:
        """The microphone's name as the user is told it."""
        return self._name or "the default microphone"

    @property
    def level(self) -> Level:
        """The level of the last second; silence before the first frame."""
        return level_of(b"".join(self._metered))

    def open(self) -> None:
        """Start listening.

        Raises:
            NoDeviceError: there is no microphone, or none of that name.
            SoundError: it does not open. After either, `open` may be called again.
        """
        if not self._watcher:
            self._start_stream()
            self._start_watching()

    def open_when_there(self) -> None:
        """Start listening now or as soon as there is a microphone; `on_state` tells which."""
        if not self._watcher:
            try:
                self._start_stream()
            except SoundError as fault:
                self._tell(Lost(self.called, str(fault)))
            self._start_watching()

    def read(self, timeout_s: float) -> bytes | None:
        """The next frame, 640 bytes of 16-bit samples; None when none came in time."""
        try:
            return self._frames.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def frames(self) -> Iterator[bytes]:
        """Frames until the microphone is closed; none while it is lost."""
        return (frame for frame in self.stream() if frame is not None)

    def stream(self) -> Iterator[bytes | None]:
        """Frames until the microphone is closed; None five times a second while it is lost."""
        while not self._closed.is_set():
            yield self.read(FRAME_MS / 100)

    def forget(self) -> None:
        """Drop what has been heard and not been read: the helper's own voice, for one."""
        with contextlib.suppress(queue.Empty):
            while True:
                self._frames.get_nowait()

    def close(self) -> None:
        """Give the microphone back."""
        self._closed.set()
        if self._watcher and self._watcher is not threading.current_thread():
            self._watcher.join()
        self._watcher = None
        self._told = None
        self._close_stream()

    def __enter__(self) -> "Microphone":
        self.open()
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _take(self, data: bytes) -> None:
        """Cut what the device hands over into frames; called from its thread."""
        self._expected_by = self._clock() + STALLED_S
        self._gives_sound = True
        self._rest += data
        while len(self._rest) >= FRAME_BYTES:
            frame = bytes(self._rest[:FRAME_BYTES])
            del self._rest[:FRAME_BYTES]
            self._metered.append(frame)
            while True:
                try:
                    self._frames.put_nowait(frame)
                    break
                except queue.Full:
                    with contextlib.suppress(queue.Empty):
                        self._frames.get_nowait()

    def _start_stream(self) -> None:
        self._rest.clear()
        self._gives_sound = False
        stream = self._system.capture(self._name, RATE, self._take)
        self._expected_by = self._clock() + FIRST_SOUND_S
        try:
            stream.start()
        except SoundError:
            stream.close()
            raise
        self._stream = stream

    def _close_stream(self) -> None:
        if self._stream:
            with contextlib.suppress(SoundError):
                self._stream.close()
            self._stream = None

    def _start_watching(self) -> None:
        self._closed.clear()
        self._watcher = threading.Thread(target=self._watch, name="microphone", daemon=True)
        self._watcher.start()

    def _watch(self) -> None:
        wait = FIRST_WAIT_S
        while not self._closed.wait(STALLED_S / 6 if self._stream else wait):
            if self._stream is None:
                wait = min(2 * wait, LONGEST_WAIT_S)
                try:
                    self._start_stream()
                except SoundError as fault:
                    self._tell(Lost(self.called, str(fault)))
            elif self._clock() > self._expected_by:
                self._close_stream()
                self._tell(Lost(self.called, STOPPED))
            elif self._gives_sound:
                wait = FIRST_WAIT_S
                self._tell(Listening(self.called))

    def _tell(self, state: MicrophoneState) -> None:
        if state != self._told:
            self._told = state
            self._on_state(state)
