"""Phrases said often are kept on disk, whole or not at all, and never past the store's size."""

import os
from pathlib import Path

import pytest

from handsfree.values import Samples
from handsfree.voice.speech_cache import VoiceStore
from handsfree.voice.voice import Voice, VoiceSettings

SOUND = Samples(bytes(range(256)) * 40, 22050)


def test_what_is_put_comes_back(tmp_path: Path) -> None:
    store = VoiceStore(tmp_path / "voice")
    assert store.get("ready") is None
    store.put("ready", SOUND)
    assert VoiceStore(tmp_path / "voice").get("ready") == SOUND
    assert store.get("again") is None


def test_the_store_never_grows_past_its_size_and_drops_the_longest_unused(tmp_path: Path) -> None:
    store = VoiceStore(tmp_path, largest=5 * len(SOUND.data))
    for number in range(4):
        store.put(str(number), SOUND)
        os.utime(store._path(str(number)), (1000 + number, 1000 + number))
    assert store.get("0") == SOUND  # used just now
    store.put("new", SOUND)
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 5 * len(SOUND.data)
    assert store.get("0") == SOUND
    assert store.get("new") == SOUND
    assert store.get("1") is None


def test_one_sound_does_not_fill_the_store(tmp_path: Path) -> None:
    VoiceStore(tmp_path, largest=2 * len(SOUND.data)).put("long", SOUND)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("broken", [b"", b"RIFF", b"no sound at all" * 9, None])
def test_a_broken_file_is_as_good_as_none(tmp_path: Path, broken: bytes | None) -> None:
    store = VoiceStore(tmp_path)
    store.put("ready", SOUND)
    (path,) = tmp_path.iterdir()
    path.write_bytes(path.read_bytes()[:-100] if broken is None else broken)
    assert store.get("ready") is None


def test_a_folder_that_cannot_be_made_costs_only_the_keeping(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = VoiceStore(tmp_path / "file" / "voice")
    store.put("ready", SOUND)
    assert store.get("ready") is None


def test_a_phrase_rendered_ahead_needs_no_process_later(tmp_path: Path) -> None:
    with Voice(store_folder=tmp_path) as voice:
        voice.render_ahead(["Say again?"])
        rendered = voice.render("Say again?")
        voice.render("This one is not kept.")
    assert len(list(tmp_path.iterdir())) == 1
    with Voice(store_folder=tmp_path, command=("/no/such/program",)) as voice:
        assert voice.render("Say again?") == rendered


def test_another_rate_pitch_or_voice_is_another_sound(tmp_path: Path) -> None:
    for settings in (
        VoiceSettings(),
        VoiceSettings(talk_rate=120),
        VoiceSettings(pitch=40),
        VoiceSettings(voice="en"),
    ):
        with Voice(settings, tmp_path) as voice:
            voice.render_ahead(["Ready."])
    assert len({path.read_bytes() for path in tmp_path.iterdir()}) == 4
