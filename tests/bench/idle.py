"""What idle listening costs over a shift: false calls and emergencies, memory and processor.

    python -m tests.bench.idle [--hours 8] [--voices held-out] [--seed 1]

Hours of shop noise and talk that is not for the helper, made as they are needed by a process of
their own, go through the ears while they wait for the attention phrase, faster than real time.
Every ten minutes the phrase is said once, ten decibels over noise: ears that have gone deaf would
make no false call either. Needs the programs `espeak-ng` and `flite`.
"""

import argparse
import os
import platform
import re
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from handsfree.app.first_start import first_start
from handsfree.app.wiring import request_recogniser, spotter_beside
from handsfree.hear.ears import Ears
from handsfree.hear.endpointing import FRAME_BYTES
from handsfree.hear.wake import Spot
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import Called, CalledOut, Listening, TurnEvent
from tests.bench.hearing_tables import note, row
from tests.bench.noise import MADE, RATE, mixed, to_bytes
from tests.bench.shift import BLOCK_S, VOICES, Mouths, have_voices, in_turn

FALSE_BAR = 1.0  # an hour
MEMORY_BAR_MB = 10.0
PROCESSOR_BAR = 10.0  # percent of one core
CALLED_EVERY = 10  # blocks
CALLED_OVER_DB = 10.0
SETTLED = 10  # blocks until buffers have their size


def memory_mb() -> float:
    """What this process holds now."""
    told = Path("/proc/self/status").read_text(encoding="utf-8")
    found = re.search(r"VmRSS:\s*(\d+)", told)
    assert found is not None
    return int(found[1]) / 1024


def spoken(phrase: str, which: str, number: int) -> list[bytes]:
    """The phrase by so many voices, in noise."""
    names = sorted(MADE)
    clips = []
    with Mouths() as mouths:
        for at, (voice, pace, pitch) in enumerate(in_turn(VOICES[which], number, 5)):
            said = mouths.say(phrase, voice, pace, pitch)
            speech = np.concatenate([np.zeros(2 * RATE), said, np.zeros(2 * RATE)])
            noise = MADE[names[at % len(names)]](len(speech), np.random.default_rng(at))
            clips.append(to_bytes(mixed(speech, noise, CALLED_OVER_DB)))
    return clips


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--voices", choices=sorted(VOICES), default="held-out")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--model", type=Path, default=None)
    given = parser.parse_args()
    if not have_voices():
        raise SystemExit("Install espeak-ng and flite: they say the talk.")
    with first_start(given.model, None) as first:
        first.until_grammar()
        first.until_graphs()
    session = Session()
    grammar = load_grammar(shipped_folder("grammar"), "attention", cache_folder() / "grammar")
    recogniser = request_recogniser(session, given.model)
    spotter = spotter_beside(recogniser, session, grammar.word_network(), given.model)
    blocks = round(60 * given.hours)
    phrase = next(each.text for each in spotter.phrases if each.spot is Spot.ATTENTION)
    clips = spoken(phrase, given.voices, blocks // CALLED_EVERY)
    calls: list[TurnEvent] = []
    cries: list[str] = []

    def take(event: TurnEvent) -> None:
        if isinstance(event, Called):
            calls.append(event)
        elif isinstance(event, CalledOut):
            cries.append(event.words.text)

    ears = Ears((), spotter, recogniser, take)
    ears.listen_for(Listening.ATTENTION)

    def hear(sound: bytes) -> int:
        before = len(calls)
        for at in range(0, len(sound) - FRAME_BYTES + 1, FRAME_BYTES):
            ears.hear(sound[at : at + FRAME_BYTES])
        return len(calls) - before

    false = heard = said = 0
    worked = 0.0
    memory: list[float] = []
    command = [sys.executable, "-m", "tests.bench.shift", given.voices, str(given.seed)]
    begin = time.perf_counter()
    with subprocess.Popen([*command, str(blocks)], stdout=subprocess.PIPE) as shift:
        assert shift.stdout is not None
        for number in range(1, blocks + 1):
            sound = shift.stdout.read(2 * RATE * BLOCK_S)
            assert len(sound) == 2 * RATE * BLOCK_S, "the shift broke off"
            before = time.process_time()
            false += hear(sound)
            worked += time.process_time() - before
            memory.append(memory_mb())
            if number % CALLED_EVERY == 0:
                heard += hear(clips[said]) > 0
                said += 1
                print(f"# {number / 60:g} h: {false} false, {len(cries)} emergencies, {heard} of "
                      f"{said} calls heard, {memory[-1]:.0f} MB, "
                      f"{100 * worked / number / BLOCK_S:.1f} %",
                      file=sys.stderr, flush=True)  # fmt: skip
    settled = memory[min(SETTLED, len(memory) - 1) :]
    print("figure | measured | bar | met or short")
    row("false attention", false / given.hours, FALSE_BAR, "an hour")
    row("emergencies told, though there was none", len(cries) / given.hours, FALSE_BAR, "an hour")
    row("growth of memory", max(settled) - settled[0], MEMORY_BAR_MB, "MB")
    share = 100 * worked / (blocks * BLOCK_S)
    row("processor while idle", share, PROCESSOR_BAR, "% of one core")
    note(f"calls heard, {said} said at {CALLED_OVER_DB:g} dB", 100 * heard / max(1, said))
    print(f"emergencies told | {', '.join(cries) or 'none'}")
    print(
        f"\nconditions: {given.hours:g} h of made noise and talk, voices {given.voices}, seed "
        f"{given.seed}, talk half of the time, phrase '{phrase}'; {platform.machine()}, "
        f"{os.cpu_count()} cores, Python {platform.python_version()}, "
        f"{time.perf_counter() - begin:.0f} s"
    )


if __name__ == "__main__":
    main()
