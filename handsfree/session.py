"""Words in, a told reply out: the one file that knows every room and wires them together.

Spoken, typed and tapped words take the same way: understanding, a step of the talk, the cutting
engine, wording. What the user keeps (tips and rig) is read once and written at each change.
"""

import threading
from dataclasses import replace
from pathlib import Path

from handsfree.dialogue.talk import AnswerIt, ConfirmFirst, KeepIt, SayIt, Talk, asked, step
from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.errors import SettingsError
from handsfree.settings import Kept, Settings, cache_folder, with_tip, without_tip
from handsfree.shipped import shipped_folder
from handsfree.tell.wording import told
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.units import Quantity
from handsfree.values import (
    About,
    Answer,
    BoxChange,
    Consent,
    NotUnderstood,
    Question,
    Reply,
    Request,
    Told,
    Words,
)

CONFIRM_WORDS = ("yes", "no")


class Session:
    """One talk with one user; safe to call from several threads, one turn at a time.

    Args:
        settings: where tips and rig are kept; the user's own file when None.
        grammar_folder: grammar/ that came with this copy when None.
    """

    def __init__(
        self, settings: Settings | None = None, grammar_folder: Path | None = None
    ) -> None:
        self._settings = settings or Settings()
        self._kept = self._settings.read()
        self.grammar: Grammar = load_grammar(
            grammar_folder or shipped_folder("grammar"), cache=cache_folder() / "grammar"
        )
        self._understanding = Understanding(self.grammar)
        self._talk = Talk()
        self._turn = threading.Lock()

    def take(self, words: Words) -> Told:
        """The reply to words, told.

        Raises:
            SettingsError: a change could not be kept; nothing was changed.
        """
        with self._turn:
            understood = self._understanding.request(words)
            self._talk, effect = step(self._talk, understood, words.sureness)
            match effect:
                case SayIt(reply):
                    return self._tell(words, reply)
                case AnswerIt(request):
                    return self._answered(words, request)
                case KeepIt(request):
                    return self._changed(words, request)
                case ConfirmFirst(request):
                    return self._confirm_first(words, request)

    def start_afresh(self) -> None:
        """Close whatever question is open: the next words begin a new talk."""
        with self._turn:
            self._talk = Talk()

    def means(self, text: str) -> object:
        """What a text comes to, so that two readings of one meaning are no doubt to each other."""
        understood: Request | Question | Consent | NotUnderstood = self._understanding.request(
            Words(text)
        )
        return text if isinstance(understood, NotUnderstood) else understood

    def _answered(self, words: Words, request: Request) -> Told:
        reply = answer(request, self._kept.rig, self._kept.box)
        if isinstance(reply, Question):
            self._talk = asked(self._talk, reply)
        return self._tell(words, reply)

    def _changed(self, words: Words, request: Request) -> Told:
        """Keep a change that the engine has no question about."""
        reply = answer(request, self._kept.rig, self._kept.box)
        if isinstance(reply, Question):
            self._talk = asked(self._talk, reply)
        elif isinstance(reply, Answer):
            changed = _with_change(self._kept, request)
            self._settings.write(changed)
            self._kept = changed
        return self._tell(words, reply)

    def _confirm_first(self, words: Words, request: Request) -> Told:
        """Read a heard change back; it waits in the talk for a yes."""
        reply = answer(request, self._kept.rig, self._kept.box)
        if not isinstance(reply, Answer):
            self._talk = Talk()
            if isinstance(reply, Question):
                self._talk = asked(self._talk, reply)
            return self._tell(words, reply)
        confirm = Question(request, "confirm", "Shall I keep that?", CONFIRM_WORDS)
        return self._tell(words, confirm)

    @staticmethod
    def _tell(words: Words, reply: Reply) -> Told:
        return told(words, reply, _citation)


def _citation(key: str) -> str:
    return tables.source(key).citation


def _with_change(kept: Kept, request: Request) -> Kept:
    """What is kept after a change that the user asked for."""
    if request.about is About.RIG:
        rig = kept.rig
        return replace(
            kept,
            rig=replace(
                rig,
                fuel=request.fuel or rig.fuel,
                hose_length=_or(request.hose_length, rig.hose_length),
                hose_bore=_or(request.hose_bore, rig.hose_bore),
                oxygen_purity_percent=request.oxygen_purity_percent or rig.oxygen_purity_percent,
            ),
        )
    tip = request.tip
    if tip is None:
        raise SettingsError("No tip was named. Say which one.")
    if request.change is BoxChange.ADD:
        return replace(kept, box=with_tip(kept.box, tip))
    if request.change is BoxChange.REMOVE:
        return replace(kept, box=without_tip(kept.box, tip))
    return replace(kept, box=replace(kept.box, in_torch=tip.stamp))


def _or(said: Quantity | None, kept: Quantity | None) -> Quantity | None:
    return kept if said is None else said
