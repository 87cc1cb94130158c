"""What was heard: sound, words, and the network of what may be said."""

from dataclasses import dataclass
from typing import Final

UNREAD: Final = "[unk]"
"""In a text: a stretch of sound that was talk, or that could not be read as words."""


@dataclass(frozen=True, slots=True)
class Samples:
    """A stretch of sound: one channel of 16-bit samples.

    Attributes:
        data: the samples, two bytes each, little-endian.
        rate: samples a second.
    """

    data: bytes
    rate: int

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.data) / 2 / self.rate


@dataclass(frozen=True, slots=True)
class Words:
    """What was said: lower-case words, one blank apart, and how surely they were heard.

    Attributes:
        text: the words; `[unk]` stands for a stretch that was not for the helper.
        sureness: probability that the text is right, 0 to 1; typed words have 1.
        others: the next best different readings, best first.
    """

    text: str
    sureness: float = 1.0
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sense:
    """What a text comes to.

    Attributes:
        meaning: equal for two texts that ask for the same.
        cost: how unlikely people are to put it like this, in nats.
    """

    meaning: object
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Arc:
    """One step of a word network: from state to state over a word, a tag, or nothing."""

    start: int
    end: int
    word: str = ""
    tag: str = ""
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class WordNetwork:
    """A finite network of all that may be said in one listening state.

    Attributes:
        name: the listening state (the grammar file's name).
        states: number of states; 0 is the start.
        arcs: the steps; cost is -ln(probability), so a sum of costs ranks readings.
        finals: final states with their cost.
        pronunciations: for each word, its pronunciations as phones of the CMU set without stress.
    """

    name: str
    states: int
    arcs: tuple[Arc, ...]
    finals: tuple[tuple[int, float], ...]
    pronunciations: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
