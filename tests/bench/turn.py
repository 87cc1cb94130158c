"""How long a turn takes, how soon the helper listens, what it holds and what idling costs.

    python -m tests.bench.turn [--turns 10]

The whole helper runs over a private sound server (PulseAudio, which must be installed): requests
are spoken into a virtual microphone by the voice that comes with the install, and what comes out of
the virtual loudspeaker is recorded. A turn begins when the end-pointer decides that the talker is
done, and ends with the first sample of the answer that leaves the loudspeaker, sound server and its
buffers counted. The tick comes before the answer and is measured by itself.
"""

import argparse
import array
import contextlib
import os
import platform
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from unittest import mock

from handsfree.app import run as running
from handsfree.app.attention import attention_network
from handsfree.app.helper import Helper
from handsfree.hear import ears as ears_module
from handsfree.hear.wake import Spot, phrases_in
from handsfree.values import Key, Pressed, Tone
from handsfree.voice.tones import SIGNALS
from handsfree.voice.voice import Voice, VoiceSettings
from tests.bench.hearing_tables import note, row
from tests.running_helper import RunningHelper
from tests.sound.conftest import PROGRAMS, Ear, SoundServer, until

ANSWER_BAR_MS = {"cached opening": 300.0, "other opening": 700.0}
TICK_BAR_MS = 100.0
START_BAR_S = 3.0
MEMORY_BAR_MB = 250.0
IDLE_BAR = 10.0  # percent of one core
STARTS = 5
IDLE_S = 30.0
RENDERED_S = 30.0  # by then what is said often is rendered ahead
LOUD = 40  # of a 16-bit sample: what is less is the voice's own silence
RATE = 22050
TICK_S = SIGNALS[Tone.HEARD].seconds + 0.02  # after it, what sounds is the answer
REQUESTS = {
    "cached opening": (
        "what do i set for half inch plate",
        "how fast on half inch plate",
        "what do i set for three quarter inch plate",
        "how fast on one inch plate",
        "what oxygen pressure for half inch plate",
    ),
    "other opening": (
        "settings for four inch schedule forty pipe",
        "what do i set for three quarter plate with a quarter inch tip",
        "w ten by thirty three with a number fifty six drill tip",
        "how heavy is a foot of w ten by thirty three",
        "settings for sixteen gauge sheet",
    ),
}


class Run:
    """The helper in this process, with the moments at which utterances were decided to be over."""

    def __init__(self) -> None:
        self.decided: list[float] = []
        self.lines: list[str] = []
        self.helpers: list[Helper] = []

    def ended(self, *_: object) -> None:
        self.decided.append(time.monotonic())


@contextmanager
def running_helper(home: Path) -> Iterator[Run]:
    """The helper on the sound server that the environment names."""
    run = Run()
    finish = ears_module.Ears._finish
    make = Helper

    def finished(ears: ears_module.Ears) -> None:
        if ears._utterance is not None:
            run.ended()
        finish(ears)

    def made(*given: object, **named: object) -> Helper:
        run.helpers.append(make(*given, **named))  # type: ignore[arg-type]
        return run.helpers[0]

    environment = {"HANDSFREE_HOME": str(home)}
    with (
        mock.patch.dict(os.environ, environment),
        mock.patch.object(ears_module.Ears, "_finish", finished),
        mock.patch.object(running, "Helper", made),
    ):
        thread = threading.Thread(
            target=running.run,
            args=(running.Wishes(port=0), run.lines.append, run.lines.append),
        )
        thread.start()
        try:
            until(lambda: any(line.startswith("Listening") for line in run.lines), 120.0)
            yield run
        finally:
            run.helpers[0].stop()
            thread.join()


def first_loud(blocks: list[tuple[float, bytes]], after: float) -> float | None:
    """When the first sound after a moment left the loudspeaker."""
    for at, data in list(blocks):
        if at >= after and max(map(abs, array.array("h", data)), default=0) > LOUD:
            return at
    return None


def tick_and_answer(ear: Ear, run: Run, before: int) -> tuple[float, float] | None:
    """Milliseconds from the end of the utterance after so many to its tick and to its answer."""
    if len(run.decided) <= before:
        return None
    decided = run.decided[-1]
    tick = first_loud(ear.blocks, decided)
    answer = None if tick is None else first_loud(ear.blocks, tick + TICK_S)
    if tick is None or answer is None:
        return None
    return 1000 * (tick - decided), 1000 * (answer - decided)


def turn_times(
    server: SoundServer, requests: tuple[str, ...], turns: int, run: Run, phrase: str
) -> list[tuple[float, float]]:
    """For each turn the milliseconds to the tick and to the answer."""
    times = []
    settings = VoiceSettings(value_rate=140, talk_rate=140, voice="en")
    with Voice(settings, patience_s=60.0) as voice:
        sounds = [voice.render(f"{phrase}, {words}") for words in requests]
    helper = run.helpers[0]
    for number in range(turns):
        sound = sounds[number % len(sounds)]
        second = bytes(2 * sound.rate)
        with server.listen("ear", RATE) as ear:
            measure = partial(tick_and_answer, ear, run, len(run.decided))
            server.say("mouth", second + sound.data + 2 * second, sound.rate)
            with contextlib.suppress(AssertionError):
                until(lambda m=measure: m() is not None, 40.0)  # type: ignore[misc]
            measured = measure()
            if measured is None:
                print(f"a turn without an answer: {run.lines[-3:]}", file=sys.stderr)
            else:
                times.append(measured)
        helper.post(Pressed(Key.STOP))
        until(lambda: helper.turns.until is None, 10.0)
    return times


