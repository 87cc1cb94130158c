"""A shift's two clocks, moved by hand, and a pacing over a folder that can be started anew."""

from pathlib import Path

from handsfree.logbook.logbook import Logbook
from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing.pacing import Pacing
from handsfree.store.faults import Faults
from handsfree.values import Due
from handsfree.values.timing import BeatSet


class Clocks:
    """One clock that only moves forward, and the machine's, which can be set."""

    def __init__(self) -> None:
        self.now = 500.0
        self.wall = 1_780_000_000.0

    def go_on(self, seconds: float) -> None:
        """Time goes by."""
        self.now += seconds
        self.wall += seconds


class Beats:
    """Remembers the beat."""

    def __init__(self) -> None:
        self.set_to: BeatSet | None = None

    @property
    def beating(self) -> bool:
        return self.set_to is not None

    def beat(self, beat: BeatSet | None) -> None:
        self.set_to = beat


class Shift:
    """Pacing over a folder; `restart` is what a kill and a new start leave."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.clocks = Clocks()
        self.beats = Beats()
        self.changes = 0
        self.faults = Faults()
        self.logbook = Logbook(folder / "logbook.sqlite")
        self.told: list[Due] = []
        self.restart()

    def restart(self) -> None:
        """A new process over the same files; its own clock begins anew."""
        self.pacing = Pacing(
            self.folder,
            LogbookWriter(self.logbook),
            lambda: self.clocks.now,
            lambda: self.clocks.wall,
            self.faults,
        )
        self.pacing.attach(self.beats)
        self.told += self.pacing.times.run(self._changed)

    def _changed(self) -> None:
        self.changes += 1

    def go_on(self, seconds: float, step: float = 1.0) -> list[Due]:
        """Time goes by, looked at in steps; what came due."""
        found: list[Due] = []
        for _ in range(round(seconds / step)):
            self.clocks.go_on(step)
            found += self.pacing.due()
        self.told += found
        return found

    def said(self) -> str:
        """All that was told so far, in small letters."""
        return " ".join(" ".join(due.sentences) for due in self.told).lower()

    def kinds(self) -> list[str]:
        """The kinds of what is on record."""
        return [entry.kind for entry in self.logbook.entries()]
