"""A request about cutting becomes a job worked out, or the question or refusal in its way."""

from dataclasses import dataclass

from handsfree.engine import hose
from handsfree.engine.flow import purity_pace
from handsfree.engine.fuel_hose import fuel_at_regulator
from handsfree.engine.job import Job
from handsfree.engine.limits import fuel_of, hose_too_long, purity_of
from handsfree.engine.metals import stop_for_metal
from handsfree.engine.pieces import Metal, metal_to_cut
from handsfree.engine.refusals import refuse_tip_outside_model
from handsfree.engine.saying import eighths_of_an_inch
from handsfree.engine.tips import KnownTip, tip_on_hand
from handsfree.engine.work import Beyond, Hose, Work, reach, work_out
from handsfree.values import Fuel, Question, Refusal, Request, Rig, TipBox
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity

_BEYOND = {
    "unlisted": "No table lists a bore that small.",
    "small": "That tip is too small for this plate, whatever you do.",
    "far": "That plate is too thick for that tip, whatever you do.",
    "round": "That tip is too large for this wall, and a far lean does not hold on a round.",
    "large": "That tip is too large for this plate, even leaned over.",
}


@dataclass(frozen=True, slots=True)
class Means:
    """What there is to cut with, every stop on the way to it passed.

    Attributes:
        tip: the tip on hand, None for the right one.
        line: the oxygen hose, None when it is not to be counted.
        purity: of the oxygen in percent.
        fuel: the fuel that was said, else the rig's.
        hose_assumed: the hose's bore was taken as the usual one.
    """

    tip: KnownTip | None
    line: Hose | None
    purity: float
    fuel: Fuel
    hose_assumed: bool


def means_for(request: Request, rig: Rig, box: TipBox) -> Means | Question | Refusal:
    """Tip, hose, oxygen and fuel of a request, or the question or refusal in their way."""
    tip = tip_on_hand(request, box)
    if isinstance(tip, Question):
        return tip
    line = hose_of(request, rig)
    if isinstance(line, Question):
        return line
    purity = purity_of(request, rig)
    if purity_pace(purity) is None:
        return Refusal(
            request,
            "I have no figures for oxygen that impure.",
            "",
            ("Change to oxygen of ninety nine and a half percent.",),
            ("course_page_purity",),
        )
    assumed = line is not None and _bore(request, rig) is None
    return Means(tip, line, purity, fuel_of(request, rig), assumed)


def job_for(request: Request, rig: Rig, box: TipBox) -> Job | Question | Refusal:
    """The job, with every stop passed: metal, coating, thickness, tip, hose, oxygen."""
    stopped = stop_for_metal(request)
    if stopped is not None:
        return stopped
    metal = metal_to_cut(request)
    if not isinstance(metal, Metal):
        return metal
    means = means_for(request, rig, box)
    if not isinstance(means, Means):
        return means
    work = work_out(
        metal.thickness,
        means.tip,
        means.fuel,
        means.line,
        means.purity,
        metal.round_wall,
        metal.outside,
    )
    if isinstance(work, Beyond):
        return refuse_beyond(request, work, means.tip)
    if loses_too_much(work) or fuel_over_limit(means, metal.thickness, work):
        return hose_too_long(request)
    return Job(
        request=request,
        rig=rig,
        metal=metal,
        tip=means.tip,
        work=work,
        hose_counted=means.line is not None,
        hose_assumed=means.hose_assumed,
        line=means.line,
    )


def loses_too_much(work: Work) -> bool:
    """Whether more pressure is lost in the hose than arrives."""
    return work.hose_loss > max(work.pressure[1], hose.HEAVY_LOSS)


def fuel_over_limit(means: Means, thickness: float, work: Work) -> bool:
    """Whether a long fuel hose would ask more at the regulator than the fuel is ever given."""
    found = fuel_at_regulator(means.fuel, thickness, work.fuel, means.line)
    return found is not None and found.pressure[1] > found.limit


def refuse_beyond(request: Request, beyond: Beyond, tip: KnownTip | None) -> Refusal:
    """The refusal of a tip beyond the model."""
    if beyond.why in ("large", "round") or tip is None:
        return refuse_tip_outside_model(request, _BEYOND[beyond.why], "Fit a smaller tip.")
    if beyond.why == "unlisted":
        more = ["Go by its maker's chart, or fit a tip that is listed."]
        return refuse_tip_outside_model(request, _BEYOND[beyond.why], *more)
    more = ["Fit a larger tip."]
    furthest = reach(tip.bore)
    if furthest is not None:
        more.append(f"The tip on hand goes no further than {eighths_of_an_inch(furthest)}.")
    return refuse_tip_outside_model(request, _BEYOND[beyond.why], *more)


def hose_of(request: Request, rig: Rig) -> Hose | Question | None:
    """The oxygen hose to be counted; None when no length is known."""
    length, bore = request.hose_length or rig.hose_length, _bore(request, rig)
    if length is None:
        return None
    feet = float(length.m_as("ft"))
    inches = float(bore.m_as("in")) if bore is not None else hose.USUAL_BORE
    if not hose.LENGTHS[0] <= feet <= hose.LENGTHS[1]:
        return Question(
            request, Asks.HOSE, "I know hoses of five to four hundred feet. How long?", again=True
        )
    if not hose.BORES[0] <= inches <= hose.BORES[1]:
        return Question(
            request, Asks.HOSE, "No hose has that bore. Say the bore of the hose again.", again=True
        )
    return Hose(feet, inches)


def _bore(request: Request, rig: Rig) -> Quantity | None:
    return request.hose_bore or rig.hose_bore
