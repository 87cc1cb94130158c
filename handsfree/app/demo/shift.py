"""Plays a script through the real rooms and writes down what comes of it, mishearings and all."""

import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree.app.attention import attention_network
from handsfree.app.demo.aloud import Aloud
from handsfree.app.demo.board import ShiftBoard
from handsfree.app.demo.mouth import Loudspeaker, Sounded
from handsfree.app.demo.recordings import Recordings, farther
from handsfree.app.demo.script import SHIFT, Deed, Does, Scene, length_told, read_script
from handsfree.app.demo.site import FRAME_S, LOGBOOK, Site
from handsfree.app.demo.transcript import Transcript, as_entry, as_heard
from handsfree.app.wiring import request_recogniser, spotter_beside
from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.dialogue.doubt import TAKE_FROM
from handsfree.hear.wake import Spot, phrases_in
from handsfree.logbook.logbook import Logbook
from handsfree.page.app import page_app
from handsfree.page.server import PageServer
from handsfree.session.session import Session
from handsfree.store.settings import Settings, cache_folder
from handsfree.values import Heard, Key, Listening, Samples
from handsfree.voice.voice import UNHURRIED_S, Voice, VoiceSettings

CUTTER: Final = VoiceSettings(voice="en", pitch=38, value_rate=135, talk_rate=140)
MATE: Final = VoiceSettings(voice="en-us", pitch=70, value_rate=150, talk_rate=160)
HELD_S: Final = 0.4  # the pedal is held so long before and after what is said
BETWEEN_S: Final = 1.0  # from an answer to the next thing that is done
SPEED: Final = 20.0  # times as fast as it would be, at the most, where nobody listens


@dataclass(frozen=True, slots=True)
class Staging:
    """How a shift is played.

    Attributes:
        home: where tips, rig and logbook are kept.
        keep: where the sound is written.
        aloud: it is played on a loudspeaker, in real time.
        loudspeaker: which one; the default when None.
        page: the page is served while it plays, in real time.
        port: where.
        model: another speech model's folder.
        script: another shift than the one that comes with the helper.
    """

    home: Path
    keep: Path
    aloud: bool = False
    loudspeaker: str | None = None
    page: bool = False
    port: int = 8765
    model: Path | None = None
    script: Path = SHIFT

    @property
    def speed(self) -> float:
        """How many times as fast as it would be; once where somebody listens or looks."""
        return 1.0 if self.aloud or self.page else SPEED


def play_shift(
    staging: Staging,
    tell: Callable[[str], None],
    on_way: Callable[[float], None] = lambda share: None,
) -> bool:
    """Play a shift, to its end or until it is interrupted; whether it came to its end.

    Args:
        staging: how.
        tell: is given each line of the transcript.
        on_way: is given the share that has been played.

    Raises:
        HandsfreeError: the script makes no sense, the voice, the model or the page does not
            start, or a file is not written.
    """
    script = read_script(staging.script)
    tell(length_told(script, staging.speed))
    with ExitStack() as closing:
        shift = _Shift(staging, tell, closing)
        whole = _played(shift, script, on_way)
        if not whole:
            on_way(1.0)
            tell("")
            tell("Interrupted. This is what was so far.")
        shift.end(whole)
    return whole


def _played(shift: "_Shift", script: tuple[Scene, ...], on_way: Callable[[float], None]) -> bool:
    """Whether all of it was played before somebody interrupted."""
    done, deeds = 0, sum(len(scene.deeds) for scene in script)
    try:
        for scene in script:
            shift.transcript.scene(scene.told)
            for deed in scene.deeds:
                shift.do(deed)
                done += 1
                on_way(done / deeds)
    except KeyboardInterrupt:
        return False
    return True


