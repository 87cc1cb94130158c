"""The slots of a reading become a request: what is asked for, of which steel, with what.

A reading whose slots do not go together has no meaning (None), and the next one is tried; a number
that can mean two things becomes a question. Nothing is filled in silently: what is taken as read
stands in `Request.defaults`.
"""

from handsfree.understand.meaning_about import about_of, change_of, hints_at_figure, steps_of
from handsfree.understand.meaning_doubt import doubt_of
from handsfree.understand.meaning_pace import pace_of
from handsfree.understand.meaning_piece import SIZES, bare_number, piece_of
from handsfree.understand.meaning_tip import (
    fuel_of,
    fuels_of,
    hose_bore_of,
    hose_length_of,
    pressure_of,
    tip_of,
)
from handsfree.understand.meaning_work import (
    access_of,
    count_of,
    cut_length_of,
    harks_back,
    header_of,
    list_change_of,
    listed_of,
    mitre_of,
    piece_length_of,
    stores_of,
    task_of,
    wanted_of,
    weld_of,
    work_about,
)
from handsfree.understand.parser import Reading
from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import (
    NEW_LIST,
    About,
    Consent,
    Control,
    Conversion,
    Pick,
    Piece,
    Position,
    Question,
    Request,
    TipOnHand,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, cubic_feet_an_hour, feet, inches, psi, registry

_NO_LENGTHS = ("psi", "bar", "kPa", "in/min", "mm/min", "l/min", "cfh", "degC", "degF")
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


def meaning(reading: Reading) -> Request | Question | Consent | Control | Pick | None:
    """The request that a reading makes; None when its slots do not go together."""
    slots = Slots(reading.slots)
    try:
        return _request(slots)
    except (Unreadable, ValueError):
        return None


def _request(slots: Slots) -> Request | Question | Consent | Control | Pick | None:
    if "consent" in slots:
        return Consent(slots.one("consent") == "yes") if len(slots.said) == 1 else None
    if "control" in slots:
        return Control(slots.one("control") or "") if len(slots.said) == 1 else None
    if "pick" in slots:
        return Pick(slots.one("pick") or "") if len(slots.said) == 1 else None
    if "follows" in slots and not _follows_at_once(slots):
        return None  # "inch and a half and propane" follows nothing
    if "hazard" not in slots and (paced := pace_of(slots)) is not None:
        pace, said = paced
        piece, tip = piece_of(slots), tip_of(slots)
        return Request(pace, piece, tip, fuel_of(slots), _position(slots), paced=said)
    if "hazard" in slots:
        return Request(About.SETTING, hazards=tuple(dict.fromkeys(slots.all("hazard"))))
    if (steps := steps_of(slots)) is not None:
        if bare_number(slots) is not None:
            return None  # "shut down the site at six"
        if steps == "shutdown" and slots.any_of(*SIZES, "shape"):
            return None  # "knock rivet heads off", "shut off half inch plate"
        gauge_of = _gauge_of(slots) if steps == "no_gauge" else None
        return Request(About.STEPS, steps=steps, fuel=fuel_of(slots), gauge_of=gauge_of)
    if _is_cut_and_hose(slots):
        return None
    if "convert" in slots.all("about") and not hints_at_figure(slots):
        return _conversion(slots)
    if len(fuels := fuels_of(slots)) > 1:
        return Question(None, Asks.FUEL, f"Is it {' or '.join(fuels)}?", tuple(fuels))
    if "tip_gauge" in slots:
        return _which_plate(slots)
    piece, tip = piece_of(slots), tip_of(slots)
    work = work_about(slots, piece, tip_told=tip is not None)
    about: About | None = work
    in_words = True
    if work is None:
        about, in_words = about_of(slots, piece, tip)
    harks = harks_back(slots, piece)
    if about is None and (harks or slots.any_of("follows") and "position" in slots):
        about, in_words = About.SETTING, False  # "twelve of these"; "and overhead"
    if about is None:
        return None
    takes_up = about is About.TAKE_UP
    change = list_change_of(slots) if takes_up else change_of(slots, about)
    asked_pressure = pressure_of(slots)
    stores = stores_of(slots, asked_pressure) if about is About.GAS else ()
    request = Request(
        about,
        piece=None if takes_up else piece,
        tip=tip,
        fuel=fuel_of(slots),
        position=_position(slots),
        hose_length=hose_length_of(slots),
        hose_bore=hose_bore_of(slots),
        asked_pressure=None if stores else asked_pressure,
        asked_gas=None if stores else _gas(slots),
        change=change,
        shuts_first=slots.one("shuts_first"),
        lean=about is About.TECHNIQUE or ("off_size" in slots and asked_pressure is None),
        oxygen_purity_percent=_purity(slots),
        follows="follows" in slots or harks,
        back_to_plain=_back_to_plain(slots, piece),
        defaults=_defaults(slots, in_words),
        access=None if takes_up else access_of(slots),
        task=task_of(slots),
        count=None if takes_up else count_of(slots),
        cut_length=None if takes_up else cut_length_of(slots),
        piece_length=piece_length_of(slots),
        mitre=mitre_of(slots),
        header=header_of(slots),
        weld=weld_of(slots),
        stores=stores,
        wanted=wanted_of(slots, piece) if takes_up else (),
        listed=listed_of(slots) if takes_up else None,
    )
    return doubt_of(slots, request) or request


def _is_cut_and_hose(slots: Slots) -> bool:
    """Whether feet of cut were taken for the hose's, or those of the hose for a cut."""
    if "hose_bare" in slots and not slots.any_of(*SIZES):
        # gas for twenty foot of half inch
        return slots.any_of("supply", "about", "hint", "psi", "bar", "trouble")
    if not slots.any_of("cut_feet", "cut_metres"):
        return False
    bore_alone = slots.any_of("hose_bore", "hose_bore_mm") and "hose_length" not in slots
    return bore_alone or "joint" in slots.all("part")


def _defaults(slots: Slots, in_words: bool) -> tuple[str, ...]:
    """What is taken as read, and whether an old list of work is dropped."""
    if slots.one("list") == "new":
        return (NEW_LIST,)
    return () if in_words else ("setting",)


def _follows_at_once(slots: Slots) -> bool:
    """Whether the words that hark back ("what about", "no") stand before all else."""
    names = [name for name, value in slots.said if (name, value) != ("about", "advice")]
    return names[0] == "follows" and names.count("follows") == 1


def _back_to_plain(slots: Slots, piece: Piece | None) -> tuple[str, ...]:
    """What of the piece is plain by what was said, and not for want of a word."""
    if "follows" not in slots or piece is None:
        return ()
    plain = Piece()
    said = (name for name in ("metal", "surface") if name in slots)
    return tuple(name for name in said if getattr(piece, name) == getattr(plain, name))


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


def _gauge_of(slots: Slots) -> str | None:
    """Whose gauge is dead: of the oxygen or of the fuel; None when that was not said.

    >>> _gauge_of(Slots((("part", "gauge"), ("state", "broken"), ("gas", "oxygen"))))
    'oxygen'
    """
    named = {*slots.all("dead"), *slots.all("gas")}
    if "fuel" in slots:
        named.add("fuel")
    return named.pop() if len(named) == 1 else None


def _which_plate(slots: Slots) -> Question:
    """A tip told by sheet gauge: its plate is asked for in a unit of length."""
    piece = piece_of(slots)
    about, _ = about_of(slots, piece, None)
    request = Request(about or About.SETTING, piece=piece, fuel=fuel_of(slots))
    return Question(request, Asks.TIP, "What plate is the tip made for, in inches or millimetres?")


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
    if unit in _NO_LENGTHS and (amount is None or amount.check("[length]")):
        return None  # how many inches a minute on a plate: no conversion
    if unit in ("ft", "m") and amount is not None and amount.check("[length]") and amount < feet(1):
        return None  # how many feet of half inch
    if amount is None and tip is None and not slots.any_of(*SIZES, "amount_gauge"):
        return None  # what's the go with inch plate
    set_too = "gas" in slots or bool({"pressure", "setting"} & set(slots.all("hint")))
    if set_too and (amount is None or "thick" in slots):
        return None  # standard wall, what oxygen
    return Request(About.CONVERT, piece=piece, tip=tip, conversion=Conversion(amount, unit))


def _amount(slots: Slots) -> tuple[Quantity | None, Piece | None, TipOnHand | None]:
    """The amount to convert; a gauge, a pipe and a drill are looked up by the engine."""
    if (gauge := slots.number("amount_gauge")) is not None:
        return None, Piece(gauge=int(gauge)), None
    if (drill := slots.number("amount_drill")) is not None:
        return None, None, TipOnHand(drill=int(drill))
    for name in ("amount_length", "thick"):
        if (value := slots.length(name)) is not None:
            if slots.any_of("schedule", "nominal", "family", "leg"):
                raise Unreadable("a length and a pipe or section")
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
    if (number := slots.number("kpa")) is not None:
        return registry.Quantity(float(number), "kilopascal"), None, None
    if (number := slots.number("amount_thou")) is not None:
        return inches(number / 1000), None, None
    return None, piece_of(slots), tip_of(slots)
