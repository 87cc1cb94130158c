"""Frames of sound become "speech began" and "speech ended", also in the steady roar of a torch.

A level alone cannot tell: a cutting jet is louder than a quiet talker. But the jet is steady and
speech is not, and speech has its strength where the jet has less. So each frame is measured in six
bands, each band keeps its own noise floor, and speech is what rises above the floors. A floor
follows downward at once, and upward as soon as the sound has been steady for longer than any
vowel, so that a torch that is lit does not count as a talker for long.

Nothing here has a clock: time is counted in frames.
"""

import bisect
import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from operator import mul
from typing import Final, TypeAlias

from handsfree.audio.level import samples_of
from handsfree.values import Samples

RATE: Final = 16000
FRAME_S: Final = 0.02
FRAME_BYTES: Final = 640

# A pause inside a request ("an inch ... and a half") reaches 0.6 s; the answer must not wait long.
PAUSE_THAT_ENDS_S: Final = 0.8
BEFORE_SPEECH_S: Final = 0.3  # kept before the first frame that counts: soft first consonants
SHORTEST_SPEECH_S: Final = 0.16  # a hammer blow is shorter, "ten" is not
LONGEST_SPEECH_S: Final = 15.0

BAND_EDGES: Final = (150.0, 700.0, 1400.0, 2200.0, 3200.0, 4500.0, 6500.0)  # hertz
LAGS: Final = 24
PRE_EMPHASIS: Final = 0.95
QUIETEST_DB: Final = 20.0  # of one squared step a sample: below, a band holds nothing to hear

FLOOR_WINDOW_S: Final = 4.0
# Speech leaves every band free for a good part of any four seconds, so the noise's mean and scatter
# are read from the lowest levels, as if they were those of a normal distribution.
LOW_SHARES: Final = (0.05, 0.15, 0.30)
LOW_DEVIATIONS: Final = (1.645, 1.036, 0.524)
SCATTER_DB: Final = (0.9, 3.0)  # the least and the most that is believed

STEADY_S: Final = 0.7  # no talk stays even in all bands for so long: then it is the noise
STEADY_DB: Final = 6.5  # between the tenth and the ninetieth of a hundred frames
FALLEN_S: Final = 0.12  # so long well below the floor: the noise is gone
FALLEN_DEVIATIONS: Final = 3.0

# Rise over the floor in standard deviations, less one, summed over the bands.
TALLEST: Final = 8.0  # one band counts no more than this
MOST_COMMON: Final = 2.0  # of the rise in all bands counts as the flutter of the noise
SMOOTHED: Final = 5  # frames
STARTS_ABOVE: Final = 3.0
GOES_ON_ABOVE: Final = 1.6
RECENT: Final = 20  # frames in which a start must gather
KEEPS_ON: Final = (3, 5)  # so many of so many frames: one crackle does not prolong a pause

# A hammer blow jumps in all bands within one frame, which no mouth does, and then only falls.
BLOW_JUMP_DB: Final = 8.0
BLOW_BANDS: Final = 5
BLOW_FALLS_DB: Final = 1.0  # a ringing plate may waver by so much


@dataclass(frozen=True, slots=True)
class SpeechStarted:
    """Somebody talks.

    Attributes:
        at_s: when it began, a little early, in seconds since the first frame. What came since
            then belongs to it.
    """

    at_s: float


@dataclass(frozen=True, slots=True)
class SpeechEnded:
    """The talk is over.

    Attributes:
        began_s: as in `SpeechStarted`.
        ended_s: the end of the last frame of speech.
        cut: it did not end by itself but went on past the longest request.
    """

    began_s: float
    ended_s: float
    cut: bool = False


SpeechEvent: TypeAlias = SpeechStarted | SpeechEnded


