"""The talk: what stays open, what waits for a yes, and what closes it."""

from dataclasses import replace
from fractions import Fraction

import pytest

from handsfree.dialogue.talk import SURE_OF_A_YES, step
from handsfree.dialogue.talk_state import (
    AnswerIt,
    Between,
    ConfirmFirst,
    DoIt,
    KeepIt,
    SayIt,
    Talk,
    asked,
)
from handsfree.values import (
    About,
    BoxChange,
    Consent,
    Control,
    Conversion,
    Fuel,
    Metal,
    NotUnderstood,
    Pick,
    Piece,
    Question,
    Request,
    Shape,
    Task,
    TipOnHand,
    YesKind,
    YesTo,
)
from handsfree.values.reply import Asks
from handsfree.values.units import inches

HALF = Piece(thickness=inches(0.5))
SPEED = Request(About.TRAVEL_SPEED, fuel=Fuel.PROPANE)
SPEED_OF_HALF = Request(About.TRAVEL_SPEED, piece=HALF, fuel=Fuel.PROPANE)
HOW_THICK = Question(SPEED, Asks.THICKNESS, "How thick is it?")
JUST_HALF = Request(About.SETTING, piece=HALF, defaults=("setting",))
ADD = Request(
    About.TIP_BOX,
    tip=TipOnHand(stamp="1", made_for=(inches(0.5), inches(0.5))),
    change=BoxChange.ADD,
)


def test_a_thickness_fills_the_gap_that_was_asked_about() -> None:
    talk, effect = step(Talk(asked=HOW_THICK), JUST_HALF)
    assert effect == AnswerIt(replace(SPEED, piece=HALF))
    assert talk == Talk(last=replace(SPEED, piece=HALF))


def test_a_new_request_closes_the_open_question() -> None:
    kerf = Request(About.KERF, piece=HALF)
    assert step(Talk(asked=HOW_THICK), kerf) == (Talk(last=kerf), AnswerIt(kerf))


def test_a_filled_gap_keeps_what_was_said_of_the_piece() -> None:
    question = Question(
        replace(SPEED, piece=Piece(shape=Shape.SQUARE_TUBE, designation="HSS4X4")),
        Asks.THICKNESS,
        "?",
    )
    wall = Request(About.SETTING, piece=HALF, defaults=("setting",))
    _, effect = step(Talk(asked=question), wall)
    assert isinstance(effect, AnswerIt)
    assert effect.request.piece == Piece(shape=Shape.SQUARE_TUBE, thickness=inches(0.5))
    assert effect.request.fuel is Fuel.PROPANE


def test_words_not_understood_leave_the_question_open() -> None:
    muttered = NotUnderstood("mutter", "I heard no request.")
    assert step(Talk(asked=HOW_THICK), muttered) == (Talk(asked=HOW_THICK), SayIt(muttered))


@pytest.mark.parametrize("sureness", [1.0, 0.95])
@pytest.mark.parametrize("change", [None, *BoxChange])
@pytest.mark.parametrize("about", [About.TIP_BOX, About.RIG])
def test_a_change_waits_for_a_yes_heard_or_typed(
    about: About, change: BoxChange | None, sureness: float
) -> None:
    wanted = replace(ADD, about=about, change=change)
    talk, effect = step(Talk(), wanted, sureness)
    if change is BoxChange.SHOW:
        assert effect == AnswerIt(wanted)
        return
    assert effect == ConfirmFirst(wanted)
    assert step(talk, Consent(True), 0.9) == (Talk(), KeepIt(wanted))


def test_a_no_drops_the_change() -> None:
    talk, effect = step(Talk(change=ADD), Consent(False))
    assert talk == Talk()
    assert isinstance(effect, SayIt)


def test_silence_and_talk_are_never_a_yes() -> None:
    waiting = Talk(change=ADD)
    talk, _ = step(waiting, NotUnderstood("", "I heard no request."))
    assert talk == waiting
    talk, effect = step(waiting, JUST_HALF)
    assert effect == AnswerIt(JUST_HALF), "another request is answered, the change is dropped"
    assert talk == Talk(last=JUST_HALF)


def test_a_yes_without_a_question_does_nothing() -> None:
    talk, effect = step(Talk(), Consent(True))
    assert talk == Talk()
    assert isinstance(effect, SayIt)


def test_a_yes_to_a_coating_answers_the_request_it_was_asked_about() -> None:
    stripped = YesTo(YesKind.COATING, HALF)
    coated = Question(JUST_HALF, Asks.CONFIRM, "Stripped?", ("yes", "no"), yes_to=stripped)
    talk = asked(Talk(), coated, Talk())
    confirmed = replace(JUST_HALF, confirmed=(stripped,))
    assert step(talk, Consent(True)) == (Talk(last=JUST_HALF), AnswerIt(confirmed))


def test_a_yes_to_an_open_question_confirms_nothing() -> None:
    _, effect = step(Talk(asked=HOW_THICK), Consent(True))
    assert isinstance(effect, SayIt)


