"""What is kept of times, cuts and practice: small files beside the user's own.

Times that run are one file, written anew at every change; how cuts and coupons came out are files
to which a line is added for each, so that nothing is ever written over. A line that a crash cut
short is passed over, and what follows it is kept.
"""

import contextlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from handsfree.errors import SettingsError
from handsfree.values.timing import Coupon, CutLesson, CutResult, PracticeCase, Running
from handsfree.whole_file import write_whole

TIMERS_FILE: Final = "timers.json"
CUTS_FILE: Final = "cuts.jsonl"
PRACTICE_FILE: Final = "practice.jsonl"


class TimersFile:
    """The times that run, by the machine's clock, so that they outlive the program.

    Args:
        folder: where the file lies.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / TIMERS_FILE

    def read(self, now: float, wall: float) -> tuple[tuple[Running, ...], bool]:
        """The timers, and whether the machine's clock was set back since they were written.

        Args:
            now: of the clock that only moves forward, in seconds.
            wall: of the machine's clock, in seconds.

        Raises:
            SettingsError: the file is there and makes no sense.
        """
        try:
            content = json.loads(self.path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return (), False
        except (OSError, ValueError) as fault:
            raise SettingsError(
                f"The timers in {self.path} cannot be read: {fault}. Delete the file."
            ) from fault
        try:
            gone = wall - float(content["at"])
            timers = tuple(_running(entry, now - max(0.0, gone)) for entry in content["timers"])
        except (KeyError, TypeError, ValueError) as fault:
            raise SettingsError(
                f"The timers in {self.path} make no sense: {fault!r}. Delete the file."
            ) from fault
        return timers, gone < 0

    def write(self, timers: tuple[Running, ...], now: float, wall: float) -> None:
        """Keep the timers.

        Raises:
            SettingsError: the disk refuses; the old file stands.
        """
        entries = [asdict(timer) | {"ends": timer.left(now)} for timer in timers]
        text = json.dumps({"at": wall, "timers": entries}, indent=1)
        complaint = f"Cannot keep the timers in {self.path}: {{fault}}."
        write_whole(self.path, text, f"{complaint} They run, but not over a restart.")


def _running(entry: Mapping[str, Any], written_at: float) -> Running:
    then = entry["then"]
    return Running(
        name=str(entry["name"]),
        seconds=float(entry["seconds"]),
        ends=written_at + float(entry["ends"]),
        rule=str(entry["rule"]),
        run=str(entry["run"]),
        half_said=bool(entry["half_said"]),
        rung=int(entry["rung"]),
        repeats=bool(entry["repeats"]),
        then=None if then is None else (str(then[0]), float(then[1])),
    )


class _Lines:
    """A file to which lines are added."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, line: Mapping[str, object]) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open("a+b") as file:
                if file.tell() and not self._ends_whole():
                    file.write(b"\n")  # after a line that a crash cut short
                file.write(json.dumps(line, separators=(",", ":")).encode() + b"\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as fault:
            raise SettingsError(
                f"Cannot add to {self.path}: {fault}. Free the disk; that cut is not kept."
            ) from fault

    def _ends_whole(self) -> bool:
        with self.path.open("rb") as file:
            file.seek(-1, os.SEEK_END)
            return file.read(1) == b"\n"

    def read(self) -> Iterator[dict[str, Any]]:
        try:
            text = self.path.read_bytes().decode("utf-8", errors="replace")
        except FileNotFoundError:
            return
        except OSError as fault:
            raise SettingsError(f"{self.path} cannot be read: {fault}.") from fault
        for line in text.splitlines():
            with contextlib.suppress(ValueError):
                plain = json.loads(line)
                if isinstance(plain, dict):
                    yield plain


class CutsFile:
    """How cuts came out, by tip and thickness; forgetting a tip is a line of its own."""

    def __init__(self, folder: Path) -> None:
        self._lines = _Lines(folder / CUTS_FILE)

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self._lines.path

    def read(self) -> tuple[CutLesson, ...]:
        """The cuts that count, oldest first; raises `SettingsError` where it cannot be read."""
        found: list[CutLesson] = []
        for plain in self._lines.read():
            if (tip := plain.get("forget")) is not None:
                found = [cut for cut in found if cut.tip != tip]
                continue
            with contextlib.suppress(KeyError, TypeError, ValueError):
                found.append(
                    CutLesson(
                        at=str(plain["at"]),
                        tip=str(plain["tip"]),
                        thickness=float(plain["thickness"]),
                        speed=float(plain["speed"]),
                        table=float(plain["table"]),
                        result=CutResult(plain["result"]),
                        measured=bool(plain["measured"]),
                    )
                )
        return tuple(found)

    def add(self, cut: CutLesson) -> None:
        """Keep a cut; raises `SettingsError` where the disk refuses."""
        self._lines.add(asdict(cut))

    def forget(self, tip: str, at: str) -> None:
        """From here on the cuts of a tip before this line count no more; raises as `add`."""
        self._lines.add({"forget": tip, "at": at})


class PracticeFile:
    """The coupons of everybody who practised."""

    def __init__(self, folder: Path) -> None:
        self._lines = _Lines(folder / PRACTICE_FILE)

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self._lines.path

    def read(self, who: str | None = None) -> tuple[Coupon, ...]:
        """The coupons, oldest first; of one person when named; raises as `CutsFile.read`."""
        found = []
        for plain in self._lines.read():
            with contextlib.suppress(KeyError, TypeError, ValueError):
                coupon = Coupon(
                    at=str(plain["at"]),
                    who=str(plain["who"]),
                    case=PracticeCase(plain["case"]),
                    speed=float(plain["speed"]),
                    low=float(plain["low"]),
                    high=float(plain["high"]),
                    result=CutResult(plain["result"]),
                    passed=bool(plain["passed"]),
                )
                if who is None or coupon.who == who:
                    found.append(coupon)
        return tuple(found)

    def add(self, coupon: Coupon) -> None:
        """Keep a coupon; raises as `CutsFile.add`."""
        self._lines.add(asdict(coupon))
