"""Leads a practice: its sentences one at a time, its run, its result, and how it was judged."""

from typing import Final

from handsfree.dialogue.practice import Practice, Stage, judged, ran, went_back, went_on
from handsfree.engine.learned import reading
from handsfree.logbook.notes import Note
from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing import coupons, travel
from handsfree.pacing.travel_pace import MARK, Hand
from handsfree.store.pace_files import PracticeFile
from handsfree.store.settings import Kept
from handsfree.values import Answer, Control, Question, Reply, Request
from handsfree.values.record import RecordKind
from handsfree.values.reply import Asks
from handsfree.values.steps import LedStep
from handsfree.values.timing import Coupon, CutResult, PaceAct, Paced, PracticeCase, Progress
from handsfree.values.units import inches

NOBODY: Final = "cutter one"
WHICH_CASE: Final = "What do you want to practise?"
NO_PRACTICE: Final = "No practice is under way. Say, practice, and the case."
MEASURED_WHEN_IT_RUNS: Final = "The helper measures while it runs: start handsfree."
PRACTICE_OVER: Final = "The practice is over."
RUN_FIRST: Final = "Cut the run first. Say mark at the first line."
SAY_RESULT: Final = "Say how the cut came out: good cut, or what was wrong with it."
CAN: Final = {
    Stage.READY: ("ready", "say again", "go back", "stop the practice"),
    Stage.RUN: ("mark", "stop the practice"),
    Stage.RESULT: ("good cut", "would not go through", "slag welded back", "top edge melted"),
}


class Practising:
    """The practice of one talk; not safe for several threads by itself.

    Args:
        hand: measures the runs, and learns from them.
        file: keeps the coupons.
        record: takes them into the logbook.
    """

    def __init__(self, hand: Hand, file: PracticeFile, record: LogbookWriter) -> None:
        self._hand = hand
        self._file = file
        self._record = record
        self._practice: Practice | None = None

    @property
    def led(self) -> LedStep | None:
        """What waits for a word, None when nothing is practised; nothing is said into a run."""
        practice = self._practice
        if practice is None:
            return None
        say = {
            Stage.READY: practice.say,
            Stage.RUN: "",
            Stage.RESULT: travel.HOW_DID_IT,
        }[practice.stage]
        title = f"Practice, {practice.case.value}"
        number, of = practice.at + 1, len(practice.steps)
        return LedStep("practice", title, number, of, say, "", CAN[practice.stage])

    def reply(self, request: Request, paced: Paced, kept: Kept, runs: bool) -> Reply:
        """The reply to a request about practice, once it is done."""
        match paced.act:
            case PaceAct.STOP:
                was, self._practice, self._hand.marking = self._practice, None, None
                return Answer(request, technique=(PRACTICE_OVER if was else NO_PRACTICE,))
            case PaceAct.GO_ON:
                return self.go_on(request, runs)
            case PaceAct.LEFT:
                return self._show(request, paced)
            case _:
                return self._begin(request, paced, kept, runs)

    def controlled(self, request: Request, control: Control, runs: bool) -> Reply | None:
        """The reply to a word about the talk that is meant for the practice; None for no such."""
        practice = self._practice
        if practice is None:
            return None
        if control is Control.MORE and practice.stage is Stage.READY:
            return self.go_on(request, runs)
        if control is Control.BACK:
            self._practice = went_back(practice)
            self._hand.marking = None
            return Answer(request, technique=(self._practice.say,))
        if control is Control.AGAIN:
            return Answer(request, technique=(practice.say,))
        return None

    def go_on(self, request: Request, runs: bool) -> Reply:
        """That is done: the next sentence, or, where a run is cut, a mark."""
        practice = self._practice
        if practice is None:
            return Answer(request, technique=(NO_PRACTICE,))
        match practice.stage:
            case Stage.READY:
                self._practice = went_on(practice)
                return Answer(request, technique=(self._practice.say,))
            case Stage.RUN:
                return self.mark(request, MARK, runs)
            case Stage.RESULT:
                return Answer(request, technique=(SAY_RESULT,))

    def mark(self, request: Request, paced: Paced, runs: bool) -> Reply:
        """A mark on the coupon; before and after its run there is none."""
        practice = self._practice
        if practice is None or paced.act is PaceAct.STOP:
            return self._hand.mark(request, paced, runs)
        if practice.stage is not Stage.RUN:
            waits = SAY_RESULT if practice.stage is Stage.RESULT else practice.say
            return Answer(request, technique=(waits,))
        reply = self._hand.mark(request, paced, runs, inches(coupons.RUN))
        if self._hand.run is not None:
            self._practice = ran(practice, self._hand.run.speed)
        return reply

    def result(self, request: Request, result: CutResult) -> Reply:
        """How the coupon came out; before its run there is nothing to judge."""
        practice = self._practice
        if practice is None:
            return self._hand.result(request, result)
        if practice.stage is not Stage.RESULT:
            waits = RUN_FIRST if practice.stage is Stage.RUN else practice.say
            return Answer(request, technique=(waits,))
        self._hand.teach(result)
        after, coupon = judged(practice, result, self._hand.now())
        self._file.add(coupon)
        self._practice = after
        own = self._file.read(coupon.who)
        of_case = [each for each in own if each.case is coupon.case]
        said = coupons.judged_said(coupon, reading(result).change, of_case)
        self._record.put(_note(coupon, said))
        return Answer(request, technique=said, progress=Progress(coupon.who, own))

    def _show(self, request: Request, paced: Paced) -> Reply:
        who = paced.who or (self._practice.who if self._practice else NOBODY)
        found = self._file.read(who)
        said = coupons.progress_said(who, found)
        return Answer(request, technique=said, progress=Progress(who, found) if found else None)

    def _begin(self, request: Request, paced: Paced, kept: Kept, runs: bool) -> Reply:
        if paced.case is None:
            cases = tuple(f"practice {case.value}" for case in PracticeCase)
            return Question(request, Asks.CASE, WHICH_CASE, cases)
        found = coupons.prepare(paced.case, request, kept, self._hand.lessons())
        if not isinstance(found, coupons.Prepared):
            return found
        if not runs:  # asked once: nothing can be led or measured
            return Answer(request, technique=(*found.steps, MEASURED_WHEN_IT_RUNS))
        self._hand.compare_with(found.reply, found.listed, kept)
        self._hand.marking = self._hand.run = None
        who = paced.who or NOBODY
        self._practice = Practice(paced.case, who, found.steps, found.low, found.high)
        return Answer(request, technique=(self._practice.say,))


def _note(coupon: Coupon, said: tuple[str, ...]) -> Note:
    return Note(
        RecordKind.PRACTICE,
        understood=f"{coupon.who}, {coupon.case.value}, {coupon.result.value}",
        said=" ".join(said),
        detail={
            "who": coupon.who,
            "number": coupon.speed,
            "unit": "in/min",
            "limits": (coupon.low, coupon.high),
            "right": coupon.passed,
        },
    )
