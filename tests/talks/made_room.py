"""The running helper with made ears, a made mouth and a made clock: a talk in no time at all.

Everything between ears and mouth is real: turns, session, engine, wording, page, logbook and the
user's file. Words come as events, as the real ears send them for what they listen for.
"""

import sqlite3
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from handsfree.app.helper import Helper
from handsfree.errors import SettingsError
from handsfree.hear.wake import EMERGENCIES, phrases_in
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.page.board import Notice, PageBoard
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Kept, Settings
from handsfree.understand.grammar import load_grammar
from handsfree.values import (
    Called,
    CalledOut,
    Control,
    Failed,
    Heard,
    Key,
    Listening,
    Mended,
    Part,
    Pressed,
    SpeechBegan,
    Spoken,
    Tone,
    Words,
)
from handsfree.values.timing import BeatSet
from handsfree.voice.voice import VoiceSettings
from tests.talks.conversation import LOGBOOK

WORD_S = 0.4  # how long the made mouth takes for a word
STEP_S = 0.1
HUSHES = frozenset({"stop", "be quiet"})
TALK = Words("[unk]", 0.3)
FULL_SETTINGS, FULL_LOGBOOK = "the disk is full", "the logbook is full"


@cache
def emergencies() -> frozenset[str]:
    """What the real ears spot as an emergency."""
    network = load_grammar(shipped_folder("grammar"), "attention").word_network()
    return frozenset(p.text for p in phrases_in(network) if p.spot in EMERGENCIES)


class MadeEars:
    """Ears that only remember what they are to listen for."""

    def __init__(self) -> None:
        self.listening = Listening.NOTHING
        self.ended = 0

    def listen_for(self, listening: Listening) -> None:
        self.listening = listening

    def end_utterance(self) -> None:
        self.ended += 1

    def says(self, sentences: Sequence[str]) -> None:
        pass


class MadeMouth:
    """A mouth that remembers what it says, and is done when it is told so."""

    def __init__(self, helper: Helper) -> None:
        self._helper = helper
        self.saying: int | None = None
        self.words = 0
        self.spoken: list[str] = []
        self.signals: list[Tone] = []
        self.adjusted: list[Control] = []
        self.set_to: BeatSet | None = None

    @property
    def beating(self) -> bool:
        return self.set_to is not None

    def beat(self, beat: BeatSet | None) -> None:
        self.set_to = beat

    def say(self, sentences: Sequence[str], number: int) -> None:
        self.hush()
        self.saying = number
        self.spoken += sentences
        self.words = sum(len(sentence.split()) for sentence in sentences)

    def tone(self, which: Tone) -> None:
        self.signals.append(which)

    def hush(self) -> None:
        self._done(whole=False)

    def finish(self) -> None:
        self._done(whole=True)

    def _done(self, *, whole: bool) -> None:
        if self.saying is not None:
            self._helper.post(Spoken(whole, self.saying))
            self.saying = None

    def adjust(self, how: Control) -> VoiceSettings:
        self.adjusted.append(how)
        return VoiceSettings()


class _FillingSettings(Settings):
    full = False

    def update(self, change: Callable[[Kept], Kept]) -> Kept:
        if self.full:
            raise SettingsError(f"Cannot keep the change in {self.path}: the disk is full.")
        return super().update(change)


class _FillingLogbook(Logbook):
    full = False

    def _add(self, content: tuple[str, ...]) -> tuple[int, str]:
        if self.full:
            raise sqlite3.OperationalError("database or disk is full")
        return super()._add(content)


