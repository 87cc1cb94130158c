"""Sound in, words out, through vosk and a compiled graph; the ear of `tone_ear` hears tones."""

import math
import os
import shutil
import socket
from array import array
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from handsfree.errors import ModelError
from handsfree.hear.model_folder import ModelFolder, ModelKind, open_model
from handsfree.hear.recogniser import Recogniser, recognise
from handsfree.hear.vosk_adapter import VoskRecogniser, load_recogniser
from handsfree.values import Sense
from tests.unit.hear.networks import network, spoken
from tests.unit.hear.tone_ear import PHONES, tones, write_tone_ear


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> ModelFolder:
    return open_model(write_tone_ear(tmp_path_factory.mktemp("ear")))


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="module")
def listen(ear: ModelFolder, cache: Path) -> Callable[..., VoskRecogniser]:
    def listening(*sentences: str) -> VoskRecogniser:
        return load_recogniser(ear, network(*sentences), cache)

    return listening


REQUESTS = (
    "what tip for half inch plate",
    "what tip for three quarter inch plate",
    "set oxygen pressure for three eighths plate",
    "acetylene pressure",
    "fifteen",
    "fifty",
    "a tip",
)


@pytest.mark.parametrize("text", REQUESTS)
@pytest.mark.parametrize("which", [0, 1])
def test_hears_each_sentence_in_each_pronunciation(
    listen: Callable[..., VoskRecogniser], text: str, which: int
) -> None:
    words = listen(*REQUESTS).recognise(tones(spoken(text, which)))
    assert words.text == text
    assert words.sureness > 0.9


def test_a_graph_of_one_sentence_decodes_exactly_that_and_at_no_cost(
    listen: Callable[..., VoskRecogniser],
) -> None:
    recogniser = listen("what tip for half inch plate")
    sound = tones(spoken("what tip for half inch plate"))
    recogniser.begin()
    recogniser.accept(sound)
    (reading,), seconds = recogniser.readings()
    assert reading.text == "what tip for half inch plate"
    assert reading.score == pytest.approx(0.0, abs=0.01)  # every tone is heard surely
    assert seconds == len(sound) / 2 / 16000


def test_talk_that_is_not_for_the_helper_becomes_unknown(
    listen: Callable[..., VoskRecogniser],
) -> None:
    talk = [["G", "IH", "V"], ["M", "IY"], ["DH", "AE", "T"], ["HH", "UH", "K"]]
    assert listen(*REQUESTS).recognise(tones(talk)).text == "[unk]"


def test_a_request_cut_short_is_not_taken_for_a_whole_one(
    listen: Callable[..., VoskRecogniser],
) -> None:
    words = listen("set oxygen pressure").recognise(tones(spoken("set oxygen")))
    assert words.text != "set oxygen pressure"


@pytest.mark.parametrize("sound", [b"", b"\0", bytes(200), bytes(32000), bytes(320_000)])
def test_silence_and_nothing_at_all_are_no_words(
    listen: Callable[..., VoskRecogniser], sound: bytes
) -> None:
    assert listen(*REQUESTS).recognise(sound).text == ""


def test_hesitations_between_words_are_passed_over(listen: Callable[..., VoskRecogniser]) -> None:
    recogniser = listen(*REQUESTS)
    for said in ("uh what tip for half inch plate", "what tip for um half inch uh plate"):
        assert recogniser.recognise(tones(spoken(said))).text == "what tip for half inch plate"


def test_pauses_inside_a_request_do_not_end_it(listen: Callable[..., VoskRecogniser]) -> None:
    slow = tones(spoken("what tip for half inch plate"), gap_ms=400)
    assert listen(*REQUESTS).recognise(slow).text == "what tip for half inch plate"


def test_tells_the_words_so_far(listen: Callable[..., VoskRecogniser]) -> None:
    recogniser = listen(*REQUESTS)
    assert recogniser.partial() == ""
    recogniser.begin()
    assert recogniser.partial() == ""
    whole = "what tip for half inch plate"
    sound = tones(spoken(whole)) + 2 * tones([])  # the last words come a second later
    told = []
    for at in range(0, len(sound), 6400):
        recogniser.accept(sound[at : at + 6400])
        told.append(recogniser.partial())
    assert any(whole.startswith(text) for text in told if text not in ("", whole))
    assert told[-1] == whole
    assert recogniser.finish().text == whole


def test_says_when_the_speaker_seems_to_have_finished(
    listen: Callable[..., VoskRecogniser],
) -> None:
    recogniser = listen(*REQUESTS)
    recogniser.begin()
    assert not recogniser.accept(tones(spoken("a tip")))
    assert any(recogniser.accept(tones([])) for _ in range(4))
    assert recogniser.finish().text == "a tip"


def test_utterances_do_not_touch_each_other(listen: Callable[..., VoskRecogniser]) -> None:
    recogniser = listen(*REQUESTS)
    recogniser.begin()
    recogniser.accept(tones(spoken("what tip")))
    recogniser.begin()
    recogniser.accept(tones(spoken("acetylene pressure")))
    assert recogniser.finish().text == "acetylene pressure"
    assert recogniser.finish().text == ""