def test_showing_the_box_needs_no_yes() -> None:
    show = Request(About.TIP_BOX, change=BoxChange.SHOW)
    assert step(Talk(), show, sureness=0.5) == (Talk(), AnswerIt(show))


def test_an_unsafe_wish_is_answered_at_once_even_inside_a_change() -> None:
    unsafe = replace(ADD, hazards=("oil_on_oxygen",))
    assert step(Talk(), unsafe, sureness=0.5) == (Talk(), AnswerIt(unsafe))


def test_what_about_keeps_all_else_of_the_last_request() -> None:
    first = replace(SPEED, piece=Piece(shape=Shape.PLATE, thickness=inches(0.75)))
    talk, _ = step(Talk(), first)
    about_half = replace(JUST_HALF, follows=True)
    after, effect = step(talk, about_half)
    wanted = replace(first, piece=Piece(shape=Shape.PLATE, thickness=inches(0.5)))
    assert effect == AnswerIt(wanted)
    assert after.last == wanted


def test_and_the_kerf_asks_another_thing_of_the_same_steel() -> None:
    talk, _ = step(Talk(), replace(SPEED, piece=HALF))
    _, effect = step(talk, Request(About.KERF, follows=True))
    assert effect == AnswerIt(Request(About.KERF, piece=HALF, fuel=Fuel.PROPANE))


def test_no_three_eighths_corrects_the_open_question() -> None:
    talk = Talk(asked=Question(replace(SPEED, piece=HALF), Asks.THICKNESS, "How thick?"))
    _, effect = step(talk, replace(JUST_HALF, piece=Piece(thickness=inches(0.375)), follows=True))
    assert isinstance(effect, AnswerIt)
    assert effect.request.about is About.TRAVEL_SPEED
    assert effect.request.piece == Piece(thickness=inches(0.375))


def test_what_about_with_nothing_before_it_is_a_request_of_its_own() -> None:
    _, effect = step(Talk(), replace(JUST_HALF, follows=True))
    assert effect == AnswerIt(JUST_HALF)


def test_a_word_about_the_talk_changes_nothing_in_it() -> None:
    talk = Talk(asked=HOW_THICK, last=SPEED)
    assert step(talk, Control.AGAIN) == (talk, DoIt(Control.AGAIN))


def test_a_doubtful_yes_keeps_nothing_and_is_asked_for_again() -> None:
    waiting = Talk(change=ADD)
    talk, effect = step(waiting, Consent(True), SURE_OF_A_YES - 0.01)
    assert talk == waiting
    assert isinstance(effect, SayIt)
    _, effect = step(talk, Consent(True), SURE_OF_A_YES)
    assert effect == KeepIt(ADD)


def test_a_doubtful_no_drops_the_change_all_the_same() -> None:
    talk, _ = step(Talk(change=ADD), Consent(False), 0.4)
    assert talk == Talk()


def test_the_plate_of_a_tip_is_not_taken_for_the_plate_to_be_cut() -> None:
    stamped = replace(SPEED, piece=HALF, tip=TipOnHand(stamp="2"))
    talk = Talk(asked=Question(stamped, Asks.TIP, "What plate is it made for?"))
    inch = (inches(1), inches(1))
    just_an_inch = replace(JUST_HALF, piece=Piece(thickness=inches(1)))
    _, effect = step(talk, just_an_inch)
    assert effect == AnswerIt(replace(stamped, tip=TipOnHand(stamp="2", made_for=inch)))


def test_a_correction_while_a_tip_is_asked_about_is_the_steels() -> None:
    stamped = replace(SPEED, piece=HALF, tip=TipOnHand(stamp="2"))
    talk = Talk(asked=Question(stamped, Asks.TIP, "What plate is it made for?"))
    _, effect = step(talk, replace(JUST_HALF, piece=Piece(thickness=inches(1)), follows=True))
    assert isinstance(effect, AnswerIt)
    assert effect.request.piece == Piece(thickness=inches(1))
    assert effect.request.tip == TipOnHand(stamp="2")


def test_a_change_that_is_corrected_is_read_back_again() -> None:
    corrected = replace(JUST_HALF, piece=Piece(thickness=inches(0.75)), follows=True)
    talk, effect = step(Talk(change=ADD), corrected, 0.95)
    wanted = replace(ADD, tip=TipOnHand(stamp="1", made_for=(inches(0.75), inches(0.75))))
    assert effect == ConfirmFirst(wanted)
    assert talk.change == wanted


def test_help_puts_an_open_question_again_and_leaves_it_open() -> None:
    for open_talk, again in (
        (Talk(asked=HOW_THICK), SayIt(HOW_THICK)),
        (Talk(change=ADD), ConfirmFirst(ADD)),
    ):
        assert step(open_talk, Request(About.HELP)) == (open_talk, again)


def test_a_no_to_an_open_question_closes_it() -> None:
    talk, effect = step(Talk(asked=HOW_THICK), Consent(False))
    assert talk == Talk()
    assert isinstance(effect, SayIt)


