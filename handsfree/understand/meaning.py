"""The slots of a reading become a request: what is asked for, of which steel, with what.

A reading whose slots do not go together has no meaning (None), and the next one is tried; a number
that can mean two things becomes a question. Nothing is filled in silently: what is taken as read
stands in `Request.defaults`.
"""

from handsfree.spoken_numbers import whole
from handsfree.understand.meaning_piece import SIZES, bare_number, piece_of
from handsfree.understand.meaning_tip import (
    fuel_of,
    hose_bore_of,
    hose_length_of,
    pressure_of,
    tip_of,
)
from handsfree.understand.parser import Reading
from handsfree.understand.slots import Slots, Unreadable
from handsfree.units import Quantity, cubic_feet_an_hour, feet, inches, psi, registry
from handsfree.values import (
    About,
    BoxChange,
    Consent,
    Conversion,
    Piece,
    Position,
    Question,
    Request,
    TipOnHand,
)

_FIGURES = {
    "travel_speed": About.TRAVEL_SPEED,
    "tip": About.TIP,
    "kerf": About.KERF,
    "preheat": About.PREHEAT,
    "standoff": About.STANDOFF,
    "shade": About.SHADE,
    "gas": About.GAS,
    "weight": About.WEIGHT,
}
_UNITS = {
    "amount_bar": "bar",
    "amount_kpa": "kilopascal",
    "amount_ipm": "inch_per_minute",
    "amount_mm_min": "millimeter / minute",
    "amount_metres": "metre",
    "amount_lpm": "litre / minute",
    "amount_f": "degF",
    "amount_c": "degC",
}


def meaning(reading: Reading) -> Request | Question | Consent | None:
    """The request that a reading makes; None when its slots do not go together."""
    slots = Slots(reading.slots)
    try:
        return _request(slots)
    except (Unreadable, ValueError):
        return None


def _request(slots: Slots) -> Request | Question | Consent | None:
    if "consent" in slots:
        return Consent(slots.one("consent") == "yes") if len(slots.said) == 1 else None
    if "hint" in slots and not _meant_to_ask(slots):
        return None
    if "hazard" in slots:
        return Request(About.SETTING, hazards=tuple(dict.fromkeys(slots.all("hazard"))))
    if "steps" in slots:
        return Request(About.STEPS, steps=slots.all("steps")[0], fuel=fuel_of(slots))
    if "convert" in slots.all("about"):
        return _conversion(slots)
    piece, tip = piece_of(slots), tip_of(slots)
    about = _about(slots, piece, tip)
    if about is None:
        return None
    change = _change(slots, about)
    request = Request(
        about,
        piece=piece,
        tip=tip,
        fuel=fuel_of(slots),
        position=_position(slots),
        hose_length=hose_length_of(slots),
        hose_bore=hose_bore_of(slots),
        asked_pressure=pressure_of(slots),
        asked_gas=_gas(slots),
        change=change,
        lean="off_size" in slots or about is About.TECHNIQUE,
        oxygen_purity_percent=_purity(slots),
        defaults=() if "about" in slots or change is not None else ("setting",),
    )
    bare = bare_number(slots)
    if bare is not None:
        return _what_unit(request, bare.numerator)
    return request


def _about(slots: Slots, piece: Piece | None, tip: TipOnHand | None) -> About | None:
    """What is asked for; a bare piece of steel asks for its setting."""
    said = dict.fromkeys(slots.all("about"))
    if "help" in said:
        return About.HELP if len(said) == 1 and piece is None else None
    if box := _box_or_rig(slots, said, piece, tip):
        return box
    for name in ("tip_box", "rig"):
        if name in said:
            return None  # a change of the box beside a question: not one request
    if "technique" in said:
        return About.TECHNIQUE
    figures = {_FIGURES[name] for name in said if name in _FIGURES}
    gas_named = "gas" in slots and not figures and slots.any_of("question", *SIZES)
    if "pressure" in said or gas_named:
        figures.add(_pressure_about(slots))
        said.pop("setting", None)  # "what do I set the oxygen at"
    if "setting" in said or len(figures) > 1:
        return About.SETTING
    if figures:
        return figures.pop()
    if tip is not None or (piece is not None and _says_size(slots)) or "psi" in slots:
        return About.SETTING
    return None


def _meant_to_ask(slots: Slots) -> bool:
    """Whether a single word that hints at a question stands beside a question word or a size."""
    return slots.any_of("question", *SIZES, "psi", "bar", "kpa") or (
        slots.any_of("tip_for", "tip_stamp", "tip_drill", "tip_bore", "tip_bore_mm", "tip_thou")
    )


