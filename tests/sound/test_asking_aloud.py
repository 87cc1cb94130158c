"""A request spoken into a virtual microphone is answered aloud on a virtual loudspeaker."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.voice.voice import Voice, VoiceSettings
from tests.sound.conftest import SoundServer

pytestmark = pytest.mark.sound
REQUEST = "how fast on half inch plate"


@pytest.fixture(scope="module")
def spoken() -> Iterator[tuple[bytes, int]]:
    """The request as sound, with a second of room before and two after it."""
    with Voice(VoiceSettings(value_rate=140, talk_rate=140)) as voice:
        samples = voice.render(REQUEST)
    silence = bytes(2 * samples.rate)
    yield silence + samples.data + 2 * silence, samples.rate


def test_one_request_from_the_microphone_is_answered_aloud(
    server: SoundServer, spoken: tuple[bytes, int], tmp_path: Path
) -> None:
    env = {**server.env, "HANDSFREE_HOME": str(tmp_path / "kept")}
    asking = subprocess.Popen(
        [sys.executable, "-m", "handsfree.app.cli", "ask", "--listen", "--json", "--aloud"],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert asking.stderr is not None
    assert asking.stdout is not None
    with server.listen("ear") as ear, asking.stderr, asking.stdout:
        assert "Listening" in asking.stderr.readline()
        server.say("mouth", *spoken)
        reply = json.loads(asking.stdout.readline())
        assert reply["heard"] == REQUEST
        assert reply["kind"] == "answer"
        assert reply["values"][0]["name"] == "travel_speed"
        assert asking.wait(60) == 0
        assert any(ear.data), "the answer was not played"
