"""What the user wants: the steel, the tip, the gas and what is asked for."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from handsfree.values.consent import YesTo
from handsfree.values.timing import Paced
from handsfree.values.units import Quantity


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
    TAKE_UP = "take_up"
    GAS = "gas"
    WEIGHT = "weight"
    CONVERT = "convert"
    STEPS = "steps"
    TIMER = "timer"
    BEAT = "beat"
    MARK = "mark"
    RESULT = "result"
    PRACTICE = "practice"
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
    QUENCHED_STEEL = "quenched and tempered steel"
    WEAR_PLATE = "wear plate"
    WEATHERING_STEEL = "weathering steel"
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
        shuts_first: "fuel" or "oxygen": which torch valve its own instructions shut first; None
            while the user has not said.
    """

    fuel: Fuel = Fuel.ACETYLENE
    hose_length: Quantity | None = None
    hose_bore: Quantity | None = None
    oxygen_purity_percent: float = 99.5
    shuts_first: str | None = None


class Position(StrEnum):
    """How the torch must be held."""

    FLAT = "flat"
    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"
    OVERHEAD = "overhead"


class Access(StrEnum):
    """From where the piece can be got at while it is cut."""

    BENCH = "on the bench"
    IN_PLACE = "in place"
    ONE_SIDE = "from one side"
    BELOW = "from below"


class Task(StrEnum):
    """What is done to the piece when it is not simply cut across."""

    HOLE = "hole"
    STRIP_WELD = "strip weld"
    PIN = "pin"
    MARK_OUT = "mark out"


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
class Store:
    """The gas at hand, as far as it was said; what was not is taken as a usual full cylinder.

    Attributes:
        gas: "oxygen" or "fuel": which of the two is told of.
        cylinders: how many.
        gauge: what the high-pressure gauge reads.
        content: what one cylinder holds when full.
        temperature: of the cylinder.
        gross: weight of the cylinder as it stands on the scale.
        tare: weight stamped on it, empty.
    """

    gas: str
    cylinders: int = 1
    gauge: Quantity | None = None
    content: Quantity | None = None
    temperature: Quantity | None = None
    gross: Quantity | None = None
    tare: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line of a list of work: a piece, how many of it, and how it is to be parted.

    Attributes:
        piece: the steel.
        count: how many cuts of it.
        length: of cut, for plate; None for a cut straight across.
        access: from where it can be got at.
        done: how many are cut already.
    """

    piece: Piece
    count: int = 1
    length: Quantity | None = None
    access: Access | None = None
    done: int = 0


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
        shuts_first: which torch valve the torch's own instructions shut first, for `About.RIG`.
        gauge_of: "oxygen" or "fuel": whose gauge is dead, for the list about that.
        hazards: unsafe wishes that were named, as keys of the engine's refusal table.
        standing: unsafe wishes that were named before and hold until each is dealt with.
        confirmed: what he said yes to when he was asked about this very request.
        lean: True when the user asks to lean, weave or otherwise cope with the tip.
        oxygen_purity_percent: when said, else the rig's counts.
        follows: "what about half inch", "no, three eighths": all else is as in the request before.
        back_to_plain: parts of the piece that such words make plain again: "metal" by "what about
            mild steel", "surface" by "what about clean plate".
        denies: a length that was said to be wrong, whose place the one that is told takes.
        defaults: what was taken as read: "setting" when nothing was asked for in so many words.
        access: from where the piece can be got at; None when not said.
        task: what else than a cut across is wanted; None for a plain cut.
        count: how many such cuts; None when not said.
        cut_length: how far plate is cut or a weld washed off, or the diameter of a hole or a pin;
            None for straight across.
        piece_length: of the piece that comes off; None when not said.
        mitre: angle of the cut from square; None for a square cut. Of a saddled branch: how far it
            leans from square to its header.
        header: nominal size of the pipe on which a branch is to sit; 0 while it was not said; None
            for a plain cut.
        weld: leg of the fillet weld that is to come off; None when not said.
        stores: the gas at hand, for `About.GAS`.
        wanted: the list of work, for `About.TAKE_UP`.
        listed: place on that list of a piece of which one more is cut; None when not said.
        paced: for `About.TIMER`, BEAT, MARK, RESULT and PRACTICE.
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
    shuts_first: str | None = None
    gauge_of: str | None = None
    hazards: tuple[str, ...] = ()
    standing: tuple[str, ...] = ()
    confirmed: tuple[YesTo, ...] = ()
    lean: bool = False
    oxygen_purity_percent: float | None = None
    follows: bool = False
    back_to_plain: tuple[str, ...] = ()
    denies: Quantity | None = None
    access: Access | None = None
    task: Task | None = None
    count: int | None = None
    cut_length: Quantity | None = None
    piece_length: Quantity | None = None
    mitre: Quantity | None = None
    header: Fraction | None = None
    weld: Quantity | None = None
    stores: tuple[Store, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    listed: int | None = None
    paced: Paced | None = None
    defaults: tuple[str, ...] = ()


FUEL_OVER_LIMIT = "fuel_over_limit"
"""In `Request.standing`: no yes lifts it, but a pressure that he names instead."""

NOT_LISTED = "not listed"
"""In `Request.defaults`: what was ticked off stands nowhere on the list of work."""

NEW_LIST = "new list"
"""In `Request.defaults`: what was on the list of work before is dropped."""


class Control(StrEnum):
    """A word to the helper about its own talk."""

    AGAIN = "again"
    MORE = "more"
    BACK = "back"
    STOP = "stop"
    SLOWER = "slower"
    FASTER = "faster"
    LOUDER = "louder"
    SOFTER = "softer"


@dataclass(frozen=True, slots=True)
class Pick:
    """Which of the things that were read out: "1" is the first of them, "gauge" the one with it.

    "same" is what was said last of the steel.
    """

    which: str
