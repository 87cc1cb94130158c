"""Kills a session that leads a list, at random instants; no confirmed step may be lost.

The one that is killed answers the steps of a list and tells each confirmed one over a pipe once its
call has returned, which is when a helper would say the next step. What was told must then be in the
logbook, and in the list that a restart offers.
"""

import multiprocessing
import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random

import yaml

from handsfree.logbook.logbook import Logbook
from handsfree.session.procedure_file import FILE_NAME
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import LedStep, Words
from tests.bench.soundness_talks import Case

KILLS = 100
SEED = 7
BEGINS = "how do I light the torch"
MOST_STEPS = 9  # told before its last moments: the list is passed once and begun again
LAST_MOMENTS_S = 0.03
STARTS_WITHIN_S = 120.0


def kills(folder: Path) -> Iterator[Case]:
    """A hundred lives of one helper, each ended by SIGKILL."""
    random, told_in_all = Random(SEED), 0
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    os.environ["HANDSFREE_HOME"] = str(folder)
    for _ in range(KILLS):
        ours, its = context.Pipe(duplex=False)
        life = context.Process(target=confirm_steps, args=(folder, its), daemon=True)
        life.start()
        its.close()
        told, wrong = _told(ours, random), ""
        life.kill()
        life.join()
        with ours, suppress(EOFError, OSError):
            while True:
                told.append(ours.recv())
        told = [each for each in told if each]
        told_in_all += len(told)
        logged, open_list = _logged(folder), _in_list_file(folder)
        if not told:
            wrong = "nothing was confirmed in this life"
        if logged < told_in_all:
            wrong = f"{told_in_all - logged} confirmed steps are not in the logbook"
            told_in_all = logged
        if lost := _since_list_began(told) - open_list:
            wrong = f"the restart does not know of {', '.join(sorted(lost))}"
        told_in_all = logged  # with the one in flight, if it was written
        yield Case(
            "kills", "a led list", (f"{len(told)} steps told",), "all kept", (str(logged),), wrong
        )


def confirm_steps(folder: Path, pipe: Connection) -> None:
    """Lead a list and answer it rightly, again and again; tells the step that was confirmed."""
    faults: list[str] = []
    log = Logbook(folder / "logbook.sqlite")
    session = Session(Settings(folder), logbook=log, leads=True)
    session.faults.tell_to(lambda fault: faults.append(fault.sentence))
    assert session.lists is not None
    if session.left_open() is not None:
        session.take(Words("yes"))
    pipe.send("")
    while True:
        step = session.lists.led
        if step is None:
            session.start_afresh()
            session.take(Words(BEGINS))
            pipe.send("begun")
        elif not _passed(session, step, pipe):
            return  # the answers that it offers do not pass it


def _passed(session: Session, step: LedStep, pipe: Connection) -> bool:
    assert session.lists is not None
    for say in step.can_say:
        session.take(Words(say))
        now = session.lists.led
        if now is None or now.key != step.key or now.number > step.number:
            ends = now is None or now.key != step.key
            pipe.send("ended" if ends else step.say)
            return True
    return False


def _told(pipe: Connection, random: Random) -> list[str]:
    """What was told until the last moments are over."""
    told: list[str] = []
    for _ in range(2 + random.randint(0, MOST_STEPS)):
        if not pipe.poll(STARTS_WITHIN_S):
            raise RuntimeError("the session does not lead")
        try:
            told.append(pipe.recv())
        except EOFError:
            break
    time.sleep(random.uniform(0.0, LAST_MOMENTS_S))
    return told


def _since_list_began(told: list[str]) -> set[str]:
    """The steps that were told in the list that was under way; none where it had ended."""
    since: list[str] = []
    for each in told:
        since = [] if each in ("begun", "ended") else [*since, each]
    return set(since)


def _logged(folder: Path) -> int:
    with sqlite3.connect(folder / "logbook.sqlite") as base:
        rows = base.execute("SELECT count(*) FROM entries WHERE kind IN ('step', 'list begun')")
        count: int = rows.fetchone()[0]
    base.close()
    return count


def _in_list_file(folder: Path) -> set[str]:
    path = folder / FILE_NAME
    entries = yaml.safe_load(path.read_text(encoding="utf-8")) if path.exists() else None
    return {step for entry in entries or () for step in entry["confirmed"]}
