"""What the engine's tests ask with: short makers for requests."""

from typing import Any

import pytest

from handsfree.engine.answer import answer
from handsfree.values import About, Answer, Piece, Reply, Request, Rig, TipBox, TipOnHand
from handsfree.values.units import inches


def made_for(low: float, high: float | None = None) -> TipOnHand:
    return TipOnHand(made_for=(inches(low), inches(high if high is not None else low)))


def ask(about: About, thickness: float | None = None, **more: Any) -> Reply:
    """The reply to a request about plate of that thickness in inches."""
    rig, box = more.pop("rig", Rig()), more.pop("box", TipBox())
    piece = more.pop("piece", None)
    if thickness is not None:
        piece = Piece(thickness=inches(thickness), **more.pop("of", {}))
    return answer(Request(about, piece=piece, **more), rig, box)


def answered(reply: Reply) -> Answer:
    assert isinstance(reply, Answer), reply
    return reply


def ends(reply: Reply, name: str, unit: str) -> tuple[float, float]:
    """Low and high of a figure; the test fails when the answer lacks it."""
    for figure in answered(reply).figures:
        if figure.name == name:
            return float(figure.low.m_as(unit)), float(figure.high.m_as(unit))
    pytest.fail(f"no {name} among {[figure.name for figure in answered(reply).figures]}")
