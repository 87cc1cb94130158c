"""The steels whose preheat no table here may give, in the ways that they are named."""

from itertools import product

import pytest

from handsfree.understand.understanding import Understanding
from handsfree.values import Metal, Request, Words

FRAMES = (
    "half inch {}",
    "{} half inch thick",
    "how do i cut half inch {}",
    "what preheat for half inch {}",
)
NAMED = {
    Metal.WEAR_PLATE: (
        *("AR400", "AR500", "ar 450 plate", "AR360", "a r four hundred", "ar five hundred plate"),
        *("abrasion resistant plate", "abrasion resistant steel", "wear plate", "AR plate"),
    ),
    Metal.WEATHERING_STEEL: (
        "weathering steel",
        "A588",
        "a588 plate",
        "A242",
        "a five eighty eight",
    ),
    Metal.QUENCHED_STEEL: (
        "quenched and tempered steel",
        "A514",
        "a514 plate",
        "high strength steel",
    ),
}


@pytest.mark.parametrize("metal", NAMED)
def test_the_mill_is_asked_for_what_heat_can_spoil(
    understanding: Understanding, metal: Metal
) -> None:
    wrong = []
    for name, frame in product(NAMED[metal], FRAMES):
        text = frame.format(name)
        understood = understanding.request(Words(text))
        piece = understood.piece if isinstance(understood, Request) else None
        if piece is None or piece.metal is not metal or piece.thickness is None:
            wrong.append(f"{text}: {understood}")
    assert not wrong, "\n".join(wrong)
