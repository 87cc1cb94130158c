"""Times that run, the beat of the hand, measured travel, how cuts came out, and practice."""

from dataclasses import dataclass
from enum import StrEnum

from handsfree.values.units import Quantity


class TimerKind(StrEnum):
    """What a time is kept for, as it is said and shown."""

    FIRE_WATCH = "fire watch"
    MONITORING = "fire monitoring"
    PREHEAT = "preheat"
    WORK = "work"
    REST = "rest"
    CYLINDER_CHECK = "cylinder check"
    UPRIGHT = "cylinder upright"
    TIMER = "timer"
    """Any other."""


class PaceAct(StrEnum):
    """What is to be done about a timer, the beat, a mark, a result or practice."""

    BEGIN = "begin"
    STOP = "stop"
    LEFT = "left"
    """How long is left, or what is kept."""
    FASTER = "faster"
    SLOWER = "slower"
    MARK = "mark"
    """The line is crossed now."""
    FORGET = "forget"
    GO_ON = "go on"


class CutResult(StrEnum):
    """How a cut came out."""

    GOOD = "good cut"
    NOT_THROUGH = "would not go through"
    SLAG_BACK = "slag welded back"
    MELTED_EDGE = "top edge melted"
    LAGGING = "drag lines swept back"


class PracticeCase(StrEnum):
    """What is practised on coupons."""

    SMALL_TIP = "tip too small"
    LARGE_TIP = "tip too large"
    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"
    OVERHEAD = "overhead"
    PIPE = "pipe"
    ANGLE = "angle"
    SQUARE_TUBE = "square tube"


@dataclass(frozen=True, slots=True)
class Paced:
    """What a request says of times, pace, marks, results and practice.

    Attributes:
        act: what is to be done.
        timer: which timer; None when none was named.
        time: how long it is to run.
        rest: how long to rest after so much work.
        speed: of the beat, when it was named.
        metric: the beat ticks each 10 mm instead of each inch.
        length: between two marks.
        result: how a cut came out.
        case: what is practised.
        who: who practises, or whose progress is asked for; empty when not said.
    """

    act: PaceAct
    timer: TimerKind | None = None
    time: Quantity | None = None
    rest: Quantity | None = None
    speed: Quantity | None = None
    metric: bool = False
    length: Quantity | None = None
    result: CutResult | None = None
    case: PracticeCase | None = None
    who: str = ""


# --- times that run -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Running:
    """A time that runs down; its moments are seconds of a clock that only moves forward.

    Attributes:
        name: what it is for ("fire watch"); one of a name runs at a time.
        seconds: how long it was set for.
        ends: when it goes off.
        rule: why so long, fit to be said; empty where the user named the time.
        run: tells it from another of the same name in the record.
        half_said: it was told that half of it is over.
        rung: how often it has rung since it went off; 0 while it runs.
        repeats: it begins again when it goes off.
        then: name and seconds of the time that begins when this goes off, and that this one follows
            again; None when nothing does.
    """

    name: str
    seconds: float
    ends: float
    rule: str = ""
    run: str = ""
    half_said: bool = False
    rung: int = 0
    repeats: bool = False
    then: tuple[str, float] | None = None

    def left(self, now: float) -> float:
        """Seconds until it goes off; below 0 when it has."""
        return self.ends - now


class TimeNewsKind(StrEnum):
    """What has come of a time that runs."""

    HALF = "half"
    OVER = "over"
    STILL = "still"
    """It went off a while ago and nobody has taken it."""
    LATE = "late"
    """It went off while the helper was off."""


@dataclass(frozen=True, slots=True)
class TimeNews:
    """Something of a running time that is told now."""

    kind: TimeNewsKind
    of: Running


# --- the beat -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BeatSet:
    """The pace of the hand as a sound.

    Attributes:
        speed: of travel, in millimetres a minute.
        every: travel between two ticks, in millimetres: 25.4 or 10.
        group: how many ticks make a foot or 100 mm, each of which is told by a double tick.
    """

    speed: float
    every: float
    group: int

    @property
    def interval(self) -> float:
        """Seconds from tick to tick."""
        return 60.0 * self.every / self.speed


# --- measured travel and what came of it ----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Against:
    """What a run is compared with: the setting of the last cut that was asked about.

    Attributes:
        tip: the tip as the lessons know it; empty when it is not known.
        tip_said: the tip in words.
        thickness: of the steel, in inches.
        thickness_said: in words.
        low: slow end of the advised travel, in inches a minute.
        high: fast end.
        table_low: slow end before anything was learned.
        table_high: fast end before that.
    """

    tip: str
    tip_said: str
    thickness: float
    thickness_said: str
    low: float
    high: float
    table_low: float
    table_high: float


@dataclass(frozen=True, slots=True)
class CutLesson:
    """How one cut came out.

    Attributes:
        at: when, ISO 8601 with its offset.
        tip: as in `Against`.
        thickness: in inches.
        speed: inches a minute: as it was measured, else the middle of what was advised.
        table: the middle of the advised travel before anything was learned.
        result: how it came out.
        measured: the speed was measured between two marks.
    """

    at: str
    tip: str
    thickness: float
    speed: float
    table: float
    result: CutResult
    measured: bool = False


@dataclass(frozen=True, slots=True)
class Coupon:
    """One practice cut, measured and judged.

    Attributes:
        at: when, ISO 8601 with its offset.
        who: who cut it.
        case: what was practised.
        speed: as measured, in inches a minute.
        low: slow end of what was advised.
        high: fast end.
        result: how it came out.
        passed: inside what was advised, and a good cut.
    """

    at: str
    who: str
    case: PracticeCase
    speed: float
    low: float
    high: float
    result: CutResult
    passed: bool


@dataclass(frozen=True, slots=True)
class Progress:
    """The practice cuts of one person, for the plot; oldest first."""

    who: str
    coupons: tuple[Coupon, ...]


@dataclass(frozen=True, slots=True)
class Timer:
    """A time that runs down, or an alarm that has gone off.

    Attributes:
        name: what it is for ("fire watch").
        left: seconds until it goes off; 0 and less once it has.
        ringing: it has gone off and nobody has taken it yet.
    """

    name: str
    left: float
    ringing: bool = False
