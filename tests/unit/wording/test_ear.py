"""Written shorthand becomes sentences that a plain voice reads well."""

import re

from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from handsfree.wording.ear import designation_words, for_the_ear
from handsfree.wording.twice import read_both_ways

ROWS = [
    ("15 psi", "Fifteen p s i."),
    ("30 psig", "Thirty p s i."),
    ("1 in", "One inch."),
    ("2 in plate", "Two inch plate."),
    ("2 in", "Two inches."),
    ("1/2 in tip on 1/4 in plate", "Half inch tip on quarter inch plate."),
    ("3/4 in plate", "Three quarter inch plate."),
    ("1/16-1/8 in", "One sixteenth to one eighth inch."),
    ("1 1/2 in", "One and a half inches."),
    ("1\u00bd turns", "One and a half turns."),
    ("1-1/2 in", "One and a half inches."),
    ("0.0465 in bore", "Point oh four six five inch bore."),
    ("12-14.5 in/min", "Twelve to fourteen point five inches a minute."),
    ("70 deg", "Seventy degrees."),
    ("1500 F / 816 C", "One thousand five hundred degrees fahrenheit or eight hundred and "
     "sixteen degrees celsius."),
    ("816\u00b0C", "Eight hundred and sixteen degrees celsius."),
    ("99.5 % pure", "Ninety nine point five percent pure."),
    ("50 scfh", "Fifty cubic feet an hour."),
    ("2200 psi full", "Two thousand two hundred p s i full."),
    ("2000 psi full", "Two thousand p s i full."),
    ("24 in the table", "Twenty four in the table."),
    ("1,200 psi", "One thousand two hundred p s i."),
    ("set the psi first", "Set the p s i first."),
    ("within 30-40 ft", "Within thirty to forty feet."),
    ("29 CFR 1910.253(a)(2)",
     "Twenty nine C F R nineteen ten point two five three, paragraph A two."),
    ("29 CFR 1926.350(h)",
     "Twenty nine C F R nineteen twenty six point three five oh, paragraph H."),
    ("30 CFR 75.1106-5(d)",
     "Thirty C F R seventy five point one one oh six dash five, paragraph D."),
    ("8 CCR 5166(b)(1)", "Eight C C R five one six six, paragraph B one."),
    ("WAC 296-307-48011(6)",
     "W A C two nine six, three oh seven, four eight oh one one, paragraph six."),
    ("NFPA 51B, 2019 edition", "N F P A fifty one B, twenty nineteen edition."),
    ("ISO 9013:2017", "I S O nine oh one three, twenty seventeen."),
    ("ASME B94.11M", "A S M E B nine four point one one M."),
    ("OSHA's table", "OSHA's table."),
    ("\u00a7 4, p. 24", "Section four, page twenty four."),
    ("8th edition", "Eighth edition."),
    ("W10X33 flange", "W ten by thirty three flange."),
    ("No. 56 drill, #56", "Number fifty six drill, number fifty six."),
    ("it's hot; stop!", "It's hot, stop."),
    ("No. Never do that.", "No. Never do that."),
    ("Watch it for 30 min.", "Watch it for thirty minutes."),
    ("oil/grease (any)", "Oil or grease, any."),
    ("lean \u2265 45\u00b0", "Lean at least forty five degrees."),
    ("mid-twentieth-century", "Mid twentieth century."),
    ("Stop. Close it", "Stop. Close it."),
    ("Is it clean?", "Is it clean?"),
    ("", ""),
    ("?!...", ""),
]  # fmt: skip


def test_shorthand_is_read_as_it_is_said() -> None:
    wrong = {text: for_the_ear(text) for text, said in ROWS if for_the_ear(text) != said}
    assert not wrong


def test_whole_numbers_are_those_of_the_reference_library() -> None:
    # num2words, a general-purpose library, without its commas and hyphens.
    for n in range(2, 3000, 7):
        theirs = str(num2words(n)).replace(",", "").replace("-", " ")  # type: ignore[no-untyped-call]
        assert for_the_ear(f"at {n} psi").lower() == f"at {theirs} p s i."


@given(st.text())
def test_whatever_is_written_only_letters_and_stops_are_read(text: str) -> None:
    said = for_the_ear(text)
    assert re.fullmatch(r"(?:[A-Z][A-Za-z' ,.?]*[.?])?", said)


def test_sections_are_said_without_their_letters_run_together() -> None:
    assert designation_words("HSS6X6X3/8") == "h s s six by six by three eighths"
    assert designation_words("MC8X18.7") == "m c eight by eighteen point seven"
    assert designation_words("IPE200") == "i p e two hundred"


def test_only_whole_numbers_with_a_twin_are_read_both_ways() -> None:
    rows = {
        "fifteen millimetre plate": "fifteen, one five, millimetre plate",
        "schedule forty": "schedule forty, four oh",
        "thirteen sixteenths inch": "thirteen sixteenths inch",
        "fourteen and a half inch": "fourteen and a half inch",
        "twelve by twenty six": "twelve by twenty six",
        "one hundred and fifty foot hose": "one hundred and fifty, one five oh, foot hose",
        "point one five inch": "point one five inch",
        "": "",
    }
    assert {text: read_both_ways(text) for text in rows} == rows


def test_a_second_section_of_a_rule_is_said_as_one_too() -> None:
    said = for_the_ear("The rule is 29 CFR 1926.353(c) and 1926.354")
    assert said == (
        "The rule is twenty nine C F R nineteen twenty six point three five three, paragraph C"
        " and nineteen twenty six point three five four."
    )
