"""Wires the leading of lists: words to answers, answers to the record, the file and what is said.

A session asks it first what words are to the step that waits. What is no answer to any step it
answers itself, and the step is put again behind that; what is an answer to another step stays one
that does not fit, and never becomes a request.
"""

import re
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from handsfree.dialogue import procedure as leading_of
from handsfree.dialogue.procedure import Leading, Led
from handsfree.engine import tables
from handsfree.engine.step_answer import led_list
from handsfree.errors import SettingsError
from handsfree.logbook.notes import Note, note_of
from handsfree.logbook.writer import LogbookWriter
from handsfree.session.procedure_file import LedListFile
from handsfree.store.faults import Faults
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Kept, cache_folder
from handsfree.understand.answers import Answers
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.values import (
    Confirmed,
    Expect,
    LedStep,
    ListMark,
    Sense,
    StepAnswer,
    StepAnswerKind,
    StepList,
    Taken,
    Timing,
    Told,
    Words,
)
from handsfree.values.record import RecordKind
from handsfree.wording.ear import for_the_ear
from handsfree.wording.twice import read_both_ways

STEP = "step"
"""Kind of a reply that leads: it goes on record as what was confirmed, not as a reply."""

NO_ANSWER = "I did not get that."
_SAID_BACK = re.compile(r"(?:Did you say )?[.\d](?!\d* CFR)")
"""A number that was heard; a rule that is quoted begins with one too."""

NOT_AN_ANSWER = 4.0  # nats: what is no answer to the step was less likely said by so much


class LedLists:
    """The list that is led in a session, with those that were put aside for it.

    Args:
        grammar: of the state `answers`.
        file: keeps the list over a restart.
        kept: the user's tips and rig, as they are now.
        record: takes what is confirmed, before anything is said.
        begin_time: begins a time; called with what a step starts.
        faults: takes what is wrong with the file.
        wall: the machine's clock, in seconds.
        left: the list that was under way when the helper ended; None for none.
    """

    def __init__(
        self,
        grammar: Grammar,
        file: LedListFile,
        kept: Callable[[], Kept],
        record: LogbookWriter,
        begin_time: Callable[[Timing], object],
        faults: Faults,
        wall: Callable[[], float] = time.time,
        left: Leading | None = None,
    ) -> None:
        self._answers = Answers(grammar)
        self._kept = kept
        self._record = record
        self._begin_time = begin_time
        self._faults = faults
        self._wall = wall
        self._runs = 0
        self._file = file
        self._left_open = left is not None
        self._leading = None if left is None else leading_of.offered(left).leading

    @property
    def led(self) -> LedStep | None:
        """The step that waits, None when no list is led."""
        return None if self._leading is None else leading_of.shown(self._leading)

    def turn(
        self,
        words: Words,
        open_question: bool,
        replied: Callable[[], Taken],
        goes_first: Callable[[], bool] = lambda: False,
    ) -> Taken:
        """The answer to the step that waits, else the reply to a request and the step again.

        Args:
            words: what was said.
            open_question: a question about a request is open: the words answer that first.
            replied: the reply to the words as a request.
            goes_first: whether words that would answer another step are said of a danger, or to
                what else waits for a word.
        """
        answer = None if open_question else self.reads(words)
        if answer is not None and (self.fits(answer) or not goes_first()):
            return _taken(self.answered(words, answer))
        taken = replied()
        if self.led is None or taken.control is not None or taken.told.led is not None:
            return replace(taken, leads=taken.leads or self.led is not None)
        if taken.told.kind == "not_understood" and not open_question:
            led = self.not_answered(words) if answer is None else self.answered(words, answer)
            return _taken(led)
        told = taken.told if taken.asks else self.with_step(taken.told)
        return replace(taken, told=replace(told, led=self.led), leads=self.led is not None)

    def left_open(self) -> Told | None:
        """The offer of a list that was under way when the helper ended; None where none was."""
        if self._leading is None or not self._left_open:
            return None
        led = leading_of.offered(self._leading)
        return self._told(Words(""), "", led.sentences)

    def reads(self, words: Words) -> StepAnswer | None:
        """What words are to the step that waits; None where they are no answer to any step."""
        return None if self._leading is None else self._answers.of(words, self._leading.step)

    def sense(self, text: str) -> Sense:
        """What a text comes to as an answer to the step that waits; itself where it is none.

        So "shut" and "it's shut" are no doubt to each other.
        """
        answer = self.reads(Words(text))
        return Sense(text, NOT_AN_ANSWER) if answer is None else Sense(replace(answer, text=""))

    def fits(self, answer: StepAnswer) -> bool:
        """Whether it is an answer to this very step, or steers the list: nothing else is meant."""
        if self._leading is None:
            return False
        step = self._leading.step
        match answer.kind:
            case StepAnswerKind.SEEN:
                return step.seen(answer.sight) is not None and not self._leading.offered
            case StepAnswerKind.NUMBER:
                return step.limit is not None
        return True

    def begin(self, words: Words, key: str) -> Told:
        """Begin a list; what is led is put aside."""
        run = self._new_run()
        led = leading_of.begin(self._list(key), self._wall(), run, self._leading)
        return self._led(words, self._list(key).title, led)

    def answered(self, words: Words, answer: StepAnswer) -> Told:
        """The reply to an answer: on record first, then said."""
        assert self._leading is not None
        led = leading_of.answered(self._leading, answer, self._wall(), self._list, self._new_run)
        return self._led(words, answer.sight or answer.kind.value, led)

    def not_answered(self, words: Words) -> Told:
        """Words of which nothing could be made: a name where one is asked for, else it stays."""
        assert self._leading is not None
        names = self._leading.step.expects is Expect.NAMED and not self._leading.offered
        if names and (named := self._answers.named(words)) is not None:
            return self.answered(words, named)
        led = leading_of.not_understood(self._leading, NO_ANSWER)
        return replace(self._led(words, "", led), kind="not_understood")

    def with_step(self, told: Told) -> Told:
        """A reply to something else, and the step again behind it."""
        leading = self._leading
        if leading is None:
            return told
        if leading.offered and not leading.begun:
            self._leading = None  # he has something else in mind than the list that was offered
            return told
        again = _ears(leading_of.again(leading))
        return replace(told, sentences=(*told.sentences, *again), led=leading_of.shown(leading))

    # --- inside ---------------------------------------------------------------------------------

    def _led(self, words: Words, understood: str, led: Led) -> Told:
        """Record, file and times of a turn, in this order; then what is said of it."""
        notes = [_on_record(record, words) for record in led.records]
        if led.alarm:
            said = " ".join(led.sentences)
            notes.append(Note(RecordKind.ALARM, words.text, understood, said))
        if notes:
            self._record.put(*notes)
        changed = led.leading != self._leading
        self._leading, self._left_open = led.leading, False
        if changed:
            try:
                self._file.write(led.leading)
            except SettingsError as fault:  # the list goes on; a restart would not find it
                self._faults.kept(str(fault))
        for timing in led.starts:
            self._begin_time(timing)
        told = self._told(words, understood, led.sentences)
        danger = led.alarm and told.led is not None and not told.led.emergency
        return replace(told, led=replace(told.led, alarm=True)) if danger and told.led else told

    def _told(self, words: Words, understood: str, sentences: tuple[str, ...]) -> Told:
        step = self.led
        return Told(
            kind=STEP,
            heard=words.text,
            sureness=words.sureness,
            understood=understood,
            about="steps",
            request=(("about", "steps"), ("steps", step.key)) if step else (("about", "steps"),),
            sentences=_ears(sentences),
            technique=_shown(sentences, step),
            options=() if self._leading is None else leading_of.can_tap(self._leading),
            cautions=() if self._leading is None else _cautions(sentences, self._leading.list),
            led=step,
        )

    def _list(self, key: str) -> StepList:
        return led_list(key, self._kept().rig)

    def _new_run(self) -> str:
        self._runs += 1
        return f"{self._wall():.0f}-{self._runs}"


