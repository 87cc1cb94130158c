"""A call or an emergency counts only where the recogniser of requests does not disagree."""

import pytest

from handsfree.errors import SoundError
from handsfree.hear.second_hearing import SecondHearing
from handsfree.hear.wake import EMERGENCIES, Phrase, Spot, Spotter
from handsfree.values import Words
from tests.unit.hear.word_ear import PHRASES, Mouth, spotting_ear

FIRE = Phrase("fire fire", Spot.EMERGENCY, (6, 8))
LISTS = {"fire fire": "fire", "there's a fire": "fire", "gas leak": "leak"}


class Again:
    """Hears what it is told to, and keeps what it was given."""

    def __init__(self, words: Words) -> None:
        self._words = words
        self.sound = b""

    def begin(self) -> None:
        self.sound = b""

    def accept(self, block: bytes) -> bool:
        self.sound += block
        return False

    def partial(self) -> str:
        return ""

    def finish(self) -> Words:
        return self._words


class Deaf(Again):
    def finish(self) -> Words:
        raise SoundError("The recogniser could not take the sound. Say it again.")


@pytest.mark.parametrize(
    ("words", "agreed"),
    [
        (Words("fire fire", 0.9), True),
        (Words("there's a fire", 0.6), True),
        (Words("five feet", 0.5, ("fire fire",)), True),
        (Words("five feet", 0.8, ("nine feet",)), False),
        (Words("gas leak", 0.9), False),
        (Words("[unk]", 0.1), False),
        (Words("", 0.0), False),
    ],
)
def test_it_counts_where_a_close_reading_means_the_same_emergency(
    words: Words, agreed: bool
) -> None:
    assert SecondHearing(Again(words), LISTS.get)(FIRE, bytes(64)) is agreed


def test_an_emergency_is_not_lost_where_it_cannot_be_heard_again() -> None:
    assert SecondHearing(Deaf(Words("")), LISTS.get)(FIRE, bytes(64))


@pytest.mark.parametrize(
    ("text", "agreed"),
    [("red kettle", True), ("red kettle half", True), ("red kettles", False), ("[unk]", False)],
)
def test_a_call_counts_where_a_reading_has_its_words(text: str, agreed: bool) -> None:
    call = Phrase("red kettle", Spot.ATTENTION, (8, 8))
    assert SecondHearing(Again(Words(text, 0.6)), LISTS.get)(call, bytes(64)) is agreed
    assert SecondHearing(Again(Words("bread", 0.6, (text,))), LISTS.get)(call, bytes(64)) is agreed


@pytest.mark.parametrize("agreed", [True, False])
def test_only_what_is_agreed_is_spotted_and_the_sound_is_that_of_the_phrase(agreed: bool) -> None:
    mouth = Mouth()
    asked: list[tuple[str, bytes]] = []

    def confirms(phrase: Phrase, sound: bytes) -> bool:
        asked.append((phrase.text, sound))
        return agreed

    spotter = Spotter(spotting_ear(mouth), PHRASES, confirms)
    spotter.begin()
    said = next(p for p in PHRASES if p.spot is Spot.EMERGENCY)
    frames = [*mouth.say("plate"), *mouth.room(0.4), *mouth.say(said.text), *mouth.room(0.6)]
    spotted = [spotter.accept(frame, EMERGENCIES) for frame in frames]
    assert [s.phrase for s in spotted if s is not None] == ([said] if agreed else [])
    (text, sound), *_ = asked
    assert text == said.text
    assert b"".join(mouth.say(said.text.split()[0])) in sound
    assert not any(frame in sound for frame in mouth.say("plate"))


@pytest.mark.parametrize(
    ("said", "spot", "taken"),
    [("red kettle", Spot.ATTENTION, False), ("stop", Spot.HUSH, True)],
)
def test_only_what_ends_the_talk_is_not_heard_again(said: str, spot: Spot, taken: bool) -> None:
    mouth = Mouth()
    spotter = Spotter(spotting_ear(mouth), PHRASES, lambda phrase, sound: False)
    spotter.begin()
    frames = [*mouth.say(said), *mouth.room(0.4)]
    assert any(spotter.accept(frame, {spot}) for frame in frames) is taken
