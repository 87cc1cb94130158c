"""What hears words in sound, whoever does it: the protocol, scored readings, and how sure to be."""

import random
import re
from array import array
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Protocol

from handsfree.hear.model_folder import Sureness
from handsfree.values import Words

SAMPLE_RATE_HZ = 16_000
_SILENT_SAMPLES = 8  # so many zero samples in a row are not a microphone's
_SILENT = re.compile(rb"\0{%d,}" % (2 * _SILENT_SAMPLES))


class Recogniser(Protocol):
    """Hears one utterance after another; blocks are mono 16-bit little-endian samples at 16 kHz."""

    def begin(self) -> None:
        """Forget everything and listen to a new utterance."""

    def accept(self, block: bytes) -> bool:
        """Hear a block of any length; True when the speaker seems to have finished.

        Raises:
            SoundError: the block is not whole samples.
        """

    def partial(self) -> str:
        """The words so far; they may still change."""

    def finish(self) -> Words:
        """The words of the whole utterance; nothing more is accepted before `begin`."""


def recognise(recogniser: Recogniser, samples: bytes, block_ms: int = 200) -> Words:
    """The words of a whole recording: mono 16-bit samples at 16 kHz."""
    step = 2 * SAMPLE_RATE_HZ * block_ms // 1000
    recogniser.begin()
    for at in range(0, len(samples), step):
        recogniser.accept(samples[at : at + step])
    return recogniser.finish()


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the sound; a higher score, in nats, is better."""

    text: str
    score: float


def same_text(text: str) -> str:
    """The plainest meaning of a text: itself."""
    return text


def judged(
    readings: Iterable[Reading],
    sureness: Sureness,
    filler: str,
    meaning: Callable[[str], object] = same_text,
) -> Words:
    """The best reading, its sureness, and the others that mean something else, best first.

    `meaning` maps a text to what it comes to: readings with an equal meaning support each other and
    are no doubt. Without readings nothing was said: no words, surely.

    >>> words = judged([Reading("fifteen", 9.0), Reading("fifty", 7.5)], Sureness(), "[unk]")
    >>> words.text, words.others, round(words.sureness, 2)
    ('fifteen', ('fifty',), 0.88)
    """
    best_of: dict[object, Reading] = {}
    for reading in sorted(readings, key=lambda r: -r.score):
        best_of.setdefault(meaning(reading.text), reading)
    if not best_of:
        return Words("", 0.0)
    best, *others = best_of.values()
    most = sureness.most
    spoken = [r for r in others if filler not in r.text.split()]
    fillers = [r for r in others if filler in r.text.split()]
    margin = best.score - spoken[0].score if spoken else most
    filler_margin = best.score - fillers[0].score if fillers else most
    if filler in best.text.split():
        filler_margin = most  # surely talk, if no request comes near
    return Words(best.text, sureness.of(margin, filler_margin), tuple(r.text for r in others))


def with_whispered_silence(block: bytes) -> bytes:
    """The block with digital silence replaced by noise of one or two steps, as microphones give.

    A model that has only met microphones takes the logarithm of nothing for an odd sound. Blocks
    without digital silence come back as they are.

    >>> with_whispered_silence(bytes(4)) == bytes(4)
    True
    >>> set(array("h", with_whispered_silence(bytes(400)))) <= {-2, -1, 0, 1, 2}
    True
    """
    return _SILENT.sub(_whispered, block)


def _whispered(silence: re.Match[bytes]) -> bytes:
    zeros = silence.group()
    before = silence.start() % 2  # the upper half of a sample that is not zero
    whole = (len(zeros) - before) // 2 * 2
    start = 2 * (silence.start() // 2 % 499)
    noise = _WHISPER[start:]
    while len(noise) < whole:
        noise += _WHISPER
    return zeros[:before] + noise[:whole] + zeros[before + whole :]


def _made_whisper() -> bytes:
    """One second of noise, always the same, so that a recording is heard alike every time."""
    noise = random.Random(16)
    samples = array("h", (noise.choice((-2, -1, -1, 0, 0, 1, 1, 2)) for _ in range(SAMPLE_RATE_HZ)))
    return samples.tobytes()


_WHISPER = _made_whisper()
