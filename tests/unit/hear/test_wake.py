"""The spotter: the phrase wherever it stands, in full, in a mouth's time, and nothing like it."""

import re
from pathlib import Path

import pytest

from handsfree.errors import GrammarError
from handsfree.hear.endpointing import FRAME_BYTES
from handsfree.hear.model_folder import open_model
from handsfree.hear.wake import (
    EMERGENCIES,
    RENEWED_S,
    Phrase,
    Spot,
    Spotted,
    Spotter,
    attention_network,
    load_spotter,
    phrases_in,
)
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import Arc, WordNetwork
from tests.unit.hear.networks import pronounced, spoken
from tests.unit.hear.tone_ear import tones, write_tone_ear
from tests.unit.hear.word_ear import EMERGENCY, PHRASES, Mouth, WordEar, spotting_ear

BOTH = (Spot.ATTENTION, Spot.HUSH)
VOWELS = frozenset(re.findall(r"\w+", "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW"))


def state(*phrases: tuple[str, str]) -> WordNetwork:
    """The network of an attention state: each phrase with what it is for."""
    arcs, states = [], 2
    for text, spot in phrases:
        at = 0
        for word in text.split():
            arcs.append(Arc(at, states, word))
            at, states = states, states + 1
        arcs.append(Arc(at, 1, tag=f"spot={spot}"))
    words = {word for text, _ in phrases for word in text.split()}
    return WordNetwork("attention", states, tuple(arcs), ((1, 0.0),), pronounced(words))


def frames(sound: bytes) -> list[bytes]:
    return [sound[n : n + FRAME_BYTES] for n in range(0, len(sound) - FRAME_BYTES + 1, FRAME_BYTES)]


@pytest.fixture(scope="module")
def tone_spotter(tmp_path_factory: pytest.TempPathFactory) -> Spotter:
    """Hears tones; a phone of talk costs more than for a voice, as tones leave no doubt."""
    from handsfree.hear.vosk_adapter import load_recogniser

    folder = write_tone_ear(tmp_path_factory.mktemp("model") / "tones", 100.0)
    options = folder / "conf/model.conf"
    told = options.read_text().replace("--beam=200.0", "--beam=100.0")
    options.write_text(told.replace("--lattice-beam=60.0", "--lattice-beam=10.0"))
    model = open_model(folder)
    network = state(("oxygen gauge", "attention"), ("fifty", "hush"))
    listened = attention_network(network, model.phones, model.filler, talk_cost=20.0)
    graphs = tmp_path_factory.mktemp("graphs")
    return Spotter(load_recogniser(model, listened, graphs, timed=True), phrases_in(network))


def heard(spotter: Spotter, text: str, spots: tuple[Spot, ...] = BOTH) -> list[Spotted]:
    spotter.begin()
    said = frames(tones([*spoken(text)]) + tones([]))
    return [one for frame in said if (one := spotter.accept(frame, spots)) is not None]


# --- through the recogniser's library -------------------------------------------------------------


@pytest.mark.parametrize(
    "said",
    [
        "oxygen gauge",
        "oxygen gauge what pressure for half inch plate",
        "for half inch plate oxygen gauge",
        "oxygen pressure and oxygen gauge what tip",
    ],
)
def test_the_phrase_is_spotted_wherever_it_stands(tone_spotter: Spotter, said: str) -> None:
    (spotted,) = heard(tone_spotter, said)
    assert spotted.phrase.spot is Spot.ATTENTION
    assert spotted.words.text == "oxygen gauge"
    assert 0.5 < spotted.words.sureness <= 1.0


@pytest.mark.parametrize(
    "said",
    ["oxygen", "gauge oxygen", "oxygen pressure gauge", "acetylene gauge", "what pressure", ""],
)
def test_what_is_like_the_phrase_is_not_it(tone_spotter: Spotter, said: str) -> None:
    assert heard(tone_spotter, said) == []


def test_only_what_is_asked_for_is_spotted(tone_spotter: Spotter) -> None:
    (spotted,) = heard(tone_spotter, "oxygen gauge for fifty", (Spot.HUSH,))
    assert spotted.phrase.text == "fifty"


def test_the_place_of_the_phrase_is_told(tone_spotter: Spotter) -> None:
    tone_spotter.begin()
    before = frames(tones(spoken("what tip for half inch plate")))
    phrase = frames(tones(spoken("oxygen gauge")) + tones([]))
    spotted, fed = None, 0
    for frame in [*before, *phrase]:
        fed += 1
        spotted = spotted or tone_spotter.accept(frame, BOTH)
        if spotted:
            break
    assert spotted is not None
    began = fed - spotted.began
    assert abs(began - len(before) - 15) <= 8, "after the room of 0.3 s"


def test_it_hears_on_for_long_and_spots_the_phrase_at_the_end(tone_spotter: Spotter) -> None:
    talk = "what pressure for half inch plate " * 8
    assert len(frames(tones(spoken(talk)))) * 0.02 > 2 * RENEWED_S
    assert len(heard(tone_spotter, f"{talk}oxygen gauge")) == 1


