"""The whole helper, wired: microphone, voice, keys and page around one queue, from start to stop.

What fails to start is said on the page and on the terminal, and the rest runs without it.
"""

import contextlib
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Final

from handsfree.app.first_start import FirstStart, first_start
from handsfree.app.helper import Helper
from handsfree.app.printing import Printing
from handsfree.app.spoken_ahead import said_often
from handsfree.app.terminal import Terminal
from handsfree.app.terminal_keys import Keys
from handsfree.app.wiring import request_recogniser, shared, spotter_beside, steps_recogniser
from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.errors import GrammarError, HandsfreeError, ModelError, SettingsError, SoundError
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Sound, SoundSettings, cache_folder, logbook_path
from handsfree.values import (
    Failed,
    Part,
    Told,
    WordNetwork,
)
from handsfree.values.clean_text import clean_text
from handsfree.voice.mouth import Mouth
from handsfree.voice.voice import Voice, VoiceSettings

if TYPE_CHECKING:  # heavy: it is loaded in the thread that makes the ears
    from handsfree.hear.ears import Ears
    from handsfree.page.share import Sharing

CLOSING_S: Final = 1.0  # what has not ended by then is left to end with the process
DEFAULT_PORT: Final = 8765
CAN_SAY: Final = ("what do i set for half inch plate", "my oxygen gauge is dead", "help", "stop")
SYLLABLES: Final = 3  # fewer are said by chance in any talk
_VOWELS: Final = frozenset("AEIOU")


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for at the start; None leaves it as it is kept.

    Attributes:
        microphone: its name.
        loudspeaker: its name.
        port: the page's.
        model: another speech model's folder.
        barge_in: "stop" is heard while the helper speaks.
        page: the page is served.
        sharing: how it is shared with other devices; None for not at all.
    """

    microphone: str | None = None
    loudspeaker: str | None = None
    port: int = DEFAULT_PORT
    model: Path | None = None
    barge_in: bool | None = None
    page: bool = True
    sharing: "Sharing | None" = None


def run(wishes: Wishes, terminal: Terminal) -> None:
    """Run the helper until it is interrupted or told to end by the system.

    Args:
        wishes: what was asked for.
        terminal: takes lines for whoever looks at it, and what went wrong, also inside.

    Raises:
        PageError: the page cannot be served.
        ModelError: the model that was asked for does not load.
        GrammarError: the attention phrase that is kept cannot be listened for.
    """
    kept = SoundSettings()
    sound = _wished(kept.read(), wishes)
    with ExitStack() as closing:
        printing = closing.enter_context(Printing(terminal))
        tell = printing.tell
        voice = Voice(_voice_settings(sound, kept), cache_folder() / "voice")
        voice.warm_up()
        first = closing.enter_context(first_start(wishes.model, sound.attention))
        first.until_grammar()
        session = Session(
            logbook=Logbook(logbook_path()),
            attention=sound.attention,
            leads=True,
        )
        board = _Board(printing)
        helper = Helper(
            session,
            board,
            barge_in=sound.barge_in,
            keep=lambda settings: _keep(kept, settings),
            complain=printing.complain,
        )
        printing.report_to(helper.post)
        kept.faults.tell_to(helper.failed)
        session.faults.tell_to(helper.failed)
        helper.take_up(session.left_open())
        closing.enter_context(_ended_by_signals(helper))
        if wishes.page:
            tell(f"Page: {_serve(helper, board, wishes, tell, closing)}")
        system = SoundDevice()
        mouth = Mouth(voice, Speaker(system, sound.loudspeaker), helper.post)
        closing.callback(mouth.close)
        helper.attach(mouth=mouth)
        session.pacing.attach(mouth)
        closing.enter_context(KeepingTime(session.pacing, helper.post, board))
        tell(f"Loudspeaker: {_named(system.playbacks, sound.loudspeaker)}")
        tell(f"Microphone: {_named(system.captures, sound.microphone)}")
        keys = closing.enter_context(Keys(helper.post))
        if keys.are_read:
            tell("Keys: space to talk, enter to confirm, right for more, left for back, escape.")
        tell("Ctrl-C ends the helper.")
        # The page and the keys work while the ears are made, which takes long only once.
        ears = _Ears(session, helper, board, sound, wishes.model, system, tell, first)
        closing.callback(ears.close)
        tell("Getting ready to listen; the first time takes longer.")
        ears.open(then=lambda: mouth.warm(said_often((session.kept.rig.fuel,))))
        helper.run()
        if ears.fault is not None:
            raise ears.fault


def attention_network(phrase: str | None) -> WordNetwork:
    """The network of the attention state, with the user's own phrase if he has one.

    Raises:
        GrammarError: a word of it has no pronunciation, or it is too short to be told from talk.
    """
    from handsfree.understand.grammar import load_grammar

    folder, cache = shipped_folder("grammar"), cache_folder() / "grammar"
    try:
        network = load_grammar(folder, "attention", cache, phrase).word_network()
    except GrammarError as fault:
        if phrase is None:
            raise
        raise GrammarError(
            f"The attention phrase {phrase!r} cannot be listened for: {fault}."
            " Choose one of words that the helper knows."
        ) from fault
    if phrase is not None:
        phones = dict(network.pronunciations)
        vowels = [p for word in phrase.split() for p in phones[word][0] if p[0] in _VOWELS]
        if len(vowels) < SYLLABLES:
            raise GrammarError(
                f"The attention phrase {phrase!r} is too short: talk would call the helper."
                f" Choose one of {SYLLABLES} syllables or more."
            )
    return network


# --- the parts ------------------------------------------------------------------------------------


class _Board(PageBoard):
    """The page's board, whose replies and faults stand on the terminal as well."""

    def __init__(self, printing: Printing) -> None:
        super().__init__()
        self._printing = printing

    def publish(self, told: Told) -> None:
        """Pin a reply, and print it."""
        super().publish(told)
        self._printing.tell("\n".join((f"> {told.heard}", *told.sentences)))

    def notify(self, part: Part, sentence: str = "") -> None:
        """Show a fault, and print it; or that it is over."""
        sentence = clean_text(sentence)  # it may name a file whose name is no text
        super().notify(part, sentence)
        self._printing.complain(f"{part}: {sentence or 'works again'}")


