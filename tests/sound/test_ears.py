"""Ears on a real sound server: called, not hearing their own helper, and stopped over its voice."""

import threading
from collections.abc import Callable, Iterator, Sequence

import pytest

from handsfree.app.wiring import MODEL
from handsfree.audio.device import SoundDevice
from handsfree.audio.microphone import Capture
from handsfree.audio.speaker import Speaker
from handsfree.hear.ears import Ears, open_ears
from handsfree.hear.model_folder import open_model
from handsfree.hear.recogniser import Recogniser
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.hear.wake import Spot, Spotter, load_spotter
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import (
    Called,
    Failed,
    Heard,
    Listening,
    Mended,
    Part,
    Samples,
    SpeechBegan,
    TurnEvent,
)
from handsfree.voice.voice import Voice, VoiceSettings
from tests.sound.conftest import SoundServer, until
from tests.unit.hear.networks import network

pytestmark = pytest.mark.sound
REQUEST = "what pressure for half inch plate"
ANSWER = ("Half inch plate.", "Oxygen thirty to forty p s i.", "Fuel four to five.", "More?")


class Told:
    """The events of ears, and a wait for one of a kind."""

    def __init__(self) -> None:
        self.events: list[TurnEvent] = []
        self._change = threading.Condition()

    def __call__(self, event: TurnEvent) -> None:
        with self._change:
            self.events.append(event)
            self._change.notify_all()

    def reach(self, true: Callable[[], bool], seconds: float = 8.0) -> None:
        with self._change:
            assert self._change.wait_for(true, seconds), self.events

    def have(self, kind: type, number: int = 1) -> bool:
        return sum(isinstance(event, kind) for event in self.events) >= number


@pytest.fixture(scope="module")
def spotter(tmp_path_factory: pytest.TempPathFactory) -> Spotter:
    heard = load_grammar(shipped_folder("grammar"), "attention").word_network()
    model = open_model(shipped_folder(MODEL))
    return load_spotter(model, heard, tmp_path_factory.mktemp("graphs"))


@pytest.fixture(scope="module")
def phrase(spotter: Spotter) -> str:
    return next(each.text for each in spotter.phrases if each.spot is Spot.ATTENTION)


@pytest.fixture(scope="module")
def recogniser(spotter: Spotter, tmp_path_factory: pytest.TempPathFactory) -> Recogniser:
    """Hears one request, and that the phrase may stand before it."""
    model = open_model(shipped_folder(MODEL))
    return load_recogniser(model, network(REQUEST), tmp_path_factory.mktemp("request"))


@pytest.fixture(scope="module")
def said(phrase: str) -> Iterator[Callable[[str], Samples]]:
    """What the user says, with a second of room around it."""
    with Voice(VoiceSettings(value_rate=140, talk_rate=140, voice="en")) as voice:

        def say(text: str) -> Samples:
            samples = voice.render(text)
            room = bytes(2 * samples.rate)
            return Samples(room + samples.data + room, samples.rate)

        say(phrase)
        yield say


@pytest.fixture(scope="module")
def answer() -> Sequence[Samples]:
    with Voice() as voice:
        return list(voice.render_all(ANSWER))


@pytest.fixture
def told() -> Told:
    return Told()


@pytest.fixture
def ears(
    server: SoundServer, spotter: Spotter, recogniser: Recogniser, told: Told
) -> Iterator[Callable[[str], Ears]]:
    """Opens ears on the monitor of a loudspeaker."""
    opened: list[Ears] = []

    def listen(sink: str) -> Ears:
        levels: list[object] = []
        device: Capture = SoundDevice()
        microphone = f"Monitor of {sink}"
        opened.append(
            open_ears(device, microphone, spotter, recogniser, told, on_level=levels.append)
        )
        until(lambda: len(levels) > 5, 8.0)  # a second of room, so that it is known
        return opened[-1]

    yield listen
    for each in opened:
        each.close()


def test_called_by_the_phrase_and_asked_after_it(
    server: SoundServer,
    ears: Callable[[str], Ears],
    told: Told,
    said: Callable[[str], Samples],
    phrase: str,
) -> None:
    opened = ears("mouth")
    opened.listen_for(Listening.ATTENTION)
    server.say("mouth", said(phrase).data, said(phrase).rate)
    told.reach(lambda: told.have(Heard))
    assert told.events[0] == Called()
    opened.listen_for(Listening.REQUEST)
    server.say("mouth", said(REQUEST).data, said(REQUEST).rate)
    told.reach(lambda: told.have(Heard, 2))
    heard = told.events[-1]
    assert isinstance(heard, Heard) and heard.words.text == REQUEST
    assert SpeechBegan() in told.events


def test_the_helper_does_not_hear_its_own_answer(
    server: SoundServer,
    ears: Callable[[str], Ears],
    told: Told,
    said: Callable[[str], Samples],
    answer: Sequence[Samples],
) -> None:
    """The microphone hears the loudspeaker in full; it listens once the answer is over."""
    opened = ears("ear")
    opened.listen_for(Listening.NOTHING)
    with Speaker(SoundDevice(), "ear") as speaker:
        assert speaker.play(answer)
        opened.listen_for(Listening.REQUEST)
        server.say("ear", said(REQUEST).data, said(REQUEST).rate)
        told.reach(lambda: told.have(Heard))
    (began, heard) = told.events
    assert began == SpeechBegan()
    assert isinstance(heard, Heard) and heard.words.text == REQUEST, "the user's words alone"


@pytest.mark.parametrize("word", ["stop", "be quiet"])
def test_a_word_over_the_answer_is_heard_where_the_headset_lets_little_of_it_through(
    server: SoundServer,
    ears: Callable[[str], Ears],
    told: Told,
    said: Callable[[str], Samples],
    answer: Sequence[Samples],
    word: str,
) -> None:
    opened = ears("ear")
    opened.listen_for(Listening.STOP)
    with Speaker(SoundDevice(), "ear", loudness=0.1) as speaker:
        whole: list[bool] = []
        speaking = threading.Thread(target=lambda: whole.append(speaker.play([*answer, *answer])))
        speaking.start()
        server.say("ear", said(word).data, said(word).rate)
        told.reach(lambda: told.have(Heard))
        assert speaking.is_alive(), "while the helper still speaks"
        speaker.stop()
        speaking.join(5.0)
    (heard,) = told.events
    assert isinstance(heard, Heard) and heard.words.text == word
    assert whole == [False]


def test_its_own_answer_alone_does_not_stop_it(
    server: SoundServer, ears: Callable[[str], Ears], told: Told, answer: Sequence[Samples]
) -> None:
    """Even at full loudness: of what it says only those words would."""
    opened = ears("ear")
    opened.listen_for(Listening.STOP)
    with Speaker(SoundDevice(), "ear") as speaker:
        assert speaker.play(answer)
    assert told.events == []


def test_a_microphone_unplugged_is_said_and_heard_again_when_it_is_back(
    server: SoundServer,
    ears: Callable[[str], Ears],
    told: Told,
    said: Callable[[str], Samples],
    phrase: str,
) -> None:
    opened = ears("mouth")
    opened.listen_for(Listening.ATTENTION)
    server.unplug("mouth")
    told.reach(lambda: told.have(Failed))
    server.plug_in("mouth")
    told.reach(lambda: told.have(Mended))
    (failed, mended) = told.events
    assert isinstance(failed, Failed) and failed.part is Part.MICROPHONE
    assert mended == Mended(Part.MICROPHONE)
    server.say("mouth", said(phrase).data, said(phrase).rate)
    told.reach(lambda: told.have(Called))
