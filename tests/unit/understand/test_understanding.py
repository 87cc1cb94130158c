"""Words to requests as a whole: what must not be passed over, nonsense, talk that is not for it."""

import pytest

from handsfree.understand.grammar import Grammar
from handsfree.understand.understanding import SENSELESS, Understanding, plain_word
from handsfree.values import About, Consent, NotUnderstood, Question, Request, Words


def _request(understanding: Understanding, text: str) -> Request:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request), understood
    return understood


@pytest.mark.parametrize(
    "text",
    [
        *("", "   ", "\t\n", "...", "\x00\x01\x02", "[unk]", "[unk] [unk]", "🔥🔥", "um er uh"),
        *("minus two inch plate", "-2 inch plate", "what do i set for minus half inch"),
        *("plate " * 10_000, "what do i set for half inch " * 2_000, "a" * 100_000),
        *("zorb the frumious plate", "half inch unobtainium what do i set"),
        *("' ' '", "' or 1=1 --", "<script>", "\u202e\u2066 plate"),
    ],
)
def test_nonsense_gets_a_clear_sentence(understanding: Understanding, text: str) -> None:
    understood = understanding.request(Words(text))
    assert isinstance(understood, NotUnderstood | Question), understood
    if isinstance(understood, NotUnderstood):
        assert understood.why.endswith(".") and understood.hints


def test_a_stretch_that_was_not_heard_is_never_passed_over(understanding: Understanding) -> None:
    understood = understanding.request(Words("what do i set for half inch [unk] plate"))
    assert isinstance(understood, NotUnderstood)
    assert "all of that" in understood.why


@pytest.mark.parametrize(
    "word",
    [
        # metals, coatings, linings, contents, negations, numbers and units that may matter
        *("molybdenum", "tungsten", "duplex", "boron", "aramid", "polymer", "epoxy", "asbestos"),
        *("rubber", "lined", "tar", "bitumen", "petrol", "gasoline", "ammonia", "chlorine"),
        *("not", "never", "without", "minus", "except", "isn't", "no"),
        *("dozen", "double", "triple", "squared", "kilograms", "gallons", "volts", "thou"),
        *("explosive", "pressurised", "live", "loaded", "unknownium", "stainles", "galvanisd"),
    ],
)
def test_a_word_that_may_matter_is_never_passed_over(
    understanding: Understanding, word: str
) -> None:
    for text in (f"what do i set for {word} half inch plate", f"how fast on half inch {word}"):
        understood = understanding.request(Words(text))
        if isinstance(understood, Request):  # refused, or asked again: never taken for plain steel
            assert understood.hazards, f"{text}: {understood}"


@pytest.mark.parametrize(
    ("text", "metal"),
    [
        ("what do i set for half inch stainless", "stainless steel"),
        ("how fast on quarter inch aluminium", "aluminium"),
        ("oxygen for a two inch cast iron plate", "cast iron"),
        ("settings for half inch brass", "brass"),
    ],
)
def test_the_metal_is_told(understanding: Understanding, text: str, metal: str) -> None:
    piece = _request(understanding, text).piece
    assert piece is not None and piece.metal == metal


def test_unknown_words_are_named(understanding: Understanding) -> None:
    understood = understanding.request(Words("what do i set for frumious plate"))
    assert isinstance(understood, NotUnderstood)
    assert "frumious" in understood.why


TALK = """
    hand me that half inch plate would you
    pass the torch over here
    who's got the gas bottle key
    watch the tip of that crane hook
    gas prices are through the roof
    that angle's bent mate
    tell dave to bring the torch up
    is he bringing the half inch chain
    the foreman said the plates go on the west side
    that bottle trolley's got a flat tyre
    the tip jar at the cafe was full
    how fast was he driving
    what size boots do you take
    turn the heat up in the cabin will you
    give me a hand with this beam
    don't drop that pipe
    how much did you pay for that torch
    get the slag off the deck
    this hose is in the way
    where's the oxygen reg gone
    the inspector wants to see the angle brackets
    you left the torch on the bonnet of the van
    any tips for the derby on saturday
    he's on the angle grinder
    sling that beam a bit lower
    what shade of blue is that
    what's the weight of that lift
    that tank's going to the scrap man
    nice bit of steel that
    we need another eight bolts
    the pressure's on now lads
    there's oxygen in the air you know
    what channel's the match on
    tyre pressure should be thirty two
    can i get through there with the truck
    stick the three quarter bolts in the bucket
    where did the one inch plate go
    the twenty mil plates are coming tomorrow
    put the acetylene in the rack
    nice tip on the two thirty at ascot
    speed bump ahead
    use the other ladder
    it's fifty foot to the ground
    mind that gap
"""


def test_ordinary_talk_is_not_for_the_helper(understanding: Understanding) -> None:
    taken = {}
    for line in TALK.split("\n"):
        if line.strip():
            understood = understanding.request(Words(line.strip()))
            if not isinstance(understood, NotUnderstood):
                taken[line.strip()] = understood
    assert not taken