# --- what counts ----------------------------------------------------------------------------------


def test_the_phrase_must_stay_for_a_moment() -> None:
    mouth = Mouth()
    spotter = Spotter(spotting_ear(mouth), PHRASES)
    spotter.begin()
    at = [n for n, f in enumerate(mouth.say("red kettle")) if spotter.accept(f, BOTH)]
    assert at == [29], "the second word begins with frame 20: looks at 24 and 29"


class LateEar(WordEar):
    """Knows only at the end what the last sounds were that are no word."""

    def partial(self) -> str:
        return super().partial().removesuffix("[unk]").strip()


@pytest.mark.parametrize(
    ("frames_behind", "counts"),
    [(0, True), (2, True), (3, True), (4, False), (10, False)],
)
def test_a_moment_of_sound_behind_an_outcry_is_no_talk(frames_behind: int, counts: bool) -> None:
    mouth = Mouth()
    only = ["red", "kettle", "stop", *EMERGENCY]
    spotter = Spotter(LateEar(mouth, only), PHRASES)
    spotter.begin()
    said = [*mouth.room(0.6), *mouth.say("flash"), *mouth.say("murmur")[:frames_behind]]
    found = [
        one.phrase.text
        for frame in [*said, *mouth.room(1.5)]
        if (one := spotter.accept(frame, EMERGENCIES)) is not None
    ]
    assert found == (["flash"] if counts else [])


def test_talk_that_goes_on_behind_a_moment_of_sound_is_waited_for() -> None:
    mouth = Mouth()
    spotter = Spotter(LateEar(mouth, ["red", "kettle", "stop", *EMERGENCY]), PHRASES)
    spotter.begin()
    said = [*mouth.room(0.6), *mouth.say("flash"), *mouth.say("murmur")[:3], *mouth.room(0.3)]
    said += [*mouth.say("murmur"), *mouth.room(1.0)]
    assert not any(spotter.accept(frame, EMERGENCIES) for frame in said)


@pytest.mark.parametrize(("seconds", "fits"), [(0.1, False), (0.5, True), (1.2, True), (4, False)])
def test_a_phrase_takes_the_time_that_a_mouth_needs(seconds: float, fits: bool) -> None:
    assert Phrase("red kettle", Spot.ATTENTION, (8, 8)).fits(seconds) is fits


def test_phrases_are_told_apart_by_what_they_are_for() -> None:
    found = phrases_in(state(("oxygen gauge", "attention"), ("fifty", "hush")))
    assert {(p.text, p.spot, p.phones) for p in found} == {
        ("oxygen gauge", Spot.ATTENTION, (10, 10)),
        ("fifty", Spot.HUSH, (5, 5)),
    }


def test_a_state_without_an_attention_phrase_is_refused() -> None:
    with pytest.raises(GrammarError, match="no attention phrase"):
        phrases_in(state(("fifty", "hush")))


def test_talk_may_stand_before_between_and_after() -> None:
    network = attention_network(state(("fifty", "hush")), ("AA", "B"), "[unk]", 0.5)
    assert Arc(0, 0, "[unk]", cost=0.5) in network.arcs
    assert Arc(1, 0) in network.arcs
    assert network.finals == ((0, 0.0),)
    assert dict(network.pronunciations)["[unk]"] == (("AA",), ("B",))


# --- the phrase that is shipped -------------------------------------------------------------------


@pytest.fixture(scope="module")
def shipped() -> tuple[Phrase, ...]:
    return phrases_in(load_grammar(shipped_folder("grammar"), "attention").word_network())


def test_the_shipped_phrase_has_three_syllables_and_its_words_their_sounds(
    shipped: tuple[Phrase, ...],
) -> None:
    network = load_grammar(shipped_folder("grammar"), "attention").word_network()
    spoken_as = dict(network.pronunciations)
    (phrase,) = (one for one in shipped if one.spot is Spot.ATTENTION)
    syllables = [
        sum(phone in VOWELS for phone in spoken_as[word][0]) for word in phrase.text.split()
    ]
    assert sum(syllables) >= 3


@pytest.mark.parametrize("state", ["attention", "request"])
def test_a_phrase_of_the_users_own_is_listened_for_alone_and_before_a_request(state: str) -> None:
    own = load_grammar(shipped_folder("grammar"), state, attention="acetylene beam")
    arcs = own.word_network().arcs
    ends = {arc.end for arc in arcs if arc.word == "acetylene"}
    assert any(arc.start in ends and arc.word == "beam" for arc in arcs)


def test_the_helpers_talk_is_ended_by_stop_and_be_quiet(shipped: tuple[Phrase, ...]) -> None:
    assert {one.text for one in shipped if one.spot is Spot.HUSH} == {"stop", "be quiet"}


def test_the_graph_of_the_shipped_state_is_tiny(tmp_path: Path) -> None:
    model = open_model(shipped_folder("models/shop-english"))
    load_spotter(
        model, load_grammar(shipped_folder("grammar"), "attention").word_network(), tmp_path
    )
    (graph,) = tmp_path.glob("*/graph/HCLG.fst")
    assert graph.stat().st_size < 100_000
