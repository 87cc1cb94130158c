"""Words of lengths: their value and their unit, and what is no length."""

import pytest

from handsfree.understand.lengths import has_unit, length, number


@pytest.mark.parametrize(
    ("words", "inches"),
    [
        ("half", 0.5),
        ("half inch", 0.5),
        ("half an inch", 0.5),
        ("three quarters of an inch", 0.75),
        ("inch", 1),
        ("an inch", 1),
        ("inch and a half", 1.5),
        ("an inch and three quarters", 1.75),
        ("one inch and five eighths", 1.625),
        ("two and three eighths inches", 2.375),
        ("one and three sixty fourths", 1 + 3 / 64),
        ("point three seven five", 0.375),
        ("oh point two five of an inch", 0.25),
        ("twenty four inches", 24),
    ],
)
def test_inches(words: str, inches: float) -> None:
    value = length(words)
    assert value is not None
    assert value.m_as("inch") == pytest.approx(inches)


@pytest.mark.parametrize(
    ("words", "millimetres"),
    [
        ("twelve mil", 12),
        ("one point two millimetres", 1.2),
        ("a hundred and ten m m", 110),
        ("two point five centimetres", 25),
        ("half a centimetre", 5),
        ("a centimetre", 10),
        ("four c m", 40),
    ],
)
def test_metric_lengths(words: str, millimetres: float) -> None:
    value = length(words)
    assert value is not None
    assert value.m_as("mm") == pytest.approx(millimetres)


@pytest.mark.parametrize(
    "words",
    [
        *("", "three by four", "two inch inch", "one inch and two", "plate", "minus two inch"),
        *("half and half", "inch and a half inch", "two and mil", "three quarter inch and a half"),
    ],
)
def test_what_is_not_exactly_one_length_is_none(words: str) -> None:
    assert length(words) is None


def test_units_are_seen() -> None:
    assert has_unit("half inch") and has_unit("six m m") and has_unit("two centimetres")
    assert not has_unit("three quarter")


def test_numbers_are_exact() -> None:
    assert number("three eighths") == number("six sixteenths")
    assert number("steel") is None
