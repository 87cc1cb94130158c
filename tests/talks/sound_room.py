"""The running helper on a made site: what is said comes as sound, frame by frame, in made time.

Only the devices are missing. Attention phrase, end-pointing and recogniser are real, so what is
heard may be something else than what was said.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from handsfree.app.demo.site import BREATH_S, Site
from handsfree.hear.recogniser import Recogniser, same_text
from handsfree.hear.wake import Spotter
from handsfree.page.board import Notice
from handsfree.values import (
    Control,
    Failed,
    Key,
    Listening,
    Mended,
    Part,
    Samples,
    Sense,
    Tone,
    Typed,
    Words,
)
from handsfree.voice.voice import Voice

PHRASE = "fitter's mate"
QUIETER = 4  # what is said beside the microphone comes in that many times smaller


@dataclass
class Meaning:
    """What answers mean to the helper that runs now; the recogniser outlives it."""

    now: Callable[[str], Sense] = same_text

    def __call__(self, text: str) -> Sense:
        return self.now(text)


class SoundRoom:
    """See `tests.talks.conversation.Room`."""

    def __init__(
        self,
        folder: Path,
        ours: Voice,
        theirs: Voice,
        spotter: Spotter,
        recogniser: Recogniser,
        barge_in: bool = False,
        steps: Recogniser | None = None,
        meaning: "Meaning | None" = None,
    ) -> None:
        self.folder = folder
        self.complaints: list[str] = []
        self._ours, self._theirs = ours, theirs
        self._spotter, self._recogniser, self._steps = spotter, recogniser, steps
        self._meaning = meaning or Meaning()
        self._barge_in = barge_in
        self._before: list[str] = []
        self._site = self._started()

    def _started(self) -> Site:
        site = Site(
            self.folder,
            self._ours,
            self._spotter,
            self._recogniser,
            steps=self._steps,
            barge_in=self._barge_in,
            complain=self.complaints.append,
        )
        self._meaning.now = site.session.answer_sense
        return site

    def start_again(self) -> None:
        self._before += self._site.mouth.begun
        self._site = self._started()

    @property
    def heard(self) -> list[str]:
        """All that was heard, for whoever asks why a talk went wrong."""
        return [f"{heard.words.text!r} {heard.words.sureness:.2f}" for heard in self._site.heard]

    @property
    def page(self) -> Notice:
        return self._site.board.latest()

    @property
    def spoken(self) -> Sequence[str]:
        return (*self._before, *self._site.mouth.begun)

    @property
    def signals(self) -> Sequence[Tone]:
        return [sounded.tone for sounded in self._site.mouth.heard if sounded.tone is not None]

    @property
    def adjusted(self) -> Sequence[Control]:
        return self._site.mouth.adjusted

    @property
    def speaks(self) -> bool:
        return self._site.mouth.speaks

    def let_speak(self) -> None:
        self._site.let_speak()

    def say(self, said: str, words: Words, calling: bool | None) -> None:
        waits = self._site.helper.turns.listening is Listening.ATTENTION
        calls = waits if calling is None else calling
        self._site.say(self._sound(f"{PHRASE}. {said}" if calls else said))

    def shout(self, said: str, words: Words) -> None:
        self._site.say(self._sound(f"{said}!"))

    def seconds_to_an_answer(self, said: str) -> float:
        """How long after these words something begins to be said, in the site's time."""
        sound = self._sound(said)
        ended = self._site.now + BREATH_S + sound.seconds
        self._site.say(sound)
        return self._site.mouth.begins - ended

    def call(self) -> None:
        self._site.say(self._sound(PHRASE))

    def talk_beside(self, said: str) -> None:
        loud = memoryview(self._sound(said).data).cast("h")
        quiet = b"".join(
            (value // QUIETER).to_bytes(2, "little", signed=True) for value in loud.tolist()
        )
        self._site.say(Samples(quiet, self._sound(said).rate))

    def noise(self) -> None:
        self._site.say(Samples(b"\xff\x7f\x01\x80" * 400, 16000))

    def type(self, said: str) -> None:
        self._site.helper.post(Typed(Words(said)))
        self._site.wait(0.1)

    def press(self, key: Key, down: bool, holds: bool) -> None:
        self._site.wait(1.0)
        self._site.press(key, down=down, holds=holds)

    def wait(self, seconds: float) -> None:
        self._site.wait(seconds)
        self._site.let_speak()

    def fail(self, part: Part, sentence: str) -> None:
        self._site.helper.post(Failed(part, sentence))
        self._site.wait(0.1)

    def mend(self, part: Part) -> None:
        self._site.helper.post(Mended(part))
        self._site.wait(0.1)

    def fill_disk(self, what: str, full: bool) -> None:
        raise NotImplementedError(f"{what} is played in the made room only")

    def _sound(self, said: str) -> Samples:
        return self._theirs.render(said)
