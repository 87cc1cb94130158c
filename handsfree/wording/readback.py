"""A request to the words that repeat it, so that what was heard wrongly is heard at once."""

import re

from handsfree.spoken_numbers import (
    decimal,
    decimal_inches,
    length_words,
    mixed,
    number_words,
    quantity_words,
    unit_name,
    whole,
)
from handsfree.values import (
    NOT_LISTED,
    About,
    Answer,
    BoxChange,
    Conversion,
    Fuel,
    Metal,
    Piece,
    Position,
    Request,
    Shape,
    Store,
    Surface,
    Task,
    TipOnHand,
    Wanted,
    YesKind,
)
from handsfree.values.timing import PaceAct
from handsfree.values.units import Quantity
from handsfree.wording.ear import designation_words, value_words
from handsfree.wording.pace import paced_words

ABOUT_SAID = {
    About.SETTING: "",
    About.OXYGEN_PRESSURE: "oxygen pressure",
    About.FUEL_PRESSURE: "fuel pressure",
    About.TIP: "which tip",
    About.TRAVEL_SPEED: "travel speed",
    About.KERF: "kerf",
    About.PREHEAT: "preheat",
    About.STANDOFF: "standoff",
    About.SHADE: "filter shade",
    About.TECHNIQUE: "technique",
    About.CUT_ORDER: "cut order",
    About.TAKE_UP: "what to take up",
    About.GAS: "gas use",
    About.WEIGHT: "weight",
    About.CONVERT: "",
    About.STEPS: "",
    About.TIMER: "timer",
    About.BEAT: "beat",
    About.MARK: "",
    About.RESULT: "",
    About.PRACTICE: "practice",
    About.TIP_BOX: "tip box",
    About.RIG: "rig",
    About.HELP: "help",
}
_CHANGE_SAID = {
    BoxChange.SHOW: "what is in it",
    BoxChange.ADD: "add",
    BoxChange.REMOVE: "remove",
    BoxChange.USE: "now in use",
}
_SCHEDULE_SAID = {
    "STD": "standard wall",
    "XS": "extra strong",
    "XXS": "double extra strong",
}
_STAMP_SAID = {"0": "ought", "00": "double ought", "000": "triple ought", "0000": "four ought"}
_UNIT_SAID = {
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
    "in": "inches",
    "inch": "inches",
    "ft": "feet",
    "thou": "thousandths of an inch",
    "l/min": "litres a minute",
    "cfh": "cubic feet an hour",
    "degc": "degrees celsius",
    "degf": "degrees fahrenheit",
    "psi": "p s i",
    "kpa": "kilopascals",
    "bar": "bar",
    "drill": "number drill",
    "in/min": "inches a minute",
    "mm/min": "millimetres a minute",
    "gauge": "gauge",
}
# That a setting, or whatever else, was asked for needs no words among what was taken as read.
_NOT_REPEATED = frozenset((*(about.value for about in About), NOT_LISTED))
_ACROSS = {Task.HOLE: "hole", Task.PIN: "pin"}  # told by how wide they are
_OF_SECTION = ("flange", "web", "leg", "wall")


