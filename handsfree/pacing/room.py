"""Everything that has to do with time and pace, behind one door for the session.

The session hands in what was understood and takes a reply; the helper asks what is due. Between
them stand the times that run, the beat, the run that is being measured, what cuts have taught, and
the practice that is led.
"""

import threading
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final

from handsfree.dialogue.practice import Practice, Stage, judged, ran, went_back, went_on
from handsfree.engine.answer import answer
from handsfree.engine.learned import (
    against,
    cuts_of,
    learned,
    move_of,
    reading,
    tip_key,
    tip_said,
)
from handsfree.engine.limits import gate
from handsfree.engine.tips import KnownTip, tip_on_hand
from handsfree.kept_in_requests import taken_as_read
from handsfree.pacing import coupons, travel
from handsfree.pacing.files import CutsFile, PracticeFile, TimersFile
from handsfree.pacing.timekeeper import START_IT, Timekeeper
from handsfree.settings import Kept
from handsfree.tell.logbook_notes import Note
from handsfree.tell.logbook_writer import LogbookWriter
from handsfree.tell.wording_pace import MARK_LOST
from handsfree.units import Quantity, inches, inches_a_minute
from handsfree.values import (
    About,
    Answer,
    Consent,
    Control,
    Due,
    Question,
    Refusal,
    Reply,
    Request,
)
from handsfree.values.record import RecordDetail, RecordKind
from handsfree.values.steps import LedStep, Timing
from handsfree.values.timing import (
    Against,
    CutLesson,
    CutResult,
    PaceAct,
    Paced,
    PracticeCase,
    Progress,
)

OF_PACE: Final = frozenset({About.TIMER, About.BEAT, About.MARK, About.RESULT, About.PRACTICE})
NOBODY: Final = "cutter one"
WHICH_CASE: Final = "What do you want to practise?"
NO_PRACTICE: Final = "No practice is under way. Say, practice, and the case."
MEASURED_WHEN_IT_RUNS: Final = "The helper measures while it runs: start handsfree."
PRACTICE_OVER: Final = "The practice is over."
RUN_FIRST: Final = "Cut the run first. Say mark at the first line."
SAY_RESULT: Final = "Say how the cut came out: good cut, or what was wrong with it."
CAN_MARK: Final = ("mark", "stop marking")
CAN_RESULT: Final = ("good cut", "would not go through", "slag welded back", "top edge melted")
CAN_GO_ON: Final = ("ready", "say again", "stop the practice")


