"""One request from words to a worded reply, the cold command, its memory, and the wheel's size.

Run by itself: `python -m tests.bench.ask`. The cold command is measured in a virtual environment of
its own that holds what the README's first command installs and nothing else (a test library that
happens to be there would be imported and counted).
"""

import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path

import yaml

from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words

ROOT = Path(__file__).resolve().parents[2]
REQUEST = "what do I set for three quarter plate with a quarter inch tip"
TURN_MS, COLD_S, MEMORY_MB, WHEEL_MB = 2.0, 0.6, 80.0, 25.0
ROUNDS = 5


def turn_ms() -> tuple[float, float]:
    """Median and 95th percentile of one turn over the open phrases, after one warm round."""
    text = (ROOT / "tests/talks/phrases_open.yaml").read_text(encoding="utf-8")
    says = [phrase["say"] for phrase in yaml.safe_load(text)]
    with tempfile.TemporaryDirectory() as kept:
        session = Session(Settings(Path(kept)))
        for say in says:
            session.start_afresh()
            session.take(Words(say))
        times = []
        for _ in range(ROUNDS):
            for say in says:
                session.start_afresh()
                began = time.process_time_ns()
                session.take(Words(say))
                times.append((time.process_time_ns() - began) / 1e6)
    return statistics.median(times), statistics.quantiles(times, n=20)[-1]


def installed(folder: Path) -> tuple[Path, float]:
    """The command in a fresh environment, and the size of the wheel it came from."""
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(folder), str(ROOT)],
        check=True,
    )
    wheel = next(folder.glob("*.whl"))
    environment = folder / "env"
    venv.create(environment, with_pip=True)
    python = environment / "bin" / "python"
    subprocess.run([str(python), "-m", "pip", "install", "-q", str(wheel)], check=True)
    return environment / "bin" / "handsfree", wheel.stat().st_size / 1e6


def cold(command: Path, home: Path) -> tuple[float, float, float]:
    """Median seconds and processor seconds of the cold command, and its largest memory in MB."""
    env = {**os.environ, "HOME": str(home), "XDG_CACHE_HOME": str(home / "cache")}
    env.pop("PYTHONPATH", None)
    walls, spent = [], []
    for _ in range(ROUNDS + 2):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        began = time.monotonic()
        subprocess.run(
            [str(command), "ask", REQUEST], check=True, env=env, stdout=subprocess.DEVNULL
        )
        walls.append(time.monotonic() - began)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    memory = memory_of(command, env)
    return statistics.median(walls[2:]), statistics.median(spent[2:]), memory


def memory_of(command: Path, env: dict[str, str]) -> float:
    """Largest memory in MB, told by the process itself at its end.

    From /proc, since what getrusage tells begins with the memory of the process that started it.
    """
    code = (
        "import pathlib, re, sys\n"
        "from handsfree.app.cli import main\n"
        f"main(['ask', {REQUEST!r}])\n"
        "status = pathlib.Path('/proc/self/status').read_text()\n"
        "print(re.search(r'VmHWM:\\s*(\\d+)', status)[1], file=sys.stderr)"
    )
    python = command.parent / "python"
    done = subprocess.run(
        [str(python), "-c", code], check=True, env=env, capture_output=True, text=True
    )
    return int(done.stderr.split()[-1]) / 1024


def row(figure: str, measured: float, bar: float, unit: str) -> None:
    verdict = "met" if measured <= bar else "short"
    print(f"{figure} | {measured:.3g} {unit} | {bar:g} {unit} | {verdict}")


def main() -> None:
    print("figure | measured | bar | met or short")
    median, slow = turn_ms()
    row("parse + engine + wording, one request, median", median, TURN_MS, "ms")
    print(f"the same, 95th percentile | {slow:.3g} ms | none | -")
    with tempfile.TemporaryDirectory() as folder:
        command, wheel = installed(Path(folder))
        wall, spent, memory = cold(command, Path(folder) / "home")
        row("ask from a cold process, median of 5, caches made", wall, COLD_S, "s")
        print(f"the same, processor time | {spent:.3g} s | none | -")
        row("memory of that process", memory, MEMORY_MB, "MB")
        row("wheel of the project, with model", wheel, WHEEL_MB, "MB")
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, "
        f"load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}"
    )


if __name__ == "__main__":
    main()
