"""Loudspeakers as the speaker plays to them, and such as answer even where the system hangs."""

import contextlib
import threading
from collections.abc import Callable
from typing import Final, Protocol, TypeVar

from handsfree.errors import NoDeviceError, SoundError

ANSWERS_S: Final = 3.0  # a call to the sound system that takes longer does not come back
_Result = TypeVar("_Result")


class Stream(Protocol):
    """An open loudspeaker."""

    def start(self) -> None:
        """Begin to ask for samples."""

    def stop(self) -> None:
        """Be silent."""

    def close(self) -> None:
        """Give the device back."""


class Playback(Protocol):
    """What can open a loudspeaker."""

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        """Open one that asks `give` for a number of 16-bit samples, from a thread of its own."""


class Answering:
    """Loudspeakers whose calls come back: a sound system that hangs costs a fault, not a thread."""

    def __init__(self, system: Playback) -> None:
        self._system = system
        self._hung: threading.Thread | None = None

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        """A loudspeaker of the system; raises as `within`."""
        return _Stream(self, self.within(lambda: self._system.playback(name, rate, give)))

    def within(self, call: Callable[[], _Result]) -> _Result:
        """The result of a call to the sound system.

        Raises:
            SoundError: it has not come back in `ANSWERS_S`, or an earlier one still has not.
        """
        if self._hung is not None and self._hung.is_alive():
            raise NoDeviceError(_HANGS)
        self._hung = None
        results: list[_Result] = []
        faults: list[BaseException] = []

        def calling() -> None:
            try:
                results.append(call())
            except BaseException as fault:  # noqa: B036  # raised again in the caller's thread
                faults.append(fault)

        thread = threading.Thread(target=calling, name="sound system", daemon=True)
        thread.start()
        thread.join(ANSWERS_S)
        if faults:
            raise faults[0]
        if results:
            return results[0]
        self._hung = thread
        raise NoDeviceError(_HANGS)


_HANGS: Final = (
    "The sound system does not answer. Answers are shown. Start the sound system again, or plug the"
    " loudspeaker in again; it is found without a restart."
)


class _Stream:
    """One loudspeaker of `Answering`; a fault at its stop shows at its next start."""

    def __init__(self, system: Answering, stream: Stream) -> None:
        self._system = system
        self._stream = stream
        self._runs = False

    def start(self) -> None:
        self._system.within(self._stream.start)
        self._runs = True

    def stop(self) -> None:
        if self._runs:
            self._runs = False
            with contextlib.suppress(SoundError):
                self._system.within(self._stream.stop)

    def close(self) -> None:
        with contextlib.suppress(SoundError):
            self._system.within(self._stream.close)
