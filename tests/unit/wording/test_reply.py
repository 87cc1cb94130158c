"""Golden sentences: what is said for replies made by hand, word for word."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.spoken_numbers import digits_aloud
from handsfree.values import (
    About,
    Answer,
    BoxChange,
    Conversion,
    Figure,
    Fit,
    Fuel,
    NotUnderstood,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Shape,
    Status,
    TipOnHand,
    Told,
    Words,
    YesKind,
    YesTo,
)
from handsfree.values.reply import Asks
from handsfree.values.units import (
    Quantity,
    cubic_feet_an_hour,
    degrees,
    feet,
    inches,
    inches_a_minute,
    millimetres,
    psi,
    registry,
)
from handsfree.wording.reply import MORE, choices, read_back, told

FIT_FOR_THE_EAR = re.compile(r"[A-Z][A-Za-z' ,]*(?:[.?] [A-Z][A-Za-z' ,]*)*[.?]")
CITATIONS = {
    "handbook": "A handbook of 1950, table 7",
    "course": "A trade course, p. 24",
    "rule": "29 CFR 1910.253, Oxygen-fuel gas welding and cutting",
    "own": "Our own calculation",
}
PLATE = Piece(shape=Shape.PLATE, thickness=inches(0.75))
QUARTER_TIP = TipOnHand(made_for=(inches(0.25), inches(0.25)))
ASKED = Request(About.SETTING, piece=PLATE, tip=QUARTER_TIP, fuel=Fuel.ACETYLENE)
HEARD = Words("three quarter plate with a quarter inch tip", 0.97)


def figure(
    name: str,
    low: Quantity,
    high: Quantity,
    note: str = "",
    source: str = "handbook",
    status: Status = Status.READ,
) -> Figure:
    return Figure(name, low, high, source, status, note)


def say(reply: Reply, words: Words = HEARD) -> Told:
    return told(words, reply, CITATIONS.__getitem__)


SETTING = Answer(
    ASKED,
    figures=(
        figure("oxygen_pressure", psi(24), psi(35), "at the regulator"),
        figure("fuel_pressure", psi(4), psi(5), "acetylene", "course", Status.COMMON_PRACTICE),
        figure("travel_speed", inches_a_minute(12), inches_a_minute(14.5)),
        figure("kerf", inches(0.06), inches(0.08), status=Status.MEMORY),
    ),
    technique=("Keep the cones 1/16-1/8 in off the steel",),
    cautions=("Acetylene never above 15 psi.", "Keep a fire watch."),
    notes=("The table is for clean steel.",),
    fit=Fit.RIGHT,
    thickness=inches(0.75),
    sources=("handbook",),
)


def test_a_setting_opens_with_the_read_back_and_stops_after_three_figures() -> None:
    reply = say(SETTING)
    assert reply.kind == "answer"
    assert reply.understood == (
        "three quarter inch plate, acetylene, tip made for quarter inch plate"
    )
    assert reply.sentences == (
        "Three quarter inch plate, acetylene, tip made for quarter inch plate.",
        "The tip is right.",
        "Cutting oxygen, twenty four to thirty five p s i, at the regulator.",
        "Acetylene, four to five p s i.",
        "Travel, twelve to fourteen and a half inches a minute.",
        "Acetylene never above fifteen p s i.",
        "More?",
    )
    assert reply.more == (
        "Keep the cones one sixteenth to one eighth inch off the steel.",
        "Keep a fire watch.",
        "The table is for clean steel.",
        "Common practice, no published source, acetylene.",
        "Source, a handbook of nineteen fifty, table seven, and a trade course, page twenty four.",
    )


def test_a_setting_is_shown_in_figures_with_its_sources() -> None:
    reply = say(SETTING)
    assert [(f.label, f.digits, f.unit) for f in reply.figures] == [
        ("cutting oxygen", "24-35", "psi"),
        ("acetylene", "4-5", "psi"),
        ("travel", "12-14 1/2", "in/min"),
        ("kerf", "0.06-0.08", "in"),
    ]
    assert reply.sources == ("A handbook of 1950, table 7", "A trade course, p. 24")
    assert reply.technique == ("Keep the cones 1/16-1/8 in off the steel",)
    assert reply.cautions == ("Acetylene never above 15 psi.", "Keep a fire watch.")
    assert (reply.heard, reply.sureness, reply.about) == (HEARD.text, 0.97, "setting")


def test_a_tip_too_small_is_said_before_any_figure() -> None:
    reply = say(
        Answer(
            ASKED,
            figures=(
                figure("travel_speed", inches_a_minute(4), inches_a_minute(5), "separation only"),
            ),
            technique=("Preheat heavily.", "Weave to widen the kerf."),
            cautions=("Slag can blow back.",),
            fit=Fit.TOO_SMALL,
        )
    )
    assert reply.sentences == (
        "Three quarter inch plate, acetylene, tip made for quarter inch plate.",
        "The tip is too small.",
        "Preheat heavily.",
        "Travel, four to five inches a minute, separation only.",
        "Slag can blow back.",
        "More?",
    )
    assert reply.more == (
        "Weave to widen the kerf.",
        "Source, a handbook of nineteen fifty, table seven.",
    )


def test_a_technique_that_names_the_fit_is_not_said_twice() -> None:
    reply = say(Answer(ASKED, technique=("The tip is too small. Go slowly.",), fit=Fit.TOO_SMALL))
    assert reply.sentences[1:] == ("The tip is too small. Go slowly.",)


def test_technique_is_said_at_once_when_it_was_asked_for() -> None:
    asked = Request(
        About.TECHNIQUE,
        piece=Piece(thickness=inches(0.25)),
        tip=TipOnHand(made_for=(inches(0), inches(2))),
        defaults=("plate",),
    )
    reply = say(
        Answer(
            asked,
            figures=(
                figure("lean", degrees(70), degrees(75), "from square"),
                figure(
                    "path",
                    inches(0.731),
                    inches(0.731),
                    "through the steel",
                    "own",
                    Status.COMPUTED,
                ),
            ),
            technique=(
                "Lean it over.",
                "Lean along the line.",
                "Move off at once.",
                "Watch the face.",
            ),
            cautions=("It throws sparks far ahead.",),
            fit=Fit.TOO_LARGE,
        )
    )
    assert reply.sentences == (
        "Technique, quarter inch plate, tip made for up to two inch plate.",
        "The tip is too large.",
        "Lean it over.",
        "Lean the torch, seventy to seventy five degrees, from square.",
        "Path through the steel, point seven three inch.",
        "Lean along the line.",
        "Move off at once.",
        "It throws sparks far ahead.",
        "More?",
    )
    assert reply.more == (
        "Watch the face.",
        "Worked out, not from a table, path through the steel.",
        "Source, a handbook of nineteen fifty, table seven, and our own calculation.",
    )


def test_numbers_with_a_twin_are_read_back_both_ways_and_shown_once() -> None:
    asked = Request(
        About.OXYGEN_PRESSURE,
        piece=Piece(shape=Shape.PLATE, thickness=millimetres(15)),
        tip=TipOnHand(drill=60),
        hose_length=feet(50),
    )
    reply = say(Answer(asked, figures=(figure("oxygen_pressure", psi(30), psi(40)),)))
    assert reply.understood == (
        "oxygen pressure, fifteen millimetre plate, tip number sixty drill, fifty foot hose"
    )
    assert reply.sentences[:2] == (
        "Oxygen pressure, fifteen, one five, millimetre plate, tip number sixty, six oh, drill, "
        "fifty, five oh, foot hose.",
        "Cutting oxygen, thirty to forty p s i.",
    )


def test_a_section_is_read_back_with_the_part_that_the_table_took() -> None:
    asked = Request(About.SETTING, piece=Piece(shape=Shape.BEAM, designation="W14X30"))
    answer = Answer(asked, thickness=inches(0.385), thickness_name="W14X30 flange")
    assert say(answer).sentences[0] == (
        "W fourteen, one four, by thirty, three oh, beam, flange point three eight five inch."
    )


def test_a_conversion_answers_in_the_unit_asked_for() -> None:
    asked = Request(About.CONVERT, conversion=Conversion(millimetres(12), "in"))
    reply = say(
        Answer(
            asked,
            figures=(
                figure(
                    "length", inches(0.47244), inches(0.47244), source="own", status=Status.READ
                ),
            ),
        )
    )
    assert reply.sentences[:2] == (
        "Twelve millimetres in inches.",
        "Length, point four seven two four inch.",
    )
    assert (reply.figures[0].digits, reply.figures[0].unit) == ("0.4724", "in")


def test_a_shade_has_no_unit_in_speech_and_one_for_programs() -> None:
    asked = Request(About.SHADE, piece=PLATE)
    shade = registry.Quantity(3.0, ""), registry.Quantity(4.0, "")
    reply = say(Answer(asked, figures=(figure("shade", *shade, source="rule"),)))
    assert reply.sentences[1] == "Filter shade, three to four."
    assert (reply.figures[0].digits, reply.figures[0].unit) == ("3-4", "shade")


def test_a_question_offers_its_choices_both_ways() -> None:
    asked = Request(About.SETTING, fuel=Fuel.PROPANE)
    reply = say(
        Question(
            asked, Asks.THICKNESS, "Which did you say", ("fifteen millimetres", "fifty millimetres")
        )
    )
    assert reply.kind == "question"
    assert reply.sentences == (
        "Propane.",
        "Which did you say.",
        "Fifteen, one five, millimetres, or fifty, five oh, millimetres?",
    )
    assert reply.options == ("fifteen millimetres", "fifty millimetres")


def test_two_bare_numbers_are_offered_as_in_the_trade() -> None:
    assert choices(("fifteen", "fifty")) == "Fifteen, one five, or fifty, five oh?"


def test_choices_that_the_prompt_names_are_not_said_again() -> None:
    reply = say(Question(None, Asks.CONFIRM, "Is that right, yes or no?", ("yes", "no")))
    assert reply.sentences == ("Is that right, yes or no?",)


def test_more_than_four_choices_wait_for_more() -> None:
    options = ("schedule forty", "extra strong", "standard wall", "schedule ten", "schedule eighty")
    reply = say(Question(None, Asks.SCHEDULE, "Which schedule?", options))
    assert reply.sentences[-1] == MORE
    assert reply.more == ("Schedule eighty, eight oh?",)


def test_a_refusal_gives_reason_rule_and_what_to_do() -> None:
    reply = say(
        Refusal(
            Request(
                About.FUEL_PRESSURE, asked_pressure=psi(20), asked_gas="fuel", fuel=Fuel.ACETYLENE
            ),
            "Acetylene above 15 psi can explode by itself.",
            "29 CFR 1910.253(a)(2)",
            ("Keep acetylene under 15 psi at the gauge.",),
            ("rule",),
        )
    )
    assert reply.kind == "refusal"
    assert reply.sentences == (
        "Fuel pressure, acetylene at twenty p s i.",
        "Acetylene above fifteen p s i can explode by itself.",
        "Keep acetylene under fifteen p s i at the gauge.",
        "The rule is twenty nine C F R nineteen ten point two five three, paragraph A two.",
    )
    assert reply.sources == ("29 CFR 1910.253(a)(2)", CITATIONS["rule"])
    assert reply.technique == ("Keep acetylene under 15 psi at the gauge.",)


RULE = "WAC 296-307-48011(2), copy of 29 CFR 1910.253(b)(5)(i)"


def test_a_refusal_of_an_unsafe_wish_names_it() -> None:
    asked = Request(About.SETTING, hazards=("light_with_match",))
    reply = say(Refusal(asked, "A match puts your hand in the gas.", RULE))
    assert reply.sentences == (
        "Not safe, light with match.",
        "A match puts your hand in the gas.",
        "The rule is twenty nine C F R nineteen ten point two five three, paragraph B five.",
    )


def test_every_step_of_a_list_is_said_in_order_after_the_caution() -> None:
    reply = say(
        Answer(
            Request(About.STEPS, steps="leak_test"),
            cautions=("Never with a flame.",),
            steps=("Brush on soapy water.", "Look for bubbles.", "Shut off if it leaks."),
        )
    )
    assert reply.kind == "steps"
    assert reply.sentences == (
        "Leak test.",
        "Never with a flame.",
        "Step one. Brush on soapy water.",
        "Step two. Look for bubbles.",
        "Step three. Shut off if it leaks.",
    )
    assert reply.technique == (
        "Brush on soapy water.",
        "Look for bubbles.",
        "Shut off if it leaks.",
    )


def test_an_emergency_opens_with_its_first_action() -> None:
    reply = say(
        Answer(
            Request(About.STEPS, steps="flashback"),
            cautions=("Do not relight until the cause is found.",),
            steps=("Close the torch oxygen valve at once.", "Close the fuel."),
        )
    )
    assert reply.sentences == (
        "Flashback.",
        "Step one. Close the torch oxygen valve at once.",
        "Step two. Close the fuel.",
        "Do not relight until the cause is found.",
    )


def test_what_is_not_understood_says_what_can_be_said() -> None:
    reply = say(
        NotUnderstood("bucket", "I heard no request.", ("half inch plate, what do i set", "help"))
    )
    assert reply.kind == "not_understood"
    assert reply.sentences == (
        "I heard no request.",
        "You can say, half inch plate, what do i set.",
        "Or, help.",
    )
    assert (reply.understood, reply.about, reply.request) == ("", "", ())


def test_what_was_confirmed_is_read_back_and_not_called_assumed() -> None:
    coating = YesTo(YesKind.COATING, PLATE)
    asked = Request(About.SETTING, piece=PLATE, confirmed=(coating,), defaults=("setting", "plate"))
    reply = say(Answer(asked))
    assert reply.sentences[0] == "Three quarter inch plate, coating confirmed."
    assert reply.notes == ("Not said, taken as read: plate.",)
    assert reply.more == ()


def test_a_change_to_the_tip_box_is_read_back() -> None:
    asked = Request(
        About.TIP_BOX,
        change=BoxChange.ADD,
        tip=TipOnHand(stamp="00", bore=inches(0.0465)),
    )
    assert say(Answer(asked, technique=("Added.",))).sentences == (
        "Tip box, add, tip stamped double ought, bore point oh four six five inch.",
        "Added.",
    )


QUANTITIES = st.sampled_from(
    [psi, inches, inches_a_minute, degrees, cubic_feet_an_hour, millimetres, feet]
)
FIGURES = st.builds(
    lambda name, make, low, wide, note: figure(name, make(low), make(low + wide), note),
    st.sampled_from(["pressure", "length", "thickness", "weight", "kerf", "time", "bore", "lean"]),
    QUANTITIES,
    st.floats(0, 5000, allow_nan=False),
    st.floats(0, 500, allow_nan=False),
    st.text(max_size=20),
)
PIECES = st.builds(
    Piece,
    shape=st.none() | st.sampled_from(Shape),
    thickness=st.none() | st.floats(-5, 500).map(millimetres),
    gauge=st.none() | st.integers(1, 40),
    nominal=st.none() | st.fractions(Fraction(1, 8), 48, max_denominator=8),
    schedule=st.none() | st.sampled_from(["40", "STD", "XS", "10S", "?", ""]),
    designation=st.none() | st.sampled_from(["W10X33", "L4X4X3/8", "HSS6X6X3/8", "X", "", "M"]),
    outside=st.lists(st.floats(1, 500).map(millimetres), max_size=3).map(tuple),
    closed=st.booleans(),
)
REQUESTS = st.builds(
    Request,
    st.sampled_from(About),
    piece=st.none() | PIECES,
    tip=st.none()
    | st.builds(
        TipOnHand,
        stamp=st.none() | st.text(max_size=4),
        bore=st.none() | st.floats(0, 5).map(inches),
        drill=st.none() | st.integers(1, 80),
    ),
    fuel=st.none() | st.sampled_from(Fuel),
    steps=st.none() | st.text(max_size=10),
    hazards=st.lists(st.text(max_size=10), max_size=2).map(tuple),
    defaults=st.lists(st.text(max_size=10), max_size=2).map(tuple),
)
TEXTS = st.lists(st.text(max_size=60), max_size=4).map(tuple)
REPLIES: st.SearchStrategy[Reply] = (
    st.builds(
        Answer,
        REQUESTS,
        figures=st.lists(FIGURES, max_size=5).map(tuple),
        technique=TEXTS,
        cautions=TEXTS,
        notes=TEXTS,
        fit=st.sampled_from(Fit),
        thickness=st.none() | st.floats(0.1, 500).map(millimetres),
        thickness_name=st.text(max_size=12),
        steps=TEXTS,
    )
    | st.builds(Question, st.none() | REQUESTS, st.text(), st.text(), TEXTS)
    | st.builds(Refusal, st.none() | REQUESTS, st.text(), st.text(), TEXTS)
    | st.builds(NotUnderstood, st.text(), st.text(), TEXTS)
)


@given(REPLIES, st.text())
def test_no_sentence_holds_a_figure_or_a_sign_whatever_the_reply(reply: Reply, heard: str) -> None:
    said = told(Words(heard, 0.5), reply, CITATIONS.__getitem__)
    for sentence in (*said.sentences, *said.more):
        assert FIT_FOR_THE_EAR.fullmatch(sentence), sentence
    assert re.fullmatch(r"[a-z', ]*", said.understood)


@pytest.mark.parametrize("n", [*range(13, 20), *range(30, 100, 10)])
def test_a_number_with_a_twin_never_goes_back_in_one_way_only(n: int) -> None:
    piece = Piece(shape=Shape.PLATE, thickness=millimetres(n))
    sentence = say(Question(Request(About.SETTING, piece=piece), Asks.TIP, "Which tip?")).sentences[
        0
    ]
    assert sentence == f"{digits_aloud(n).capitalize()}, millimetre plate."


def test_nothing_understood_is_not_read_back() -> None:
    assert read_back("") == ()
