"""Drills, sheet gauges and pipe: the trade's numbers become dimensions."""

import functools
from fractions import Fraction

from handsfree.engine.tables.loader import Row, table
from handsfree.engine.tables.rows import Listed, PipeRow


def number_drill(number: int) -> Listed | None:
    """Diameter of a number drill, None outside 1 to 80.

    >>> number_drill(56).value.m_as("in")
    0.0465
    >>> number_drill(81) is None
    True
    """
    return _number_drills().get(number)


def number_drills() -> tuple[tuple[int, Listed], ...]:
    """All number drills, smallest diameter (highest number) first."""
    return tuple(_number_drills().items())


def sheet_gauge(number: int, *, galvanised: bool = False) -> Listed | None:
    """Thickness of a sheet gauge, None outside 3 to 38 (uncoated) or 8 to 31 (galvanised).

    Uncoated is the manufacturers' standard gauge for sheet steel; a galvanised sheet of the same
    number is a little thicker.

    >>> sheet_gauge(10).value.m_as("in"), sheet_gauge(10, galvanised=True).value.m_as("in")
    (0.1345, 0.1382)
    """
    return _gauges("galvanised_gauges" if galvanised else "sheet_gauges").get(number)


def pipe(nominal: Fraction, schedule: str) -> PipeRow | None:
    """Dimensions of a pipe, None when the standard lists no such size and schedule.

    >>> pipe(Fraction(4), "40").wall.m_as("in")
    0.237
    >>> pipe(Fraction(4), "sch 41") is None
    True
    """
    wanted = schedule.upper().replace("SCHEDULE", "").replace("SCH", "").replace(".", "").strip()
    row = _pipes().get((nominal, wanted))
    if row is None:
        return None
    return PipeRow(
        nominal=nominal,
        schedule=wanted,
        outside=row.quantity("outside"),
        wall=row.quantity("wall"),
        weight=row.quantity("weight"),
        source=row.source(),
        status=row.status(),
        second_copy=row.text("second_copy") == "agrees",
    )


def pipe_schedules(nominal: Fraction) -> tuple[str, ...]:
    """The schedules that are listed for a nominal size, thinnest wall first; empty when none is.

    >>> pipe_schedules(Fraction(7, 2))
    ('5', '5S', '10', '10S', '30', 'STD', '40', '40S', 'XS', '80', '80S')
    """
    found = [(row.number("wall"), key[1]) for key, row in _pipes().items() if key[0] == nominal]
    return tuple(schedule for _, schedule in sorted(found, key=lambda pair: pair[0]))


@functools.cache
def pipe_sizes() -> tuple[Fraction, ...]:
    """The nominal sizes that are listed, in inches, smallest first."""
    return tuple(sorted({nominal for nominal, _ in _pipes()}))


@functools.cache
def _number_drills() -> dict[int, Listed]:
    return {
        int(row.number("drill")): Listed(row.quantity("diameter"), row.source(), row.status())
        for row in table("number_drills").rows
    }


@functools.cache
def _gauges(name: str) -> dict[int, Listed]:
    return {
        int(row.number("gauge")): Listed(row.quantity("thickness"), row.source(), row.status())
        for row in table(name).rows
    }


@functools.cache
def _pipes() -> dict[tuple[Fraction, str], Row]:
    return {(row.fraction("nominal"), row.text("schedule")): row for row in table("pipe").rows}
