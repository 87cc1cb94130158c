"""A request to cut a piece becomes the answer with its plan: figures, cuts in order, cautions."""

from dataclasses import replace

from handsfree.engine import advice, published, tables
from handsfree.engine.cut_order import answer_cut_order
from handsfree.engine.figures import EDGE_START_UP_TO, shade
from handsfree.engine.fuel_hose import fuel_at_regulator
from handsfree.engine.jobs import Means, means_for, refuse_beyond
from handsfree.engine.limits import hose_too_long
from handsfree.engine.metals import metal_cautions, metal_technique, stop_for_metal
from handsfree.engine.pieces import Metal, find_metal, metal_to_cut
from handsfree.engine.plan import balance, mitres, saddles, tasks
from handsfree.engine.plan.cuts import Stopped, plan
from handsfree.engine.plan.lies import lie
from handsfree.engine.plan.sections import section_of
from handsfree.engine.plan.shapes import Section
from handsfree.engine.refusals import refuse
from handsfree.engine.saying import whole
from handsfree.engine.weights import slug_weight
from handsfree.engine.work import rounded_inward
from handsfree.values import (
    Access,
    Answer,
    CutPlan,
    Figure,
    Fit,
    Fuel,
    Piece,
    Position,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Status,
    Task,
    TipBox,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, psi, registry

LONGEST_PIECE = 120.0  # feet: no bar or pipe comes longer
MOST_CUTS = 1000  # of one kind: more was most likely heard wrongly
_ACCESS = {
    Position.FLAT: Access.BENCH,
    Position.OVERHEAD: Access.BELOW,
    Position.VERTICAL: Access.IN_PLACE,
    Position.HORIZONTAL: Access.IN_PLACE,
}
_HEAVY = 20.0  # pounds a foot, from which rigging is spoken of
_USUAL_KERF = 0.1  # inches, until the plan of a pin tells its own


def answer_plan(request: Request, rig: Rig, box: TipBox) -> Reply:
    """The plan of a cut; the bare order where only the shape is known; a question or a refusal."""
    stopped = stop_for_metal(request)
    if stopped is not None:
        return stopped
    if request.task is Task.STRIP_WELD:
        return tasks.answer_weld(request, rig)
    if request.task is Task.PIN:
        return _pin(request, rig, box)
    made = planned(request, rig, box)
    if not isinstance(made, CutPlan):
        return made
    piece = request.piece or Piece()
    section = section_of(piece, request.cut_length)
    means = means_for(request, rig, box)
    assert section is not None and isinstance(means, Means), "the plan was made of them"
    return _answer(request, made, section, means)


def _pin(request: Request, rig: Rig, box: TipBox) -> Reply:
    """A pin burned out: its rings planned as one pierced cut, where enough of it is told."""
    told = tasks.pin_told(request)
    if isinstance(told, Question):
        return told
    if not told:
        return tasks.answer_pin(request, None, ())
    kerf = _USUAL_KERF
    for _ in range(2):  # the second time with the kerf that the first has found
        pierced = tasks.as_pierced(request, kerf)
        made = planned(pierced, rig, box)
        if not isinstance(made, CutPlan):
            return replace(made, request=request)
        kerf = float(made.kerf.m_as("in"))
    means = means_for(pierced, rig, box)
    section = section_of(pierced.piece or Piece(), pierced.cut_length)
    assert isinstance(made, CutPlan) and isinstance(means, Means) and section is not None
    found = _figures(pierced, made, made.cuts[0].thickness, means, section)
    return tasks.answer_pin(request, made, tuple(one for one in found if one.name != "weight"))


def planned(request: Request, rig: Rig, box: TipBox) -> CutPlan | Answer | Question | Refusal:
    """The plan of a request, or what is said instead where none can be made."""
    piece = request.piece or Piece()
    length = request.cut_length
    if request.count is not None and not 0 < request.count <= MOST_CUTS:
        return Question(
            request, Asks.COUNT, "How many cuts is that? Say the number again.", again=True
        )
    if request.task is Task.HOLE:
        if length is None or not 0 < float(length.m_as("in")) <= 48:
            again = length is not None
            return Question(request, Asks.HOLE, "How wide is the hole?", again=again)
        length = length * 3.1416
    section = section_of(piece, length)
    if section is None:
        return _unplanned(request)
    off = request.piece_length
    if off is not None and not 0 < float(off.m_as("ft")) <= LONGEST_PIECE:
        return Question(request, Asks.LENGTH, "How long is the piece that comes off?", again=True)
    degrees = 0.0 if request.mitre is None else float(request.mitre.m_as("degree"))
    header = saddles.header_of(request, section)
    if isinstance(header, Question):
        return header
    if not mitres.can_be_mitred(section, degrees):
        prompt = (
            "Mitres go up to sixty degrees, and forty five where a face is bevelled. Which angle?"
        )
        return Question(request, Asks.MITRE, prompt, again=True)
    means = means_for(request, rig, box)
    if not isinstance(means, Means):
        return means
    found = plan(
        lie(
            section if header else mitres.mitred(section, degrees),
            access_of(request),
            request.position,
        ),
        access_of(request),
        means,
        stretch=saddles.stretch(section, header, degrees),
        pierced=request.task is Task.HOLE,
    )
    if not isinstance(found, Stopped):
        return _named(found, request, section)
    if found.work is not None:
        return hose_too_long(request)
    if found.beyond is not None:
        return refuse_beyond(request, found.beyond, means.tip)
    return _outside(request, found.thickness)


def access_of(request: Request) -> Access:
    """From where it is cut: as said, else as the torch must be held, else free on the bench."""
    if request.access is not None:
        return request.access
    return _ACCESS[request.position] if request.position is not None else Access.BENCH


def _named(found: CutPlan, request: Request, section: Section) -> CutPlan:
    metal = find_metal(request)
    name = found.name or (metal.name if isinstance(metal, Metal) else "")
    name = name.removesuffix(" wall").removesuffix(" flange").removesuffix(" leg")
    if not name:
        size = 2 * section.radius or max(face.thickness for face in section.faces)
        name = f"{size:g} in {section.shape.value}"
    return replace(found, name=name)


def _unplanned(request: Request) -> Answer | Question | Refusal:
    """The order of the bare shape, or what is still missing of a piece that was begun."""
    piece = request.piece or Piece()
    sized = piece.designation is not None or piece.nominal is not None or piece.gauge is not None
    if sized or (piece.thickness is not None and piece.shape is None):
        found = metal_to_cut(request)
        if not isinstance(found, Metal):
            return found
    return answer_cut_order(request)


def _outside(request: Request, thickness: float) -> Refusal:
    if thickness > published.thickest():
        return refuse(request, "thickness_outside_table")
    return refuse(request, "sheet_too_thin")


def _answer(request: Request, made: CutPlan, section: Section, means: Means) -> Answer:
    metal = find_metal(request)
    thickest = max((cut.thickness for cut in made.cuts), key=lambda size: float(size.m_as("in")))
    unrolled = saddles.unrolled(request, replace(section, name=made.name))
    figures = _figures(request, made, thickest, means, section)
    first, rest = _before(request, section), _notes(request, made, section, means)
    cautions = _cautions(request, section)
    lines = (*first, _in_order(made), *_cut_lines(made))
    used = [figure.source for figure in figures]
    used += [*made.sources, *advice.sources(*cautions, *rest), "shop_practice"]
    fits = {cut.fit for cut in made.cuts}
    fit = next((one for one in (Fit.TOO_SMALL, Fit.TOO_LARGE) if one in fits), Fit.RIGHT)
    return Answer(
        request=request,
        figures=figures,
        technique=lines,
        cautions=advice.sentences(*cautions),
        notes=(*balance.sentences_of(request, section), *advice.sentences(*rest)),
        fit=fit if means.tip is not None else Fit.UNKNOWN,
        thickness=metal.quantity if isinstance(metal, Metal) else thickest,
        thickness_name=metal.name if isinstance(metal, Metal) else made.name,
        sources=tuple(dict.fromkeys(used)),
        plan=made,
        development=unrolled,
    )


def _before(request: Request, section: Section) -> tuple[str, ...]:
    """What is done before the first cut."""
    made_ready = advice.sentences(*metal_technique(request.piece)[:1])
    lies = lie(section, access_of(request), request.position).says
    if request.task is Task.HOLE:
        return (*made_ready, *advice.sentences("plan_hole_1", "plan_hole_2", "plan_hole_3"))
    return (*made_ready, lies, *saddles.marked(request, section))


def _in_order(made: CutPlan) -> str:
    """The cuts in one sentence."""
    parts = [cut.part for cut in made.cuts]
    if len(parts) == 1:
        return "One cut."
    return f"{whole(len(parts)).capitalize()} cuts, {', '.join(parts[:-1])}, then {parts[-1]}."


def _cut_lines(made: CutPlan) -> tuple[str, ...]:
    """Every cut's sentences, each led by its number and part."""
    lines: list[str] = []
    for cut in made.cuts:
        lines.append(f"Cut {whole(cut.number)}, {cut.part}.")
        lines += [*cut.how, *cut.watch, *cut.why]
    return tuple(lines)


def _figures(
    request: Request, made: CutPlan, thickest: Quantity, means: Means, section: Section
) -> tuple[Figure, ...]:
    source = next((key for key in made.sources if key in _TABLES), "shop_practice")
    count = request.count or 1
    many = f"for {whole(count)}" if 1 < count <= 999 else "in all"
    found: list[Figure | None] = [
        _pressure(made, source),
        _fuel_pressure(means, made, thickest),
        _total("time", made.time, count, made.status, many),
        _total("oxygen_used", made.oxygen, count, made.status, many),
        _total("fuel_used", made.fuel, count, made.status, f"{means.fuel.value}, {many}"),
        *_travels(made),
        Figure("kerf", made.kerf, made.kerf, "trade_memory", Status.MEMORY),
        shade(thickest),
        _weight(request, made, section),
    ]
    return tuple(figure for figure in found if figure is not None)


_TABLES = ("hand_cutting_handbook", "trade_course_metric", "this_project")


def _pressure(made: CutPlan, source: str) -> Figure | None:
    """One pressure for all cuts, or that of the first with the others' own beside each cut."""
    span = made.one_setting or made.cuts[0].oxygen_pressure
    if span is None:
        return None
    low, high = rounded_inward(float(span[0].m_as("psi")), float(span[1].m_as("psi")), 1.0)
    note = "at the regulator" if made.one_setting else "at the regulator, for the first cut"
    return Figure("oxygen_pressure", psi(low), psi(high), source, made.status, note)


def _fuel_pressure(means: Means, made: CutPlan, thickest: Quantity) -> Figure | None:
    """At the regulator, with the loss of a long hose at the plan's highest rate of burning."""
    rates = [
        tuple(
            float(gas.m_as("ft**3")) / float(time.m_as("hour"))
            for gas, time in zip(cut.fuel, cut.time, strict=True)
        )
        for cut in made.cuts
        if cut.fuel is not None and cut.time is not None
    ]
    flow = (min(low for low, _ in rates), max(high for _, high in rates)) if rates else None
    found = fuel_at_regulator(means.fuel, float(thickest.m_as("in")), flow, means.line)
    if found is None:
        return None
    low, high = found.pressure
    return Figure(
        "fuel_pressure", psi(low), psi(high), found.source, found.status, means.fuel.value
    )


def _total(
    name: str, span: tuple[Quantity, Quantity] | None, count: int, status: Status, note: str
) -> Figure | None:
    if span is None:
        return None
    return Figure(name, span[0] * count, span[1] * count, "this_project", status, note)


def _travels(made: CutPlan) -> tuple[Figure, ...]:
    """The slowest and the fastest travel of all cuts as one range; the plan has each cut's own."""
    spans = [cut.travel for cut in made.cuts if cut.travel is not None]
    if len(spans) != len(made.cuts):
        return ()
    low = min((span[0] for span in spans), key=lambda end: float(end.m_as("in/min")))
    high = max((span[1] for span in spans), key=lambda end: float(end.m_as("in/min")))
    note = "over all cuts" if len(spans) > 1 else ""
    return (Figure("travel_speed", low, high, "this_project", made.status, note),)


def _weight(request: Request, made: CutPlan, section: Section) -> Figure | None:
    """Of the piece; of a hole's slug alone, and of none where the slug is no flat disc."""
    if request.task is Task.HOLE:
        return slug_weight(request)
    source = section.sources[0] if section.sources else tables.steel_density().source
    if request.piece_length is None:
        return Figure("weight", made.weight, made.weight, source, section.status)
    pounds = registry.Quantity(section.weight * float(request.piece_length.m_as("ft")), "lb")
    return Figure("weight", pounds, pounds, source, Status.COMPUTED, "of the piece")


def _cautions(request: Request, section: Section) -> tuple[str, ...]:
    access = access_of(request)
    found = [*metal_cautions(request.piece)]
    if section.hollow:
        found.append("hollow")
    found.append("plan_stored_energy" if access is not Access.BENCH else "plan_hold")
    found.append("drop")
    if access is not Access.BENCH:
        found.append("plan_fall_zone")
    if request.position is Position.OVERHEAD:
        found.append("overhead")
    if section.weight >= _HEAVY:
        found.append("rigging")
    found += ["acetylene_limit", "fire_watch", "lanyard", "defer", "extinguisher", "shade"]
    found.append("sparks_fly")
    return tuple(dict.fromkeys(found))


def _notes(request: Request, made: CutPlan, section: Section, means: Means) -> tuple[str, ...]:
    found = []
    if request.access is None and request.position is None and len(made.cuts) > 1:
        found.append("plan_bench_taken")
    if made.one_setting is None and len(made.cuts) > 1:
        found.append("plan_reset")
    if means.tip is None:
        found.append("plan_tip_taken")
    elif means.tip.taken:
        found.append("tip_bore_from_made_for")
    found.append("plan_order_practice")
    if request.task is Task.MARK_OUT:
        found.append("plan_mark_print")
    if request.header is not None:
        found.append("plan_saddle_3")
    if section.radius and section.bore:
        found.append("plan_pipe_navy")
    if any(float(cut.thickness.m_as("in")) > EDGE_START_UP_TO for cut in made.cuts):
        found.append("plan_preheat_left_out")
    elif made.time is not None:
        found.append("plan_times_computed")
    if means.fuel is Fuel.PROPYLENE and made.oxygen is not None:
        found.append("propylene_flow")
    found.append("hose_counted" if means.line is not None else "hose_not_counted")
    found += ["table_from_memory", "chart_first"]
    return tuple(found)
