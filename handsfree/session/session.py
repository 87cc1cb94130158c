"""Words in, a told reply out: the one file that knows every room and wires them together.

Spoken, typed and tapped words take the same way: understanding, a step of the talk, the cutting
engine, wording. What the user keeps (tips and rig) is read once and written at each change.
"""

import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from handsfree.dialogue.doubt import Verdict, emergency, is_urgent, least_sureness, weigh
from handsfree.dialogue.repeating import MORE, SaidBefore, repeated
from handsfree.dialogue.talk import picked_option, step
from handsfree.dialogue.talk_state import (
    AnswerIt,
    Between,
    ConfirmFirst,
    DoIt,
    Effect,
    KeepIt,
    SayIt,
    Talk,
    Understood,
    asked,
    closed,
    is_open,
    refused,
)
from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.engine.dealt_with import refuse_standing
from handsfree.engine.defaults import taken_as_read
from handsfree.engine.limits import fuel_of
from handsfree.engine.take_up.changes import applied
from handsfree.errors import SettingsError
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.writer import LogbookWriter
from handsfree.pacing.pacing import OF_PACE, Pacing
from handsfree.session.changes import (
    planned_again,
    ticked_by_result,
    with_change,
)
from handsfree.session.procedures import STEP, LedLists, led_lists
from handsfree.session.rival_readings import (
    CONFIRM_WORDS,
    not_caught,
    numbers,
    told_apart,
    which_of,
)
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Kept, Settings, cache_folder
from handsfree.store.work_list import WorkList
from handsfree.understand.alike import said_alike
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.understanding import HINTS, Understanding
from handsfree.values import (
    About,
    Answer,
    BoxChange,
    Control,
    Failed,
    Noted,
    NotUnderstood,
    Part,
    Pick,
    Question,
    Refusal,
    Reply,
    Request,
    Sense,
    Taken,
    Told,
    Wanted,
    Words,
    YesKind,
)
from handsfree.values.reply import Asks
from handsfree.wording.reply import told

SHALL_I_KEEP = "Shall I keep that?"
_SHALL_I = {BoxChange.REMOVE: "Shall I take it out of the box?"}
NOT_KEPT = "The change before that was not kept."
NOTHING_YET = "Nothing was said yet. Ask for a cut, or say help."
NOTHING_BEFORE = "Nothing was said before that."
HELP_GOING_ON = (
    "Of the last answer, say, more, say again, or go back.",
    "For the next piece say, what about, and its size.",
)
HELP_TALKING = "Say slower, louder, or stop, at any time."
REPEATS = (Control.AGAIN, Control.MORE, Control.BACK)
# at most so sure of words that sound like others: asked about, never taken, were it a fire
SOUNDS_ALIKE = 0.45
TYPED = 1.0  # how sure typed and tapped words are


