"""`check` tells what works and what to do; `help` prints sections that lie as files."""

import json
import socket
from pathlib import Path

import pytest

from handsfree.app import checks
from handsfree.app.checks import State
from handsfree.app.cli import main
from handsfree.app.commands import help as helping
from handsfree.errors import ModelError

PARTS = ["loudspeaker", "microphone", "recogniser", "model", "caches", "kept files", "logbook"]


@pytest.fixture(autouse=True)
def surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "kept"))
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path / 'none'}")
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))


def found(capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, dict[str, str]]:
    status = main(["check", "--json", "--port", "0", *options])
    parts = json.loads(capsys.readouterr().out)["parts"]
    assert [each["part"] for each in parts] == [*PARTS, "page"]
    assert all(each["told"] for each in parts)
    return status, {each["part"]: each["state"] for each in parts}


def test_without_sound_it_says_so_and_all_else_works(capsys: pytest.CaptureFixture[str]) -> None:
    status, states = found(capsys)
    assert status == 0
    assert {part for part, state in states.items() if state == State.NO_SOUND} == set(PARTS[:2])
    assert {states[part] for part in (*PARTS[2:], "page")} == {State.WORKS}


def broken_settings(folder: Path, patched: pytest.MonkeyPatch) -> list[str]:
    (folder / "kept").mkdir()
    (folder / "kept/tips-and-rig.yaml").write_text("rig: [", encoding="utf-8")
    return []


def broken_logbook(folder: Path, patched: pytest.MonkeyPatch) -> list[str]:
    (folder / "kept").mkdir()
    (folder / "kept/logbook.sqlite").write_bytes(b"no logbook" * 100)
    return []


def no_model(folder: Path, patched: pytest.MonkeyPatch) -> list[str]:
    return ["--model", str(folder / "none")]


def no_cache(folder: Path, patched: pytest.MonkeyPatch) -> list[str]:
    (folder / "plain").write_text("", encoding="utf-8")
    patched.setattr(checks, "cache_folder", lambda: folder / "plain/cache")
    return []


def no_recogniser(folder: Path, patched: pytest.MonkeyPatch) -> list[str]:
    patched.setattr(
        "handsfree.hear.vosk_library.recogniser_fault", lambda: ModelError("Install libabc1.")
    )
    return []


@pytest.mark.parametrize(
    ("part", "breaks"),
    [
        ("kept files", broken_settings),
        ("logbook", broken_logbook),
        ("model", no_model),
        ("caches", no_cache),
        ("recogniser", no_recogniser),
    ],
)
def test_what_is_broken_is_a_fault_of_its_part_alone(
    part: str,
    breaks: object,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert callable(breaks)
    status, states = found(capsys, *breaks(tmp_path, monkeypatch))
    assert status == 1
    assert [each for each, state in states.items() if state == State.FAULT] == [part]


def test_a_port_that_is_taken_is_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        assert main(["check", "--port", str(taken.getsockname()[1])]) == 1
    printed = capsys.readouterr().out
    assert "choose another with --port" in " ".join(printed.split())
    assert printed.splitlines()[-1] == "Mend what is marked as a fault: page."
    assert printed.splitlines()[0] == "Looking at each part."


@pytest.fixture
def sections(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "talking.md").write_text("# How to talk to it\n\nSay it.\n", encoding="utf-8")
    (tmp_path / "page.md").write_text("# The page\n\nOpen it.\n", encoding="utf-8")
    monkeypatch.setattr(helping, "topics", lambda: topics(tmp_path))
    return tmp_path


topics = helping.topics


def test_help_lists_its_sections_with_their_titles(
    sections: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["help"]) == 0
    assert capsys.readouterr().out.splitlines()[1:] == [
        "  page     The page",
        "  talking  How to talk to it",
    ]


def test_help_prints_one_section(sections: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help", "Talking"]) == 0
    assert capsys.readouterr().out == "# How to talk to it\n\nSay it.\n"


def test_help_tells_the_section_that_was_meant(
    sections: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["help", "takling"])
    assert caught.value.code == 2
    assert "Did you mean talking?" in capsys.readouterr().err
