"""Every request that can be picked by touch is understood as it was picked."""

import pytest

from handsfree.shipped import shipped_folder
from handsfree.tell.page_choices import FUELS, THICKNESSES, Choice, setting_words
from handsfree.understand.grammar import load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import About, Request, Words

QUARTER, HALF, THREE = THICKNESSES[2], THICKNESSES[5], THICKNESSES[14]
PICKS: list[tuple[Choice, Choice | None, Choice]] = [
    *((thickness, tip, FUELS[0]) for thickness in THICKNESSES for tip in (None, QUARTER, THREE)),
    *((HALF, tip, FUELS[1]) for tip in THICKNESSES),
    *((HALF, tip, fuel) for tip in (None, HALF) for fuel in FUELS),
]


@pytest.fixture(scope="module")
def understanding() -> Understanding:
    return Understanding(load_grammar(shipped_folder("grammar")))


def test_what_touch_says_is_understood_as_it_was_picked(understanding: Understanding) -> None:
    wrong = []
    for thickness, tip, fuel in PICKS:
        words = setting_words(thickness, tip, fuel)
        got = understanding.request(Words(words))
        if not isinstance(got, Request) or _picked(got) != _wanted(thickness, tip, fuel):
            wrong.append((words, got))
    assert not wrong


def _picked(request: Request) -> tuple[object, ...]:
    thickness = request.piece.thickness if request.piece else None
    made_for = request.tip.made_for if request.tip else None
    return (
        request.about,
        thickness is not None and round(float(thickness.m_as("inch")), 4),
        made_for and round(float(made_for[1].m_as("inch")), 4),
        str(request.fuel),
    )


def _wanted(thickness: Choice, tip: Choice | None, fuel: Choice) -> tuple[object, ...]:
    return (
        About.SETTING,
        round((thickness.millimetres or 0) / 25.4, 4),
        tip and round((tip.millimetres or 0) / 25.4, 4),
        fuel.words,
    )
