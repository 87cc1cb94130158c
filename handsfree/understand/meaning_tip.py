"""What the slots say about the tip, the gas and the hoses."""

from handsfree.spoken_numbers import decimal
from handsfree.understand.lengths import has_unit
from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import Fuel, TipOnHand
from handsfree.values.units import Quantity, feet, inches, kilopascals, millimetres, psi, registry

_STAMPS = {
    **dict.fromkeys(("zero", "oh", "ought", "aught", "nought"), "0"),
    **dict.fromkeys(
        (
            *("double ought", "double aught", "double nought", "double zero", "double oh"),
            *("oh oh", "ought ought", "zero zero"),
        ),
        "00",
    ),
    **dict.fromkeys(("triple ought", "triple aught", "triple zero", "triple oh"), "000"),
}
LARGEST_OWN_MM = 3.5  # a tip of so many millimetres and no plate named is told by its bore
SMALLEST_PLATE_IN = 0.1
LARGEST_BORE_MM = 5.0  # up to here it may be either
LARGEST_BORE_IN = 0.2
_TIP = (
    *("tip_for", "tip_for_low", "tip_stamp", "tip_drill"),
    *("tip_thou", "tip_bore", "tip_bore_mm"),
)


def tip_of(slots: Slots) -> TipOnHand | None:
    """The tip on hand; None when nothing was said about it.

    Raises:
        Unreadable: the figures do not go together.
    """
    if not slots.any_of(*_TIP):
        return None
    if "one_tip" in slots and not slots.any_of("tip_word", "small_tip"):
        raise Unreadable("one of what?")
    drill = slots.number("tip_drill")
    return TipOnHand(
        stamp=_stamp(slots),
        bore=_bore(slots),
        drill=None if drill is None else int(drill),
        made_for=_made_for(slots),
    )


def _made_for(slots: Slots) -> tuple[Quantity, Quantity] | None:
    """Thinnest and thickest plate; the thinnest is nothing for a tip that is good up to a size."""
    high = slots.length("tip_for")
    if high is None or _is_bore(slots, high):
        return None
    low = slots.length("tip_for_low")
    if low is None:
        low = inches(0) if "tip_reach" in slots else high
    if low > high:
        raise Unreadable("a tip made for more to less")
    return low, high


def _is_bore(slots: Slots, size: Quantity) -> bool:
    """A nozzle "of one point two mil" is told by its bore, unless a plate is named for it.

    "A one sixteenth nozzle" is, too, unless it was said to be made for a sixteenth.
    """
    if _says_plate(slots):
        return False
    if size.units == registry.millimeter:
        return float(size.m_as("mm")) <= LARGEST_OWN_MM
    return "tip_stamp" not in slots and float(size.m_as("in")) < SMALLEST_PLATE_IN


def _says_plate(slots: Slots) -> bool:
    """Whether a tip's size was said to be that of a plate: "made for", "up to", "three to six"."""
    return slots.any_of("tip_plate", "tip_reach", "tip_for_low")


def own_or_made_for(slots: Slots) -> tuple[str, str, str] | None:
    """A tip's size that may be its bore as well as its plate: number, unit as a bore, as a plate.

    A fraction of an inch is the plate's, as the trade says it: no drill is called by an eighth.

    >>> own_or_made_for(Slots((("tip_for", "four mil"),)))
    ('four', 'millimetre', 'millimetre')
    """
    words, size = slots.one("tip_for"), slots.length("tip_for")
    if words is None or size is None or _says_plate(slots) or _is_bore(slots, size):
        return None
    value = float(size.magnitude)
    if size.units == registry.millimeter:
        found = ("millimetre", "millimetre") if value <= LARGEST_BORE_MM else None
    elif "point" not in words.split():
        found = None
    elif value <= LARGEST_BORE_IN:
        found = ("inch", "inch")
    else:
        bare = 1 <= value <= LARGEST_BORE_MM and not has_unit(words)
        found = ("millimetre", "inch") if bare else None
    return None if found is None else (decimal(value, 6), *found)


def _stamp(slots: Slots) -> str | None:
    words = slots.one("tip_stamp")
    if words is None:
        return None
    if words in _STAMPS:
        return _STAMPS[words]
    value = slots.number("tip_stamp")
    return None if value is None else str(value)


def _bore(slots: Slots) -> Quantity | None:
    thousandths = slots.number("tip_thou")
    if thousandths is not None:
        return inches(thousandths / 1000)
    metric = slots.number("tip_bore_mm")
    if metric is not None:
        return millimetres(float(metric))
    words = slots.one("tip_bore")
    if words is not None and words.startswith("oh ") and "point" not in words:
        digit = Slots((("n", words.removeprefix("oh ")),)).number("n")  # oh six: .06 in
        return None if digit is None else inches(digit / 100)
    made_for = slots.length("tip_for")
    if made_for is not None and _is_bore(slots, made_for):
        return made_for
    return slots.length("tip_bore")


def fuel_of(slots: Slots) -> Fuel | None:
    """The fuel gas that was named."""
    said = slots.one("fuel")
    return None if said is None else Fuel(said)


def fuels_of(slots: Slots) -> tuple[Fuel, ...]:
    """Every fuel gas that was named; two of them cannot both be meant."""
    return tuple(dict.fromkeys(Fuel(value) for value in slots.all("fuel")))


def hose_length_of(slots: Slots) -> Quantity | None:
    """Hose from regulator to torch."""
    value = slots.number("hose_length")
    if value is None:
        return None
    unit = slots.one("hose_unit")
    return registry.Quantity(float(value), "metre") if unit == "m" else feet(value)


def hose_bore_of(slots: Slots) -> Quantity | None:
    """Inside diameter of the hose."""
    metric = slots.number("hose_bore_mm")
    return slots.length("hose_bore") if metric is None else millimetres(float(metric))


def pressure_of(slots: Slots) -> Quantity | None:
    """A gauge pressure that the user named."""
    if (value := slots.number("psi")) is not None:
        return psi(float(value))
    if (value := slots.number("bar")) is not None:
        return registry.Quantity(float(value), "bar")
    if (value := slots.number("kpa")) is not None:
        return kilopascals(float(value))
    return None
