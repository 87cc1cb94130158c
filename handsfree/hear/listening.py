"""Frames from a microphone become the words of one request, as soon as the talker pauses."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from operator import mul
from typing import Final

from handsfree.audio.level import (
    AT_THE_RAIL,
    FLOOR_DB,
    Level,
    decibels,
    is_clipped,
    samples_of,
)
from handsfree.errors import SoundError
from handsfree.hear.endpointing import FRAME_S, EndPointer, SpeechEnded, SpeechStarted
from handsfree.hear.recogniser import Recogniser
from handsfree.values import Words

PATIENCE_S: Final = 20.0  # how long to wait for the first word
KEPT_S: Final = 1.5  # of sound, while nobody talks: a start is told some frames late
# The recogniser hears silence where hammer blows keep an end-pointer awake. It says so after half a
# second; this much more makes it longer than a pause inside a request.
OVER_S: Final = 0.4


@dataclass(frozen=True, slots=True)
class Taken:
    """One request as it was heard, and how loud it came in."""

    words: Words
    level: Level


class Meter:
    """The level of a stretch of sound that is still going on."""

    def __init__(self) -> None:
        self._count = 0
        self._squares = 0
        self._peak = 0
        self._rails = 0

    def add(self, frame: bytes) -> None:
        """Measure one more frame."""
        samples = samples_of(frame)
        if samples:
            peak = max(max(samples), -min(samples))
            self._count += len(samples)
            self._squares += sum(map(mul, samples, samples))
            self._peak = max(self._peak, peak)
            if peak >= AT_THE_RAIL:
                self._rails += sum(abs(value) >= AT_THE_RAIL for value in samples)

    def level(self) -> Level:
        """Of all that was added; silence before the first frame."""
        if not self._count:
            return Level(FLOOR_DB, FLOOR_DB, False)
        mean = (self._squares / self._count) ** 0.5
        return Level(decibels(mean), decibels(self._peak), is_clipped(self._rails, self._count))


class Utterance:
    """One utterance on its way into a recogniser, frame by frame.

    Args:
        recogniser: begun anew here.
        frames: of its beginning, that were heard before it was known to be one.
    """

    def __init__(self, recogniser: Recogniser, frames: Iterable[bytes] = ()) -> None:
        self._recogniser = recogniser
        self._meter = Meter()
        self.seconds = 0.0
        self._over = 0  # frames since the recogniser hears silence
        recogniser.begin()
        for frame in frames:
            self.take(frame)

    def take(self, frame: bytes) -> None:
        """Hear one more frame."""
        self._over = self._over + 1 if self._recogniser.accept(frame) else 0
        self._meter.add(frame)
        self.seconds += FRAME_S

    @property
    def over(self) -> bool:
        """Whether the recogniser, too, has heard nothing for so long that it must be the end."""
        return self._over * FRAME_S >= OVER_S

    def so_far(self) -> str:
        """The words until now; they may still change."""
        return self._recogniser.partial()

    def finish(self) -> Taken:
        """The words of the whole."""
        return Taken(self._recogniser.finish(), self._meter.level())


def listen_once(
    frames: Iterable[bytes], recogniser: Recogniser, patience_s: float = PATIENCE_S
) -> Taken:
    """The words of the next utterance.

    Args:
        frames: 20 ms each, 16 kHz, 16-bit.
        recogniser: begun anew here.
        patience_s: how long to wait for the first word.

    Raises:
        SoundError: nobody spoke in that time, or the frames ended before anybody did.
    """
    ears = EndPointer()
    before: deque[bytes] = deque(maxlen=round(KEPT_S / FRAME_S))
    utterance: Utterance | None = None
    for frame in frames:
        event = ears.feed(frame)
        before.append(frame)
        if isinstance(event, SpeechStarted):
            utterance = Utterance(recogniser, since(event, ears, before))
        elif utterance is not None:
            utterance.take(frame)
        if utterance is not None and (isinstance(event, SpeechEnded) or utterance.over):
            break
        if utterance is None and ears.now_s > patience_s:
            raise SoundError(
                f"Nobody spoke for {patience_s:.0f} seconds. Speak close to the microphone, "
                "or type the request."
            )
    if utterance is None:
        raise SoundError("The sound ended before anybody spoke. Record again, or type the request.")
    return utterance.finish()


def since(event: SpeechStarted, ears: EndPointer, heard: "deque[bytes]") -> list[bytes]:
    """The frames that belong to the talk that began, out of those heard last."""
    return latest(heard, round((ears.now_s - event.at_s) / FRAME_S))


def latest(heard: "deque[bytes]", count: int) -> list[bytes]:
    """So many of the frames heard last; all when there are fewer."""
    return list(heard)[-count:] if count > 0 else []
