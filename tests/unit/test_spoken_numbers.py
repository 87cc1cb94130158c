"""Number words of the trade to values: what each run means, and what is no number."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from handsfree.spoken_numbers import NUMBER_WORDS, amount, readings

F = Fraction

MEANS = [
    ("oh", F(0)),
    ("zero", F(0)),
    ("ought", F(0)),
    ("seven", F(7)),
    ("forty five", F(45)),
    ("twenty five", F(25)),
    ("thirty two", F(32)),
    ("a hundred", F(100)),
    ("hundred and ten", F(110)),
    ("one hundred and twenty", F(120)),
    ("one hundred twenty", F(120)),
    ("one twenty", F(120)),
    ("one twenty five", F(125)),
    ("two fifty", F(250)),
    ("one oh five", F(105)),
    ("two hundred", F(200)),
    ("twelve hundred", F(1200)),
    ("twenty two hundred", F(2200)),
    ("twenty two hundred and fifty", F(2250)),
    ("twenty two fifty", F(2250)),
    ("one thousand two hundred", F(1200)),
    ("a thousand", F(1000)),
    ("two thousand and five", F(2005)),
    ("twelve thousand three hundred and forty five", F(12345)),
    ("one five", F(15)),
    ("five oh", F(50)),
    ("one five oh", F(150)),
    ("two two five oh", F(2250)),
    ("point three seven five", F(3, 8)),
    ("zero point oh six", F(3, 50)),
    ("oh point five", F(1, 2)),
    ("point oh six seven", F(67, 1000)),
    ("point oh five nine five", F(595, 10000)),
    ("point five", F(1, 2)),
    ("point seventy five", F(3, 4)),
    ("point three seventy five", F(3, 8)),
    ("point one twenty five", F(1, 8)),
    ("point fifteen", F(15, 100)),
    ("three point five", F(7, 2)),
    ("eleven point five", F(23, 2)),
    ("twelve point seven", F(127, 10)),
    ("one hundred and five point two five", F(421, 4)),
    ("half", F(1, 2)),
    ("a half", F(1, 2)),
    ("one half", F(1, 2)),
    ("two halves", F(1)),
    ("quarter", F(1, 4)),
    ("a quarter", F(1, 4)),
    ("one quarter", F(1, 4)),
    ("one fourth", F(1, 4)),
    ("three quarter", F(3, 4)),
    ("three quarters", F(3, 4)),
    ("three fourths", F(3, 4)),
    ("third", F(1, 3)),
    ("two thirds", F(2, 3)),
    ("three tenths", F(3, 10)),
    ("an eighth", F(1, 8)),
    ("five eighths", F(5, 8)),
    ("five eighth", F(5, 8)),
    ("two eighths", F(1, 4)),
    ("sixteenth", F(1, 16)),
    ("three sixteenths", F(3, 16)),
    ("eleven sixteenth", F(11, 16)),
    ("eleven sixteenths", F(11, 16)),
    ("eleven eighths", F(11, 8)),
    ("a thirty second", F(1, 32)),
    ("one thirty second", F(1, 32)),
    ("five thirty seconds", F(5, 32)),
    ("twenty one thirty second", F(21, 32)),
    ("twenty one thirty seconds", F(21, 32)),
    ("one sixty fourth", F(1, 64)),
    ("forty three sixty fourth", F(43, 64)),
    ("forty three sixty fourths", F(43, 64)),
    ("sixty three sixty fourths", F(63, 64)),
    ("sixty thou", F(60, 1000)),
    ("one hundred and twenty five thousandths", F(1, 8)),
    ("one twenty five thou", F(1, 8)),
    ("three over eight", F(3, 8)),
    ("one and a half", F(3, 2)),
    ("one and half", F(3, 2)),
    ("one and one half", F(3, 2)),
    ("two and three quarters", F(11, 4)),
    ("two and a quarter", F(9, 4)),
    ("one and an eighth", F(9, 8)),
    ("one and three eighths", F(11, 8)),
    ("one three eighths", F(11, 8)),
    ("one five sixteenths", F(21, 16)),
    ("one twenty one thirty seconds", F(53, 32)),
    ("twelve and seven sixteenths", F(199, 16)),
    ("one and three over eight", F(11, 8)),
    ("one hundred and a half", F(201, 2)),
    ("twenty one three eighths", F(171, 8)),
]


def test_each_run_means_exactly_its_value() -> None:
    wrong = {
        text: (readings(text.split()), value)
        for text, value in MEANS
        if amount(text.split()) != value or readings(text.split()) != (value,)
    }
    assert not wrong


@pytest.mark.parametrize(
    "text",
    [
        "",
        "plate",
        "a",
        "and",
        "point",
        "hundred and",
        "one hundred and",
        "two and five",
        "two and",
        "and a half",
        "five fifty five fifty five",
        "forty forty",
        "thirty forty",  # the ends of a range
        "fifteen twenty",
        "five ten",
        "twenty twenty five",
        "five fifties",
        "oh five",  # nobody says where its point is
        "double ought",  # a tip's stamp
        "minus two",
        "point",
        "two point",
        "one point two point three",
        "point five hundred",
        "two half",  # two pieces of half
        "two quarter",
        "four eighth",
        "one eighths",
        "thirty seconds",  # a time
        "one hundred thirty seconds",
        "sixty fourths",
        "twenty eighth",  # an ordinal number
        "two ten thousandths",
        "three over seventeen",
        "nine over eight",
        "half a",
        "half half",
        "three quarters quarters",
        "ten hundred thousand million",
        "one and a half and a half",
        "two thousand thousand",
        "one" + " one" * 200,
    ],
)
def test_what_is_no_number_gives_none(text: str) -> None:
    assert readings(text.split()) == ()
    assert amount(text.split()) is None


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("twenty three sixteenths", (F(23, 16), F(323, 16))),
        ("thirty five sixteenths", (F(35, 16), F(485, 16))),
        ("twenty one eighth", (F(21, 8), F(161, 8))),
        ("one hundred and twenty one thirty second", (F(3221, 32), F(3841, 32))),
    ],
)
def test_a_run_with_two_meanings_gives_both_and_settles_none(
    text: str, values: tuple[Fraction, ...]
) -> None:
    assert readings(text.split()) == values
    assert amount(text.split()) is None


def plain(value: int | str) -> list[str]:
    """Words of num2words as they are spoken."""
    text = str(num2words(value))  # type: ignore[no-untyped-call]  # it carries no types
    return text.replace(",", "").replace("-", " ").split()


def test_every_whole_number_of_the_reference_library_is_read_back() -> None:
    # num2words, a general-purpose library: "one thousand, two hundred and thirty-four".
    # It joins a rest below a hundred with "and"; without the "and" the value is the same.
    wrong = {}
    for n in range(10_000):
        with_and = plain(n)
        without = [word for word in with_and if word != "and"]
        if readings(with_and) != (F(n),) or readings(without) != (F(n),):
            wrong[n] = (readings(with_and), readings(without))
    assert not wrong


def test_every_decimal_of_the_reference_library_is_read_back() -> None:
    wrong = {}
    for thousandths in range(10_000):
        text = f"{thousandths / 1000:.3f}"
        said = plain(text)
        if readings(said) != (F(text),):
            wrong[text] = (said, readings(said))
    assert not wrong


@given(st.lists(st.sampled_from(sorted(NUMBER_WORDS)), max_size=20))
def test_any_jumble_of_number_words_is_read_without_fault(words: list[str]) -> None:
    values = readings(words)
    assert list(values) == sorted(set(values))
    assert all(value >= 0 for value in values)
    assert amount(words) == (values[0] if len(values) == 1 else None)


@given(st.lists(st.text(max_size=8), max_size=6))
def test_any_text_is_read_without_fault(words: list[str]) -> None:
    if not set(words) <= NUMBER_WORDS:
        assert readings(words) == ()
