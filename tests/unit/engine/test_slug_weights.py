"""A hole is told with what drops out of it: never with the weight of a bar as thick as it is wide.

Against a steel table's own figure: a round bar of one inch weighs 2.67 lb a foot, so a disc of one
inch across and one inch deep 0.2227 lb; the rest follows by width squared and by depth.
"""

from itertools import product

import pytest

from handsfree.engine.answer import answer
from handsfree.values import About, Answer, Piece, Question, Request, Rig, Shape, Task, TipBox
from handsfree.values.units import inches

ONE_INCH_DISC = 2.67 / 12


@pytest.mark.parametrize("about", [About.CUT_ORDER, About.WEIGHT])
@pytest.mark.parametrize("shape", [Shape.PLATE, Shape.FLAT_BAR, None])
def test_the_slug_of_a_hole_is_weighed(about: About, shape: Shape | None) -> None:
    for wide, deep in product((1.0, 2.0, 3.5, 6.0), (0.25, 0.5, 0.75)):
        piece = Piece(shape=shape, thickness=inches(deep))
        request = Request(about, piece=piece, task=Task.HOLE, cut_length=inches(wide))
        reply = answer(request, Rig(), TipBox())
        assert isinstance(reply, Answer), reply
        weights = [figure for figure in reply.figures if figure.name == "weight"]
        told = [float(figure.high.m_as("lb")) for figure in weights]
        assert told == pytest.approx([ONE_INCH_DISC * wide**2 * deep], rel=0.01)
        assert [figure.note for figure in weights] == ["of the slug"]


def test_the_width_of_a_hole_is_asked_before_its_weight() -> None:
    request = Request(About.WEIGHT, piece=Piece(thickness=inches(0.5)), task=Task.HOLE)
    reply = answer(request, Rig(), TipBox())
    assert isinstance(reply, Question) and reply.asks_for == "hole"
