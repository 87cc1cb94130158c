"""The cuts of a section in order become a plan: for each its setting, lean, pace, time and gas.

One tip is in the torch, so one tip cuts every face. A face thinner than the thickest is leaned
until the jet meets as much metal as the setting is made for: then nothing is reset on the way.
Floats: inches, psi gauge, inches a minute, degrees, seconds, cubic feet.
"""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handsfree.engine import gases, published, sheet, speed, tables
from handsfree.engine.advice import sentences
from handsfree.engine.figures import EDGE_START, EDGE_START_UP_TO
from handsfree.engine.jobs import Means, loses_too_much
from handsfree.engine.plan.lies import Lie
from handsfree.engine.plan.shapes import STEEL, Section, ring_area
from handsfree.engine.plan.spans import Ends, cubic_feet, in_all, summed
from handsfree.engine.plan.strokes import Stroke, strokes_of
from handsfree.engine.saying import whole
from handsfree.engine.tips import KnownTip
from handsfree.engine.trust import weakest
from handsfree.engine.work import LEAN_STEP, USUAL_LEAN, Beyond, Work, work_out
from handsfree.values import (
    Access,
    CutPlan,
    Fit,
    Fuel,
    PlannedCut,
    Shape,
    Span,
    Start,
    Status,
)
from handsfree.values.units import degrees, inches, inches_a_minute, psi, registry, seconds

THINNER = 0.8  # of the thickest, below which a face is leaned to match the setting
PIERCE = (2.0, 4.0)  # times the preheat of an edge, from memory
WOVEN_UP_TO = 4.0  # times the thickest plate listed for a bore: a solid is woven through so far


@dataclass(frozen=True, slots=True)
class Stopped:
    """Why no plan can be made.

    Attributes:
        thickness: of the face that stops it.
        beyond: how the tip fails on it; None where the thickness lies outside the tables.
        work: where the hose loses too much.
    """

    thickness: float
    beyond: Beyond | None = None
    work: Work | None = None


def plan(
    lie: Lie, access: Access, means: Means, *, stretch: float = 1.0, pierced: bool = False
) -> CutPlan | Stopped:
    """The whole plan of a section, or what stops it.

    Args:
        lie: the section as it lies.
        access: from where it is cut.
        means: tip, hose, oxygen and fuel.
        stretch: how much longer the travel is than straight across: of a mitre.
        pierced: the first cut begins in the middle of the steel.
    """
    strokes = strokes_of(lie, access, stretch, pierced)
    found = _worked(lie.section, strokes, means)
    if isinstance(found, Stopped):
        return found
    tip, works = found
    thickest = max(stroke.thickness for stroke in strokes)
    cuts = [
        _cut(number, stroke, works, thickest, means.fuel, bool(lie.section.bore))
        for number, stroke in enumerate(strokes, start=1)
    ]
    return _plan(lie, cuts, works, tip)


@dataclass(frozen=True, slots=True)
class Rough:
    """A plan in bare figures, for comparing many.

    Attributes:
        fits: how the tip suits each cut.
        lean: the farthest of any cut.
        woven: a solid is woven through, and no figure below holds.
        pressure: at the regulator, over all cuts.
        time: in seconds.
        oxygen: in cubic feet; None where no table lists the fuel's share.
        fuel: likewise.
    """

    fits: tuple[Fit, ...]
    lean: float
    woven: bool
    pressure: Ends
    time: Ends
    oxygen: Ends | None
    fuel: Ends | None


def rough(lie: Lie, access: Access, means: Means) -> Rough | Stopped:
    """The figures of a plan without its words, ten times faster; arguments as of `plan`."""
    strokes = strokes_of(lie, access, 1.0, False)
    found = _worked(lie.section, strokes, means)
    if isinstance(found, Stopped):
        return found
    _, works = found
    thickest = max(stroke.thickness for stroke in strokes)
    measured = [_measure(stroke, works, thickest, means.fuel) for stroke in strokes]
    known = [one for one in measured if one is not None]
    if len(known) < len(measured):
        return Rough((Fit.TOO_SMALL,), 0.0, True, (0.0, 0.0), (0.0, 0.0), None, None)
    return Rough(
        fits=tuple(one.fit for one in known),
        lean=max(one.lean for one in known),
        woven=False,
        pressure=(min(one.pressure[0] for one in known), max(one.pressure[1] for one in known)),
        time=summed([one.time for one in known]) or (0.0, 0.0),
        oxygen=summed([one.oxygen for one in known]),
        fuel=summed([one.fuel for one in known]),
    )


def _worked(
    section: Section, strokes: tuple[Stroke, ...], means: Means
) -> tuple[KnownTip, dict[float, Work | Beyond]] | Stopped:
    """The tip and its work in every thickness, or what stops it."""
    thickest = max(stroke.thickness for stroke in strokes)
    tip = means.tip or usual_tip(thickest)
    if tip is None:
        return Stopped(thickest)
    works: dict[float, Work | Beyond] = {}
    for thickness in dict.fromkeys(stroke.thickness for stroke in strokes):
        if not _inside(thickness):
            return Stopped(thickness)
        outside = 2 * section.radius if section.bore else 0.0
        work = _work(
            thickness, tip, means.fuel, means.line, means.purity, bool(section.bore), outside
        )
        if isinstance(work, Beyond) and not _woven(section, thickness, tip, work):
            return Stopped(thickness, work)
        if isinstance(work, Work) and loses_too_much(work):
            return Stopped(thickness, None, work)
        works[thickness] = work
    return tip, works