class Pacing:
    """Time and pace of one talk; safe to call from several threads.

    Args:
        folder: where the user's files lie.
        record: takes what happens into the logbook.
        clock: seconds that only move forward.
        wall: the machine's clock, in seconds.

    Attributes:
        times: the times that run.
    """

    def __init__(
        self,
        folder: Path,
        record: LogbookWriter,
        clock: Callable[[], float] = time.monotonic,
        wall: Callable[[], float] = time.time,
    ) -> None:
        self._clock = clock
        self._wall = wall
        self._record = record
        self._cuts_file = CutsFile(folder)
        self._practice_file = PracticeFile(folder)
        self.times = Timekeeper(TimersFile(folder), record, clock, wall)
        self._cuts: tuple[CutLesson, ...] | None = None
        self._beats: travel.Beats | None = None
        self._against: Against | None = None
        self._preheat: Quantity | None = None
        self._marking: travel.Marking | None = None
        self._length: Quantity | None = None
        self._run: travel.Run | None = None
        self._practice: Practice | None = None
        self._one = threading.RLock()

    def attach(self, beats: travel.Beats | None) -> None:
        """Give it what sounds the beat."""
        self._beats = beats

    # --- for the lists that are led -------------------------------------------------------------

    def begin(self, timing: Timing) -> bool:
        """Start the time that a step starts; whether it outlives the helper."""
        return self.times.begin(timing.name, timing.minutes * 60.0)

    def left(self, name: str) -> float | None:
        """Seconds that are left of a time by its name; 0 once it is over, None when none runs."""
        return self.times.left(name)

    # --- for the helper -------------------------------------------------------------------------

    def due(self) -> tuple[Due, ...]:
        """What is to be said now."""
        told = list(self.times.due())
        with self._one:
            marking = self._marking
            since = None if marking is None else marking.since
            if since is not None and self._clock() - since > travel.MARK_WITHIN_S:
                self._marking = None
                told.append(Due((MARK_LOST,)))
        return tuple(told)

    def until_due(self) -> float | None:
        """Seconds until something may be due; None when nothing runs."""
        moments = [self.times.until_due()]
        with self._one:
            if self._marking is not None and self._marking.since is not None:
                moments.append(self._marking.since + travel.MARK_WITHIN_S - self._clock())
        return min((max(0.0, each) for each in moments if each is not None), default=None)

    # --- for the session ------------------------------------------------------------------------

    @property
    def led(self) -> LedStep | None:
        """What waits for a word without the attention phrase: a mark, or a step of a practice."""
        with self._one:
            practice = self._practice
            if practice is not None:
                return _led(practice)
            if self._marking is not None:
                return LedStep("mark", "Marking", 1, 1, "", "", CAN_MARK)
            return None

    def meanwhile(self, understood: object) -> Reply | None:
        """The reply to a plain word that means something else while a beat or a practice is on.

        "Faster" is the beat's then, and "yes", "more" and "go back" are the practice's. None when
        the word is left to the talk.
        """
        with self._one:
            if isinstance(understood, Control):
                return self._controlled(understood)
            waits = self._practice is not None or self._marking is not None
            if waits and understood == Consent(True):
                return self._go_on(Request(About.PRACTICE, paced=Paced(PaceAct.GO_ON)))
            return None

    def _controlled(self, control: Control) -> Reply | None:
        beats = self._beats
        on = beats is not None and beats.beating
        if beats is not None and on and control in (Control.FASTER, Control.SLOWER):
            act = PaceAct.FASTER if control is Control.FASTER else PaceAct.SLOWER
            return self._changed(Request(About.BEAT, paced=Paced(act)), act)
        if beats is not None and on and control is Control.STOP:
            beats.beat(None)
            return None  # and the talk falls silent, too
        practice = self._practice
        if practice is None:
            return None
        request = Request(About.PRACTICE, paced=Paced(PaceAct.GO_ON))
        if control is Control.MORE and practice.stage is Stage.READY:
            return self._go_on(request)
        if control is Control.BACK:
            self._practice = went_back(practice)
            return Answer(request, technique=(self._practice.say,))
        if control is Control.AGAIN:
            return Answer(request, technique=(practice.say,))
        return None

    def with_lessons(self, reply: Reply, kept: Kept) -> Reply:
        """A reply about a cut with its travel moved by the user's own cuts, past the last gate.

        What it says is what marks and results are compared with from then on.
        """
        if not isinstance(reply, Answer) or reply.request.about in OF_PACE:
            return reply
        with self._one:
            moved = gate(learned(reply, self._lessons(), kept.rig, kept.box), kept.rig)
            if not isinstance(moved, Answer):
                return reply
            self._compare_with(moved, reply, kept)
            return moved

    def _compare_with(self, moved: Answer, listed: Answer, kept: Kept) -> None:
        found = against(moved, listed, kept.rig, kept.box)
        if found is not None:
            self._against = found
        preheat = next((each for each in moved.figures if each.name == "preheat_time"), None)
        if preheat is not None or found is not None:
            self._preheat = None if preheat is None else preheat.high

    def reply(self, request: Request, kept: Kept) -> Reply:
        """The reply to a request about time or pace, once it is done.

        Args:
            request: of an `About` in `OF_PACE`.
            kept: the user's tips and rig.

        Raises:
            SettingsError: what is to be kept cannot be written.
        """
        paced = request.paced
        if paced is None:
            return Refusal(request, "I do not know what to time.", instead=("Say help.",))
        with self._one:
            match request.about:
                case About.TIMER:
                    return self.times.reply(request, self._preheat)
                case About.BEAT:
                    return self._beat_reply(request, paced, kept)
                case About.MARK:
                    return self._mark_reply(request, paced)
                case About.RESULT:
                    return self._result_reply(request, paced, kept)
                case _:
                    return self._practice_reply(request, paced, kept)

    def _lessons(self) -> tuple[CutLesson, ...]:
        if self._cuts is None:
            self._cuts = self._cuts_file.read()
        return self._cuts

    def _now(self) -> str:
        return datetime.fromtimestamp(self._wall()).astimezone().isoformat(timespec="seconds")

    # --- the beat -------------------------------------------------------------------------------

    def _beat_reply(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        if paced.act is PaceAct.STOP:
            on = self._beats is not None and self._beats.beating
            if self._beats is not None:
                self._beats.beat(None)
            return Answer(request, technique=(travel.BEAT_OFF if on else travel.NO_BEAT,))
        if paced.act in (PaceAct.FASTER, PaceAct.SLOWER):
            return self._changed(request, paced.act)
        if paced.speed is not None:
            return travel.begin_beat(request, paced.speed, self._beats, None)
        if request.piece is None and self._against is not None:
            middle = (self._against.low + self._against.high) / 2
            return travel.begin_beat(request, inches_a_minute(middle), self._beats, None)
        whole = taken_as_read(request, kept)
        listed = answer(replace(whole, about=About.TRAVEL_SPEED, paced=None), kept.rig, kept.box)
        if isinstance(listed, Question):
            asked = replace(listed.request or request, about=About.BEAT, paced=paced)
            return replace(listed, request=asked)
        if isinstance(listed, Refusal):
            return replace(listed, request=request)
        if not isinstance(listed, Answer):
            return listed
        moved = self.with_lessons(listed, kept)
        figures = moved.figures if isinstance(moved, Answer) else listed.figures
        setting = next((each for each in figures if each.name == "travel_speed"), None)
        if setting is None:
            return Question(
                request, "speed", "At what speed? Say, beat at, and the inches a minute."
            )
        middle = (setting.low + setting.high) / 2
        return travel.begin_beat(whole, middle, self._beats, setting)

    def _changed(self, request: Request, act: PaceAct) -> Reply:
        beats = self._beats
        if beats is None or not beats.beating or beats.set_to is None:
            return Answer(request, technique=(travel.NO_BEAT,))
        faster = act is PaceAct.FASTER
        return travel.changed_beat(request, beats.set_to, faster, beats, self._against)

    # --- marks ----------------------------------------------------------------------------------

    def _mark_reply(self, request: Request, paced: Paced) -> Reply:
        if paced.act is PaceAct.STOP:
            was, self._marking = self._marking, None
            return Answer(request, technique=(travel.DROPPED if was else travel.NOT_MARKING,))
        practice = self._practice
        if practice is not None and practice.stage is not Stage.RUN:
            waits = SAY_RESULT if practice.stage is Stage.RESULT else practice.say
            return Answer(request, technique=(waits,))
        if not self.times.runs:
            return Refusal(request, "I time marks while the helper runs.", instead=(START_IT,))
        now = self._clock()
        length = paced.length
        if length is None and request.piece is not None:  # the answer to "over what length?"
            length = request.piece.thickness
        if length is not None:
            if not travel.length_fits(length):
                asked = "From one inch to ten feet can be measured. Over what length?"
                return Question(request, "length", asked, again=True)
            self._length = length
            self._marking = travel.Marking(length)
            bare = replace(request, piece=None, paced=replace(paced, length=None), defaults=())
            return Answer(bare, technique=(travel.marking_said(length),))
        marking = self._marking
        if marking is None:
            length = inches(coupons.RUN) if practice is not None else self._length
            if length is None:
                return Question(request, "length", travel.OVER_WHAT)
            marking = travel.Marking(length)
        if marking.since is None:
            self._marking = replace(marking, since=now)
            return Answer(request, technique=(travel.MARKED,))
        self._marking = None
        run = travel.measured(marking, now)
        if run is None:
            again = "Nothing is cut at that pace. It is not kept. Mark again."
            return Answer(request, technique=(again,))
        return self._measured(request, run)

    def _measured(self, request: Request, run: travel.Run) -> Answer:
        self._run = run
        compared = travel.run_said(run, self._against)
        knows = self._practice is not None or (self._against is not None and self._against.tip)
        if self._practice is not None:
            self._practice = ran(self._practice, run.speed)
        figures = travel.run_figures(run, self._against)
        detail: RecordDetail = {"number": round(run.speed, 2), "unit": "in/min"}
        if self._against is not None:
            detail["tip"] = self._against.tip
            detail["thickness"] = self._against.thickness_said
        ran_over = f"{run.speed:.1f} in/min over {float(run.length.m_as('in')):g} in"
        self._record.put(
            Note(RecordKind.TRAVEL, understood=ran_over, said=" ".join(compared), detail=detail)
        )
        asked = (travel.HOW_DID_IT,) if knows else ()
        return Answer(request, figures, technique=(*compared, *asked))

    # --- results --------------------------------------------------------------------------------

    def _result_reply(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        if paced.act in (PaceAct.LEFT, PaceAct.FORGET):
            return self._about_tip(request, paced, kept)
        if paced.result is None:
            return Question(request, "result", travel.HOW_DID_IT, travel.RESULTS)
        practice = self._practice
        if practice is not None and practice.stage is not Stage.RESULT:
            waits = RUN_FIRST if practice.stage is Stage.RUN else practice.say
            return Answer(request, technique=(waits,))
        held = self._against
        if held is None:
            return Answer(request, technique=(travel.ASK_FIRST,))
        run = self._run
        if run is not None and self._clock() - run.at > travel.RESULT_WITHIN_S:
            run = None
        said: tuple[str, ...] = ()
        if held.tip:
            cut = travel.lesson(self._now(), held, run, paced.result)
            self._cuts_file.add(cut)
            self._cuts = (*self._lessons(), cut)
            own = cuts_of(self._cuts, held.tip, held.thickness)
            said = travel.result_said(cut, held, own)
            self._record.put(_result_note(cut, held))
            self._follow(own)
        elif practice is None:
            return Answer(request, technique=(travel.WHICH_TIP,))
        self._run = None
        if practice is None:
            return Answer(request, technique=said)
        return self._judge(request, practice, paced.result)

    def _follow(self, own: tuple[CutLesson, ...]) -> None:
        """What is compared with next follows what was just learned."""
        held = self._against
        if held is None:
            return
        move = move_of(own)
        factor = 1.0 if move is None else move.factor
        self._against = replace(held, low=held.table_low * factor, high=held.table_high * factor)

    def _about_tip(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        tip = tip_on_hand(request, kept.box)
        if isinstance(tip, KnownTip):
            key, named = tip_key(tip), tip_said(tip)
        elif self._against is not None and self._against.tip:
            key, named = self._against.tip, self._against.tip_said
        else:
            return Question(request, "tip", "Which tip? Say its number, or its plate.")
        cuts = self._lessons()
        if paced.act is PaceAct.LEFT:
            return travel.shown(request, key, named, cuts)

        def forget() -> None:
            self._cuts_file.forget(key, self._now())
            self._cuts = tuple(cut for cut in cuts if cut.tip != key)
            self._follow(())

        return travel.forgotten(request, key, named, cuts, forget)

    # --- practice -------------------------------------------------------------------------------

    def _practice_reply(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        match paced.act:
            case PaceAct.STOP:
                was, self._practice, self._marking = self._practice, None, None
                return Answer(request, technique=(PRACTICE_OVER if was else NO_PRACTICE,))
            case PaceAct.GO_ON:
                return self._go_on(request)
            case PaceAct.LEFT:
                who = paced.who or (self._practice.who if self._practice else NOBODY)
                found = self._practice_file.read(who)
                said = coupons.progress_said(who, found)
                progress = Progress(who, found) if found else None
                return Answer(request, technique=said, progress=progress)
            case _:
                return self._begin_practice(request, paced, kept)

    def _begin_practice(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        if paced.case is None:
            cases = tuple(f"practice {case.value}" for case in PracticeCase)
            return Question(request, "case", WHICH_CASE, cases)
        found = coupons.prepare(paced.case, request, kept, self._lessons())
        if not isinstance(found, coupons.Prepared):
            return found
        if not self.times.runs:  # asked once: nothing can be led or measured
            return Answer(request, technique=(*found.steps, MEASURED_WHEN_IT_RUNS))
        self._compare_with(found.reply, found.listed, kept)
        self._marking = self._run = None
        who = paced.who or NOBODY
        self._practice = Practice(paced.case, who, found.steps, found.low, found.high)
        return Answer(request, technique=(self._practice.say,))

    def _go_on(self, request: Request) -> Reply:
        practice = self._practice
        if practice is None:
            if self._marking is not None:  # a pedal marks as well as a word
                return self._mark_reply(
                    Request(About.MARK, paced=Paced(PaceAct.MARK)), Paced(PaceAct.MARK)
                )
            return Answer(request, technique=(NO_PRACTICE,))
        match practice.stage:
            case Stage.READY:
                self._practice = went_on(practice)
                return Answer(request, technique=(self._practice.say,))
            case Stage.RUN:
                return self._mark_reply(
                    Request(About.MARK, paced=Paced(PaceAct.MARK)), Paced(PaceAct.MARK)
                )
            case Stage.RESULT:
                return Answer(request, technique=(SAY_RESULT,))

    def _judge(self, request: Request, practice: Practice, result: CutResult) -> Answer:
        self._practice, coupon = judged(practice, result, self._now())
        self._practice_file.add(coupon)
        own = self._practice_file.read(coupon.who)
        of_case = [each for each in own if each.case is coupon.case]
        said = coupons.judged_said(coupon, reading(result).change, of_case)
        self._record.put(
            Note(
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
        )
        return Answer(request, technique=said, progress=Progress(coupon.who, own))


def _led(practice: Practice) -> LedStep:
    can = {
        Stage.READY: CAN_GO_ON,
        Stage.RUN: ("mark", "stop the practice"),
        Stage.RESULT: CAN_RESULT,
    }
    quiet = practice.stage is Stage.RUN  # nothing is said over a run
    return LedStep(
        "practice",
        f"Practice, {practice.case.value}",
        practice.at + 1,
        len(practice.steps),
        "" if quiet else practice.say if practice.stage is Stage.READY else travel.HOW_DID_IT,
        "",
        can[practice.stage],
    )


def _result_note(cut: CutLesson, held: Against) -> Note:
    return Note(
        RecordKind.RESULT,
        understood=f"{cut.result.value}, {held.thickness_said}",
        detail={
            "tip": cut.tip,
            "thickness": held.thickness_said,
            "number": cut.speed,
            "unit": "in/min",
        },
    )