def _says_size(slots: Slots) -> bool:
    """Whether the steel was named by more than a word that any talk may hold."""
    return slots.any_of(*SIZES, "metal", "surface", "schedule", "carbon", "verb")


def _pressure_about(slots: Slots) -> About:
    gases = set(slots.all("gas"))
    if "psi" not in slots and not gases and "fuel" in slots:
        return About.SETTING
    if gases == {"oxygen"}:
        return About.OXYGEN_PRESSURE
    if gases == {"fuel"}:
        return About.FUEL_PRESSURE
    return About.SETTING


def _box_or_rig(
    slots: Slots, said: dict[str, None], piece: Piece | None, tip: TipOnHand | None
) -> About | None:
    """Whether the words change or show the tip box or the rig, and ask for nothing else."""
    only_change = not (set(said) - {"tip_box", "rig"})
    if not only_change or piece is not None:
        return None
    if "tip_box" in said:
        return About.TIP_BOX
    if "rig" in said:
        return About.RIG
    if tip is not None:
        two_facts = sum(
            fact is not None for fact in (tip.stamp, tip.bore or tip.drill, tip.made_for)
        )
        change = slots.one("change")
        if change == "use" or "in_torch" in slots or two_facts > 1:
            return About.TIP_BOX
        return None
    if slots.any_of("fuel", "hose_length", "hose_bore", "hose_bore_mm", "purity"):
        return About.RIG
    return None


def _change(slots: Slots, about: About) -> BoxChange | None:
    if about is About.RIG:
        return BoxChange.SHOW if "show" in slots.all("change") else BoxChange.USE
    if about is not About.TIP_BOX:
        return None
    said = [change for change in slots.all("change") if change != "got"]
    if said:
        return BoxChange(said[0])
    return BoxChange.USE if "in_torch" in slots else BoxChange.ADD


def _position(slots: Slots) -> Position | None:
    said = slots.one("position")
    return None if said is None else Position(said)


def _purity(slots: Slots) -> float | None:
    value = slots.number("purity")
    return None if value is None else float(value)


def _gas(slots: Slots) -> str | None:
    """Whose pressure a named pressure is."""
    if not slots.any_of("psi", "bar", "kpa"):
        return None
    if gas := slots.one("gas"):
        return gas
    return "fuel" if "fuel" in slots else None


def _what_unit(request: Request, value: int) -> Question:
    said = whole(value)
    options = [f"{said} inch"] if value <= 12 else []
    options.append(f"{said} millimetres")
    if 3 <= value <= 28:
        options.append(f"{said} gauge")
    return Question(request, "thickness", f"{said} what?", tuple(options))


def _conversion(slots: Slots) -> Request | None:
    """A conversion stands alone: what else is said must be the amount itself."""
    if slots.any_of("tip_for", "tip_stamp", "hose_length", "fuel", "off_size"):
        return None
    if set(slots.all("about")) != {"convert"}:
        return None
    unit = slots.one("convert_to")
    amount, piece, tip = _amount(slots)
    if amount is None and piece is None and tip is None:
        return None
    return Request(About.CONVERT, piece=piece, tip=tip, conversion=Conversion(amount, unit))


def _amount(slots: Slots) -> tuple[Quantity | None, Piece | None, TipOnHand | None]:
    """The amount to convert; a gauge, a pipe and a drill are looked up by the engine."""
    if (gauge := slots.number("amount_gauge")) is not None:
        return None, Piece(gauge=int(gauge)), None
    if (drill := slots.number("amount_drill")) is not None:
        return None, None, TipOnHand(drill=int(drill))
    if (value := slots.length("amount_length")) is not None:
        return value, None, None
    if (value := slots.length("thick")) is not None:
        return value, None, None
    for name, unit in _UNITS.items():
        if (number := slots.number(name)) is not None:
            return registry.Quantity(float(number), unit), None, None
    for name, make in (
        ("amount_psi", psi),
        ("psi", psi),
        ("amount_feet", feet),
        ("amount_cfh", cubic_feet_an_hour),
    ):
        if (number := slots.number(name)) is not None:
            return make(float(number)), None, None
    if (number := slots.number("bar")) is not None:
        return registry.Quantity(float(number), "bar"), None, None
    if (number := slots.number("amount_thou")) is not None:
        return inches(number / 1000), None, None
    return None, piece_of(slots), tip_of(slots)
