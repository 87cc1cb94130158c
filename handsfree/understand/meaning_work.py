"""What the slots say about the work as a whole: from where, how often, how far, with how much gas.

A cut order, a question about the gas and a list of what to take up each have a slot of their own;
beside them a piece is told as for any other request.
"""

from fractions import Fraction

from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import About, Access, BoxChange, Piece, Store, Task, Wanted
from handsfree.values.units import Quantity, degrees, feet, inches, psi, registry

GAUGE_FROM = 150.0  # psi: no hand torch is set to more, so more is a cylinder's gauge
_MANNER = (
    *("access", "mitre", "mitred", "piece_feet", "piece_length", "task", "hole", "saddle"),
    *("header", "cut_feet", "cut_metres", "cut_inches", "bevel_angle"),
)
# Manner of a cut whose steel was told just before: "and in place", "onto an eight inch header".
_GOES_ON = ("access", "header", "mitre", "piece_feet")
_STORES = ("store_gauge", "store_feet", "cylinders", "gross")


def work_about(slots: Slots, piece: Piece | None = None, *, tip_told: bool = False) -> About | None:
    """What is asked about the work; None when it is another kind of request.

    Raises:
        Unreadable: something is added to the list that is no piece of steel.
    """
    plan = slots.one("plan")
    if plan == "add":
        told = slots.any_of("count", "cut_feet")
        if piece is None or (tip_told and not told) or slots.any_of("about", "hint", "question"):
            raise Unreadable("a piece for the list, and none was named")
        return About.TAKE_UP
    if plan == "take_up" or slots.any_of("list", "ticked"):
        return About.TAKE_UP
    if slots.any_of("how_many", "so_many") and not _asks_how_many(slots):
        raise Unreadable("how many of what?")
    if "tip_box" in slots.all("hint") and slots.any_of("cut_feet", "cut_inches", "cut_metres"):
        raise Unreadable("a length of cut for the tip box")
    if slots.any_of("supply", "so_many", *_STORES):
        return About.GAS
    asked = set(slots.all("about")) - {"advice", "feasible"}
    asked |= set(slots.all("hint")) & {"weight"}  # what's four foot of it weigh
    if plan == "order" or (slots.any_of(*_MANNER) and not asked):
        return About.CUT_ORDER
    return None


def _asks_how_many(slots: Slots) -> bool:
    """Whether both halves of the question are there: "how many", and "can I cut"."""
    return "how_many" in slots and slots.any_of("so_many", "supply")


def harks_back(slots: Slots, piece: Piece | None) -> bool:
    """Whether "of these", or a manner told alone, points to the steel of the request before."""
    alone = slots.any_of(*_GOES_ON) and not slots.any_of("task", "hole", "list", "ticked", "plan")
    return piece is None and ("these" in slots or alone)


def access_of(slots: Slots) -> Access | None:
    """From where it is cut."""
    said = slots.one("access")
    return None if said is None else Access(said)


def task_of(slots: Slots) -> Task | None:
    """What else than a cut across is wanted.

    Raises:
        Unreadable: "a sixteenth hole in my tip" is the tip's own.
    """
    if "hole" in slots:
        if "tip_word" in slots:
            raise Unreadable("a hole in the tip")
        return Task.HOLE
    said = slots.one("task")
    return None if said is None else Task(said)


def header_of(slots: Slots) -> Fraction | None:
    """Size of the pipe on which a branch sits; 0 where a saddle was asked for without it."""
    value = slots.length("header")
    if value is not None:
        return Fraction(float(value.m_as("in"))).limit_denominator(64)
    return Fraction(0) if "saddle" in slots else None


def weld_of(slots: Slots) -> Quantity | None:
    """Leg of the weld that comes off."""
    return slots.length("weld")


def count_of(slots: Slots) -> int | None:
    """How many cuts.

    Raises:
        Unreadable: no whole number.
    """
    value = slots.number("count")
    if value is None:
        return None
    if value.denominator != 1:
        raise Unreadable("a part of a cut")
    return int(value)


def cut_length_of(slots: Slots) -> Quantity | None:
    """How far plate is cut, or how wide a hole or thick a pin is."""
    for name in ("hole", "pin"):
        if name in slots:
            return slots.length(name)
    if (value := slots.number("cut_feet")) is not None:
        return feet(value)
    if (value := slots.number("cut_metres")) is not None:
        return registry.Quantity(float(value), "metre")
    value = slots.number("cut_inches")
    return None if value is None else inches(value)


def piece_length_of(slots: Slots) -> Quantity | None:
    """How long the piece is that comes off."""
    value = slots.number("piece_feet")
    return slots.length("piece_length") if value is None else feet(value)


def mitre_of(slots: Slots) -> Quantity | None:
    """The angle of a mitre, from square.

    Raises:
        Unreadable: "at forty five" beside no word of a mitre, a bevel or a branch.
    """
    if set(slots.all("mitred")) == {"at"} and not slots.any_of("header", "saddle"):
        raise Unreadable("at forty five of what?")
    if "bevel_angle" in slots and "bevel" not in slots:
        raise Unreadable("forty five degrees of what?")
    value = slots.number("bevel_angle" if "bevel" in slots and "mitre" not in slots else "mitre")
    return None if value is None else degrees(float(value))


def stores_of(slots: Slots, asked_pressure: Quantity | None) -> tuple[Store, ...]:
    """The gas that is asked about or told of."""
    gas = slots.one("supply") or ("fuel" if "gross" in slots else "oxygen")
    gauge = asked_pressure
    if (value := slots.number("store_gauge")) is not None:
        gauge = psi(float(value))
    if gauge is not None and float(gauge.m_as("psi")) < GAUGE_FROM:
        gauge = None
    many, content = slots.number("cylinders"), slots.number("store_feet")
    if "below_zero" in slots and "store_warmth" not in slots:
        raise Unreadable("minus what?")
    gross, tare = slots.number("gross"), slots.number("tare")
    return (
        Store(
            gas,
            cylinders=1 if many is None else int(many),
            gauge=gauge if gas == "oxygen" else None,
            temperature=_warmth(slots),
            content=None if content is None else registry.Quantity(float(content), "foot**3"),
            gross=None if gross is None else registry.Quantity(float(gross), "lb"),
            tare=None if tare is None else registry.Quantity(float(tare), "lb"),
        ),
    )


def listed_of(slots: Slots) -> int | None:
    """Which piece of the list is meant, by its place."""
    value = slots.number("listed")
    return None if value is None else int(value)


def _warmth(slots: Slots) -> Quantity | None:
    """How warm the cylinders are; degrees are Fahrenheit where nothing else is said."""
    value = slots.number("store_warmth")
    if value is None:
        return None
    degrees_told = -float(value) if "below_zero" in slots else float(value)
    unit = "degC" if slots.one("warmth_unit") == "C" else "degF"
    return registry.Quantity(degrees_told, unit)


def list_change_of(slots: Slots) -> BoxChange | None:
    """What is done to the list of work beside adding to it."""
    return BoxChange.REMOVE if slots.one("list") == "remove" else None


def wanted_of(slots: Slots, piece: Piece | None) -> tuple[Wanted, ...]:
    """One line of a list of what goes up; none where no piece was named.

    A piece that is done has no count of its own: it ticks off that many cuts.
    """
    if piece is None:
        return ()
    if "ticked" in slots:
        return (Wanted(piece, 0, done=count_of(slots) or 1),)
    return (Wanted(piece, count_of(slots) or 1, cut_length_of(slots), access_of(slots)),)