class _Shift:
    """One shift on its way, and what is told of it."""

    def __init__(self, staging: Staging, tell: Callable[[str], None], closing: ExitStack) -> None:
        self.transcript = Transcript(tell)
        self._tell = tell
        self._speed = staging.speed
        self._home = staging.home
        self._recordings = Recordings(staging.keep)
        self._voices = {
            who: closing.enter_context(Voice(settings, patience_s=UNHURRIED_S))
            for who, settings in (("cutter", CUTTER), ("mate", MATE))
        }
        network = attention_network(None)
        self._phrase = next(
            phrase.text for phrase in phrases_in(network) if phrase.spot is Spot.ATTENTION
        )
        self._began = time.monotonic()
        self._asked = self._missed = self._doubted = 0
        self._said: str | None = None
        self._logbook = Logbook(staging.home / LOGBOOK)
        self._session = Session(
            Settings(staging.home),
            logbook=self._logbook,
        )
        recogniser = request_recogniser(self._session, staging.model)
        self._site = Site(
            staging.home,
            closing.enter_context(
                Voice(store_folder=cache_folder() / "voice", patience_s=UNHURRIED_S)
            ),
            spotter_beside(recogniser, self._session, network, staging.model),
            recogniser,
            session=self._session,
            board=lambda clock: ShiftBoard(clock, self._phrase, self._shown),
            also=self._loudspeaker(staging, closing),
            pace=self._pace,
            hurries=staging.speed > 1.0,
            complain=tell,
            on_heard=self._heard,
            on_begun=self._answers,
            on_sounded=self._sounded,
        )
        if staging.page:
            helper = self._site.helper
            app = page_app(helper.ask, self._site.board, press=helper.post, speak=helper.prompt)
            tell(f"Page: {closing.enter_context(PageServer(app, port=staging.port)).url}")
        self._began = time.monotonic()

    def _loudspeaker(self, staging: Staging, closing: ExitStack) -> Loudspeaker | None:
        if not staging.aloud:
            return None
        return closing.enter_context(Aloud(Speaker(SoundDevice(), staging.loudspeaker), self._tell))

    # --- what is done ---

    def do(self, deed: Deed) -> None:
        """One thing that somebody does, after the helper has said what it says."""
        if deed.does is Does.PRESSES and self._site.mouth.speaks:
            self._site.wait(deed.amount)
        else:
            self._site.let_speak()
            self._site.wait(BETWEEN_S)
        match deed.does:
            case Does.SAYS:
                self._says(deed.words)
            case Does.BESIDE:
                self._beside(deed.words)
            case Does.HOLDS:
                self._holds(deed.words)
            case Does.PRESSES if deed.key is not None:
                self._line("pedal", str(deed.key))
                self._site.press(deed.key)
            case Does.WAITS:
                self._waits(deed.amount)
            case Does.HISS:
                self._site.hiss(round(deed.amount))

    def _says(self, words: str) -> None:
        calls = self._site.helper.turns.listening is Listening.ATTENTION
        samples = self._voices["cutter"].render(f"{self._phrase}. {words}" if calls else words)
        self._line("cutter says", f"{self._phrase}, {words}" if calls else words)
        self._expect(words, "cutter", samples)
        self._site.say(samples)
        self._met()

    def _beside(self, words: str) -> None:
        samples = farther(self._voices["mate"].render(words))
        self._line("mate says", f"{words} (aside)")
        self._recordings.write("mate", samples)
        before = len(self._site.heard)
        self._site.say(samples)
        if len(self._site.heard) == before:
            self.transcript.more("not for the helper, and not taken in")

    def _holds(self, words: str) -> None:
        samples = self._voices["cutter"].render(words)
        self._line("pedal", "talk, held down")
        self._site.press(Key.TALK, holds=True)
        self._line("cutter says", words)
        self._expect(words, "cutter", samples)
        self._site.wait(HELD_S)
        self._site.say(samples, patience_s=HELD_S)
        self._line("pedal", "talk, let go")
        self._site.press(Key.TALK, down=False, holds=True)
        self._met()

    def _waits(self, seconds: float) -> None:
        self._line("nobody", f"says anything for {seconds:.0f} seconds")
        end = self._site.now + seconds
        while self._site.now < end:
            self._site.wait(FRAME_S)

    def _expect(self, words: str, who: str, samples: Samples) -> None:
        self._recordings.write(who, samples)
        self._asked += 1
        self._said = words

    def _met(self) -> None:
        """What was said has been heard by now, or was missed."""
        if self._said is not None:
            self._missed += 1
            self._said = None
            self._line("helper hears", "nothing: MISSED")

    # --- what comes of it ---

    def _heard(self, heard: Heard) -> None:
        said, self._said = self._said, None
        means = self._session.means
        otherwise = said is not None and means(said) != means(heard.words.text)
        self._missed += otherwise
        self._doubted += said is not None and heard.words.sureness < TAKE_FROM
        self._line("helper hears", as_heard(heard, otherwise))

    def _answers(self, sentences: Sequence[str]) -> None:
        self._line("helper answers", " ".join(sentences))

    def _shown(self, figures: str) -> None:
        self._line("page shows", figures)

    def _sounded(self, sounded: Sounded) -> None:
        if sounded.tone is not None:
            return
        self._recordings.write("helper", sounded.samples)
        if not sounded.whole:
            self._line("helper", f"is silent after {sounded.samples.seconds:.1f} seconds")

    def _line(self, who: str, what: str) -> None:
        self.transcript.line(self._site.now, who, what)

    def _pace(self, now: float) -> None:
        """Hold the made time back to the real one, or to so many times that."""
        early = self._began + now / self._speed - time.monotonic()
        if early > 0:
            time.sleep(early)

    # --- the end ---

    def end(self, whole: bool = True) -> None:
        """Hear the helper out if all was played, then tell what is on record and what is kept."""
        if whole:
            self._site.let_speak()
        took = time.monotonic() - self._began
        minutes, seconds = divmod(int(self._site.now), 60)
        path = Settings(self._home).path
        kept = path.read_text(encoding="utf-8").splitlines() if path.exists() else ["Nothing."]
        entries = self._logbook.entries()
        self.transcript.rest(
            ["The logbook:", *(line for each in entries for line in as_entry(each))]
        )
        if self._logbook.broken_at() is None:
            self.transcript.rest(["Its seals are whole: nothing was changed after it was written."])
        self.transcript.rest(["What is kept of tips and rig:", *kept])
        self.transcript.rest(
            [
                f"The cutter spoke {self._asked} times: missed or taken for something else,"
                f" {self._missed}; asked about, {self._doubted}.",
                f"{minutes}:{seconds:02d} minutes of the shift were played in {took:.0f} s.",
                f"{self._recordings.count} recordings lie in {self._recordings.folder}.",
                f"Logbook, tips and rig lie in {self._home}.",
            ]
        )