def test_a_bare_number_is_asked_about(understanding: Understanding) -> None:
    understood = understanding.request(Words("what do i set for ten"))
    assert isinstance(understood, Question)
    assert "ten millimetres" in understood.options


def test_yes_and_no_are_consent(understanding: Understanding) -> None:
    assert understanding.request(Words("yes please")) == Consent(True)
    assert understanding.request(Words("no")) == Consent(False)


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("what do i set for three quarter plate", About.SETTING),
        ("how fast with a quarter inch tip on three quarter plate", About.TRAVEL_SPEED),
        ("kerf on half inch", About.KERF),
        ("how much do i lose in the cut on two inch", About.KERF),
        ("what gap between the tip and a one inch plate", About.STANDOFF),
        ("what colour before i press the lever on half inch", About.PREHEAT),
        ("how much gas i going to use on three inch", About.GAS),
        ("what do i set the propane at for half inch", About.FUEL_PRESSURE),
        (
            "only a small nozzle here, made for five mil, job is fifteen mil, how to do",
            About.TECHNIQUE,
        ),
        ("the tip one's in the torch", About.TIP_BOX),
        ("what have you got down for my hose and my gas", About.RIG),
        ("fire went back up in the torch and she's squealin'", About.STEPS),
    ],
)
def test_what_is_asked_for_is_heard_in_many_wordings(
    understanding: Understanding, text: str, about: About
) -> None:
    assert _request(understanding, text).about is about


@pytest.mark.parametrize(
    ("word", "plain"),
    [
        ("bottle's", "bottle"),
        ("cuttin'", "cutting"),
        ("plates", "plate"),
        ("isn't", "isn't"),
        ("forties", "forty"),
        ("zorbing", "zorbing"),
        ("copperer", "copperer"),
    ],
)
def test_words_lose_no_more_than_their_endings(word: str, plain: str) -> None:
    known = frozenset({"bottle", "cutting", "plate", "is", "forty", "copper"})
    assert plain_word(word, known, frozenset({"copper", "plate"})) == plain


def test_harmless_words_hold_no_negation_and_nothing_that_is_heeded_is_talk(
    grammar: Grammar,
) -> None:
    negations = {"no", "not", "never", "none", "without", "minus", "isn't", "don't", "can't", "nor"}
    assert not grammar.harmless & negations
    assert negations <= grammar.heeded


@pytest.mark.parametrize("said", ["yes", "yes please", "okay yes", "confirm", "that's right mate"])
def test_a_plain_yes_is_one(understanding: Understanding, said: str) -> None:
    assert understanding.request(Words(said)) == Consent(True)


@pytest.mark.parametrize("said", ["yes today", "right here", "yes i said that", "yes on monday"])
def test_a_yes_with_more_in_it_is_none(understanding: Understanding, said: str) -> None:
    assert not isinstance(understanding.request(Words(said)), Consent)


@pytest.mark.parametrize("words", ["no fire", "the fire is out", "there's no more fire"])
def test_a_fire_that_is_out_begins_no_list(understanding: Understanding, words: str) -> None:
    understood = understanding.request(Words(words))
    assert isinstance(understood, NotUnderstood) and "go on watching" in understood.why


@pytest.mark.parametrize("words", ["no there's a fire", "fire fire", "no it's on fire"])
def test_a_fire_that_burns_begins_its_list(understanding: Understanding, words: str) -> None:
    understood = understanding.request(Words(words))
    assert isinstance(understood, Request) and understood.steps == "fire"


def test_words_that_no_rule_takes_up_make_a_reading_unlikelier(
    understanding: Understanding,
) -> None:
    plain = understanding.sense("half inch plate settings")
    loose = understanding.sense("no half inch plate settings sixty")
    assert plain.meaning == understanding.request(Words("half inch plate settings"))
    assert loose.cost > plain.cost >= 0


def test_what_means_nothing_is_the_unlikeliest_and_means_itself(
    understanding: Understanding,
) -> None:
    nothing = understanding.sense("played the tip of wood")
    assert (nothing.meaning, nothing.cost) == ("played the tip of wood", SENSELESS)
    assert understanding.sense("half inch plate mate please").cost < SENSELESS


def test_an_unsafe_wish_amid_other_words_is_unlikelier_than_the_wish_alone(
    understanding: Understanding,
) -> None:
    alone = understanding.sense("heat the oxygen cylinder")
    amid = understanding.sense("my mate said heat the oxygen cylinder all day long")
    assert alone.meaning == amid.meaning
    assert 0 < alone.cost < amid.cost


@pytest.mark.parametrize(
    "beside",
    [
        *("no", "not", "never", "never mind", "wait", "leave it", "cancel", "it isn't", "don't"),
        *("the", "a", "this is the", "that", "it's a", "do", "way", "wrong"),
    ],
)
def test_a_yes_with_more_beside_it_is_no_yes(understanding: Understanding, beside: str) -> None:
    """What goes with a no, or begins some other sentence, leaves no yes that steel is cut on."""
    for said in (f"yes {beside}", f"{beside} yes"):
        assert understanding.request(Words(said)) != Consent(True), said