class EndPointer:
    """Finds where talk begins and ends; each frame gives an event or None.

    Args:
        pause_s: silence that ends a request.
    """

    def __init__(self, pause_s: float = PAUSE_THAT_ENDS_S) -> None:
        self._pause = round(pause_s / FRAME_S)
        self._count = 0
        self._noise = _Noise()
        self._rises: deque[float] = deque(maxlen=SMOOTHED)
        self._apart: deque[float] = deque(maxlen=SMOOTHED)
        self._recent: deque[bool] = deque(maxlen=RECENT)
        self._before: tuple[float, ...] | None = None
        self._blow = False
        self._began: int | None = None
        self._last_speech = 0
        self._longest_from = 0  # the longest speech is counted from here

    @property
    def speaking(self) -> bool:
        """Whether somebody talks now."""
        return self._began is not None

    @property
    def now_s(self) -> float:
        """The length of all that was fed."""
        return self._count * FRAME_S

    def learn(self, frames: Iterable[bytes]) -> None:
        """Hear what the noise is like, without looking for speech."""
        for frame in frames:
            self._noise.take(band_levels(frame))

    def restart(self) -> None:
        """Nobody talks now, whatever was fed before; what the noise is like stays known."""
        self._began = None
        self._rises.clear()
        self._apart.clear()
        self._recent.clear()
        self._before = None
        self._blow = False

    def prolong(self) -> None:
        """Let the talk that goes on last as long from now as if it had just begun."""
        if self.speaking:
            self._longest_from = self._count

    def feed(self, frame: bytes) -> SpeechEvent | None:
        """What a frame of 20 ms (640 bytes, 16 kHz) brings: mostly nothing.

        Raises:
            ValueError: the frame has another length.
        """
        if len(frame) != FRAME_BYTES:
            raise ValueError(f"a frame has {FRAME_BYTES} bytes, not {len(frame)}")
        levels = band_levels(frame)
        self._noise.take(levels)
        rise, apart = self._noise.rise(levels)
        self._count += 1
        blow = self._is_blow(levels, rise)
        self._rises.append(0.0 if blow else rise)
        self._apart.append(0.0 if blow else apart)
        goes_on = self.speaking
        means = self._apart if goes_on else self._rises
        mean = sum(means) / len(means)
        self._recent.append(mean > (GOES_ON_ABOVE if goes_on else STARTS_ABOVE))
        return self._go_on() if self.speaking else self._wait()

    def _is_blow(self, levels: tuple[float, ...], rise: float) -> bool:
        before, self._before = self._before, levels
        if before is not None:
            steps = [now - then for now, then in zip(levels, before, strict=True)]
            if sum(step > BLOW_JUMP_DB for step in steps) >= BLOW_BANDS:
                self._blow = True
            elif rise < 1.0 or sum(step < BLOW_FALLS_DB for step in steps) < BLOW_BANDS:
                self._blow = False
        return self._blow

    def _wait(self) -> SpeechEvent | None:
        if self._recent[-1] and sum(self._recent) * FRAME_S >= SHORTEST_SPEECH_S:
            first = self._count - len(self._recent) + self._recent.index(True)
            self._began = max(0, first - round(BEFORE_SPEECH_S / FRAME_S))
            self._last_speech = self._count
            self._longest_from = self._began
            self._recent.clear()
            return SpeechStarted(self._began * FRAME_S)
        return None

    def _go_on(self) -> SpeechEvent | None:
        assert self._began is not None
        need, of = KEEPS_ON
        if self._recent[-1] and sum(list(self._recent)[-of:]) >= need:
            self._last_speech = self._count
        cut = (self._count - self._longest_from) * FRAME_S >= LONGEST_SPEECH_S
        if not cut and self._count - self._last_speech < self._pause:
            return None
        ended = SpeechEnded(self._began * FRAME_S, self._last_speech * FRAME_S, cut)
        self._began = None
        self._recent.clear()
        return ended


def speech_spans(samples: Samples) -> tuple[tuple[float, float], ...]:
    """Where somebody talks in a recording at 16 kHz: begin and end of each stretch, in seconds.

    Raises:
        ValueError: the samples have another rate.
    """
    if samples.rate != RATE:
        raise ValueError(f"samples at {RATE} a second are needed, not {samples.rate}")
    frames = [
        samples.data[n : n + FRAME_BYTES]
        for n in range(0, len(samples.data) - FRAME_BYTES + 1, FRAME_BYTES)
    ]
    ear = EndPointer()
    ear.learn(frames[: round(FLOOR_WINDOW_S / FRAME_S)])
    spans = []
    began = None
    for frame in frames:
        event = ear.feed(frame)
        if isinstance(event, SpeechStarted):
            began = event.at_s
        elif event:
            spans.append((event.began_s, event.ended_s))
            began = None
    if began is not None:
        spans.append((began, ear.now_s))
    return tuple(spans)


def trimmed(samples: Samples, around_s: float = BEFORE_SPEECH_S) -> Samples:
    """From the first to the last talk in a recording; all of it when none is found."""
    spans = speech_spans(samples)
    if not spans:
        return samples
    first = max(0, round(spans[0][0] * RATE))
    last = round((spans[-1][1] + around_s) * RATE)
    return Samples(samples.data[2 * first : 2 * last], RATE)


