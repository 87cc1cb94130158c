"""What hears words in sound, whoever does it: the protocol, scored readings, and how sure to be."""

import random
import re
from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from handsfree.hear.model_folder import Sureness
from handsfree.values import Sense, Words

SAMPLE_RATE_HZ = 16_000
CLOSE = 2.0  # nats: a reading further behind the best is no choice any more
WEIGHED = 20  # requests whose meaning is looked at, best first: it takes a parse for each
TAIL_MS = 300  # of quiet behind a recording
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


@dataclass(frozen=True, slots=True)
class TimedWord:
    """A word and where it lies, in seconds since the utterance began; the end is a little early."""

    text: str
    began_s: float
    ended_s: float


class TimedRecogniser(Recogniser, Protocol):
    """One that can tell where each word lies."""

    def finish_timed(self) -> tuple[Words, tuple[TimedWord, ...]]:
        """The words like `finish`, and the places of the best reading's, fillers among them."""


def recognise(recogniser: Recogniser, samples: bytes, block_ms: int = 200) -> Words:
    """The words of a whole recording: mono 16-bit samples at 16 kHz.

    A recording may end with its last sound, which the model hears best with quiet behind it, as
    what a microphone gives has it.
    """
    step = 2 * SAMPLE_RATE_HZ * block_ms // 1000
    recogniser.begin()
    for at in range(0, len(samples), step):
        recogniser.accept(samples[at : at + step])
    recogniser.accept(bytes(2 * SAMPLE_RATE_HZ * TAIL_MS // 1000))
    return recogniser.finish()


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the sound; a higher score, in nats, is better."""

    text: str
    score: float


_NONE = Reading("", float("-inf"))


def same_text(text: str) -> Sense:
    """The plainest sense of a text: itself."""
    return Sense(text)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What speaks for the best reading, as the logistic function of the model takes it.

    Attributes:
        margin: its score less that of the best request with another meaning, in nats.
        filler: its score less that of the best reading as talk, in nats.
        fit: its score for each second of sound, in nats; 0 is perfect.
    """

    margin: float
    filler: float
    fit: float


def evidence(
    readings: Sequence[Reading],
    seconds: float,
    most: float,
    filler: str,
    sense: Callable[[str], Sense] = same_text,
) -> tuple[list[Reading], Evidence]:
    """The best reading of each meaning, best first, and what speaks for the first of them.

    A reading falls behind by the cost of its sense. A margin counts up to `most`, which is also its
    value where there is no other reading: nothing beyond that was kept by the search.
    """
    best_of: dict[object, Reading] = {}
    weighed = 0
    for reading in sorted(readings, key=lambda r: -r.score):
        talk = _is_talk(reading, filler)
        weighed += not talk
        if not talk and weighed > WEIGHED:
            continue
        if talk:
            best_of.setdefault(talk, reading)
            continue
        meant = sense(reading.text)
        reading = Reading(reading.text, reading.score - meant.cost)
        if reading.score > best_of.get(meant.meaning, _NONE).score:
            best_of[meant.meaning] = reading
    ranked = sorted(best_of.values(), key=lambda r: -r.score)
    best, others = ranked[0], ranked[1:]
    asked = [best.score - r.score for r in others if not _is_talk(r, filler)]
    talked = [best.score - r.score for r in others if _is_talk(r, filler)]
    return ranked, Evidence(
        margin=min([most, *asked]),
        filler=min([most, *talked]),
        fit=best.score / max(seconds, 0.1),
    )


def judged(
    readings: Sequence[Reading],
    seconds: float,
    sureness: Sureness,
    filler: str,
    sense: Callable[[str], Sense] = same_text,
) -> Words:
    """The best reading, how sure it is, and the best of each other close meaning, best first.

    `sense` tells what a text comes to: readings with equal meanings are no doubt to each other.
    Without readings nothing was said.

    >>> heard = [Reading("fifteen", -1.0), Reading("fifty", -2.5), Reading("[unk]", -4.0)]
    >>> words = judged(heard, 1.0, Sureness(), "[unk]")
    >>> words.text, words.others, round(words.sureness, 2)
    ('fifteen', ('fifty',), 0.82)
    """
    if not readings:
        return Words("", 0.0)
    ranked, seen = evidence(readings, seconds, sureness.most, filler, sense)
    best = ranked[0]
    return Words(
        best.text,
        sureness.of(seen.margin, seen.filler, seen.fit),
        tuple(reading.text for reading in ranked[1:] if best.score - reading.score <= CLOSE),
    )


def _is_talk(reading: Reading, filler: str) -> bool:
    return filler in reading.text.split()


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
