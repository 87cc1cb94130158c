"""What is told of the piece and its place inside a valid request is never passed over."""

import pytest

from handsfree.engine.answer import answer
from handsfree.understand.fuel_pressure import told_fuel_pressure
from handsfree.understand.nothing_lost import LEFT_OVER
from handsfree.understand.understanding import Understanding
from handsfree.values import About, Answer, Question, Refusal, Request, Rig, TipBox, Words

PIECES = (
    *("half inch plate", "what do i set for three quarter plate", "how fast on inch plate"),
    *("oxygen pressure for four inch schedule forty pipe", "W10x33"),
)
TOLD = {
    "load_on_piece": (
        *("holding me", "holding the basket", "that's carrying the floor", "supporting the roof"),
        *("that holds up the deck", "i'm tied to it", "my lanyard is clipped to it", "under load"),
        *("he's standing on it", "with weight on it", "it's load bearing"),
    ),
    "people_below": (
        *("with people below me", "men working under me", "there's somebody underneath"),
        *("over the footpath", "with traffic below", "my mate is below", "people under us"),
    ),
    "pressure_inside": (
        *("under pressure", "that still has pressure in it", "it's a live line", "it's charged"),
        *("with steam in it", "it's still pressurised"),
    ),
    "contents_inside": (
        *("with gas still in it", "it's still got oil in it", "full of petrol", "with fuel inside"),
        *("that held solvent", "it's an old gas main"),
    ),
    "near_cylinder": (
        *("near the acetylene bottle", "next to the cylinders", "right by the oxygen bottles"),
        *("the bottles are below me", "above the propane cylinder"),
    ),
    "near_fuel": (
        *("over a gas line", "on a fuel truck", "next to a fuel tank", "near the gas main"),
        *("beside the diesel tank", "off a tanker"),
    ),
    "combustibles_near": (
        "over a timber floor",
        "near the hay",
        "next to dry grass",
        "by the rags",
    ),
    "confined_space": ("inside a tank", "down a manhole", "in the bilge", "in a confined space"),
    "wet": ("it's raining", "in the rain", "it's soaking wet", "standing in water"),
    "alone": ("i'm on my own", "i'm alone", "there's nobody else here", "by myself"),
    "near_electric": ("next to a live cable", "under the power lines"),
}
CONTAINERS = {
    "cut_cylinder": (
        *("propane cylinder", "acetylene bottle", "oxygen cylinder", "fire extinguisher"),
        *("old gas bottle", "empty cylinder", "air receiver", "twenty pound propane tank"),
    ),
    "container_not_cleaned": ("old drum", "fuel tank", "oil barrel", "boiler", "keg", "tank"),
    "closed_container": ("tyre", "truck tyre"),
}
CUTS = (
    *("cut a {}", "cut up a {}", "can i cut this {}", "i'm cutting a {}", "burn through a {}"),
    *("how do i cut a {}", "i want to take the top off a {}", "chop a {} in half"),
    *("what do i set for a {}", "cut a hole in a {}", "half inch {}"),
)
ANSWERED = (
    *("half inch plate", "what do i set for half inch plate", "how fast on inch plate"),
    *("burn through half inch plate", "i need to burn three quarter plate", "burning inch plate"),
    *("what do i set for burning half inch plate", "i'm burning half inch plate with propane"),
    *("half inch floor plate", "half inch deck plate", "quarter inch hull plate what do i set"),
    *("half inch plate please mate", "good morning, settings for half inch plate"),
    *("how do i hold the torch on half inch plate", "six inch pipe schedule forty"),
    *("two inch gas pipe schedule forty", "half inch plate with fifty foot of hose"),
    *("half inch plate on acetylene", "w8x31 on acetylene", "20 mm plate on acetylene"),
    *("what pressure for the acetylene bottle", "how much gas for ten foot of half inch plate"),
    *("what tip for two inch plate", "kerf on half inch plate", "preheat for three inch plate"),
    *("how long do i preheat inch plate", "shade for half inch plate", "standoff for half inch"),
    *("half inch plate overhead", "half inch plate standing up", "half inch plate on its side"),
    *("half inch plate in place", "half inch plate from one side", "half inch plate from below"),
    *("half inch rusty plate", "half inch plate on the bench", "half inch plate on the trestles"),
    *("4x4x3/8 angle", "C10x20", "6x6x3/8 tube", "ten gauge sheet", "two inch shaft"),
    *("three inch round bar", "half inch bracket", "half inch gusset plate", "half inch flange"),
    *("half inch web what do i set", "three quarter base plate", "half inch bulkhead plate"),
    *("what order do i cut a W10x33", "how heavy is half inch plate", "can i go faster on inch"),
    *("half inch plate now", "half inch plate up here", "the plate is half inch what do i set"),
    *("right, settings for inch and a half", "i'm stuck what do i set for two inch plate"),
    *("oxygen for half inch plate", "fuel pressure for half inch plate", "speed for six inch"),
    *("what do i set for half inch plate with a number fifty four drill tip",),
    *("will the oxygen do ten cuts of half inch plate", "half inch plate old and rusty"),
)
RUNS = (
    *("i'm going {} on the acetylene", "acetylene on {}", "acetylene at {}", "acetylene's at {}"),
    *("set the acetylene to {}", "{} on the acetylene okay", "acetylene pressure {}"),
    *("acetylene reg at {}", "i've got {} on the acetylene", "running {} on the acetylene"),
)
ABOVE = (
    *("sixteen", "seventeen", "eighteen", "twenty", "twenty two", "16", "18", "19.5", "thirty"),
    *("sixteen pounds", "17 psi", "1.2 bar", "two bar", "120 kPa", "150 kilopascals", "20 lbs"),
)
MADE = ("{} of acetylene", "{} acetylene", "{} on the acetylene", "can i have {} of acetylene")


