"""A stream of sound becomes events of the talk: called, speech began, heard, failed, mended.

What is taken in depends on what is listened for:

    attention   frames ─► end-pointer ─► spotter ── Called ─► request recogniser ── Heard
    request     frames ─► end-pointer ─► request recogniser ── SpeechBegan, Heard
    steps       frames ─► end-pointer ─┬► recogniser of answers ── SpeechBegan, Heard
                                       └► spotter ── Called ─► request recogniser ── Heard
    held        frames ─► request recogniser until the key comes up ── Heard
    stop        frames ─► spotter ── Heard
    nothing     frames ─► only what the noise is like

and in all of them

                frames ─► spotter ── CalledOut, for words of an emergency

Whoever starts to listen after the helper has spoken hears nothing of it: what came until then, and
the room's tail, is dropped; an emergency is not taken from the helper's own words. After `Called` a
`Heard` follows always, unless something `Failed`, somebody `CalledOut`, or what is listened for
changes to something else than a request.
"""

import threading
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Final

from handsfree.audio.level import Level
from handsfree.audio.microphone import Capture, Lost, Microphone, MicrophoneState
from handsfree.errors import SoundError
from handsfree.hear.endpointing import (
    FRAME_S,
    EndPointer,
    SpeechEnded,
    SpeechEvent,
    SpeechStarted,
)
from handsfree.hear.listening import Meter, Utterance, latest, since
from handsfree.hear.recogniser import Recogniser
from handsfree.hear.wake import Spot, Spotted, Spotter, unphrased, without
from handsfree.hear.watch import SPEAKS, Watch
from handsfree.values import (
    Called,
    CalledOut,
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
LONGEST_HELD_S: Final = 30.0
METERED_S: Final = 0.2  # between two levels, and between two looks at the words so far
MENDED_AFTER_S: Final = 1.0  # of sound without a fault
SAID_S: Final = 0.5  # what is left of a word that has been spotted
SPOTTER, REQUESTS = "spotter", "requests"

NOT_HEARD: Final = (
    "The recogniser failed ({}). I listen anew. If it goes on, type the request or use the page."
)


class Ears:
    """Listens in a thread of its own, or frame by frame to whoever calls `hear`.

    Args:
        frames: of 20 ms, 16 kHz, 16-bit; None where none came in a while.
        spotter: hears the attention phrase, words of an emergency, and what ends the helper's talk.
        recogniser: hears requests.
        steps: hears the answers to a step that is led; the one for requests when None.
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
        steps: Recogniser | None = None,
        forget: Callable[[], None] = lambda: None,
        on_level: Callable[[Level], None] = lambda level: None,
        on_partial: Callable[[str], None] = lambda text: None,
        on_close: Callable[[], None] = lambda: None,
    ) -> None:
        self._frames = frames
        self._watch = Watch(spotter)
        self._recogniser = recogniser
        self._steps = steps or recogniser
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
        self._meter, self._metered = Meter(), 0
        self._broken: set[str] = set()
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

    def hear_steps_by(self, recogniser: Recogniser) -> None:
        """From the next utterance on, hear the answers to a step that is led by this one."""
        self._steps = recogniser

    def says(self, sentences: Sequence[str]) -> None:
        """What the helper says now: its own words are no emergency."""
        self._watch.says(sentences)

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
            self._watched(frame, None)
        else:
            self._guarded(partial(self._take, frame))

    def _take(self, frame: bytes) -> None:
        self._kept.append(frame)
        if self._mode in SPEAKS:
            self._pointer.learn([frame])
            self._watched(frame, None)
            return
        event = self._pointer.feed(frame)
        if self._watched(frame, event):
            return
        if self._mode is Listening.HELD:
            self._hold(frame, event)
        elif self._mode is not Listening.ATTENTION or self._called:
            self._request(frame, event)

    def _watched(self, frame: bytes, event: SpeechEvent | None) -> bool:
        """Look for what may be called now; whether something was, so that the frame is used."""
        began = None
        if isinstance(event, SpeechStarted):
            began = since(event, self._pointer, self._kept)[:-1]
        try:
            spotted = self._watch.hear(
                frame,
                talks=self._pointer.speaking,
                began=began,
                emergencies_only=self._called or bool(self._deaf),
            )
        except Exception as fault:  # whoever talks to the helper is not cut off by it
            self._tell_failed(SPOTTER, fault, lost=False)
            self._watch.failed()
            return False
        if spotted is not None or self._watch.fine_s > MENDED_AFTER_S:
            self._works(SPOTTER)
        if spotted is None:
            return False
        match spotted.phrase.spot:
            case Spot.EMERGENCY | Spot.OUTCRY:
                self._on_event(CalledOut(spotted.words))
                self._drop()
                self._deaf = round(SAID_S / FRAME_S)
            case Spot.ATTENTION:
                self._call(spotted)
            case Spot.HUSH:
                self._on_event(Heard(spotted.words))
                self._deaf = round(SAID_S / FRAME_S)
                self._watch.become(self._mode)  # what is left of the word is not said anew
        return True

    def _call(self, spotted: Spotted) -> None:
        self._on_event(Called())
        self._called = True
        self._pointer.prolong()
        since_phrase = spotted.began + round(BEFORE_PHRASE_S / FRAME_S)
        self._begin(latest(self._kept, since_phrase))
        if not self._pointer.speaking:
            self._finish()

    def _request(self, frame: bytes, event: SpeechEvent | None) -> None:
        if isinstance(event, SpeechStarted) and self._utterance is None:
            self._on_event(SpeechBegan())
            self._begin(since(event, self._pointer, self._kept))
        elif self._utterance is not None:
            self._utterance.take(frame)
        if isinstance(event, SpeechEnded):
            self._finish()
        elif self._utterance is not None and self._utterance.over:
            self._pointer.restart()
            self._finish()

    def _hold(self, frame: bytes, event: SpeechEvent | None) -> None:
        if isinstance(event, SpeechStarted):
            self._on_event(SpeechBegan())
        if self._utterance is not None:
            self._utterance.take(frame)
            if self._utterance.seconds > LONGEST_HELD_S:
                self._finish()

    def _become(self, to: Listening) -> None:
        was, self._mode = self._mode, to
        self._watch.become(to)
        may_call = was in (Listening.ATTENTION, Listening.STEPS)
        if may_call and to is Listening.REQUEST and self._called:
            return  # the talker goes on
        self._drop()
        if was in SPEAKS and to not in SPEAKS:
            self._forget()
            self._deaf = round(TAIL_S / FRAME_S)
        if to is Listening.HELD:
            self._begin([])

    def _afresh(self) -> None:
        """Drop what is under way, and what may be being called."""
        self._drop()
        self._watch.afresh()

    def _drop(self) -> None:
        """Drop what is under way; the spotter hears on, as an emergency waits for no turn."""
        self._utterance = None
        self._called = False
        self._kept.clear()
        self._pointer.restart()

    def _begin(self, frames: list[bytes]) -> None:
        answers = self._mode is Listening.STEPS and not self._called
        self._utterance = Utterance(self._steps if answers else self._recogniser, frames)

    def _end(self) -> None:
        listens = (Listening.REQUEST, Listening.STEPS, Listening.HELD)
        if self._utterance is None and self._mode in listens:
            self._on_event(Heard(Words("", 0.0)))
        self._finish()
        self._pointer.restart()

    def _finish(self) -> None:
        """Tell what was heard, if an utterance is under way."""
        if self._utterance is None:
            return
        taken = self._utterance.finish()
        called, self._called = self._called, False
        self._utterance = None
        self._shown = ""
        self._works(REQUESTS)
        words, named = unphrased(taken.words, self._watch.phrases, called)
        self._on_event(Heard(words, called or named, taken.level.advice))

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
        text, _ = without(self._utterance.so_far(), self._watch.phrases, self._called)
        if text != self._shown:
            self._shown = text
            self._on_partial(text)

    def _guarded(self, do: Callable[[], None]) -> None:
        """Do it; when the recogniser raises, whatever it is, say so and begin anew."""
        try:
            do()
        except Exception as fault:  # a shift goes on without the one thing that failed
            lost = self._called or self._utterance is not None
            self._tell_failed(REQUESTS, fault, lost)
            self._afresh()

    def _tell_failed(self, which: str, fault: Exception, lost: bool) -> None:
        """Tell of a fault, once, unless words were lost by it."""
        if lost or which not in self._broken:
            self._on_event(Failed(Part.RECOGNISER, NOT_HEARD.format(fault)))
        self._broken.add(which)

    def _works(self, which: str) -> None:
        if which in self._broken:
            self._broken.remove(which)
            if not self._broken:
                self._on_event(Mended(Part.RECOGNISER))


def _lost(state: Lost) -> str:
    return f"I hear nothing from {state.name}. {state.reason}"


def open_ears(
    system: Capture,
    name: str | None,
    spotter: Spotter,
    recogniser: Recogniser,
    on_event: Callable[[TurnEvent], None],
    *,
    steps: Recogniser | None = None,
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
        steps=steps,
        forget=microphone.forget,
        on_level=on_level,
        on_partial=on_partial,
        on_close=microphone.close,
    )
    microphone.open_when_there()
    ears.open()
    return ears
