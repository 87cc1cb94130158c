"""The frozen values that pass from room to room: words, request, reply.

Sound becomes `Words`; words become a `Request`; a request becomes a `Reply`. Everything here is a
plain value without behaviour beyond what its fields say.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypeAlias

from handsfree.units import Quantity


@dataclass(frozen=True, slots=True)
class Words:
    """What was said: lower-case words, one blank apart, and how surely they were heard.

    Attributes:
        text: the words; `[unk]` stands for a stretch that was not for the helper.
        sureness: probability that the text is right, 0 to 1; typed words have 1.
        others: the next best different readings, best first.
    """

    text: str
    sureness: float = 1.0
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Arc:
    """One step of a word network: from state to state over a word, a tag, or nothing."""

    start: int
    end: int
    word: str = ""
    tag: str = ""
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class WordNetwork:
    """A finite network of all that may be said in one listening state.

    Attributes:
        name: the listening state (the grammar file's name).
        states: number of states; 0 is the start.
        arcs: the steps; cost is -ln(probability), so a sum of costs ranks readings.
        finals: final states with their cost.
        pronunciations: for each word, its pronunciations as phones of the CMU set without stress.
    """

    name: str
    states: int
    arcs: tuple[Arc, ...]
    finals: tuple[tuple[int, float], ...]
    pronunciations: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]


@dataclass(frozen=True, slots=True)
class Samples:
    """A stretch of sound: one channel of 16-bit samples.

    Attributes:
        data: the samples, two bytes each, little-endian.
        rate: samples a second.
    """

    data: bytes
    rate: int

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.data) / 2 / self.rate


class About(StrEnum):
    """What a request asks for."""

    SETTING = "setting"
    OXYGEN_PRESSURE = "oxygen_pressure"
    FUEL_PRESSURE = "fuel_pressure"
    TIP = "tip"
    TRAVEL_SPEED = "travel_speed"
    KERF = "kerf"
    PREHEAT = "preheat"
    STANDOFF = "standoff"
    SHADE = "shade"
    TECHNIQUE = "technique"
    CUT_ORDER = "cut_order"
    GAS = "gas"
    WEIGHT = "weight"
    CONVERT = "convert"
    STEPS = "steps"
    TIMER = "timer"
    BEAT = "beat"
    TIP_BOX = "tip_box"
    RIG = "rig"
    HELP = "help"


class Shape(StrEnum):
    """The shape of what is to be cut."""

    PLATE = "plate"
    SHEET = "sheet"
    FLAT_BAR = "flat bar"
    ANGLE = "angle"
    CHANNEL = "channel"
    BEAM = "beam"
    TEE = "tee"
    SQUARE_TUBE = "square tube"
    ROUND_TUBE = "round tube"
    PIPE = "pipe"
    SHAFT = "shaft"
    SQUARE_BAR = "square bar"


class Fuel(StrEnum):
    """The fuel gas in use."""

    ACETYLENE = "acetylene"
    PROPANE = "propane"
    PROPYLENE = "propylene"
    NATURAL_GAS = "natural gas"


class Metal(StrEnum):
    """What the piece is made of, as far as the user said."""

    MILD_STEEL = "mild steel"
    HIGH_CARBON_STEEL = "high carbon steel"
    ALLOY_STEEL = "alloy steel"
    TOOL_STEEL = "tool steel"
    MANGANESE_STEEL = "manganese steel"
    STAINLESS_STEEL = "stainless steel"
    CAST_IRON = "cast iron"
    WROUGHT_IRON = "wrought iron"
    ALUMINIUM = "aluminium"
    COPPER = "copper"
    BRASS = "brass"
    BRONZE = "bronze"
    TITANIUM = "titanium"
    NICKEL_ALLOY = "nickel alloy"
    LEAD = "lead"
    ZINC = "zinc"
    MAGNESIUM = "magnesium"
    UNKNOWN = "unknown metal"


class Surface(StrEnum):
    """What is on or around the piece and changes what may be done."""

    CLEAN = "clean"
    RUSTY = "rusty"
    GALVANISED = "galvanised"
    PAINTED = "painted"
    CADMIUM = "cadmium plated"
    LEAD_PAINT = "lead painted"
    UNKNOWN_COATING = "unknown coating"


@dataclass(frozen=True, slots=True)
class Piece:
    """The steel to be cut, as the user named it; the engine finds the thickness in its tables.

    Attributes:
        shape: None when not said (a bare thickness is taken as plate, and said so).
        thickness: of the wall, the plate, or the diameter of a solid shaft.
        gauge: manufacturers' standard sheet gauge number.
        nominal: nominal pipe size in inches.
        schedule: pipe schedule: "40", "80", "STD", "XS", "XXS", "10S"...
        designation: a section in the trade's spelling: "W10X33", "L4X4X3/8", "HSS6X6X3/8".
        outside: outside dimensions of a tube, pipe, bar or angle that is not in a series.
        closed: a drum, tank or any closed container, or hollow part with no vent.
    """

    shape: Shape | None = None
    thickness: Quantity | None = None
    gauge: int | None = None
    nominal: Fraction | None = None
    schedule: str | None = None
    designation: str | None = None
    outside: tuple[Quantity, ...] = ()
    metal: Metal = Metal.MILD_STEEL
    surface: Surface = Surface.CLEAN
    closed: bool = False
    carbon_percent: float | None = None


@dataclass(frozen=True, slots=True)
class TipOnHand:
    """The tip in the torch, as far as it was said or is in the tip box.

    Attributes:
        stamp: what is stamped on it ("1", "00"), looked up in the user's own tip box.
        bore: diameter of the cutting-oxygen orifice.
        drill: number-drill size of that orifice (1 to 80).
        made_for: plate thickness that its maker's chart gives it for: the thinnest and thickest;
            the thinnest is 0 in for a tip that is only known to be good up to a thickness.
    """

    stamp: str | None = None
    bore: Quantity | None = None
    drill: int | None = None
    made_for: tuple[Quantity, Quantity] | None = None


@dataclass(frozen=True, slots=True)
class TipBox:
    """The user's own tips; `in_torch` is the stamp of the one that is fitted, when he said so."""

    tips: tuple[TipOnHand, ...] = ()
    in_torch: str | None = None


@dataclass(frozen=True, slots=True)
class Rig:
    """Gas and hoses in use.

    Attributes:
        fuel: the fuel gas.
        hose_length: regulator to torch.
        hose_bore: inside diameter of the oxygen hose.
        oxygen_purity_percent: as on the cylinder's label.
    """

    fuel: Fuel = Fuel.ACETYLENE
    hose_length: Quantity | None = None
    hose_bore: Quantity | None = None
    oxygen_purity_percent: float = 99.5


class Position(StrEnum):
    """How the torch must be held."""

    FLAT = "flat"
    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"
    OVERHEAD = "overhead"


class BoxChange(StrEnum):
    """What is done to the tip box or the rig."""

    SHOW = "show"
    ADD = "add"
    REMOVE = "remove"
    USE = "use"


@dataclass(frozen=True, slots=True)
class Conversion:
    """One amount to be told in another unit, or in the trade's other ways when none is named.

    Attributes:
        amount: None when the request's piece or tip names it (a gauge, a pipe, a number drill).
        unit: mm, in, fraction, cm, gauge, drill, psi, bar, kPa, in/min, mm/min, ft, m, l/min, cfh,
            degC, degF; None when none is named.
    """

    amount: Quantity | None
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Request:
    """What the user wants, complete or not.

    Attributes:
        about: what is asked for.
        piece: the steel, None when nothing about it was said.
        tip: the tip on hand, None when not said.
        fuel: the fuel when said aloud, else the rig's counts.
        position: None when not said.
        hose_length: when said in the request, else the rig's counts.
        hose_bore: likewise.
        asked_pressure: a pressure the user names ("acetylene at twenty"), to be checked.
        asked_gas: whose pressure that is: "oxygen" or "fuel".
        conversion: for `About.CONVERT`.
        change: for `About.TIP_BOX` and `About.RIG`.
        steps: name of the step list asked for.
        hazards: unsafe wishes that were named, as keys of the engine's refusal table.
        lean: True when the user asks to lean, weave or otherwise cope with the tip.
        oxygen_purity_percent: when said, else the rig's counts.
        defaults: what was taken as read: "setting" when nothing was asked for in so many words.
    """

    about: About
    piece: Piece | None = None
    tip: TipOnHand | None = None
    fuel: Fuel | None = None
    position: Position | None = None
    hose_length: Quantity | None = None
    hose_bore: Quantity | None = None
    asked_pressure: Quantity | None = None
    asked_gas: str | None = None
    conversion: Conversion | None = None
    change: BoxChange | None = None
    steps: str | None = None
    hazards: tuple[str, ...] = ()
    lean: bool = False
    oxygen_purity_percent: float | None = None
    defaults: tuple[str, ...] = ()


COATING_CONFIRMED = "coating confirmed"
"""In `Request.defaults`: the user said yes to the question about the coating."""


@dataclass(frozen=True, slots=True)
class Consent:
    """A yes or no to what was just asked; silence is never one."""

    given: bool


class Status(StrEnum):
    """How far a figure can be trusted; never promoted."""

    READ = "read"
    SECONDARY = "secondary"
    COMMON_PRACTICE = "common practice"
    MEMORY = "memory"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class Figure:
    """One value of an answer, as a range.

    Attributes:
        name: oxygen_pressure, fuel_pressure, travel_speed, kerf, lean, path, preheat_time,
            standoff, shade, oxygen_flow, fuel_flow, time, weight, or thickness, length, pressure,
            bore for conversions.
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


class Fit(StrEnum):
    """How the tip on hand suits the piece."""

    RIGHT = "right"
    TOO_SMALL = "too small"
    TOO_LARGE = "too large"
    UNKNOWN = "unknown"


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


@dataclass(frozen=True, slots=True)
class Question:
    """Something is missing, ambiguous or implausible: ask, never guess.

    Attributes:
        request: what is understood so far, None when nothing is.
        asks_for: the slot: "thickness", "tip", "fuel", "shape", "confirm"...
        prompt: one short question, as it is said aloud.
        options: what can be answered, as phrases that the grammar hears; empty when open.
    """

    request: Request | None
    asks_for: str
    prompt: str
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """What the helper will not do, why, by which rule, and what to do instead.

    Attributes:
        request: what was asked, None when only the unsafe wish was recognised.
        reason: one short sentence.
        rule: the rule in words ("29 CFR 1910.253(a)(2)"), empty for plain physics.
        instead: what to do, one short sentence each.
        sources: keys of the sources.
    """

    request: Request | None
    reason: str
    rule: str = ""
    instead: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


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


Reply: TypeAlias = Answer | Question | Refusal | NotUnderstood


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
