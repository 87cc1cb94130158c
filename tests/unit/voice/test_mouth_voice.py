"""The mouth with the real voice: whatever becomes of its process, the talk goes on."""

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import espeak_english
import pytest

from handsfree.audio.speaker import Speaker
from handsfree.values import Failed, Mended, Part, Spoken
from handsfree.voice import mouth as mouth_module
from handsfree.voice.mouth import Mouth, MouthEvent
from handsfree.voice.synthesis_pipe import default_command
from handsfree.voice.voice import Voice
from tests.unit.voice.mouths import LoudSystem, until

# What the voice process does instead of its work while the file `broken` is there.
FAULTS = {
    "hangs": "import time; time.sleep(60)",
    "dies": "sys.exit(1)",
    "talks nonsense": "print('Audio saved to sentence.wav', flush=True); input()",
    "has no voice data": "os.environ['PYTHONPATH'] = str(broken.parent)",
}


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """Beside it lies a copy of the voice without its data."""
    source = Path(espeak_english.__file__).parent
    there = tmp_path / "espeak_english"
    shutil.copytree(source, there, ignore=shutil.ignore_patterns("phon*", "__pycache__"))
    return tmp_path / "broken"


@pytest.fixture
def events(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[MouthEvent]]:
    monkeypatch.setattr(mouth_module, "TRY_AGAIN_S", 0.1)
    monkeypatch.setattr(mouth_module, "TRY_LATEST_S", 0.2)  # nor ever more seldom
    yield []


def command(fault: str, broken: Path) -> tuple[str, ...]:
    code = (
        "import os, sys, pathlib\n"
        f"broken = pathlib.Path({str(broken)!r})\n"
        f"if broken.exists(): {FAULTS[fault]}\n"
        f"command = [*{[part for part in default_command() if part != '-P']!r}, sys.argv[1]]\n"
        "os.execv(command[0], command)\n"
    )
    return (sys.executable, "-c", code)


@pytest.mark.parametrize("fault", FAULTS)
def test_a_voice_that_fails_is_told_within_seconds_and_found_when_it_is_mended(
    fault: str, broken: Path, events: list[MouthEvent]
) -> None:
    broken.touch()
    # Only one that hangs is waited out; the others must not be taken to hang on a busy machine.
    voice = Voice(command=command(fault, broken), patience_s=0.5 if fault == "hangs" else 30.0)
    with Mouth(voice, Speaker(LoudSystem()), events.append) as mouth:
        mouth.say(["Set it so."], 1)
        until(lambda: Spoken(False, 1) in events)
        failed = events[0]
        assert isinstance(failed, Failed)
        assert failed.part is Part.VOICE
        assert "The answer is still shown" in failed.sentence
        broken.unlink()
        voice._patience_s = 30.0
        until(lambda: Mended(Part.VOICE) in events, 60.0)
        mouth.say(["Set it so."], 2)
        until(lambda: Spoken(True, 2) in events)


def test_a_voice_process_that_is_killed_in_mid_answer_costs_nothing(
    events: list[MouthEvent],
) -> None:
    voice = Voice()
    with Mouth(voice, Speaker(LoudSystem()), events.append) as mouth:
        mouth.say(["Ready.", "Set it so.", "Keep it upright.", "Watch below.", "More?"], 1)
        until(lambda: voice._process is not None)
        assert voice._process is not None
        voice._process.kill()
        until(lambda: bool(events))
        assert events == [Spoken(True, 1)]


def test_closing_does_not_wait_for_a_voice_that_hangs(
    broken: Path, events: list[MouthEvent]
) -> None:
    broken.touch()
    voice = Voice(command=command("hangs", broken), patience_s=60.0)
    mouth = Mouth(voice, Speaker(LoudSystem()), events.append)
    mouth.say(["Ready."], 1)
    until(lambda: voice._process is not None)
    mouth.close()
    assert events == [Spoken(False, 1)]
    assert not any(thread.is_alive() for thread in mouth._threads)


@pytest.mark.skipif(not os.access("/dev/shm", os.W_OK), reason="no folder in memory here")
def test_a_full_disk_does_not_silence_the_voice(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, events: list[MouthEvent]
) -> None:
    """Its sentences pass through memory; what is kept between runs is a convenience."""
    monkeypatch.setenv("TMPDIR", str(tmp_path / "no such folder"))
    store = tmp_path / "file"
    store.write_text("in the way of a folder")
    with Mouth(Voice(store_folder=store), Speaker(LoudSystem()), events.append) as mouth:
        mouth.warm(["More?"])
        mouth.say(["Set it so."], 1)
        until(lambda: bool(events))
        assert events == [Spoken(True, 1)]
