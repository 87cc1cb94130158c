"""A tip's own millimetres are its bore, those of a plate that is named are what it is made for."""

import pytest

from handsfree.understand.understanding import Understanding
from handsfree.values import Question, Request, TipOnHand, Words

TENTHS = range(5, 36)
FRAMES = (
    *("{} tip", "half inch plate with a {} tip", "{} nozzle on half inch plate"),
    *("tip with a {} hole", "half inch plate, tip with a {} hole in it", "nozzle has a {} bore"),
    "{} bore tip on half inch plate",
)
MADE_FOR = (
    *("tip made for {} plate", "tip made for {}", "half inch plate, tip's good for {}"),
    *("{} plate tip on half inch", "half inch plate with a tip made for {} plate"),
)
UNITS = ("mm", " mm", " millimetre", " mil")


def _tip(understanding: Understanding, text: str) -> TipOnHand:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request), f"{text}: {understood}"
    assert understood.tip is not None and understood.task is None, text
    return understood.tip


@pytest.mark.parametrize("frame", FRAMES)
def test_a_tips_own_millimetres_are_its_bore(understanding: Understanding, frame: str) -> None:
    for tenths in TENTHS:
        text = frame.format(f"{tenths / 10:g}{UNITS[tenths % len(UNITS)]}")
        tip = _tip(understanding, text)
        assert tip.made_for is None and tip.bore is not None, text
        assert float(tip.bore.m_as("mm")) == pytest.approx(tenths / 10), text


@pytest.mark.parametrize("frame", MADE_FOR)
def test_those_of_a_plate_are_what_it_is_made_for(understanding: Understanding, frame: str) -> None:
    for tenths in (*TENTHS, 40, 60, 125):
        text = frame.format(f"{tenths / 10:g}{UNITS[tenths % len(UNITS)]}")
        tip = _tip(understanding, text)
        assert tip.bore is None and tip.made_for is not None, text
        assert float(tip.made_for[1].m_as("mm")) == pytest.approx(tenths / 10), text


@pytest.mark.parametrize(
    ("text", "bore", "plate"),
    [
        ("4 mm tip", 4 / 25.4, 4 / 25.4),
        ("half inch plate with a 5 mm tip", 5 / 25.4, 5 / 25.4),
        ("3.8 mil nozzle", 3.8 / 25.4, 3.8 / 25.4),
        ("0.125 tip on half inch plate", 0.125, 0.125),
        ("half inch plate with a 1.2 tip", 1.2 / 25.4, 1.2),
    ],
)
def test_where_both_can_be_both_are_asked(
    understanding: Understanding, text: str, bore: float, plate: float
) -> None:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Question) and understood.asks_for == "tip"
    assert understood.request is not None and understood.request.tip is None
    as_bore, as_plate = (_tip(understanding, option) for option in understood.options)
    assert as_bore.bore is not None and as_plate.made_for is not None
    assert float(as_bore.bore.m_as("inch")) == pytest.approx(bore)
    assert float(as_plate.made_for[1].m_as("inch")) == pytest.approx(plate)


def test_thousandths_and_drills_of_a_hole_are_the_tips(understanding: Understanding) -> None:
    for thou, said in (
        (60, "sixty"),
        (46, "forty six"),
        (82, "eighty two"),
        (120, "one hundred and twenty"),
    ):
        tip = _tip(understanding, f"half inch plate, tip with a {said} thou hole")
        assert tip.bore is not None and float(tip.bore.m_as("inch")) == pytest.approx(thou / 1000)
    assert _tip(understanding, "tip with a number fifty three drill hole").drill == 53


def test_a_hole_in_plate_is_still_a_hole(understanding: Understanding) -> None:
    for text in ("cut a 50 mm hole in half inch plate", "50 mm hole in half inch plate"):
        understood = understanding.request(Words(text))
        assert isinstance(understood, Request) and understood.tip is None, text
        assert understood.cut_length is not None
        assert float(understood.cut_length.m_as("mm")) == pytest.approx(50)
