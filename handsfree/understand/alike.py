"""Words become the other words that sound the same and mean something else: "for", "four".

No recogniser can tell them apart, however surely it heard the sound; only asking can.
"""

from typing import Final

_BEFORE_A_SIZE = "for on through with of by to a an the this my some and cut cutting burn it's is"
_INSIDE_A_NUMBER = "twenty thirty forty fifty sixty seventy eighty ninety point hundred oh number"
_LEADS: Final = frozenset(f"{_BEFORE_A_SIZE} got have in it schedule {_INSIDE_A_NUMBER}".split())
"""Words after which nobody says "for": a "four" that follows one of them is a number."""

_LYING = "lying laying lie lies lay laid lain sitting tipped rolled"
_LIES: Final = frozenset(f"{_LYING} on".split())
_ON_FIRE, _ON_ITS_SIDE = "on fire", "on its side"


def said_alike(text: str) -> tuple[str, ...]:
    """The other texts that sound the same, where that changes a size, or whether it burns.

    "For inch and a half" is how the trade says one and a half; "four inch and a half" hardly
    anybody says, so that the first is left as it is and the second is doubted.

    >>> said_alike("oxygen pressure four inch and a half on propane")
    ('oxygen pressure for inch and a half on propane',)
    >>> said_alike("how fast for inch plate")
    ('how fast four inch plate',)
    >>> said_alike("how fast for inch and a half plate"), said_alike("how fast on four inch plate")
    ((), ())
    >>> said_alike("acetylene bottle lying on fire")  # in the hiss of a torch
    ('acetylene bottle lying on its side',)
    """
    words = text.split()
    found = [
        " ".join((*words[: at + 1], _ON_ITS_SIDE, *words[at + 3 :]))
        for at, word in enumerate(words)
        if word in _LIES and " ".join(words[at + 1 : at + 3]) == _ON_FIRE
    ]
    for at, word in enumerate(words[:-1]):
        if words[at + 1] != "inch":
            continue
        before = words[at - 1] if at else "for"
        mixed = words[at + 2 : at + 3] == ["and"]
        if word == "four" and before not in _LEADS:
            found.append(" ".join((*words[:at], "for", *words[at + 1 :])))
        elif word == "for" and not mixed:
            found.append(" ".join((*words[:at], "four", *words[at + 1 :])))
    return tuple(found)
