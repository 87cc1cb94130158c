"""A worked-out cut becomes figures, technique, cautions and notes: the answer about a setting."""

from dataclasses import dataclass

from handsfree.engine import advice, gases, published, quality, tables
from handsfree.engine.flow import PUREST
from handsfree.engine.limits import fuel_of, purity_of
from handsfree.engine.metals import metal_cautions, metal_technique
from handsfree.engine.pieces import Metal
from handsfree.engine.tips import KnownTip
from handsfree.engine.trust import weakest
from handsfree.engine.work import Work, rounded_inward
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
from handsfree.values import (
    About,
    Answer,
    Figure,
    Fit,
    Fuel,
    Position,
    Request,
    Rig,
    Shape,
    Status,
)

STANDOFF = (1 / 16, 1 / 8)  # inches, inner cones to plate
EDGE_START = (5.0, 15.0)  # seconds with acetylene, from memory; no source found
EDGE_START_UP_TO = 1.0  # inches: thicker plate has no figure at all
HEAVY_LOSS = 10.0  # psi lost in the hose, from which a larger one is advised


@dataclass(frozen=True, slots=True)
class Job:
    """All that an answer about cutting one piece is made from."""

    request: Request
    rig: Rig
    metal: Metal
    tip: KnownTip | None
    work: Work
    hose_counted: bool
    hose_assumed: bool

    @property
    def fuel(self) -> Fuel:
        """The fuel that was said, else the rig's."""
        return fuel_of(self.request, self.rig)

    @property
    def off_size(self) -> bool:
        """The tip is one that the tables do not list for this plate."""
        return self.work.fit in (Fit.TOO_SMALL, Fit.TOO_LARGE)

    @property
    def base_status(self) -> Status:
        """How far anything can be trusted that rests on table, thickness and bore together."""
        found = [self.work.row.status, self.metal.status]
        if self.tip is not None:
            found.append(self.tip.status)
        if self.off_size:
            found.append(Status.COMMON_PRACTICE)
        return weakest(*found)


def answer_setting(job: Job) -> Answer:
    """The answer with every figure, in the order in which they are said."""
    return answer_with(job, tuple(figure for figure in all_figures(job)))


def answer_with(job: Job, figures: tuple[Figure, ...]) -> Answer:
    """The answer with these figures and all that belongs to the job."""
    how, mind, notes = technique_keys(job), caution_keys(job), note_keys(job)
    used = [figure.source for figure in figures]
    used += [*job.metal.sources, *(job.tip.sources if job.tip else ())]
    used += advice.sources(*how, *mind, *notes)
    face = quality.cut_face(job.work.fit, job.metal.quantity)
    return Answer(
        request=job.request,
        figures=figures,
        technique=advice.sentences(*how),
        cautions=advice.sentences(*mind),
        notes=(*face, *advice.sentences(*notes)),
        fit=job.work.fit,
        thickness=job.metal.quantity,
        thickness_name=job.metal.name,
        sources=tuple(dict.fromkeys([*used, *(("iso_9013",) if face else ())])),
    )


def all_figures(job: Job) -> tuple[Figure, ...]:
    """Every figure that there is for the job."""
    found = [
        oxygen_pressure(job),
        fuel_pressure(job),
        travel_speed(job),
        kerf(job),
        preheat_time(job),
        standoff(),
        shade(job.metal.quantity),
        *flows(job),
        *lean_and_path(job),
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
        note = "separation only" if job.work.fit is Fit.TOO_SMALL else "leaned over"
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


def technique_keys(job: Job) -> tuple[str, ...]:
    """What to do, first things first."""
    request, work = job.request, job.work
    found: list[str] = []
    if work.fit is Fit.TOO_SMALL:
        found += ["small_slow", "small_preheat", "preheat_cue", "small_weave", "small_edge"]
        found += ["small_watch", "small_no_pressure", "small_separation"]
    elif work.fit is Fit.TOO_LARGE:
        found += ["large_lean", "large_direction", "large_move", "preheat_cue", "large_low"]
        found += ["large_face", "large_upright"]
    else:
        found += ["preheat_cue", "cones_off"]
        found += ["square_thick" if job.metal.thickness > 1 else "tilt_back"]
        found += ["sparks_through"]
    found += metal_technique(request.piece)
    found += [key for key in job.metal.advice if key != "hollow"]
    if request.position is Position.OVERHEAD:
        found.append("overhead")
    elif request.position in (Position.VERTICAL, Position.HORIZONTAL):
        found.append("vertical")
    if job.fuel is not Fuel.ACETYLENE:
        found.append("other_fuel_preheat")
    found += ["set_flowing", *_bore_end(job)]
    return tuple(dict.fromkeys(found))


def _bore_end(job: Job) -> tuple[str, ...]:
    """Where in the table's pressures a listed bore belongs: small bores run high."""
    if job.tip is None or job.off_size:
        return ()
    low, high = job.work.row.bore
    if high - low < 2 * published.NEAR:
        return ()
    share = (job.tip.bore - low) / (high - low)
    if share < 1 / 3:
        return ("start_low_bore",)
    return ("start_high_bore",) if share > 2 / 3 else ()


def caution_keys(job: Job) -> tuple[str, ...]:
    """What can hurt, the most important for this job first."""
    request = job.request
    found: list[str] = list(metal_cautions(request.piece))
    if job.fuel is Fuel.ACETYLENE and request.about in (About.SETTING, About.FUEL_PRESSURE):
        found.append("acetylene_limit")
    if job.work.fit is Fit.TOO_SMALL:
        found.append("small_aside")
    elif job.work.fit is Fit.TOO_LARGE:
        found.append("large_far_sparks")
    if job.hose_counted and job.work.hose_loss > HEAVY_LOSS:
        found.append("hose_heavy")
    found += [key for key in job.metal.advice if key == "hollow"]
    found += ["shade", "fire_watch", "sparks_fly", "extinguisher", "lanyard", "drop"]
    if request.piece is not None and request.piece.shape in (Shape.BEAM, Shape.CHANNEL):
        found.append("rigging")
    found += ["chart_first", "defer"]
    return tuple(dict.fromkeys(found))


def note_keys(job: Job) -> tuple[str, ...]:
    """What the figures rest on."""
    request, work = job.request, job.work
    found = [
        {
            Fit.RIGHT: "tip_right",
            Fit.UNKNOWN: "tip_unknown",
            Fit.TOO_SMALL: "tip_small",
            Fit.TOO_LARGE: "tip_large",
        }[work.fit]
    ]
    if work.fit is Fit.UNKNOWN:
        found.append("tip_choose")
    if job.tip is not None and job.tip.taken and work.fit is not Fit.RIGHT:
        found.append("tip_bore_from_made_for")
    if job.off_size:
        found.append("speed_modelled")
    elif work.row.between:
        found.append("between_rows")
    if abs(job.metal.thickness - 0.25) < published.SAME and not job.off_size:
        found.append("trade_quarter")
    if job.hose_counted:
        found.append("hose_counted")
        if job.hose_assumed:
            found.append("hose_assumed")
    else:
        found.append("hose_not_counted")
    if purity_of(request, job.rig) < PUREST:
        found.append("purity")
    if job.fuel is not Fuel.ACETYLENE:
        found += ["pressure_other_fuel", "fuel_from_memory"]
        if work.fuel is None:
            found.append("no_propylene_flow")
    if job.metal.thickness <= EDGE_START_UP_TO:
        found.append("time_from_memory")
    found.append("table_from_memory")
    return tuple(dict.fromkeys(found))