def understood(request: Request, answer: Answer | None = None) -> str:
    """The request in words, its parts parted by commas; empty when it holds nothing.

    Args:
        request: what was understood.
        answer: its answer, when the tables found the thickness of a section, a pipe or a gauge.

    >>> from handsfree.values.units import inches
    >>> plate = Piece(shape=Shape.PLATE, thickness=inches(0.75))
    >>> tip = TipOnHand(made_for=(inches(0.25), inches(0.25)))
    >>> understood(Request(About.SETTING, piece=plate, tip=tip, fuel=Fuel.ACETYLENE))
    'three quarter inch plate, acetylene, tip made for quarter inch plate'
    """
    parts = [*_wishes(request), _about_said(request), *paced_words(request.paced)]
    if request.steps is not None:
        gauge = f"no {request.gauge_of} gauge" if request.gauge_of is not None else ""
        parts.append(gauge or request.steps.replace("_", " "))
    if request.change is not None:
        parts.append(_CHANGE_SAID[request.change])
    if request.piece is not None:
        parts += piece_words(request.piece)
    if answer is not None and request.about not in (About.CONVERT, About.WEIGHT):
        parts.append(_found_thickness(answer))
    fuel = fuel_of(request)
    if request.asked_pressure is None or request.asked_gas != "fuel":
        parts.append(fuel.value if fuel is not None else "")
    if request.tip is not None:
        parts.append(tip_words(request.tip))
    if request.conversion is not None:
        subject = parts.pop() if request.conversion.amount is None else ""
        parts.append(f"{subject} {_conversion(request.conversion)}")
    parts += _circumstances(request)
    said = [_plain(part) for part in parts]
    together = " ".join(said)
    # That a setting is wanted needs no words of its own.
    taken = [_plain(name) for name in request.defaults if name not in _NOT_REPEATED]
    taken += [_plain(words) for words in confirmed_words(request)]
    said += [name for name in taken if name not in together]
    return ", ".join(part for part in said if part)


def _about_said(request: Request) -> str:
    """What is asked for; a timer that is named, and a step of practice, need no word of that."""
    paced = request.paced
    if paced is not None and (paced.act is PaceAct.GO_ON or paced.timer is not None):
        return ""
    return ABOUT_SAID[request.about]


def fuel_of(request: Request) -> Fuel | None:
    """The fuel that was said, or that was taken as read."""
    if request.fuel is not None:
        return request.fuel
    return next((fuel for fuel in Fuel if fuel.value in request.defaults), None)


def piece_words(piece: Piece) -> list[str]:
    """The steel: its size and shape first, then what is special about it."""
    metal = "" if piece.metal is Metal.MILD_STEEL else piece.metal.value
    coating = piece.surface is Surface.UNKNOWN_COATING
    surface = "" if coating or piece.surface is Surface.CLEAN else piece.surface.value
    size = [size for size in (_size(piece),) if size or piece.shape or metal or surface]
    words = [" ".join(f"{surface} {part}".split()) for part in size]
    if coating:
        words.append("unknown coating")
    if piece.outside and piece.thickness is not None and piece.designation is None:
        words.append(f"{length_words(piece.thickness, before_noun=True)} {_thick_part(piece)}")
    if piece.carbon_percent is not None:
        words.append(f"{decimal(piece.carbon_percent)} percent carbon")
    if piece.closed:
        words.append("closed")
    return [word for word in words if word]


def _size(piece: Piece) -> str:
    """Size, metal and shape: "three quarter inch stainless steel plate"."""
    metal = "" if piece.metal is Metal.MILD_STEEL else piece.metal.value
    shape = piece.shape.value if piece.shape is not None else ""
    if piece.designation is not None:
        family = re.match(r"[A-Za-z]*", piece.designation)
        said = designation_words(piece.designation)
        if family and family.group().upper() == "L":  # "four by four by three eighths angle"
            said, shape = said.removeprefix("l "), Shape.ANGLE.value
        return f"{said} {metal} {shape}"
    if piece.nominal is not None or piece.schedule is not None:
        nominal = f"{mixed(piece.nominal)} inch" if piece.nominal is not None else ""
        schedule = _schedule(piece.schedule) if piece.schedule is not None else ""
        return f"{nominal} {schedule} {metal} {shape or Shape.PIPE.value}"
    if piece.gauge is not None:
        return f"{whole(piece.gauge)} gauge {metal} {shape or Shape.SHEET.value}"
    if piece.outside:
        sides = [length_words(side, before_noun=True) for side in piece.outside]
        return f"{' by '.join(sides)} {metal} {shape}"
    if piece.thickness is not None:
        noun = shape or ("" if metal else Shape.PLATE.value)
        return f"{length_words(piece.thickness, before_noun=True)} {metal} {noun}"
    return f"{metal} {shape}"


