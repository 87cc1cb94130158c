"""Made-up words for tests of the ears: each is a buzz of its own, and the ear knows it by heart."""

import math
import random
from array import array
from collections.abc import Iterable

from handsfree.hear.endpointing import FRAME_BYTES, FRAME_S
from handsfree.hear.recogniser import TimedWord
from handsfree.hear.wake import Phrase, Spot, Spotter
from handsfree.values import Words

RATE = 16_000
SAMPLES = FRAME_BYTES // 2
WORD_S = 0.4

PHRASES = (
    Phrase("red kettle", Spot.ATTENTION, (8, 8)),
    Phrase("stop", Spot.HUSH, (4, 4)),
    Phrase("loud bang", Spot.EMERGENCY, (7, 7)),
    Phrase("flash", Spot.OUTCRY, (4, 4)),
    Phrase("it went dark", Spot.OUTCRY, (10, 10)),
    Phrase("flash lamp", Spot.TALK, (8, 8)),
)


EMERGENCY = ("loud", "bang", "flash", "it", "went", "dark", "lamp")


class Mouth:
    """Says words as frames, the same ones each time, in a quiet room."""

    def __init__(self, loudness: float = 4000) -> None:
        self._chance = random.Random(5)
        self._loudness = loudness
        self.known: dict[bytes, str] = {}
        self._said: dict[str, list[bytes]] = {}

    def room(self, seconds: float) -> list[bytes]:
        return [self._frame([0.0] * SAMPLES) for _ in range(round(seconds / FRAME_S))]

    def say(self, text: str) -> list[bytes]:
        return [frame for word in text.split() for frame in self._word(word)]

    def _word(self, word: str) -> list[bytes]:
        if word not in self._said:
            pitch = 110 + 7 * len(self._said)
            frames = []
            for number in range(round(WORD_S / FRAME_S)):
                swell = 0.15 + 0.85 * abs(math.sin(math.pi * (number + 1) / 10))
                at = [2 * math.pi * pitch * (number * SAMPLES + n) / RATE for n in range(SAMPLES)]
                buzz = [sum(math.sin(k * a) / k for k in range(1, 12)) for a in at]
                frame = self._frame([self._loudness * swell * value for value in buzz])
                self.known[frame] = word
                frames.append(frame)
            self._said[word] = frames
        return self._said[word]

    def _frame(self, wave: Iterable[float]) -> bytes:
        samples = (round(self._chance.gauss(0, 60) + value) for value in wave)
        return array("h", (max(-32768, min(32767, value)) for value in samples)).tobytes()


class WordEar:
    """A recogniser that knows the frames of a mouth, and what is not of the mouth as nothing.

    `faults` are raised one by one, by the named method. Nothing but room for `ends_after_s` is an
    end point to it.
    """

    def __init__(self, mouth: Mouth, only: Iterable[str] = ()) -> None:
        self._known = mouth.known
        self._only = set(only)
        self.faults: dict[str, list[Exception]] = {}
        self.others: list[str] = []
        self.mishears: dict[str, str] = {}
        self.ends_after_s = math.inf
        self.silent = 0
        self.begun = 0
        self._frames: list[bytes] = []

    def _may_fail(self, what: str) -> None:
        if self.faults.get(what):
            raise self.faults[what].pop(0)

    def begin(self) -> None:
        self._may_fail("begin")
        self.begun += 1
        self._frames = []

    def accept(self, block: bytes) -> bool:
        self._may_fail("accept")
        self.silent = self.silent + 1 if block not in self._known else 0
        self._frames += [block[n : n + FRAME_BYTES] for n in range(0, len(block), FRAME_BYTES)]
        return self.silent * FRAME_S >= self.ends_after_s

    def partial(self) -> str:
        return " ".join(word.text for word in self._places())

    def finish(self) -> Words:
        self._may_fail("finish")
        return Words(self.partial(), 0.9, (f"{self.partial()} perhaps", *self.others))

    def finish_timed(self) -> tuple[Words, tuple[TimedWord, ...]]:
        return self.finish(), tuple(self._places())

    @property
    def seconds(self) -> float:
        return len(self._frames) * FRAME_S

    def _places(self) -> list[TimedWord]:
        places: list[TimedWord] = []
        before: str | None = None
        for number, frame in enumerate(self._frames):
            word = self._known.get(frame)
            word = self.mishears.get(word or "", word)
            if word is not None and self._only and word not in self._only:
                word = "[unk]"
            at = number * FRAME_S
            if word is not None and word == before:
                places[-1] = TimedWord(word, places[-1].began_s, at + FRAME_S)
            elif word is not None:
                places.append(TimedWord(word, at, at + FRAME_S))
            before = word
        return places


def spotter(ear: WordEar) -> Spotter:
    return Spotter(ear, PHRASES)


def spotting_ear(mouth: Mouth) -> WordEar:
    return WordEar(mouth, only=["red", "kettle", "stop", *EMERGENCY])
