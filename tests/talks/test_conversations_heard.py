"""Whole conversations as sound: each is spoken, heard by the real ears, and answered by the voice.

The sound goes from the voice process to the ears frame by frame, without a sound server; the same
talks through one are in tests/sound.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.app.wiring import request_recogniser, spotter_beside, steps_recogniser
from handsfree.hear.recogniser import Recogniser
from handsfree.hear.vosk_adapter import VoskRecogniser
from handsfree.hear.wake import Spotter
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Settings
from handsfree.understand.grammar import load_grammar
from handsfree.values import Words
from handsfree.voice.voice import Voice, VoiceSettings
from tests.talks.conversation import AsSound, Conversation, conversations, play
from tests.talks.sound_room import Meaning, SoundRoom

FIRST_ACTION_S = 2.0
SPOKEN = [talk for talk in conversations() if talk.as_sound is not AsSound.NOT]
THEIRS = VoiceSettings(voice="en", pitch=38, value_rate=135, talk_rate=135)


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
    attention = load_grammar(shipped_folder("grammar"), "attention")
    return spotter_beside(recogniser, Session(), attention.word_network())


@pytest.fixture(scope="module")
def ours() -> Iterator[Voice]:
    with Voice() as voice:
        yield voice


@pytest.fixture(scope="module")
def theirs() -> Iterator[Voice]:
    with Voice(THEIRS) as voice:
        yield voice


@pytest.mark.decoding
@pytest.mark.parametrize("conversation", SPOKEN, ids=[talk.name for talk in SPOKEN])
def test_the_talk_goes_as_it_is_needed_when_it_is_spoken(
    conversation: Conversation,
    tmp_path: Path,
    ours: Voice,
    theirs: Voice,
    spotter: Spotter,
    recogniser: Recogniser,
    steps: Recogniser,
    meaning: Meaning,
) -> None:
    room = SoundRoom(
        tmp_path, ours, theirs, spotter, recogniser, conversation.barge_in, steps, meaning
    )
    faults = play(conversation, room)
    assert not faults, f"{conversation.need}\n" + "\n".join((*faults, *room.heard))
    assert not room.complaints


@pytest.mark.decoding
@pytest.mark.parametrize("before", ["", "settings for four inch schedule forty pipe"])
def test_the_first_action_is_begun_within_two_seconds_of_the_words(
    before: str,
    tmp_path: Path,
    ours: Voice,
    theirs: Voice,
    spotter: Spotter,
    recogniser: Recogniser,
    steps: Recogniser,
    meaning: Meaning,
) -> None:
    room = SoundRoom(tmp_path, ours, theirs, spotter, recogniser, False, steps, meaning)
    room.wait(1.0)
    if before:
        room.say(before, Words(before), calling=True)
        assert room.speaks, "it is cut short by what comes now"
    assert room.seconds_to_an_answer("it's a flashback!") < FIRST_ACTION_S
    assert any("oxygen valve shut" in sentence for sentence in room.spoken)


def test_what_is_spoken_says_nothing_of_how_it_is_heard() -> None:
    assert not [talk.name for talk in SPOKEN if any(step.heard for step in talk.steps)]
