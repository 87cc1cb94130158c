"""Our own acoustic model with the real grammar's graph, heard through the voice of the install.

That voice took part in training: this shows that the parts fit together. How well strangers are
heard is measured by tests/bench/hearing.py.
"""

import json
from array import array
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.audio.resample import resample
from handsfree.hear.model_folder import open_model
from handsfree.hear.vosk_adapter import VoskRecogniser, load_recogniser
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.voice.voice import Voice
from tests.unit.hear.networks import network

MODEL = Path(__file__).parents[3] / "models/shop-english"
CARD = json.loads((MODEL / "model.json").read_text()) if (MODEL / "model.json").is_file() else {}

pytestmark = [
    pytest.mark.decoding,
    pytest.mark.skipif(
        not (MODEL / "am/final.mdl").is_file(),
        reason="models/shop-english/am/final.mdl is not there",
    ),
]
REQUESTS = (
    "what do i set for three quarter plate",
    "how fast for half inch plate",
    "what tip for one inch plate",
    "oxygen pressure for half inch plate",
    "help",
)


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    with Voice() as started:
        yield started


@pytest.fixture(scope="module")
def requests(tmp_path_factory: pytest.TempPathFactory) -> VoskRecogniser:
    grammar = load_grammar(shipped_folder("grammar"))
    cache = tmp_path_factory.mktemp("graphs")
    return load_recogniser(open_model(MODEL), grammar.word_network(), cache)


def at_16_khz(voice: Voice, text: str) -> bytes:
    (said,) = voice.render_all([text])
    return resample(array("h", said.data), said.rate, 16_000).tobytes()


def test_a_graph_of_one_sentence_gives_that_sentence_or_nothing(
    voice: Voice, tmp_path: Path
) -> None:
    without_filler = replace(open_model(MODEL), filler_cost=1000.0, talk_word_cost=None)
    recogniser = load_recogniser(without_filler, network("what tip for half inch plate"), tmp_path)
    heard = recogniser.recognise(at_16_khz(voice, "what tip for half inch plate"))
    assert {heard.text, *heard.others} <= {"what tip for half inch plate", ""}


@pytest.mark.skipif("sureness" not in CARD, reason="the model is not finished: no sureness in card")
@pytest.mark.parametrize("text", REQUESTS)
def test_hears_requests_in_the_voice_of_the_install(
    requests: VoskRecogniser, voice: Voice, text: str
) -> None:
    assert requests.recognise(at_16_khz(voice, text)).text == text


@pytest.mark.skipif("sureness" not in CARD, reason="the model is not finished: no sureness in card")
def test_silence_is_no_request(requests: VoskRecogniser) -> None:
    assert requests.recognise(bytes(64_000)).text in {"", "[unk]"}
