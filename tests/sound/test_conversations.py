"""Whole conversations through a sound server, in real time.

Each is spoken into a virtual microphone and answered on a virtual loudspeaker by the helper.
What a busy machine drops of the sound is said again; a talk that goes wrong by it is held again.
"""

import array
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from handsfree.app.attention import attention_network
from handsfree.app.helper import Helper
from handsfree.app.wiring import request_recogniser, spotter_beside, steps_recogniser
from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.dialogue.turns import State
from handsfree.hear.ears import open_ears
from handsfree.hear.recogniser import Recogniser
from handsfree.hear.vosk_adapter import VoskRecogniser
from handsfree.hear.wake import Spotter
from handsfree.logbook.logbook import Logbook
from handsfree.page.board import Notice, PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import (
    Control,
    Failed,
    Heard,
    Key,
    Listening,
    Mended,
    Part,
    Pressed,
    Samples,
    Tone,
    TurnEvent,
    Typed,
    Words,
)
from handsfree.voice.mouth import Mouth
from handsfree.voice.voice import Voice, VoiceSettings
from tests.sound.conftest import Ear, SoundServer, until
from tests.talks.conversation import LOGBOOK, AsSound, Conversation, conversations, play
from tests.talks.sound_room import PHRASE, Meaning

pytestmark = pytest.mark.sound
SPOKEN = [talk for talk in conversations() if talk.as_sound is AsSound.SERVER]
THEIRS = VoiceSettings(voice="en", pitch=38, value_rate=135, talk_rate=135)
QUIETER = 4
PATIENCE_S = 20.0  # on a machine that does much else
TIMES = 3  # something is said: gaps that a busy machine leaves in the sound may cost an utterance
MISSED_S = 4.0  # after what was said nothing more is heard of it
ENOUGH_S = 2.5  # of an answer that nobody waits for the end of
BLOCK_S = 0.02
OPENING = 60  # blocks of a sentence that are looked for in what the loudspeaker gave
FIRST = 3  # sentences, of which the first may lie under a tone
ALIKE = 0.9  # the same sentence reaches 0.98


class RecordingMouth(Mouth):
    """The helper's mouth, which remembers what it was told to do and when."""

    begun: list[tuple[float, str]]
    tones: list[Tone]
    changes: list[Control]

    def say(self, sentences: Sequence[str], number: int) -> None:
        self.begun += [(time.monotonic(), sentence) for sentence in sentences]
        super().say(sentences, number)

    def tone(self, which: Tone) -> None:
        self.tones.append(which)
        super().tone(which)

    def adjust(self, how: Control) -> VoiceSettings:
        self.changes.append(how)
        return super().adjust(how)


