"""What is replied, as values and then in words."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from handsfree.values.consent import YesTo
from handsfree.values.plan import CutPlan, Development
from handsfree.values.request import Control, Request
from handsfree.values.standing import Fit, Status
from handsfree.values.steps import LedStep
from handsfree.values.take_up import TakeUp
from handsfree.values.timing import Progress
from handsfree.values.units import Quantity


class Asks(StrEnum):
    """What a question wants to be told."""

    AMOUNT = "amount"
    CARBON = "carbon"
    CASE = "case"
    CONFIRM = "confirm"
    COUNT = "count"
    FUEL = "fuel"
    FUEL_STORE = "fuel_store"
    GAS = "gas"
    HEADER = "header"
    HOLE = "hole"
    HOSE = "hose"
    LEFT_OVER = "left over"
    LENGTH = "length"
    LIST = "list"
    MITRE = "mitre"
    OXYGEN = "oxygen"
    PIN = "pin"
    READING = "reading"
    RESULT = "result"
    RIG = "rig"
    SCHEDULE = "schedule"
    SECTION = "section"
    SHAPE = "shape"
    SPEED = "speed"
    STAMP = "stamp"
    STEPS = "steps"
    THICKNESS = "thickness"
    TIME = "time"
    TIMER = "timer"
    TIP = "tip"
    UNIT = "unit"
    WELD = "weld"


@dataclass(frozen=True, slots=True)
class Figure:
    """One value of an answer, as a range.

    Attributes:
        name: oxygen_pressure, fuel_pressure, travel_speed, travel_run, kerf, lean, path,
            preheat_time, standoff, shade, oxygen_flow, fuel_flow, time, weight, oxygen_used,
            fuel_used, oxygen_left, fuel_left, cuts_left, run_time, change_over, draw_limit,
            cooling, or thickness, length, pressure, bore for conversions.
        low: lower end; equal to `high` for a single value.
        high: upper end.
        source: key into the engine's sources.
        status: the weakest status of what went into it.
        note: a few words said after the figure ("at the regulator", "separation only").
    """

    name: str
    low: Quantity
    high: Quantity
    source: str
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """A setting or single figures, with how to do it and what to mind.

    Attributes:
        request: what is answered, with what the tables added (thickness, bore).
        figures: in the order in which they are said; at most three are said before "more".
        technique: what to do, one short sentence each.
        cautions: what can hurt, one short sentence each; the first is always said.
        notes: what the reader may want to know and the voice keeps for "more" (residual, status).
        fit: how the tip suits the piece.
        thickness: metal to be cut, as resolved from the tables; None when it plays no part.
        thickness_name: how the trade says it: "3/4 in", "10 gauge", "W10X33 flange".
        sources: keys of every source used, in order of use.
        steps: for `About.STEPS`: the list in order.
        list_key: which list that is, for who leads it; empty where it is not led.
        plan: for `About.CUT_ORDER`: the cuts one by one, where the piece's size is known.
        development: the line of the cut, unrolled, for a round piece.
        take_up: for `About.TAKE_UP`: which tips, and how each piece goes with them.
        progress: for `About.PRACTICE`: the coupons of one person, for the plot.
    """

    request: Request
    figures: tuple[Figure, ...] = ()
    technique: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    fit: Fit = Fit.UNKNOWN
    thickness: Quantity | None = None
    thickness_name: str = ""
    sources: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    list_key: str = ""
    plan: CutPlan | None = None
    development: Development | None = None
    take_up: TakeUp | None = None
    progress: Progress | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Something is missing, ambiguous or implausible: ask, never guess.

    Attributes:
        request: what is understood so far, None when nothing is.
        asks_for: what is missing or to be confirmed.
        prompt: one short question, as it is said aloud.
        options: what can be answered, as phrases that the grammar hears; empty when open.
        again: what was said cannot be (an eighty-inch plate), so it is to be said again.
        yes_to: what a yes to it confirms; None where it is not answered by a yes.
    """

    request: Request | None
    asks_for: Asks
    prompt: str
    options: tuple[str, ...] = ()
    again: bool = False
    yes_to: YesTo | None = None


@dataclass(frozen=True, slots=True)
class Refusal:
    """What the helper will not do, why, by which rule, and what to do instead.

    Attributes:
        request: what was asked, None when only the unsafe wish was recognised.
        reason: one short sentence.
        rule: the rule in words ("29 CFR 1910.253(a)(2)"), empty for plain physics.
        instead: what to do, one short sentence each.
        sources: keys of the sources.
        stands: dangers, as keys of the table of refusals, that hold for what is asked next as well.
        asks: what it ends with where a yes would lift it.
    """

    request: Request | None
    reason: str
    rule: str = ""
    instead: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    stands: tuple[str, ...] = ()
    asks: Question | None = None


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """The words were not for the helper, or no request can be made of them.

    Attributes:
        heard: the words.
        why: one clear sentence.
        hints: phrases that can be said now.
    """

    heard: str
    why: str
    hints: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Noted:
    """A plain word about the talk itself, such as that a change was dropped.

    Attributes:
        sentence: what is said.
    """

    sentence: str


Reply: TypeAlias = Answer | Question | Refusal | NotUnderstood | Noted


@dataclass(frozen=True, slots=True)
class ToldFigure:
    """One figure as it is shown: `digits` are the huge letters ("24-35"), `unit` goes beside them.

    Attributes:
        name: as in `Figure`.
        label: the trade's words for it ("cutting oxygen").
        low: lower end in `unit`.
        high: upper end in `unit`.
        unit: short unit as shown ("psi", "in/min", "mm").
        digits: the range as shown, trade fractions where the trade uses them.
        spoken: the figure as it is said ("twenty four to thirty five p s i").
        source: citation in words.
        status: how far it can be trusted.
        note: a few words beside it.
    """

    name: str
    label: str
    low: float
    high: float
    unit: str
    digits: str
    spoken: str
    source: str
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """A reply in words: what is spoken, shown and recorded. Made by `tell.wording` alone.

    Attributes:
        kind: answer, question, refusal, steps or not_understood.
        heard: the words as heard.
        sureness: of the hearing, 0 to 1.
        understood: the read-back ("three quarter inch plate, acetylene, tip made for a quarter").
        about: the request's `About`, or empty.
        request: the request as plain names and values, for other programs.
        sentences: what is spoken, in order; the read-back first.
        more: what is spoken after "more".
        figures: the figures, in order.
        technique: sentences.
        cautions: sentences.
        notes: sentences for the reader.
        sources: citations.
        options: what can be answered or said now.
        plan: as in `Answer`, for the picture.
        development: likewise, for the template.
        take_up: likewise, for the table and its picture.
        progress: likewise, for the plot.
        led: the step of a list that waits for its answer, for the page; None when none is led.
    """

    kind: str
    heard: str
    sureness: float
    understood: str
    about: str
    request: tuple[tuple[str, str | float | bool], ...]
    sentences: tuple[str, ...]
    more: tuple[str, ...] = ()
    figures: tuple[ToldFigure, ...] = ()
    technique: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    plan: CutPlan | None = None
    development: Development | None = None
    take_up: TakeUp | None = None
    progress: Progress | None = None
    led: LedStep | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of words.

    Attributes:
        told: the reply.
        control: the word to the helper about its own talk, if the words were one.
        asks: a question is open now.
        leads: a list of steps is led now; `told.led` is the step, where the reply puts it.
    """

    told: Told
    control: Control | None
    asks: bool
    leads: bool = False