def test_a_doubtful_answer_fills_the_gap_that_was_asked_about_once_it_is_confirmed() -> None:
    doubt = Between(Question(JUST_HALF, Asks.READING, "Half?", ("yes", "no")), (JUST_HALF,))
    talk, effect = step(Talk(asked=HOW_THICK), doubt, 0.6)
    assert isinstance(effect, SayIt)
    _, effect = step(talk, Consent(True), 0.95)
    assert effect == AnswerIt(replace(SPEED, piece=HALF))


def test_a_no_to_a_doubt_goes_back_to_the_question_before_it() -> None:
    doubt = Between(Question(JUST_HALF, Asks.READING, "Half?", ("yes", "no")), (JUST_HALF,))
    waiting = Talk(asked=HOW_THICK)
    talk, _ = step(waiting, doubt, 0.6)
    talk, effect = step(talk, Consent(False), 0.95)
    assert isinstance(effect, SayIt)
    assert talk == waiting
    _, effect = step(talk, JUST_HALF)
    assert effect == AnswerIt(replace(SPEED, piece=HALF))


def test_a_doubtful_correction_keeps_all_else_once_it_is_confirmed() -> None:
    inch = replace(JUST_HALF, piece=Piece(thickness=inches(1)), follows=True)
    doubt = Between(Question(inch, Asks.READING, "One inch?", ("yes", "no")), (inch,))
    talk, _ = step(Talk(last=SPEED_OF_HALF), doubt, 0.6)
    _, effect = step(talk, Consent(True), 0.95)
    assert effect == AnswerIt(replace(SPEED, piece=Piece(thickness=inches(1))))


def test_one_of_two_readings_is_picked_by_its_place() -> None:
    readings = (replace(SPEED, piece=HALF), replace(SPEED, piece=Piece(thickness=inches(1))))
    talk = Talk(asked=Question(None, Asks.READING, "Which?", ("a", "b")), choices=readings)
    assert step(talk, Pick("2"), 0.9)[1] == AnswerIt(readings[1])
    assert isinstance(step(talk, Pick("3"), 0.9)[1], SayIt)


def test_the_same_is_the_steel_of_the_request_before() -> None:
    before = replace(SPEED, piece=HALF)
    shade = Request(About.SHADE)
    talk = Talk(asked=Question(shade, Asks.THICKNESS, "How thick?"), last=before)
    assert step(talk, Pick("same"))[1] == AnswerIt(replace(shade, piece=HALF))
    assert isinstance(step(replace(talk, last=None), Pick("same"))[1], SayIt)


def test_a_question_without_steel_does_not_take_the_place_of_the_last_cut() -> None:
    before = replace(SPEED, piece=HALF)
    talk, _ = step(Talk(last=before), Request(About.SHADE))
    assert talk.last == before


def test_and_three_quarters_goes_on_from_a_conversion_and_a_plate_does_not() -> None:
    told = Request(About.CONVERT, conversion=Conversion(inches(0.625), "mm"))
    cut = replace(SPEED, piece=HALF)
    talk, _ = step(Talk(last=cut), told)
    size = Piece(thickness=inches(0.75))
    _, effect = step(talk, replace(JUST_HALF, piece=size, follows=True))
    assert effect == AnswerIt(replace(told, conversion=Conversion(inches(0.75), "mm")))
    plate = replace(size, shape=Shape.PLATE)
    _, effect = step(talk, replace(JUST_HALF, piece=plate, follows=True))
    assert effect == AnswerIt(replace(cut, piece=plate))


def test_what_about_mild_steel_makes_the_metal_plain_again() -> None:
    stainless = replace(SPEED, piece=replace(HALF, metal=Metal.STAINLESS_STEEL))
    mild = Request(About.SETTING, piece=Piece(), follows=True, back_to_plain=("metal",))
    _, effect = step(Talk(last=stainless), replace(mild, defaults=("setting",)))
    assert effect == AnswerIt(SPEED_OF_HALF)


def test_a_bare_size_is_that_of_the_hole_that_was_asked_about() -> None:
    hole = Request(About.CUT_ORDER, piece=HALF, task=Task.HOLE)
    open_talk = Talk(asked=Question(hole, Asks.HOLE, "How wide is the hole?"))
    two = Request(About.SETTING, piece=Piece(thickness=inches(2)), defaults=("setting",))
    assert step(open_talk, two)[1] == AnswerIt(replace(hole, cut_length=inches(2)))


def test_a_bare_size_is_that_of_the_pipe_that_a_branch_was_asked_to_sit_on() -> None:
    branch = Piece(nominal=Fraction(4), schedule="40")
    saddled = Request(About.CUT_ORDER, piece=branch, header=Fraction(0))
    open_talk = Talk(asked=Question(saddled, Asks.HEADER, "Onto which size?"))
    eight = Request(About.SETTING, piece=Piece(thickness=inches(8)), defaults=("setting",))
    assert step(open_talk, eight)[1] == AnswerIt(replace(saddled, header=Fraction(8)))
