"""The engine's sentences and small words."""

import pytest

from handsfree.engine import advice, quality, saying, tables
from handsfree.engine.trust import weakest
from handsfree.errors import TableError
from handsfree.values import Fit, Status
from handsfree.values.units import inches, millimetres

KEYS = advice.keys()
STRENGTH = (
    Status.READ,
    Status.SECONDARY,
    Status.COMPUTED,
    Status.COMMON_PRACTICE,
    Status.MEMORY,
)


def test_every_sentence_has_a_source_and_is_never_trusted_beyond_it() -> None:
    wrong = []
    for key in KEYS:
        found = advice.advice(key)
        source = tables.source(found.source)
        if STRENGTH.index(found.status) < STRENGTH.index(source.status):
            wrong.append((key, found.status, source.status))
    assert not wrong


def test_every_sentence_can_be_said_as_it_stands() -> None:
    wrong = []
    for key in KEYS:
        for sentence in advice.advice(key).sentence.rstrip(".").split(". "):
            digits = any(letter.isdigit() for letter in sentence)
            if digits or len(sentence.split()) > 16 or any(mark in sentence for mark in '/()°"'):
                wrong.append((key, sentence))
        if not advice.advice(key).sentence.endswith("."):
            wrong.append((key, "no full stop"))
    assert not wrong


def test_an_unknown_key_says_what_to_do() -> None:
    with pytest.raises(TableError, match="add it, or correct the name"):
        advice.advice("nothing")


def test_the_weakest_status_wins() -> None:
    assert weakest(*STRENGTH) is Status.MEMORY
    assert weakest(Status.READ, Status.SECONDARY) is Status.SECONDARY
    assert weakest(Status.COMPUTED, Status.READ) is Status.COMPUTED


def test_small_tips_promise_separation_only() -> None:
    assert quality.cut_face(Fit.TOO_SMALL, inches(1))[0].startswith("Separation only")


def test_no_face_is_promised_outside_the_standard() -> None:
    assert quality.cut_face(Fit.RIGHT, millimetres(400)) == ()


@pytest.mark.parametrize(
    ("number", "words"),
    [(0, "zero"), (13, "thirteen"), (40, "forty"), (99, "ninety nine"), (300, "three hundred")],
)
def test_whole_numbers_in_words(number: int, words: str) -> None:
    assert saying.whole(number) == words


def test_numbers_outside_the_words_are_an_error() -> None:
    with pytest.raises(ValueError, match="outside"):
        saying.whole(1000)


def test_eighths_are_rounded_down() -> None:
    assert saying.eighths_of_an_inch(0.99) == "seven eighths of an inch"
    assert saying.eighths_of_an_inch(1.0) == "one inch"
    assert saying.eighths_of_an_inch(0.01) == "an eighth of an inch"
    assert saying.eighths_of_an_inch(12) == "twelve inches"