class MadeRoom:
    """One helper over a folder; see `tests.talks.conversation.Room`."""

    def __init__(self, folder: Path, barge_in: bool = False) -> None:
        self.folder = folder
        self._barge_in = barge_in
        self._now = 1000.0
        self._held: Words | None = None
        self._before: list[str] = []
        self._signals_before: list[Tone] = []
        self._start()

    def _start(self) -> None:
        self._settings = _FillingSettings(self.folder)
        self._logbook = _FillingLogbook(self.folder / LOGBOOK)
        self._board = PageBoard(clock=lambda: self._now)
        session = Session(
            self._settings,
            logbook=self._logbook,
            leads=True,
            clock=lambda: self._now,
            wall=lambda: self._now,
        )
        self.complaints: list[str] = []
        self._helper = Helper(
            session,
            self._board,
            barge_in=self._barge_in,
            complain=self.complaints.append,
            clock=lambda: self._now,
            threaded=False,
        )
        self._ears, self._mouth = MadeEars(), MadeMouth(self._helper)
        self._helper.attach(ears=self._ears, mouth=self._mouth)
        session.pacing.attach(self._mouth)
        session.faults.tell_to(self._helper.failed)
        self._helper.take_up(session.left_open())
        self._pacing = session.pacing
        self._time = KeepingTime(session.pacing, self._helper.post, self._board)
        self._time.begin()

    def start_again(self) -> None:
        self._before += self._mouth.spoken
        self._signals_before += self._mouth.signals
        self._start()
        self._turn()

    @property
    def page(self) -> Notice:
        return self._board.latest()

    @property
    def spoken(self) -> Sequence[str]:
        return (*self._before, *self._mouth.spoken)

    @property
    def signals(self) -> Sequence[Tone]:
        return (*self._signals_before, *self._mouth.signals)

    @property
    def adjusted(self) -> Sequence[Control]:
        return self._mouth.adjusted

    @property
    def speaks(self) -> bool:
        return self._mouth.saying is not None

    def let_speak(self) -> None:
        while self.speaks:
            self._pass(WORD_S * self._mouth.words)
            self._mouth.finish()
            self._turn()

    def say(self, said: str, words: Words, calling: bool | None) -> None:
        match self._ears.listening:
            case Listening.ATTENTION:
                if calling is not False:
                    self._send(Called(), Heard(words, called=True))
            case Listening.REQUEST | Listening.STEPS:
                if calling:
                    self._send(Called())
                self._send(SpeechBegan(), Heard(words, called=bool(calling)))
            case Listening.HELD:
                self._send(SpeechBegan())
                self._held = words
            case Listening.STOP if words.text in HUSHES:
                self._send(Heard(words))
            case Listening.STOP | Listening.NOTHING:
                pass

    def shout(self, said: str, words: Words) -> None:
        if words.text not in emergencies():
            raise ValueError(f"{words.text!r} is no emergency of grammar/attention.yaml")
        self._send(CalledOut(words))

    def call(self) -> None:
        self._send(Called(), Heard(Words("", 0.9), called=True))

    def talk_beside(self, said: str) -> None:
        if self._ears.listening in (Listening.REQUEST, Listening.STEPS):
            self._send(SpeechBegan(), Heard(TALK))

    def noise(self) -> None:
        if self._ears.listening in (Listening.REQUEST, Listening.STEPS):
            self._send(SpeechBegan(), Heard(Words("", 0.0)))

    def type(self, said: str) -> None:
        self._helper.ask(said)
        self._turn()

    def press(self, key: Key, down: bool, holds: bool) -> None:
        self._pass(1.0)
        self._send(Pressed(key, down, holds))
        if self._ears.ended:
            self._ears.ended = 0
            self._send(Heard(self._held or Words("", 0.0)))
            self._held = None

    def wait(self, seconds: float) -> None:
        end = self._now + seconds
        while self._now < end:
            self._now += STEP_S
            self._turn()
            if self.speaks:
                self.let_speak()

    def fail(self, part: Part, sentence: str) -> None:
        self._send(Failed(part, sentence))

    def mend(self, part: Part) -> None:
        self._send(Mended(part))

    def fill_disk(self, what: str, full: bool) -> None:
        if what == FULL_SETTINGS:
            self._settings.full = full
        elif what == FULL_LOGBOOK:
            self._logbook.full = full
        else:
            raise ValueError(f"{what!r} cannot fail here")

    def _send(self, *events: object) -> None:
        for event in events:
            self._helper.post(event)  # type: ignore[arg-type]  # only turn events are sent here
            self._turn()

    def _turn(self) -> None:
        self._time.tell(self._pacing.due())
        self._helper.turn_all()

    def _pass(self, seconds: float) -> None:
        self._now += seconds
