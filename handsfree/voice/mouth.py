"""The helper's mouth: a thread that speaks sentences one by one and sounds tones, as it is told.

    say, tone, hush, adjust, warm ──► the mouth's thread ──► loudspeaker
                                        ▲ samples
                                      the maker's thread ──► voice process

Nobody who tells it something waits: sentences are made in a thread of their own, the first is
played while the next is made, and a voice or a loudspeaker that fails or hangs becomes an event.
What fails is tried again at the next sentence, and now and then in between.
"""

import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final

from handsfree.audio.speaker import STALLED_S, Speaker
from handsfree.errors import HandsfreeError
from handsfree.values import Control, Failed, Mended, Part, Samples, Spoken, Tone
from handsfree.values.timing import BeatSet
from handsfree.voice.beat import Ticks
from handsfree.voice.tones import RATE, tone
from handsfree.voice.voice import Voice, VoiceSettings, adjusted, after_pause

AHEAD: Final = 2  # sentences made before they are needed
BETWEEN_PHRASES_S: Final = 0.05  # phrases made ahead leave the machine to what is said now
TRY_AGAIN_S: Final = 3.0  # after a fault, while nothing is said
TRY_LATEST_S: Final = 60.0  # a voice that stays away is tried ever more seldom

MouthEvent = Spoken | Failed | Mended


@dataclass(eq=False, slots=True)
class _Saying:
    """One `say`, on its way from sentences to samples to sound."""

    sentences: tuple[str, ...]
    number: int
    pieces: deque[Samples] = field(default_factory=deque)
    made: int = 0
    begun: bool = False
    stopped: bool = False
    failed: bool = False

    @property
    def wanted(self) -> bool:
        """Whether another sentence is to be made now."""
        return not self.all_made and len(self.pieces) < AHEAD

    @property
    def all_made(self) -> bool:
        """Whether nothing more will come."""
        return self.stopped or self.failed or self.made >= len(self.sentences)