def start_s(env: dict[str, str]) -> float:
    """Seconds from the command to "Listening", as printed, with the caches made."""
    times = []
    for _ in range(STARTS + 1):
        began = time.monotonic()
        with RunningHelper(env) as helper:
            helper.until_it_listens()
            times.append(time.monotonic() - began)
            helper.end()
    return statistics.median(times[1:])


def _children(pid: int) -> list[int]:
    tasks = Path(f"/proc/{pid}/task")
    return [int(c) for task in tasks.iterdir() for c in (task / "children").read_text().split()]


def _memory_mb(pid: int) -> float:
    told = re.search(r"VmRSS:\s*(\d+)", Path(f"/proc/{pid}/status").read_text("utf-8"))
    return int(told[1]) / 1024 if told else 0.0


def _processor_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def whole(pid: int, what: Callable[[int], float]) -> float:
    """Something of the process and of the voice's."""
    return sum(what(each) for each in (pid, *_children(pid)))


def idle_and_memory(server: SoundServer, env: dict[str, str]) -> tuple[float, float, float]:
    """Percent of a core while it waits, in a quiet and in a loud room; megabytes after a talk."""
    shares = []
    with RunningHelper(env) as helper:
        helper.until_it_listens()
        time.sleep(RENDERED_S)
        for loud in (30.0, 1500.0):
            noise = random.Random(1)
            room = array.array(
                "h", (round(noise.gauss(0, loud)) for _ in range(int(16000 * (IDLE_S + 6))))
            )
            server.say("mouth", room.tobytes(), 16000)
            time.sleep(3.0)  # until its buffers and the noise floor have settled
            began, before = time.monotonic(), whole(helper.process.pid, _processor_s)
            time.sleep(IDLE_S)
            spent = whole(helper.process.pid, _processor_s) - before
            shares.append(100 * spent / (time.monotonic() - began))
        memory = _after_a_talk(helper)
    return shares[0], shares[1], memory


def first_memory(env: dict[str, str], cache: Path) -> float:
    """Megabytes after a talk of a helper that found nothing in its cache."""
    with RunningHelper({**env, "XDG_CACHE_HOME": str(cache)}) as helper:
        helper.until_it_listens()
        time.sleep(RENDERED_S)
        return _after_a_talk(helper)


def _after_a_talk(helper: RunningHelper) -> float:
    for words in REQUESTS["other opening"]:
        helper.ask(words)
        time.sleep(1.0)
    memory = whole(helper.process.pid, _memory_mb)
    helper.end()
    return memory


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--turns", type=int, default=10, help="of each kind (10)")
    turns = parser.parse_args().turns
    missing = [program for program in PROGRAMS if not shutil.which(program)]
    if missing:
        print(f"nothing can be measured: {', '.join(missing)} is not installed")
        return
    phrase = next(
        each.text for each in phrases_in(attention_network(None)) if each.spot is Spot.ATTENTION
    )
    print("figure | measured | bar | met or short")
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        server = SoundServer(Path(folder))
        server.start("ear", "mouth")
        server.use(loudspeaker="ear", microphone="mouth")
        env = {**server.env, "HANDSFREE_HOME": str(Path(folder) / "kept")}
        sound = {name: env[name] for name in ("PULSE_SERVER", "XDG_RUNTIME_DIR")}
        try:
            row("start to listening, median of 5, caches made", start_s(env), START_BAR_S, "s")
            with mock.patch.dict(os.environ, sound), running_helper(Path(folder) / "kept") as run:
                ticks = []
                for kind, requests in REQUESTS.items():
                    times = turn_times(server, requests, turns, run, phrase)
                    ticks += [tick for tick, _ in times]
                    answers = [answer for _, answer in times]
                    figure = f"end decided to first sample, {kind}, median of {len(answers)}"
                    row(figure, statistics.median(answers), ANSWER_BAR_MS[kind], "ms")
                    note("the same, slowest", max(answers), "ms")
                row("end decided to tick, median", statistics.median(ticks), TICK_BAR_MS, "ms")
                note("the same, slowest", max(ticks), "ms")
            quiet, noisy, memory = idle_and_memory(server, env)
            row("idle listening in a quiet room, of one core", quiet, IDLE_BAR, "%")
            row("idle listening in steady noise, of one core", noisy, IDLE_BAR, "%")
            row("memory with page, recognisers and voice", memory, MEMORY_BAR_MB, "MB")
            memory = first_memory(env, Path(folder) / "empty")
            row("the same at a first start, no cache made", memory, MEMORY_BAR_MB, "MB")
        finally:
            server.kill()
    pulse = subprocess.run(["pulseaudio", "--version"], capture_output=True, text=True, check=False)
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, load {load:.1f} at the start,"
        f" Python {platform.python_version()}, {pulse.stdout.strip()}"
    )


if __name__ == "__main__":
    main()
