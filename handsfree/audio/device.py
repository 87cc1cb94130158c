"""The sound cards of this machine: samples in by a callback, samples out by a callback.

The only file that knows a sound library: `miniaudio`, or `pasimple` where there is no wheel of it
(Linux on ARM). Neither reports a device that went away: its callbacks stop, and nothing else
happens. So whoever opens a stream must watch for that.

The list of sound systems is explicit, because without one a machine that has none is given a
device that plays to nobody and records silence.
"""

import contextlib
import ctypes
import sys
import threading
from collections.abc import Callable, Generator
from typing import Any, Final, Protocol

from handsfree.errors import NoDeviceError, SoundError

CAPTURE_BLOCK_MS: Final = 20
PLAYBACK_BLOCK_MS: Final = 50  # 200, the library's own, would play on for 0.2 s after a stop
NO_SOUND_SYSTEM: Final = (
    "No sound system answers on this machine. Typing and the page still work. To speak and hear,"
    " start the sound system (PipeWire, PulseAudio or ALSA on Linux) and plug the headset in."
)


class Stream(Protocol):
    """One open device, playing or capturing between `start` and `stop`."""

    def start(self) -> None:
        """Begin to call back, from a thread of the sound library."""

    def stop(self) -> None:
        """Silence within some 20 ms; `start` goes on."""

    def close(self) -> None:
        """Give the device back."""


class SoundDevice:
    """Opens and lists sound devices; the session hands it to the loudspeaker and the microphone."""

    def __init__(self) -> None:
        self._library: _Library = _load()

    def captures(self) -> tuple[str, ...]:
        """The names of the microphones; empty also where the sound library cannot list them.

        Raises:
            NoDeviceError: there is no sound system.
        """
        return self._library.names(capture=True) or ()

    def playbacks(self) -> tuple[str, ...]:
        """The names of the loudspeakers, as `captures`."""
        return self._library.names(capture=False) or ()

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream:
        """A microphone that calls `take` with 16-bit samples of one channel, some 20 ms each.

        Args:
            name: as in `captures`, or None for the default.
            rate: samples a second.
            take: called from the sound library's thread.

        Raises:
            NoDeviceError: there is no sound system, no microphone, or none of that name.
            SoundError: the device is there and does not open.
        """
        self._check(name, self._library.names(capture=True), "microphone")
        return self._library.capture(name, rate, take)

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        """A loudspeaker that calls `give` with a number of samples and plays what it returns.

        Args and errors are those of `capture`; `give` returns 16-bit samples of one channel, as
        many as asked for or fewer.
        """
        self._check(name, self._library.names(capture=False), "loudspeaker")
        return self._library.playback(name, rate, give)

    def _check(self, name: str | None, names: tuple[str, ...] | None, kind: str) -> None:
        if names is None:
            return
        if not names:
            raise NoDeviceError(
                f"There is no {kind} on this machine. Typing and the page still work."
                " Plug one in; it is found without a restart."
            )
        if name is not None and name not in names:
            raise NoDeviceError(
                f"There is no {kind} named {name!r}. There are: {', '.join(names)}."
                " Choose one of these, or plug yours in again."
            )


class _Library(Protocol):
    def names(self, *, capture: bool) -> tuple[str, ...] | None: ...

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream: ...

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream: ...


def _load() -> _Library:
    try:
        import miniaudio
    except ImportError:
        return _Pulse()
    return _Miniaudio(miniaudio)


class _Miniaudio:
    """Every system that has a wheel of miniaudio."""

    def __init__(self, library: Any) -> None:
        self._library = library
        kinds = library.Backend
        wanted = (kinds.PULSEAUDIO, kinds.ALSA, kinds.WASAPI, kinds.COREAUDIO)
        self._systems = [kind for kind in wanted if library.is_backend_enabled(kind)]
        self._quiet = _quiet_alsa()  # kept: the library holds only its address

    def names(self, *, capture: bool) -> tuple[str, ...]:
        _, devices = self._devices(capture)
        return tuple(dict.fromkeys(device["name"] for device in devices))

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream:
        def taking() -> Generator[None, bytes, None]:
            while True:
                take(bytes((yield)))

        kind, block_ms = self._library.CaptureDevice, CAPTURE_BLOCK_MS
        return self._opened(kind, name, rate, block_ms, taking)

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        def giving() -> Generator[bytes, int, None]:
            count = yield b""
            while True:
                count = yield give(count)

        kind, block_ms = self._library.PlaybackDevice, PLAYBACK_BLOCK_MS
        return self._opened(kind, name, rate, block_ms, giving)

    def _devices(self, capture: bool) -> tuple[Any, list[dict[str, Any]]]:
        """The owner of the devices' identities, and the devices."""
        try:
            owner = self._library.Devices(self._systems)
            return owner, owner.get_captures() if capture else owner.get_playbacks()
        except self._library.MiniaudioError as fault:
            raise NoDeviceError(NO_SOUND_SYSTEM) from fault

    def _ident(self, name: str | None, *, capture: bool) -> tuple[Any, Any]:
        if name is None:
            return None, None  # the default follows the user's choice in the sound system
        owner, devices = self._devices(capture)
        return owner, next((found["id"] for found in devices if found["name"] == name), None)

    def _opened(
        self,
        kind: Any,
        name: str | None,
        rate: int,
        block_ms: int,
        callback: Callable[[], Generator[Any, Any, None]],
    ) -> "_MiniaudioStream":
        """A device of `kind`, with the connection that it stands on.

        The library makes a connection for each device and never ends it: five open files stay
        behind each time. So it is caught while it is made, and ended with the device.
        """
        keeper, ident = self._ident(name, capture=kind is self._library.CaptureDevice)
        connections: list[Any] = []

        class Device(kind):  # type: ignore[misc]  # a class of a library without types
            def _make_context(self, *given: Any) -> Any:
                connections.append(super()._make_context(*given))
                return connections[-1]

        def disconnect() -> None:
            while connections:
                self._library.lib.ma_context_uninit(connections.pop())

        try:
            device = Device(
                self._library.SampleFormat.SIGNED16,
                1,
                rate,
                buffersize_msec=block_ms,
                device_id=ident,
                backends=self._systems,
                app_name="handsfree",
            )
        except self._library.MiniaudioError as fault:
            disconnect()
            raise SoundError(
                f"The sound device does not open ({fault}). Another program may hold it: close that"
                " program, or choose another device."
            ) from fault
        return _MiniaudioStream(device, callback, keeper, disconnect, self._library.MiniaudioError)