class ServerRoom:
    """See `tests.talks.conversation.Room`; the devices are those of a sound server."""

    def __init__(
        self,
        folder: Path,
        server: SoundServer,
        ear: Ear,
        theirs: Voice,
        spotter: Spotter,
        recogniser: Recogniser,
        steps: Recogniser,
        meaning: Meaning,
    ) -> None:
        self.folder = folder
        self.complaints: list[str] = []
        self.events: list[TurnEvent] = []
        self._server, self._ear, self._theirs = server, ear, theirs
        self._spotter, self._recogniser, self._steps = spotter, recogniser, steps
        self._meaning = meaning
        self._begun: list[tuple[float, str]] = []
        self._tones: list[Tone] = []
        self._changes: list[Control] = []
        self._start()

    def _start(self) -> None:
        self._board = PageBoard()
        session = Session(Settings(self.folder), logbook=Logbook(self.folder / LOGBOOK), leads=True)
        self._meaning.now = session.answer_sense
        self._helper = Helper(session, self._board, complain=self.complaints.append)
        self._voice = Voice()
        system = SoundDevice()
        self._mouth = RecordingMouth(self._voice, Speaker(system), self._helper.post)
        self._mouth.begun, self._mouth.tones = self._begun, self._tones
        self._mouth.changes = self._changes
        self._ears = open_ears(
            system, None, self._spotter, self._recogniser, self._hears, steps=self._steps
        )
        self._helper.attach(ears=self._ears, mouth=self._mouth)
        self._helper.take_up(session.left_open())
        self._thread = threading.Thread(target=self._helper.run, daemon=True)
        self._thread.start()

    def _hears(self, event: TurnEvent) -> None:
        self.events.append(event)
        self._helper.post(event)

    def close(self) -> None:
        self._helper.stop()
        self._thread.join(PATIENCE_S)
        self._ears.close()
        self._mouth.close()

    def start_again(self) -> None:
        self.close()
        self._start()

    @property
    def heard(self) -> list[str]:
        """All that was heard, for whoever asks why a talk went wrong."""
        words = [event.words for event in self.events if isinstance(event, Heard)]
        return [f"{each.text!r} {each.sureness:.2f}" for each in words]

    @property
    def page(self) -> Notice:
        return self._board.latest()

    @property
    def spoken(self) -> Sequence[str]:
        return [sentence for _, sentence in self._begun]

    @property
    def signals(self) -> Sequence[Tone]:
        return self._tones

    @property
    def adjusted(self) -> Sequence[Control]:
        return self._changes

    @property
    def speaks(self) -> bool:
        return self._helper.turns.state is State.SPEAKING

    def let_speak(self) -> None:
        """Hear a question out; of an answer, enough to know that it is one, then the stop pedal."""
        if not self.speaks:
            return
        began = self._begun[-1][0]
        told = self.page.told
        if told is None or told.kind == "question":
            until(lambda: not self.speaks, 3 * PATIENCE_S)
            return
        until(lambda: not self.speaks or self._sounded_since(began) > ENOUGH_S, PATIENCE_S)
        self.press(Key.STOP, True, False)
        until(lambda: not self.speaks, PATIENCE_S)

    def _sounded_since(self, began: float) -> float:
        blocks = [data for at, data in self._ear.blocks if at >= began]
        return 0.01 * sum(any(data) for data in blocks)

    def say(self, said: str, words: Words, calling: bool | None) -> None:
        waits = self._helper.turns.listening is Listening.ATTENTION
        calls = waits if calling is None else calling
        before, begun = len(self.heard), len(self._begun)
        for _ in range(TIMES):
            self._sound(self._theirs.render(f"{PHRASE}. {said}" if calls else said))
            if comes_true(lambda: len(self.heard) > before, MISSED_S):
                break
        until(lambda: len(self._begun) > begun, PATIENCE_S)
        until(lambda: self._helper.turns.state is not State.WORKING, PATIENCE_S)

    def shout(self, said: str, words: Words) -> None:
        before = len(self._begun)
        for _ in range(TIMES):
            self._sound(self._theirs.render(f"{said}!"))
            if comes_true(lambda: len(self._begun) > before, MISSED_S):
                break

    def call(self) -> None:
        self._sound(self._theirs.render(PHRASE))

    def talk_beside(self, said: str) -> None:
        samples = self._theirs.render(said)
        values = array.array("h", samples.data)
        quiet = array.array("h", (value // QUIETER for value in values))
        self._sound(Samples(quiet.tobytes(), samples.rate))

    def noise(self) -> None:
        self._sound(Samples(b"\xff\x7f\x01\x80" * 400, 16000))

    def _sound(self, samples: Samples) -> None:
        """Play it into the microphone, with a breath before and a pause after."""
        quiet = bytes(2 * (samples.rate // 2))
        player = self._server.say("mouth", quiet + samples.data + 3 * quiet, samples.rate)
        assert player.wait(PATIENCE_S + 2 * samples.seconds) == 0

    def type(self, said: str) -> None:
        self._helper.post(Typed(Words(said)))

    def press(self, key: Key, down: bool, holds: bool) -> None:
        self._helper.post(Pressed(key, down, holds))

    def wait(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        until(lambda: time.monotonic() >= end, 2 * seconds)

    def fail(self, part: Part, sentence: str) -> None:
        self._helper.post(Failed(part, sentence))

    def mend(self, part: Part) -> None:
        self._helper.post(Mended(part))

    def fill_disk(self, what: str, full: bool) -> None:
        raise NotImplementedError(f"{what} is played in the made room only")

    def opening_sounded(self, sentence: str) -> bool:
        """Whether the loudspeaker gave the opening of a sentence, from when it was begun on."""
        began = next(at for at, said in self._begun if said == sentence)
        played = b"".join(data for at, data in self._ear.blocks if at >= began)
        given = envelope(played[: 2 * self._ear.rate * round(PATIENCE_S)], self._ear.rate)
        wanted = envelope(self._voice.render(sentence).data, self._ear.rate)
        return likeness(wanted[:OPENING], given) > ALIKE


def likeness(wanted: Sequence[float], given: Sequence[float]) -> float:
    """How far an envelope is found somewhere in a longer one."""
    places = range(len(given) - len(wanted) + 1)
    return max((alike(wanted, given[at : at + len(wanted)]) for at in places), default=0.0)


def comes_true(true: Callable[[], bool], seconds: float) -> bool:
    """Whether something that another thread does comes to pass in that time."""
    try:
        until(true, seconds)
    except AssertionError:
        return False
    return True


def envelope(data: bytes, rate: int) -> list[float]:
    """How loud each 20 ms are."""
    values = array.array("h", data)
    step = round(rate * BLOCK_S)
    return [
        (sum(value * value for value in values[at : at + step]) / step) ** 0.5
        for at in range(0, len(values) - step + 1, step)
    ]


def alike(one: Sequence[float], other: Sequence[float]) -> float:
    """How far two envelopes rise and fall together: 1 for the same at any loudness."""
    means = sum(one) / len(one), sum(other) / len(other)
    pairs = [(a - means[0], b - means[1]) for a, b in zip(one, other, strict=True)]
    sizes = sum(a * a for a, _ in pairs), sum(b * b for _, b in pairs)
    if not all(sizes):
        return 0.0
    return float(sum(a * b for a, b in pairs) / (sizes[0] * sizes[1]) ** 0.5)


@pytest.fixture(scope="module")
def recogniser(tmp_path_factory: pytest.TempPathFactory) -> VoskRecogniser:
    return request_recogniser(Session(Settings(tmp_path_factory.mktemp("kept"))))


@pytest.fixture(scope="module")
def meaning() -> Meaning:
    return Meaning()


@pytest.fixture(scope="module")
def steps(meaning: Meaning) -> Recogniser:
    return steps_recogniser(meaning)


@pytest.fixture(scope="module")
def spotter(recogniser: VoskRecogniser) -> Spotter:
    return spotter_beside(recogniser, Session(), attention_network(None))


@pytest.fixture(scope="module")
def theirs() -> Iterator[Voice]:
    with Voice(THEIRS) as voice:
        yield voice


@pytest.mark.parametrize("conversation", SPOKEN, ids=[talk.name for talk in SPOKEN])
def test_the_talk_goes_as_it_is_needed_through_the_sound_server(
    conversation: Conversation,
    server: SoundServer,
    tmp_path: Path,
    theirs: Voice,
    spotter: Spotter,
    recogniser: Recogniser,
    steps: Recogniser,
    meaning: Meaning,
) -> None:
    told: list[str] = []
    for time_held in range(TIMES):
        folder = tmp_path / str(time_held)
        folder.mkdir()
        with server.listen("ear") as ear:
            room = ServerRoom(folder, server, ear, theirs, spotter, recogniser, steps, meaning)
            try:
                faults = play(conversation, room)
                room.let_speak()
                assert not room.complaints
                said = room.spoken[:FIRST]
                if not faults and not any(map(room.opening_sounded, said)):
                    faults = [f"the loudspeaker gave nothing of {said}"]
            except AssertionError as fault:
                faults = [str(fault)]
            finally:
                room.close()
        if not faults:
            return
        told += [*faults, *room.heard]
    pytest.fail(f"{conversation.need}\n" + "\n".join(told))


def test_another_sentence_is_not_taken_for_the_one_that_was_said(theirs: Voice) -> None:
    said, other = (
        envelope(theirs.render(sentence).data, 22050)
        for sentence in ("Half inch plate, acetylene.", "Travel speed, three quarter inch plate.")
    )
    assert likeness(said[:OPENING], [*other, *said]) > ALIKE
    assert likeness(said[:OPENING], [*other, *other]) < ALIKE
