"""Asking by touch and by pedal: what each step asks, what each key means, how picks become words.

The steps: what is cut, how thick it is, what the tip is made for; metal, coating and gas where they
are not what they were. Five presses reach an answer, whatever is picked.
"""

from dataclasses import dataclass

from handsfree.page import choices as choices
from handsfree.page.choices import Choice
from handsfree.spoken_numbers import whole
from handsfree.values import Key

# What each step asks, shown and said.
PROMPTS = {
    "shape": "What do you cut?",
    "section": "Which section?",
    "hollow": "Tube or bar?",
    "metal": "What is it made of?",
    "steel": "Which steel?",
    "not_steel": "Which metal?",
    "coating": "What is on it?",
    "fuel": "Which gas?",
    "thickness": "How thick is it?",
    "pipe_size": "Which size of pipe?",
    "pipe_wall": "Which wall?",
    "tip": "What plate is your tip made for?",
    "steps": "Which steps?",
    "voice": "The voice",
    "work": "The work list",
    "done": "Which is cut?",
    "menu": "What now?",
}

# Targets that open a further step.
DOORS = {
    "section": "section",
    "hollow": "tube or bar",
    "metal": "metal or gas",
    "steel": "hard steel",
    "not_steel": "not steel",
    "coating": "coated",
    "fuel": "gas",
    "ask": "ask",
    "type": "type",
    "steps": "steps",
    "tips": "my tips",
    "voice": "voice",
    "work": "work list",
    "add": "add a piece",
    "done": "one is cut",
    "page": "page",
    "back": "back",
}

# What a key of a keyboard, a pedal or a remote means, by the name that browsers give it.
KEYS = {
    " ": Key.TALK,
    "F13": Key.TALK,
    "Enter": Key.CONFIRM,
    "F14": Key.CONFIRM,
    "ArrowRight": Key.NEXT,
    "ArrowDown": Key.NEXT,
    "PageDown": Key.NEXT,
    "ArrowLeft": Key.BACK,
    "ArrowUp": Key.BACK,
    "PageUp": Key.BACK,
    "F15": Key.AGAIN,
    "F16": Key.STOP,
    "Escape": Key.STOP,
}

# How a piece is said, by its shape; what is not picked is left out.
PIECES = {
    "plate": "{coating} {size} {steel} plate",
    "sheet": "{coating} {size} {steel} sheet",
    "pipe": "{coating} {size} {wall} {steel} pipe",
    "square tube": "{coating} {steel} square tube with a {size} wall",
    "round tube": "{coating} {steel} round tube with a {size} wall",
    **{
        shape.words: f"{{coating}} {{size}} {{steel}} {shape.words}"
        for shape in (*choices.SECTIONS, *choices.HOLLOW_OR_SOLID)
        if "tube" not in shape.words
    },
}
REQUEST = "what do i set for {piece}"
ADD = "add {piece}"  # to the list of what goes up
ON_FUEL = "on {fuel}"
WITH_TIP = "with a tip made for {tip}"
BEHIND = "with an "  # a coating that begins so stands behind its piece


@dataclass(frozen=True, slots=True)
class Picked:
    """What was picked, each as its words; empty what was not.

    Attributes:
        shape: as in `PIECES`; a gauge makes a plate a sheet.
        size: thickness, diameter, or nominal size of pipe.
        wall: of pipe.
        steel: other than mild steel.
        metal: no steel: nothing else matters then.
        coating: on the piece.
        fuel: the rig's own when empty.
        tip: the plate that the tip is made for.
    """

    shape: str = "plate"
    size: str = ""
    wall: str = ""
    steel: str = ""
    metal: str = ""
    coating: str = ""
    fuel: str = ""
    tip: str = ""


def setting_words(picked: Picked) -> str:
    """The request that picks say.

    >>> setting_words(Picked(size="half inch", tip="quarter inch", fuel="propane"))
    'what do i set for half inch plate on propane with a tip made for quarter inch'
    >>> setting_words(Picked("pipe", "six inch", "schedule forty", coating="galvanised"))
    'what do i set for galvanised six inch schedule forty pipe'
    """
    parts = [
        REQUEST.format(piece=_piece(picked)),
        picked.coating if picked.coating.startswith(BEHIND) and not picked.metal else "",
        ON_FUEL.format(fuel=picked.fuel) if picked.fuel else "",
        WITH_TIP.format(tip=picked.tip) if picked.tip else "",
    ]
    return " ".join(" ".join(parts[: 1 if picked.metal else None]).split())


