"""What is said on the made site is played on a real loudspeaker as well, in the order it comes."""

import queue
import threading
from collections.abc import Callable, Iterable
from types import TracebackType
from typing import Protocol, Self

from handsfree.errors import SoundError
from handsfree.values import Samples


class Plays(Protocol):
    """A loudspeaker."""

    def play(self, pieces: Iterable[Samples]) -> bool:
        """Play these to their end; False when it was stopped."""

    def stop(self) -> None:
        """Be silent now."""

    def close(self) -> None:
        """Give the device back."""


class Aloud:
    """Plays from a thread of its own; a context manager that gives the loudspeaker back.

    Args:
        speaker: plays.
        on_fault: told once why nothing is heard; the shift goes on.
    """

    def __init__(self, speaker: Plays, on_fault: Callable[[str], None]) -> None:
        self._speaker = speaker
        self._on_fault = on_fault
        self._waiting: queue.SimpleQueue[Samples | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._play, name="aloud", daemon=True)

    def play(self, samples: Samples) -> None:
        """Play this after what was given before."""
        self._waiting.put(samples)

    def stop(self) -> None:
        """Be silent, and forget the rest."""
        while not self._waiting.empty():
            self._waiting.get_nowait()
        self._speaker.stop()

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if error is not None:
            self.stop()
        self._waiting.put(None)
        self._thread.join()
        self._speaker.close()

    def _play(self) -> None:
        while (samples := self._waiting.get()) is not None:
            try:
                self._speaker.play([samples])
            except SoundError as fault:
                self._on_fault(str(fault))
                return
