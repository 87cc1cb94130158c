"""Kept files broken in every way: the helper starts, answers, and tells each loss.

Each case is a folder of whole files of which one is broken, and a helper that is started there as
its user would start it, on a machine without a sound system, and asked on its page. The
devices that are paired are read in this process instead.
"""

import json
import os
import re
import shutil
import subprocess
import time
import urllib.error
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import yaml

from handsfree.app.wiring import shared
from handsfree.errors import HandsfreeError
from handsfree.logbook.logbook import Logbook
from handsfree.page.pairing import Pairing
from handsfree.page.share import Sharing
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words
from tests.bench.soundness_talks import Case
from tests.running_helper import RunningHelper

WHOLE = {
    "tips-and-rig.yaml": "rig:\n  fuel: acetylene\n  hose_length: 50 ft\ntips:\n"
    "- stamp: '2'\n  made_for:\n  - 0.5 in\n  - 0.5 in\n- stamp: '3'\n  bore: '1.6 mm'\n"
    "in_torch: '2'\n",
    "sound.yaml": "value_rate: 140.0\ntalk_rate: 160.0\nloudness: 0.8\nattention: 'hey my torch'\n",
    "work-list.yaml": "- piece:\n    shape: plate\n    thickness: '0.5 in'\n  cuts: 4\n"
    "  length: '6 ft'\n- piece:\n    shape: plate\n    thickness: '1 in'\n  cuts: 2\n",
    "timers.json": '{\n "at": 1790000000.0,\n "timers": [\n  {"name": "fire watch", '
    '"seconds": 3600.0, "ends": 1800.0, "rule": "", "run": "1-1", "half_said": true, '
    '"rung": 0, "repeats": false, "then": null}\n ]\n}\n',
    "cuts.jsonl": '{"at":"2026-01-01T10:00:00+00:00","tip":"2","thickness":12.7,"speed":12.0,'
    '"table":13.0,"result":"good cut","measured":true}\n'
    '{"at":"2026-01-01T10:05:00+00:00","tip":"2","thickness":12.7,"speed":12.5,'
    '"table":13.0,"result":"good cut","measured":true}\n',
    "practice.jsonl": '{"at":"2026-01-01T10:00:00+00:00","who":"cutter one","case":"tip too small",'
    '"speed":12.0,"low":12.0,"high":14.5,"result":"good cut","passed":true}\n'
    '{"at":"2026-01-01T10:09:00+00:00","who":"cutter one","case":"tip too small",'
    '"speed":12.5,"low":12.0,"high":14.5,"result":"good cut","passed":true}\n',
}
LED, LOGBOOK, PAIRED = "led-list.yaml", "logbook.sqlite", "page/paired-devices.json"
FILES = (*WHOLE, LED, LOGBOOK, PAIRED)
TALK = (  # what is asked, and the file without which it need not be answered, but told
    ("which tips do I have", "tips-and-rig.yaml"),
    ("how fast on half inch plate with my number 2 tip", ""),
    ("what do I take up", "work-list.yaml"),
    ("how long is left", "timers.json"),
    ("how is my practice going", "practice.jsonl"),
)
NAMES = {  # how a person may be told of a file without its name
    "tips-and-rig.yaml": "tip box|tips and rig",
    "sound.yaml": "sound settings|voice and devices",
    "work-list.yaml": "work list",
    "timers.json": "timers",
    "cuts.jsonl": "what .*learned|cuts (are|were|file)",
    "practice.jsonl": "practice (file|cannot)|coupons",
    LED: "list under way|list that was led",
    LOGBOOK: "logbook|record",
    PAIRED: "paired",
}
FAULT = re.compile(
    "cannot|could not|no sense|be read|set aside|skipped|passed over|broken|damaged|lost|unread",
    re.IGNORECASE,
)
PRIVATE = "192.168.77.7"
STARTS_S, ANSWERS_S, ENDS_S = 120.0, 20.0, 3.0
JUNK = bytes(range(256)) * 40


@dataclass(frozen=True, slots=True)
class Way:
    """One way to break a file: its name, and what does it to a path among whole files."""

    name: str
    breaks: Callable[[Path], object]