def test_blocks_of_any_length_even_half_samples_are_heard_alike(
    listen: Callable[..., VoskRecogniser],
) -> None:
    recogniser = listen(*REQUESTS)
    sound = tones(spoken("a tip"))
    for step in (1111, 333, len(sound)):
        recogniser.begin()
        for at in range(0, len(sound), step):
            recogniser.accept(sound[at : at + step])
        assert recogniser.finish().text == "a tip"


def test_two_readings_alike_are_both_told_and_neither_is_sure(
    listen: Callable[..., VoskRecogniser],
) -> None:
    words = listen("half inch gauge", "half inch gage").recognise(tones(spoken("half inch gauge")))
    assert {words.text, *words.others} == {"half inch gauge", "half inch gage"}
    assert words.sureness < 0.7


def test_readings_that_mean_the_same_are_no_doubt_to_each_other(
    ear: ModelFolder, cache: Path
) -> None:
    def sense(text: str) -> Sense:
        return Sense(text.replace("gage", "gauge"))

    texts = network("half inch gauge", "half inch gage")
    words = load_recogniser(ear, texts, cache, sense).recognise(tones(spoken("half inch gauge")))
    assert words.others == ()
    assert words.sureness > 0.9


def test_a_common_form_wins_against_a_rare_one_that_sounds_alike(
    ear: ModelFolder, cache: Path
) -> None:
    costs = {"a gage": math.log(20), "a gauge": math.log(1.05)}
    recogniser = load_recogniser(ear, network(*costs, costs=costs), cache)
    assert recogniser.recognise(tones(spoken("a gage"))).text == "a gauge"


def test_meets_the_protocol_for_whole_recordings(listen: Callable[..., VoskRecogniser]) -> None:
    recogniser: Recogniser = listen(*REQUESTS)
    assert recognise(recogniser, tones(spoken("a tip"))).text == "a tip"


def test_a_broken_model_tells_the_librarys_reason_and_prints_nothing(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = write_tone_ear(tmp_path / "broken")
    model = folder / "am/final.mdl"
    model.write_bytes(model.read_bytes()[:500])
    with pytest.raises(ModelError, match="vosk cannot load the model in .*: .*[A-Za-z]") as fault:
        load_recogniser(open_model(folder), network("a tip"), tmp_path / "cache")
    assert "Failed to create a model" not in str(fault.value)  # that is not the reason
    assert capfd.readouterr() == ("", "")


def test_listening_prints_nothing(
    listen: Callable[..., VoskRecogniser], capfd: pytest.CaptureFixture[str]
) -> None:
    listen(*REQUESTS).recognise(tones(spoken("fifty")))
    assert capfd.readouterr() == ("", "")


def test_models_may_load_in_several_threads_and_the_error_stream_comes_back(
    ear: ModelFolder, cache: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    texts = network("a tip", "fifty")
    sound = tones(spoken("a tip"))
    load_recogniser(ear, texts, cache)

    def heard(_: int) -> str:
        return load_recogniser(ear, texts, cache).recognise(sound).text

    with ThreadPoolExecutor(4) as pool:
        assert set(pool.map(heard, range(8))) == {"a tip"}
    os.write(2, b"still here")
    assert capfd.readouterr() == ("", "still here")


def test_never_reaches_for_the_network(
    ear: ModelFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("the network was reached for")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    shutil.copytree(ear.path, tmp_path / "gone")
    gone = open_model(tmp_path / "gone")
    shutil.rmtree(tmp_path / "gone")
    with pytest.raises((ModelError, OSError)):
        load_recogniser(gone, network("a tip"), tmp_path / "cache")
    load_recogniser(ear, network("a tip"), tmp_path / "cache")


def test_a_stock_model_gets_phrases_and_the_filler_at_run_time(
    ear: ModelFolder, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    given: list[tuple[object, ...]] = []

    class Native:
        def __init__(self, *arguments: object) -> None:
            given.append(arguments)

        def SetMaxAlternatives(self, count: int) -> None:  # noqa: N802 - vosk's name
            pass

        def FinalResult(self) -> str:  # noqa: N802 - vosk's name
            return '{"alternatives": [{"text": "a tip", "confidence": 1.0}]}'

    monkeypatch.setattr("vosk.Model", lambda path: path)
    monkeypatch.setattr("vosk.KaldiRecognizer", Native)
    stock = ModelFolder(ear.path, ModelKind.STOCK)
    recogniser = load_recogniser(stock, network("a tip", "what tip"), tmp_path)
    for _ in range(3):
        recogniser.begin()
    assert recogniser.finish().text == "a tip"
    recogniser.begin()
    assert given == [(str(ear.path), 16000.0, '["a tip", "what tip", "[unk]"]')]  # read once


def test_full_scale_noise_is_not_a_request(listen: Callable[..., VoskRecogniser]) -> None:
    square = array("h", [32767, -32768] * 16000).tobytes()
    assert listen(*REQUESTS).recognise(square).text in {"", "[unk]"}


def test_the_made_up_ear_has_a_band_for_each_phone() -> None:
    assert len(PHONES) == len(set(PHONES)) == 39
