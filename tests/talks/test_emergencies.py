"""Whatever is called out as an emergency starts its list, first action first, in every state."""

from pathlib import Path

import pytest

from handsfree.dialogue.turn_asides import SPOTTED
from handsfree.engine import tables
from handsfree.hear.wake import EMERGENCIES, Spot, phrases_in
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Settings
from handsfree.understand.grammar import load_grammar
from handsfree.values import Words
from tests.talks.made_room import emergencies

BEFORE = (
    (),
    ("how fast on propane",),  # a question is open
    ("my tip is number one, it's made for half inch",),  # a change waits for a yes
    ("walk me through lighting up", "goggles and gloves"),  # a list is led
)


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    return Session(Settings(tmp_path_factory.mktemp("kept")), leads=True)


@pytest.mark.parametrize("called", sorted(emergencies()))
def test_each_starts_a_list_for_an_emergency_without_read_back(tmp_path: Path, called: str) -> None:
    taken = Session(Settings(tmp_path), leads=True).turn(Words(called, SPOTTED))
    assert taken.leads and not taken.asks
    led = taken.told.led
    assert led is not None and led.emergency
    first = tables.step_list(led.key).steps[0]
    assert (led.number, led.say) == (1, first.say)
    assert len(taken.told.sentences) <= 3, "nothing but the first step"


@pytest.mark.parametrize("before", BEFORE, ids=lambda said: said[-1] if said else "nothing")
@pytest.mark.parametrize("called", ["it's a flashback", "it backfired"])
def test_it_starts_whatever_was_said_before(
    tmp_path: Path, before: tuple[str, ...], called: str
) -> None:
    session = Session(Settings(tmp_path), leads=True)
    for said in before:
        session.turn(Words(said, 0.97))
    led = session.turn(Words(called, SPOTTED)).told.led
    assert led is not None and led.emergency and led.number == 1


@pytest.mark.parametrize(
    ("said", "which"),
    [
        ("there is a leak", "leak"),
        ("we have a leak up here", "leak"),
        ("it smells of gas", "leak"),
        ("smells like propane", "leak"),
        ("smell gas", "leak"),
        ("it's back fire", "backfire"),
        ("had a back fire", "backfire"),
        ("it back fired", "backfire"),
        ("it caught fire", "fire"),
        ("there is a fire below", "fire"),
    ],
)
def test_other_words_for_it_are_one_too(session: Session, said: str, which: str) -> None:
    assert session.emergency(said) == which


@pytest.mark.parametrize(
    "said",
    [
        "how do i check for a leak",
        "walk me through a leak test",
        "what about fire watch",
        "light it back up",
        "put the tip back on",
        "how do i stop it smelling",
    ],
)
def test_talk_of_what_has_its_words_is_none(session: Session, said: str) -> None:
    assert session.emergency(said) is None


def test_there_are_words_for_every_list_for_an_emergency(session: Session) -> None:
    started = {session.turn(Words(called, SPOTTED)).told.led for called in emergencies()}
    assert {led.key for led in started if led} == set(tables.emergency_lists())


def test_what_is_like_an_emergency_is_one_with_more_behind_it() -> None:
    network = load_grammar(shipped_folder("grammar"), "attention").word_network()
    phrases = phrases_in(network)
    called = [p.text for p in phrases if p.spot in EMERGENCIES]
    for like in (p.text for p in phrases if p.spot is Spot.TALK):
        assert like not in called
        assert like.startswith("fire ") or any(like.startswith(f"{text} ") for text in called)
