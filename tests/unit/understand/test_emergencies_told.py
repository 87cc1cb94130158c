"""Who or what burns x how it is said, and what leaks x how it is said: each starts its list.

Beside the tables stand sentences that have the same words and are none: they start nothing.
"""

from collections.abc import Callable, Mapping
from typing import TypeAlias

import pytest

from handsfree.dialogue.doubt import emergency
from handsfree.understand.befalls import Befalls, what_befalls
from handsfree.understand.understanding import Understanding
from handsfree.values import Request, Words

Started: TypeAlias = Callable[[str], str | None]

WORN = (
    *("pants", "trousers", "sleeve", "glove", "hair", "jacket", "shirt", "overalls", "boot"),
    *("shoe", "sock", "hood", "cuff"),
)
AT_A_CYLINDER = (
    *("bottle", "cylinder", "acetylene bottle", "oxygen cylinder", "propane bottle", "regulator"),
    *("bottle valve", "cylinder valve", "valve", "oxygen regulator", "fuel regulator", "manifold"),
)
THINGS = (
    *("rag", "wall", "insulation", "grass", "basket", "floor", "roof", "timber", "pallet"),
    *("tarp", "cable", "bin", "truck", "cladding", "scaffold board", "hose", "oxygen hose"),
)
BURNS = (
    *("{} is on fire", "{} is burning", "{}'s burning", "{}'s on fire", "help {} is on fire"),
    *("{} caught fire", "{} has caught fire", "{} is alight", "{}'s alight", "{} is in flames"),
    *("{} just caught fire", "there's fire coming out of the {}", "{} is ablaze"),
    *("flames coming out of {}", "flames at the {}", "there are flames on the {}"),
)
WHO = {
    "i'm burning": "burning_person",
    "help me i'm burning": "burning_person",
    "i'm on fire": "burning_person",
    "he's on fire": "burning_person",
    "my mate is on fire": "burning_person",
    "i've set my sleeve on fire": "burning_person",
    "there's fire on my back": "burning_person",
    "flames up my leg": "burning_person",
    "flames coming out of the bottle valve": "burning_cylinder",
    "there's flame at the regulator": "burning_cylinder",
    "there's flame at the bottle valve": "burning_cylinder",
    "acetylene bottle's burning": "burning_cylinder",
    "the acetylene bottle is getting hot": "burning_cylinder",
    "oxygen cylinder fell over and the valve's hissing": "burning_cylinder",
    "the bottle tipped over and it's leaking": "burning_cylinder",
    "a cylinder fell and the valve snapped off": "burning_cylinder",
    "flame coming out of the torch handle": "flashback",
    "sparks set fire to the grass": "fire",
    "hose popped off the torch": "leak",
    "the hose came off the regulator": "leak",
    "acetylene hose has burst": "leak",
}
LEAKY = (
    *("hose", "regulator", "valve", "bottle", "cylinder valve", "joint", "fitting", "union"),
    *("acetylene hose", "oxygen regulator", "connection", "hose connection"),
)
LEAKS = (
    *("{} is leaking", "{}'s leaking", "{} is hissing", "the {} leaks", "{}'s blowing gas"),
    *("there's a leak at the {}", "gas coming out of the {}", "hissing from the {}"),
    *("{} has sprung a leak", "there's gas leaking from the {}", "{} is venting"),
)
SMELLS = [f"{a} {b}" for a in ("i smell", "smells of", "it stinks of") for b in ("gas", "propane")]
NONE = (
    "burning half inch plate what do i set",
    "burning through half inch plate",
    "i'm burning half inch plate",
    "i'm burning inch plate with propane",
    "he's burning three quarter plate what pressure",
    "the torch is lit",
    "light the torch",
    "flame is neutral",
    "fire watch for forty minutes",
    "how long is the fire watch",
    "what about the fire watch",
    "walk me through a leak test",
    "check the hoses for leaks",
    "how do i test the valve for leaks",
    "soap the regulator for leaks",
    "burning tip for half inch",
    "i'm burning propane",
    "my burning tip is number two",
    "how hot does half inch plate get",
    "how do i change the oxygen bottle",
    "what shade for burning inch plate",
    "oxygen bottle's empty",
    "my oxygen gauge is dead",
    "the hose is fifty foot long",
    "regulator's set at five",
    "the valve is shut",
    "preheat till it's bright red on half inch plate",
    "which valve do i shut first",
    "what colour should the flame be",
    "how do i clean the tip",
    "the wall is quarter inch",
    "quarter inch wall on a four inch pipe",
    "half inch floor plate on propane",
    "how do i burn a hole in half inch plate",
    "burn the bolts off half inch plate",
    "how fast burning half inch plate",
    "the rust is burning off half inch plate",
)


@pytest.fixture(scope="module")
def started(understanding: Understanding) -> Started:
    return lambda said: emergency(understanding.request(Words(said)))


def _missed(started: Started, table: Mapping[str, str | None]) -> dict[str, str | None]:
    return {said: got for said, wanted in table.items() if (got := started(said)) != wanted}


