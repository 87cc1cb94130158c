"""What a reading asks for: questions in so many words first, then hints, then what is implied.

>>> about_of(Slots((("about", "kerf"), ("thick", "one inch"))), None, None)
(<About.KERF: 'kerf'>, True)
"""

from itertools import pairwise

from handsfree.understand.meaning_piece import SIZES
from handsfree.understand.slots import Slots
from handsfree.values import About, BoxChange, Piece, Surface, TipOnHand
from handsfree.values.steps import EMERGENCIES

_FIGURES = {
    "shade": About.SHADE,
    "standoff": About.STANDOFF,
    "kerf": About.KERF,
    "preheat": About.PREHEAT,
    "weight": About.WEIGHT,
    "gas": About.GAS,
    "travel_speed": About.TRAVEL_SPEED,
    "tip": About.TIP,
}  # where several are only hinted at, the first counts
_TIP_WORDS = (
    *("tip_for", "tip_stamp", "tip_drill", "tip_bore", "tip_bore_mm", "tip_thou"),
    *("small_tip", "tip_word"),
)
_OF_A_NEW_TIP = ("tip_for", "tip_bore", "tip_bore_mm", "tip_drill", "tip_thou")
_HAPPENED = (
    *(("flame", "back", "flashback"), ("torch", "squealing", "flashback")),
    *(("flame", "squealing", "flashback"), ("torch", "popping", "backfire")),
    *(("flame", "popping", "backfire"), ("gauge", "broken", "no_gauge")),
    *(("bottle", "empty", "cylinder_change"), ("bottle", "leaking", "leak")),
    ("joint", "leaking", "leak"),
)  # a part and its state start a step list
_SURE_SIZES = tuple(name for name in SIZES if name != "bare")
_AT_ONCE = (*EMERGENCIES, "no_gauge", "leak_test", "cylinder_change")
"""The first of those that were named is what cannot wait."""
TOO_SMALL_FOR = 0.75  # of the steel, beyond which a tip and a steel do not go together
TOO_LARGE_FOR = 2.0


def about_of(slots: Slots, piece: Piece | None, tip: TipOnHand | None) -> tuple[About | None, bool]:
    """What is asked for, and whether in so many words; None when nothing is.

    A bare piece of steel asks for its setting.
    """
    measured = slots.any_of("psi", "bar", "kpa")  # eight pounds is too much
    if "off_size" in slots and not measured and not _meant_to_ask(slots):
        return None, False  # too heavy for one man
    asked = _asked(slots, piece, tip)
    if asked in (About.TIP_BOX, About.RIG):
        return asked, slots.any_of("change", "rig", "in_torch", "about")
    if asked is not None or set(slots.all("about")) & {"help", "tip_box", "rig"}:
        return asked, True
    if _in_trouble(slots, piece, tip):
        return About.TECHNIQUE, True
    follows = "follows" in slots and set(slots.all("about")) <= {"advice"}
    return _implied(slots, piece, tip), "about" in slots and not follows


def _asked(slots: Slots, piece: Piece | None, tip: TipOnHand | None) -> About | None:
    asked = set(slots.all("about"))
    hinted = set(slots.all("hint")) if _meant_to_ask(slots) else set()
    if "help" in asked and "small_tip" in slots:
        return About.TECHNIQUE  # big tip on thin stuff, help
    if "help" in asked and piece is None:
        return About.HELP if asked == {"help"} else None
    if hinted & (set(_FIGURES) - {"tip"}):
        hinted -= {"tip_box", "rig"}  # "what do I lose in the kerf"
    if {"tip_box", "rig"} & (asked | hinted) or not (asked or hinted):
        if box := _box_or_rig(slots, asked | (hinted & {"tip_box", "rig"}), piece, tip):
            return box
        if {"tip_box", "rig"} & asked:
            return None  # a change of the box beside a question: not one request
    measured = slots.any_of("psi", "bar", "kpa")
    if "off_size" in slots and measured and (slots.any_of("gas", "fuel") or not names_tip(slots)):
        return _pressure_about(slots)
    tip_told = tip is not None or slots.any_of("small_tip", "off_size")
    if "feasible" in asked and tip_told:
        return About.TECHNIQUE
    if "technique" in asked and (tip_told or piece is not None or "lean" in slots):
        return About.TECHNIQUE
    figures = {_FIGURES[name] for name in asked if name in _FIGURES}
    if "small_tip" in slots and figures == {About.TRAVEL_SPEED}:
        return About.TECHNIQUE
    if "gas" in hinted and asked == {"pressure"}:
        return About.GAS  # the oxygen consumption
    pressure = "pressure" in asked or _names_gas_to_set(slots, figures)
    if pressure and not (figures & {About.GAS}):
        figures.add(_pressure_about(slots))
        asked.discard("setting")  # "what do I set the oxygen at"
    named = "target" in slots or ("rig" in slots and "fuel" in slots and not asked)
    if (
        named
        and not figures
        and not hinted
        and slots.any_of(*SIZES)
        and asked <= {"setting", "advice"}
        and _asks(slots)
    ):
        return About.FUEL_PRESSURE  # where do I have the acetylene
    if "setting" in asked or len(figures) > 1 or (figures and _asks_a_gas_too(slots)):
        return About.SETTING
    if figures == {About.TIP} and hinted & {"pressure", "setting"}:
        return About.SETTING  # what tip and what pressures
    if figures:
        return figures.pop()
    return _hinted(slots, hinted, piece, tip)