@dataclass(slots=True)
class _Ears:
    """The ears of a helper, made in a thread of their own.

    Attributes:
        fault: why the helper cannot run as it was asked to; it is ended then.
    """

    session: Session
    helper: Helper
    board: PageBoard
    sound: Sound
    model: Path | None
    system: SoundDevice
    tell: Callable[[str], None]
    first: FirstStart
    fault: HandsfreeError | None = None
    ears: "Ears | None" = None
    thread: threading.Thread | None = None

    def open(self, then: Callable[[], None]) -> None:
        """Begin to make them; then do what can wait until the helper listens."""

        def make() -> None:
            self._make()
            then()

        self.thread = threading.Thread(target=make, name="ears are made", daemon=True)
        self.thread.start()

    def close(self) -> None:
        """Listen no more."""
        if self.thread is not None:
            self.thread.join(CLOSING_S)
        if self.ears is not None:
            self.ears.close()

    def _make(self) -> None:
        try:
            self._open()
        except ModelError as fault:
            if self.model is None:  # ours is broken: the page, the keys and the voice go on
                self.helper.post(Failed(Part.EARS, str(fault)))
                return
            self.fault = fault
            self.helper.stop()
        except HandsfreeError as fault:
            self.fault = fault
            self.helper.stop()

    def _open(self) -> None:
        from handsfree.hear.ears import open_ears
        from handsfree.hear.wake import Spot, phrases_in

        self.first.until_graphs()
        network = attention_network(self.sound.attention)
        recogniser = request_recogniser(self.session, self.model)
        spotter = spotter_beside(recogniser, self.session, network, self.model)
        self.ears = open_ears(
            self.system,
            self.sound.microphone,
            spotter,
            recogniser,
            self.helper.post,
            on_level=lambda level: self.board.level(level.level_db),
            on_partial=self.board.catch,
        )
        self.helper.attach(ears=self.ears)
        phrases = [each.text for each in phrases_in(network) if each.spot is Spot.ATTENTION]
        self.board.call(phrases[0])
        called = " or ".join(f'"{phrase}"' for phrase in phrases)
        self.tell(f"Listening. Say {called}, then: {', '.join(CAN_SAY)}.")
        # No list is led in the first seconds; until then the one for requests hears the answers.
        self.ears.hear_steps_by(steps_recogniser(self.session.answer_sense, self.model))


def _serve(
    helper: Helper,
    board: PageBoard,
    wishes: Wishes,
    tell: Callable[[str], None],
    closing: ExitStack,
) -> str:
    """Serve the page from threads, for this machine and for others as wished; its address here."""
    from handsfree.page.app import page_app
    from handsfree.page.server import PageServer, shared_server

    share = shared(wishes.port, wishes.sharing, tell)
    app = page_app(helper.ask, board, press=helper.post, speak=helper.prompt, share=share)
    if share is not None:
        closing.enter_context(shared_server(app, share))
    return closing.enter_context(PageServer(app, port=wishes.port)).url


def _named(names: Callable[[], Sequence[str]], wanted: str | None) -> str:
    """A device's name for the terminal, or why there is none."""
    try:
        found = names()
    except SoundError as fault:
        return f"none. {str(fault).partition('. ')[0]}."
    if wanted is None:
        return "the default" if found else "none. Plug one in; it is found without a restart."
    missing = f"{wanted} is not there. There are: {', '.join(found) or 'none'}."
    return wanted if wanted in found or not found else missing


def _wished(sound: Sound, wishes: Wishes) -> Sound:
    return replace(
        sound,
        microphone=wishes.microphone or sound.microphone,
        loudspeaker=wishes.loudspeaker or sound.loudspeaker,
        barge_in=sound.barge_in if wishes.barge_in is None else wishes.barge_in,
    )


def _voice_settings(sound: Sound, kept: SoundSettings) -> VoiceSettings:
    """The voice as it is kept; as it comes, which is told, where it cannot speak like that."""
    own = {
        name: value
        for name in ("voice", "value_rate", "talk_rate", "pitch", "loudness", "loudspeaker")
        if (value := getattr(sound, name)) is not None
    }
    try:
        return VoiceSettings(**own)
    except SettingsError as fault:
        kept.faults.kept(f"{kept.path}: {fault} Until then the voice is as it comes.")
        return VoiceSettings(loudspeaker=sound.loudspeaker)


def _keep(kept: SoundSettings, settings: VoiceSettings) -> None:
    """Keep what was changed by voice; what was only asked for at the start is not kept."""
    kept.update(
        lambda sound: replace(
            sound,
            value_rate=settings.value_rate,
            talk_rate=settings.talk_rate,
            loudness=settings.loudness,
        )
    )


@contextlib.contextmanager
def _ended_by_signals(helper: Helper) -> Iterator[None]:
    """Ctrl-C, a closed terminal and the system's wish to end stop the helper in an orderly way."""
    names = [name for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def end(_number: int, _frame: FrameType | None) -> None:
        helper.stop()
        for name in names:  # a second one ends it at once
            signal.signal(getattr(signal, name), signal.SIG_DFL)

    before = {name: signal.signal(getattr(signal, name), end) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(getattr(signal, name), handler)
