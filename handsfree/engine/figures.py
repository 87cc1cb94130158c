"""A worked-out cut becomes figures, each with its source and the weakest status of what went in."""

from handsfree.engine import gases, tables
from handsfree.engine.job import Job
from handsfree.engine.trust import weakest
from handsfree.engine.work import rounded_inward
from handsfree.units import (
    Quantity,
    cubic_feet_an_hour,
    degrees,
    inches,
    inches_a_minute,
    psi,
    registry,
    seconds,
)
from handsfree.values import Figure, Fit, Fuel, Status

STANDOFF = (1 / 16, 1 / 8)  # inches, inner cones to plate
EDGE_START = (5.0, 15.0)  # seconds with acetylene, from memory; no source found
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
    found = gases.fuel_pressure(job.fuel, job.metal.thickness)
    if found is None:
        return None
    low, high = found.pressure
    return Figure("fuel_pressure", psi(low), psi(high), found.source, found.status, job.fuel.value)


def travel_speed(job: Job) -> Figure:
    """Travel speed, with what the cut will be where it is not a proper one."""
    low, high = job.work.speed
    source, note = job.work.row.source, ""
    if job.off_size:
        step = 0.5 if high < 20 else 1.0
        low, high = round(low / step) * step, round(high / step) * step
        source = "this_project"
        if job.work.fit is Fit.TOO_SMALL:
            note = "separation only"
        else:
            note = "leaned over" if job.work.lean else "rounded top edge"
    elif job.work.row.between:
        low, high = rounded_inward(low, high, 0.5)
    return Figure(
        "travel_speed",
        inches_a_minute(low),
        inches_a_minute(high),
        source,
        job.base_status,
        note,
    )


def kerf(job: Job) -> Figure:
    """Width of the cut."""
    low, high = job.work.kerf
    note = "woven" if job.work.fit is Fit.TOO_SMALL else ""
    return Figure("kerf", inches(low), inches(high), "trade_memory", Status.MEMORY, note)


def preheat_time(job: Job) -> Figure | None:
    """How long an edge start takes; colour comes first, and thick plate has no figure."""
    if job.metal.thickness > EDGE_START_UP_TO:
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
    if job.fuel is not Fuel.ACETYLENE:
        status = weakest(status, Status.MEMORY)
    fuel_source = gases.flows(job.fuel, job.metal.thickness)
    assert fuel_source is not None, "the work has its fuel flow from there"
    low, high = (cubic_feet_an_hour(round(value)) for value in work.oxygen)
    first, last = (cubic_feet_an_hour(round(value, 1)) for value in work.fuel)
    return (
        Figure("oxygen_flow", low, high, work.flow_source, status, "cutting and preheat"),
        Figure("fuel_flow", first, last, fuel_source.source, status, job.fuel.value),
    )


def lean_and_path(job: Job) -> tuple[Figure, ...]:
    """Lean and path of a leaned torch; empty for one held upright."""
    work = job.work
    if work.lean <= 0:
        return ()
    lean, path = degrees(work.lean), inches(work.path)
    status = Status.COMMON_PRACTICE
    return (
        Figure("lean", lean, lean, "welding_textbook_2017", status, "from square"),
        Figure("path", path, path, "this_project", Status.COMPUTED, "through the steel"),
    )


def listed_bore(job: Job) -> Figure:
    """The bores that the hand table lists for the plate."""
    row = job.work.row
    low, high = (inches(round(end, 4)) for end in row.bore)
    return Figure("bore", low, high, row.source, row.status, "of the cutting orifice")


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