# One list of work asks for the same plate with the same tip over and over.
_work = functools.lru_cache(maxsize=4096)(work_out)


def usual_tip(thickness: float) -> KnownTip | None:
    """The smallest tip that the tables list for a thickness; None outside them."""
    if sheet.is_sheet(thickness):
        nozzle = published.metric_nozzles()[0]
        return KnownTip(nozzle.bore, taken=True, sources=(nozzle.source,), status=nozzle.status)
    row = published.hand_cutting_at(thickness)
    if row is None:
        return None
    return KnownTip(row.bore[0], taken=True, sources=(row.source,), status=row.status)


def _inside(thickness: float) -> bool:
    return published.hand_cutting_at(thickness) is not None or sheet.is_sheet(thickness)


def _woven(section: Section, thickness: float, tip: KnownTip, beyond: Beyond) -> bool:
    """Whether a solid is cut all the same, woven through, without any figure."""
    if section.shape not in (Shape.SHAFT, Shape.SQUARE_BAR) or beyond.why not in ("small", "far"):
        return False
    listed = published.thickest_listed(tip.bore)
    return listed is not None and thickness <= WOVEN_UP_TO * listed + published.SAME


def _cut(
    number: int,
    stroke: Stroke,
    works: dict[float, Work | Beyond],
    thickest: float,
    fuel: Fuel,
    hollow_round: bool,
) -> PlannedCut:
    work = works[stroke.thickness]
    plain = _plain(number, stroke)
    if isinstance(work, Beyond):
        return replace(
            plain,
            fit=Fit.TOO_SMALL,
            how=(*stroke.how, *sentences("plan_weave", "plan_weave_head")),
            watch=(*stroke.watch, *sentences("plan_no_figures", "small_watch", "small_aside")),
        )
    measured = _measure(stroke, works, thickest, fuel)
    assert measured is not None, "the work lies inside the model"
    how, watch = list(stroke.how), list(stroke.watch)
    if work.lean and stroke.closed_behind:
        how += sentences("plan_tube_outside_in")
    if work.lean:
        key = "plan_tilt_round" if hollow_round else "plan_lean_large"
        how.append(_leaned(key, work.lean))
    elif hollow_round:
        how += sentences("pipe_aim_only")
    elif measured.lean:
        how.append(_leaned("plan_lean_thinner", measured.lean))
    if work.fit is Fit.TOO_SMALL:
        how += sentences("small_weave")
        watch += sentences("small_watch")
    low, high = measured.pressure
    return replace(
        plain,
        lean=(degrees(measured.lean), degrees(measured.lean)),
        oxygen_pressure=(psi(low), psi(high)),
        travel=(inches_a_minute(work.speed[0]), inches_a_minute(work.speed[1])),
        time=(seconds(measured.time[0]), seconds(measured.time[1])),
        oxygen=cubic_feet(measured.oxygen),
        fuel=cubic_feet(measured.fuel),
        fit=work.fit,
        how=tuple(how),
        watch=tuple(watch),
    )


@dataclass(frozen=True, slots=True)
class _Measured:
    """The figures of one travel, bare."""

    fit: Fit
    pressure: Ends
    lean: float
    time: Ends
    oxygen: Ends | None
    fuel: Ends | None


def _measure(
    stroke: Stroke, works: dict[float, Work | Beyond], thickest: float, fuel: Fuel
) -> _Measured | None:
    """What one travel takes; None where it is woven."""
    work, setting = works[stroke.thickness], works[thickest]
    if isinstance(work, Beyond):
        return None
    pressure, lean = work.regulator, work.lean
    matched = _matching_lean(stroke.thickness, thickest)
    if isinstance(setting, Work) and work.fit is not Fit.TOO_SMALL and not lean and matched:
        lean, pressure = matched, setting.regulator
    heating, travel = _time(stroke, work, fuel)
    oxygen = burned = None
    if work.oxygen is not None and work.fuel is not None:
        flame = gases.preheat_oxygen(fuel, work.fuel)
        oxygen = (
            (work.oxygen[0] * travel[0] + flame[0] * heating[0]) / 3600,
            (work.oxygen[1] * travel[1] + flame[1] * heating[1]) / 3600,
        )
        burned = (
            work.fuel[0] * (travel[0] + heating[0]) / 3600,
            work.fuel[1] * (travel[1] + heating[1]) / 3600,
        )
    time = heating[0] + travel[0], heating[1] + travel[1]
    return _Measured(work.fit, pressure, lean, time, oxygen, burned)