def _shown(sentences: tuple[str, ...], step: LedStep | None) -> tuple[str, ...]:
    """What the page shows of what is said: the step alone where it is put, else what is said of it.

    >>> step = LedStep("test", "Test", 1, 2, "Soap it.", "What do you see?", ())
    >>> _shown(("Test.", "Mind it.", "Soap it.", "What do you see?"), step)
    ('Soap it.', 'What do you see?')
    >>> _shown(("Wipe it.",), step)
    ('Wipe it.', 'What do you see?')
    >>> _shown(("Wipe it. What do you see?",), step)
    ('Wipe it. What do you see?',)
    """
    if step is None:
        return sentences
    if step.say in sentences:
        return (step.say, step.ask)
    asked = any(sentence.endswith(step.ask) for sentence in sentences)
    return tuple(dict.fromkeys(sentences if asked else (*sentences, step.ask)))


def _cautions(sentences: tuple[str, ...], steps: StepList) -> tuple[str, ...]:
    """The cautions of a list that are said, for the page to keep beside the first step."""
    return tuple(caution for caution in steps.cautions if caution in sentences)


def _taken(told: Told) -> Taken:
    return Taken(told, None, asks=False, leads=told.led is not None)


def led_lists(
    folder: Path,
    grammar_folder: Path | None,
    kept: Callable[[], Kept],
    record: LogbookWriter,
    begin_time: Callable[[Timing], object],
    *,
    faults: Faults,
    wall: Callable[[], float],
) -> LedLists:
    """Lists that are led, with the grammar of their answers and what was left under way.

    Args:
        folder: where the file of the list lies.
        grammar_folder: grammar/ that came with this copy when None.
        kept: as of `LedLists`, as are the others.
        record: likewise.
        begin_time: likewise.
        faults: likewise.
        wall: likewise.
    """
    grammar = load_grammar(
        grammar_folder or shipped_folder("grammar"), "answers", cache_folder() / "grammar"
    )
    file = LedListFile(folder, lambda key: led_list(key, kept().rig), faults)
    return LedLists(grammar, file, kept, record, begin_time, faults, wall, file.read())


def _on_record(record: Confirmed | ListMark, words: Words) -> Note:
    """A record as a note: its source as it is cited, and a beginning with the words of it."""
    if isinstance(record, Confirmed) and record.source:
        record = replace(record, source=tables.source(record.source).citation)
    note = note_of(record)
    return replace(note, heard=words.text) if note.kind is RecordKind.LIST_BEGUN else note


def _ears(sentences: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(_aloud(sentence) for sentence in sentences if sentence)


def _aloud(sentence: str) -> str:
    """A sentence as a voice reads it; a number that is said back is read both ways.

    >>> _aloud("15 psi."), _aloud("Did you say 30 psi? Say it again.")
    ('Fifteen, one five, p s i.', 'Did you say thirty, three oh, p s i? Say it again.')
    >>> _aloud("29 CFR 1926.350(h): It shall be replaced.")
    'Twenty nine C F R nineteen twenty six point three five oh, paragraph H, It shall be replaced.'
    """
    said = for_the_ear(sentence)
    if not _SAID_BACK.match(sentence):
        return said
    return for_the_ear(read_both_ways(said.rstrip(".").lower()))