def _thick_part(piece: Piece) -> str:
    tubes = (Shape.SQUARE_TUBE, Shape.ROUND_TUBE, Shape.PIPE)
    return "wall" if piece.shape in tubes else "thick"


def _schedule(schedule: str) -> str:
    said = _SCHEDULE_SAID.get(schedule.upper())
    if said is not None:
        return said
    figures = re.match(r"\d*", schedule)
    number = figures.group() if figures else ""
    letters = " ".join(schedule[len(number) :].lower())
    return " ".join(f"schedule {value_words(number) if number else ''} {letters}".split())


def tip_words(tip: TipOnHand) -> str:
    """The tip on hand by its stamp and by the first of plate, drill and bore that is known.

    >>> tip_words(TipOnHand(stamp="00", drill=56))
    'tip stamped double ought, number fifty six drill'
    """
    stamp = f"stamped {stamp_words(tip.stamp)}" if tip.stamp is not None else ""
    if tip.made_for is not None:
        size = f"made for {_made_for(*tip.made_for)}"
    elif tip.drill is not None:
        size = f"number {whole(tip.drill)} drill"
    elif tip.bore is not None:
        size = f"bore {_bore(tip.bore)}"
    else:
        size = ""
    if stamp and size:
        return f"tip {stamp}, {size}"
    return f"tip {stamp}{size}" if stamp or size else ""


def stamp_words(stamp: str) -> str:
    """What is stamped on a tip, as the trade says it."""
    if stamp in _STAMP_SAID:
        return _STAMP_SAID[stamp]
    parts = re.findall(r"[A-Za-z]|\d+", stamp)
    return " ".join(value_words(part) if part.isdigit() else part.lower() for part in parts)


def _made_for(thinnest: Quantity, thickest: Quantity) -> str:
    thick = length_words(thickest, before_noun=True)
    if thinnest == thickest:
        return f"{thick} plate"
    if thinnest.magnitude <= 0:
        return f"up to {thick} plate"
    return f"{length_words(thinnest, before_noun=True)} to {thick} plate"


def _bore(bore: Quantity) -> str:
    if unit_name(bore.units) == "inch":  # never as a fraction: a bore is told in decimals
        return f"{decimal_inches(float(bore.magnitude))} inch"
    return length_words(bore)


def _found_thickness(answer: Answer) -> str:
    """What the tables took as the thickness of a piece that was named by series."""
    piece = answer.request.piece
    if answer.thickness is None or piece is None or piece.thickness is not None:
        return ""
    named = re.findall(r"[a-z]+", answer.thickness_name.lower())
    part = next((name for name in named if name in _OF_SECTION), None)
    thick = length_words(answer.thickness, before_noun=True)
    return f"{part} {thick}" if part else f"{thick} thick"


def _conversion(conversion: Conversion) -> str:
    amount = "" if conversion.amount is None else quantity_words(conversion.amount)
    if conversion.unit is None:
        return amount
    unit = _UNIT_SAID.get(conversion.unit.lower(), _plain(conversion.unit))
    return f"{amount} {'as a' if unit in ('fraction', 'number drill') else 'in'} {unit}"


def _circumstances(request: Request) -> list[str]:
    parts = []
    if request.asked_pressure is not None:
        fuel = fuel_of(request)
        gas = request.asked_gas or ""
        if gas == "fuel" and fuel is not None:
            gas = fuel.value
        parts.append(f"{gas} at {quantity_words(request.asked_pressure)}".removeprefix(" at "))
    if request.position is not None:
        plain = request.position in (Position.OVERHEAD,)
        parts.append(request.position.value if plain else f"{request.position.value} position")
    parts += _manner(request)
    if request.hose_length is not None:
        parts.append(f"{length_words(request.hose_length, before_noun=True)} hose")
    if request.hose_bore is not None:
        parts.append(f"hose bore {length_words(request.hose_bore)}")
    if request.oxygen_purity_percent is not None:
        parts.append(f"oxygen of {number_words(request.oxygen_purity_percent)} percent")
    if request.shuts_first is not None:
        parts.append(f"torch shuts {request.shuts_first} first")
    return parts


