"""The running helper: events of all parts in one queue, a pure step each, effects to the parts.

    ears, keys, page, mouth, session --post--> queue --step--> effects --> mouth, page, ears ...

A part that raises becomes a `Failed`, which is shown and said; whatever else goes wrong inside is
written to standard error with its trace, and the shift goes on. Made ears and a made mouth fit as
well as real ones, which is how whole talks are tested.
"""

import queue
import threading
import time
import traceback
from collections.abc import Callable, Sequence
from typing import Final, Protocol

from handsfree.dialogue.turns import State, Turns, afresh, step
from handsfree.errors import HandsfreeError, SettingsError
from handsfree.page.board import Ear
from handsfree.values import (
    Advise,
    Control,
    Drop,
    EndUtterance,
    Failed,
    Hush,
    Listening,
    Mended,
    Notify,
    Part,
    Prompted,
    Replied,
    Say,
    Show,
    Signal,
    Speak,
    Spoken,
    Take,
    Taken,
    TimeUp,
    Told,
    Tone,
    TurnEffect,
    TurnEvent,
    Typed,
    Words,
)
from handsfree.voice.voice import VoiceSettings

LOOKS_UP_S: Final = 5.0  # not every system lets Ctrl-C into a wait without end
ANSWERS_MEND: Final = frozenset({Part.SESSION, Part.SETTINGS})
"""Parts of which nobody else tells that they work again: a reply that comes through does."""
WENT_WRONG: Final = (
    "Something went wrong inside ({}). Ask again. If it stays, stop the helper and start it again."
)
_EARS: Final = {
    State.WAITING: Ear.WAITING,
    State.LISTENING: Ear.LISTENING,
    State.WORKING: Ear.WORKING,
    State.SPEAKING: Ear.SPEAKING,
    State.STAYING: Ear.LISTENING,
    State.ASKED: Ear.LISTENING,
    State.LED: Ear.LISTENING,
}


class Answers(Protocol):
    """What makes replies: a session."""

    @property
    def unwritten(self) -> int:
        """How many replies wait for the logbook."""

    def turn(self, words: Words) -> Taken:
        """The reply to words."""

    def drop(self) -> None:
        """Close the question that is open."""


class Hears(Protocol):
    """The ears."""

    def listen_for(self, listening: Listening) -> None:
        """Take this in from now on."""

    def end_utterance(self) -> None:
        """Take what was said until now as the whole request."""

    def says(self, sentences: Sequence[str]) -> None:
        """These are the helper's own words now."""


class Speaks(Protocol):
    """The mouth; none of its methods waits."""

    def say(self, sentences: Sequence[str], number: int) -> None:
        """Speak; `Spoken` follows."""

    def tone(self, which: Tone) -> None:
        """Sound a tone."""

    def hush(self) -> None:
        """Be silent now."""

    def adjust(self, how: Control) -> VoiceSettings:
        """Speak otherwise from now on; the settings that this comes to."""


class Shows(Protocol):
    """The board of the page."""

    def publish(self, told: Told) -> None:
        """Pin a reply."""

    def hear(self, ear: Ear) -> None:
        """Show what the hearing does."""

    def notify(self, part: Part, sentence: str = "") -> None:
        """Show a fault, or take it away."""

    def advise(self, sentence: str) -> None:
        """Show what to do about the loudness."""

    def offer(self, phrases: Sequence[str]) -> None:
        """Show what can be said now."""