def _plain(number: int, stroke: Stroke) -> PlannedCut:
    return PlannedCut(
        number=number,
        part=stroke.part,
        start=stroke.start,
        thickness=inches(stroke.thickness),
        deepest=inches(stroke.deepest),
        length=inches(stroke.length),
        path=stroke.path,
        jet=stroke.jet,
        lean=(degrees(0.0), degrees(0.0)),
        oxygen_pressure=None,
        travel=None,
        time=None,
        oxygen=None,
        fuel=None,
        fit=Fit.UNKNOWN,
        how=stroke.how,
        why=stroke.why,
        watch=stroke.watch,
        bevel=degrees(stroke.bevel),
    )


def _leaned(key: str, lean: float) -> str:
    """A sentence of the table about a lean, its degrees put in."""
    return sentences(key)[0].replace("so far", f"{whole(round(lean))} degrees")


def _matching_lean(thickness: float, thickest: float) -> float:
    """The lean at which a thinner face is as deep as the thickest, in whole steps; 0 for none."""
    if thickness >= THINNER * thickest:
        return 0.0
    exact = math.degrees(math.acos(thickness / thickest))
    return min(USUAL_LEAN, LEAN_STEP * int(exact / LEAN_STEP))


def preheat(thickness: float, start: Start, fuel: Fuel) -> Ends:
    """Seconds of preheat before a cut; none where it goes on, and none known over an inch."""
    if start is Start.GOES_ON or thickness > EDGE_START_UP_TO:
        return 0.0, 0.0
    factor = tables.fuel(fuel).preheat_time_factor or 1.0
    low, high = (end * factor for end in EDGE_START)
    return (low * PIERCE[0], high * PIERCE[1]) if start is Start.PIERCE else (low, high)


def _time(stroke: Stroke, work: Work, fuel: Fuel) -> tuple[Ends, Ends]:
    """Seconds of preheat, and seconds of travel; a deeper place slows as it deepens."""
    slow, fast = work.speed
    if stroke.slices:
        travel = _travel_across(stroke.slices, work)
    else:
        deep = stroke.deep_length * (stroke.deepest / stroke.thickness - 1)
        inches_in_all = stroke.length + max(0.0, deep)
        travel = 60 * inches_in_all / fast, 60 * inches_in_all / slow
    return preheat(stroke.thickness, stroke.start, fuel), travel


def _travel_across(slices: Sequence[tuple[float, float]], work: Work) -> Ends:
    """Seconds across a round, at the table's pace for each slice and this tip's share of it.

    Slices thinner than the table's first row go at that row's pace: slower than they might.
    """
    slow = fast = 0.0
    for step, metal in slices:
        row = published.hand_cutting_at(max(metal, published.thinnest()))
        assert row is not None, "the full diameter lies inside the table"
        slow += 60 * step / (row.speed[0] * work.speed[0] / work.row.speed[0])
        fast += 60 * step / (row.speed[1] * work.speed[1] / work.row.speed[1])
    return fast, slow


def _plan(
    lie: Lie, cuts: list[PlannedCut], works: dict[float, Work | Beyond], tip: KnownTip
) -> CutPlan:
    section = lie.section
    known = [work for work in works.values() if isinstance(work, Work)]
    shared = _shared(cuts)
    if shared is not None:
        cuts = [replace(cut, oxygen_pressure=shared) for cut in cuts]
    kerf = max((work.kerf[1] for work in known), default=_widest_kerf(section, tip))
    areas = [abs(ring_area(ring)) for ring in section.rings]
    drawn = (section.area if section.radius else areas[0] - sum(areas[1:])) * section.slope
    statuses = [section.status, tip.status, Status.COMPUTED, *(work.row.status for work in known)]
    return CutPlan(
        name=section.name,
        lies=lie.says,
        outline=section.rings,
        cuts=tuple(cuts),
        bore=inches(tip.bore),
        one_setting=shared,
        time=in_all([cut.time for cut in cuts], "second"),
        oxygen=in_all([cut.oxygen for cut in cuts], "foot**3"),
        fuel=in_all([cut.fuel for cut in cuts], "foot**3"),
        section_area=registry.Quantity(drawn, "inch**2"),
        kerf=inches(kerf),
        removed=registry.Quantity(drawn * kerf * STEEL, "lb"),
        weight=registry.Quantity(section.weight, "lb/ft"),
        balance=section.balance,
        freed=cuts[-1].part,
        sources=tuple(
            dict.fromkeys((*section.sources, *tip.sources, *(work.row.source for work in known)))
        ),
        status=weakest(*statuses),
    )


def _widest_kerf(section: Section, tip: KnownTip) -> float:
    return speed.straight_kerf(tip.bore, 2 * section.radius or section.wall)


def _shared(cuts: list[PlannedCut]) -> Span | None:
    """One pressure that does for every cut; None where there is none."""
    spans = [cut.oxygen_pressure for cut in cuts]
    if any(span is None for span in spans):
        return None
    low = max(float(span[0].m_as("psi")) for span in spans if span is not None)
    high = min(float(span[1].m_as("psi")) for span in spans if span is not None)
    return (psi(low), psi(high)) if low <= high + 1e-9 else None