@pytest.mark.parametrize(
    ("things", "which"),
    [(WORN, "burning_person"), (AT_A_CYLINDER, "burning_cylinder"), (THINGS, "fire")],
    ids=("worn", "at a cylinder", "things"),
)
def test_whatever_burns_starts_the_list_for_it(
    started: Started, things: tuple[str, ...], which: str
) -> None:
    my = "my " if which == "burning_person" else ""
    table = {how.format(my + thing): which for thing in things for how in BURNS}
    assert _missed(started, table) == {}


def test_whatever_leaks_starts_the_list_for_a_leak(started: Started) -> None:
    table = {how.format(thing): "leak" for thing in LEAKY for how in LEAKS}
    assert _missed(started, table | dict.fromkeys(SMELLS, "leak")) == {}


def test_told_emergencies_start_the_list_that_fits(started: Started) -> None:
    assert _missed(started, WHO) == {}


def test_what_has_the_words_of_an_emergency_and_is_none_starts_nothing(started: Started) -> None:
    assert _missed(started, dict.fromkeys(NONE)) == {}


def test_a_cylinder_on_fire_changes_no_rig(understanding: Understanding) -> None:
    for fuel in ("acetylene", "propane", "propylene"):
        for thing in ("bottle", "cylinder"):
            understood = understanding.request(Words(f"{fuel} {thing}'s burning"))
            assert isinstance(understood, Request)
            assert (understood.steps, understood.change) == ("burning_cylinder", None)


def test_groups_come_in_order_with_small_words_between() -> None:
    row = Befalls("fire", (("rag",), ("burning $", "on fire")), ("is", "the"), ("watch",))
    for said in ("the rag is on fire", "rag's burning", "rag on fire now"):
        assert what_befalls(said.split(), (row,)) == ("fire",)
    for said in ("burning rag", "rag is burning plate", "rag near fire", "rag on fire watch"):
        assert what_befalls(said.split(), (row,)) == ()
    anywhere = Befalls("fire", (("rag",), ("burning",)), in_order=False)
    assert what_befalls(["burning", "like", "that", "rag"], (anywhere,)) == ("fire",)


AROUND = ("behind", "under", "below", "beside", "in front of", "around", "next to")
WENT_BACK = ("went back", "shot back", "ran back", "burned back", "jumped back")
SCREAMS = ("screams", "squeals", "is hissing", "is whistling", "is shrieking")
FELL = ("fell over", "tipped over", "came down", "was knocked over", "rolled off", "toppled")
LETS_GO = ("the valve broke", "gas is blasting out", "it's hissing", "it's spinning", "it screams")
NO_EMERGENCY = (
    *(f"{what} {how}" for what in ("what is a", "what causes a")
      for how in ("flashback", "backfire")),
    *(f"why does a torch {how}" for how in ("backfire", "flash back")),
    *(f"{whose} {what} backfired" for whose in ("my", "the") for what in ("truck", "car", "van")),
    *(f"we had a {what} {when}" for what in ("fire", "backfire", "flashback", "leak")
      for when in ("last year", "years ago")),
    *("fire her up", "fire it up", "fire away", "flashback arrestors are fitted"),
    *("the fire blanket is here", "where is the fire extinguisher", "the water hose is leaking"),
    *("the garden hose leaks", "i'm burning up in this heat"),
)  # fmt: skip


def test_what_burns_near_somebody_is_a_fire_and_nobody_on_fire(started: Started) -> None:
    table = {
        f"there's {what} {where} {whom}": "fire"
        for what in ("a fire", "flames")
        for where in AROUND
        for whom in ("me", "us", "him")
    }
    assert _missed(started, dict(table)) == {}


def test_a_flame_that_runs_back_is_a_flashback(started: Started) -> None:
    table = {
        f"the {what} {went} into the {into}": "flashback"
        for what in ("fire", "flame")
        for went in WENT_BACK
        for into in ("hose", "torch", "handle")
    }
    table |= {f"it {bang} and now it {how}": "flashback" for bang in ("popped", "banged")
              for how in SCREAMS}  # fmt: skip
    assert _missed(started, dict(table)) == {}


def test_a_fallen_cylinder_that_lets_go_sends_everybody_away(started: Started) -> None:
    table = {
        f"the {what} {fell} and {how}": "burning_cylinder"
        for what in ("bottle", "oxygen cylinder", "acetylene bottle")
        for fell in FELL
        for how in LETS_GO
    }
    assert _missed(started, dict(table)) == {}


@pytest.mark.parametrize("said", NO_EMERGENCY)
def test_the_word_of_an_emergency_alone_makes_none(started: Started, said: str) -> None:
    assert started(said) is None


@pytest.mark.parametrize("beside", ["fire watch", "fire blanket", "fire extinguisher"])
def test_a_real_fire_is_one_beside_such_a_word_too(started: Started, beside: str) -> None:
    assert started(f"there's a fire by the {beside}") == "fire"
    assert started(f"we've got a fire where is the {beside}") == "fire"
