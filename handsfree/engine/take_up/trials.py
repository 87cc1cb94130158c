"""Every tip tried on every piece of a list: right, leaned, slow or refused, with time and gas."""

from collections.abc import Callable
from dataclasses import dataclass

from handsfree.engine.jobs import Means
from handsfree.engine.plan.answer import access_of
from handsfree.engine.plan.cuts import Rough, Stopped, rough
from handsfree.engine.plan.lies import Lie, lie
from handsfree.engine.plan.sections import section_of
from handsfree.engine.tips import KnownTip
from handsfree.values import About, Access, Fit, Going, Request, Span, Tried, Wanted
from handsfree.values.units import Quantity, psi, registry, seconds

Ends = tuple[float, float]

WOVEN = "That is too much for this tip but by weaving, and no figure holds for that."
BEYOND = {
    "unlisted": "No table lists a bore that small.",
    "small": "The tip is too small for it.",
    "far": "It is too thick for the tip.",
    "round": "The tip is too large for that wall.",
    "large": "The tip is too large for it, even leaned.",
}
HOSE = "The hose is too long and thin for it."
OUTSIDE = "No table reaches that thickness."


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list, ready to be tried.

    Attributes:
        lie: its section as it lies.
        access: from where it is cut.
        left: how many cuts are left.
    """

    lie: Lie
    access: Access
    left: int


@dataclass(frozen=True, slots=True)
class Trial:
    """One line with one tip, as bare figures for all that is left of it.

    Attributes:
        going: how it goes.
        time: in seconds; None when refused.
        oxygen: in cubic feet; None where it is not known.
        fuel: likewise.
        pressure: of the oxygen at the regulator.
        why: of a refusal.
    """

    going: Going
    time: Ends | None = None
    oxygen: Ends | None = None
    fuel: Ends | None = None
    pressure: Ends | None = None
    why: str = ""


def line_of(wanted: Wanted) -> Line | None:
    """A line of the list; None while too little is known of its piece."""
    section = section_of(wanted.piece, wanted.length)
    if section is None:
        return None
    access = access_of(Request(About.CUT_ORDER, access=wanted.access))
    return Line(lie(section, access), access, max(0, wanted.count - wanted.done))


def trial(line: Line, tip: KnownTip, means: Means) -> Trial:
    """How a line goes with a tip, means being the hose, oxygen and fuel at hand."""
    own = Means(tip, means.line, means.purity, means.fuel, means.hose_assumed)
    found = rough(line.lie, line.access, own)
    if isinstance(found, Stopped):
        why = BEYOND[found.beyond.why] if found.beyond is not None else OUTSIDE
        return Trial(Going.REFUSED, why=HOSE if found.work is not None else why)
    if found.woven:
        return Trial(Going.REFUSED, why=WOVEN)
    return Trial(
        _going(found),
        _times(found.time, line.left),
        _times(found.oxygen, line.left),
        _times(found.fuel, line.left),
        found.pressure,
    )


def told(found: Trial) -> Tried:
    """A trial with its units."""
    return Tried(
        going=found.going,
        time=_span(found.time, seconds),
        oxygen=_span(found.oxygen, _feet3),
        fuel=_span(found.fuel, _feet3),
        pressure=_span(found.pressure, psi),
        why=found.why,
    )


def _going(found: Rough) -> Going:
    """The worst of its cuts; a lean over a thinner part with the right tip is still right."""
    if Fit.TOO_SMALL in found.fits:
        return Going.SLOW
    return Going.LEANED if Fit.TOO_LARGE in found.fits else Going.RIGHT


def _times(span: Ends | None, count: int) -> Ends | None:
    return None if span is None else (span[0] * count, span[1] * count)


def _span(span: Ends | None, unit: Callable[[float], Quantity]) -> Span | None:
    return None if span is None else (unit(span[0]), unit(span[1]))


def _feet3(value: float) -> Quantity:
    return registry.Quantity(value, "foot**3")
