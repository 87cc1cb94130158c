"""The beat, measured travel, what cuts teach, and practice: as the session asks for them."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.engine.answer import answer
from handsfree.engine.defaults import taken_as_read
from handsfree.store.pace_files import CUTS_FILE, PRACTICE_FILE, CutsFile
from handsfree.store.settings import Kept
from handsfree.values import (
    About,
    Answer,
    Consent,
    Control,
    Failed,
    NotUnderstood,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Shape,
    TipBox,
    TipOnHand,
    Words,
    YesKind,
    YesTo,
)
from handsfree.values.steps import Timing
from handsfree.values.timing import CutResult, PaceAct, Paced, PracticeCase
from handsfree.values.units import Quantity, inches, inches_a_minute, millimetres, registry
from handsfree.wording.pace import MARK_LOST
from tests.unit.pacing.clocks import Shift

KEPT = Kept(box=TipBox((TipOnHand("1", made_for=(inches(0.5), inches(0.5))),), in_torch="1"))
HALF_INCH = Piece(shape=Shape.PLATE, thickness=inches(0.5))


@pytest.fixture
def shift(tmp_path: Path) -> Shift:
    return Shift(tmp_path)


def ask(shift: Shift, about: About, paced: Paced, kept: Kept = KEPT, **more: object) -> Reply:
    return shift.pacing.reply(Request(about, paced=paced, **more), kept)  # type: ignore[arg-type]  # fields of Request


def said(reply: Reply | None) -> str:
    assert isinstance(reply, Answer), reply
    return " ".join(reply.technique).lower()


def speed_asked(shift: Shift, piece: Piece = HALF_INCH, kept: Kept = KEPT) -> Answer:
    """The answer to how fast a piece is cut, with what the cuts have taught."""
    request = taken_as_read(Request(About.TRAVEL_SPEED, piece=piece), kept.rig, kept.box)
    found = shift.pacing.with_lessons(answer(request, kept.rig, kept.box), kept)
    assert isinstance(found, Answer)
    return found


def ends(reply: Answer, name: str = "travel_speed") -> tuple[float, float]:
    figure = next(each for each in reply.figures if each.name == name)
    return float(figure.low.m_as("in/min")), float(figure.high.m_as("in/min"))


def mark(shift: Shift, length: Quantity | None = None) -> Reply:
    return ask(shift, About.MARK, Paced(PaceAct.MARK, length=length))


def run(shift: Shift, seconds: float, length: float = 6.0) -> Answer:
    """A run over a length that takes so long."""
    mark(shift, inches(length))
    mark(shift)
    shift.go_on(seconds, step=seconds)
    reply = mark(shift)
    assert isinstance(reply, Answer)
    return reply


def result(shift: Shift, how: CutResult) -> Reply:
    return ask(shift, About.RESULT, Paced(PaceAct.BEGIN, result=how))


# --- the beat -------------------------------------------------------------------------------------


def test_the_beat_runs_at_the_middle_of_what_is_advised(shift: Shift) -> None:
    reply = ask(shift, About.BEAT, Paced(PaceAct.BEGIN), piece=HALF_INCH)
    low, high = ends(speed_asked(shift))
    beat = shift.beats.set_to
    assert beat is not None
    assert beat.speed / 25.4 == pytest.approx((low + high) / 2)
    assert beat.every == 25.4
    assert isinstance(reply, Answer)
    assert ends(reply) == (low, high)
    assert reply.request.tip == TipOnHand(stamp="1")  # read back: the pace rests on it


def test_a_metric_plate_or_speed_ticks_each_ten_millimetres(shift: Shift) -> None:
    metric = Piece(shape=Shape.PLATE, thickness=millimetres(12))
    ask(shift, About.BEAT, Paced(PaceAct.BEGIN), piece=metric)
    assert shift.beats.set_to is not None
    assert shift.beats.set_to.every == 10.0
    speed = registry.Quantity(300.0, "mm/min")
    ask(shift, About.BEAT, Paced(PaceAct.BEGIN, speed=speed, metric=True))
    assert shift.beats.set_to.interval == pytest.approx(2.0)


def test_faster_and_slower_are_the_beats_while_it_is_on_and_the_voices_else(shift: Shift) -> None:
    assert shift.pacing.meanwhile(Control.FASTER) is None
    ask(shift, About.BEAT, Paced(PaceAct.BEGIN, speed=inches_a_minute(10)))
    assert "eleven" in said(shift.pacing.meanwhile(Control.FASTER))
    assert "ten" in said(shift.pacing.meanwhile(Control.SLOWER))
    assert shift.pacing.meanwhile(Control.STOP) is None
    assert shift.beats.set_to is None
    assert shift.pacing.meanwhile(Control.FASTER) is None


def test_a_beat_past_the_setting_says_so(shift: Shift) -> None:
    ask(shift, About.BEAT, Paced(PaceAct.BEGIN), piece=HALF_INCH)
    replies = [said(shift.pacing.meanwhile(Control.FASTER)) for _ in range(4)]
    assert "faster than the setting" in replies[-1]


def test_a_beat_without_a_plate_is_asked_for_and_a_refused_cut_has_none(shift: Shift) -> None:
    asked = ask(shift, About.BEAT, Paced(PaceAct.BEGIN))
    assert isinstance(asked, Question)
    assert asked.request is not None
    assert (asked.request.about, asked.asks_for) == (About.BEAT, "thickness")
    assert isinstance(
        ask(shift, About.BEAT, Paced(PaceAct.BEGIN, speed=inches_a_minute(200))), Question
    )
    tiny = TipOnHand(bore=inches(0.02))
    thick = Piece(shape=Shape.PLATE, thickness=inches(6))
    refused = ask(shift, About.BEAT, Paced(PaceAct.BEGIN), piece=thick, tip=tiny)
    assert isinstance(refused, Refusal)
    assert shift.beats.set_to is None


# --- marks ----------------------------------------------------------------------------------------


def test_a_run_is_measured_and_compared_with_the_setting(shift: Shift) -> None:
    low, high = ends(speed_asked(shift))
    slow = run(shift, 6 * 60 / (low - 2))
    assert ends(slow, "travel_run")[0] == pytest.approx(low - 2, abs=0.13)
    assert ends(slow) == (low, high)
    assert "slower than the setting" in said(slow)
    assert "go faster by two" in said(slow)
    assert "inside the setting" in said(run(shift, 6 * 60 / ((low + high) / 2)))
    fast = said(run(shift, 6 * 60 / (high + 3)))
    assert "faster than the setting" in fast
    assert "go slower by three" in fast
    assert shift.kinds().count("travel") == 3


def test_while_a_run_is_measured_a_mark_needs_no_call_and_nothing_is_said_into_it(
    shift: Shift,
) -> None:
    waits = []
    for length in (None, inches(6), None, None):
        waits.append(shift.pacing.led)
        mark(shift, length)
        shift.go_on(30)
    waits.append(shift.pacing.led)
    assert [step is not None for step in waits] == [False, False, True, True, False]
    assert all(step is None or step.say == step.ask == "" for step in waits)


def test_a_confirming_pedal_marks_as_a_word_does(shift: Shift) -> None:
    mark(shift, inches(6))
    assert said(shift.pacing.meanwhile(Consent(True))) == "marked."
    shift.go_on(30)
    reply = ask(shift, About.PRACTICE, Paced(PaceAct.GO_ON))  # the pedal of a led step
    assert isinstance(reply, Answer)
    assert ends(reply, "travel_run")[0] == pytest.approx(12)


def test_a_mark_without_a_length_asks_for_it_once_and_then_knows_it(shift: Shift) -> None:
    question = mark(shift)
    assert isinstance(question, Question)
    six = Piece(thickness=inches(6))
    answered = ask(shift, About.MARK, Paced(PaceAct.MARK), piece=six)
    assert "over six inches" in said(answered)
    run(shift, 30)
    assert said(mark(shift)) == "marked."


def test_what_no_hand_can_have_cut_is_not_kept(shift: Shift) -> None:
    speed_asked(shift)
    assert "not kept" in said(run(shift, 0.5))
    assert "not kept" in said(run(shift, 1000, 2.0))
    assert "travel" not in shift.kinds()
    assert isinstance(mark(shift, inches(0.1)), Question)
    assert isinstance(mark(shift, inches(1000)), Question)


def test_a_mark_that_never_comes_is_told_and_nothing_is_measured(shift: Shift) -> None:
    for marks in (0, 1):
        mark(shift, inches(6))
        shift.go_on(100)
        for _ in range(marks):
            mark(shift)
        assert shift.pacing.until_due() == pytest.approx(1200 if marks else 1100)
        told = shift.go_on(1300, step=10)
        assert [due.sentences[0] for due in told] == [MARK_LOST]
        assert not told[0].alarm
        assert shift.pacing.led is None


def test_a_mark_among_the_readings_of_what_means_nothing_is_the_mark(shift: Shift) -> None:
    def means(words: Words) -> object:
        bare = Request(About.MARK, paced=Paced(PaceAct.MARK))
        return bare if words.text == "mark" else NotUnderstood(words.text, "")

    heard = Words("rob", 0.8, ("wrapped", "mark"))
    assert shift.pacing.waited_for(heard, means) is None
    mark(shift, inches(6))
    assert shift.pacing.waited_for(heard, means) is not None
    assert shift.pacing.waited_for(Words("[unk]", 0.8, ("mark",)), means) is None
    assert shift.pacing.waited_for(Words("rob", 0.8, ("wrapped",)), means) is None


def test_nothing_but_an_alarm_is_said_into_a_run(shift: Shift) -> None:
    shift.pacing.begin(Timing("fire watch", 60.0))
    shift.go_on(1790, step=10)
    mark(shift, inches(6))
    mark(shift)
    assert shift.go_on(30) == []
    mark(shift)
    (half,) = shift.go_on(1)
    assert "half is over" in " ".join(half.sentences)
    mark(shift, inches(6))
    shift.go_on(1100, step=10)
    mark(shift)
    (over,) = shift.go_on(700, step=10)[:1]
    assert over.alarm


def test_a_mark_that_is_waited_for_is_taken_however_surely_it_was_heard(shift: Shift) -> None:
    bare = Request(About.MARK, paced=Paced(PaceAct.MARK))
    armed = Request(About.MARK, paced=Paced(PaceAct.MARK, length=inches(6)))
    assert not shift.pacing.waits_for(bare)
    mark(shift, inches(6))
    assert shift.pacing.waits_for(bare)
    assert not shift.pacing.waits_for(armed)
    good = Request(About.RESULT, paced=Paced(PaceAct.BEGIN, result=CutResult.GOOD))
    assert not shift.pacing.waits_for(good)
    assert not shift.pacing.waits_for(Control.MORE)


# --- results --------------------------------------------------------------------------------------


def test_measured_good_cuts_move_the_advice_and_it_says_so(shift: Shift) -> None:
    low, high = ends(speed_asked(shift))
    pace = 1.2 * (low + high) / 2
    for _ in range(3):
        run(shift, 6 * 60 / pace)
        last = said(result(shift, CutResult.GOOD))
    assert "by three of your cuts" in last
    assert shift.kinds().count("result") == 3
    moved = speed_asked(shift)
    assert ends(moved) > (low, high)
    assert "moved from" in next(
        figure.note for figure in moved.figures if figure.name == "travel_speed"
    )
    shift.restart()
    assert ends(speed_asked(shift)) == ends(moved)


def test_forgetting_asks_first_and_gives_the_tables_advice_back(shift: Shift) -> None:
    before = speed_asked(shift)
    for _ in range(4):
        run(shift, 15)
        result(shift, CutResult.GOOD)
    assert speed_asked(shift) != before
    forget = Paced(PaceAct.FORGET)
    question = ask(shift, About.RESULT, forget)
    assert isinstance(question, Question)
    assert speed_asked(shift) != before
    assert question.request is not None
    assert question.yes_to is not None
    another = YesTo(question.yes_to.kind, "another tip")
    for wrong in (another, YesTo(YesKind.END_WATCH, question.yes_to.of)):
        unmeant = replace(question.request, confirmed=(wrong,))
        assert isinstance(shift.pacing.reply(unmeant, KEPT), Question)
    yes = replace(question.request, confirmed=(question.yes_to,))
    assert "forgotten" in said(shift.pacing.reply(yes, KEPT))
    assert speed_asked(shift) == before
    shift.restart()
    assert speed_asked(shift) == before
    lines = (shift.folder / CUTS_FILE).read_text(encoding="utf-8").splitlines()
    assert len(lines) == 5  # nothing was written over


def test_a_result_without_a_run_counts_as_cut_at_what_was_advised(shift: Shift) -> None:
    low, high = ends(speed_asked(shift))
    result(shift, CutResult.NOT_THROUGH)
    (cut,) = CutsFile(shift.folder).read()
    assert not cut.measured
    assert cut.speed == pytest.approx((low + high) / 2, abs=0.01)


def test_a_run_counts_for_one_result_and_only_for_a_while(shift: Shift) -> None:
    speed_asked(shift)
    run(shift, 30)
    shift.go_on(1000, step=100)
    result(shift, CutResult.GOOD)
    run(shift, 30)
    result(shift, CutResult.GOOD)
    result(shift, CutResult.GOOD)
    assert [cut.measured for cut in CutsFile(shift.folder).read()] == [False, True, False]


def test_a_result_of_an_unknown_cut_or_tip_teaches_nothing(shift: Shift) -> None:
    assert "ask me for that cut first" in said(result(shift, CutResult.GOOD))
    speed_asked(shift, kept=Kept())
    assert "which one is in the torch" in said(result(shift, CutResult.GOOD))
    assert not (shift.folder / CUTS_FILE).exists()


def test_what_was_learned_is_shown_by_thickness(shift: Shift) -> None:
    show = Paced(PaceAct.LEFT)
    assert "learned nothing" in said(ask(shift, About.RESULT, show))
    speed_asked(shift)
    for _ in range(3):
        run(shift, 20)
        result(shift, CutResult.GOOD)
    speed_asked(shift, Piece(shape=Shape.PLATE, thickness=inches(0.375)))
    result(shift, CutResult.GOOD)
    shown = said(ask(shift, About.RESULT, show))
    assert "half inch, three cuts" in shown
    assert "three eighths inch, one cut" in shown
    assert "two more cuts" in shown


def test_a_line_that_a_crash_cut_short_loses_itself_alone(shift: Shift) -> None:
    speed_asked(shift)
    result(shift, CutResult.GOOD)
    path = shift.folder / CUTS_FILE
    with path.open("ab") as file:
        file.write(b'{"at":"2026-')
    shift.restart()
    speed_asked(shift)
    result(shift, CutResult.GOOD)
    assert len(CutsFile(shift.folder).read()) == 2
    assert [json.loads(line)["result"] for line in path.read_text().splitlines()] == [
        "good cut",
        "good cut",
    ]
    told: list[Failed] = []
    shift.faults.tell_to(told.append)
    assert len(told) == 1 and "1 of its 2 lines" in told[0].sentence
    whole = path.with_name(f"{CUTS_FILE}.broken-1")
    assert whole.read_bytes().endswith(b'{"at":"2026-')


# --- practice -------------------------------------------------------------------------------------


def begin(shift: Shift, case: PracticeCase, who: str = "", kept: Kept = KEPT) -> Reply:
    return ask(shift, About.PRACTICE, Paced(PaceAct.BEGIN, case=case, who=who), kept)


def go_on(shift: Shift) -> Reply:
    return ask(shift, About.PRACTICE, Paced(PaceAct.GO_ON))


def to_the_run(shift: Shift, case: PracticeCase, who: str = "") -> tuple[float, float]:
    """A practice led up to its run; the travel that it asks for."""
    begin(shift, case, who)
    for _ in range(10):
        led = shift.pacing.led
        assert led is not None
        if led.say == "":
            break
        go_on(shift)
    practice = shift.pacing._practising._practice
    assert practice is not None
    return practice.low, practice.high


def coupon(shift: Shift, speed: float, how: CutResult) -> Answer:
    mark(shift)
    shift.go_on(6 * 60 / speed, step=6 * 60 / speed)
    mark(shift)
    reply = result(shift, how)
    assert isinstance(reply, Answer)
    return reply


@pytest.mark.parametrize("case", list(PracticeCase))
def test_every_case_is_led_to_a_run_and_judged(shift: Shift, case: PracticeCase) -> None:
    low, high = to_the_run(shift, case)
    assert 0 < low <= high
    reply = coupon(shift, (low + high) / 2, CutResult.GOOD)
    assert "passed" in said(reply)
    assert reply.progress is not None
    assert [each.passed for each in reply.progress.coupons] == [True]
    assert "practice" in shift.kinds()


def test_one_sentence_is_said_at_a_time_and_waits(shift: Shift) -> None:
    first = said(begin(shift, PracticeCase.OVERHEAD))
    assert "fire watch" in first
    second = said(go_on(shift))
    assert second != first
    assert said(shift.pacing.meanwhile(Control.BACK)) == first
    assert said(shift.pacing.meanwhile(Control.AGAIN)) == first
    assert said(mark(shift)) == first  # no run before its time
    assert said(result(shift, CutResult.GOOD)) == first


def test_a_coupon_passes_by_its_pace_and_its_look_together(shift: Shift) -> None:
    low, high = to_the_run(shift, PracticeCase.LARGE_TIP)
    middle = (low + high) / 2
    assert "passed, a good cut" in said(coupon(shift, middle, CutResult.GOOD))
    assert "pace was too fast" in said(coupon(shift, high * 1.2, CutResult.GOOD))
    assert "pace was too slow" in said(coupon(shift, low * 0.8, CutResult.GOOD))
    worse = said(coupon(shift, middle, CutResult.SLAG_BACK))
    assert "not passed" in worse
    assert "one of four passed" in worse


def test_progress_is_kept_by_person_and_survives_a_restart(shift: Shift) -> None:
    low, high = to_the_run(shift, PracticeCase.PIPE, "cutter two")
    coupon(shift, (low + high) / 2, CutResult.GOOD)
    ask(shift, About.PRACTICE, Paced(PaceAct.STOP))
    to_the_run(shift, PracticeCase.PIPE, "cutter three")
    coupon(shift, (low + high) / 2, CutResult.MELTED_EDGE)
    shift.restart()
    for who, count in (("cutter two", "one of one"), ("cutter three", "zero of one")):
        shown = ask(shift, About.PRACTICE, Paced(PaceAct.LEFT, who=who))
        assert f"pipe, {count} passed" in said(shown)
        assert isinstance(shown, Answer)
        assert shown.progress is not None
        assert {each.who for each in shown.progress.coupons} == {who}
    nobody = ask(shift, About.PRACTICE, Paced(PaceAct.LEFT, who="cutter nine"))
    assert "no coupon" in said(nobody)
    assert (shift.folder / PRACTICE_FILE).exists()


def test_practice_teaches_the_tip_like_any_cut(shift: Shift) -> None:
    low, high = to_the_run(shift, PracticeCase.VERTICAL)
    for _ in range(3):
        coupon(shift, (low + high) / 2 * 1.2, CutResult.GOOD)
    assert len(CutsFile(shift.folder).read()) == 3


def test_practice_without_a_tip_or_a_case_asks(shift: Shift) -> None:
    question = begin(shift, PracticeCase.SMALL_TIP, kept=Kept())
    assert isinstance(question, Question)
    assert question.asks_for == "tip"
    assert shift.pacing.led is None
    which = ask(shift, About.PRACTICE, Paced(PaceAct.BEGIN))
    assert isinstance(which, Question)
    assert len(which.options) == len(PracticeCase)
