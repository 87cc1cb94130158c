"""What is kept of times, cuts and practice: small files beside the user's own.

Times that run are one file, written anew at every change; how cuts and coupons came out are files
to which a line is added for each, so that nothing is ever written over.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Final

from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.lines import LineFile
from handsfree.store.plain import flag, from_json, number, text
from handsfree.values.timing import Coupon, CutLesson, CutResult, PracticeCase, Running

TIMERS_FILE: Final = "timers.json"
CUTS_FILE: Final = "cuts.jsonl"
PRACTICE_FILE: Final = "practice.jsonl"
LONGEST_S: Final = 7 * 86_400.0  # no time that is kept is longer
YEARS_S: Final = 1e9  # nor has any waited longer to be taken
MOST_MOMENT_S: Final = 1e11
FASTEST: Final = 1000.0  # inches a minute
THICKEST: Final = 100.0  # inches


@dataclass(frozen=True, slots=True)
class _Kept:
    """The times as they are kept: what was left of each at a moment of the machine's clock."""

    at: float
    timers: tuple[Running, ...] = ()

    def at_now(self, now: float, wall: float) -> tuple[Running, ...]:
        """The timers by the clock that only moves forward; one set back takes no time off."""
        written = now - max(0.0, wall - self.at)
        return tuple(_moved(timer, written) for timer in self.timers)


class TimersFile:
    """The times that run, by the machine's clock, so that they outlive the program.

    Times that another helper keeps in the same file stay in it.

    Args:
        folder: where the file lies.
        faults: takes what is wrong with it.
    """

    def __init__(self, folder: Path, faults: Faults | None = None) -> None:
        self.path = folder / TIMERS_FILE
        self._own: set[tuple[str, str]] = set()  # name and run of those that this helper keeps
        self._file = KeptFile(
            self.path,
            "The times that ran",
            _Kept(0.0),
            parse=_timers,
            text=lambda kept: json.dumps(
                {"at": kept.at, "timers": [asdict(timer) for timer in kept.timers]}, indent=1
            ),
            without="No earlier time goes on: look at a watch, and set a fire watch anew.",
            refused=f"Cannot keep the timers in {self.path}: {{fault}}."
            " They run, but not over a restart.",
            faults=faults or Faults(),
        )

    def read(self, now: float, wall: float) -> tuple[tuple[Running, ...], bool]:
        """The timers, and whether the machine's clock was set back since they were written.

        Args:
            now: of the clock that only moves forward, in seconds.
            wall: of the machine's clock, in seconds.
        """
        kept = self._file.read()
        timers = kept.at_now(now, wall)
        self._own |= {(timer.name, timer.run) for timer in timers}
        return timers, bool(timers) and wall < kept.at

    def write(self, timers: tuple[Running, ...], now: float, wall: float) -> None:
        """Keep the timers.

        Raises:
            SettingsError: the disk refuses; the old file stands.
        """
        self._own |= {(timer.name, timer.run) for timer in timers}

        def with_ours(kept: _Kept) -> _Kept:
            there = kept.at_now(now, wall)
            others = [each for each in there if (each.name, each.run) not in self._own]
            return _Kept(wall, tuple(_moved(each, -now) for each in (*timers, *others)))

        self._file.update(with_ours)


def _moved(timer: Running, by: float) -> Running:
    return replace(timer, ends=timer.ends + by)


def _timers(said: str) -> _Kept:
    content = from_json(said)
    return _Kept(
        number(content["at"], 0.0, MOST_MOMENT_S),
        tuple(_running(entry) for entry in content["timers"]),
    )


def _running(entry: Mapping[str, Any]) -> Running:
    then = entry["then"]
    return Running(
        name=text(entry["name"]),
        seconds=number(entry["seconds"], 0.0, LONGEST_S),
        ends=number(entry["ends"], -YEARS_S, LONGEST_S),
        rule=text(entry["rule"]),
        run=text(entry["run"]),
        half_said=flag(entry["half_said"]),
        rung=int(number(entry["rung"], 0, YEARS_S)),
        repeats=flag(entry["repeats"]),
        then=None if then is None else (text(then[0]), number(then[1], 0.0, LONGEST_S)),
    )


@dataclass(frozen=True, slots=True)
class _Forgotten:
    """A line from which on the cuts of a tip before it count no more."""

    tip: str


class CutsFile:
    """How cuts came out, by tip and thickness; forgetting a tip is a line of its own.

    Args:
        folder: where the file lies.
        faults: takes what is wrong with it.
    """

    def __init__(self, folder: Path, faults: Faults | None = None) -> None:
        self._lines: LineFile[CutLesson | _Forgotten] = LineFile(
            folder / CUTS_FILE,
            "Your cuts",
            _cut,
            "Until you mend it the tables' own figures hold.",
            faults or Faults(),
        )

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self._lines.path

    def read(self) -> tuple[CutLesson, ...]:
        """The cuts that count, oldest first; none where the file cannot be read."""
        found: list[CutLesson] = []
        for line in self._lines.read():
            if isinstance(line, CutLesson):
                found.append(line)
            else:
                found = [cut for cut in found if cut.tip != line.tip]
        return tuple(found)

    def add(self, cut: CutLesson) -> None:
        """Keep a cut; raises `SettingsError` where the disk refuses."""
        self._lines.add(asdict(cut))

    def forget(self, tip: str, at: str) -> None:
        """From here on the cuts of a tip before this line count no more; raises as `add`."""
        self._lines.add({"forget": tip, "at": at})


def _cut(plain: Mapping[str, Any]) -> CutLesson | _Forgotten:
    if "forget" in plain:
        return _Forgotten(text(plain["forget"]))
    return CutLesson(
        at=text(plain["at"]),
        tip=text(plain["tip"]),
        thickness=number(plain["thickness"], 0.0, THICKEST),
        speed=number(plain["speed"], 0.0, FASTEST),
        table=number(plain["table"], 0.0, FASTEST),
        result=CutResult(plain["result"]),
        measured=flag(plain["measured"]),
    )


class PracticeFile:
    """The coupons of everybody who practised.

    Args:
        folder: where the file lies.
        faults: takes what is wrong with it.
    """

    def __init__(self, folder: Path, faults: Faults | None = None) -> None:
        self._lines = LineFile(
            folder / PRACTICE_FILE,
            "The practice cuts",
            _coupon,
            "Until you mend it they count no more.",
            faults or Faults(),
        )

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self._lines.path

    def read(self, who: str | None = None) -> tuple[Coupon, ...]:
        """The coupons, oldest first; of one person when named."""
        return tuple(each for each in self._lines.read() if who is None or each.who == who)

    def add(self, coupon: Coupon) -> None:
        """Keep a coupon; raises as `CutsFile.add`."""
        self._lines.add(asdict(coupon))


def _coupon(plain: Mapping[str, Any]) -> Coupon:
    return Coupon(
        at=text(plain["at"]),
        who=text(plain["who"]),
        case=PracticeCase(plain["case"]),
        speed=number(plain["speed"], 0.0, FASTEST),
        low=number(plain["low"], 0.0, FASTEST),
        high=number(plain["high"], 0.0, FASTEST),
        result=CutResult(plain["result"]),
        passed=flag(plain["passed"]),
    )
