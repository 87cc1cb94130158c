"""Whether the logbook keeps its word: steps on the disk before the next is said, kills, long lists.

    python -m tests.bench.record [--kills 200] [--entries 100000]

Lists are led through a whole session, in typed words. That a step is on the disk is looked at
twice: a second connection reads the logbook as soon as a reply is there, and `strace`, where it is
installed, shows the write and the flush that the system was asked for before the next sentence
left. Writers are killed with SIGKILL at random instants from the moment before they open the
logbook. A power cut is not among them: against it stands the flush.
"""

import argparse
import json
import os
import platform
import re
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path

from handsfree.engine import tables
from handsfree.logbook.chain import add_to_witness
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.record import Head
from handsfree.logbook.record_html import record_html
from handsfree.logbook.record_pdf import record_pdf
from handsfree.logbook.record_reading import record_of
from handsfree.logbook.wanted import Wanted
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Expect, Step, Told, Words
from handsfree.values.record import RecordKind
from tests.killing import Killed
from tests.unit.logbook.record_shift import Afternoon

LEADS = (
    "walk me through setting up the rig",
    "walk me through lighting up",
    "walk me through shutting down",
    "leak test",
)
LIST_BAR_MS = 500.0
MOST_TURNS = 200
ROUNDS = 9
SAID = re.compile(r"SAID (\d+)")


def row(figure: str, measured: float, bar: float, unit: str) -> None:
    verdict = "met" if measured <= bar else "short"
    print(f"{figure} | {measured:.4g} {unit} | {bar:.4g} {unit} | {verdict}")


def note(figure: str, measured: float, unit: str) -> None:
    print(f"{figure} | {measured:.4g} {unit} | |")


# --- steps before the next sentence ---------------------------------------------------------------


def led(session: Session, opening: str, kept: Callable[[], int]) -> Iterator[tuple[Told, int, int]]:
    """Each reply of a led list, how many steps it stands behind, and how many are on the disk."""
    taken = session.turn(Words(opening))
    before = kept()
    for steps in range(1, MOST_TURNS):
        step = taken.told.led
        if step is None:
            return
        wanted = tables.step_list(step.key, session.kept.rig).steps[step.number - 1]
        taken = session.turn(Words(answer_to(wanted)))
        now = taken.told.led
        if now is not None and (now.key, now.number) == (step.key, step.number):
            return  # it waits for a time, or wants another answer
        yield taken.told, steps, kept() - before


def leader(folder: Path) -> Session:
    """A session that leads, in which ten minutes pass whenever it looks at the clock."""
    wall = count(int(time.time()), 600).__next__
    book = Logbook(folder / "logbook.sqlite")
    return Session(Settings(folder), logbook=book, wall=wall, leads=True)


def answer_to(step: Step) -> str:
    """Words that confirm a step."""
    match step.expects:
        case Expect.SEEN:
            return next(sight.kind for sight in step.sights if sight.right and not sight.goes_to)
        case Expect.NUMBER:
            limit = step.limit
            assert limit is not None
            low = limit.low or 0.0
            high = limit.high if limit.high is not None else low + 10
            middle = (low + high) / 2
            return f"{middle if middle < 10 else round(middle):g} {limit.unit}"
        case Expect.NAMED:
            return "the foreman"
    return "done"


def steps_kept(path: Path) -> int:
    """Confirmed steps that another connection finds."""
    if not path.exists():
        return 0
    with closing(sqlite3.connect(path)) as base:
        found = base.execute("SELECT count(*) FROM entries WHERE kind = ?", (RecordKind.STEP,))
        return int(found.fetchone()[0])


def lead(folder: Path) -> None:
    """Lead the lists, and tell of each reply as its sentence would leave, to be traced."""
    session, told = leader(folder), 0
    for opening in LEADS:
        for _ in led(session, opening, lambda: 0):
            told += 1
            os.write(1, f"SAID {told}\n".encode())


def too_late(folder: Path) -> tuple[int, int]:
    """Replies to confirmed steps, and how many of them came before their step was on the disk."""
    path = folder / "logbook.sqlite"
    session = leader(folder)
    replies = late = 0
    for opening in LEADS:
        for _, steps, kept in led(session, opening, lambda: steps_kept(path)):
            replies += 1
            late += kept < steps
    return replies, late


