"""The command line as a user or another program runs it."""

import io
import json
import sys
from pathlib import Path

import pytest

from handsfree.app.cli import main

ASK = "what do I set for three quarter plate with a quarter inch tip"


@pytest.fixture(autouse=True)
def own_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "kept"))


def test_prints_what_was_understood_the_figures_cautions_and_sources(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["ask", *ASK.split()]) == 0
    printed = capsys.readouterr().out
    for part in ("Understood: three quarter inch plate", "Figures:", "Mind:", "From:", "psi"):
        assert part in printed


def test_json_has_the_agreed_names(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "--json", ASK]) == 0
    reply = json.loads(capsys.readouterr().out)
    assert reply["heard"] == ASK
    assert reply["kind"] == "answer"
    assert reply["request"]["about"] == "setting"
    assert reply["request"]["thickness_mm"] == pytest.approx(19.05)
    assert reply["request"]["fuel"] == "acetylene"
    assert reply["request"]["shape"] == "plate"
    oxygen = next(value for value in reply["values"] if value["name"] == "oxygen_pressure")
    assert set(oxygen) >= {"name", "low", "high", "unit", "source", "status"}
    assert oxygen["unit"] == "psi"
    assert {"understood", "say", "cautions", "sources"} <= set(reply)


def test_a_refusal_is_a_reply(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "--json", "settings for half inch stainless plate"]) == 0
    assert json.loads(capsys.readouterr().out)["kind"] == "refusal"


def test_many_requests_one_a_line_in_order(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = (
        b"how fast on half inch plate\n\n\xff\xfe nonsense \x00\nlight it with a match\nhalf inch"
    )
    fake = io.TextIOWrapper(io.BytesIO(lines), encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", fake)
    assert main(["ask", "--json", "-"]) == 0
    kinds = [json.loads(line)["kind"] for line in capsys.readouterr().out.splitlines()]
    assert kinds == ["answer", "not_understood", "not_understood", "refusal", "answer"]


class Terminal(io.StringIO):
    """Somebody who types."""

    def isatty(self) -> bool:
        return True


def kept(tmp_path: Path) -> list[Path]:
    return list((tmp_path / "kept").glob("tips-and-rig*"))


def test_a_change_in_one_command_keeps_nothing_and_says_how_to_say_yes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n"))
    assert main(["ask", "i'm on propane today"]) == 0
    printed = capsys.readouterr()
    assert "Shall I keep that?" in printed.out and "Nothing was kept" in printed.err
    assert not kept(tmp_path)


@pytest.mark.parametrize(("typed", "is_kept"), [("yes\n", True), ("no\n", False), ("", False)])
def test_a_change_is_kept_once_yes_is_typed_on_the_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str, is_kept: bool
) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal(typed))
    assert main(["ask", "i'm on propane today"]) == 0
    assert bool(kept(tmp_path)) == is_kept


@pytest.mark.parametrize(
    "arguments",
    [
        ["--port", "x"],
        ["--microphone"],
        ["ask"],
        ["ask", "-"],
        ["ask", "--listen", "half"],
        ["sing"],
        ["hear"],
        ["page", "--port", "x"],
    ],
)
def test_wrong_use_is_status_two(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


@pytest.mark.parametrize(
    "words",
    [
        "",
        " ",
        "minus two inch plate",
        "\x00\x1b[2J\x07",
        "plate " * 10_000,
        "½" * 5000,
        "-5 in plate",
    ],
)
def test_nonsense_gets_a_clear_sentence(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "--json", words]) == 0
    captured = capsys.readouterr()
    reply = json.loads(captured.out)
    assert reply["kind"] in ("not_understood", "question")
    assert reply["say"]
    assert "Traceback" not in captured.err


def test_control_characters_never_reach_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "\x1b[2J half inch plate \x07"]) == 0
    assert not [c for c in capsys.readouterr().out if not c.isprintable() and c != "\n"]


def test_a_missing_recording_is_told_without_a_trace(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["hear", str(tmp_path / "none.wav")]) == 1
    error = capsys.readouterr().err
    assert error.startswith("handsfree: ")
    assert "none.wav" in error


def test_a_broken_settings_file_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept = tmp_path / "kept" / "tips-and-rig.yaml"
    kept.parent.mkdir()
    kept.write_text("rig: {fuel: kerosene}", encoding="utf-8")
    assert main(["ask", "help"]) == 1
    assert "kerosene" in capsys.readouterr().err


def test_speaks_the_answer_into_a_file(tmp_path: Path) -> None:
    import wave

    file = tmp_path / "answer.wav"
    assert main(["ask", "how fast on half inch plate", "--say", str(file)]) == 0
    with wave.open(str(file)) as spoken:
        assert spoken.getnframes() / spoken.getframerate() > 3


def test_a_recording_that_is_clipped_or_silent_is_told_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import wave

    sounds = {
        "clipped": (b"\xff\x7f" * 40 + b"\x00\x80" * 40) * 300,
        "silent": bytes(2 * 24_000),
    }
    for name, samples in sounds.items():
        file = tmp_path / f"{name}.wav"
        with wave.open(str(file), "wb") as sound:
            sound.setnchannels(1)
            sound.setsampwidth(2)
            sound.setframerate(16_000)
            sound.writeframes(samples)
        assert main(["hear", "--json", str(file)]) == 0
        captured = capsys.readouterr()
        assert json.loads(captured.out)["kind"] == "not_understood"
        assert "microphone" in captured.err.lower(), name