class Mouth:
    """Says and signals, from a thread of its own; every method returns at once.

    Args:
        voice: makes samples of sentences.
        speaker: plays them; this mouth alone plays on it.
        on_event: told `Spoken` exactly once for each `say`, in their order, and `Failed` and
            `Mended` of the voice and of the loudspeaker; called from the mouth's threads.
    """

    def __init__(
        self, voice: Voice, speaker: Speaker, on_event: Callable[[MouthEvent], None]
    ) -> None:
        self._voice = voice
        self._speaker = speaker
        self._on_event = on_event
        self._change = speaker.change
        self._saying: _Saying | None = None
        self._over: deque[_Saying] = deque()  # stopped ones whose `Spoken` is due
        self._tones: deque[Samples] = deque()
        self._phrases: tuple[str, ...] = ()
        self._to_warm: deque[str] = deque()
        self._sounding = False
        self._closed = False
        self._faults: dict[Part, str] = {}
        self._tries = 0  # of the voice, since it failed
        self._ticks = Ticks()
        speaker.under = self._ticks.mix
        speaker.loudness = voice.settings.loudness
        speaker.use(voice.settings.loudspeaker)
        self._threads = [
            threading.Thread(target=self._play, name="mouth", daemon=True),
            threading.Thread(target=self._make, name="sentence maker", daemon=True),
        ]
        for thread in self._threads:
            thread.start()

    @property
    def settings(self) -> VoiceSettings:
        """How it speaks now."""
        return self._voice.settings

    @property
    def speaking(self) -> bool:
        """Whether something said is to come, or its last sample has not yet left the device."""
        return self._saying is not None or bool(self._over)

    @property
    def sounding(self) -> bool:
        """Whether anything, a tone too, is on its way to the ear."""
        return self.speaking or self._sounding or bool(self._tones)

    def say(self, sentences: Sequence[str], number: int) -> None:
        """Speak sentences, in place of what is being said; `Spoken` follows with the number."""
        with self._change:
            self._drop()
            self._saying = _Saying(tuple(sentences), number)
            self._change.notify_all()

    def tone(self, which: Tone) -> None:
        """Sound a tone at once, into what is being said if need be; that goes on after it."""
        samples = tone(which)
        with self._change:
            if self._speaker.interject(samples):
                self._sounding = True
            else:
                self._tones.append(samples)
            self._change.notify_all()

    @property
    def beating(self) -> bool:
        """Whether the beat is on."""
        return self._ticks.beat is not None

    @property
    def set_to(self) -> BeatSet | None:
        """What beats; None when nothing does."""
        return self._ticks.beat

    def beat(self, beat: BeatSet | None) -> None:
        """Beat from now on, also into what is being said; silent again when None."""
        with self._change:
            self._ticks.set(beat)
            self._change.notify_all()

    def hush(self) -> None:
        """Be silent, within a tenth of a second, and forget what was still to be said.

        The beat goes on while there was something to be silent about; else it is what is meant.
        """
        with self._change:
            if not self.speaking:
                self._ticks.set(None)
            self._drop()
            self._tones.clear()
            self._speaker.stop()
            self._change.notify_all()

    def adjust(self, how: Control) -> VoiceSettings:
        """Speak slower, faster, louder or softer from the next sentence on.

        Returns:
            The settings from now on; the same as before where the bound is reached.
        """
        settings = adjusted(self._voice.settings, how)
        self.use(settings)
        return settings

    def use(self, settings: VoiceSettings) -> None:
        """Speak by other settings from the next sentence on."""
        with self._change:
            self._voice.settings = settings
            self._speaker.loudness = settings.loudness
            self._to_warm.clear()
            self._to_warm.extend(self._phrases)
            self._speaker.use(settings.loudspeaker)
            self._change.notify_all()

    def warm(self, phrases: Iterable[str]) -> None:
        """Make phrases that are said often, in the background, and keep them between runs."""
        with self._change:
            self._phrases = tuple(filter(None, dict.fromkeys(phrases)))
            self._to_warm.clear()
            self._to_warm.extend(self._phrases)
            self._change.notify_all()

    def close(self) -> None:
        """Be silent, and end the threads, the voice process and the use of the device."""
        with self._change:
            self._drop()
            self._closed = True
            self._speaker.stop()
            self._change.notify_all()
        self._voice.close()
        for thread in self._threads:
            thread.join(5.0)
        self._voice.close()
        self._speaker.close()

    def __enter__(self) -> "Mouth":
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _drop(self) -> None:
        """What is being said is over; the lock is held."""
        if self._saying is not None:
            self._saying.stopped = True
            self._over.append(self._saying)
            self._saying = None
            self._speaker.stop()

    # --- the mouth's own thread ---

    def _play(self) -> None:
        self._sound(trial=True)
        while not self._closed:
            with self._change:
                wait = TRY_AGAIN_S if Part.LOUDSPEAKER in self._faults else None
                due = self._change.wait_for(self._is_due, wait)
            if self._over:
                self._report()
            else:
                self._sound(trial=not due)

    def _is_due(self) -> bool:
        return bool(self._saying or self._tones or self._over) or self._closed or self.beating

    def _sound(self, *, trial: bool) -> None:
        """Play until nothing is left to be played, or the loudspeaker fails.

        Args:
            trial: begin with a moment of silence, to see whether the loudspeaker takes it.
        """
        try:
            if self._speaker.play(self._sounds(trial), RATE):
                self._mended(Part.LOUDSPEAKER)
        except Exception as fault:  # whatever it is: without this thread the helper is mute
            self._failed(Part.LOUDSPEAKER, _told(fault))
            with self._change:  # what cannot be heard now is not kept for later
                self._ticks.set(None)
                self._drop()
                self._tones.clear()
        self._report()

    def _sounds(self, trial: bool) -> Iterator[Samples | None]:
        """Tones and sentences as they come, until the last has left the device and no beat runs."""
        if trial:
            yield _TRIAL
        while True:
            with self._change:
                self._change.wait_for(self._can_go_on, STALLED_S / 4)
                if self._closed or self._over or self._speaker.stopped:
                    return
                sound = self._next_sound()
                if sound is None and self._all_has_sounded():
                    if self._saying is not None:
                        self._over.append(self._saying)
                        self._saying = None
                    if not self.beating:
                        return
                done = bool(self._over)
            if done:
                self._report()
            yield sound

    def _can_go_on(self) -> bool:
        saying = self._saying
        given = bool(self._tones or (saying is not None and saying.pieces))
        ended = self._closed or bool(self._over) or self._speaker.stopped
        rests = saying is None and self.beating  # nothing to go on with but the beat
        return given or ended or (self._all_has_sounded() and not rests)

    def _next_sound(self) -> Samples | None:
        saying = self._saying
        waiting = self._tones or (saying.pieces if saying is not None else None)
        if not waiting:
            return None
        self._sounding = True
        self._change.notify_all()  # another sentence may be made now
        return waiting.popleft()

    def _all_has_sounded(self) -> bool:
        saying = self._saying
        given = saying is None or (saying.all_made and not saying.pieces)
        return given and not self._tones and self._speaker.drained

    def _report(self) -> None:
        """Tell of every `say` that is over."""
        while self._over:
            saying = self._over[0]
            whole = not saying.stopped and not saying.failed
            self._over.popleft()
            self._on_event(Spoken(whole, saying.number))
        with self._change:
            self._sounding = False

    # --- the maker's thread ---

    def _make(self) -> None:
        while True:
            with self._change:
                pause = self._pause()
                self._change.wait_for(partial(self._has_to_make, pause), pause)
                if self._closed:
                    return
                saying = self._saying
                if saying is not None and not saying.wanted:
                    saying = None
                idle = pause == self._pause() and not self.speaking
            try:
                if saying is not None:
                    self._make_next(saying)
                elif idle:
                    self._make_ahead()
            except Exception as fault:  # whatever it is: without this thread the helper is mute
                self._failed(Part.VOICE, _told(fault))
                with self._change:
                    self._tries += 1
                    if saying is not None:
                        saying.failed = True
                    self._to_warm.clear()
                    self._change.notify_all()

    def _has_to_make(self, pause: float | None) -> bool:
        wanted = self._saying is not None and self._saying.wanted
        return wanted or self._closed or pause != self._pause()

    def _pause(self) -> float | None:
        """How long nothing may be wanted before something is made ahead."""
        if Part.VOICE in self._faults:
            return float(min(TRY_AGAIN_S * 2 ** min(self._tries, 10), TRY_LATEST_S))
        return BETWEEN_PHRASES_S if self._to_warm else None

    def _make_next(self, saying: _Saying) -> None:
        samples = self._voice.render(saying.sentences[saying.made])
        with self._change:
            saying.made += 1
            if samples.data:
                saying.pieces.append(after_pause(samples) if saying.begun else samples)
                saying.begun = True
            self._change.notify_all()
        if not self._voice.fault:
            self._mended(Part.VOICE)

    def _make_ahead(self) -> None:
        if Part.VOICE in self._faults:
            self._voice.try_again()
            self._mended(Part.VOICE)
            with self._change:
                self._to_warm.extend(self._phrases)
        while phrase := self._next_phrase():
            if not self._voice.is_kept(phrase):
                self._voice.render_ahead([phrase])
                return

    def _next_phrase(self) -> str:
        with self._change:
            return self._to_warm.popleft() if self._to_warm else ""

    # --- faults ---

    def _failed(self, part: Part, sentence: str) -> None:
        """Tell of a fault, unless it is the one that was told last."""
        with self._change:
            known = self._faults.get(part) == sentence or self._closed
            self._faults[part] = sentence
        if not known:
            self._on_event(Failed(part, sentence))

    def _mended(self, part: Part) -> None:
        with self._change:
            was = self._faults.pop(part, None)
            if part is Part.VOICE:
                self._tries = 0
        if was is not None:
            self._on_event(Mended(part))


def _told(fault: Exception) -> str:
    """A fault in words; ours say what to do, others are slips in the program."""
    if isinstance(fault, HandsfreeError):
        return str(fault)
    return (
        f"Something went wrong in speaking ({type(fault).__name__}: {fault})."
        " Answers are shown. If this stays, stop the helper and start it again."
    )


# So little silence that nobody waits for it, to see whether the loudspeaker takes anything.
_TRIAL: Final = Samples(bytes(2 * (RATE // 100)), RATE)