def _asks_a_gas_too(slots: Slots) -> bool:
    """Whether a gas is asked for beside a figure, or both gases are: all of it is in a setting.

    >>> _asks_a_gas_too(Slots((("about", "travel_speed"), ("question", "yes"), ("gas", "oxygen"))))
    True
    """
    pairs = [(name, following, value) for (name, value), (following, _) in pairwise(slots.said)]
    beside_figure = bool(set(slots.all("about")) & {"travel_speed", "tip", "preheat"})
    if (("about", "tip"), ("gas", "oxygen")) in pairwise(slots.said):
        return True  # what tip and oxygen
    both = any(pair == ("gas", "fuel", "oxygen") for pair in pairs)
    return both or (beside_figure and any(pair[:2] == ("question", "gas") for pair in pairs))


def hints_at_figure(slots: Slots) -> bool:
    """Whether a figure of the cut is hinted at, so that a length beside it is the steel's."""
    hints = set(slots.all("hint"))
    return "weight" in hints or (bool(hints & set(_FIGURES)) and "convert_to" not in slots)


def names_tip(slots: Slots) -> bool:
    """Whether a tip is spoken of at all."""
    return slots.any_of(*_TIP_WORDS)


def names_a_tip(slots: Slots, tip: TipOnHand | None) -> bool:
    """Whether a change of the box tells of which tip; showing the box needs none."""
    return tip is not None or "show" in slots.all("change") or "tip_box" in slots.all("about")


def change_of(slots: Slots, about: About) -> BoxChange | None:
    """What is done to the tip box or the rig; None for any other request."""
    if about is About.RIG:
        return BoxChange.SHOW if "show" in slots.all("change") else BoxChange.USE
    if about is not About.TIP_BOX:
        return None
    said = [change for change in slots.all("change") if change != "got"]
    if len(set(said)) > 1:  # "take it out of the box", "put in the box"
        said = [change for change in said if change != "use"]
    if "in_torch" in slots and set(said) == {"add"} and not slots.any_of(*_OF_A_NEW_TIP):
        return BoxChange.USE  # "put the number three tip in the torch"
    if said:
        return BoxChange(said[0])
    return BoxChange.USE if "in_torch" in slots else BoxChange.ADD


def steps_of(slots: Slots) -> str | None:
    """The step list asked for; what cannot wait goes first."""
    named = [*slots.all("steps")]
    parts = set(slots.all("part"))
    if slots.any_of("fuel", "gas"):
        parts.add("bottle")  # the acetylene is empty
    for part, state, steps in _HAPPENED:
        if state in slots.all("state") and part in parts:
            named.append(steps)
    if named and "squealing" in slots.all("state"):
        named.append("flashback")  # it popped and now it squeals
    return next((name for name in _AT_ONCE if name in named), named[0] if named else None)


def _hinted(
    slots: Slots, hinted: set[str], piece: Piece | None, tip: TipOnHand | None
) -> About | None:
    if "small_tip" in slots and "trouble" in slots:
        return About.TECHNIQUE
    if "technique" in hinted and tip is not None:
        return About.TECHNIQUE
    if "near" in hinted:  # how high is the oxygen to be, or the tip
        if "part" in slots:
            return None  # how far off the bottles stand
        return _pressure_about(slots) if slots.any_of("gas", "fuel") else About.STANDOFF
    for name, about in _FIGURES.items():
        if name in hinted:
            return about
    if "pressure" in hinted:
        return _pressure_about(slots)
    if "technique" in hinted and piece is not None:
        return About.TECHNIQUE
    return About.SETTING if "setting" in hinted else None


def _in_trouble(slots: Slots, piece: Piece | None, tip: TipOnHand | None) -> bool:
    """Whether a tip and a steel are named with words of trouble, or do not go together."""
    if "small_tip" in slots:
        return "trouble" in slots
    if tip is None or piece is None or not slots.any_of(*SIZES):
        return False
    if "help" in slots.all("about"):
        return True
    return "trouble" in slots or ("advice" in slots.all("about") and _mismatch(piece, tip))


