"""What a person types becomes the words that he would say."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.spoken_numbers import amount
from handsfree.understand.typed import LONGEST, typed_words

ROWS = [
    # fractions and mixed numbers
    ('3/4"', "three quarter inch"),
    ('3/4" plate', "three quarter inch plate"),
    ("3/4", "three quarters"),
    ("1/2", "half"),
    ("1/4 tip", "quarter tip"),
    ("1/8 plate", "one eighth plate"),
    ("5/8", "five eighths"),
    ("6/8", "three quarters"),
    ("11/8", "one and three eighths"),
    ("21/32", "twenty one thirty seconds"),
    ("43/64", "forty three sixty fourths"),
    ("5/16ths", "five sixteenths"),
    ("1/8th", "one eighth"),
    ("3 16ths", "three sixteenths"),
    ("1-1/2 in", "one and a half inch"),
    ("1 1/2", "one and a half"),
    ('1-1/2"', "one and a half inch"),
    ("1 and 1/2 inch", "one and a half inch"),
    ("1 & 1/2 inch", "one and a half inch"),
    ("2-1/4in", "two and a quarter inch"),
    ("2 3/4", "two and three quarters"),
    ("½", "half"),
    ("¾ plate", "three quarter plate"),
    ("⅜ angle", "three eighths angle"),
    ('1½" plate', "one and a half inch plate"),
    ("2½ in.", "two and a half inch"),
    ("3/17 plate", "three over seventeen plate"),
    ("0/4", "zero over four"),
    # decimals
    ('0.375"', "point three seven five inch"),
    (".06", "point oh six"),
    ('1.250"', "one point two five inch"),
    ("3.0", "three"),
    ("0.0595 bore", "point oh five nine five bore"),
    ("12,7 mm", "twelve point seven millimetres"),
    ("1,200 psi", "one thousand two hundred psi"),
    # units
    ("12mm", "twelve millimetres"),
    ("12 mm", "twelve millimetres"),
    ("12-mm", "twelve millimetres"),
    ("4 cm plate", "four centimetres plate"),
    ("2in", "two inch"),
    ("2 in plate", "two inch plate"),
    ("1/4-in. tip", "quarter inch tip"),
    ("2 inches", "two inches"),
    ("6''", "six inch"),
    ("6'", "six feet"),
    ("1'", "one foot"),
    ("6'-6\"", "six feet six inch"),
    ("50 ft hose", "fifty feet hose"),
    ("50ft. hose", "fifty feet hose"),
    ("15m hose", "fifteen metres hose"),
    ("25psi", "twenty five psi"),
    ("25 psi", "twenty five psi"),
    ("25 p.s.i.", "twenty five p s i"),
    ("25#", "twenty five pounds"),
    ("12 in/min", "twelve inches a minute"),
    ("20 ipm", "twenty inches a minute"),
    ("45°", "forty five degrees"),
    ("500 °F", "five hundred degrees fahrenheit"),
    ("99.5%", "ninety nine point five percent"),
    ("10ga", "ten gauge"),
    ("10 ga.", "ten gauge"),
    ("16 gage sheet", "sixteen gauge sheet"),
    ("12-gauge", "twelve gauge"),
    # "in" that is no unit
    ("3/4 in mm", "three quarter in millimetres"),
    ("3/4 in in mm", "three quarter inch in millimetres"),
    ("3/8 = ? mm", "three eighths in millimetres"),
    ("30 psi in bar?", "thirty psi in bar"),
    ("12, mm or inch", "twelve millimetres or inch"),
    # ranges and signs
    ("24-35 psi", "twenty four to thirty five psi"),
    ("1/4-1/2 tip", "quarter to half tip"),
    ('1/4"-3/8"', "quarter inch to three eighths inch"),
    ("12–14 ipm", "twelve to fourteen inches a minute"),
    ("-2 inch plate", "minus two inch plate"),
    ("−2", "minus two"),
    ("minus 2", "minus two"),
    ("acetylene - 3/4 plate", "acetylene three quarter plate"),
    ("20psi @ the reg", "twenty psi at the reg"),
    # sections, pipe, tips, gases, steels
    ("W10x33", "w ten by thirty three"),
    ("W 10 × 33", "w ten by thirty three"),
    ("4x4x3/8 angle", "four by four by three eighths angle"),
    ("L4X4X.375", "l four by four by point three seven five"),
    ('6" x 4" x 1/2" angle', "six inch by four inch by half inch angle"),
    ("HSS6x6x3/8", "h s s six by six by three eighths"),
    ("C8x11.5", "c eight by eleven point five"),
    ("MC8x18.7", "m c eight by eighteen point seven"),
    ("IPE 200", "i p e two hundred"),
    ("3*3*1/4 tube", "three by three by quarter tube"),
    ("sch 40", "schedule forty"),
    ("4 in sch40 pipe", "four inch schedule forty pipe"),
    ("#56", "number fifty six"),
    ("#5 3/4 plate", "number five three quarter plate"),
    ("No. 56", "number fifty six"),
    ("№ 56", "number fifty six"),
    ("no. 3/8 plate", "no three eighths plate"),
    ("No. 12 mm", "no twelve millimetres"),
    ("no, 3/8", "no three eighths"),
    ("00 tip", "double ought tip"),
    ("000", "triple ought"),
    ("2/0 tip", "double ought tip"),
    ("tip 0", "tip zero"),
    ("O2", "oxygen"),
    ("O₂ pressure", "oxygen pressure"),
    ("C2H2", "acetylene"),
    ("C3H8", "propane"),
    ("A36 plate", "a thirty six plate"),
    ("304 stainless", "three oh four stainless"),
    ("304 mm", "three hundred and four millimetres"),
    ("4140 shaft", "forty one forty shaft"),
    # words
    ("What's the kerf?", "what's the kerf"),
    ("what’s the kerf", "what's the kerf"),
    ("I'm on propane; I've 1/2\" plate!", "i'm on propane i've half inch plate"),
    ("my number 5's good", "my number five's good"),
    ("oxy-acetylene w/ 1/4 tip", "oxy acetylene with quarter tip"),
    ("w/o goggles", "without goggles"),
    ('"3/4" plate"', "three quarter inch plate"),
    ("“3/4″ plate”", "three quarter inch plate"),
    ('set 12 "now"', "set twelve now"),
    ("ÉLAN plate", "elan plate"),
    ("5th", "fifth"),
    ("05", "oh five"),
    # nothing to say
    ("", ""),
    ("   \t\r\n", ""),
    ("!?.,;:()[]{}<>|\\~^_$", ""),
    ("\x00\x07\x1b\u200b\ufeff", ""),
    ("板 плита", ""),
]


def test_typed_text_becomes_what_is_said() -> None:
    wrong = {text: typed_words(text) for text, words in ROWS if typed_words(text) != words}
    assert not wrong
    assert len(ROWS) >= 80


@given(st.integers(1, 11 * 64))
def test_every_typed_fraction_is_worth_what_was_typed(n: int) -> None:
    units, rest = divmod(n, 64)
    for text in (f"{units}-{rest}/64" if units and rest else f"{n}/64", f"{n / 64:.6f}"):
        value = amount(typed_words(text).split())
        assert value is not None
        assert value * 64 == n, text


@given(st.integers(0, 9999), st.sampled_from(["{} psi", "{}psi", "{} mm", "{}mm", "{} ga"]))
def test_every_typed_whole_number_is_worth_what_was_typed(n: int, shape: str) -> None:
    said = typed_words(shape.format(n)).split()
    assert amount(said[:-1]) == n


@pytest.mark.parametrize("nothing", [None, 12, b"3/4 plate", ["3/4"], object()])
def test_what_is_no_text_says_nothing(nothing: object) -> None:
    assert typed_words(nothing) == ""  # type: ignore[arg-type]


def test_ten_thousand_words_come_back_short_and_still_too_long_to_be_a_request() -> None:
    assert len(typed_words("plate " * 10_000).split()) == LONGEST > 60
    assert len(typed_words("3/4 " * 100_000).split()) >= 60


def test_a_long_text_with_few_words_is_never_read_as_its_beginning() -> None:
    assert typed_words("1/2 plate" + "()" * 20_000 + "no, 3/4 plate") == ""
    assert typed_words("1/2 plate" + " " * 300_000 + "no, 3/4 plate") == ""
    assert typed_words("1/2 plate" + " " * 30_000 + "please") == "half plate please"


def test_a_huge_number_is_never_read_as_a_smaller_one() -> None:
    for text in (
        "9" * 5_000,
        "1" * 10 + ".5",
        "3." + "1" * 40,
        "9" * 5_000 + "/4",
        "1/" + "2" * 50,
    ):
        words = typed_words(text).split()
        assert words
        assert amount(words) is None, text


WORDS = re.compile(r"(?:[a-z]+(?:'[a-z]+)*(?: [a-z]+(?:'[a-z]+)*)*)?")
TRADE = st.sampled_from(
    ['"', "'", "3/4", "1-", "-", "--", "x", "W10", "#", "no. ", "00", "½", "°", "in", "mm", " ",
     ".5", "sch", "=", "?", "%", "w/", "'s", "1,2", "10", "0", "/", "ft", "in/min", "o2", "th",
     "\u0301"]
)  # fmt: skip


@given(st.text(max_size=200) | st.lists(TRADE, max_size=30).map("".join))
def test_whatever_is_typed_only_words_come_back(text: str) -> None:
    assert WORDS.fullmatch(typed_words(text))


@given(st.lists(TRADE, max_size=30).map("".join))
def test_words_typed_again_stay_as_they_are(text: str) -> None:
    once = typed_words(text)
    assert typed_words(once) == once
