"""Unsafe wishes are spotted in many wordings, and innocent requests are left alone."""

import pytest

from handsfree.understand.hazards import spotted_hazards
from handsfree.understand.understanding import Understanding
from handsfree.values import Request, Words

RULES = (
    ("matches", (("light", "relight"), ("match", "my lighter"))),
    ("grease", (("grease",), ("regulator",))),
)


def test_every_group_needs_one_of_its_phrases() -> None:
    assert spotted_hazards(["light", "it", "with", "a", "match"], RULES) == ("matches",)
    assert spotted_hazards(["relight", "off", "my", "lighter"], RULES) == ("matches",)
    assert spotted_hazards(["light", "it", "with", "a", "striker"], RULES) == ()
    assert spotted_hazards(["a", "lighter", "match"], RULES) == ()


def test_several_wishes_are_all_named_once() -> None:
    words = ["grease", "the", "regulator", "and", "light", "it", "with", "a", "match", "a", "match"]
    assert spotted_hazards(words, RULES) == ("matches", "grease")


WISHES = [
    ("can i run the acetylene up past fifteen for this", "fuel_over_limit"),
    ("crank the acetylene flat out", "fuel_over_limit"),
    ("striker's dead so i'll light it with a match", "light_with_match"),
    ("can i relight off the hot metal", "light_with_match"),
    ("blow the dust off me with the oxygen", "oxygen_as_air"),
    ("hook the air tool to the oxygen", "oxygen_as_air"),
    ("can i breathe a bit of oxygen", "oxygen_as_air"),
    ("it's stuffy in the tank i'll open the oxygen for some air", "oxygen_in_confined_space"),
    ("bit of oil on the regulator threads", "oil_on_oxygen"),
    ("can the bottle lie down in the basket", "cylinder_lying"),
    ("put the acetylene to lie down on the deck", "cylinder_lying"),
    ("lower the bottles into the vessel", "cylinder_in_tank"),
    ("cutting the lid off an old drum", "container_not_cleaned"),
    ("the tank hasn't been cleaned but i'll cut it", "container_not_cleaned"),
    ("do we really need a fire watch", "skip_fire_watch"),
    ("check for leaks with a lighter", "flame_leak_test"),
    ("run it without a regulator", "no_regulator"),
    ("take off the flashback arrestors", "no_flashback_protection"),
    ("cut it quick without goggles", "no_eye_protection"),
    ("warm up the frozen bottle with the torch", "heat_cylinder"),
    ("start before the permit comes", "no_permit"),
    ("beat the cylinder valve with a hammer", "tamper_cylinder"),
    ("leave it lit while i go for lunch", "unattended"),
]


@pytest.mark.parametrize(("words", "wish"), WISHES)
def test_unsafe_wishes_are_named_however_they_are_worded(
    understanding: Understanding, words: str, wish: str
) -> None:
    understood = understanding.request(Words(words))
    assert isinstance(understood, Request)
    assert wish in understood.hazards


def test_a_wish_is_spotted_through_words_that_nobody_knows(understanding: Understanding) -> None:
    understood = understanding.request(Words("zorbly light the frumious torch with a match xyzzy"))
    assert isinstance(understood, Request)
    assert understood.hazards == ("light_with_match",)


@pytest.mark.parametrize(
    "words",
    [
        "what do i set the oxygen at for half inch plate",
        "how do i light the torch",
        "acetylene pressure for two inch plate",
        "how do i change the oxygen bottle",
        "what shade goggles for two inch",
        "oxygen cylinder's empty what do i do",
        "how do i test for leaks",
        "how do i shut down the torch",
        "fifteen mil plate on acetylene what do i set",
        "lean the torch over on quarter plate with a two inch tip",
    ],
)
def test_innocent_requests_are_no_wish(understanding: Understanding, words: str) -> None:
    understood = understanding.request(Words(words))
    assert isinstance(understood, Request)
    assert understood.hazards == ()
