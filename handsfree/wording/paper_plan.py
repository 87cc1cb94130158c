"""A cut plan and a list of what to take up as lines to read: a line a cut, a line a piece."""

from collections.abc import Iterator

from handsfree.values import CutPlan, Development, PlannedCut, TakeUp
from handsfree.wording.plan import held_at, span_told


def plan_lines(plan: CutPlan) -> Iterator[str]:
    """The cuts of a plan as a table."""
    yield ""
    yield f"Cuts of {plan.name}, tip bore {float(plan.bore.m_as('in')):.4f} in:"
    rows = [_row(cut) for cut in plan.cuts]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield f"  {'  '.join(cells)}".rstrip()
    yield f"  {plan.freed} is cut last; the kerf takes {_pounds(plan)} lb of steel"


def metal_lines(development: Development) -> Iterator[str]:
    """How deep the steel is under an upright jet, hour by hour over the upper half."""
    found = [
        f"{line.clock:g}: {float(line.metal.m_as('in')):.2f}"
        for line in development.ordinates
        if line.metal is not None and line.clock == int(line.clock)
    ]
    yield f"  inches of steel under an upright jet, by the clock: {', '.join(found)}"


def _row(cut: PlannedCut) -> tuple[str, ...]:
    travel, time = span_told("travel_speed", cut.travel), span_told("time", cut.time)
    pressure = span_told("oxygen_pressure", cut.oxygen_pressure)
    return (
        str(cut.number),
        cut.part,
        f"{float(cut.thickness.m_as('in')):.3g} in",
        held_at(cut, " deg"),
        *(
            f"{told.digits} {told.unit}" if told is not None else "-"
            for told in (pressure, travel, time)
        ),
    )


def _pounds(plan: CutPlan) -> str:
    return f"{float(plan.removed.m_as('lb')):.2g}"


AT_MOST = 5
"""Tips beside each other in a table: more do not fit a line."""


def take_up_lines(take_up: TakeUp) -> Iterator[str]:
    """Pieces against tips as a table; the tips of the best choice are marked with a star."""
    taken = take_up.choices[0].tips if take_up.choices else ()
    shown = sorted({*taken, *range(len(take_up.tips))}, key=lambda tip: (tip not in taken, tip))
    columns = sorted(shown[:AT_MOST])
    head = ("", *(_tip(take_up, tip, taken) for tip in columns))
    rows = [
        (
            f"{place}. {line[:30]}",
            *(take_up.tips[tip].tried[place - 1].going.value for tip in columns),
        )
        for place, line in enumerate(take_up.lines, start=1)
    ]
    yield ""
    yield "Pieces against tips:"
    widths = [max(map(len, column)) for column in zip(head, *rows, strict=True)]
    for row in (head, *rows):
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield f"  {'  '.join(cells)}".rstrip()


def take_up_rows(take_up: TakeUp) -> Iterator[str]:
    """Each piece as the best choice cuts it: with which tip, how it goes, and how long it takes."""
    if not take_up.choices:
        return
    best = take_up.choices[0]
    for row, (line, tip) in enumerate(zip(take_up.lines, best.cuts_with, strict=True)):
        place = best.tips[-1] if tip is None else tip
        tried = take_up.tips[place].tried[row]
        if tip is None:
            yield f"{line}: no. {tried.why}"
            continue
        time = span_told("time", tried.time)
        long = f", {time.digits} {time.unit}" if time is not None else ""
        yield f"{line}: {take_up.tips[place].name}, {tried.going.value}{long}"


def _tip(take_up: TakeUp, tip: int, taken: tuple[int, ...]) -> str:
    name = take_up.tips[tip].name.removeprefix("stamped ").removeprefix("bore ")
    return f"{name[:9]}{'*' if tip in taken else ''}"
