"""A cut plan in words: how it lies and in which order first, then every cut with its figures."""

from collections.abc import Iterable

from handsfree.spoken_numbers import length_words, whole
from handsfree.tell.wording_figures import told_figure
from handsfree.units import Quantity, inches
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

AT_ONCE = {
    About.CUT_ORDER: ("oxygen_pressure", "fuel_pressure", "time"),
    About.SETTING: ("oxygen_pressure", "fuel_pressure", "travel_speed"),
}
"""The figures of a plan that are said before "more"; the others follow."""

_MARKED_EVERY = 6  # of the lines round a pipe, one for each hour and a half is said


def opening(technique: tuple[str, ...]) -> tuple[str, ...]:
    """What is said of a plan before its first cut: how it lies, what to mark, the order."""
    first = next(
        (place for place, line in enumerate(technique) if line.startswith("Cut one,")),
        len(technique),
    )
    return technique[:first]


def cuts_said(plan: CutPlan) -> list[str]:
    """Every cut: how it is made, its travel, its time and what to watch."""
    return [" ".join(_cut(cut)) for cut in plan.cuts]


def _cut(cut: PlannedCut) -> Iterable[str]:
    yield f"Cut {whole(cut.number)}, {cut.part}."
    yield from cut.how
    travel, time = span_told("travel_speed", cut.travel), span_told("time", cut.time)
    if travel is not None and time is not None:
        yield f"Travel {travel.spoken}, in {time.spoken}."
    yield from cut.watch


def span_told(name: str, span: Span | None) -> ToldFigure | None:
    """A range of a plan as it is said and shown; None where there is none."""
    if span is None:
        return None
    return told_figure(Figure(name, span[0], span[1], "", Status.COMPUTED), str)


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
