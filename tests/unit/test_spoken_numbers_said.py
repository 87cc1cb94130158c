"""Values to words and back: over the whole range, and against a general-purpose library."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words as reference_words

from handsfree.spoken_numbers import (
    NUMBER_WORDS,
    amount,
    decimal,
    decimal_inches,
    digits_aloud,
    fraction,
    length_words,
    mixed,
    number_words,
    quantity_words,
    range_words,
    readings,
    spelt,
    trade_fraction,
    whole,
)
from handsfree.values.units import (
    Quantity,
    cubic_feet_an_hour,
    degrees,
    feet,
    inches,
    inches_a_minute,
    kilopascals,
    millimetres,
    psi,
    registry,
    seconds,
)


def num2words(value: int | str) -> str:
    """The reference library carries no types."""
    return str(reference_words(value))  # type: ignore[no-untyped-call]


SIXTY_FOURTHS = [Fraction(n, 64) for n in range(1, 12 * 64 + 1)]


def test_whole_numbers_are_those_of_the_reference_library() -> None:
    # num2words differs by its commas and hyphens only: "one thousand, two hundred and thirty-four".
    wrong = {
        n: whole(n)
        for n in range(10_000)
        if whole(n) != num2words(n).replace(",", "").replace("-", " ")
    }
    assert not wrong


def test_whole_numbers_come_back() -> None:
    assert not [n for n in range(10_000) if readings(whole(n).split()) != (Fraction(n),)]


@given(st.integers(0, 999_999_999))
def test_nine_figures_come_back(n: int) -> None:
    assert len(whole(n).split()) > 16 or amount(whole(n).split()) == n


def test_decimals_are_those_of_the_reference_library() -> None:
    # num2words says "zero point zero six" where the trade says "point oh six".
    wrong = {}
    for thousandths in range(1, 10_000):
        value = f"{thousandths / 1000:.3f}".rstrip("0").rstrip(".")
        theirs = num2words(value).replace("-", " ").replace("zero", "oh").removeprefix("oh ")
        if decimal(float(value)) != theirs:
            wrong[value] = (decimal(float(value)), theirs)
    assert not wrong


def test_decimals_to_three_places_come_back() -> None:
    wrong = [
        n for n in range(12_001) if readings(decimal(n / 1000).split()) != (Fraction(n, 1000),)
    ]
    assert not wrong


def test_every_sixty_fourth_up_to_twelve_inches_comes_back() -> None:
    wrong = {
        value: mixed(value) for value in SIXTY_FOURTHS if amount(mixed(value).split()) != value
    }
    assert not wrong


def test_every_sixty_fourth_comes_back_from_a_length() -> None:
    for value in SIXTY_FOURTHS:
        words = length_words(inches(value)).split()
        assert words[-1] == ("inch" if value <= 1 else "inches")
        assert amount(words[:-1]) == value, words
        assert trade_fraction(float(value)) == value


def test_all_that_is_said_is_in_the_vocabulary() -> None:
    said = {word for value in SIXTY_FOURTHS for word in mixed(value).split()}
    said |= {word for n in range(0, 10_000, 7) for word in decimal(n / 1000).split()}
    assert said <= NUMBER_WORDS


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (Fraction(1, 2), "one half"),
        (Fraction(3, 4), "three quarters"),
        (Fraction(1, 8), "one eighth"),
        (Fraction(1, 32), "one thirty second"),
        (Fraction(21, 32), "twenty one thirty seconds"),
        (Fraction(43, 64), "forty three sixty fourths"),
        (Fraction(3, 1000), "three thousandths"),
    ],
)
def test_a_fraction_has_its_trade_name(value: Fraction, words: str) -> None:
    assert fraction(value) == words


@pytest.mark.parametrize("value", [Fraction(3, 7) / 100, Fraction(0), Fraction(-1, 2)])
def test_a_fraction_without_a_trade_name_is_refused(value: Fraction) -> None:
    with pytest.raises(ValueError, match="say it as a decimal"):
        fraction(value)


def test_a_negative_size_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        mixed(Fraction(-3, 2))


def test_ten_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="nine figures"):
        whole(1_000_000_000)


def test_signs_are_said() -> None:
    assert (whole(-2), decimal(-0.5), decimal(-2.0)) == (
        "minus two",
        "minus point five",
        "minus two",
    )


@pytest.mark.parametrize(
    ("n", "words"),
    [
        (0, "zero"),
        (12, "twelve"),
        (13, "thirteen, one three"),
        (15, "fifteen, one five"),
        (19, "nineteen, one nine"),
        (20, "twenty"),
        (24, "twenty four"),
        (30, "thirty, three oh"),
        (50, "fifty, five oh"),
        (90, "ninety, nine oh"),
        (100, "one hundred"),
        (115, "one hundred and fifteen, one one five"),
        (150, "one hundred and fifty, one five oh"),
    ],
)
def test_teens_and_tens_are_read_both_ways(n: int, words: str) -> None:
    assert digits_aloud(n) == words


def test_both_ways_of_a_read_back_mean_the_same() -> None:
    for n in range(10_000):
        for way in digits_aloud(n).split(", "):
            assert amount(way.split()) == n


def test_figures_are_spelt_one_by_one() -> None:
    assert spelt("060") == "oh six oh"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (14.5, "fourteen and a half"),
        (0.5, "point five"),
        (24.0, "twenty four"),
        (3.25, "three and a quarter"),
    ],
)
def test_halves_and_quarters_before_a_unit_are_words(value: float, words: str) -> None:
    assert number_words(value) == words


def test_bores_keep_four_places() -> None:
    assert decimal_inches(0.0595) == "point oh five nine five"


LENGTHS: list[tuple[Quantity, str, str]] = [
    (inches(0.25), "quarter inch", "quarter inch"),
    (inches(0.5), "half inch", "half inch"),
    (inches(0.75), "three quarter inch", "three quarter inch"),
    (inches(0.625), "five eighths inch", "five eighths inch"),
    (inches(0.125), "one eighth inch", "one eighth inch"),  # never "eighth inch": heard as eight
    (inches(1), "one inch", "one inch"),
    (inches(1.5), "one and a half inches", "one and a half inch"),
    (inches(1.375), "one and three eighths inches", "one and three eighths inch"),
    (inches(2), "two inches", "two inch"),
    (inches(0.38), "point three eight inch", "point three eight inch"),
    (inches(0.0465), "point oh four six five inch", "point oh four six five inch"),
    (inches(0.0938), "three thirty seconds inch", "three thirty seconds inch"),
    (millimetres(12), "twelve millimetres", "twelve millimetre"),
    (millimetres(12.7), "twelve point seven millimetres", "twelve point seven millimetre"),
    (millimetres(1), "one millimetre", "one millimetre"),
    (
        registry.Quantity(2.5, "centimeter"),
        "two point five centimetres",
        "two point five centimetre",
    ),
    (feet(50), "fifty feet", "fifty foot"),
    (feet(1), "one foot", "one foot"),
    (registry.Quantity(15.0, "meter"), "fifteen metres", "fifteen metre"),
    (registry.Quantity(1.0, "yard"), "thirty six inches", "thirty six inch"),
]


@pytest.mark.parametrize(("length", "alone", "before_noun"), LENGTHS)
def test_lengths_are_said_as_in_the_trade(length: Quantity, alone: str, before_noun: str) -> None:
    assert length_words(length) == alone
    assert length_words(length, before_noun=True) == before_noun


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (psi(24), psi(35), "twenty four to thirty five p s i"),
        (psi(25), psi(25), "twenty five p s i"),
        (inches_a_minute(12), inches_a_minute(14.5),
         "twelve to fourteen and a half inches a minute"),
        (inches_a_minute(1), inches_a_minute(1), "one inch a minute"),
        (inches(0.0625), inches(0.125), "one sixteenth to one eighth inch"),
        (inches(0.75), inches(1.5), "three quarters to one and a half inches"),
        (inches(0.06), inches(0.08), "point oh six to point oh eight inch"),
        (seconds(5), seconds(15), "five to fifteen seconds"),
        (degrees(70), degrees(75), "seventy to seventy five degrees"),
        (cubic_feet_an_hour(117), cubic_feet_an_hour(143),
         "one hundred and seventeen to one hundred and forty three cubic feet an hour"),
        (kilopascals(103), kilopascals(103), "one hundred and three kilopascals"),
        (registry.Quantity(3.0, ""), registry.Quantity(4.0, ""), "three to four"),
        (registry.Quantity(20.0, "pound"), registry.Quantity(20.0, "pound"), "twenty pounds"),
        (registry.Quantity(300.0, "mm/min"), registry.Quantity(350.0, "mm/min"),
         "three hundred to three hundred and fifty millimetres a minute"),
        (inches(1), millimetres(50.8), "one to two inches"),
    ],
)  # fmt: skip
def test_ranges_name_the_unit_once(low: Quantity, high: Quantity, words: str) -> None:
    assert range_words(low, high) == words


def test_a_unit_of_another_name_is_told_in_a_known_one() -> None:
    assert quantity_words(registry.Quantity(1.0, "inch / second")) == "sixty inches a minute"


def test_a_unit_that_nobody_says_is_refused() -> None:
    with pytest.raises(ValueError, match="no words for the unit"):
        quantity_words(registry.Quantity(1.0, "volt"))