def _implied(slots: Slots, piece: Piece | None, tip: TipOnHand | None) -> About | None:
    """What someone wants who names a piece of steel, a tip or a pressure and asks no figure."""
    asked = set(slots.all("about"))
    if "advice" in asked or ("feasible" in asked and piece is not None):
        return About.SETTING
    if piece is not None and piece.shape is not None and piece.surface in _POISON:
        return About.SETTING  # there's lead paint on this beam
    if "follows" in slots and (slots.any_of(*_RIG) or piece is not None):
        return About.SETTING  # and on propane; and with galvanised
    if slots.any_of("psi", "bar", "kpa") and (slots.any_of("gas", "fuel")):
        return _pressure_about(slots)
    if "tip_word" in slots:
        return None  # a length beside the word may be the tip's or the steel's
    if piece is None and "stamped" in slots and "tip_named" not in slots:
        return None  # number three crane
    if tip is not None or (piece is not None and _says_size(slots)) or "psi" in slots:
        return About.SETTING
    if piece is not None and "verb" in slots and "question" in slots:
        return About.SETTING
    return None


def _asks(slots: Slots) -> bool:
    return slots.any_of("question", "about")


def _mismatch(piece: Piece | None, tip: TipOnHand | None) -> bool:
    """Whether the steel is far from what the tip was said to be made for."""
    if piece is None or piece.thickness is None or tip is None or tip.made_for is None:
        return False
    low, high = (float((piece.thickness / end).m_as("")) if end.m else 0.0 for end in tip.made_for)
    return high > 1 / TOO_SMALL_FOR or 0 < low < 1 / TOO_LARGE_FOR


def _meant_to_ask(slots: Slots) -> bool:
    """Whether a single word that hints at a question stands beside a question word or a size."""
    hints = slots.all("hint")
    if len(hints) > len(set(hints)):
        return True  # "bright red before I go": two words for the same figure
    return slots.any_of("question", "follows", *_SURE_SIZES, "psi", "bar", "kpa", *_TIP_WORDS)


def _says_size(slots: Slots) -> bool:
    """Whether the steel was named by more than a word that any talk may hold."""
    return slots.any_of(*SIZES)


def _names_gas_to_set(slots: Slots, figures: set[About]) -> bool:
    """Whether a gas is named and nothing but its pressure can be meant."""
    if figures or "gas" not in slots or set(slots.all("hint")) & set(_FIGURES):
        return False
    return slots.any_of("question", "about", *SIZES)


def _pressure_about(slots: Slots) -> About:
    gases = set(slots.all("gas"))
    measured = slots.any_of("psi", "bar", "kpa")
    if not gases and "fuel" in slots:
        return About.FUEL_PRESSURE if measured else About.SETTING
    if not gases and "fuel" in slots and "bar" in slots.all("hint"):
        return About.FUEL_PRESSURE
    if gases == {"oxygen"}:
        return About.OXYGEN_PRESSURE
    if gases == {"fuel"}:
        return About.FUEL_PRESSURE
    return About.SETTING


def _box_or_rig(
    slots: Slots, asked: set[str], piece: Piece | None, tip: TipOnHand | None
) -> About | None:
    """Whether the words change or show the tip box or the rig, and ask for nothing else."""
    if asked - {"tip_box", "rig"} or piece is not None or "follows" in slots:
        return None
    if "rig" in asked and tip is None and (slots.any_of(*_RIG) or "tip_box" not in asked):
        return About.RIG
    if "tip_box" in asked:
        if not names_a_tip(slots, tip) and not slots.any_of(*_RIG[1:]):
            return None
        return About.RIG if tip is None and slots.any_of(*_RIG[1:]) else About.TIP_BOX
    if tip is not None:
        two_facts = sum(
            fact is not None for fact in (tip.stamp, tip.bore or tip.drill, tip.made_for)
        )
        use = "use" in slots.all("change") or "in_torch" in slots
        return About.TIP_BOX if use or two_facts > 1 else None
    if "state" in slots or "remove" in slots.all("change"):
        return None  # the acetylene regulator is broken
    hints = set(slots.all("hint")) - {"tip_box", "rig"}
    asks = hints or slots.any_of("question", "part", "gas", "psi", "bar", "kpa")
    if asks and "rig" not in slots:
        return None  # is that with propane; fifteen p s i of acetylene
    return About.RIG if slots.any_of(*_RIG) else None


_POISON = (Surface.LEAD_PAINT, Surface.CADMIUM, Surface.UNKNOWN_COATING, Surface.GALVANISED)
_RIG = ("fuel", "hose_length", "hose_bore", "hose_bore_mm", "purity")
