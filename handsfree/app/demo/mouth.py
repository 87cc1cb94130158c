"""Sentences become sound on a made loudspeaker, which takes as long for them as a real one.

It speaks with the helper's own voice; only the device is missing. What was said lies in `heard`,
with the moment at which it began, cut off where it was hushed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from handsfree.values import Control, Samples, Spoken, Tone
from handsfree.values.timing import BeatSet
from handsfree.voice.tones import tone
from handsfree.voice.voice import Voice, VoiceSettings, adjusted, joined

LATENCY_S: Final = 0.05  # of a loudspeaker, to the first sample


class Loudspeaker(Protocol):
    """Where what is said is played as well, for somebody who listens."""

    def play(self, samples: Samples) -> None:
        """Play this after what was given before; returns at once."""

    def stop(self) -> None:
        """Be silent, and forget the rest."""


@dataclass(frozen=True, slots=True)
class Sounded:
    """What came out of the loudspeaker.

    Attributes:
        at: when it began.
        samples: as far as it was played.
        sentences: what was said; empty for a tone.
        tone: the tone; None for speech.
        whole: False when it was hushed.
    """

    at: float
    samples: Samples
    sentences: tuple[str, ...] = ()
    tone: Tone | None = None
    whole: bool = True


class MadeMouth:
    """The helper's mouth on a loudspeaker that is not there.

    Args:
        voice: makes samples of sentences.
        on_event: told `Spoken` for each `say`.
        clock: seconds of the made time.
        also: plays it all as well.
        on_begun: told what begins to be said.
        on_sounded: told what has been said or sounded, whole or not.
    """

    def __init__(
        self,
        voice: Voice,
        on_event: Callable[[Spoken], None],
        clock: Callable[[], float],
        also: Loudspeaker | None = None,
        on_begun: Callable[[Sequence[str]], None] = lambda sentences: None,
        on_sounded: Callable[[Sounded], None] = lambda sounded: None,
    ) -> None:
        self._on_begun = on_begun
        self._on_sounded = on_sounded
        self._voice = voice
        self._on_event = on_event
        self._clock = clock
        self._also = also
        self._saying: tuple[int, float, float, tuple[str, ...], Samples] | None = None
        self.heard: list[Sounded] = []
        self.adjusted: list[Control] = []
        self.begun: list[str] = []
        self.set_to: BeatSet | None = None

    @property
    def beating(self) -> bool:
        """Whether the beat is on; it is not heard on this loudspeaker."""
        return self.set_to is not None

    def beat(self, beat: BeatSet | None) -> None:
        """Beat so from now on; not at all when None."""
        self.set_to = beat

    @property
    def ends(self) -> float:
        """When what is being said will have been said; 0 when nothing is."""
        return 0.0 if self._saying is None else self._saying[2]

    @property
    def begins(self) -> float:
        """When what is being said began; 0 when nothing is."""
        return 0.0 if self._saying is None else self._saying[1]

    @property
    def speaks(self) -> bool:
        """Whether something is being said."""
        return self._saying is not None

    def say(self, sentences: Sequence[str], number: int) -> None:
        """Speak, in place of what is being said."""
        self.hush()
        samples = joined([self._voice.render(sentence) for sentence in sentences])
        begins = self._clock() + LATENCY_S
        said = tuple(sentences)
        self._saying = (number, begins, begins + samples.seconds, said, samples)
        self.begun += said
        self._on_begun(said)
        if self._also is not None:
            self._also.play(samples)

    def tone(self, which: Tone) -> None:
        """Sound a tone."""
        samples = tone(which)
        self._sounded(Sounded(self._clock() + LATENCY_S, samples, tone=which))
        if self._also is not None:
            self._also.play(samples)

    def hush(self) -> None:
        """Be silent now."""
        if self._saying is not None:
            self._over(self._clock())
            if self._also is not None:
                self._also.stop()

    def adjust(self, how: Control) -> VoiceSettings:
        """Speak otherwise from the next sentence on."""
        self.adjusted.append(how)
        self._voice.settings = adjusted(self._voice.settings, how)
        return self._voice.settings

    def tick(self) -> None:
        """Tell that all has been said, once it has."""
        if self._saying is not None and self._clock() >= self._saying[2]:
            self._over(self._saying[2])

    def _over(self, at: float) -> None:
        assert self._saying is not None
        number, began, ends, sentences, samples = self._saying
        self._saying = None
        whole = at >= ends
        played = samples.data[: 2 * max(0, round((at - began) * samples.rate))]
        sound = samples if whole else Samples(played, samples.rate)
        self._sounded(Sounded(began, sound, sentences, whole=whole))
        self._on_event(Spoken(whole, number))

    def _sounded(self, sounded: Sounded) -> None:
        self.heard.append(sounded)
        self._on_sounded(sounded)
