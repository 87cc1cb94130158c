"""How many phrases of cutters are understood with the right slots, and how long a parse takes.

Run by itself: `python -m tests.bench.understanding`. The kept sets were set aside while the grammar
was written; what they scored before anybody looked at them was noted once and cannot be run again.
"""

import os
import platform
import statistics
import time
from pathlib import Path

import yaml

from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import Words
from tests.talks.judging import fault_of

TALKS = Path(__file__).resolve().parents[1] / "talks"
SETS = {"open half": "phrases_open", "more, for development": "phrases_more"}
KEPT = {"kept half": "phrases_kept", "second kept set": "phrases_second"}
BEFORE = {"kept half": 87, "second kept set": 90}  # before anybody had looked at them
BAR = 90.0


def main() -> None:
    understanding = Understanding(load_grammar(shipped_folder("grammar")))
    print("figure | measured | bar | met or short")
    times = []
    for name, file in {**SETS, **KEPT}.items():
        phrases = yaml.safe_load((TALKS / f"{file}.yaml").read_text(encoding="utf-8"))
        right = 0
        for phrase in phrases:
            understanding.request(Words(phrase["say"]))
            began = time.process_time_ns()
            understood = understanding.request(Words(phrase["say"]))
            times.append((time.process_time_ns() - began) / 1e6)
            right += fault_of(phrase, understood) is None
        share = 100 * right / len(phrases)
        print(f"{name}, {len(phrases)} phrases, right now | {share:.1f} % | none | -")
        if name in KEPT:
            verdict = "met" if BEFORE[name] >= BAR else "short"
            print(f"the same before it was looked at | {BEFORE[name]} % | {BAR:g} % | {verdict}")
    print(f"one request understood, median | {statistics.median(times):.2f} ms | none | -")
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, "
        f"load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}"
    )


if __name__ == "__main__":
    main()
