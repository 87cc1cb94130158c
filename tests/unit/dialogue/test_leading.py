"""A list is led one step at a time: what passes a step, what stays, what branches, what is kept."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import count

import pytest

from handsfree.dialogue.procedure import (
    SURE_FROM,
    Leading,
    Led,
    again,
    answered,
    begin,
    not_understood,
    offered,
    shown,
)
from handsfree.dialogue.procedure_words import NOT_SKIPPED, SHALL_GO_ON
from handsfree.values import (
    Confirmed,
    Expect,
    Limit,
    ListEnd,
    ListMark,
    Sight,
    Status,
    Step,
    StepAnswer,
    StepAnswerKind,
    StepList,
    Timing,
)

NOW = 1000.0
SOAP = Step(
    say="Brush soap on every joint.",
    ask="What do you see?",
    expects=Expect.SEEN,
    sights=(
        Sight("no bubbles", right=True),
        Sight("it's dirty", right=False, reply="Wipe it."),
        Sight("bubbles", right=False, reply="That is a leak.", goes_to="leak"),
    ),
    limit=None,
    cannot="No soap, no flame.",
    cannot_to="",
    starts=None,
    safety=True,
    source="a source",
    status=Status.READ,
)
GAUGE = replace(
    SOAP,
    say="Turn the screw in.",
    ask="What does the gauge read?",
    expects=Expect.NUMBER,
    sights=(),
    limit=Limit("acetylene", "psi", 1, 15, "A little more.", "Back it out at once.", True),
    cannot="Replace the gauge first.",
    cannot_to="no_gauge",
)
DROP = replace(
    SOAP,
    say="Watch the needles.",
    ask="What do they do?",
    sights=(Sight("they hold", right=True), Sight("they fall", right=False, reply="A leak.")),
    starts=Timing("drop test", 3.0, waits=True),
)
WHO = replace(
    SOAP,
    say="Somebody watches.",
    ask="Who?",
    expects=Expect.NAMED,
    sights=(Sight("it's me", right=False, reply="Somebody else."),),
    starts=Timing("fire watch", 60.0),
)
TIP = replace(SOAP, say="Fit the tip.", ask="Say done.", expects=Expect.DONE, sights=())
TIP = replace(TIP, safety=False)
TEST = StepList("test", "The test", "It opens.", False, (SOAP, GAUGE, DROP, WHO), ("Mind it.",))
LEAK = StepList("leak", "Gas leak", "", True, (replace(SOAP, say="No flame."),), (), "Tight.")
NO_GAUGE = StepList("no_gauge", "Dead gauge", "", False, (SOAP,), ())
SHORT = StepList("short", "Short one", "", False, (TIP, TIP), (), "Done with it.", goes_on="test")
LISTS = {each.key: each for each in (TEST, LEAK, NO_GAUGE, SHORT)}


class Talk:
    """A list that is led, and everything that came of it."""

    def __init__(self, steps: StepList = TEST) -> None:
        self._runs = (f"run {number}" for number in count(1))
        self.now = NOW
        self.records: list[Confirmed | ListMark] = []
        self.starts: list[Timing] = []
        self._take(begin(steps, self.now, next(self._runs)))

    def __call__(self, kind: StepAnswerKind | str | float, sureness: float = 1.0) -> "Talk":
        assert self.leading is not None
        self._take(
            answered(self.leading, of(kind, sureness), self.now, LISTS.__getitem__, self.run)
        )
        return self

    def run(self) -> str:
        return next(self._runs)

    def _take(self, led: Led) -> None:
        self.led = led
        self.leading = led.leading
        self.said = led.sentences
        self.records += led.records
        self.starts += led.starts

    @property
    def at(self) -> tuple[str, int]:
        assert self.leading is not None
        return self.leading.list.key, self.leading.at

    @property
    def marks(self) -> list[tuple[str, ListEnd]]:
        return [(r.list_key, r.how) for r in self.records if isinstance(r, ListMark)]

    @property
    def passed(self) -> list[tuple[str, str, bool]]:
        return [(r.say, r.came_to, r.right) for r in self.records if isinstance(r, Confirmed)]


def of(kind: StepAnswerKind | str | float, sureness: float = 1.0) -> StepAnswer:
    """An answer by what is seen, by a number, or by its kind."""
    if isinstance(kind, StepAnswerKind):
        return StepAnswer(kind, text=kind.value, sureness=sureness)
    if isinstance(kind, str):
        return StepAnswer(StepAnswerKind.SEEN, sight=kind, text=kind, sureness=sureness)
    return StepAnswer(
        StepAnswerKind.NUMBER, number=kind, unit="psi", text=str(kind), sureness=sureness
    )


def named(text: str, sureness: float = 1.0) -> StepAnswer:
    return StepAnswer(StepAnswerKind.NAMED, text=text, sureness=sureness)


def at_the_number() -> Talk:
    return Talk()("no bubbles")


def at_the_wait() -> Talk:
    return at_the_number()(5.0)


@pytest.fixture(params=[SOAP, GAUGE, DROP, WHO], ids=lambda step: step.say)
def challenge(request: pytest.FixtureRequest) -> Iterator[Talk]:
    """A talk at each kind of step that asks what is seen, read or named."""
    yield Talk(replace(TEST, steps=(request.param, SOAP)))


# --- beginning ------------------------------------------------------------------------------------


def test_a_list_opens_once_and_puts_its_first_step_alone() -> None:
    talk = Talk()
    assert talk.said == ("The test.", "Mind it.", "It opens.", SOAP.say, SOAP.ask)
    assert talk.at == ("test", 0) and not talk.led.alarm
    assert talk.marks == [("test", ListEnd.BEGUN)]
    assert talk("no bubbles").said == ("No bubbles.", GAUGE.say, GAUGE.ask)


def test_an_emergency_begins_with_what_to_do_and_nothing_before_it() -> None:
    talk = Talk(LEAK)
    assert talk.said[0] == "No flame." and talk.led.alarm


# --- challenge and response -----------------------------------------------------------------------


def test_done_and_checked_and_yes_do_not_pass_a_step_that_asks_what_is_seen(
    challenge: Talk,
) -> None:
    at, starts = challenge.at, list(challenge.starts)
    challenge(StepAnswerKind.DONE)
    assert challenge.at == at and challenge.starts == starts
    assert challenge.passed[-1][2] is False


def test_what_is_asked_for_names_something_wrong_beside_what_is_right() -> None:
    said = Talk()(StepAnswerKind.DONE).said
    assert "no bubbles" in said[0] and "dirty" in said[0]


def test_no_answer_at_all_passes_a_challenge_step(challenge: Talk) -> None:
    at = challenge.at
    for kind in StepAnswerKind:
        if kind not in (StepAnswerKind.SEEN, StepAnswerKind.NUMBER, StepAnswerKind.NAMED):
            challenge(kind) if challenge.leading else None
            if challenge.leading is None or challenge.leading.list.key != "test":
                return
            assert challenge.at == at


def test_a_plain_step_is_passed_by_done() -> None:
    assert Talk(SHORT)(StepAnswerKind.DONE).at == ("short", 1)


def test_a_sight_of_another_step_is_no_answer() -> None:
    talk = Talk()("they hold")
    assert talk.at == ("test", 0) and talk.passed[-1][2] is False


def test_what_is_wrong_stays_and_says_what_to_do() -> None:
    talk = Talk()("it's dirty")
    assert talk.at == ("test", 0)
    assert talk.said == ("Wipe it.", SOAP.ask)
    assert talk.passed == [(SOAP.say, "it's dirty", False)]


# --- numbers --------------------------------------------------------------------------------------


@pytest.mark.parametrize("reads", [1.0, 5.0, 15.0])
def test_a_number_within_its_limit_is_said_back_and_passes(reads: float) -> None:
    talk = at_the_number()(reads)
    assert talk.at == ("test", 2)
    assert talk.said[0] == f"{reads:g} psi."
    assert talk.passed[-1] == (GAUGE.say, f"{reads:g} psi", True)


@pytest.mark.parametrize("reads", [15.1, 16.0, 50.0])
def test_acetylene_over_its_limit_is_an_alarm_with_what_to_do_first(reads: float) -> None:
    talk = at_the_number()(reads)
    assert talk.at == ("test", 1)
    assert talk.led.alarm and talk.said[0] == "Back it out at once."
    assert talk.passed[-1][2] is False


def test_a_number_below_its_limit_stays_without_an_alarm() -> None:
    talk = at_the_number()(0.0)
    assert talk.at == ("test", 1) and not talk.led.alarm
    assert "A little more." in talk.said


def test_a_number_in_another_unit_is_no_answer() -> None:
    talk = at_the_number()
    assert talk.leading is not None
    turns = StepAnswer(StepAnswerKind.NUMBER, number=5.0, unit="turns", text="five turns")
    led = answered(talk.leading, turns, NOW, LISTS.__getitem__, talk.run)
    assert led.leading == talk.leading and "psi" in led.sentences[0]


# --- how surely it was heard ----------------------------------------------------------------------


def test_a_doubtful_answer_is_said_back_and_counts_when_it_comes_again() -> None:
    talk = at_the_number()(15.0, SURE_FROM - 0.1)
    assert talk.at == ("test", 1) and "15 psi" in talk.said[0]
    assert talk(15.0, SURE_FROM - 0.1).at == ("test", 2)


def test_a_doubtful_answer_counts_on_a_sure_yes_and_on_no_other() -> None:
    sure = at_the_number()(5.0, 0.6)(StepAnswerKind.DONE, SURE_FROM)
    assert sure.at == ("test", 2)
    unsure = at_the_number()(5.0, 0.6)(StepAnswerKind.DONE, SURE_FROM - 0.1)
    assert unsure.at == ("test", 1)


def test_another_number_after_a_doubtful_one_is_taken_for_itself() -> None:
    talk = at_the_number()(5.0, 0.6)(50.0)
    assert talk.at == ("test", 1) and talk.led.alarm
    assert at_the_number()(5.0, 0.6)(6.0).passed[-1][1] == "6 psi"


def test_stopping_a_list_doubtfully_is_asked_about() -> None:
    talk = Talk()(StepAnswerKind.STOP, 0.5)
    assert talk.at == ("test", 0)
    assert talk(StepAnswerKind.DONE).leading is None


# --- cannot, skip, back, again, where -------------------------------------------------------------


def test_i_cannot_says_what_to_do_and_stays() -> None:
    talk = Talk()(StepAnswerKind.CANNOT)
    assert talk.at == ("test", 0) and talk.said[0] == "No soap, no flame."


def test_i_cannot_goes_to_the_list_that_follows_and_comes_back() -> None:
    talk = at_the_number()(StepAnswerKind.CANNOT)
    assert talk.at == ("no_gauge", 0)
    assert talk.said[0] == "Replace the gauge first."
    assert talk("no bubbles").leading is not None
    assert talk.said[-1].startswith("The test was put aside.")
    assert talk(StepAnswerKind.GO_ON).at == ("test", 1)


def test_a_safety_step_is_never_skipped() -> None:
    talk = Talk()(StepAnswerKind.SKIP)
    assert talk.at == ("test", 0) and talk.said[0] == NOT_SKIPPED
    assert Talk(SHORT)(StepAnswerKind.SKIP).at == ("short", 1)


def test_a_skipped_step_is_open_on_record() -> None:
    talk = Talk(SHORT)(StepAnswerKind.SKIP)(StepAnswerKind.DONE)
    ended = next(r for r in talk.records if isinstance(r, ListMark) and r.how is ListEnd.FINISHED)
    assert (ended.confirmed, ended.of, ended.open_steps) == (1, 2, (TIP.say,))


def test_back_again_and_where_change_nothing_else() -> None:
    talk = at_the_number()
    assert talk(StepAnswerKind.AGAIN).said == (GAUGE.say, GAUGE.ask)
    assert "step 2 of 4" in talk(StepAnswerKind.WHERE).said[0]
    assert talk(StepAnswerKind.BACK).at == ("test", 0)
    assert talk(StepAnswerKind.BACK).at == ("test", 0)
    assert talk.passed == [(SOAP.say, "no bubbles", True)]


# --- times ----------------------------------------------------------------------------------------


def test_a_wait_begins_with_its_step_and_nothing_right_ends_it_early() -> None:
    talk = at_the_wait()
    assert talk.starts == [Timing("drop test", 3.0, waits=True)]
    talk.now += 179.0
    assert talk("they hold").at == ("test", 2) and "1 second" in talk.said[0]
    talk.now += 1.0
    assert talk("they hold").at == ("test", 3)


def test_what_is_wrong_is_told_before_a_wait_is_over() -> None:
    talk = at_the_wait()("they fall")
    assert talk.said[0] == "A leak."


def test_a_watch_begins_when_its_step_is_confirmed_and_the_list_goes_on() -> None:
    talk = at_the_wait()
    talk.now += 200.0
    talk("they hold")
    assert talk.leading is not None
    assert len(talk.starts) == 1
    led = answered(talk.leading, named("bill"), talk.now, LISTS.__getitem__, talk.run)
    assert led.starts == (Timing("fire watch", 60.0),)
    assert led.leading is None
    assert [r.came_to for r in led.records if isinstance(r, Confirmed)] == ["bill"]


def test_who_may_not_be_himself_is_told_so() -> None:
    talk = Talk(replace(TEST, steps=(WHO,)))("it's me")
    assert talk.at == ("test", 0) and talk.said[0] == "Somebody else."


# --- branches, emergencies, ends ------------------------------------------------------------------


def test_a_leak_puts_the_test_aside_and_offers_it_again_after() -> None:
    talk = Talk()("bubbles")
    assert talk.at == ("leak", 0)
    assert talk.said[:2] == ("That is a leak.", "No flame.")
    talk("no bubbles")
    assert talk.at == ("test", 0)
    assert talk.leading is not None and talk.leading.offered
    assert talk("no bubbles").at == ("test", 0), "an offer is no step"
    talk(StepAnswerKind.GO_ON)
    assert talk.said == (SOAP.say, SOAP.ask)
    assert talk.marks == [
        ("test", ListEnd.BEGUN),
        ("test", ListEnd.PUT_ASIDE),
        ("leak", ListEnd.BEGUN),
        ("leak", ListEnd.FINISHED),
        ("test", ListEnd.TAKEN_UP),
    ]


def test_a_branch_that_was_hardly_heard_is_asked_about_first() -> None:
    talk = Talk()("bubbles", 0.4)
    assert talk.at == ("test", 0) and "bubbles" in talk.said[0]
    assert talk("bubbles", 0.4).at == ("leak", 0)


def test_the_same_emergency_again_begins_anew_and_does_not_wait_for_itself() -> None:
    talk = Talk(LEAK)
    led = begin(LEAK, NOW, "again", talk.leading)
    assert led.leading is not None and led.leading.aside == ()
    assert [r.how for r in led.records if isinstance(r, ListMark)] == [
        ListEnd.NOT_FINISHED,
        ListEnd.BEGUN,
    ]


def test_two_lists_put_aside_come_back_one_after_the_other() -> None:
    talk = Talk()
    second = begin(NO_GAUGE, NOW, "second", talk.leading)
    third = begin(LEAK, NOW, "third", second.leading)
    assert third.leading is not None
    led = answered(third.leading, of("no bubbles"), NOW, LISTS.__getitem__, talk.run)
    assert led.leading is not None and led.leading.list.key == "no_gauge"
    led = answered(led.leading, of(StepAnswerKind.STOP), NOW, LISTS.__getitem__, talk.run)
    assert led.leading is not None and led.leading.list.key == "test" and led.leading.offered


def test_a_list_that_is_stopped_is_open_on_record() -> None:
    talk = at_the_number()(StepAnswerKind.STOP)
    assert talk.leading is None
    last = talk.records[-1]
    assert isinstance(last, ListMark) and last.how is ListEnd.NOT_FINISHED
    assert last.open_steps == (GAUGE.say, DROP.say, WHO.say)
    assert (last.confirmed, last.of) == (1, 4)


def test_the_list_that_goes_on_is_offered_and_leaves_no_trace_when_declined() -> None:
    talk = Talk(SHORT)(StepAnswerKind.DONE)(StepAnswerKind.DONE)
    assert talk.said[-1].startswith("Next is the test.")
    before = list(talk.records)
    assert talk(StepAnswerKind.NOT_DONE).leading is None
    assert talk.records == before


def test_the_list_that_goes_on_begins_by_a_word() -> None:
    talk = Talk(SHORT)(StepAnswerKind.DONE)(StepAnswerKind.DONE)(StepAnswerKind.GO_ON)
    assert talk.at == ("test", 0) and talk.marks[-1] == ("test", ListEnd.BEGUN)
    assert talk.leading is not None and not talk.leading.offered


def test_every_answer_is_on_record_with_its_words() -> None:
    talk = Talk()("it's dirty")("no bubbles")
    records = [r for r in talk.records if isinstance(r, Confirmed)]
    assert [(r.heard, r.number, r.of, r.run) for r in records] == [
        ("it's dirty", 1, 4, "run 1"),
        ("no bubbles", 1, 4, "run 1"),
    ]


# --- beside the list ------------------------------------------------------------------------------


def test_another_request_is_followed_by_the_step_again() -> None:
    talk = at_the_number()
    assert talk.leading is not None
    assert again(talk.leading)[1:] == (GAUGE.say, GAUGE.ask)


def test_words_that_are_no_answer_leave_the_step_where_it_is() -> None:
    talk = at_the_number()
    assert talk.leading is not None
    led = not_understood(talk.leading, "I did not get that.")
    assert led.leading == talk.leading and not led.records
    assert led.sentences == ("I did not get that.", "Say the number that it reads.")


def test_a_list_left_open_is_offered_at_its_step() -> None:
    talk = at_the_number()
    assert talk.leading is not None
    led = offered(talk.leading)
    assert led.sentences == ("The test was left at step 2 of 4.", SHALL_GO_ON)
    assert led.leading is not None and shown(led.leading).can_say == ("go on", "stop the list")


def test_the_page_shows_title_number_and_what_can_be_said() -> None:
    step = shown(Leading(TEST, "1", at=1))
    assert (step.title, step.number, step.of, step.say) == ("The test", 2, 4, GAUGE.say)
    assert "i can't" in step.can_say
