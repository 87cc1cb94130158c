"""Frames from a microphone become the words of one request, as soon as the talker pauses."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.errors import SoundError
from handsfree.hear.endpoint import FRAME_S, EndPointer, SpeechEnded, SpeechStarted
from handsfree.hear.level import Level, level_of
from handsfree.hear.recogniser import Recogniser
from handsfree.values import Words

PATIENCE_S = 20.0  # how long to wait for the first word
_KEPT = round(1.5 / FRAME_S)  # frames kept while nobody talks


@dataclass(frozen=True, slots=True)
class Taken:
    """One request as it was heard, and how loud it came in."""

    words: Words
    level: Level


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
    before: deque[bytes] = deque(maxlen=_KEPT)
    spoken: list[bytes] = []
    for frame in frames:
        event = ears.feed(frame)
        if isinstance(event, SpeechStarted):
            recogniser.begin()
            late = round((ears.now_s - event.at_s) / FRAME_S)  # a start is told some frames late
            spoken = list(before)[-late:] if late else []
            for earlier in spoken:
                recogniser.accept(earlier)
        before.append(frame)
        if ears.speaking or isinstance(event, SpeechEnded):
            spoken.append(frame)
            recogniser.accept(frame)
        if isinstance(event, SpeechEnded):
            break
        if not ears.speaking and not spoken and ears.now_s > patience_s:
            raise SoundError(
                f"Nobody spoke for {patience_s:.0f} seconds. Speak close to the microphone, "
                "or type the request."
            )
    if not spoken:
        raise SoundError("The sound ended before anybody spoke. Record again, or type the request.")
    return Taken(recogniser.finish(), level_of(b"".join(spoken)))
