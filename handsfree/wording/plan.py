"""A cut plan in words: how it lies and in which order first, then every cut with its figures."""

from collections.abc import Iterable
from typing import NamedTuple

from handsfree.spoken_numbers import length_words, whole
from handsfree.values import (
    About,
    CutPlan,
    Development,
    Figure,
    PlannedCut,
    Span,
    Status,
    ToldFigure,
)
from handsfree.values.units import Quantity, inches
from handsfree.wording.figures import told_figure

FIRST_AT_MOST = 9
"""Sentences before "more", itself among them; one who asks for the order gets all that is alike."""

AT_ONCE = {
    About.CUT_ORDER: ("oxygen_pressure", "fuel_pressure", "time"),
    About.SETTING: ("oxygen_pressure", "fuel_pressure", "travel_speed"),
}
"""The figures of a plan that are said before "more"; the others follow."""

_MARKED_EVERY = 6  # of the lines round a pipe, one for each hour and a half is said


class Opening(NamedTuple):
    """What is said of a plan before its figures, in order, and what had no room."""

    now: list[str]
    later: list[str]


def opening(plan: CutPlan, technique: tuple[str, ...], room: int) -> Opening:
    """How it lies, what to mark, the order, and what holds for every cut.

    The order is always said. A tip that does not suit comes next, then the rest while there is
    room.

    Args:
        plan: whose cuts are told.
        technique: the answer's, which opens with how the piece lies.
        room: how many sentences there is room for.
    """
    first = next(
        (place for place, line in enumerate(technique) if line.startswith("Cut one,")),
        len(technique),
    )
    before = [line for line in technique[:first] if line != "One cut."]
    alike = held(plan)
    lines = [*before, *alike]
    order = before[-1:] if len(plan.cuts) > 1 else []
    of_the_tip = [line for line in alike if "tip is" in line]
    wanted = list(dict.fromkeys((*order, *of_the_tip, *before, *alike)))[: max(room, len(order))]
    return Opening(
        [line for line in lines if line in wanted], [line for line in lines if line not in wanted]
    )


def held(plan: CutPlan) -> list[str]:
    """What is done at every cut alike, so that it is known before the first."""
    first, *others = (cut.how for cut in plan.cuts)
    return [line for line in first if all(line in how for how in others)]


def cuts_said(plan: CutPlan) -> list[str]:
    """Every cut: how it is made beside what holds for all, its travel, its time, what to watch."""
    alike = held(plan)
    return [" ".join(_cut(cut, alike)) for cut in plan.cuts]


def _cut(cut: PlannedCut, alike: list[str]) -> Iterable[str]:
    yield f"Cut {whole(cut.number)}, {cut.part}."
    yield from (line for line in cut.how if line not in alike)
    travel, time = span_told("travel_speed", cut.travel), span_told("time", cut.time)
    if travel is not None and time is not None:
        yield f"Travel {travel.spoken}, in {time.spoken}."
    yield from cut.watch


def span_told(name: str, span: Span | None) -> ToldFigure | None:
    """A range of a plan as it is said and shown; None where there is none."""
    if span is None:
        return None
    return told_figure(Figure(name, span[0], span[1], "", Status.COMPUTED), str)


def held_at(cut: PlannedCut, sign: str) -> str:
    """How the torch is held at a cut, in few letters: "lean 50 deg", "tilt 30 deg", "square"."""
    lean, tilt = float(cut.lean[0].m_as("degree")), float(cut.bevel.m_as("degree"))
    said = [f"tilt {tilt:.3g}{sign}"] if tilt else []
    said += [f"lean {lean:g}{sign}"] if lean else []
    return " ".join(said) or "square"


def development_said(development: Development) -> list[str]:
    """The line round a pipe, to be marked: its wrap, and how far off the line lies at each hour."""
    once = length_words(_to_a_sixteenth(development.wrap))
    if all(line.height.magnitude == 0 for line in development.ordinates):
        return [f"Once round is {once}."]
    said = [f"Once round is {once}, marked in sixteen."]
    for line in development.ordinates[::_MARKED_EVERY]:
        height = _to_a_sixteenth(line.height)
        words = length_words(height) if height.magnitude else "nothing"
        said.append(f"At {_hour(line.clock)}, {words}.")
    return said


def _hour(clock: float) -> str:
    """An hour of the clock: "three o'clock", "half past one"."""
    hours = int(clock)
    return f"{whole(hours)} o'clock" if clock == hours else f"half past {whole(hours)}"


def _to_a_sixteenth(length: Quantity) -> Quantity:
    """A length as a rule shows it, in inches."""
    return inches(round(float(length.m_as("in")) * 16) / 16)
