"""What could hurt: values taken against what was said, hazards passed over, crashes and losses.

Run by itself: `python -m tests.bench.soundness`; `--only NAME` (as often as wanted) for some of the
sets, `--lines OUT.jsonl` for every case with what was said and what came back. The sets under
`soundness_sets/` were written by someone who had not read the grammar; tune nothing to them.
"""

import argparse
import json
import os
import platform
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TextIO

from tests.bench import soundness_files, soundness_kills, soundness_talks
from tests.bench.soundness_talks import Case, Judge


@dataclass(frozen=True, slots=True)
class Measured:
    """A set and its figures: cases with something wrong.

    Attributes:
        judge: gives the cases.
        figures: what is counted, what `wrong` of those cases begins with (empty for all), and how
            many may be; a bar of None is only told.
    """

    judge: Judge
    figures: tuple[tuple[str, str, int | None], ...]


SETS = {
    "negations": Measured(
        soundness_talks.negations,
        (("negations whose value was taken", "", 0),),
    ),
    "decimals": Measured(
        soundness_talks.decimal_readings,
        (
            ("decimals misread", "", 0),
            ("of these, another thickness taken", "another", None),
            ("of these, not understood", "not understood", None),
            ("of these, answered about something else", "answer about", None),
        ),
    ),
    "refused": Measured(
        soundness_talks.refused, (("refused wishes that became a setting or a figure", "", 0),)
    ),
    "coatings": Measured(
        soundness_talks.coatings, (("second coatings set without asking again", "", 0),)
    ),
    "emergencies": Measured(
        soundness_talks.emergencies,
        (
            ("emergencies and look-alikes taken wrongly", "", None),
            ("of these, nothing starts", "starts nothing", None),
        ),
    ),
    "hazards": Measured(soundness_talks.hazards, (("hazards that got a figure", "", None),)),
    "harmless": Measured(
        soundness_talks.hazards_harmless, (("harmless talk that was not answered", "", None),)
    ),
    "fuzz": Measured(
        soundness_talks.fuzzed,
        (
            ("fuzzed requests that raise", "exception", 0),
            ("of these, every later request raises, too", "exception, and", None),
        ),
    ),
    "corruptions": Measured(
        soundness_files.corruptions,
        (
            ("kept files corrupted: crashes, or no start", "crash", 0),
            ("kept files corrupted: silent losses", "silent", 0),
        ),
    ),
    "kills": Measured(soundness_kills.kills, (("kills in a led list that lost a step", "", 0),)),
}


def main() -> None:
    """Measure, print, and write the lines."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.soundness", description=__doc__)
    parser.add_argument("--only", action="append", choices=SETS, help="this set; may be repeated")
    parser.add_argument("--lines", type=Path, metavar="OUT.jsonl", help="every case, one a line")
    given = parser.parse_args()
    began = time.monotonic()
    print("figure | measured | bar | met or short", flush=True)
    with ExitStack() as open_files:
        lines = given.lines and open_files.enter_context(given.lines.open("w", encoding="utf-8"))
        for name in given.only or SETS:
            _measure(name, lines)
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, "
        f"load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}, "
        f"{platform.system()} {platform.release()}, {time.monotonic() - began:.0f} s in all; "
        "no sound system, no network"
    )


def _measure(name: str, lines: TextIO | None) -> None:
    cases = []
    with tempfile.TemporaryDirectory() as folder:
        for case in _whatever_happens(name, Path(folder)):
            cases.append(case)
            if lines:
                lines.write(json.dumps({"set": name, **asdict(case)}) + "\n")
                lines.flush()
    groups = sorted({case.group for case in cases})
    for figure, begins, bar in SETS[name].figures:
        wrong = [case for case in cases if case.wrong.startswith(begins or "") and case.wrong]
        _row(figure, len(wrong), len(cases), bar)
    for group in groups if len(groups) > 1 else ():
        of_it = [case for case in cases if case.group == group]
        _row(f"of these, {group}", sum(bool(case.wrong) for case in of_it), len(of_it), None)
    changed = sum(bool(case.changed) for case in cases)
    if changed:
        _row(f"rig or tip box changed without a yes, in {name}", changed, len(cases), None)
    _and_how(name, cases)


def _row(figure: str, wrong: int, of: int, bar: int | None) -> None:
    verdict = "-" if bar is None else "met" if wrong <= bar else "short"
    print(f"{figure} | {wrong} of {of} | {'none' if bar is None else bar} | {verdict}", flush=True)


def _and_how(name: str, cases: list[Case]) -> None:
    """What came of the cases in which nothing is wrong, so that no bar is met by saying nothing."""
    if name in ("fuzz", "kills", "corruptions"):
        return
    notes = Counter(case.note or "answer" for case in cases if not case.wrong)
    how = ", ".join(f"{count} {note}" for note, count in notes.most_common())
    print(f"what came of the others in {name} | {how} | none | -", flush=True)


def _whatever_happens(name: str, folder: Path) -> Iterator[Case]:
    """The cases of a set; a set that breaks is one case more with what broke it."""
    home = os.environ.get("HANDSFREE_HOME")
    try:
        yield from SETS[name].judge(folder)
    except Exception as fault:  # the next sets are measured all the same
        yield Case(name, "the bench itself", (), "", (), f"exception: {fault!r}")
        print(f"{name} | broke off: {fault!r:.200} | none | short", flush=True)
    finally:
        os.environ.pop("HANDSFREE_HOME", None)
        if home is not None:
            os.environ["HANDSFREE_HOME"] = home


if __name__ == "__main__":
    main()
