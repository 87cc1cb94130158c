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

from handsfree.app.first_start import Made, first_start
from handsfree.app.helper import Helper
from handsfree.app.made_ears import MadeEars, has_microphone
from handsfree.app.printing import Printing
from handsfree.app.spoken_ahead import said_often
from handsfree.app.terminal import Terminal
from handsfree.app.terminal_board import TerminalBoard
from handsfree.app.terminal_keys import Keys
from handsfree.app.terminal_lines import TypedLines
from handsfree.app.wiring import shared
from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.errors import SettingsError, SoundError
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.session.session import Session
from handsfree.store.settings import Sound, SoundSettings, cache_folder, logbook_path
from handsfree.voice.mouth import Mouth
from handsfree.voice.voice import Voice, VoiceSettings

if TYPE_CHECKING:
    from handsfree.page.share import Sharing

CLOSING_S: Final = 1.0  # what has not ended by then is left to end with the process
DEFAULT_PORT: Final = 8765
TYPE_HERE: Final = (
    "No microphone works. Type a request here and press enter: what do i set for half inch plate."
    ' "yes" and "no" answer.'
)


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
        first = closing.enter_context(first_start(wishes.model, sound.attention, _progress(tell)))
        system = SoundDevice()
        tell(f"Loudspeaker: {_named(system.playbacks, sound.loudspeaker)}")
        tell(f"Microphone: {_named(system.captures, sound.microphone)}")
        first.until_grammar()
        session = Session(
            logbook=Logbook(logbook_path()),
            attention=sound.attention,
            leads=True,
        )
        board = TerminalBoard(printing)
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
        mouth = Mouth(voice, Speaker(system, sound.loudspeaker), helper.post)
        closing.callback(mouth.close)
        helper.attach(mouth=mouth)
        session.pacing.attach(mouth)
        closing.enter_context(KeepingTime(session.pacing, helper.post, board))
        _by_hand(helper, board, system, sound, tell, closing)
        # The page and the terminal work while the ears are made, which takes long only once.
        ears = MadeEars(session, helper, board, sound, wishes.model, system, tell, first)
        closing.callback(ears.close)
        ears.open(then=lambda: mouth.warm(said_often((session.kept.rig.fuel,))))
        helper.run()
        if ears.fault is not None:
            raise ears.fault


# --- the parts ------------------------------------------------------------------------------------


def _progress(tell: Callable[[str], None]) -> Callable[[Made, int], None]:
    """Tells what has been made at a first start, and how far that is."""

    def made(part: Made, done: int) -> None:
        tell(f"Getting ready, this once: {done} of {len(Made)}, {part}.")

    return made


def _by_hand(
    helper: Helper,
    board: TerminalBoard,
    system: SoundDevice,
    sound: Sound,
    tell: Callable[[str], None],
    closing: ExitStack,
) -> None:
    """Keys of the terminal; typed requests instead where no microphone works."""
    if has_microphone(system, sound.microphone):
        if closing.enter_context(Keys(helper.post)).are_read:
            tell("Keys: space to talk, enter to confirm, right for more, left for back, escape.")
        return

    def typed(line: str) -> None:
        board.typed(line)
        helper.ask(line)

    if closing.enter_context(TypedLines(typed, helper.stop)).are_read:
        tell(TYPE_HERE)


def _serve(
    helper: Helper,
    board: TerminalBoard,
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
    """A device's name for the terminal; why there is none is told as a fault."""
    try:
        found = names()
    except SoundError:
        return "none."
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