def _truncate(path: Path) -> None:
    """Cut in the middle, where that leaves something that is no longer whole."""
    data = path.read_bytes()
    ends = range(len(data) // 2, len(data) - 1)
    path.write_bytes(data[: next((end for end in ends if not _parses(path, data[:end])), ends[0])])


def _parses(path: Path, data: bytes) -> bool:
    try:
        if path.suffix == ".yaml":
            yaml.safe_load(data.decode())
        else:
            json.loads(data.decode().splitlines()[-1])
    except (ValueError, yaml.YAMLError):
        return False
    return path.suffix in (".yaml", ".jsonl")  # whole lines are a whole file, if a shorter one


def _swap(path: Path) -> None:
    whole = sorted(each for each in path.parent.iterdir() if each.is_file() and each != path)
    other = next((e for e in whole if e.suffix == path.suffix), None) or next(iter(whole), None)
    path.write_bytes(other.read_bytes() if other else b'{"rig": {"fuel": "acetylene"}}\n')


def _folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _loop(path: Path) -> None:
    """A link to itself: what nobody can open, the system's own user neither."""
    path.unlink()
    path.symlink_to(path.name)


WAYS = (
    Way("truncated", _truncate),
    Way("another's content", _swap),
    Way("a folder", _folder),
    Way("20,000 brackets", lambda path: path.write_text("[" * 20_000)),
    Way("binary junk", lambda path: path.write_bytes(JUNK)),
    Way("cannot be opened", _loop),
)
NOT_A_NUMBER = Way("NaN", lambda path: path.write_text(_with_nan(path.read_text())))
UNTOUCHED = Way("untouched", lambda path: None)


def _with_nan(text: str) -> str:
    return re.sub(r"\b\d+\.\d+\b|\"[0-9a-f]{64}\"", "NaN", text)


def corruptions(folder: Path) -> Iterator[Case]:
    """Every kept file in every way; NaN where it holds JSON. The first case has nothing broken."""
    whole = folder / "whole"
    make_whole(whole)
    quiet = _seen(folder / "untouched", whole, FILES[0], UNTOUCHED)
    yield Case(
        "corruptions",
        "untouched",
        ("nothing is broken",),
        "runs",
        quiet.told,
        quiet.crash and f"crash: {quiet.crash}",
    )
    for name in FILES:
        json_ones = (NOT_A_NUMBER,) if ".json" in name else ()
        for number, way in enumerate((*WAYS, *json_ones)):
            seen = _seen(folder / f"{FILES.index(name)}-{number}", whole, name, way)
            new = [line for line in seen.told if line not in quiet.told]
            told = [line for line in new if _tells(name, line)]
            wrong = "" if told else "silent loss"
            wrong = f"crash: {seen.crash}" if seen.crash else wrong
            note = "the broken file is still there" if seen.survives else "overwritten"
            yield Case(
                "corruptions",
                way.name,
                (name, way.name),
                "told, and the rest works",
                tuple(told or new),
                wrong,
                note,
            )


@dataclass(frozen=True, slots=True)
class Seen:
    """What a helper did in a folder.

    Attributes:
        crash: how it crashed; empty where it did not.
        told: all lines of the terminal, and the sentences of the page.
        survives: what was broken still lies somewhere in the folder.
    """

    crash: str
    told: tuple[str, ...]
    survives: bool


def make_whole(folder: Path) -> None:
    """Every kept file as a helper leaves it."""
    folder.mkdir(parents=True)
    os.environ["HANDSFREE_HOME"] = str(folder)
    for name, text in WHOLE.items():
        (folder / name).write_text(text.replace("NOW", f"{time.time():.1f}"), encoding="utf-8")
    session = Session(Settings(folder), logbook=Logbook(folder / LOGBOOK), leads=True)
    for say in ("what do I set for half inch plate", "how do I light the torch"):
        session.take(Words(say))
    assert session.lists is not None
    for _ in range(2):
        led = session.lists.led
        assert led is not None
        session.take(Words(led.can_say[0]))
    pairing = Pairing(folder / "page")
    pairing.pair(pairing.code)
    assert all((folder / name).is_file() for name in (*WHOLE, LED, LOGBOOK, PAIRED)), list(
        folder.rglob("*")
    )


def _seen(home: Path, whole: Path, name: str, way: Way) -> Seen:
    shutil.copytree(whole, home)
    if name == LOGBOOK:
        for beside in ("-wal", "-shm"):
            (home / f"{LOGBOOK}{beside}").unlink(missing_ok=True)
    way.breaks(home / name)
    before = _content(home / name)
    if name == PAIRED:
        crash, told = _sharing(home)
        return Seen(crash, told, _survives(home, before))
    env = {
        **os.environ,
        "HANDSFREE_HOME": str(home),
        "PULSE_SERVER": f"unix:{home / 'none'}",
        "XDG_RUNTIME_DIR": str(home.parent),
    }
    page: list[str] = []
    crash = ""
    with RunningHelper(env) as helper:
        try:
            _talk(helper, page)
        except (AssertionError, OSError, urllib.error.URLError) as fault:
            crash = f"no reply to a request it could answer: {type(fault).__name__}"
            with suppress(subprocess.TimeoutExpired):  # it may be about to end
                helper.process.wait(ENDS_S)
        if (status := helper.process.poll()) is not None:
            crash = f"ended with status {status}: {' '.join(helper.complaints)[-160:]}"
        helper.process.kill()
    tracebacks = [line for line in helper.complaints if "Traceback" in line]
    if tracebacks:
        crash = f"a traceback: {helper.complaints[-1]:.160}"
    return Seen(crash, (*helper.complaints, *helper.lines, *page), _survives(home, before))


def _survives(home: Path, before: bytes | str) -> bool:
    """Whether what was broken still lies somewhere: under its own name or another."""
    return any(_content(each) == before for each in home.rglob("*"))


def _sharing(home: Path) -> tuple[str, tuple[str, ...]]:
    """How a helper fares that shares its page: crash and lines.

    In this process, up to where it would listen: that takes a machine in a private network.
    """
    lines: list[str] = []
    os.environ["HANDSFREE_HOME"] = str(home)
    try:
        shared(8765, Sharing(PRIVATE), lines.append)
    except HandsfreeError as fault:  # the command tells it, and ends
        return f"ended with status 1: {fault!s:.160}", (str(fault),)
    except Exception as fault:  # it is what is looked for
        return f"a traceback: {fault!r:.160}", ()
    return "", tuple(lines)


def _talk(helper: RunningHelper, page: list[str]) -> None:
    """Ask about every file on the page; what the page says of it goes into the list."""
    helper.reach(lambda: helper.printed("^Page: ") or helper.process.poll() is not None, STARTS_S)
    if helper.process.poll() is not None:
        return
    for say, needs in TALK:

        def is_there(say: str = say, needs: str = needs) -> bool:
            if helper.process.poll() is not None:
                return True
            shown = helper.page()
            if needs and any(_names(needs).search(each["sentence"]) for each in shown["faults"]):
                return True
            return shown["told"] is not None and shown["told"]["heard"].lower() == say.lower()

        helper.ask(say)
        helper.reach(is_there, ANSWERS_S)
        if helper.process.poll() is not None:
            return
        shown = helper.page()
        page.append(" ".join(map(str, (shown["told"] or {}).get("sentences") or ())))
        page.extend(fault["sentence"] for fault in shown["faults"])


def _tells(name: str, line: str) -> bool:
    """Whether a line tells that something is wrong with a file; a plain reply does not."""
    named = Path(name).name in line
    return named or bool(_names(name).search(line) and FAULT.search(line))


def _names(name: str) -> re.Pattern[str]:
    """What a sentence about a file has in it."""
    return re.compile(f"{re.escape(Path(name).stem)}|{NAMES[name]}", re.IGNORECASE)


def _content(path: Path) -> bytes | str:
    if path.is_symlink():
        return f"link {path.readlink()}"
    return path.read_bytes() if path.is_file() else f"folder {path.is_dir()}"
