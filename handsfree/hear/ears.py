"""A stream of sound becomes events of the talk: called, speech began, heard, failed, mended.

What is taken in depends on what is listened for:

    attention   frames ─► end-pointer ─► spotter ── Called ─► request recogniser ── Heard
    request     frames ─► end-pointer ─► request recogniser ── SpeechBegan, Heard
    held        frames ─► request recogniser until the key comes up ── Heard
    stop        frames ─► spotter ── Heard
    nothing     frames ─► only what the noise is like

Whoever starts to listen after the helper has spoken hears nothing of it: what came until then, and
the room's tail, is dropped. After `Called` a `Heard` follows always, unless something `Failed` or
what is listened for changes to something else than a request.
"""

import threading
from collections import deque
from collections.abc import Callable, Iterable
from functools import partial
from typing import Final

from handsfree.errors import SoundError
from handsfree.hear.attention import Spot, Spotted, Spotter, without
from handsfree.hear.endpoint import FRAME_S, EndPointer, SpeechEnded, SpeechStarted
from handsfree.hear.level import Level
from handsfree.hear.listening import Meter, Utterance, latest, since
from handsfree.hear.microphone import Capture, Lost, Microphone, MicrophoneState
from handsfree.hear.recogniser import Recogniser
from handsfree.values import (
    Called,
    Failed,
    Heard,
    Listening,
    Mended,
    Part,
    SpeechBegan,
    TurnEvent,
    Words,
)

TAIL_S: Final = 0.2  # a room goes on sounding so long after the helper has spoken
KEPT_S: Final = 5.0  # of sound, from before the attention phrase was sure
BEFORE_PHRASE_S: Final = 0.25  # its first consonant, for the request recogniser
HANGOVER_S: Final = 0.6  # the spotter hears on so long after the end-pointer has
LONGEST_HELD_S: Final = 30.0
METERED_S: Final = 0.2  # between two levels, and between two looks at the words so far
MENDED_AFTER_S: Final = 1.0  # of sound without a fault
NOT_SURE: Final = 0.5  # how sure to be of words that leave the phrase out
SAID_S: Final = 0.5  # what is left of the word that ended the helper's talk
SPOTTER, REQUESTS = "spotter", "requests"

NOT_HEARD: Final = (
    "The recogniser failed ({}). I listen anew. If it goes on, type the request or use the page."
)


