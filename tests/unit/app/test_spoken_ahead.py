"""What is spoken ahead is what will be said, word for word."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.app.spoken_ahead import said_often
from handsfree.dialogue.repeating import MORE, THAT_IS_ALL
from handsfree.dialogue.turn_asides import BACK_AGAIN, FAULT_SAID
from handsfree.dialogue.turn_moves import NOT_COME, WORKING
from handsfree.engine import tables
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Fuel, Rig, Words
from handsfree.voice.speech_cache import LARGEST_STORE
from handsfree.wording.ear import for_the_ear

BYTES_A_WORD = 26_500  # of 16-bit samples at 22 kHz, at 100 words a minute


def test_the_fixed_sentences_of_the_dialogue_are_among_them() -> None:
    often = said_often()
    assert {WORKING, NOT_COME, MORE, THAT_IS_ALL} <= set(often)
    assert {*BACK_AGAIN.values(), *FAULT_SAID.values()} <= set(often)


@pytest.mark.parametrize(
    "called", ["flashback", "it backfired", "we've got a fire", "i smell gas", "hose is on fire"]
)
@pytest.mark.parametrize("fuel", Fuel)
def test_what_is_said_first_in_an_emergency_is_made_before_all_else(
    called: str, fuel: Fuel, tmp_path: Path
) -> None:
    often = said_often((fuel,))
    settings = Settings(tmp_path)
    settings.write(replace(settings.read(), rig=Rig(fuel)))
    said = Session(settings, leads=True).turn(Words(called, 0.6)).told.sentences
    assert set(said) <= set(often[: often.index(WORKING)])


@pytest.mark.parametrize(
    "asked",
    [
        "what do i set for three quarter plate",
        "how fast on half inch plate",
        "what do i set for twelve mil plate",
        "how fast on two inch plate",
    ],
)
@pytest.mark.parametrize("fuel", ["", " on propane"])
def test_answers_on_common_plates_open_with_one_of_them(
    asked: str, fuel: str, tmp_path: Path
) -> None:
    often = said_often((Fuel.ACETYLENE, Fuel.PROPANE))
    said = Session(Settings(tmp_path)).take(Words(asked + fuel)).sentences
    assert said[0] in often


def test_every_refusal_is_among_them() -> None:
    often = set(said_often())
    for key in tables.refusal_keys():
        assert for_the_ear(tables.refusal(key).reason) in often, key


def test_each_is_fit_for_the_ear_and_there_once() -> None:
    often = said_often()
    assert len(set(often)) == len(often)
    for sentence in often:
        assert for_the_ear(sentence) == sentence
        assert re.search(r"[.?]$", sentence), sentence


def test_all_of_them_fit_into_the_store() -> None:
    words = sum(len(sentence.split()) for sentence in said_often(tuple(Fuel)[:2]))
    assert words * BYTES_A_WORD < LARGEST_STORE
