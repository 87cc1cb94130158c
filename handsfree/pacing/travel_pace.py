"""The hand at the torch: its beat, its travel between two marks, and what its cuts taught.

What is compared with is the cut that was asked about last; what a cut teaches is kept by tip and
thickness, and moves the travel of the next answer within its limits.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from handsfree.engine.answer import answer
from handsfree.engine.defaults import taken_as_read
from handsfree.engine.learned import (
    against,
    cuts_of,
    learned,
    move_of,
    tip_key,
    tip_said,
)
from handsfree.engine.limits import gate
from handsfree.engine.tips import KnownTip, tip_on_hand
from handsfree.logbook.notes import Note
from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing import travel
from handsfree.pacing.timekeeper import START_IT
from handsfree.store.local_time import local_time
from handsfree.store.pace_files import CutsFile
from handsfree.store.settings import Kept
from handsfree.values import About, Answer, Question, Refusal, Reply, Request
from handsfree.values.record import RecordDetail, RecordKind
from handsfree.values.reply import Asks
from handsfree.values.timing import Against, CutLesson, CutResult, PaceAct, Paced
from handsfree.values.units import Quantity, inches_a_minute

NOT_KEPT: Final = "Nothing is cut at that pace. It is not kept. Mark again."
MEASURABLE: Final = "From one inch to ten feet can be measured. Over what length?"
AT_WHAT_SPEED: Final = "At what speed? Say, beat at, and the inches a minute."
WHICH_TIP: Final = "Which tip? Say its number, or its plate."
NO_HELPER: Final = "I time marks while the helper runs."
MARK: Final = Paced(PaceAct.MARK)


class Hand:
    """Beat, marks and results of one talk; not safe for several threads by itself.

    Args:
        file: keeps how cuts came out.
        record: takes runs and results into the logbook.
        clock: seconds that only move forward.
        wall: the machine's clock, in seconds.

    Attributes:
        beats: sounds the beat; None where nothing can.
        run: what was measured last and waits for its result.
        usual_preheat: of the cut that was asked about last, the long end; None for none.
        marking: the run that is being measured.
    """

    def __init__(
        self,
        file: CutsFile,
        record: LogbookWriter,
        clock: Callable[[], float],
        wall: Callable[[], float],
    ) -> None:
        self._file = file
        self._record = record
        self._clock = clock
        self._wall = wall
        self._cuts: tuple[CutLesson, ...] | None = None
        self._against: Against | None = None
        self._length: Quantity | None = None
        self.beats: travel.Beats | None = None
        self.run: travel.Run | None = None
        self.usual_preheat: Quantity | None = None
        self.marking: travel.Marking | None = None

    # --- what is compared with ------------------------------------------------------------------

    def with_lessons(self, reply: Answer, kept: Kept) -> Reply:
        """An answer with its travel moved by the user's own cuts, past the last gate."""
        moved = gate(learned(reply, self.lessons(), kept.rig, kept.box), kept.rig)
        if not isinstance(moved, Answer):
            return reply
        self.compare_with(moved, reply, kept)
        return moved

    def compare_with(self, moved: Answer, listed: Answer, kept: Kept) -> None:
        """Marks and results belong to this cut from now on.

        Args:
            moved: the answer as it was given.
            listed: the same as the tables have it.
            kept: the user's tips and rig.
        """
        found = against(moved, listed, kept.rig, kept.box)
        preheat = next((each for each in moved.figures if each.name == "preheat_time"), None)
        if found is not None:
            self._against = found
        if preheat is not None or found is not None:
            self.usual_preheat = None if preheat is None else preheat.high

    def lessons(self) -> tuple[CutLesson, ...]:
        """The cuts that count; none where their file cannot be read, which its faults tell."""
        if self._cuts is None:
            self._cuts = self._file.read()
        return self._cuts

    # --- the beat -------------------------------------------------------------------------------

    @property
    def beating(self) -> bool:
        """Whether the beat is on."""
        return self.beats is not None and self.beats.beating

    def hush(self) -> None:
        """End the beat."""
        if self.beats is not None:
            self.beats.beat(None)

    def beat(self, request: Request, paced: Paced, kept: Kept) -> Reply:
        """Begin, change or end the beat."""
        if paced.act is PaceAct.STOP:
            said = travel.BEAT_OFF if self.beating else travel.NO_BEAT
            self.hush()
            return Answer(request, technique=(said,))
        if paced.act in (PaceAct.FASTER, PaceAct.SLOWER):
            return self.changed(request, paced.act)
        if paced.speed is not None:
            return travel.begin_beat(request, paced.speed, self.beats, None)
        held = self._against
        if request.piece is None and held is not None:
            middle = inches_a_minute((held.low + held.high) / 2)
            return travel.begin_beat(request, middle, self.beats, None)
        whole = taken_as_read(request, kept.rig, kept.box)
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
            return Question(request, Asks.SPEED, AT_WHAT_SPEED)
        return travel.begin_beat(whole, (setting.low + setting.high) / 2, self.beats, setting)

    def changed(self, request: Request, act: PaceAct) -> Reply:
        """The beat faster or slower."""
        beats = self.beats
        if beats is None or beats.set_to is None:
            return Answer(request, technique=(travel.NO_BEAT,))
        faster = act is PaceAct.FASTER
        return travel.changed_beat(request, beats.set_to, faster, beats, self._against)

    # --- marks ----------------------------------------------------------------------------------

    def mark(
        self, request: Request, paced: Paced, runs: bool, usual: Quantity | None = None
    ) -> Reply:
        """A mark, or the length over which is marked; `run` holds what was measured by it.

        Args:
            request: what is asked.
            paced: of it.
            runs: a helper runs that hears the second mark.
            usual: the length where none was named.
        """
        if paced.act is PaceAct.STOP:
            was, self.marking = self.marking, None
            return Answer(request, technique=(travel.DROPPED if was else travel.NOT_MARKING,))
        if not runs:
            return Refusal(request, NO_HELPER, instead=(START_IT,))
        length = paced.length
        if length is None and request.piece is not None:  # the answer to "over what length?"
            length = request.piece.thickness
        if length is not None:
            if not travel.length_fits(length):
                return Question(request, Asks.LENGTH, MEASURABLE, again=True)
            self._length = length
            self.marking = travel.Marking(length, self._clock())
            bare = replace(request, piece=None, paced=replace(paced, length=None), defaults=())
            return Answer(bare, technique=(travel.marking_said(length),))
        return self._line_crossed(request, usual or self._length)

    def _line_crossed(self, request: Request, usual: Quantity | None) -> Reply:
        now = self._clock()
        marking = self.marking
        if marking is None:
            if usual is None:
                return Question(request, Asks.LENGTH, travel.OVER_WHAT)
            marking = travel.Marking(usual, now)
        if marking.since is None:
            self.run = None
            self.marking = replace(marking, began=now, since=now)
            return Answer(request, technique=(travel.MARKED,))
        self.marking = None
        run = travel.measured(marking, now)
        if run is None:
            return Answer(request, technique=(NOT_KEPT,))
        self.run = run
        compared = travel.run_said(run, self._against)
        self._note_run(run, compared)
        knows = self._against is not None and self._against.tip
        asked = (travel.HOW_DID_IT,) if knows else ()
        figures = travel.run_figures(run, self._against)
        return Answer(request, figures, technique=(*compared, *asked))

    def _note_run(self, run: travel.Run, compared: tuple[str, ...]) -> None:
        detail: RecordDetail = {"number": round(run.speed, 2), "unit": "in/min"}
        if self._against is not None:
            detail["tip"] = self._against.tip
            detail["thickness"] = self._against.thickness_said
        over = f"{run.speed:.1f} in/min over {float(run.length.m_as('in')):g} in"
        said = " ".join(compared)
        self._record.put(Note(RecordKind.TRAVEL, understood=over, said=said, detail=detail))

    def lost_mark(self) -> bool:
        """Whether a mark did not come in time; then nothing is measured any more."""
        marking = self.marking
        if marking is None or self._clock() - marking.began <= travel.MARK_WITHIN_S:
            return False
        self.marking = None
        return True

    # --- results --------------------------------------------------------------------------------

    def result(self, request: Request, result: CutResult) -> Reply:
        """Keep how a cut came out, and tell what that changes."""
        if self._against is None:
            return Answer(request, technique=(travel.ASK_FIRST,))
        said = self.teach(result)
        return Answer(request, technique=said or (travel.WHICH_TIP,))

    def teach(self, result: CutResult) -> tuple[str, ...]:
        """Keep how the cut came out that is compared with; nothing where its tip is not known.

        Raises:
            SettingsError: it cannot be written; nothing was learned.
        """
        held, run = self._against, self.run
        self.run = None
        if held is None or not held.tip:
            return ()
        if run is not None and self._clock() - run.at > travel.RESULT_WITHIN_S:
            run = None
        cut = travel.lesson(self.now(), held, run, result)
        before = self.lessons()
        self._file.add(cut)
        self._cuts = (*before, cut)
        own = cuts_of(self._cuts, held.tip, held.thickness)
        self._record.put(_result_note(cut, held))
        self._follow(own)
        return travel.result_said(cut, held, own)

    def _follow(self, own: tuple[CutLesson, ...]) -> None:
        """What is compared with next follows what was just learned."""
        held, move = self._against, move_of(own)
        if held is not None:
            factor = 1.0 if move is None else move.factor
            low, high = held.table_low * factor, held.table_high * factor
            self._against = replace(held, low=low, high=high)

    def about_tip(self, request: Request, act: PaceAct, kept: Kept) -> Reply:
        """What a tip taught, shown or forgotten."""
        tip = tip_on_hand(request, kept.box)
        if isinstance(tip, KnownTip):
            key, named = tip_key(tip), tip_said(tip)
        elif self._against is not None and self._against.tip:
            key, named = self._against.tip, self._against.tip_said
        else:
            return Question(request, Asks.TIP, WHICH_TIP)
        cuts = self.lessons()
        if act is PaceAct.LEFT:
            return travel.shown(request, key, named, cuts)

        def forget() -> None:
            self._file.forget(key, self.now())
            self._cuts = tuple(cut for cut in cuts if cut.tip != key)
            self._follow(())

        return travel.forgotten(request, key, named, cuts, forget)

    def now(self) -> str:
        """The moment as it is kept: ISO 8601 with its offset."""
        return local_time(self._wall()).isoformat(timespec="seconds")


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