class Ears:
    """Listens in a thread of its own, or frame by frame to whoever calls `hear`.

    Args:
        frames: of 20 ms, 16 kHz, 16-bit; None where none came in a while.
        spotter: hears the attention phrase, and what ends the helper's talk.
        recogniser: hears requests.
        on_event: called with each event, from the listening thread; it must not block.
        forget: drops frames that were captured and not yet handed over.
        on_level: called five times a second with the level since the last time.
        on_partial: called with the words so far of a request when they change.
        on_close: gives back what the frames come from.
    """

    def __init__(
        self,
        frames: Iterable[bytes | None],
        spotter: Spotter,
        recogniser: Recogniser,
        on_event: Callable[[TurnEvent], None],
        *,
        forget: Callable[[], None] = lambda: None,
        on_level: Callable[[Level], None] = lambda level: None,
        on_partial: Callable[[str], None] = lambda text: None,
        on_close: Callable[[], None] = lambda: None,
    ) -> None:
        self._frames = frames
        self._spotter = spotter
        self._recogniser = recogniser
        self._on_event = on_event
        self._forget = forget
        self._on_level = on_level
        self._on_partial = on_partial
        self._on_close = on_close
        self._wanted: deque[Listening | None] = deque()  # None: the utterance ends here
        self._asked = Listening.NOTHING
        self._mode = Listening.NOTHING
        self._pointer = EndPointer()
        self._kept: deque[bytes] = deque(maxlen=round(KEPT_S / FRAME_S))
        self._utterance: Utterance | None = None
        self._called = False
        self._shown = ""
        self._deaf = 0  # frames that are dropped yet
        self._spotting = 0  # frames that the spotter hears on
        self._meter, self._metered = Meter(), 0
        self._stale = True  # the spotter has to begin anew
        self._using = ""  # which recogniser is at work
        self._broken: set[str] = set()
        self._fine = 0  # frames that the spotter has heard since it failed
        self._microphone_lost = False
        self._interrupted = False
        self._closed = threading.Event()
        self._thread: threading.Thread | None = None

    # --- what others call, from any thread ----------------------------------------------------

    def open(self) -> None:
        """Begin to listen, in a thread."""
        if self._thread is None:
            self._thread = threading.Thread(target=self.listen, name="ears", daemon=True)
            self._thread.start()

    def listen_for(self, listening: Listening) -> None:
        """Take in this from now on; the same as before changes nothing."""
        if listening is not self._asked:
            self._asked = listening
            self._wanted.append(listening)

    def end_utterance(self) -> None:
        """Take what was said until now as the whole request."""
        self._wanted.append(None)

    def microphone(self, state: MicrophoneState) -> None:
        """What the microphone says about itself."""
        if isinstance(state, Lost):
            self._microphone_lost = self._interrupted = True
            self._on_event(Failed(Part.MICROPHONE, _lost(state)))
        elif self._microphone_lost:
            self._microphone_lost = False
            self._on_event(Mended(Part.MICROPHONE))

    def close(self) -> None:
        """Listen no more."""
        self._closed.set()
        self._on_close()
        if self._thread and self._thread is not threading.current_thread():
            self._thread.join(2.0)
        self._thread = None

    # --- the listening thread -------------------------------------------------------------------

    def listen(self) -> None:
        """Hear all frames, until there are no more or `close`."""
        try:
            for frame in self._frames:
                if self._closed.is_set():
                    return
                self.hear(frame)
        except SoundError as fault:
            self._on_event(Failed(Part.MICROPHONE, str(fault)))
        self._guarded(self._finish)

    def hear(self, frame: bytes | None) -> None:
        """Hear one frame; None where there is none, so that what was asked for is done."""
        while self._wanted:
            wanted = self._wanted.popleft()
            self._guarded(self._end if wanted is None else partial(self._become, wanted))
        if self._interrupted:  # what comes next does not belong to what came before
            self._interrupted = False
            self._afresh()
        if frame is None:
            return
        self._measure(frame)
        if self._deaf:
            self._deaf -= 1
        else:
            self._guarded(partial(self._take, frame))

    def _take(self, frame: bytes) -> None:
        self._kept.append(frame)
        match self._mode:
            case Listening.NOTHING:
                self._pointer.learn([frame])
            case Listening.STOP:
                self._pointer.learn([frame])
                self._hush(frame)
            case Listening.HELD:
                self._hold(frame)
            case Listening.REQUEST:
                self._request(frame)
            case Listening.ATTENTION if self._called:
                self._request(frame)
            case Listening.ATTENTION:
                self._attend(frame)

    def _attend(self, frame: bytes) -> None:
        event = self._pointer.feed(frame)
        if isinstance(event, SpeechStarted) and not self._spotting:
            self._using = SPOTTER
            self._spotter.begin(since(event, self._pointer, self._kept)[:-1])
            self._stale = False
        if self._pointer.speaking:
            self._spotting = round(HANGOVER_S / FRAME_S)
        if not self._spotting:
            return
        self._spotting -= 1
        spotted = self._spot(frame, Spot.ATTENTION)
        if spotted is not None:
            self._call(spotted)

    def _spot(self, frame: bytes, spot: Spot) -> Spotted | None:
        self._using = SPOTTER
        if self._stale:
            self._spotter.begin()
            self._stale = False
        spotted = self._spotter.accept(frame, (spot,))
        self._fine += 1
        if spotted is not None or self._fine * FRAME_S > MENDED_AFTER_S:
            self._works(SPOTTER)
        return spotted

    def _call(self, spotted: Spotted) -> None:
        self._on_event(Called())
        self._spotting = 0
        self._called = True
        self._pointer.prolong()
        since_phrase = spotted.began + round(BEFORE_PHRASE_S / FRAME_S)
        self._begin(latest(self._kept, since_phrase))
        if not self._pointer.speaking:
            self._finish()

    def _request(self, frame: bytes) -> None:
        event = self._pointer.feed(frame)
        if isinstance(event, SpeechStarted) and self._utterance is None:
            self._on_event(SpeechBegan())
            self._begin(since(event, self._pointer, self._kept))
        elif self._utterance is not None:
            self._using = REQUESTS
            self._utterance.take(frame)
        if isinstance(event, SpeechEnded):
            self._finish()
        elif self._utterance is not None and self._utterance.over:
            self._pointer.restart()
            self._finish()

    def _hold(self, frame: bytes) -> None:
        if isinstance(self._pointer.feed(frame), SpeechStarted):
            self._on_event(SpeechBegan())
        if self._utterance is not None:
            self._using = REQUESTS
            self._utterance.take(frame)
            if self._utterance.seconds > LONGEST_HELD_S:
                self._finish()

    def _hush(self, frame: bytes) -> None:
        spotted = self._spot(frame, Spot.HUSH)
        if spotted is not None:
            self._on_event(Heard(spotted.words))
            self._deaf = round(SAID_S / FRAME_S)

    def _become(self, to: Listening) -> None:
        was, self._mode = self._mode, to
        if was is Listening.ATTENTION and to is Listening.REQUEST and self._called:
            return  # the talker goes on
        self._afresh()
        spoke = was in (Listening.NOTHING, Listening.STOP)
        if spoke and to not in (Listening.NOTHING, Listening.STOP):
            self._forget()
            self._deaf = round(TAIL_S / FRAME_S)
        if to is Listening.HELD:
            self._begin([])

    def _afresh(self) -> None:
        """Drop what is under way."""
        self._utterance = None
        self._called = False
        self._spotting = 0
        self._stale = True
        self._kept.clear()
        self._pointer.restart()

    def _begin(self, frames: list[bytes]) -> None:
        self._using = REQUESTS
        self._utterance = Utterance(self._recogniser, frames)

    def _end(self) -> None:
        if self._utterance is None and self._mode in (Listening.REQUEST, Listening.HELD):
            self._on_event(Heard(Words("", 0.0)))
        self._finish()
        self._pointer.restart()

    def _finish(self) -> None:
        """Tell what was heard, if an utterance is under way."""
        if self._utterance is None:
            return
        self._using = REQUESTS
        taken = self._utterance.finish()
        called, self._called = self._called, False
        self._utterance = None
        self._shown = ""
        self._works(REQUESTS)
        words, named = self._plain(taken.words, called)
        self._on_event(Heard(words, called or named, taken.level.advice))

    def _plain(self, words: Words, called: bool) -> tuple[Words, bool]:
        """Words without the attention phrase, and once it was heard without what was before it.

        Whoever called has said the phrase. A reading without it has taken its sounds for something
        else, so that the best with it comes first; it is no sure one, and neither is any where
        there is none.
        """
        readings = [without(each, self._spotter.phrases, called) for each in _readings(words)]
        first, sureness = readings[0], words.sureness
        if called and not first[1]:
            first = next((each for each in readings if each[1]), first)
            sureness = min(sureness, NOT_SURE)
        others = dict.fromkeys(text for text, _ in readings)
        others.pop(first[0], None)
        return Words(first[0], sureness, tuple(others)), first[1]

    def _measure(self, frame: bytes) -> None:
        self._meter.add(frame)
        self._metered += 1
        if self._metered * FRAME_S >= METERED_S:
            self._on_level(self._meter.level())
            self._meter, self._metered = Meter(), 0
            if self._utterance is not None:
                self._guarded(self._show)

    def _show(self) -> None:
        assert self._utterance is not None
        text, _ = without(self._utterance.so_far(), self._spotter.phrases, self._called)
        if text != self._shown:
            self._shown = text
            self._on_partial(text)

    def _guarded(self, do: Callable[[], None]) -> None:
        """Do it; when the recogniser raises, whatever it is, say so and begin anew."""
        try:
            do()
        except Exception as fault:  # a shift goes on without the one thing that failed
            if self._called or self._utterance is not None or self._using not in self._broken:
                self._on_event(Failed(Part.RECOGNISER, NOT_HEARD.format(fault)))
            self._broken.add(self._using)
            self._fine = 0
            self._afresh()

    def _works(self, which: str) -> None:
        if which in self._broken:
            self._broken.remove(which)
            if not self._broken:
                self._on_event(Mended(Part.RECOGNISER))


def _readings(words: Words) -> tuple[str, ...]:
    return (words.text, *words.others)


def _lost(state: Lost) -> str:
    return f"I hear nothing from {state.name}. {state.reason}"


def open_ears(
    system: Capture,
    name: str | None,
    spotter: Spotter,
    recogniser: Recogniser,
    on_event: Callable[[TurnEvent], None],
    *,
    on_level: Callable[[Level], None] = lambda level: None,
    on_partial: Callable[[str], None] = lambda text: None,
) -> Ears:
    """Ears on a microphone, that listen now or as soon as it is there; `close` gives it back."""

    def tell(state: MicrophoneState) -> None:
        ears.microphone(state)

    microphone = Microphone(system, name, tell)
    ears = Ears(
        microphone.stream(),
        spotter,
        recogniser,
        on_event,
        forget=microphone.forget,
        on_level=on_level,
        on_partial=on_partial,
        on_close=microphone.close,
    )
    microphone.open_when_there()
    ears.open()
    return ears
