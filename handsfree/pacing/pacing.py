"""Everything that has to do with time and pace, behind one door for the session.

The session hands in what was understood and takes a reply; the helper asks what is due. Between
them stand the times that run, the hand with its beat and its marks, and the practice that is led.
"""

import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing import travel
from handsfree.pacing.practising import Practising
from handsfree.pacing.timekeeper import Timekeeper
from handsfree.pacing.travel_pace import MARK, Hand
from handsfree.store.faults import Faults
from handsfree.store.pace_files import CutsFile, PracticeFile, TimersFile
from handsfree.store.settings import Kept
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
    Words,
)
from handsfree.values.heard import UNREAD
from handsfree.values.reply import Asks
from handsfree.values.steps import LedStep, Timing
from handsfree.values.timing import PaceAct, Paced
from handsfree.wording.pace import MARK_LOST

OF_PACE: Final = frozenset({About.TIMER, About.BEAT, About.MARK, About.RESULT, About.PRACTICE})
CAN_MARK: Final = ("mark", "stop marking")


class Pacing:
    """Time and pace of one talk; safe to call from several threads.

    Args:
        folder: where the user's files lie.
        record: takes what happens into the logbook.
        clock: seconds that only move forward.
        wall: the machine's clock, in seconds.
        faults: takes what is wrong with the files.

    Attributes:
        times: the times that run.
    """

    def __init__(
        self,
        folder: Path,
        record: LogbookWriter,
        clock: Callable[[], float] = time.monotonic,
        wall: Callable[[], float] = time.time,
        faults: Faults | None = None,
    ) -> None:
        self._clock = clock
        self.times = Timekeeper(TimersFile(folder, faults), record, clock, wall)
        self._hand = Hand(CutsFile(folder, faults), record, clock, wall)
        self._practising = Practising(self._hand, PracticeFile(folder, faults), record)
        self._waiting: list[Due] = []  # for a run that is being measured
        self._one = threading.RLock()

    def attach(self, beats: travel.Beats | None) -> None:
        """Give it what sounds the beat."""
        self._hand.beats = beats

    # --- for the lists that are led -------------------------------------------------------------

    def begin(self, timing: Timing) -> bool:
        """Start the time that a step starts; whether it outlives the helper."""
        return self.times.begin(timing.name, timing.minutes * 60.0)

    def left(self, name: str) -> float | None:
        """Seconds that are left of a time by its name; 0 once it is over, None when none runs."""
        return self.times.left(name)

    # --- for the helper -------------------------------------------------------------------------

    def due(self) -> tuple[Due, ...]:
        """What is to be said now; into a run that is being measured nothing but an alarm.

        While the helper speaks it hears no mark, so that all else waits for the second one.
        """
        told = self.times.due()
        with self._one:
            if self._hand.lost_mark():
                told = (*told, Due((MARK_LOST,)))
            marking = self._hand.marking
            if marking is not None and marking.since is not None:
                self._waiting += [each for each in told if not each.alarm]
                return tuple(each for each in told if each.alarm)
            waited, self._waiting = tuple(self._waiting), []
            return (*waited, *told)

    def until_due(self) -> float | None:
        """Seconds until something may be due; None when nothing runs."""
        moments = [self.times.until_due()]
        with self._one:
            if (marking := self._hand.marking) is not None:
                moments.append(marking.began + travel.MARK_WITHIN_S - self._clock())
        return min((max(0.0, each) for each in moments if each is not None), default=None)

    # --- for the session ------------------------------------------------------------------------

    @property
    def led(self) -> LedStep | None:
        """What waits for a word without the attention phrase: a mark, or a step of a practice."""
        with self._one:
            if (step := self._practising.led) is not None:
                return step
            marking = self._hand.marking
            return None if marking is None else _mark_waits(marking)

    @property
    def runs_now(self) -> bool:
        """Whether a run is cut or about to be: what is said into it would drown its marks."""
        led = self.led
        return led is not None and not led.say

    def waits_for(self, understood: object) -> bool:
        """Whether that is the very word that is waited for, a mark or "ready".

        It is then taken however surely it was heard: to ask about a mark would spoil the run, and
        one that was none costs no more than that run.
        """
        paced = understood.paced if isinstance(understood, Request) else None
        if paced is None or paced.length is not None:
            return False
        return paced.act in (PaceAct.MARK, PaceAct.GO_ON) and self.led is not None

    def waited_for(self, words: Words, means: Callable[[Words], object]) -> Request | None:
        """The word that is waited for among the readings of words that mean nothing here.

        The ears weigh a mark against every answer to every step; none of those is meant while only
        a mark is waited for. Talk stays talk.

        Args:
            words: as heard.
            means: what a reading comes to.
        """
        if UNREAD in words.text:
            return None
        for text in words.others:
            meant = means(Words(text))
            if isinstance(meant, Request) and self.waits_for(meant):
                return meant
        return None

    def meanwhile(self, understood: object) -> Reply | None:
        """The reply to a plain word that means something else while a beat or a practice is on.

        "Faster" is the beat's then; "yes", "more" and "go back" are the practice's; "yes" is a mark
        while one is waited for. None when the word is left to the talk.
        """
        with self._one:
            if isinstance(understood, Control):
                return self._controlled(understood)
            waits = self._practising.led is not None or self._hand.marking is not None
            if understood == Consent(True) and waits:
                return self._go_on(Request(About.PRACTICE, paced=Paced(PaceAct.GO_ON)))
            return None

    def _controlled(self, control: Control) -> Reply | None:
        hand = self._hand
        if hand.beating and control in (Control.FASTER, Control.SLOWER):
            act = PaceAct.FASTER if control is Control.FASTER else PaceAct.SLOWER
            return hand.changed(Request(About.BEAT, paced=Paced(act)), act)
        if hand.beating and control is Control.STOP:
            hand.hush()
            return None  # and the talk falls silent, too
        request = Request(About.PRACTICE, paced=Paced(PaceAct.GO_ON))
        return self._practising.controlled(request, control, self.times.runs)

    def with_lessons(self, reply: Reply, kept: Kept) -> Reply:
        """A reply about a cut with its travel moved by the user's own cuts.

        What it says is what marks and results are compared with from then on.
        """
        if not isinstance(reply, Answer) or reply.request.about in OF_PACE:
            return reply
        with self._one:
            return self._hand.with_lessons(reply, kept)

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
                    return self.times.reply(request, self._hand.usual_preheat)
                case About.BEAT:
                    return self._hand.beat(request, paced, kept)
                case About.MARK:
                    return self._practising.mark(request, paced, self.times.runs)
                case About.RESULT if paced.act in (PaceAct.LEFT, PaceAct.FORGET):
                    return self._hand.about_tip(request, paced.act, kept)
                case About.RESULT if paced.result is not None:
                    return self._practising.result(request, paced.result)
                case About.RESULT:
                    return Question(request, Asks.RESULT, travel.HOW_DID_IT, travel.RESULTS)
                case _ if paced.act is PaceAct.GO_ON:
                    return self._go_on(request)
                case _:
                    return self._practising.reply(request, paced, kept, self.times.runs)

    def _go_on(self, request: Request) -> Reply:
        """That is done, or there it is: a pedal marks as well as a word."""
        if self._practising.led is None and self._hand.marking is not None:
            return self._hand.mark(Request(About.MARK, paced=MARK), MARK, self.times.runs)
        return self._practising.go_on(request, self.times.runs)


def _mark_waits(marking: travel.Marking) -> LedStep:
    """A mark as a step that waits; it says nothing, since that would be heard instead of it."""
    number = 1 if marking.since is None else 2
    return LedStep("mark", "Marking", number, 2, "", "", CAN_MARK)