class _Noise:
    """The noise floors of all bands."""

    def __init__(self) -> None:
        self._floors = [_Floor() for _ in _BAND_WEIGHTS]
        self._latest: deque[tuple[float, ...]] = deque(maxlen=round(STEADY_S / FRAME_S))

    def take(self, levels: tuple[float, ...]) -> None:
        self._latest.append(levels)
        bands = list(zip(*self._latest, strict=True))
        if len(self._latest) == self._latest.maxlen and all(_is_steady(band) for band in bands):
            for floor, band in zip(self._floors, bands, strict=True):
                floor.restart(band)
            return
        fallen = round(FALLEN_S / FRAME_S)
        for floor, level, band in zip(self._floors, levels, bands, strict=True):
            floor.take(level)
            if max(band[-fallen:]) < floor.mean - FALLEN_DEVIATIONS * floor.scatter:
                floor.restart(band[-fallen:])

    def rise(self, levels: tuple[float, ...]) -> tuple[float, float]:
        """How far a frame stands out of the noise, summed over the bands.

        Told twice: as it is, and without what the bands have in common. A flame that flutters
        rises in all of them alike; a talker does not.
        """
        floors = zip(self._floors, levels, strict=True)
        above = [(level - floor.mean) / floor.scatter - 1.0 for floor, level in floors]
        common = min(max(sorted(above)[1] + 1.0, 0.0), MOST_COMMON)
        return _total(above), _total([each - common for each in above])


def _total(above: list[float]) -> float:
    return sum(min(max(each, 0.0), TALLEST) for each in above)


def _is_steady(levels: tuple[float, ...]) -> bool:
    ordered = sorted(levels)
    tenth = len(ordered) // 10
    return ordered[-1 - tenth] - ordered[tenth] < STEADY_DB


class _Floor:
    """The noise in one band: its mean and its scatter, in decibels."""

    def __init__(self) -> None:
        self._window: deque[float] = deque()
        self._sorted: list[float] = []
        self.mean = 0.0
        self.scatter = SCATTER_DB[0]

    def restart(self, levels: tuple[float, ...]) -> None:
        """Forget all but these."""
        self._window = deque(levels)
        self._sorted = sorted(levels)
        self._measure()

    def take(self, level: float) -> None:
        self._window.append(level)
        bisect.insort(self._sorted, level)
        if len(self._window) > FLOOR_WINDOW_S / FRAME_S:
            oldest = self._window.popleft()
            del self._sorted[bisect.bisect_left(self._sorted, oldest)]
        self._measure()

    def _measure(self) -> None:
        count = len(self._sorted)
        lowest, low, higher = (self._sorted[int(share * count)] for share in LOW_SHARES)
        scatter = (higher - lowest) / (LOW_DEVIATIONS[0] - LOW_DEVIATIONS[2])
        self.scatter = min(max(scatter, SCATTER_DB[0]), SCATTER_DB[1])
        self.mean = low + LOW_DEVIATIONS[1] * self.scatter


def band_levels(frame: bytes) -> tuple[float, ...]:
    """The power of a frame in each band, in decibels of one squared step a sample.

    From the autocorrelation at few lags under Parzen's window (Blackman and Tukey 1958): bands as
    wide as these need no finer spectrum, and it has less scatter than one frame's Fourier lines.
    """
    samples = samples_of(frame).tolist()
    pairs = zip(samples, samples[1:], strict=False)
    emphasised = [now - PRE_EMPHASIS * before for before, now in pairs]
    correlation = [sum(map(mul, emphasised, emphasised[lag:])) for lag in range(LAGS)]
    count = len(emphasised)
    return tuple(
        max(QUIETEST_DB, 10 * math.log10(max(sum(map(mul, correlation, weights)) / count, 1.0)))
        for weights in _BAND_WEIGHTS
    )


def _band_weights(low: float, high: float) -> tuple[float, ...]:
    """The weight of each lag, whose sum is the power between two frequencies."""
    weights = [2 * (high - low) / RATE]
    for lag in range(1, LAGS):
        part = lag / LAGS
        window = 1 - 6 * part**2 + 6 * part**3 if part <= 0.5 else 2 * (1 - part) ** 3
        turn = 2 * math.pi * lag / RATE
        weights.append(
            2 * window * (math.sin(turn * high) - math.sin(turn * low)) / (math.pi * lag)
        )
    return tuple(weights)


_BAND_WEIGHTS: Final = tuple(
    _band_weights(low, high) for low, high in zip(BAND_EDGES, BAND_EDGES[1:], strict=False)
)
