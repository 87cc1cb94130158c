"""The layouts of a public training manual, done step by step, against the unrolled lines.

Navy training course NAVEDTRA 14251, Steelworker volume 2, chapter 3, pipe fitting and layout: the
quartered pipe, the simple miter turn and the welded tee of equal pipes. Tape and square are drawn
here as plain geometry; the code under test is not asked for any of the steps.
"""

import math

import pytest

from handsfree.engine.plan import development
from handsfree.engine.plan.shapes import round_section
from handsfree.values import Development, Shape

SIX_INCH = round_section(6.625, 0.28, Shape.PIPE)
FOUR_INCH = round_section(4.5, 0.237, Shape.PIPE)


def heights(found: Development | None) -> dict[float, float]:
    """Each hour with how far the line lies from its lowest point."""
    assert found is not None
    return {line.clock: float(line.height.m_as("in")) for line in found.ordinates}


@pytest.mark.parametrize("turn", [30.0, 60.0, 90.0])
def test_a_simple_miter_turn_by_its_cutback(turn: float) -> None:
    """Quarter the pipe; set the protractor to half the turn, and read the cutback off the square.

    Half of the cutback is marked along the top line on one side of the base line, half along the
    bottom line on the other; on both side quarter lines the cut crosses the base line itself.
    """
    outside = 6.625
    blade = outside  # the protractor's foot spans the outside diameter
    cutback = blade * math.tan(math.radians(turn / 2))
    top, bottom, sides = -cutback / 2, cutback / 2, 0.0
    found = heights(development.mitre(SIX_INCH, turn / 2))
    assert found[12.0] - top == pytest.approx(found[6.0] - bottom)
    assert found[6.0] - found[12.0] == pytest.approx(cutback)
    for side in (3.0, 9.0):
        assert found[side] - found[12.0] == pytest.approx(sides - top)


def test_a_ninety_degree_turn_of_six_inch_pipe_in_figures() -> None:
    """Worked by hand: half of ninety is forty five, whose tangent is one: the cutback is 6 5/8."""
    found = heights(development.mitre(SIX_INCH, 45.0))
    assert [found[hour] for hour in (12.0, 3.0, 6.0, 9.0)] == pytest.approx(
        [0, 3 + 5 / 16, 6 + 5 / 8, 3 + 5 / 16]
    )


def test_a_welded_tee_of_equal_pipes_by_its_two_views() -> None:
    """Draw the side view; its lines run at 45 degrees to the centre line from the crown.

    The end view is divided into equal parts; each part is carried over to the side view, and the
    distance from there to the line is laid off on the template.
    """
    radius = 2.25
    template = {}
    for part in range(16):
        turn = 2 * math.pi * part / 16
        across = radius * abs(math.cos(turn))  # of the part in the end view, from the centre line
        template[12 * part / 16 or 12.0] = radius - across  # the line falls as it goes across
    found = heights(development.saddle(FOUR_INCH, 4.5))
    for clock, height in template.items():
        assert found[clock] == pytest.approx(height, abs=1e-6)


def test_the_quarter_lines_lie_a_quarter_of_the_wrap_apart() -> None:
    found = development.mitre(FOUR_INCH, 0.0)
    assert found is not None
    along = {line.clock: float(line.along.m_as("in")) for line in found.ordinates}
    for place, hour in enumerate((12.0, 3.0, 6.0, 9.0)):
        assert along[hour] == pytest.approx(math.pi * 4.5 * place / 4)