class Session:
    """One talk with one user; safe to call from several threads, one turn at a time.

    Args:
        settings: where tips and rig are kept; the user's own file when None.
        grammar_folder: grammar/ that came with this copy when None.
        logbook: where replies are written down; nowhere when None.
        attention: the user's own phrase that may stand before a request; the grammar's when None.
        clock: seconds that only move forward.
        wall: the machine's clock, in seconds.
        leads: lists are led step by step; else a list that is asked for is said as a whole.

    Attributes:
        faults: what is wrong with what is kept, from the start on; tell it to whoever shows it.
        record: takes what happens beside replies into the logbook: steps, lists, timers.
        lists: leads the list that is under way; None where lists are not led.
        pacing: times that run, the beat, marks, what cuts taught, and practice.
    """

    def __init__(
        self,
        settings: Settings | None = None,
        grammar_folder: Path | None = None,
        logbook: Logbook | None = None,
        attention: str | None = None,
        clock: Callable[[], float] = time.monotonic,
        wall: Callable[[], float] = time.time,
        leads: bool = False,
    ) -> None:
        self._settings = settings or Settings()
        folder, self.faults = self._settings.path.parent, self._settings.faults
        self.record = LogbookWriter(
            logbook, lambda fault: self.faults.add(Failed(Part.LOGBOOK, fault))
        )
        if logbook is not None:
            logbook.faults.tell_to(self.faults.add)
        self._kept = self._settings.read()
        self._work = WorkList(folder, self.faults)
        self.pacing = Pacing(folder, self.record, clock, wall, self.faults)
        self.grammar: Grammar = load_grammar(
            grammar_folder or shipped_folder("grammar"),
            cache=cache_folder() / "grammar",
            attention=attention,
        )
        self._understanding = Understanding(self.grammar)
        self.lists: LedLists | None = None
        if leads:
            self.lists = led_lists(
                folder,
                grammar_folder,
                lambda: self._kept,
                self.record,
                self.pacing.begin,
                faults=self.faults,
                wall=wall,
            )
        self._talk = Talk()
        self._said = SaidBefore()
        self._in_figures = False  # a number of this turn had a rival as plausible
        self._turn = threading.Lock()

    def take(self, words: Words) -> Told:
        """The reply to words, told; raises as `turn`."""
        return self.turn(words).told

    def turn(self, words: Words) -> Taken:
        """The reply to words, told, and what it leaves open.

        Raises:
            SettingsError: a change could not be kept; nothing was changed.
        """
        with self._turn:
            taken = self._told(words)
            if taken.control is None or taken.control is Control.MORE:
                self.record.put(taken.told)
            return taken

    def drop(self) -> None:
        """Close the question that is open, if one is; nothing is changed by it."""
        with self._turn:
            self._talk = closed(self._talk)

    def _told(self, words: Words) -> Taken:
        if self.lists is None:
            return self._replied(words)
        taken = self.lists.turn(
            words,
            is_open(self._talk),
            lambda: self._replied(words),
            lambda: self.pacing.led is not None or is_urgent(self.means(words.text)),
        )
        if taken.told.kind == STEP:
            self._said = self._said.and_now(taken.told)
        return taken

    def _replied(self, words: Words) -> Taken:
        waiting = self._talk.change
        reply = self._reply(words)
        if isinstance(reply, Control):
            leads = self.pacing.led is not None
            return Taken(self._controlled(words, reply), reply, is_open(self._talk), leads)
        if self.lists is not None and isinstance(reply, Answer) and reply.list_key:
            return Taken(self.lists.begin(words, reply.list_key), None, False, leads=True)
        spoken = told(words, reply, _citation, in_figures=self._in_figures)
        if waiting is not None and isinstance(reply, Answer | Question | Refusal):
            spoken = self._with_what_was_dropped(spoken, waiting, reply)
        if not isinstance(reply, NotUnderstood):
            self._said = self._said.and_now(spoken)
        if (led := self.pacing.led) is not None:
            spoken = replace(spoken, led=led, options=spoken.options or led.can_say)
        return Taken(spoken, None, is_open(self._talk), led is not None)

    def _with_what_was_dropped(self, spoken: Told, waiting: Request, reply: Reply) -> Told:
        """The reply, and that the change which waited for a yes is no longer there to be kept."""
        request = None if isinstance(reply, NotUnderstood | Noted) else reply.request
        if request is not None and _changes_the_same(request, waiting):
            return spoken
        if isinstance(reply, Question):
            return replace(spoken, sentences=(NOT_KEPT, *spoken.sentences))
        last = spoken.sentences[-1:] if spoken.sentences[-1:] == (MORE,) else ()
        before = spoken.sentences[: len(spoken.sentences) - len(last)]
        return replace(spoken, sentences=(*before, NOT_KEPT, *last))

    def reply(self, words: Words) -> Reply | Control:
        """The reply to words as a value, before it is worded; raises as `take`."""
        with self._turn:
            return self._reply(words)

    def _reply(self, words: Words) -> Reply | Control:
        understood, before = self._understood(words), self._talk
        if not is_open(before) and (paced := self.pacing.meanwhile(understood)) is not None:
            return paced
        self._talk, effect = step(self._talk, understood, words.sureness)
        try:
            return self._effected(effect, before)
        except SettingsError:
            self._talk = before  # a yes that could not be kept may be said again
            raise

    def _effected(self, effect: Effect, before: Talk) -> Reply | Control:
        match effect:
            case SayIt(reply):
                return reply
            case DoIt(control):
                return control
            case AnswerIt(request) if request.about in OF_PACE and not self._stops(request):
                paced = self.pacing.reply(request, self._kept)
                ticked = ticked_by_result(paced, self._talk.last, self._work)
                return self._asking_on(ticked, before)
            case AnswerIt(request):
                complete = taken_as_read(request, self._kept.rig, self._kept.box)
                if not self._stops(request):
                    complete = self._with_list(complete)
                found = answer(complete, self._kept.rig, self._kept.box)
                found = self.pacing.with_lessons(found, self._kept)
                if request.about is About.HELP and isinstance(found, Answer):
                    found = replace(found, technique=(*found.technique, *self._can_say()))
                return self._asking_on(found, before)
            case KeepIt(request):
                return self._changed(request, before)
            case ConfirmFirst(request):
                return self._confirm_first(request, before)

    def _stops(self, request: Request) -> bool:
        """Whether a danger that was told stops the request before anything is done about it."""
        fuel = fuel_of(request, self._kept.rig)
        return bool(request.hazards or refuse_standing(request, fuel))

    def _with_list(self, request: Request) -> Request:
        """A request about what goes up with the whole list, which is kept as it changes.

        One whose coatings were asked about has changed the list already.
        """
        was_asked = any(yes.kind is YesKind.COATING for yes in request.confirmed)
        if request.about is not About.TAKE_UP or was_asked:
            return request
        whole = request

        def change(kept: tuple[Wanted, ...]) -> tuple[Wanted, ...]:
            nonlocal whole
            wanted, whole = applied(kept, request)
            return wanted

        self._work.update(change)
        return whole

    @property
    def kept(self) -> Kept:
        """The user's tips and rig as they are now."""
        return self._kept

    @property
    def unwritten(self) -> int:
        """How many entries the disk has refused so far; they wait."""
        return self.record.waiting

    def start_afresh(self) -> None:
        """Close whatever question is open: the next words begin a new talk."""
        with self._turn:
            self._talk = Talk()
            self._said = SaidBefore()

    def means(self, text: str) -> object:
        """What a text comes to, so that two readings of one meaning are no doubt to each other."""
        return self.sense(text).meaning

    def sense(self, text: str) -> Sense:
        """Likewise, and how unlikely people are to put it like this."""
        return self._understanding.sense(text)

    def emergency(self, text: str) -> str | None:
        """Which emergency's list a text is for; None where it is for none."""
        return emergency(self.means(text))

    def left_open(self) -> Told | None:
        """The offer of a list that was under way when the helper ended; None where none was."""
        return None if self.lists is None else self.lists.left_open()

    def answer_sense(self, text: str) -> Sense:
        """Likewise for an answer to the step of a list that is led."""
        return Sense(text) if self.lists is None else self.lists.sense(text)

    def _understood(self, words: Words) -> Understood:
        """What the words mean; when they were not heard surely, what to ask about them."""
        self._in_figures = False
        understood = self._understanding.request(words)
        if isinstance(understood, Pick) and (option := picked_option(self._talk, understood.which)):
            understood = self._understanding.request(Words(option))
        if words.sureness >= TYPED or self.pacing.waits_for(understood):
            return understood
        if isinstance(understood, NotUnderstood) and self.pacing.led is not None:
            waited = self.pacing.waited_for(words, self._understanding.request)
            quiet = NotUnderstood(words.text, "") if self.pacing.runs_now else not_caught(words)
            return waited or quiet
        if not isinstance(understood, Request):
            caught = words.sureness >= least_sureness(understood)
            return understood if caught else not_caught(words)
        others = (self._understanding.request(Words(text)) for text in words.others)
        readings = [understood]
        for other in others:
            if isinstance(other, Request) and other not in readings:
                readings.append(other)
        sureness = words.sureness
        for text in said_alike(words.text):
            alike = self._understanding.request(Words(text))
            if isinstance(alike, Request) and alike != understood and self._is_plausible(alike):
                readings = [understood, alike, *(r for r in readings[1:] if r != alike)]
                sureness = min(sureness, SOUNDS_ALIKE)
        verdict, meant = weigh(sureness, readings, self._is_plausible)
        self._in_figures = any(
            numbers(other) != numbers(meant[0]) and self._is_plausible(other)
            for other in (readings if meant else ())
        )
        match verdict:
            case Verdict.TAKE:
                return meant[0]
            case Verdict.ASK:
                apart = told_apart(meant)
                return Between(which_of(apart), apart)
            case Verdict.AGAIN:
                return not_caught(words)

    def _is_plausible(self, request: Request) -> bool:
        """Whether the engine can make anything of it but ask for it again."""
        reply = answer(
            taken_as_read(request, self._kept.rig, self._kept.box), self._kept.rig, self._kept.box
        )
        return not isinstance(reply, Question) or not reply.again

    def _controlled(self, words: Words, control: Control) -> Told:
        """What was said, again; the next part of it; or nothing but that the word was heard."""
        if control not in REPEATS:
            return Told("answer", words.text, words.sureness, control.value, "", (), ())
        self._said, repeat = repeated(self._said, control)
        if repeat is None:
            nothing = NOTHING_BEFORE if self._said.replies else NOTHING_YET
            return told(words, NotUnderstood(words.text, nothing, HINTS), _citation)
        return replace(repeat, heard=words.text, sureness=words.sureness)

    def _can_say(self) -> tuple[str, ...]:
        """What can be said now beside a new request; an open question is put again instead."""
        going_on = HELP_GOING_ON if self._said.replies else ()
        return (*going_on, HELP_TALKING)

    def _asking_on(self, reply: Reply, before: Talk) -> Reply:
        """The reply, remembered where the next words can answer it or it holds for them, too."""
        if isinstance(reply, Question):
            self._talk = asked(self._talk, reply, before)
        elif isinstance(reply, Refusal):
            self._talk = refused(self._talk, reply)
        return reply

    def _changed(self, request: Request, before: Talk) -> Reply:
        """Keep a change that the engine has no question about, on what is kept by now."""
        self._kept = self._settings.read()
        reply = answer(request, self._kept.rig, self._kept.box)
        if isinstance(reply, Answer):
            self._kept = self._settings.update(lambda kept: with_change(kept, request))
            reply = planned_again(reply, self._work, self._kept)
        return self._asking_on(reply, before)

    def _confirm_first(self, request: Request, before: Talk) -> Reply:
        """Read a change back; it waits in the talk for a yes."""
        reply = answer(request, self._kept.rig, self._kept.box)
        if isinstance(reply, Answer):
            prompt = _SHALL_I.get(request.change or BoxChange.USE, SHALL_I_KEEP)
            return Question(request, Asks.CONFIRM, prompt, CONFIRM_WORDS)
        self._talk = closed(self._talk)
        return self._asking_on(reply, before)


def _changes_the_same(request: Request, waiting: Request) -> bool:
    """Whether a request is the waiting change itself, kept, corrected or asked about."""
    tips = waiting.tip, request.tip
    stamps = {tip.stamp for tip in tips if tip is not None}
    return request.about is waiting.about and len(stamps) < len(tips)


def _citation(key: str) -> str:
    return tables.source(key).citation
