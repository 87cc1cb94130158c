"""A value that is denied is never taken: the correction that is said with it is, or it is asked.

The forms of denial are written here by hand, apart from the table in the code.
"""

from itertools import product

import pytest

from handsfree.understand.understanding import Understanding
from handsfree.values import NotUnderstood, Piece, Question, Request, Words

BEFORE = (
    *("not", "it's not", "it isn't", "that's not", "this ain't", "it wasn't", "not the", "not on"),
    *("except", "except for the", "anything but", "anything other than", "other than", "all but"),
    *(
        "everything but",
        "whatever but",
        "anything except",
        "instead of",
        "rather than",
        "in place of",
    ),
    *("as opposed to", "apart from", "aside from", "save for", "forget", "forget the"),
    *("forget about the", "never mind the", "leave out the", "ignore the", "disregard the"),
    *("omit the", "don't use the", "i don't want", "i don't mean", "i didn't say", "i never said"),
    *("don't set it for", "don't bother with the", "i'm not cutting", "we're not doing the"),
    *("no longer", "no more", "hardly", "far from", "neither", "no way it's", "enough of the"),
    *("i take back the", "who said", "it can't be", "hold off on the", "stay off the"),
)
AT_FIRST = ("scrap the", "skip the", "scratch the", "strike the", "drop the", "okay skip the")
BEHIND = (
    *("scrap that", "no scrap that", "scratch that", "strike that", "ignore that", "cancel that"),
    *("forget that", "never mind that", "delete that", "i take that back", "my mistake"),
    *("correction", "is wrong", "no that's wrong", "no not that"),
)
VALUES = ("half inch plate", "twelve millimetre plate", "ten gauge sheet", "point three inch plate")
FRAMES = ("{}", "{} what do i set", "what do i set for {}", "how fast on {}")
INSTEAD = ("three eighths plate", 0.375)


def _size(understanding: Understanding, text: str) -> object:
    """The size that was taken, None where it was asked or not understood."""
    understood = understanding.request(Words(text))
    if not isinstance(understood, Request):
        assert isinstance(understood, Question | NotUnderstood), text
        return None
    piece = understood.piece or Piece()
    return piece.gauge if piece.thickness is None else float(piece.thickness.m_as("inch"))


def _denied() -> list[str]:
    forms = [frame.format(f"{no} {value}") for no, value, frame in product(BEFORE, VALUES, FRAMES)]
    forms += [f"{no} {value}" for no, value in product(AT_FIRST, VALUES)]
    forms += [f"{value} {no}" for no, value in product(BEHIND, VALUES)]
    return forms + [f"what do i set for {value} {no}" for no, value in product(BEHIND, VALUES)]


def test_what_is_denied_is_never_taken(understanding: Understanding) -> None:
    denied = _denied()
    taken = {text: size for text in denied if (size := _size(understanding, text)) is not None}
    assert len(denied) >= 600
    assert not taken, f"{len(taken)} of {len(denied)}: {list(taken.items())[:20]}"


def test_the_correction_is_taken_or_asked_and_nothing_else(understanding: Understanding) -> None:
    said, size = INSTEAD
    taken, wrong = 0, {}
    for no, value in product(BEFORE, VALUES):
        for text in (f"{no} {value} {said}", f"{said} {no} {value}"):
            found = _size(understanding, text)
            taken += found == size
            if found not in (None, size):
                wrong[text] = found
    assert not wrong, list(wrong.items())[:20]
    assert taken >= len(BEFORE) * len(VALUES)


@pytest.mark.parametrize(
    "text",
    [
        "not half inch, three eighths",
        "not half an inch, three eighths",
        "it's not half inch it's three eighths plate",
        "three eighths plate instead of half inch",
        "not half inch plate how fast on three eighths",
        "half inch plate scrap that three eighths plate",
        "not ten gauge, three eighths plate",
    ],
)
def test_a_correction_is_taken(understanding: Understanding, text: str) -> None:
    assert _size(understanding, text) == INSTEAD[1]


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("tip isn't big enough for half inch plate", 0.5),
        ("never cut half inch plate before what do i set", 0.5),
        ("i'm not sure what to set for half inch plate", 0.5),
        ("that's half inch plate isn't it", 0.5),
        ("don't know what to set for half inch plate", 0.5),
        ("no, three eighths plate", 0.375),
    ],
)
def test_a_no_that_denies_no_value_takes_none_away(
    understanding: Understanding, text: str, size: float
) -> None:
    assert _size(understanding, text) == size


@pytest.mark.parametrize(
    "text",
    [
        "half inch plate with anything but a quarter inch tip",
        "half inch plate not on propane",
        "not two inch and a half",
        "not one and three eighths plate",
        "not half inch and not three eighths plate",
        "anything but half inch or three eighths plate",
    ],
)
def test_what_leaves_nothing_in_its_place_is_asked(understanding: Understanding, text: str) -> None:
    assert _size(understanding, text) is None
