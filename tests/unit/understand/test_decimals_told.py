"""Any decimal is the size that was said, with a tip or without: typed, and spoken in every way.

The spoken forms are made here from the figures themselves, not by the code that speaks for us.
"""

import random
from fractions import Fraction

import pytest

from handsfree.understand.understanding import Understanding
from handsfree.values import About, Piece, Question, Request, Words

FIGURES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = [
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
TYPED = (
    *("{} inch plate", '{}" plate', "{} in. plate", "what do i set for {} inch plate", "{} plate"),
    *("how fast on {} inch", "{}in plate"),
)
SPOKEN = (
    "{} inch plate",
    "what do i set for {} inch plate",
    "{} plate",
    "how fast on {} of an inch",
)
TIPS = (
    *("", " with a tip made for half inch plate", " with a half inch tip"),
    *(" and my tip is made for half inch", " tip's good for half inch plate"),
)


def _parts(seed: int, many: int) -> list[str]:
    """Figures behind the point: every thirty-second, and others of one to five places."""
    chance = random.Random(seed)
    exact = [f"{n / 32:.6f}"[2:].rstrip("0") for n in range(1, 32)]
    odd = [
        str(chance.randrange(10 ** (places := chance.randint(1, 5)))).zfill(places)
        for _ in range(many)
    ]
    return [*exact, *(part for part in odd if part.strip("0"))]


def _two(figures: str) -> str:
    """Two figures as one number: eighteen, seventy five; with a nought, one by one."""
    tens, ones = int(figures[0]), int(figures[1])
    if tens == 0:
        return f"oh {FIGURES[ones]}"
    if tens == 1:
        return TEENS[ones]
    return TENS[tens - 2] + (f" {FIGURES[ones]}" if ones else "")


def _spoken(part: str, chance: random.Random) -> str:
    way = chance.choice(["zero point", "oh point", "point", "point"])
    if len(part) in (2, 4) and chance.random() < 0.4:
        return f"{way} {' '.join(_two(part[at : at + 2]) for at in range(0, len(part), 2))}"
    nought = chance.choice(["oh", "zero"])
    return f"{way} {' '.join(nought if f == '0' else FIGURES[int(f)] for f in part)}"


def _misread(understanding: Understanding, text: str, inches: Fraction, tip: bool) -> str | None:
    understood = understanding.request(Words(text))
    if not isinstance(understood, Request):
        return f"{text}: {understood}"
    piece = understood.piece or Piece()
    told = None if piece.thickness is None else float(piece.thickness.m_as("inch"))
    made_for = understood.tip.made_for if understood.tip else None
    right_tip = (made_for is not None and float(made_for[1].m_as("inch")) == 0.5) is tip
    right = told == float(inches) and right_tip and understood.about is not About.CONVERT
    return None if right else f"{text}: {told} {understood.tip}"


def test_decimals_typed(understanding: Understanding) -> None:
    chance, wrong = random.Random(1), []
    parts = _parts(2, 260)
    for at, part in enumerate(parts):
        whole = chance.choice(["0", "", "", "0", "1", "2"])
        frame = TYPED[at % len(TYPED)]
        if whole in ("1", "2") and frame == "{} plate":
            frame = TYPED[0]
        tip = TIPS[at % len(TIPS)]
        text = frame.format(f"{whole}.{part}") + tip
        wrong.append(_misread(understanding, text, Fraction(f"{whole or 0}.{part}"), bool(tip)))
    misread = [one for one in wrong if one]
    assert len(parts) > 250 and not misread, f"{len(misread)}:\n" + "\n".join(misread[:20])


def test_decimals_spoken(understanding: Understanding) -> None:
    chance, wrong = random.Random(3), []
    parts = _parts(4, 260)
    for at, part in enumerate(parts):
        tip = TIPS[at % len(TIPS)]
        text = SPOKEN[at % len(SPOKEN)].format(_spoken(part, chance)) + tip
        wrong.append(_misread(understanding, text, Fraction(f"0.{part}"), bool(tip)))
    misread = [one for one in wrong if one]
    assert len(parts) > 250 and not misread, f"{len(misread)}:\n" + "\n".join(misread[:20])


def test_decimals_of_a_millimetre(understanding: Understanding) -> None:
    wrong = {}
    for tenths in range(3, 1600, 7):
        text = f"{tenths / 10:g} mm plate with a tip made for half inch plate"
        understood = understanding.request(Words(text))
        piece = understood.piece if isinstance(understood, Request) else None
        told = piece.thickness if piece is not None else None
        if told is None or float(told.m_as("mm")) != pytest.approx(tenths / 10):
            wrong[text] = told
    assert not wrong, list(wrong.items())[:20]


@pytest.mark.parametrize("text", ["5.5 plate", "1.25 plate", "what do i set for 12.7 plate"])
def test_a_decimal_that_may_be_of_an_inch_or_a_millimetre_is_asked(
    understanding: Understanding, text: str
) -> None:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Question) and understood.asks_for == "thickness"
    for option, unit in zip(understood.options, ("inch", "mm"), strict=True):
        answered = understanding.request(Words(option))
        assert isinstance(answered, Request) and answered.piece is not None
        number = text.split()[-2]
        assert answered.piece.thickness is not None
        assert float(answered.piece.thickness.m_as(unit)) == pytest.approx(float(number))


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("4x4x.25 angle", "L4X4X1/4"),
        ("4x4x.313 angle", "L4X4X5/16"),
        ("hss 6x6x.375", "HSS6X6X3/8"),
        ("4 by 4 by .33 angle", "L4X4X0.330"),
    ],
)
def test_a_wall_in_decimals_is_the_fraction_that_it_stands_for_and_no_other(
    understanding: Understanding, text: str, designation: str
) -> None:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request) and understood.piece is not None
    assert understood.piece.designation == designation


def test_a_plate_with_its_tip_behind_it_is_asked_or_right(understanding: Understanding) -> None:
    """Without its comma "three quarter plate tip for half inch" is either way round."""
    for size, inches in (
        ('0.8125"', 0.8125),
        ("three quarter", 0.75),
        ("point one eight seven five", 0.1875),
    ):
        understood = understanding.request(Words(f"{size} plate, tip for half inch"))
        if isinstance(understood, Request):
            assert understood.piece is not None and understood.piece.thickness is not None
            assert float(understood.piece.thickness.m_as("inch")) == inches
        else:
            assert isinstance(understood, Question)
