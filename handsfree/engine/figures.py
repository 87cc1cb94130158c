"""A worked-out cut becomes figures, each with its source and the weakest status of what went in."""

import functools

from handsfree.engine import gases, published, sheet, speed, tables
from handsfree.engine.fuel_hose import fuel_at_regulator
from handsfree.engine.job import Job
from handsfree.engine.saying import whole
from handsfree.engine.trust import weakest
from handsfree.engine.work import rounded_inward
from handsfree.values import Figure, Fit, Fuel, Status
from handsfree.values.units import (
    Quantity,
    cubic_feet_an_hour,
    degrees,
    inches,
    inches_a_minute,
    psi,
    registry,
    seconds,
)

STANDOFF = (1 / 16, 1 / 8)  # inches, inner cones to plate
EDGE_START = (5.0, 15.0)  # seconds with acetylene, from memory; no source found
EXACT_DRILL = 5e-5  # inches: half the last place of the drill table
EDGE_START_UP_TO = 1.0  # inches: thicker plate has no figure at all


def all_figures(job: Job) -> tuple[Figure, ...]:
    """Every figure that there is for the job."""
    found = [
        oxygen_pressure(job),
        fuel_pressure(job),
        travel_speed(job),
        *lean_and_path(job),
        kerf(job),
        preheat_time(job),
        standoff(),
        shade(job.metal.quantity),
        *flows(job),
        listed_bore(job) if job.tip is None else None,
    ]
    return tuple(figure for figure in found if figure is not None)


def oxygen_pressure(job: Job) -> Figure:
    """Cutting oxygen at the regulator."""
    work = job.work
    low, high = work.regulator
    if job.hose_counted or work.row.between or job.off_size:
        low, high = rounded_inward(low, high, 1.0)
    status = job.base_status
    if job.hose_counted:
        status = weakest(status, Status.COMPUTED)
    return Figure(
        "oxygen_pressure", psi(low), psi(high), work.row.source, status, "at the regulator"
    )


def fuel_pressure(job: Job) -> Figure | None:
    """Fuel at the regulator."""
    found = fuel_at_regulator(job.fuel, job.metal.thickness, job.work.fuel, job.line)
    if found is None:
        return None
    low, high = found.pressure
    status = found.status
    if found.pressure != _listed_fuel(job):
        status = weakest(status, Status.COMPUTED)
    return Figure("fuel_pressure", psi(low), psi(high), found.source, status, job.fuel.value)


def _listed_fuel(job: Job) -> tuple[float, float] | None:
    found = gases.fuel_pressure(job.fuel, job.metal.thickness)
    return None if found is None else found.pressure


def travel_speed(job: Job) -> Figure:
    """Travel speed, with what the cut will be where it is not a proper one."""
    low, high = job.work.speed
    source, note = job.work.row.source, ""
    status = job.base_status
    if job.off_size or job.work.sheet:
        step = 0.5 if high < 20 else 1.0
        low, high = round(low / step) * step, round(high / step) * step
        source, status = "this_project", weakest(status, Status.MEMORY)
        if job.work.fit is Fit.TOO_SMALL:
            note = "separation only"
        elif job.work.lean:
            note = _leaned(job)
        else:
            note = "" if job.work.sheet else "rounded top edge"
    elif job.work.row.between:
        low, high = rounded_inward(low, high, 0.5)
    else:
        note = trade_runs(job)
    return Figure("travel_speed", inches_a_minute(low), inches_a_minute(high), source, status, note)


def _leaned(job: Job) -> str:
    most = f" to {whole(round(sheet.LEAN[1]))}" if job.work.sheet else ""
    return f"leaned {whole(round(job.work.lean))}{most} degrees"


def trade_runs(job: Job) -> str:
    """The trade's own pace with the right tip, where it is known to differ from the table's."""
    if job.off_size or job.work.sheet:
        return ""
    plates = (
        plate for plate in _trade_paces() if abs(plate - job.metal.thickness) < published.SAME
    )
    return next((_trade_paces()[plate] for plate in plates), "")


@functools.cache
def _trade_paces() -> dict[float, str]:
    """For each plate, in inches, that a trade check cuts with its own tip: what it says."""
    found = {}
    for check in tables.trade_checks():
        if check.thickness == check.made_for:
            low, high = (
                round(float(end.m_as("in/min"))) for end in (check.speed.low, check.speed.high)
            )
            on = round(float(check.oxygen_pressure.m_as("psi")))
            said = f"common practice runs {whole(low)} to {whole(high)} at {whole(on)} p s i"
            found[float(check.thickness.m_as("in"))] = said
    return found


