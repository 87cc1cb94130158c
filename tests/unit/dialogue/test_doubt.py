"""Words that were not heard surely: taken, asked about, or to be said again."""

from dataclasses import replace

import pytest

from handsfree.dialogue.doubt import (
    ASK_FROM,
    TAKE_FROM,
    URGENT_FROM,
    Verdict,
    least_sureness,
    weigh,
)
from handsfree.dialogue.talk import step
from handsfree.dialogue.talk_state import AnswerIt, Between, SayIt, Talk
from handsfree.values import (
    About,
    Consent,
    Control,
    NotUnderstood,
    Piece,
    Question,
    Request,
    Shape,
)
from handsfree.values.reply import Asks
from handsfree.values.units import inches, millimetres

FIFTEEN = Request(About.SETTING, piece=Piece(shape=Shape.PLATE, thickness=millimetres(15)))
FIFTY = Request(About.SETTING, piece=Piece(shape=Shape.PLATE, thickness=millimetres(50)))
EIGHTY_INCH = Request(About.SETTING, piece=Piece(thickness=inches(80)))
FLASHBACK = Request(About.STEPS, steps="flashback")
WHICH = Question(None, Asks.READING, "Which did you say?", ("fifteen", "fifty"))
SURE, DOUBTFUL, HARDLY = TAKE_FROM + 0.05, (TAKE_FROM + ASK_FROM) / 2, ASK_FROM - 0.05


def sane(request: Request) -> bool:
    return request is not EIGHTY_INCH


def test_sure_words_are_taken() -> None:
    assert weigh(SURE, (FIFTEEN, FIFTY), sane) == (Verdict.TAKE, (FIFTEEN,))


def test_doubtful_words_are_asked_about() -> None:
    assert weigh(DOUBTFUL, (FIFTEEN, FIFTY), sane) == (Verdict.ASK, (FIFTEEN, FIFTY))
    assert weigh(DOUBTFUL, (FIFTEEN,), sane) == (Verdict.ASK, (FIFTEEN,))


def test_hardly_heard_words_are_to_be_said_again() -> None:
    assert weigh(HARDLY, (FIFTEEN, FIFTY), sane) == (Verdict.AGAIN, ())
    assert weigh(SURE, (), sane) == (Verdict.AGAIN, ())


def test_what_cannot_be_gives_way_to_what_can_and_is_never_taken_unasked() -> None:
    assert weigh(SURE, (EIGHTY_INCH, FIFTEEN), sane) == (Verdict.ASK, (FIFTEEN,))


def test_what_cannot_be_and_has_no_rival_goes_to_the_engine_which_asks() -> None:
    assert weigh(SURE, (EIGHTY_INCH,), sane) == (Verdict.TAKE, (EIGHTY_INCH,))


@pytest.mark.parametrize(
    "urgent", [FLASHBACK, Request(About.SETTING, hazards=("light_with_match",))]
)
def test_an_emergency_or_unsafe_wish_is_taken_sooner_than_others(urgent: Request) -> None:
    assert weigh(DOUBTFUL, (urgent, FIFTEEN), sane) == (Verdict.TAKE, (urgent,))
    assert weigh(URGENT_FROM - 0.05, (urgent,), sane) == (Verdict.ASK, (urgent,))
    assert weigh(HARDLY, (urgent,), sane) == (Verdict.AGAIN, ())


@pytest.mark.parametrize(
    "urgent", [FLASHBACK, Request(About.SETTING, hazards=("light_with_match",))]
)
def test_what_may_have_been_an_emergency_is_asked_about_first(urgent: Request) -> None:
    asked = (Verdict.ASK, (urgent, FIFTEEN))
    assert weigh(DOUBTFUL, (FIFTEEN, FIFTY, urgent), sane) == asked
    assert weigh(SURE, (FIFTEEN, urgent), sane) == (Verdict.TAKE, (FIFTEEN,))


def test_what_is_no_request_is_not_acted_upon_unless_it_was_heard_surely() -> None:
    assert least_sureness(Control.AGAIN) == TAKE_FROM
    # A yes is weighed again where something hangs on it; falling silent hurts nobody.
    for harmless in (WHICH, Consent(True), Control.STOP):
        assert least_sureness(harmless) == ASK_FROM
    assert least_sureness(NotUnderstood("", "", ())) == 0.0


def test_the_one_that_was_meant_is_said_again_by_its_number() -> None:
    talk, effect = step(Talk(), Between(WHICH, (FIFTEEN, FIFTY)), DOUBTFUL)
    assert effect == SayIt(WHICH)
    fifty = Request(About.SETTING, piece=Piece(thickness=millimetres(50)), defaults=("setting",))
    assert step(talk, fifty, SURE) == (Talk(last=FIFTY), AnswerIt(FIFTY))


def test_a_yes_to_two_choices_chooses_neither() -> None:
    talk = Talk(asked=WHICH, choices=(FIFTEEN, FIFTY))
    after, effect = step(talk, Consent(True), SURE)
    assert after == talk
    assert isinstance(effect, SayIt)


def test_a_yes_to_one_choice_takes_it_and_a_no_drops_it() -> None:
    talk = Talk(asked=replace(WHICH, request=FIFTEEN), choices=(FIFTEEN,))
    assert step(talk, Consent(True), SURE) == (Talk(last=FIFTEEN), AnswerIt(FIFTEEN))
    after, effect = step(talk, Consent(False), SURE)
    assert after == Talk()
    assert isinstance(effect, SayIt)


def test_another_thickness_is_a_new_request() -> None:
    talk = Talk(asked=WHICH, choices=(FIFTEEN, FIFTY))
    half = Request(About.SETTING, piece=Piece(thickness=inches(0.5)), defaults=("setting",))
    assert step(talk, half, SURE) == (Talk(last=half), AnswerIt(half))