def _manner(request: Request) -> list[str]:
    """How, how often and how far it is cut, and the gas that was told of."""
    parts = []
    if request.task is not None and (request.cut_length is None or request.task not in _ACROSS):
        parts.append(request.task.value)
    if request.access is not None:
        parts.append(request.access.value)
    if request.count is not None:
        parts.append(f"{number_words(request.count)} cut{'s' if request.count != 1 else ''}")
    if request.weld is not None:
        parts.append(f"{length_words(request.weld, before_noun=True)} weld")
    if request.cut_length is not None:
        if request.task in _ACROSS:
            across = length_words(request.cut_length, before_noun=True)
            parts.append(f"{across} {_ACROSS[request.task]}")
        else:
            parts.append(f"{length_words(request.cut_length)} of cut")
    if request.piece_length is not None:
        parts.append(f"piece {length_words(request.piece_length)} long")
    if request.mitre is not None:
        name = "mitre" if request.header is None else "leaning"
        parts.append(f"{name} {quantity_words(request.mitre)}")
    if request.header is not None:
        onto = f" on {mixed(request.header)} inch pipe" if request.header else ""
        parts.append(f"saddle{onto}")
    parts += [said for store in request.stores for said in store_words(store)]
    if request.listed is not None:
        parts.append(f"number {number_words(request.listed)} cut")
    left = [wanted for wanted in request.wanted if wanted.count > wanted.done or not wanted.count]
    parts += [wanted_words(wanted) for wanted in left]
    return parts


def store_words(store: Store) -> list[str]:
    """Gas at hand that was told of; nothing for gas that was only asked about."""
    said = []
    if store.cylinders > 1:
        said.append(f"{number_words(store.cylinders)} cylinders")
    if store.content is not None:
        said.append(f"of {quantity_words(store.content)}")
    if store.gauge is not None:
        said.append(f"at {quantity_words(store.gauge)}")
    if store.temperature is not None:
        said.append(f"at {quantity_words(store.temperature)}")
    if store.gross is not None and store.tare is not None:
        said.append(f"{quantity_words(store.gross)} less {quantity_words(store.tare)} empty")
    return [f"{store.gas} {' '.join(said)}"] if said else []


def wanted_words(wanted: Wanted) -> str:
    """One line of a list of work: "two cuts of w twelve by twenty six beam"."""
    left = wanted.count - wanted.done
    count = f"{number_words(left)} cut{'s' if left != 1 else ''}"
    of = " ".join(piece_words(wanted.piece))
    if wanted.length is not None:
        return f"{count} of {length_words(wanted.length)} in {of}"
    return f"{count} of {of}"


def _wishes(request: Request) -> list[str]:
    """Unsafe wishes, so named that the read-back cannot be taken for an instruction."""
    dealt_with = [yes.of for yes in request.confirmed if yes.kind is YesKind.HAZARD_DEALT_WITH]
    standing = [hazard for hazard in request.standing if hazard not in dealt_with]
    told = dict.fromkeys((*request.hazards, *standing))
    return [f"not safe, {hazard.replace('_', ' ')}" for hazard in told]


def confirmed_words(request: Request) -> list[str]:
    """What he said yes to: "coating confirmed", "cylinder lying dealt with"."""
    said = []
    for yes in request.confirmed:
        if yes.kind is YesKind.COATING:
            said.append("coating confirmed")
        elif yes.kind is YesKind.HAZARD_DEALT_WITH:
            said.append(f"{str(yes.of).replace('_', ' ')} dealt with")
    return said


def _plain(text: str) -> str:
    """A name in words; commas stay between them."""
    words = re.sub(r"[^a-z', ]", " ", text.lower())
    return ", ".join(" ".join(part.split()) for part in words.split(",") if part.strip())
