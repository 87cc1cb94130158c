"""A made afternoon in a logbook: lists led and left open, times, a refusal, an alarm, settings."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

from handsfree.logbook.logbook import Logbook
from handsfree.logbook.notes import Note, note_of, timer_note
from handsfree.logbook.writer import LogbookWriter
from handsfree.values import Status, Told, ToldFigure
from handsfree.values.record import RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark
from handsfree.values.timing import Running, TimeNews, TimeNewsKind

BEGIN = datetime(2026, 3, 4, 13, 2, 10, tzinfo=timezone(timedelta(hours=-5)))
LIGHT = (
    ("Acetylene torch valve a quarter turn open.", "open a quarter turn", "a quarter turn", True),
    ("What does the acetylene gauge read?", "checked", "done", False),
    ("What does the acetylene gauge read?", "gauge reads five", "5 psi", True),
    ("Light it with a friction lighter.", "lit", "lit", True),
    ("What does the flame look like?", "flame is neutral", "neutral flame", True),
)
WATCH_RULE = "NFPA 51B 2019, 5.6.3: one hour, and monitoring as the permit issuer decides"
WATCH = Running("fire watch", 3600.0, 0.0, WATCH_RULE, "11")
UPRIGHT = Running("cylinder upright", 7200.0, 0.0, "NAVEDTRA 14119", "12")
SHIFT = Note(
    RecordKind.SHIFT,
    "bay four under the crane rail, permit one one seven",
    "bay 4, permit 117",
    detail={"place": "Bay 4, under the crane rail", "permit": "117"},
)
SETTING = Told(
    "answer",
    "what do i set for half inch plate",
    0.97,
    "Half inch plate, acetylene.",
    "setting",
    (),
    ("Half inch plate.", "Cutting oxygen, thirty to thirty five p s i."),
    figures=(
        ToldFigure(
            "oxygen_pressure", "cutting oxygen", 30, 35, "psi", "30-35", "", "", Status.MEMORY
        ),
        ToldFigure(
            "travel_speed", "travel", 15, 18, "in/min", "15-18", "", "", Status.COMMON_PRACTICE
        ),
    ),
    cautions=("Never set acetylene above 15 psi.", "Keep a fire watch after the cut."),
)
REFUSED = Told(
    "refusal",
    "set the acetylene to twenty",
    0.95,
    "Acetylene at 20 psi.",
    "fuel_pressure",
    (),
    ("Acetylene above fifteen p s i can explode by itself.", "29 CFR 1910.253(a)(2)."),
    cautions=("Never set acetylene above 15 psi.",),
    sources=("29 CFR 1910.253(a)(2)",),
)


class Afternoon:
    """Writes the afternoon; `book` holds it."""

    def __init__(self, folder: Path) -> None:
        self.book = Logbook(folder / "logbook.sqlite")
        self._now = BEGIN
        self._writer = LogbookWriter(self.book, clock=lambda: self._now)

    def put(self, *happened: object, after: float = 20.0) -> None:
        """These, so many seconds after what was before."""
        self._now += timedelta(seconds=after)
        assert self._writer.put(*happened)  # type: ignore[arg-type]

    def whole(self) -> "Afternoon":
        """All of it: one list finished, one stopped, one cut short by a flashback."""
        self.put(SHIFT)
        self.put(SETTING)
        self.light()
        self.put(REFUSED)
        self.put(timer_note(RecordKind.TIMER_STARTED, UPRIGHT))
        self.put(ListMark("before", "hot work check, before", ListEnd.BEGUN, 0, 3, run="2"))
        self.put(
            Confirmed("before", "hot work check, before", 1, 3, "Who is the second trained person?",
                      "lena is below", "lena", True, "WorkSafe Victoria, February 2015", "2")
        )  # fmt: skip
        self.put(ListMark("before", "hot work check, before", ListEnd.PUT_ASIDE, 1, 3, run="2"))
        self.put(
            Note(RecordKind.ALARM, "flashback", "flashback", "Torch oxygen valve shut at once.")
        )
        left = ("What is below?", "What protects the lanyard from sparks?")
        self.put(
            ListMark("before", "hot work check, before", ListEnd.NOT_FINISHED, 1, 3, left, "2")
        )
        self.put(timer_note(RecordKind.TIMER_STARTED, WATCH, heard="set the fire watch"))
        self.put(TimeNews(TimeNewsKind.HALF, WATCH), after=1800)
        self.put(TimeNews(TimeNewsKind.OVER, WATCH), after=1800)
        self.put(
            Note(RecordKind.TRAVEL, "mark", "15.2 inches a minute over 6 inches",
                 "The setting is fifteen to eighteen: right.")
        )  # fmt: skip
        self.put(
            note_of(ListMark("shutdown", "shutting down", ListEnd.BEGUN, 0, 4, run="3")), after=60
        )
        return self

    def light(self) -> None:
        """Lighting up, with one answer that did not pass."""
        self.put(ListMark("light", "lighting up", ListEnd.BEGUN, 0, 4, run="1"))
        number = 0
        for say, heard, came_to, right in LIGHT:
            number += right or number == 1
            step = number if right else 2
            self.put(
                Confirmed("light", "lighting up", step, 4, say, heard, came_to, right,
                          "29 CFR 1926.350(g)(3)", "1")
            )  # fmt: skip
            number = step if right else 1
        self.put(ListMark("light", "lighting up", ListEnd.FINISHED, 4, 4, run="1"))


def main() -> None:
    """Write the afternoon into a folder, to look at what is printed of it."""
    import sys

    Afternoon(Path(sys.argv[1])).whole()


if __name__ == "__main__":
    main()
