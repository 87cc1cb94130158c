"""A request becomes a reply: an answer, a question, or a refusal.

The order is the order of what can hurt. Unsafe wishes are refused by name before anything is worked
out; then a fuel pressure above its limit; then metals and coatings; then what is missing is asked
for; and whatever answer is left passes the limits once more on its way out.

A question that asks for a yes says what that confirms (`Question.yes_to`); it is answered by the
same request with that among its `confirmed`, and taken only where it is asked about just that.
"""

from collections.abc import Callable
from dataclasses import replace

from handsfree.engine import advice, figures, setting
from handsfree.engine.box_changes import answer_rig, answer_tip_box
from handsfree.engine.conversions import answer_convert
from handsfree.engine.dealt_with import refuse_standing
from handsfree.engine.job import Job
from handsfree.engine.jobs import job_for
from handsfree.engine.limits import asks_for_fuel, check_asked_pressure, fuel_of, gate
from handsfree.engine.metals import stop_for_metal
from handsfree.engine.plan.answer import answer_plan
from handsfree.engine.plan.sections import section_of
from handsfree.engine.refusals import refuse_hazards
from handsfree.engine.saying import stamp as stamp_words
from handsfree.engine.step_answer import answer_steps
from handsfree.engine.supply.answer import answer_supply
from handsfree.engine.take_up.answer import answer_take_up
from handsfree.engine.tips import fit, suiting_from_box, tip_on_hand
from handsfree.engine.weights import answer_weight
from handsfree.values import (
    About,
    Answer,
    Figure,
    Fit,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    TipBox,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity


def answer(request: Request, rig: Rig, box: TipBox) -> Reply:
    """What the helper replies to a request.

    Pure: the same request, rig and box always give the same reply. Never raises for any request
    whose quantities have the dimensions that `Request` says.

    >>> from handsfree.values.units import inches
    >>> from handsfree.values import Piece
    >>> reply = answer(
    ...     Request(About.SETTING, piece=Piece(thickness=inches(0.75))), Rig(), TipBox()
    ... )
    >>> [f"{figure.name} {figure.low.magnitude:g}" for figure in reply.figures[:3]]
    ['oxygen_pressure 24', 'fuel_pressure 4', 'travel_speed 12']
    """
    stopped = (
        refuse_hazards(request)
        or refuse_standing(request, fuel_of(request, rig))
        or check_asked_pressure(request, rig)
    )
    if stopped is not None:
        return stopped
    lifted = replace(request, standing=())
    return gate(_reply(lifted, rig, box), rig)


def _reply(request: Request, rig: Rig, box: TipBox) -> Reply:
    match request.about:
        case About.CONVERT:
            return answer_convert(request, box)
        case About.WEIGHT:
            return stop_for_metal_only(request) or answer_weight(request)
        case About.STEPS:
            return answer_steps(request, rig)
        case About.TIP_BOX:
            return answer_tip_box(request, box)
        case About.RIG:
            return answer_rig(request, rig)
        case About.HELP:
            keys = ("help_1", "help_2", "help_3")
            return Answer(
                request,
                technique=advice.sentences(*keys),
                cautions=advice.sentences("defer"),
                sources=advice.sources(*keys, "defer"),
            )
        case About.CUT_ORDER:
            return answer_plan(request, rig, box)
        case About.SETTING if _has_several_faces(request):
            return answer_plan(request, rig, box)
        case About.GAS if request.stores or request.count is not None:
            return answer_supply(request, rig, box)
        case About.TAKE_UP:
            return answer_take_up(request, rig, box)
        case About.TIMER | About.BEAT | About.MARK | About.RESULT | About.PRACTICE:
            return _needs_a_clock(request)
        case About.STANDOFF if _nothing_to_cut(request):
            return _standoff_alone(request)
        case About.TIP:
            return _which_tip(request, rig, box)
        case About.SHADE | About.STANDOFF:
            job = job_for(replace(request, tip=None), rig, TipBox())
            return ABOUT_CUTTING[request.about](job, box) if isinstance(job, Job) else job
        case _:
            job = job_for(request, rig, box)
            return ABOUT_CUTTING[request.about](job, box) if isinstance(job, Job) else job


def _has_several_faces(request: Request) -> bool:
    """Whether steel of several faces, or round, is to be cut, and no single pressure is asked of.

    Who asks how to cut a beam or a pipe wants to cut it through: the plan has the setting in it.
    """
    if request.asked_pressure is not None:
        return False
    section = section_of(request.piece or Piece())
    return section is not None and (len(section.faces) > 1 or section.radius > 0)


def stop_for_metal_only(request: Request) -> Refusal | None:
    """Weight is given for any steel; of other metals nothing is known here."""
    found = stop_for_metal(request)
    return found if isinstance(found, Refusal) and not _is_closed(request) else None


def _is_closed(request: Request) -> bool:
    return request.piece is not None and request.piece.closed


def _nothing_to_cut(request: Request) -> bool:
    piece = request.piece
    return piece is None or (
        piece.thickness is None
        and piece.gauge is None
        and piece.nominal is None
        and piece.designation is None
    )


def _standoff_alone(request: Request) -> Reply:
    """The cones' distance does not depend on the plate."""
    stopped = stop_for_metal(request)
    if stopped is not None:
        return stopped
    figure = figures.standoff()
    return Answer(
        request,
        (figure,),
        cautions=advice.sentences("shade", "defer"),
        sources=tuple(dict.fromkeys((figure.source, *advice.sources("shade", "defer")))),
    )


def _needs_a_clock(request: Request) -> Refusal:
    """The engine knows no time: who asks it alone is told what to do instead."""
    return Refusal(
        request,
        "I keep no time for that here.",
        instead=("Use a watch, and write the time on the permit.", "Ask for the travel speed."),
    )


def _setting(job: Job, box: TipBox) -> Answer:
    return _with_asked(job, setting.answer_setting(job))


def _oxygen(job: Job, box: TipBox) -> Answer:
    told = (figures.oxygen_pressure(job), *figures.lean_and_path(job)[:1])
    return _with_asked(job, setting.answer_with(job, told))


def _fuel(job: Job, box: TipBox) -> Answer:
    return _with_asked(job, setting.answer_with(job, _there(figures.fuel_pressure(job))))


def _speed(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, (figures.travel_speed(job), *figures.lean_and_path(job)))


def _kerf(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, (figures.kerf(job), *figures.lean_and_path(job)[:1]))


def _preheat(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, _there(figures.preheat_time(job)))


def _standoff(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, (figures.standoff(),))


def _shade(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, _there(figures.shade(job.metal.quantity)))


def _technique(job: Job, box: TipBox) -> Answer | Question:
    """How to do it; when the tip is said to be off-size but not which it is, the tip is asked."""
    if job.request.lean and job.tip is None:
        return Question(job.request, Asks.TIP, "What plate is your tip made for?")
    return setting.answer_with(
        job,
        (
            *figures.lean_and_path(job),
            figures.travel_speed(job),
            figures.oxygen_pressure(job),
            *_there(figures.fuel_pressure(job)),
        ),
    )


def _gas(job: Job, box: TipBox) -> Answer:
    return setting.answer_with(job, (*figures.flows(job), figures.time_a_foot(job)))


def _there(figure: Figure | None) -> tuple[Figure, ...]:
    return () if figure is None else (figure,)


def _which_tip(request: Request, rig: Rig, box: TipBox) -> Reply:
    """Which tip suits: the listed bores, the user's own tips, and how the one named fits.

    A tip far off is no reason to refuse here: that it does not fit is the answer.
    """
    job = job_for(replace(request, tip=None), rig, TipBox())
    tip = tip_on_hand(request, box)
    if not isinstance(job, Job):
        return job
    if isinstance(tip, Question):
        return tip
    fits = fit(tip, job.metal.thickness)
    keys = {
        Fit.RIGHT: ("tip_right",),
        Fit.TOO_SMALL: ("tip_small",),
        Fit.TOO_LARGE: ("tip_large",),
        Fit.UNKNOWN: (),
    }[fits]
    suiting = suiting_from_box(box, job.metal.thickness)
    mine = tuple(f"From your box, {stamp_words(stamp)} suits." for stamp in suiting)
    choose = () if fits is Fit.RIGHT else advice.sentences("tip_choose")
    found = setting.answer_with(job, (figures.listed_bore(job),))
    return replace(
        found,
        request=request,
        fit=fits,
        technique=(*advice.sentences(*keys), *mine, *choose),
        notes=advice.sentences("table_from_memory"),
        sources=tuple(dict.fromkeys((*found.sources, *advice.sources(*keys, "tip_choose")))),
    )


ABOUT_CUTTING: dict[About, Callable[[Job, TipBox], Answer | Question]] = {
    About.SETTING: _setting,
    About.OXYGEN_PRESSURE: _oxygen,
    About.FUEL_PRESSURE: _fuel,
    About.TRAVEL_SPEED: _speed,
    About.KERF: _kerf,
    About.PREHEAT: _preheat,
    About.STANDOFF: _standoff,
    About.SHADE: _shade,
    About.TECHNIQUE: _technique,
    About.GAS: _gas,
}


def _with_asked(job: Job, found: Answer) -> Answer:
    """A pressure that the user named is compared with the range before anything else is said."""
    asked: Quantity | None = job.request.asked_pressure
    if asked is None:
        return found
    name = "fuel_pressure" if asks_for_fuel(job.request) else "oxygen_pressure"
    figure = next((each for each in found.figures if each.name == name), None)
    if figure is None:
        return found
    value, low, high = (float(each.m_as("psi")) for each in (asked, figure.low, figure.high))
    key = "asked_above" if value > high else "asked_below" if value < low else "asked_inside"
    keys = (key, "high_oxygen") if key == "asked_above" and name == "oxygen_pressure" else (key,)
    return replace(found, technique=(*advice.sentences(*keys), *found.technique))
