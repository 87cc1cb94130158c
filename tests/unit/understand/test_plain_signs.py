"""Every sign that any script has for a number: read for its value, or told to be not understood."""

import sys
import unicodedata
from fractions import Fraction

import pytest

from handsfree.spoken_numbers import amount
from handsfree.understand.plain_signs import NOT_READ, plain_signs
from handsfree.understand.typed import typed_words
from handsfree.understand.understanding import Understanding
from handsfree.values import NotUnderstood, Question, Request, Words

NUMERIC = [
    chr(code)
    for code in range(sys.maxunicode + 1)
    if unicodedata.numeric(chr(code), None) is not None
]
FIGURES = [sign for sign in NUMERIC if sign.isdecimal()]


def _value(words: str) -> Fraction | None:
    """The number before the millimetres, None where it was said not to be one."""
    said = words.removesuffix("millimetres plate").split()
    return None if NOT_READ in said else amount(said)


def _means(sign: str) -> Fraction:
    return Fraction(unicodedata.numeric(sign)).limit_denominator(1000)


def test_unicode_has_its_numbers() -> None:
    assert len(NUMERIC) > 1800 and len(FIGURES) > 600


def test_a_number_sign_alone_is_its_value_or_not_read() -> None:
    wrong = []
    for sign in NUMERIC:
        words = typed_words(f"{sign} mm plate")
        found = _value(words)
        if found not in (None, _means(sign)) or words == "millimetres plate":
            wrong.append(f"{sign} U+{ord(sign):04X}: {words}")
    assert not wrong, wrong[:20]


def test_figures_of_every_script_join_as_figures() -> None:
    wrong = []
    for sign in FIGURES:
        digit = unicodedata.decimal(sign)
        typed_words(f"{sign}0{sign} mm plate")  # a leading nought of any script
        for text, value in (
            (f"1{sign}", 10 + digit),
            (f"4.{sign}5", Fraction(405 + 10 * digit, 100)),
        ):
            words = typed_words(f"{text} mm plate")
            if _value(words) != value:
                wrong.append(f"{text}: {words}")
    assert not wrong, wrong[:20]


def test_no_other_sign_joins_the_figure_before_it() -> None:
    wrong = []
    for sign in set(NUMERIC) - set(FIGURES):
        words = typed_words(f"1{sign} mm plate")
        found = _value(words)
        if found is not None and found != 1 + _means(sign):
            wrong.append(f"1{sign} U+{ord(sign):04X}: {words}")
    assert not wrong, wrong[:20]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("1³⁄₈", "1 3/8"),
        ("⁵⁄₁₆″", '5/16"'),
        ("3⁄₁₆", "3/16"),
        ("1½", "1 1/2"),
        ("⅟8", "1/ 8"),
        ("6′", "6'"),
        ("¾′′", "3/4 ''"),
        ("4×4⨯⅜", "4x4x 3/8"),
        ("C₂H₂", "c2h2"),
        ("３．５", "3.5"),
        ("٣٫٥", "3.5"),
        ("3·5", "3.5"),
    ],
)
def test_fractions_and_marks_of_the_drawing_office(text: str, plain: str) -> None:
    assert plain_signs(text) == plain


def test_what_stands_for_no_plain_number_is_no_size(understanding: Understanding) -> None:
    for text in ("ⅩⅡ mm plate", "1Ⅻ mm plate", "1五 mm plate", "1½½ plate", "10² mm plate"):
        assert isinstance(understanding.request(Words(text)), NotUnderstood | Question), text


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("½″ plate", 0.5),
        ("⅞ plate", 0.875),
        ("१½″ plate", 1.5),
        ("⁵⁄₁₆ plate", 0.3125),
        ("Ø２″ shaft", 2),
    ],
)
def test_a_size_in_other_signs_is_that_size(
    understanding: Understanding, text: str, inches: float
) -> None:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request) and understood.piece is not None
    assert understood.piece.thickness is not None
    assert float(understood.piece.thickness.m_as("inch")) == inches
