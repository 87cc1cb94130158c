"""Which sentences belong to a job: what to do, what can hurt, and what the figures rest on.

A setting and a question about technique get all of them; a single figure gets what bears on it.
"""

from handsfree.engine import published
from handsfree.engine.advice import sentences
from handsfree.engine.figures import EDGE_START_UP_TO
from handsfree.engine.flow import PUREST
from handsfree.engine.hose import HEAVY_LOSS
from handsfree.engine.job import Job
from handsfree.engine.limits import purity_of
from handsfree.engine.metals import ASK_THE_MILL, metal_cautions, metal_technique
from handsfree.engine.quality import cut_face
from handsfree.engine.saying import eighths_of_an_inch
from handsfree.engine.work import reach
from handsfree.values import About, Fit, Fuel, Piece, Position, Shape

Keys = tuple[str, ...]

SMALL = (
    "small_slow",
    "small_preheat",
    "preheat_cue",
    "small_weave",
    "small_edge",
    "small_watch",
    "small_no_pressure",
    "small_separation",
)
LARGE = (
    "large_lean",
    "large_direction",
    "large_move",
    "large_low",
    "large_face",
    "large_upright",
)

SHEET_LEANED = ("sheet_lean", "sheet_move", "sheet_flat", "sparks_through")
SHEET_UPRIGHT = ("preheat_cue", "tilt_back", "sheet_larger_tip", "sheet_flat", "sparks_through")

LARGE_UPRIGHT = ("large_square", "preheat_cue", "large_low", "large_face", "sparks_through")

# What is asked by someone about to cut, and what by someone about to set the oxygen.
CUTS = frozenset(
    (About.SETTING, About.TECHNIQUE, About.TRAVEL_SPEED, About.PREHEAT, About.STANDOFF)
)
TIPLESS = frozenset((About.SHADE, About.STANDOFF, About.FUEL_PRESSURE, About.PREHEAT))
PRESSURES = frozenset((About.SETTING, About.TECHNIQUE, About.OXYGEN_PRESSURE))

# For a single figure, what of the technique bears on it.
BEARS_ON: dict[About, Keys] = {
    About.OXYGEN_PRESSURE: (
        "set_flowing",
        "start_low_bore",
        "start_high_bore",
        "sheet_lean",
        "small_no_pressure",
        "large_lean",
        "large_low",
    ),
    About.FUEL_PRESSURE: ("neutral", "small_preheat"),
    About.TRAVEL_SPEED: (
        "sheet_lean",
        "sheet_move",
        "sparks_through",
        "small_slow",
        "small_weave",
        "small_watch",
        "small_separation",
        "large_lean",
        "large_square",
        "large_direction",
        "large_move",
        "web_thinner",
        "rusty",
    ),
    About.KERF: ("small_weave", "large_lean", "sheet_lean"),
    About.PREHEAT: (
        "preheat_cue",
        "small_preheat",
        "large_move",
        "sheet_move",
        "other_fuel_preheat",
        "high_carbon",
        "alloy_unknown",
        "carbon_low",
        "manganese",
    ),
    About.STANDOFF: (),
    About.SHADE: (),
    About.GAS: (),
    About.TIP: ("tip_choose", "large_lean", "small_slow"),
}


def technique(job: Job) -> Keys:
    """What to do, first things first."""
    request, fit = job.request, job.work.fit
    if job.work.sheet:
        found = list(SHEET_LEANED if job.work.lean else SHEET_UPRIGHT)
    elif fit is Fit.TOO_SMALL:
        found = list(SMALL)
    elif fit is Fit.TOO_LARGE:
        found = list(LARGE if job.work.lean else LARGE_UPRIGHT)
    else:
        hold = "square_thick" if job.metal.thickness > 1 else "tilt_back"
        found = ["preheat_cue", hold, "sparks_through"]
    if request.about is About.TECHNIQUE:  # elsewhere the standoff is a figure of its own
        found.append("cones_off")
    first, *others = metal_technique(request.piece) or ("",)
    if first:  # a hard or rusty piece is made ready first
        found = [first, *found, *others]
    found += [
        key
        for key in job.metal.advice
        if key != "hollow" and not (key == "pipe_aim" and job.work.lean)
    ]
    if request.position is Position.OVERHEAD:
        found.append("overhead")
    elif request.position in (Position.VERTICAL, Position.HORIZONTAL):
        found.append("vertical")
    if job.fuel is not Fuel.ACETYLENE:
        found.append("other_fuel_preheat")
    found += ["set_flowing", *_bore_end(job)]
    if request.about is About.FUEL_PRESSURE:
        found.append("neutral")
    if not _all(job):
        told_always = ASK_THE_MILL.values()
        found = [key for key in found if key in BEARS_ON[request.about] or key in told_always]
    if request.piece is not None and request.piece.metal in ASK_THE_MILL:
        found = [key for key in found if key != "small_preheat"]
    return tuple(dict.fromkeys(found))


