"""A cut plan as lines to read: one line a cut, with what to set, how to lean, pace and time."""

from collections.abc import Iterator

from handsfree.tell.wording_plan import span_told
from handsfree.values import CutPlan, PlannedCut


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


def _row(cut: PlannedCut) -> tuple[str, ...]:
    lean = float(cut.lean[0].m_as("degree"))
    travel, time = span_told("travel_speed", cut.travel), span_told("time", cut.time)
    pressure = span_told("oxygen_pressure", cut.oxygen_pressure)
    return (
        str(cut.number),
        cut.part,
        f"{float(cut.thickness.m_as('in')):.3g} in",
        f"lean {lean:g} deg" if lean else "square",
        *(
            f"{told.digits} {told.unit}" if told is not None else "-"
            for told in (pressure, travel, time)
        ),
    )


def _pounds(plan: CutPlan) -> str:
    return f"{float(plan.removed.m_as('lb')):.2g}"
