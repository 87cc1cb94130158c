"""The README's phrases, spoken by the helper's own voice, are understood as when typed."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.app.cli import main
from handsfree.app.wiring import request_recogniser
from handsfree.audio.sound_file import read_wav
from handsfree.hear.recogniser import Recogniser, recognise
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.voice.voice import Voice, VoiceSettings
from tests.test_documents import PHRASES

SLOWLY = VoiceSettings(value_rate=140, talk_rate=140)


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    return Session(Settings(tmp_path_factory.mktemp("kept")))


@pytest.fixture(scope="module")
def recogniser(session: Session) -> Recogniser:
    return request_recogniser(session)


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    with Voice(SLOWLY) as found:
        yield found


WORK = (
    "how do i cut a w twelve by twenty six with a quarter inch tip",
    "four inch schedule forty pipe in place",
    "inch and a half shaft with a double ought",
    "will the oxygen do twelve of these",
    "how many w twelve by twenty six will it do",
    "going up six feet of half plate",
    "add two w twelve by twenty six",
    "what goes up",
    "done number two",
    "w ten by thirty three from one side",
    "saddle a four inch schedule forty pipe onto an eight inch header",
    "six by six by three eighths tube mitred at forty five",
    "burn a two inch hole in half inch plate",
)


@pytest.mark.decoding
@pytest.mark.parametrize("phrase", (*PHRASES, *WORK))
def test_every_phrase_of_the_readme_and_of_the_work_as_a_whole_is_heard(
    phrase: str, session: Session, recogniser: Recogniser, voice: Voice, tmp_path: Path
) -> None:
    file = tmp_path / "request.wav"
    voice.write_wav(file, [phrase])
    words = recognise(recogniser, read_wav(file).samples.data)
    session.start_afresh()
    assert session.means(words.text) == session.means(phrase), words


def test_a_recorded_request_is_answered_and_the_answer_spoken(
    voice: Voice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    request, answer = tmp_path / "request.wav", tmp_path / "answer.wav"
    voice.write_wav(request, [PHRASES[0]])
    assert main(["hear", str(request), "--json", "--say", str(answer)]) == 0
    reply = json.loads(capsys.readouterr().out)
    assert reply["kind"] == "answer"
    assert reply["request"]["thickness_mm"] == pytest.approx(19.05)
    assert 0.5 < reply["sureness"] < 1.0
    assert read_wav(answer).samples.seconds > 5
