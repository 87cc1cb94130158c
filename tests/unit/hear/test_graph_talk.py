"""The filler holds common words beside plain phones, and what they cost is what is told."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.errors import ModelError
from handsfree.hear.graph import compile_graph
from handsfree.hear.graph_talk import TalkStates, talk_states, talk_words
from handsfree.hear.model_folder import ModelFolder, open_model
from handsfree.hear.vosk_adapter import load_recogniser
from tests.unit.hear.graph_reader import read_graph, sentences, words_of
from tests.unit.hear.networks import network
from tests.unit.hear.tone_ear import tones, write_tone_ear

TALK = "give G IH V\nme M IY\ntip T IH P\n"
SAID = [["G", "IH", "V"], ["M", "IY"]]
KNOWN = {phone: at for at, phone in enumerate("ABCD")}


@pytest.fixture
def ear(tmp_path: Path) -> ModelFolder:
    folder = write_tone_ear(tmp_path / "ear")
    (folder / "talk.txt").write_text(f"# words of talk\n{TALK}")
    return replace(open_model(folder), talk_word_cost=4.0)


def all_words(states: TalkStates, state: int = 0, so_far: str = "") -> set[str]:
    """Every word along the tree."""
    found = set()
    for phone, to, ends in states[state] if states else ():
        word = so_far + "ABCD"[phone]
        found |= {word} if ends else set()
        found |= all_words(states, to, word) if to else set()
    return found


@given(st.sets(st.text("ABCD", min_size=1, max_size=5), max_size=20))
def test_the_tree_holds_every_word_and_no_other(words: set[str]) -> None:
    assert all_words(talk_states(words, KNOWN)) == words


def test_words_that_end_alike_share_their_ends() -> None:
    assert len(talk_states(["ACD", "BCD"], KNOWN)) == 3


def test_a_word_with_a_phone_that_is_not_known_is_left_out() -> None:
    assert all_words(talk_states(["AB", "AX"], KNOWN)) == {"AB"}


def test_reads_the_ways_to_say_words_of_talk(ear: ModelFolder) -> None:
    assert talk_words(ear.path) == (("G", "IH", "V"), ("M", "IY"), ("T", "IH", "P"))


def test_a_folder_without_words_of_talk_has_none(tmp_path: Path) -> None:
    assert talk_words(tmp_path) == ()


def test_names_the_line_that_is_no_word_of_talk(tmp_path: Path) -> None:
    (tmp_path / "talk.txt").write_text("me M IY\ngive\n")
    with pytest.raises(ModelError, match=r"talk.txt, line 2: give.*Install"):
        talk_words(tmp_path)


def test_a_word_of_talk_costs_what_the_model_says(ear: ModelFolder, tmp_path: Path) -> None:
    model = replace(ear, filler_start_cost=2.0)
    folder = compile_graph(network("a tip"), model, tmp_path / "c", (("M", "IY"),))
    said = sentences(read_graph(folder / "graph/HCLG.fst"), words_of(folder), ("[uh]",))
    assert said["[unk]"] == pytest.approx(6.0)  # to begin and one word, where a phone costs 30
    assert said["a tip"] == pytest.approx(0.0)


def test_without_a_cost_for_words_the_filler_is_phones_alone(
    ear: ModelFolder, tmp_path: Path
) -> None:
    talk = talk_words(ear.path)
    plain = replace(ear, talk_word_cost=None)
    bare = compile_graph(network("a tip"), plain, tmp_path / "c")
    with_words = compile_graph(network("a tip"), plain, tmp_path / "other", talk)
    graph = "graph/HCLG.fst"
    assert (bare / graph).read_bytes() == (with_words / graph).read_bytes()


def test_talk_of_common_words_is_heard_by_the_word(ear: ModelFolder, tmp_path: Path) -> None:
    recogniser = load_recogniser(ear, network("a tip", "half inch"), tmp_path / "c")
    recogniser.begin()
    recogniser.accept(tones(SAID))
    readings, _ = recogniser.readings()
    assert readings[0].text == "[unk]"
    assert readings[0].score == pytest.approx(-8.0 * 0.9, abs=0.1)  # vosk counts nine tenths


def test_talk_of_other_sounds_is_still_heard_by_the_phone(ear: ModelFolder, tmp_path: Path) -> None:
    recogniser = load_recogniser(ear, network("a tip"), tmp_path / "c")
    recogniser.begin()
    recogniser.accept(tones([["HH", "UH", "K"]]))
    readings, _ = recogniser.readings()
    assert readings[0].text == "[unk]"
    assert readings[0].score == pytest.approx(-90.0 * 0.9, abs=0.1)


def test_words_of_talk_do_not_change_what_a_request_is_heard_as(
    ear: ModelFolder, tmp_path: Path
) -> None:
    (ear.path / "talk.txt").write_text("a AH\ntip T IH P\n")
    recogniser = load_recogniser(ear, network("a tip", "half inch"), tmp_path / "c")
    assert recogniser.recognise(tones([["AH"], ["T", "IH", "P"]])).text == "a tip"
