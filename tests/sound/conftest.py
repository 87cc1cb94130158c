"""A sound server of the tests' own: null sinks as loudspeakers, their monitors as microphones."""

import os
import shutil
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

PROGRAMS = ("pulseaudio", "pactl", "parec", "pacat")


class SoundServer:
    """One private PulseAudio; nothing of the machine's own sound is touched."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.socket = folder / "native"
        self.env = {
            **os.environ,
            "HOME": str(folder),
            "XDG_RUNTIME_DIR": str(folder),
            "XDG_CONFIG_HOME": str(folder),
            "PULSE_SERVER": f"unix:{self.socket}",
        }
        self._server: subprocess.Popen[bytes] | None = None
        self._players: list[subprocess.Popen[bytes]] = []

    def start(self, *sinks: str) -> None:
        self._server = subprocess.Popen(
            [
                "pulseaudio",
                "-n",
                "--daemonize=no",
                "--use-pid-file=no",
                "--exit-idle-time=-1",
                "--disallow-exit",
                f"--load=module-native-protocol-unix auth-anonymous=1 socket={self.socket}",
            ],
            env={key: value for key, value in self.env.items() if key != "PULSE_SERVER"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until(self._answers, 5.0)
        for sink in sinks:
            self.plug_in(sink)

    def _answers(self) -> bool:
        asked = subprocess.run(["pactl", "info"], env=self.env, capture_output=True, check=False)
        return asked.returncode == 0

    def plug_in(self, sink: str) -> None:
        """A device: a loudspeaker named as said, and a microphone "Monitor of" that name."""
        self._pactl(
            "load-module",
            "module-null-sink",
            f"sink_name={sink}",
            f"sink_properties=device.description={sink}",
        )

    def unplug(self, sink: str) -> None:
        modules = self._pactl("list", "short", "modules").splitlines()
        (number,) = (line.split()[0] for line in modules if f"sink_name={sink} " in line)
        self._pactl("unload-module", number)

    def use(self, *, loudspeaker: str, microphone: str) -> None:
        self._pactl("set-default-sink", loudspeaker)
        self._pactl("set-default-source", f"{microphone}.monitor")

    def _pactl(self, *words: str) -> str:
        done = subprocess.run(
            ["pactl", *words], env=self.env, capture_output=True, check=True, text=True
        )
        return done.stdout

    def say(self, sink: str, data: bytes, rate: int) -> subprocess.Popen[bytes]:
        """Play samples into a device, as if into the microphone that is its monitor."""
        player = subprocess.Popen(
            ["pacat", f"--device={sink}", f"--rate={rate}", "--format=s16le", "--channels=1"]
            + ["--latency-msec=30"],
            env=self.env,
            stdin=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._players.append(player)

        def feed() -> None:
            assert player.stdin is not None
            try:
                player.stdin.write(data)
                player.stdin.close()
            except OSError:
                pass  # the server went away, which some tests want

        threading.Thread(target=feed, daemon=True).start()
        return player

    def listen(self, sink: str, rate: int = 22050) -> "Ear":
        return Ear(self, sink, rate)

    def freeze(self) -> None:
        """Let the server answer nothing more, without going away."""
        assert self._server is not None
        self._server.send_signal(signal.SIGSTOP)

    def thaw(self) -> None:
        assert self._server is not None
        self._server.send_signal(signal.SIGCONT)

    def kill(self) -> None:
        for player in self._players:
            player.kill()
            player.wait()
            if player.stdin:
                player.stdin.close()
        self._players.clear()
        if self._server:
            self._server.kill()
            self._server.wait()
            self._server = None


class Ear:
    """What comes out of a loudspeaker, with the time at which each block came."""

    def __init__(self, server: SoundServer, sink: str, rate: int) -> None:
        self.rate = rate
        self.blocks: list[tuple[float, bytes]] = []
        self._recorder = subprocess.Popen(
            ["parec", f"--device={sink}.monitor", f"--rate={rate}", "--format=s16le"]
            + ["--channels=1", "--latency-msec=10"],
            env=server.env,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        until(lambda: bool(self.blocks), 5.0)

    def _read(self) -> None:
        assert self._recorder.stdout is not None
        while data := self._recorder.stdout.read(self.rate // 100 * 2):
            self.blocks.append((time.monotonic(), data))

    @property
    def data(self) -> bytes:
        return b"".join(data for _, data in self.blocks)

    def last_sound_at(self) -> float:
        """When the last block that is not silence came; 0 when there is none."""
        return max((at for at, data in self.blocks if any(data)), default=0.0)

    def first_sound_at(self) -> float:
        return min((at for at, data in self.blocks if any(data)), default=float("inf"))

    def __enter__(self) -> "Ear":
        return self

    def __exit__(self, *fault: object) -> None:
        self._recorder.kill()
        self._recorder.wait()
        self._reader.join(2.0)
        if self._recorder.stdout:
            self._recorder.stdout.close()


def until(true: Callable[[], bool], seconds: float) -> None:
    """Wait for something that another thread or process does; the test fails when it does not."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.01)


@pytest.fixture
def server(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> Iterator[SoundServer]:
    missing = [program for program in PROGRAMS if not shutil.which(program)]
    if missing:
        pytest.skip(f"no sound server to test with: {', '.join(missing)} not installed")
    started = SoundServer(tmp_path_factory.mktemp("s"))
    for name in ("PULSE_SERVER", "XDG_RUNTIME_DIR"):
        monkeypatch.setenv(name, started.env[name])
    try:
        try:
            started.start("ear", "mouth")
        except AssertionError:
            pytest.skip("the sound server does not start here")
        started.use(loudspeaker="ear", microphone="mouth")
        yield started
    finally:
        started.kill()
