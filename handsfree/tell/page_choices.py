"""What can be picked by touch, each with the words that picking it says.

A tap says words, as a voice would, so there is one way through the house.
"""

from dataclasses import asdict, dataclass

from handsfree.values import Key


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to pick: `shown` in huge letters, `words` as it is said, and its measure.

    Attributes:
        shown: at most a few characters.
        words: lower-case words that the grammar hears.
        millimetres: of a thickness, else None.
    """

    shown: str
    words: str
    millimetres: float | None = None


def _plate(shown: str, words: str, whole: int, over: int = 0, under: int = 1) -> Choice:
    return Choice(shown, words, round((whole + over / under) * 25.4, 4))


# Plate as steel yards stock it, thinnest first.
THICKNESSES = (
    _plate("1/8", "one eighth inch", 0, 1, 8),
    _plate("3/16", "three sixteenths inch", 0, 3, 16),
    _plate("1/4", "one quarter inch", 0, 1, 4),
    _plate("5/16", "five sixteenths inch", 0, 5, 16),
    _plate("3/8", "three eighths inch", 0, 3, 8),
    _plate("1/2", "one half inch", 0, 1, 2),
    _plate("5/8", "five eighths inch", 0, 5, 8),
    _plate("3/4", "three quarter inch", 0, 3, 4),
    _plate("7/8", "seven eighths inch", 0, 7, 8),
    _plate("1", "one inch", 1),
    _plate("1 1/4", "one and one quarter inch", 1, 1, 4),
    _plate("1 1/2", "one and one half inch", 1, 1, 2),
    _plate("2", "two inch", 2),
    _plate("2 1/2", "two and one half inch", 2, 1, 2),
    _plate("3", "three inch", 3),
    _plate("4", "four inch", 4),
    _plate("5", "five inch", 5),
    _plate("6", "six inch", 6),
)

FUELS = (
    Choice("acetylene", "acetylene"),
    Choice("propane", "propane"),
    Choice("propylene", "propylene"),
    Choice("natural gas", "natural gas"),
)

NOT_KNOWN = Choice("not known", "not known")

# What each screen of asking by touch asks, shown and said.
PROMPTS = {
    "thickness": "How thick is the steel?",
    "tip": "What plate is your tip made for?",
    "fuel": "Which fuel?",
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

# How the picked pieces become one request: {thickness}, {tip} and {fuel} are words of choices.
SETTING_WORDS = "what do i set for {thickness} plate on {fuel} with a tip made for {tip}"
SETTING_WORDS_WITHOUT_TIP = "what do i set for {thickness} plate on {fuel}"


def setting_words(thickness: Choice, tip: Choice | None, fuel: Choice) -> str:
    """The request that three picks say; without a tip when it is not known.

    >>> setting_words(THICKNESSES[7], THICKNESSES[2], FUELS[0])
    'what do i set for three quarter inch plate on acetylene with a tip made for one quarter inch'
    """
    if tip is None:
        return SETTING_WORDS_WITHOUT_TIP.format(thickness=thickness.words, fuel=fuel.words)
    return SETTING_WORDS.format(thickness=thickness.words, tip=tip.words, fuel=fuel.words)


def prompt_said(prompt: object, choice: object) -> str | None:
    """What is said of an open step: its question, the choice that stands, or both; else None.

    Only what stands in this file is ever said for a page, whatever a page sends.

    >>> prompt_said("fuel", "propane")
    'Which fuel? Propane.'
    """
    said = [PROMPTS[prompt]] if isinstance(prompt, str) and prompt in PROMPTS else []
    if isinstance(choice, str) and choice in _every_word():
        said.append(f"{choice[0].upper()}{choice[1:]}.")
    wanted = (prompt is not None) + (choice is not None)
    return " ".join(said) if said and len(said) == wanted else None


def _every_word() -> frozenset[str]:
    return frozenset(choice.words for choice in (*THICKNESSES, *FUELS, NOT_KNOWN))


def as_script_values() -> dict[str, object]:
    """The same choices for the page's scripts."""
    return {
        "thicknesses": [asdict(choice) for choice in THICKNESSES],
        "fuels": [asdict(choice) for choice in FUELS],
        "notKnown": asdict(NOT_KNOWN),
        "prompts": PROMPTS,
        "keys": KEYS,
        "settingWords": SETTING_WORDS,
        "settingWordsWithoutTip": SETTING_WORDS_WITHOUT_TIP,
    }
