"""Kills a process that writes confirmed steps, at random instants, and looks at what is left.

The writer tells each step over a pipe once its call has returned, which is when a helper would say
the next one: whatever was told so must be in the logbook afterwards.
"""

import json
import multiprocessing
import time
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random

from handsfree.logbook.logbook import Logbook
from handsfree.logbook.writer import LogbookWriter
from handsfree.values.steps import Confirmed

MOST_STEPS = 15  # that a writer has told when its last moments begin
LAST_MOMENTS_S = 0.03  # in which a step is written, or a new logbook is made
STARTS_WITHIN_S = 60.0
OPENS = b"opens"


@dataclass(frozen=True, slots=True)
class Killed:
    """What a kill left.

    Attributes:
        told: how many steps the writer had told as confirmed in this life.
        lost: how many of all that were ever told are not in the logbook.
        untold: how many steps of this life are there but were not told: the one in flight, at most.
        broken_at: as `Chain.broken_at`.
    """

    told: int
    lost: int
    untold: int
    broken_at: int | None


def write_steps(path: Path, first: int, pipe: Connection) -> None:
    """Confirm steps from this number on, as fast as the disk takes them, until killed."""
    pipe.send_bytes(OPENS)
    writer = LogbookWriter(Logbook(path))
    number = first
    while True:
        step = Confirmed(
            "light", "lighting up", number, number, "Read the gauge.", "five", "5 psi", True, "", ""
        )
        if not writer.put(step):
            return
        pipe.send_bytes(str(number).encode())
        number += 1


class Killing:
    """One logbook, whose writers are killed one after the other.

    Args:
        path: of the logbook.
        random: chooses the instants.
        most_steps: that a writer may tell before it is to be killed; a machine that is slow makes
            them no fewer.
    """

    def __init__(self, path: Path, random: Random, most_steps: int = MOST_STEPS) -> None:
        self._path = path
        self._random = random
        self._most_steps = most_steps
        self._told: set[int] = set()  # by all writers
        self._context = multiprocessing.get_context("forkserver")
        self._context.set_forkserver_preload([__name__])

    def kill_one(self) -> Killed:
        """Start a writer, kill it, and look at what it left."""
        before, told = self._kept(), list[bytes]()
        ours, its = self._context.Pipe(duplex=False)
        writer = self._context.Process(
            target=write_steps, args=(self._path, len(before) + 1, its), daemon=True
        )
        writer.start()
        its.close()
        for _ in range(1 + self._random.randint(0, self._most_steps)):
            if not ours.poll(STARTS_WITHIN_S):
                raise RuntimeError("the writer does not write")
            told.append(ours.recv_bytes())
        time.sleep(self._random.uniform(0.0, LAST_MOMENTS_S))  # an instant: nothing waits for it
        writer.kill()
        writer.join()
        with ours, suppress(EOFError, OSError):
            while True:
                told.append(ours.recv_bytes())
        steps = [int(each) for each in told if each != OPENS]
        self._told |= set(steps)
        kept = self._kept()
        return Killed(
            told=len(steps),
            lost=len(self._told - set(kept)),
            untold=len(kept) - len(before) - len(steps),
            broken_at=Logbook(self._path).broken_at(),
        )

    def _kept(self) -> list[int]:
        """The steps that are in the logbook; writers number them without a gap."""
        kept = [step_of(entry.detail) for entry in Logbook(self._path).each()]
        if kept != list(range(1, len(kept) + 1)):
            raise AssertionError(f"steps are missing or twice in the logbook: {kept}")
        return kept


def step_of(detail: str) -> int:
    """The number of the step in the details of its entry."""
    return int(json.loads(detail)["step"])


def kill_many(folder: Path, kills: int) -> list[Killed]:
    """Of five kills four hit a logbook that grows, and one a new one that is being made.

    Best called from a process that was started by `python -c`: a writer loads what its main is.
    """
    random = Random(2026)
    growing, results = Killing(folder / "logbook.sqlite", random), []
    for number in range(kills):
        new = Killing(folder / str(number) / "logbook.sqlite", random, 0)
        results.append((new if number % 5 == 4 else growing).kill_one())
    return results