class Helper:
    """Runs the turns of one talk until it is stopped.

    Args:
        session: makes the replies.
        board: shows them.
        barge_in: "stop" is heard while the helper speaks; for headsets that do not hear it.
        keep: is given the voice's settings when they were changed by voice.
        complain: is given what went wrong inside, with its trace.
        clock: seconds that only move forward.
        threaded: replies are made in a thread of their own, so that a slow one can be told of.
    """

    def __init__(
        self,
        session: Answers,
        board: Shows,
        *,
        barge_in: bool = False,
        keep: Callable[[VoiceSettings], None] = lambda settings: None,
        complain: Callable[[str], None] = lambda trace: None,
        clock: Callable[[], float] = time.monotonic,
        threaded: bool = True,
    ) -> None:
        self.turns = Turns(barge_in=barge_in)
        self._session = session
        self._board = board
        self._keep = keep
        self._complain = complain
        self._clock = clock
        self._ears: Hears | None = None
        self._mouth: Speaks | None = None
        self._listening: Listening | None = None
        self._shown: tuple[Ear, tuple[str, ...]] | None = None
        self._events: queue.SimpleQueue[TurnEvent | None] = queue.SimpleQueue()
        self._work: queue.SimpleQueue[Take | Drop | None] = queue.SimpleQueue()
        self._threaded = threaded
        self._answered = 0  # number of the last `Take` that the session has answered
        self._failed: set[Part] = set()  # of the parts that fail only in the session

    def attach(self, *, ears: Hears | None = None, mouth: Speaks | None = None) -> None:
        """Give it ears and a mouth; without them there are still the page and the keys."""
        self._ears = ears or self._ears
        self._mouth = mouth or self._mouth
        self._tell_parts()

    # --- from any thread ----------------------------------------------------------------------

    def post(self, event: TurnEvent) -> None:
        """Something happened."""
        self._events.put(event)

    def ask(self, text: str) -> None:
        """Somebody typed or tapped words; the reply comes by the board."""
        self.post(Typed(Words(text)))

    def prompt(self, sentence: str) -> None:
        """Asking by touch goes on: say its next step."""
        self.post(Prompted(sentence))

    def take_up(self, left: Told | None) -> None:
        """Say what was left open when the helper ended, if anything was, and await an answer."""
        if left is not None:
            self.post(Replied(left, leads=True))

    def failed(self, fault: Failed) -> None:
        """Something that is kept could not be read or written; an entry waits for the disk."""
        if fault.part is Part.LOGBOOK:
            self._failed.add(Part.LOGBOOK)
        self.post(fault)

    def stop(self) -> None:
        """End `run`; nothing that was posted before is left undone."""
        self._events.put(None)

    # --- the loop -----------------------------------------------------------------------------

    def run(self) -> None:
        """Turn by turn, until `stop`."""
        worker = threading.Thread(target=self._answer_all, name="session", daemon=True)
        worker.start()
        try:
            while self._wait_and_turn():
                pass
        finally:
            self._work.put(None)

    def turn_all(self) -> None:
        """All that waits, and what is due by now; never waits itself."""
        while True:
            try:
                event = self._events.get_nowait()
            except queue.Empty:
                if not self._is_due():
                    return
                event = TimeUp()
            if event is not None:
                self._turn(event)

    def _wait_and_turn(self) -> bool:
        until = self.turns.until
        wait = LOOKS_UP_S if until is None else min(LOOKS_UP_S, max(0.0, until - self._clock()))
        try:
            event = self._events.get(timeout=wait)
        except queue.Empty:
            event = TimeUp() if self._is_due() else None
        else:
            if event is None:
                return False
        if event is not None:
            self._turn(event)
        return True

    def _is_due(self) -> bool:
        return self.turns.until is not None and self._clock() >= self.turns.until

    def _turn(self, event: TurnEvent) -> None:
        try:
            self.turns, effects = step(self.turns, event, self._clock())
        except Exception:  # a fault of ours must not end the shift
            self._complain(traceback.format_exc())
            self.turns = afresh(self.turns, self._clock())
            effects = (Hush(), Signal(Tone.ATTENTION), Drop())
        for effect in effects:
            self._carry_out(effect)
        self._tell_parts()

    def _tell_parts(self) -> None:
        turns, ears = self.turns, self._ears
        if ears is not None and turns.listening is not self._listening:
            self._listening = turns.listening  # first: a part that raises is not asked for ever
            self._guarded(Part.MICROPHONE, lambda: ears.listen_for(turns.listening))
        ear = _EARS[turns.state]
        lost = any(part is Part.MICROPHONE for part, _ in turns.faults)
        if ear in (Ear.WAITING, Ear.LISTENING) and (self._ears is None or lost):
            ear = Ear.DEAF
        if (ear, turns.can_say) != self._shown:
            self._shown = (ear, turns.can_say)
            self._guarded(Part.SESSION, lambda: self._board.hear(ear))
            self._guarded(Part.SESSION, lambda: self._board.offer(turns.can_say))

    def _carry_out(self, effect: TurnEffect) -> None:
        match effect:
            case Take() | Drop():
                if self._threaded:
                    self._work.put(effect)
                else:
                    self._answer(effect)
            case Show(told):
                self._guarded(Part.SESSION, lambda: self._board.publish(told))
            case Notify(part, sentence):
                self._guarded(Part.SESSION, lambda: self._board.notify(part, sentence))
            case Advise(sentence):
                self._guarded(Part.SESSION, lambda: self._board.advise(sentence))
            case EndUtterance():
                if self._ears is not None:
                    self._guarded(Part.MICROPHONE, self._ears.end_utterance)
            case _:
                self._speak(effect)

    def _speak(self, effect: TurnEffect) -> None:
        mouth, ears = self._mouth, self._ears
        match effect:
            case Say(sentences, number):
                if ears is not None:
                    self._guarded(Part.MICROPHONE, lambda: ears.says(sentences))
                spoken = mouth is not None and self._guarded(
                    Part.VOICE, lambda: mouth.say(sentences, number)
                )
                if not spoken:
                    self.post(Spoken(False, number))
            case Signal(tone) if mouth is not None:
                self._guarded(Part.LOUDSPEAKER, lambda: mouth.tone(tone))
            case Hush() if mouth is not None:
                self._guarded(Part.LOUDSPEAKER, mouth.hush)
            case Speak(how) if mouth is not None:
                self._guarded(Part.SETTINGS, lambda: self._keep(mouth.adjust(how)))

    def _guarded(self, part: Part, do: Callable[[], None]) -> bool:
        """Whether it was done; a fault is told as one of that part."""
        try:
            do()
        except HandsfreeError as fault:
            sentence = str(fault)
        except Exception as fault:
            self._complain(traceback.format_exc())
            sentence = WENT_WRONG.format(type(fault).__name__)
        else:
            return True
        if part in ANSWERS_MEND:
            self._failed.add(part)
        self.post(Failed(part, sentence))
        return False

    # --- the session's thread -------------------------------------------------------------------

    def _answer_all(self) -> None:
        while (job := self._work.get()) is not None:
            self._answer(job)

    def _answer(self, job: Take | Drop) -> None:
        try:
            if isinstance(job, Take):
                taken = self._session.turn(job.words)
            elif job.number in (0, self._answered):
                self._session.drop()
        except HandsfreeError as fault:
            part = Part.SETTINGS if isinstance(fault, SettingsError) else Part.SESSION
            self._not_answered(job, part, str(fault))
        except Exception as fault:
            self._complain(traceback.format_exc())
            self._not_answered(job, Part.SESSION, WENT_WRONG.format(type(fault).__name__))
        else:
            if isinstance(job, Take):
                self._answered = job.number
                self.post(Replied(taken.told, taken.control, job.number, taken.asks, taken.leads))
                self._tell_mended()

    def _not_answered(self, job: Take | Drop, part: Part, sentence: str) -> None:
        self._failed.add(part)
        self.post(Failed(part, sentence))
        if isinstance(job, Take):
            self.post(Replied(None, number=job.number))

    def _tell_mended(self) -> None:
        works = set(ANSWERS_MEND)
        if not self._session.unwritten:
            works.add(Part.LOGBOOK)
        for part in sorted(self._failed & works):
            self._failed.discard(part)
            self.post(Mended(part))