class _MiniaudioStream:
    def __init__(
        self,
        device: Any,
        callback: Callable[[], Generator[Any, Any, None]],
        keeper: Any,
        disconnect: Callable[[], None],
        error: type[Exception],
    ) -> None:
        self._device = device
        self._callback = callback
        self._keeper = keeper  # owns the memory of the device's identity
        self._disconnect = disconnect
        self._error = error

    def start(self) -> None:
        generator = self._callback()
        next(generator)
        try:
            self._device.start(generator)
        except self._error as fault:
            self._device.callback_generator = None
            raise SoundError(f"The sound device does not start ({fault}). Plug it in again.") from (
                fault
            )

    def stop(self) -> None:
        with contextlib.suppress(self._error):  # a device that is gone is silent
            self._device.stop()

    def close(self) -> None:
        self._device.close()
        self._disconnect()
        self._keeper = None


class _Pulse:
    """Linux without a wheel of miniaudio: PulseAudio's simple interface, by blocking calls.

    It cannot list devices; a name is one that `pactl list short sources` shows.
    """

    def names(self, *, capture: bool) -> None:
        return None

    def capture(self, name: str | None, rate: int, take: Callable[[bytes], None]) -> Stream:
        block = 2 * rate * CAPTURE_BLOCK_MS // 1000

        def step(connection: Any) -> None:
            take(connection.read(block))

        return _PulseStream(lambda: self._connect(name, rate, block, capture=True), step)

    def playback(self, name: str | None, rate: int, give: Callable[[int], bytes]) -> Stream:
        block = 2 * rate * PLAYBACK_BLOCK_MS // 1000 // 2

        def step(connection: Any) -> None:
            connection.write(give(block // 2).ljust(block, b"\0"))

        return _PulseStream(lambda: self._connect(name, rate, block, capture=False), step)

    def _connect(self, name: str | None, rate: int, block: int, *, capture: bool) -> Any:
        try:
            import pasimple

            return pasimple.PaSimple(
                pasimple.PA_STREAM_RECORD if capture else pasimple.PA_STREAM_PLAYBACK,
                pasimple.PA_SAMPLE_S16LE,
                1,
                rate,
                app_name="handsfree",
                device_name=name,
                tlength=2 * block,
                minreq=block,
                prebuf=block,
                fragsize=block,
            )
        except Exception as fault:  # no library, no server or no such device: one class for all
            what = f" ({name!r} was asked for.)" if name else ""
            raise NoDeviceError(NO_SOUND_SYSTEM + what) from fault


class _PulseStream:
    """A connection and the thread that reads or writes it; opened once to see that it can be."""

    def __init__(self, connect: Callable[[], Any], step: Callable[[Any], None]) -> None:
        self._connect = connect
        self._step = step
        self._running: threading.Event | None = None
        connect().close()

    def start(self) -> None:
        self._running = threading.Event()
        self._running.set()
        connection = self._connect()
        threading.Thread(
            target=self._run, args=(connection, self._running), name="sound", daemon=True
        ).start()

    def _run(self, connection: Any, running: threading.Event) -> None:
        with contextlib.suppress(Exception):  # a lost server: whoever opened us sees the silence
            while running.is_set():
                self._step(connection)
            connection.flush()
        connection.close()

    def stop(self) -> None:
        if self._running:
            self._running.clear()

    def close(self) -> None:
        self.stop()


def _quiet_alsa() -> object:
    """Keep libasound from writing a page to standard error for each device that is not there."""
    if not sys.platform.startswith("linux"):
        return None
    handler = ctypes.CFUNCTYPE(
        None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
    )(lambda file, line, function, code, text: None)
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(handler)
    return handler
