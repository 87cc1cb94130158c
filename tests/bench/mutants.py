"""Whether the quick tests notice a wrong line: sixty faults, each tried in a copy of the checkout.

    python -m tests.bench.mutants [--only 3,17] [--list] [--near] [--jobs 2] [--most 900]

The faults stand in `mutants.yaml` beside this file. Each is looked for in the whole package by its
text, so that a file may move; one whose line is gone, or stands there twice, is told as stale and
counts as not found. For each, the tests that name its module run first, then the rest of the
folders of its room, then the rest of the quick tier, and the first failure ends it. A test that
fails without the fault too proves nothing: it is told, and left out. Nothing is written but in a
folder for the time of the run; in that the caches are put back before each fault, for a cache made
by faulty code would be read by the next.
"""

import argparse
import os
import platform
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Collection, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from queue import SimpleQueue

import yaml

ROOT = Path(__file__).resolve().parents[2]
FAULTS = Path(__file__).with_name("mutants.yaml")
PACKAGE = "handsfree"
QUICK = ("tests/unit", "tests/published", "tests/reference", "tests/talks")
NOT_QUICK = "not sound and not browser"  # further marks of slow tests belong in here
NEAR = {
    "engine": ("tests/unit/engine", "tests/reference", "tests/published"),
    "dialogue": ("tests/unit/dialogue", "tests/unit/pacing"),
    "pacing": ("tests/unit/pacing",),
    "spoken_numbers": ("tests/unit/test_spoken_numbers.py", "tests/unit/understand"),
    "understand": ("tests/unit/understand", "tests/talks"),
}
COPIED = (PACKAGE, "grammar", "models", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
BAR = 57
# A busy machine must not fail a test, and a test must try the same with a fault as without.
CONFTEST = """\
from hypothesis import settings
settings.register_profile("bench", deadline=None, derandomize=True, database=None)
settings.load_profile("bench")
"""
NICE = 15
_FAILED = re.compile(r"^(?:FAILED|ERROR) (tests/[^\s:\[]+(?:::[^\s:\[]+)*)", re.MULTILINE)
_NO_TESTS = 5  # exit code of pytest
NO_START = "no test starts"


class End(StrEnum):
    """What became of a fault."""

    FOUND = "found"
    SURVIVED = "survived"
    STALE = "stale"
    UNDECIDED = "not decided"
    """Its time was up, or a run was ended from outside."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One wrong line, as `mutants.yaml` tells it."""

    number: int
    room: str
    what: str
    was: str
    now: str
    after: str = ""

    def places(self, package: Path) -> list[tuple[Path, int]]:
        """Where the line stands, its indent and the folder it lies in left out of account."""
        found = []
        for path in sorted(package.rglob("*.py")):
            lines = [line.strip() for line in path.read_text(encoding="utf-8").splitlines()]
            for at, line in enumerate(lines):
                if line == self.was and self.after in ("", lines[at - 1]):
                    found.append((path, at))
        return found


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a fault, and which test told it or why there is none."""

    fault: Fault
    end: End
    place: str = ""
    told: str = ""
    seconds: float = 0.0


def faults() -> list[Fault]:
    """All faults, numbered as they stand in their file."""
    rows = yaml.safe_load(FAULTS.read_text(encoding="utf-8"))
    return [Fault(number, **row) for number, row in enumerate(rows, start=1)]


@dataclass(slots=True)
class Copy:
    """A copy of the checkout in which one fault after the other is tried.

    Attributes:
        folder: where it lies.
        most: seconds that one fault may take.
        near: whether only the tests of the fault's room are run.
        broken: tests that fail without a fault.
    """

    folder: Path
    most: float
    near: bool
    broken: set[str] = field(default_factory=set)

    def try_out(self, fault: Fault) -> Outcome:
        """Put the fault in, run the tests until one fails, take it out again."""
        began = time.monotonic()
        places = fault.places(self.folder / PACKAGE)
        if len(places) != 1:
            why = "its line is gone" if not places else f"its line stands {len(places)} times"
            return Outcome(fault, End.STALE, told=why)
        path, at = places[0]
        place = f"{path.relative_to(self.folder)}:{at + 1}"
        right = path.read_text(encoding="utf-8")
        wrong = right.splitlines(keepends=True)
        wrong[at] = wrong[at].replace(fault.was, fault.now)
        until = began + self.most
        try:
            path.write_text("".join(wrong), encoding="utf-8")
            for stage in self._stages(fault, path):
                test = self._first_failure(stage, until)
                if test is not None:
                    took = time.monotonic() - began
                    return Outcome(fault, End.FOUND, place, test, took)
        except (subprocess.TimeoutExpired, ChildProcessError):
            return Outcome(fault, End.UNDECIDED, place, seconds=time.monotonic() - began)
        finally:
            path.write_text(right, encoding="utf-8")
        return Outcome(fault, End.SURVIVED, place, seconds=time.monotonic() - began)

    def _stages(self, fault: Fault, path: Path) -> Iterator[list[str]]:
        """Files of tests: those that name the module, then those of its room, then all others."""
        tests = [test for place in QUICK for test in _tests(self.folder / place)]
        near = [_tests(self.folder / place) for place in NEAR[fault.room]]
        module = ".".join(path.relative_to(self.folder).with_suffix("").parts)
        names = re.compile(_import_of(module), re.MULTILINE)
        naming = [test for test in tests if names.search(test.read_text(encoding="utf-8"))]
        stages = (naming, *near) if self.near else (naming, *near, tests)
        seen: set[Path] = set()
        for stage in stages:
            fresh = sorted({*stage} - seen, key=_slow)
            seen.update(fresh)
            if fresh:
                yield [str(test.relative_to(self.folder)) for test in fresh]

    def _first_failure(self, tests: Sequence[str], until: float) -> str | None:
        """The first test that fails, None where all pass."""
        left_out = [f"--deselect={test}" for test in sorted(self.broken)]
        done = self._pytest(("-x", *tests, "-m", NOT_QUICK, *left_out), until)
        if done.returncode in (0, _NO_TESTS):
            return None
        found = _FAILED.search(done.stdout)
        return found[1] if found else NO_START

    def failing(self, tests: Collection[str]) -> set[str]:
        """Those of some tests that fail as the code stands, without any fault."""
        wanted = sorted(set(tests) - {NO_START})
        if not wanted:
            return set()
        done = self._pytest(wanted, time.monotonic() + self.most)
        return set(_FAILED.findall(done.stdout))

    def _pytest(self, given: Sequence[str], until: float) -> subprocess.CompletedProcess[str]:
        warm = self.folder / "cache"
        shutil.rmtree(warm, ignore_errors=True)
        if (kept := self.folder / "cache-kept").is_dir():
            shutil.copytree(kept, warm)
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "-q",
                "-rfE",
                "--tb=no",
                "-p",
                "no:cacheprovider",
            ]
            + list(given),
            cwd=self.folder,
            env=_surroundings(self.folder, warm) | {"PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            text=True,
            timeout=max(1.0, until - time.monotonic()),
            preexec_fn=_be_nice,
            check=False,
        )
        if done.returncode < 0:
            raise ChildProcessError(f"Signal {-done.returncode} ended a run.")
        return done


def _be_nice() -> None:
    os.setpriority(os.PRIO_PROCESS, 0, max(NICE, os.getpriority(os.PRIO_PROCESS, 0)))


def _tests(place: Path) -> list[Path]:
    return [place] if place.is_file() else sorted(place.rglob("test_*.py"))


def _slow(test: Path) -> tuple[int, Path]:
    """Orders files of tests: properties, each tried a hundred times, come after the examples."""
    return test.read_text(encoding="utf-8").count("@given"), test


def _import_of(module: str) -> str:
    """Matches an import of a module, whichever way it is written."""
    parent, _, name = module.removesuffix(".__init__").rpartition(".")
    return rf"^(?:from|import) {re.escape(parent)}(?:\.{name}\b| import .*\b{name}\b)"


def copied(into: Path) -> Path:
    """A copy of the checkout as it stands, uncommitted changes and all."""
    unwanted = shutil.ignore_patterns("__pycache__", ".*")
    into.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, into / name, ignore=unwanted)
        else:
            shutil.copy(source, into / name)
    (into / "conftest.py").write_text(CONFTEST, encoding="utf-8")
    return into


def warmed(folder: Path) -> None:
    """Make what a copy keeps once, with the right code: compiled files, tables, networks.

    A faulty file is always compiled anew, for it is younger than what was kept of it.
    """
    collect = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "--collect-only", *QUICK]
    for command in (collect, ["-m", PACKAGE, "ask", "half inch plate"]):
        subprocess.run(
            [sys.executable, *command],
            cwd=folder,
            env=_surroundings(folder, folder / "cache-kept"),
            capture_output=True,
            preexec_fn=_be_nice,
            check=False,
        )


def _surroundings(folder: Path, cache: Path) -> dict[str, str]:
    """The environment of a run: our copy of the code and a cache of its own; no foreign plugin."""
    return os.environ | {
        "PYTHONPATH": str(folder),
        "XDG_CACHE_HOME": str(cache),
        "HANDSFREE_HOME": str(folder / "home"),
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
    }


def tried(wanted: Sequence[Fault], jobs: int, most: float, near: bool) -> Iterator[Outcome]:
    """What becomes of each fault, several at a time; what was begun ends before its folder goes.

    In the end every test that found a fault is run without any: one that fails then too has found
    nothing, and its faults are tried again without it.
    """
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        first = copied(Path(folder, "copy"))
        warmed(first)
        copies = [
            Copy(shutil.copytree(first, Path(folder, f"copy-{job}")), most, near)
            for job in range(jobs)
        ]
        left = list(wanted)
        while left:
            outcomes = []
            for outcome in _at_once(left, copies):
                print(_line(outcome), file=sys.stderr, flush=True)
                outcomes.append(outcome)
            found = [outcome.told for outcome in outcomes if outcome.end is End.FOUND]
            broken = copies[0].failing(found)
            for test in sorted(broken):
                print(f"fails without a fault, and is left out: {test}", file=sys.stderr)
            for copy in copies:
                copy.broken |= broken
            yield from (outcome for outcome in outcomes if outcome.told not in broken)
            left = [outcome.fault for outcome in outcomes if outcome.told in broken]


def _at_once(wanted: Sequence[Fault], copies: Sequence[Copy]) -> Iterator[Outcome]:
    free: SimpleQueue[Copy] = SimpleQueue()
    for copy in copies:
        free.put(copy)

    def one(fault: Fault) -> Outcome:
        copy = free.get()
        try:
            return copy.try_out(fault)
        finally:
            free.put(copy)

    with ThreadPoolExecutor(len(copies)) as pool:
        try:
            for done in as_completed([pool.submit(one, fault) for fault in wanted]):
                yield done.result()
        finally:
            pool.shutdown(cancel_futures=True)


def chosen(only: str | None) -> list[Fault]:
    """The faults that were asked for by number, all of them where none was.

    Raises:
        SystemExit: there is no fault of that number.
    """
    every = faults()
    if only is None:
        return every
    numbers = {int(number) for number in only.split(",")}
    if missing := numbers - {fault.number for fault in every}:
        raise SystemExit(f"No fault has number {min(missing)}; there are {len(every)}.")
    return [fault for fault in every if fault.number in numbers]


def main() -> None:
    """Try the faults and print how many were found."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--only", metavar="N[,M]", help="only the faults of these numbers")
    ask.add_argument("--list", action="store_true", help="list the faults and run nothing")
    ask.add_argument("--near", action="store_true", help="only the tests of each fault's own room")
    ask.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="faults at a time")
    ask.add_argument("--most", type=float, default=900.0, help="seconds that one fault may take")
    given = ask.parse_args()
    wanted = chosen(given.only)
    if given.list:
        for fault in wanted:
            where = (
                ", ".join(
                    f"{path.relative_to(ROOT)}:{at + 1}"
                    for path, at in fault.places(ROOT / PACKAGE)
                )
                or "stale"
            )
            print(f"{fault.number:2} {where}: {fault.what}\n     {fault.was}\n     {fault.now}")
        return
    for ended in (signal.SIGINT, signal.SIGTERM):  # a background job ignores the first
        signal.signal(ended, _leave)
    began = time.monotonic()
    outcomes = list(tried(wanted, given.jobs, given.most, given.near))
    found = sum(outcome.end is End.FOUND for outcome in outcomes)
    bar = BAR if len(wanted) == len(faults()) else len(wanted)
    print("figure | measured | bar | met or short")
    met = "met" if found >= bar else "short"
    print(f"faults found of {len(wanted)} | {found} | {bar} | {met}")
    for outcome in sorted(outcomes, key=lambda outcome: outcome.fault.number):
        if outcome.end is not End.FOUND:
            print(_line(outcome))
    print(
        f"conditions: {platform.machine()}, {os.cpu_count()} cores, Python"
        f" {platform.python_version()}, {given.jobs} at a time, niceness {NICE},"
        f" {'only the tests of the room, ' if given.near else ''}"
        f"{(time.monotonic() - began) / 60:.0f} minutes in all"
    )


def _leave(*_: object) -> None:
    raise SystemExit("Ended before its time.")


def _line(outcome: Outcome) -> str:
    fault = outcome.fault
    end = f"{fault.number:2} {outcome.end} ({fault.what}) {outcome.place}"
    return f"{end}: {outcome.told or fault.now} [{outcome.seconds:.0f} s]"


if __name__ == "__main__":
    main()