def kerf(job: Job) -> Figure:
    """Width of the cut."""
    low, high = job.work.kerf
    note = "woven" if job.work.fit is Fit.TOO_SMALL else ""
    return Figure("kerf", inches(low), inches(high), "trade_memory", Status.MEMORY, note)


def preheat_time(job: Job) -> Figure | None:
    """How long an edge start takes; colour comes first, and thick plate has no figure."""
    if job.work.sheet or job.metal.thickness > EDGE_START_UP_TO:
        return None
    factor = tables.fuel(job.fuel).preheat_time_factor or 1.0
    return Figure(
        "preheat_time",
        seconds(round(EDGE_START[0] * factor)),
        seconds(round(EDGE_START[1] * factor)),
        "trade_memory",
        Status.MEMORY,
        "edge start, by guess; bright red decides",
    )


def standoff() -> Figure:
    """Inner cones to plate."""
    return Figure(
        "standoff",
        inches(STANDOFF[0]),
        inches(STANDOFF[1]),
        "navedtra_14250",
        Status.READ,
        "cones to steel",
    )


def shade(thickness: Quantity) -> Figure | None:
    """Filter shade, from the least allowed to the usual upper one."""
    found = tables.filter_shade(thickness)
    if found is None:
        return None
    low, high = (registry.Quantity(float(value), "") for value in found.usual)
    return Figure("shade", low, high, found.source, found.status, "the lower is the least allowed")


def flows(job: Job) -> tuple[Figure, ...]:
    """Oxygen and fuel flow; empty where no table lists the fuel's."""
    work = job.work
    if work.oxygen is None or work.fuel is None:
        return ()
    status = job.base_status
    if job.fuel is not Fuel.ACETYLENE or work.sheet:
        status = weakest(status, Status.MEMORY)
    low, high = (cubic_feet_an_hour(round(value)) for value in work.oxygen)
    first, last = (cubic_feet_an_hour(round(value, 1)) for value in work.fuel)
    return (
        Figure("oxygen_flow", low, high, work.flow_source, status, "cutting and preheat"),
        Figure("fuel_flow", first, last, work.fuel_source, status, job.fuel.value),
    )


def lean_and_path(job: Job) -> tuple[Figure, ...]:
    """Lean and path of a leaned torch; empty for one held upright.

    On sheet the lean is the textbook's own; for a tip too large on plate it is common practice.
    """
    work = job.work
    if work.lean <= 0:
        return ()
    most = sheet.LEAN[1] if work.sheet else work.lean
    longest = speed.path(job.metal.thickness, most) if work.sheet else work.path
    status = Status.READ if work.sheet else Status.COMMON_PRACTICE
    leans = degrees(work.lean), degrees(most)
    paths = inches(work.path), inches(longest)
    return (
        Figure("lean", *leans, "welding_textbook_2017", status, "from square"),
        Figure("path", *paths, "this_project", Status.COMPUTED, "through the steel"),
    )


def listed_bore(job: Job) -> Figure:
    """The bores that the hand table lists for the plate."""
    row = job.work.row
    low, high = (inches(round(end, 4)) for end in row.bore)
    return Figure("bore", low, high, row.source, row.status, _drills(row.bore))


def _drills(bore: tuple[float, float]) -> str:
    """The number drills of a range of bores, as tips are known by them."""
    numbers = [
        next((number for number, size in _drill_sizes() if abs(size - end) < EXACT_DRILL), None)
        for end in bore
    ]
    if None in numbers:
        return "of the cutting orifice"
    said = [whole(number) for number in dict.fromkeys(numbers) if number is not None]
    return f"number {' to '.join(said)} drill"


@functools.cache
def _drill_sizes() -> tuple[tuple[int, float], ...]:
    """Number drills and their diameters in inches."""
    return tuple((number, float(row.value.m_as("in"))) for number, row in tables.number_drills())


def time_a_foot(job: Job) -> Figure:
    """How long a foot of cut takes at the slow and the fast end."""
    pace = travel_speed(job)
    slow, fast = (12 / float(end.m_as("in/min")) for end in (pace.low, pace.high))
    return Figure(
        "time",
        registry.Quantity(round(fast, 2), "minute"),
        registry.Quantity(round(slow, 2), "minute"),
        pace.source,
        pace.status,
        "a foot of cut, preheat not counted",
    )
