"""The beat of the hand, travel measured between two marks, and how cuts came out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol

from handsfree.engine.learned import (
    LATEST,
    LEAST_CUTS,
    cuts_of,
    move_of,
    moved_said,
    pace_words,
    reading,
)
from handsfree.engine.saying import whole
from handsfree.spoken_numbers import length_words, quantity_words
from handsfree.values import (
    YES_OR_NO,
    Answer,
    Figure,
    Question,
    Reply,
    Request,
    Status,
    YesKind,
    YesTo,
)
from handsfree.values.reply import Asks
from handsfree.values.timing import Against, BeatSet, CutLesson, CutResult, PaceAct, Paced
from handsfree.values.units import Quantity, inches_a_minute, registry

SLOWEST, FASTEST = 0.5, 80.0  # inches a minute: what a hand can follow, and a torch can do
STEP: Final = 1.1  # of the beat, by "faster" and "slower"
SHORTEST, LONGEST = 1.0, 120.0  # inches between two marks
RESULT_WITHIN_S: Final = 900.0  # a result said later is not that of the run that was measured
MARK_WITHIN_S: Final = 1200.0
INCH, TEN_MM = 25.4, 10.0
NO_BEAT: Final = "No beat is on. Say, beat for, and the plate."
BEAT_OFF: Final = "The beat is off."
SOUNDS_WHEN_IT_RUNS: Final = "The beat sounds while the helper runs: start handsfree."
OVER_WHAT: Final = "Over what length? Say, mark six inches."
MARKED: Final = "Marked."
NOT_MARKING: Final = "Nothing is being measured."
DROPPED: Final = "Dropped. Nothing was measured."
ASK_FIRST: Final = "Ask me for that cut first, then tell me how it came out."
WHICH_TIP: Final = "I keep what a tip teaches when I know the tip. Say which one is in the torch."
HOW_DID_IT: Final = "How did it come out?"
RESULTS: Final = tuple(result.value for result in CutResult)
NOTHING_LEARNED: Final = "I have learned nothing for that tip yet."


class Beats(Protocol):
    """What sounds the beat."""

    @property
    def beating(self) -> bool:
        """Whether the beat is on."""

    @property
    def set_to(self) -> BeatSet | None:
        """The beat that was set last."""

    def beat(self, beat: BeatSet | None) -> None:
        """Sound this beat from now on; none when None."""


@dataclass(frozen=True, slots=True)
class Marking:
    """A run that is being measured.

    Attributes:
        length: over which.
        began: when it was said that it is to be measured, or when its first line was crossed.
        since: when its first line was crossed; None before that.
    """

    length: Quantity
    began: float
    since: float | None = None


@dataclass(frozen=True, slots=True)
class Run:
    """A run that was measured: how fast, in inches a minute, over which length, and when."""

    speed: float
    length: Quantity
    at: float


# --- the beat -------------------------------------------------------------------------------------


def beat_at(speed: Quantity, metric: bool) -> BeatSet:
    """The beat for a travel speed: a tick each inch and a double one each foot, or 10 and 100 mm.

    >>> beat_at(inches_a_minute(12.0), metric=False).interval
    5.0
    """
    every, group = (TEN_MM, 10) if metric else (INCH, 12)
    return BeatSet(round(float(speed.m_as("mm/min")), 6), every, group)


def speed_of(beat: BeatSet) -> float:
    """Its travel in inches a minute."""
    return beat.speed / INCH


def within_reach(speed: Quantity) -> bool:
    """Whether a hand can follow it."""
    return SLOWEST <= float(speed.m_as("in/min")) <= FASTEST


def beat_said(beat: BeatSet) -> str:
    """What the beat does, in words.

    >>> beat_said(beat_at(inches_a_minute(12.0), metric=False))
    'A tick an inch, every five seconds, and two ticks at each foot.'
    """
    metric = beat.every == TEN_MM
    each, group = ("ten millimetres", "hundred millimetres") if metric else ("an inch", "foot")
    tenths = round(beat.interval, 1)
    every = quantity_words(registry.Quantity(tenths, "second"))
    opening = "A tick each" if metric else "A tick"
    return f"{opening} {each}, every {every}, and two ticks at each {group}."


def begin_beat(
    request: Request, speed: Quantity, beats: Beats | None, setting: Figure | None
) -> Answer | Question:
    """Let the beat sound."""
    if not within_reach(speed):
        return Question(
            request, Asks.SPEED, "No hand cuts at that pace. What speed for the beat?", again=True
        )
    paced = request.paced or Paced(PaceAct.BEGIN)
    beat = beat_at(speed, paced.metric or _is_metric(request))
    how = beat_said(beat)
    if beats is None:
        said: tuple[str, ...] = (how, SOUNDS_WHEN_IT_RUNS)
    else:
        beats.beat(beat)
        said = (how,)
    figures = (setting,) if setting is not None else ()
    sources = (setting.source,) if setting is not None else ()
    return Answer(request, figures, technique=said, sources=sources)


def _is_metric(request: Request) -> bool:
    thickness = request.piece.thickness if request.piece is not None else None
    return thickness is not None and thickness.units == registry.millimeter


def changed_beat(
    request: Request, beat: BeatSet, faster: bool, beats: Beats, against: Against | None
) -> Answer:
    """The beat a tenth faster or slower."""
    speed = speed_of(beat) * (STEP if faster else 1 / STEP)
    speed = min(FASTEST, max(SLOWEST, speed))
    beats.beat(replace(beat, speed=speed * INCH))
    said = [f"{large(pace_words(speed))} inches a minute."]
    if against is not None and speed > against.high * STEP:
        said.append(f"That is faster than the setting, {_range(against)}.")
    if against is not None and speed < against.low / STEP:
        said.append(f"That is slower than the setting, {_range(against)}.")
    return Answer(request, technique=tuple(said))


# --- marks ----------------------------------------------------------------------------------------


def length_fits(length: Quantity) -> bool:
    """Whether a run can be measured over it by word."""
    return SHORTEST <= float(length.m_as("in")) <= LONGEST


def marking_said(length: Quantity) -> str:
    """How to mark."""
    return f"Over {length_words(length)}. Say mark at the start, and mark at the end."


def measured(marking: Marking, now: float) -> Run | None:
    """The run between the two marks; None when nothing can have been cut at such a speed."""
    if marking.since is None or now <= marking.since:
        return None
    speed = float(marking.length.m_as("in")) * 60.0 / (now - marking.since)
    return Run(speed, marking.length, now) if SLOWEST / 2 <= speed <= FASTEST else None


def run_figures(run: Run, against: Against | None) -> tuple[Figure, ...]:
    """The travel as it was run, then the setting."""
    speed = inches_a_minute(round(run.speed * 4) / 4)
    over = f"over {length_words(run.length)}"
    found = [Figure("travel_run", speed, speed, "this_project", Status.COMPUTED, over)]
    if against is not None:
        ends = inches_a_minute(against.low), inches_a_minute(against.high)
        found.append(
            Figure("travel_speed", *ends, "this_project", Status.COMPUTED, "as it is advised")
        )
    return tuple(found)


def run_said(run: Run, against: Against | None) -> tuple[str, ...]:
    """How the run compares with the setting, and what to change.

    >>> ends = (14.0, 16.0, 14.0, 16.0)
    >>> six = registry.Quantity(6.0, "inch")
    >>> run_said(Run(12.0, six, 0.0), Against("t", "", 0.5, "half", *ends))[0]
    'Slower than the setting of fourteen to sixteen. Go faster by two.'
    """
    if against is None:
        return ("Ask me for that cut, and I compare it with the setting.",)
    setting = _range(against)
    if run.speed < against.low - 0.125:
        more = pace_words(max(0.25, against.low - run.speed), 0.25)
        return (f"Slower than the setting of {setting}. Go faster by {more}.",)
    if run.speed > against.high + 0.125:
        less = pace_words(max(0.25, run.speed - against.high), 0.25)
        return (
            f"Faster than the setting of {setting}. Go slower by {less}, or it may not go through.",
        )
    return (f"Inside the setting of {setting}.",)


def large(words: str) -> str:
    """Words that begin a sentence.

    >>> large("one more cut, and I go")
    'One more cut, and I go'
    """
    return words[:1].upper() + words[1:]


def _range(against: Against) -> str:
    low, high = pace_words(against.low), pace_words(against.high)
    return low if low == high else f"{low} to {high}"


# --- results --------------------------------------------------------------------------------------


def lesson(at: str, against: Against, run: Run | None, result: CutResult) -> CutLesson:
    """A result as it is kept; without a measured run it is taken as run at the middle advised."""
    advised = (against.low + against.high) / 2
    return CutLesson(
        at=at,
        tip=against.tip,
        thickness=against.thickness,
        speed=round(advised if run is None else run.speed, 2),
        table=round((against.table_low + against.table_high) / 2, 2),
        result=result,
        measured=run is not None,
    )


def result_said(cut: CutLesson, against: Against, cuts: Sequence[CutLesson]) -> tuple[str, ...]:
    """What was kept, what to change, and how the advice stands now.

    Args:
        cut: the new one.
        against: what was cut with which tip.
        cuts: all that count for that tip and thickness, the new one among them.
    """
    at = f", at {pace_words(cut.speed)} inches a minute" if cut.measured else ""
    kept = f"Kept, {against.tip_said}{at}."
    return (kept, reading(cut.result).change, standing_said(cut.table, cuts))


def standing_said(table: float, cuts: Sequence[CutLesson]) -> str:
    """How far the advice is moved, or what is still missing for that.

    >>> standing_said(12.0, ())
    'No cut is kept for it.'
    """
    count = len(cuts[-LATEST:])
    if not count:
        return "No cut is kept for it."
    move = move_of(cuts)
    if move is not None:
        return f"Travel is {moved_said(table, table * move.factor, move.cuts)}."
    if count < LEAST_CUTS:
        more = (
            "one more cut" if count == LEAST_CUTS - 1 else f"{whole(LEAST_CUTS - count)} more cuts"
        )
        return f"{large(more)}, and I go by them."
    return f"{large(whole(count))} cuts agree with the table."


def shown(request: Request, tip: str, tip_said: str, cuts: Sequence[CutLesson]) -> Answer:
    """What was learned of a tip, by thickness."""
    of_tip = [cut for cut in cuts if cut.tip == tip]
    if not of_tip:
        return Answer(request, technique=(NOTHING_LEARNED,))
    said = []
    for thickness in dict.fromkeys(round(cut.thickness, 3) for cut in of_tip):
        own = cuts_of(of_tip, tip, thickness)
        inch = length_words(registry.Quantity(thickness, "inch"), before_noun=True)
        count = f"{whole(min(len(own), 999))} {'cut' if len(own) == 1 else 'cuts'}"
        said.append(f"{large(inch)}, {count}. {standing_said(own[-1].table, own)}")
    return Answer(request, technique=(f"With {tip_said}.", *said))


def forgotten(
    request: Request,
    tip: str,
    tip_said: str,
    cuts: Sequence[CutLesson],
    forget: Callable[[], None],
) -> Reply:
    """Forget what a tip taught, once that is confirmed."""
    count = sum(cut.tip == tip for cut in cuts)
    if not count:
        return Answer(request, technique=(NOTHING_LEARNED,))
    many = f"{whole(min(count, 999))} {'cut' if count == 1 else 'cuts'}"
    forget_them = YesTo(YesKind.FORGET_LESSONS, tip)
    if forget_them not in request.confirmed:
        prompt = f"Forget {many} with {tip_said}?"
        return Question(request, Asks.CONFIRM, prompt, YES_OR_NO, yes_to=forget_them)
    forget()
    said = f"Forgotten: {many} with {tip_said}. The advice is the table's again."
    return Answer(replace(request, defaults=()), technique=(said,))