def unflushed(folder: Path) -> tuple[int, int]:
    """As `too_late`, by the calls to the system: no flush of the log since the sentence before."""
    trace = folder / "trace"
    subprocess.run(
        [
            *("strace", "-f", "-y", "-e", "trace=write,pwrite64,fdatasync,fsync", "-o", str(trace)),
            *(sys.executable, "-m", "tests.bench.record", "--lead", str(folder)),
        ],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    replies = late = 0
    written = flushed = False
    for line in trace.read_text("utf-8", errors="replace").splitlines():
        if "logbook.sqlite-wal" in line:
            if "pwrite64(" in line:
                written, flushed = True, False
            elif "sync(" in line and written:
                flushed = True
        elif SAID.search(line) and "write(1<" in line:
            replies += 1
            late += not flushed
            written = flushed = False
    return replies, late


def before_record(replies: int, late: int, figure: str) -> None:
    if replies:
        row(f"{figure}, of {replies}", late, 0, "sentences")
    else:
        print(f"{figure} | not measured: no list could be led | 0 sentences | short")


# --- long logbooks --------------------------------------------------------------------------------


def fill(book: Logbook, entries: int) -> None:
    """So many entries of a long job, in one go; sealed as any others."""
    from handsfree.logbook import logbook

    at = datetime.now().astimezone() - timedelta(days=300)
    detail = {"list": "light", "title": "Lighting", "run": "1", "step": 3, "steps": 9}
    book.note(at, RecordKind.SHIFT, understood="a long job")
    with closing(book._open()) as base, base:
        base.execute("BEGIN IMMEDIATE")
        for number in range(1, entries):
            content = logbook._content(
                at + timedelta(seconds=250 * number),
                RecordKind.STEP if number % 10 else RecordKind.REFUSAL,
                "gauge reads five",
                "5 psi",
                "What does the acetylene gauge read?",
                {**detail, "sources": ["29 CFR 1910.253(a)(2)"]},
            )
            last = logbook._append(base, content)
    add_to_witness(book.witness_path, *last)
    book.close()


def median_ms(do: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    times = []
    for _ in range(ROUNDS):
        began = clock()
        do()
        times.append(1000 * (clock() - began))
    return statistics.median(times)


def long_logbook(folder: Path, entries: int) -> None:
    path = folder / "logbook.sqlite"
    fill(Logbook(path), entries)

    def whole() -> str:
        return "\n".join(Logbook(path).lines())

    assert whole().count("psi") >= entries - 1
    row(f"{entries} entries listed, median of {ROUNDS}", median_ms(whole), LIST_BAR_MS, "ms")
    note("the same, time of the processor", median_ms(whole, time.process_time), "ms")
    day = (datetime.now().astimezone() - timedelta(days=100)).date()
    one_day = Wanted(since=day, until=day)
    note("one day found in them", median_ms(lambda: Logbook(path).entries(None, one_day)), "ms")
    text = Wanted(text="nothing has this text")
    note("a text looked for in them", median_ms(lambda: Logbook(path).entries(None, text)), "ms")
    note("their chain looked through", median_ms(lambda: Logbook(path).chain()), "ms")
    env = {**os.environ, "HANDSFREE_HOME": str(folder)}
    command = [sys.executable, "-m", "handsfree.app.cli", "record", "--all"]

    def cold() -> None:
        subprocess.run(command, env=env, check=True, stdout=subprocess.DEVNULL)

    note("the command that lists them all, started cold, chain and all", median_ms(cold), "ms")
    note("size of their file", path.stat().st_size / 1e6, "MB")


# --- the whole of it ------------------------------------------------------------------------------


def writing(folder: Path) -> None:
    book = Logbook(folder / "logbook.sqlite")
    times = []
    for _ in range(300):
        began = time.perf_counter()
        book.note(datetime.now().astimezone(), RecordKind.STEP, heard="five", understood="5 psi")
        times.append(1000 * (time.perf_counter() - began))
    note("one entry written and flushed, median of 300", statistics.median(times), "ms")
    note("the same, slowest", max(times), "ms")


def printing(folder: Path) -> None:
    book = Afternoon(folder).whole().book
    record = record_of(book.entries(), book.chain(), Head(), datetime.now().astimezone())
    note("an afternoon printed as HTML", median_ms(lambda: record_html(record)), "ms")
    note("an afternoon printed as PDF", median_ms(lambda: record_pdf(record)), "ms")


def killing(folder: Path, kills: int) -> None:
    program = f"""if True:
        import dataclasses, json, pathlib
        from tests.killing import kill_many
        found = kill_many(pathlib.Path({str(folder)!r}), {kills})
        print(json.dumps([dataclasses.asdict(killed) for killed in found]))
    """
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, stdout=subprocess.PIPE, text=True
    )
    results = [Killed(**each) for each in json.loads(done.stdout)]
    told = sum(each.told for each in results)
    lost = sum(each.lost for each in results)
    row(f"confirmed steps lost in {kills} kills, of {told} told", lost, 0, "steps")
    row("steps in flight that a kill left behind, most", max(r.untold for r in results), 1, "steps")
    broken = sum(each.broken_at is not None for each in results)
    row("chains broken by a kill", broken, 0, "chains")
    note("kills before the first step of a writer", sum(not each.told for each in results), "kills")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=200, help="writers that are killed (200)")
    parser.add_argument("--entries", type=int, default=100_000, help="of the long logbook (100000)")
    parser.add_argument("--lead", type=Path, metavar="FOLDER", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.lead is not None:
        lead(given.lead)
        return
    load = os.getloadavg()[0]
    print("figure | measured | bar | met or short")
    with tempfile.TemporaryDirectory() as temporary:
        folders = [Path(temporary) / name for name in ("led", "traced", "w", "long", "paper", "k")]
        for folder in folders:
            folder.mkdir()
        before_record(*too_late(folders[0]), "next sentences before their step was on record")
        if shutil.which("strace"):
            before_record(*unflushed(folders[1]), "next sentences before the flush, traced")
        else:
            print("next sentences before the flush | not measured: no strace here | |")
        writing(folders[2])
        long_logbook(folders[3], given.entries)
        printing(folders[4])
        killing(folders[5], given.kills)
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, load {load:.1f} at the start,"
        f" Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}"
    )


if __name__ == "__main__":
    main()