def cautions(job: Job) -> Keys:
    """What can hurt, the most important for this job first."""
    request, about = job.request, job.request.about
    found = list(metal_cautions(request.piece))
    if about is About.SHADE:
        found.append("shade")
    elif job.hose_counted and job.work.hose_loss > HEAVY_LOSS and about in PRESSURES:
        found.append("hose_heavy")
    if about in CUTS:
        if job.work.fit is Fit.TOO_SMALL:
            found.append("small_aside")
        elif job.work.lean:
            found.append("large_far_sparks")
        found += [key for key in job.metal.advice if key == "hollow"]
    if job.fuel is Fuel.ACETYLENE and about in (About.SETTING, About.FUEL_PRESSURE):
        found.append("acetylene_limit")
    if about in CUTS:
        found.append("fire_watch")
    if _all(job):
        found += ["lanyard", "drop"]
        if _heavy(request.piece):
            found.append("rigging")
    found.append("defer")
    if about in CUTS:
        found += ["extinguisher", "shade", "sparks_fly"]
    return tuple(dict.fromkeys(found))


def _heavy(piece: Piece | None) -> bool:
    return piece is not None and (
        piece.shape in (Shape.BEAM, Shape.CHANNEL)
        or (piece.designation or "").startswith(("W", "S", "HP", "M", "C", "HE", "IPE", "UPN"))
    )


def notes(job: Job) -> Keys:
    """What the figures rest on."""
    work, about = job.work, job.request.about
    found = [] if about in TIPLESS else list(_fit_notes(job))
    of_the_row = _all(job) or about in (About.OXYGEN_PRESSURE, About.TRAVEL_SPEED)
    if of_the_row and work.row.between and not job.off_size:
        found.append("between_rows")
    if _all(job) or about is About.OXYGEN_PRESSURE:
        found += _hose_notes(job)
        if job.fuel is not Fuel.ACETYLENE:
            found.append("pressure_other_fuel")
    if job.fuel is Fuel.PROPYLENE and (_all(job) or about is About.GAS):
        found.append("propylene_flow")
    if about is About.GAS and work.fuel is not None:
        found.append("flow_total")
    if about is About.PREHEAT and not work.sheet and job.metal.thickness <= EDGE_START_UP_TO:
        found.append("time_from_memory")
    if purity_of(job.request, job.rig) < PUREST:
        found.append("purity")
    if about not in (About.SHADE, About.STANDOFF, About.PREHEAT, About.FUEL_PRESSURE):
        found += ["table_from_memory", "chart_first"]
    return tuple(dict.fromkeys(found))


def face(job: Job) -> tuple[str, ...]:
    """Sentences on the face of the cut; none for figures that do not shape it."""
    if _all(job) or job.request.about is About.TRAVEL_SPEED:
        if job.work.sheet and job.work.lean:
            return sentences("sheet_face")
        if job.work.fit is not Fit.TOO_SMALL:  # its figure and its technique say it
            return cut_face(job.work.fit, job.metal.quantity)
    return ()


def how_far(job: Job) -> tuple[str, ...]:
    """How far a small tip goes, rounded down to an eighth."""
    if job.work.fit is not Fit.TOO_SMALL or job.tip is None:
        return ()
    furthest = reach(job.tip.bore)
    if furthest is None:
        return ()
    return (f"This tip goes no further than {eighths_of_an_inch(furthest)}.",)


def _all(job: Job) -> bool:
    """Whether everything is told, not what bears on a single figure."""
    return job.request.about in (About.SETTING, About.TECHNIQUE)


def _fit_notes(job: Job) -> Keys:
    fit = job.work.fit
    if fit is Fit.UNKNOWN:
        return ("sheet_unchecked", "tip_unknown") if job.work.sheet else ("tip_unknown",)
    taken = ("tip_bore_from_made_for",) if job.tip is not None and job.tip.taken else ()
    if job.work.sheet:
        return ("sheet_unchecked", *taken)
    return (*taken, "speed_modelled") if job.off_size else ()


def _hose_notes(job: Job) -> Keys:
    if not job.hose_counted:
        return ("hose_not_counted",)
    return ("hose_counted", "hose_assumed") if job.hose_assumed else ("hose_counted",)


def _bore_end(job: Job) -> Keys:
    """Where in the table's pressures a listed bore belongs: small bores run high."""
    if job.tip is None or job.off_size or job.work.sheet:
        return ()
    low, high = job.work.row.bore
    if high - low < 2 * published.NEAR:
        return ()
    share = (job.tip.bore - low) / (high - low)
    if share < 1 / 3:
        return ("start_low_bore",)
    return ("start_high_bore",) if share > 2 / 3 else ()