def adding_words(picked: Picked) -> str:
    """The words that put a picked piece on the list of what goes up.

    >>> adding_words(Picked(size="half inch"))
    'add half inch plate'
    """
    behind = picked.coating if picked.coating.startswith(BEHIND) and not picked.metal else ""
    return " ".join(f"{ADD.format(piece=_piece(picked))} {behind}".split())


def tick_words(place: int) -> str:
    """The words that tick off one cut of the piece at a place on the list.

    >>> tick_words(2)
    'done number two'
    """
    return f"done number {whole(place)}"


def _piece(picked: Picked) -> str:
    if picked.metal:
        return picked.metal
    sheet = picked.shape == "plate" and picked.size.endswith("gauge")
    behind = picked.coating.startswith(BEHIND)
    return PIECES["sheet" if sheet else picked.shape].format(
        coating="" if behind else picked.coating,
        size=picked.size,
        wall=picked.wall,
        steel=picked.steel,
    )


def prompt_said(prompt: object, choice: object, offered: tuple[str, ...] = ()) -> str | None:
    """What is said of an open step: its question, the choice that stands, or both; else None.

    Only what stands in these files, or is offered by the latest reply, is ever said for a page,
    whatever a page sends.

    >>> prompt_said("fuel", "propane")
    'Which gas? Propane.'
    """
    said = [PROMPTS[prompt]] if isinstance(prompt, str) and prompt in PROMPTS else []
    if isinstance(choice, str) and (choice in _SAID or choice in offered):
        said.append(f"{choice[0].upper()}{choice[1:]}.")
    wanted = (prompt is not None) + (choice is not None)
    return " ".join(said) if said and len(said) == wanted else None


_LISTS: dict[str, tuple[Choice, ...]] = {
    "gauges": choices.GAUGES,
    "stock": choices.STOCK,
    "finer": choices.FINER,
    "metric": choices.METRIC,
    "pipeSizes": choices.PIPE_SIZES,
    "pipeWalls": choices.PIPE_WALLS,
    "sections": choices.SECTIONS,
    "hollow": choices.HOLLOW_OR_SOLID,
    "steels": choices.HARD_STEELS,
    "notSteels": choices.NOT_STEELS,
    "coatings": choices.COATINGS,
    "fuels": choices.FUELS,
    "steps": choices.STEP_LISTS,
    "voice": choices.VOICE_WORDS,
    "work": choices.WORK_WORDS,
}
_ALONE = {
    "notKnown": choices.NOT_KNOWN,
    "mild": choices.MILD,
    "plate": choices.PLATE,
    "pipe": choices.PIPE,
}
_SAID = frozenset(
    {
        *DOORS.values(),
        *(choice.said for several in _LISTS.values() for choice in several),
        *(choice.said for choice in _ALONE.values()),
    }
)


def as_script_values() -> dict[str, object]:
    """Choices, steps, keys and patterns for the page's scripts."""
    return {
        **{name: [_plain(choice) for choice in several] for name, several in _LISTS.items()},
        **{name: _plain(choice) for name, choice in _ALONE.items()},
        "prompts": PROMPTS,
        "doors": DOORS,
        "keys": KEYS,
        "pieces": PIECES,
        "request": REQUEST,
        "add": ADD,
        "onFuel": ON_FUEL,
        "withTip": WITH_TIP,
        "behind": BEHIND,
        "tipsWords": choices.TIPS_WORDS,
    }


def _plain(choice: Choice) -> dict[str, object]:
    plain: dict[str, object] = {"shown": choice.shown, "words": choice.words}
    if choice.millimetres is not None:
        plain["millimetres"] = choice.millimetres
    if choice.under:
        plain["under"] = choice.under
    if choice.named:
        plain["said"] = choice.said
    return plain