def _reply(understanding: Understanding, said: str):  # type: ignore[no-untyped-def]
    """What the understanding and the engine make of words."""
    made = understanding.request(Words(said))
    return answer(made, Rig(), TipBox()) if isinstance(made, Request) else made


@pytest.mark.parametrize("hazard", TOLD)
def test_what_is_told_of_the_piece_stops_the_request(
    understanding: Understanding, hazard: str
) -> None:
    missed = []
    for piece in PIECES:
        for told in TOLD[hazard]:
            made = understanding.request(Words(f"{piece} {told}"))
            if not isinstance(made, Request) or hazard not in made.hazards:
                missed.append((piece, told, made))
            else:
                assert isinstance(answer(made, Rig(), TipBox()), Refusal)
    assert missed == []


@pytest.mark.parametrize("hazard", CONTAINERS)
def test_a_whole_container_as_the_piece_is_refused_and_changes_no_rig(
    understanding: Understanding, hazard: str
) -> None:
    missed = []
    for cut in CUTS:
        for thing in CONTAINERS[hazard]:
            made = understanding.request(Words(cut.format(thing)))
            if not isinstance(made, Request) or not made.hazards or made.about is About.RIG:
                missed.append((cut.format(thing), made))
    assert missed == []


def test_harmless_words_beside_a_request_are_answered(understanding: Understanding) -> None:
    assert len(ANSWERED) >= 60
    asked = {said: _reply(understanding, said) for said in ANSWERED}
    told_apart = {said: got for said, got in asked.items() if not isinstance(got, Answer)}
    assert {
        said: got
        for said, got in told_apart.items()
        if not (isinstance(got, Question) and got.asks_for != LEFT_OVER)
    } == {}


@pytest.mark.parametrize(
    "word",
    [
        *("crane", "ladder", "chain", "hook", "scaffold", "bridge", "strut", "truck", "forklift"),
        *("bearer", "cab", "lift", "gouge"),
    ],
)
def test_a_word_that_may_change_the_cut_is_asked_about(
    understanding: Understanding, word: str
) -> None:
    made = understanding.request(Words(f"what do i set for half inch plate on the {word}"))
    assert isinstance(made, Question)
    assert (made.asks_for, made.options) == (LEFT_OVER, ("yes", "no"))
    assert word in made.prompt and made.request is not None and made.request.piece is not None


def test_no_word_that_can_change_the_cut_is_harmless(understanding: Understanding) -> None:
    told = (
        "bevel gouge burn burning hold holding full still near under below behind beside inside "
        "chain truck crane rain alone ladder basket bottle cylinder hanging bridge people"
    )
    grammar = understanding._grammar
    assert not set(told.split()) & (grammar.harmless | grammar.talk)
    assert not grammar.weighty & (grammar.harmless | grammar.talk | grammar.small)


def test_a_fuel_pressure_above_the_limit_is_refused_however_it_is_put(
    understanding: Understanding,
) -> None:
    said = [how.format(much) for how in RUNS for much in ABOVE]
    units = [much for much in ABOVE if " " in much and much != "twenty two"]
    said += [how.format(much) for how in MADE for much in units]
    missed = [each for each in said if not isinstance(_reply(understanding, each), Refusal)]
    assert missed == []


def test_a_pressure_of_no_gas_is_asked_about(understanding: Understanding) -> None:
    for said in ("can i run it at sixteen", "can i go to twenty with it", "set it to 18 psi"):
        made = understanding.request(Words(said))
        assert isinstance(made, Question) and made.asks_for == "gas"
        assert isinstance(_reply(understanding, made.options[0]), Refusal)


@pytest.mark.parametrize(
    "said",
    [
        *(
            "acetylene on eighteen mil plate",
            "acetylene for sixteen gauge",
            "w ten by thirty three",
        ),
        *("acetylene at five", "twenty cuts on acetylene", "number fifty four drill on acetylene"),
        *("acetylene with fifty foot of hose", "oxygen at forty", "schedule forty on acetylene"),
    ],
)
def test_a_number_of_something_else_is_no_fuel_pressure(said: str) -> None:
    assert told_fuel_pressure(said.split()) is None


@pytest.mark.parametrize("lead", ["half inch lead painted plate", "half inch plate with red lead"])
def test_lead_on_steel_is_paint(understanding: Understanding, lead: str) -> None:
    made = understanding.request(Words(lead))
    assert isinstance(made, Request) and made.piece is not None
    assert (str(made.piece.surface), str(made.piece.metal)) == ("lead painted", "mild steel")


@pytest.mark.parametrize(
    "said",
    ["knock rivet heads off", "shut off half inch plate", "knock the bolts off half inch plate"],
)
def test_off_beside_a_piece_is_no_shutdown(understanding: Understanding, said: str) -> None:
    made = understanding.request(Words(said))
    assert not isinstance(made, Request) or made.steps is None
