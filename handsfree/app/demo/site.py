"""A made site: frames of sound for the real ears, a made clock, and the running helper between.

Time goes on by the sound that is heard, 20 ms a frame, and nothing waits for a real clock unless
`pace` makes it. So an hour of a shift takes as long as its sound takes to be understood.
"""

import random
from array import array
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final

from handsfree.app.demo.mouth import Loudspeaker, MadeMouth, Sounded
from handsfree.app.helper import Helper
from handsfree.audio.resample import resample
from handsfree.dialogue.turns import State
from handsfree.hear.ears import Ears
from handsfree.hear.recogniser import SAMPLE_RATE_HZ, Recogniser
from handsfree.hear.wake import Spotter
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Heard, Key, Listening, Pressed, Samples, TurnEvent
from handsfree.voice.voice import Voice

FRAME_MS: Final = 20
FRAME_S: Final = FRAME_MS / 1000
FRAME_SAMPLES: Final = SAMPLE_RATE_HZ * FRAME_MS // 1000
HISS: Final = 40  # of 32768: some 58 dB below full scale, a quiet site
NOISE_S: Final = 4.0  # of noise that is made, and then heard again and again
BREATH_S: Final = 0.3  # before somebody speaks
PATIENCE_S: Final = 2.5  # for an answer to begin, from the end of what was said
LAST_OF_IT_S: Final = 1.0  # of an answer, in which the ears learn what the noise is like
LOGBOOK: Final = "logbook.sqlite"


class Site:
    """The running helper at work, with somebody who speaks to it and presses its keys.

    Args:
        folder: where the user's file and the logbook lie.
        voice: the helper's.
        spotter: hears the attention phrase.
        recogniser: hears requests.
        steps: hears answers to a step that is led; the one for requests when None.
        session: makes the replies; one over the folder when None.
        board: makes what shows them, of a clock.
        hiss: the noise's size in steps of the samples.
        barge_in: "stop" is heard while the helper speaks.
        also: plays what the helper says as well.
        pace: called after each frame with the seconds gone by, to hold it back to real time; None
            lets it run as fast as it is heard.
        hurries: most of what the helper says is passed over while nobody can be heard; where
            nothing paces it, when None.
        complain: is given what went wrong inside.
        on_heard: told what the ears hear.
        on_begun: told what begins to be said.
        on_sounded: told what has been said or sounded.
    """

    def __init__(
        self,
        folder: Path,
        voice: Voice,
        spotter: Spotter,
        recogniser: Recogniser,
        *,
        steps: Recogniser | None = None,
        session: Session | None = None,
        board: Callable[[Callable[[], float]], PageBoard] = PageBoard,
        hiss: int = HISS,
        barge_in: bool = False,
        also: Loudspeaker | None = None,
        pace: Callable[[float], None] | None = None,
        hurries: bool | None = None,
        complain: Callable[[str], None] = lambda trace: None,
        on_heard: Callable[[Heard], None] = lambda heard: None,
        on_begun: Callable[[Sequence[str]], None] = lambda sentences: None,
        on_sounded: Callable[[Sounded], None] = lambda sounded: None,
    ) -> None:
        self.now = 0.0
        self.heard: list[Heard] = []
        self._on_heard = on_heard
        self.hiss(hiss)
        self._pace = pace
        self._hurries = pace is None if hurries is None else hurries
        self._also = also
        self.session = session or Session(
            Settings(folder),
            logbook=Logbook(folder / LOGBOOK),
            clock=self._clock,
            wall=self._clock,
            leads=True,
        )
        self.board = board(self._clock)
        self.helper = Helper(
            self.session,
            self.board,
            barge_in=barge_in,
            complain=complain,
            clock=self._clock,
            threaded=False,
        )
        self.session.faults.tell_to(self.helper.failed)
        self.mouth = MadeMouth(
            voice, self.helper.post, self._clock, also, on_begun=on_begun, on_sounded=on_sounded
        )
        self.ears = Ears(
            (),
            spotter,
            recogniser,
            self._hears,
            steps=steps,
            on_level=lambda level: self.board.level(level.level_db),
            on_partial=self.board.catch,
        )
        self.helper.attach(ears=self.ears, mouth=self.mouth)
        self.helper.take_up(self.session.left_open())
        self.session.pacing.attach(self.mouth)
        self._time = KeepingTime(self.session.pacing, self.helper.post, self.board)
        self._time.begin()

    @property
    def state(self) -> State:
        """What the helper is doing."""
        return self.helper.turns.state

    def hiss(self, size: int) -> None:
        """From now on the site is so loud."""
        self._noise = _noise(size)

    def say(self, samples: Samples, patience_s: float = PATIENCE_S) -> None:
        """Somebody speaks; then the helper has so long to begin its answer."""
        if self._also is not None:
            self._also.play(samples)
        self.wait(BREATH_S)
        for frame in self._over_noise(samples):
            self._hear(frame)
        before = len(self.mouth.begun)
        end = self.now + patience_s
        while self.now < end and len(self.mouth.begun) == before:
            self._hear(next(self._noise))

    def let_speak(self) -> None:
        """Wait until the helper has said what it says.

        While the ears take nothing in and nobody listens, most of it is passed over.
        """
        deaf = self.helper.turns.listening is Listening.NOTHING
        if deaf and self._hurries:
            self.now = max(self.now, self.mouth.ends - LAST_OF_IT_S)
        while self.mouth.speaks:
            self._hear(next(self._noise))

    def wait(self, seconds: float) -> None:
        """Nothing but the noise for so long."""
        end = self.now + seconds
        while self.now < end:
            self._hear(next(self._noise))

    def press(self, key: Key, *, down: bool = True, holds: bool = False) -> None:
        """A pedal goes down or comes up."""
        self.helper.post(Pressed(key, down, holds))
        self.helper.turn_all()
        self.wait(FRAME_S)

    def _hear(self, frame: bytes) -> None:
        self.now += FRAME_S
        self.ears.hear(frame)
        self._time.tell(self.session.pacing.due())
        self.helper.turn_all()
        self.mouth.tick()
        self.helper.turn_all()
        if self._pace is not None:
            self._pace(self.now)

    def _hears(self, event: TurnEvent) -> None:
        if isinstance(event, Heard):
            self.heard.append(event)
            self._on_heard(event)
        self.helper.post(event)

    def _clock(self) -> float:
        return self.now

    def _over_noise(self, samples: Samples) -> Iterator[bytes]:
        """The frames of somebody's words, with the site's noise under them."""
        said = array("h")
        said.frombytes(samples.data)
        said = resample(said, samples.rate, SAMPLE_RATE_HZ)
        for at in range(0, len(said), FRAME_SAMPLES):
            noise = array("h")
            noise.frombytes(next(self._noise))
            spoken = said[at : at + FRAME_SAMPLES]
            for place, value in enumerate(spoken):
                noise[place] = min(32767, max(-32768, noise[place] + value))
            yield noise.tobytes()


def _noise(hiss: int) -> Iterator[bytes]:
    """Frames of noise without end, always the same, so that a shift is heard alike every time."""
    draw = random.Random(20)
    count = round(NOISE_S * SAMPLE_RATE_HZ)
    drawn = (round(draw.gauss(0, hiss)) for _ in range(count))
    samples = array("h", (min(32767, max(-32768, value)) for value in drawn))
    frames = [
        samples[at : at + FRAME_SAMPLES].tobytes() for at in range(0, len(samples), FRAME_SAMPLES)
    ]
    while True:
        yield from frames
