"""The command line as a user or another program runs it."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.app.cli import main
from handsfree.app.commands import COMMANDS

ASK = "what do I set for three quarter plate with a quarter inch tip"


@pytest.fixture(autouse=True)
def own_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "kept"))


def test_prints_what_was_understood_a_few_figures_how_and_what_to_mind(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["ask", *ASK.split()]) == 0
    printed = capsys.readouterr().out
    for part in ("Understood: three quarter inch plate", "psi", "How: ", "Mind:", "(memory)"):
        assert part in printed
    assert printed.splitlines()[-1].endswith("sources: 15, --more shows them")
    assert len(printed.splitlines()) <= 20
    assert "\x1b" not in printed, "nobody sees colours in a pipe"


def test_prints_all_of_it_where_that_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "--more", *ASK.split()]) == 0
    printed = capsys.readouterr().out
    for part in ("Understood: three quarter inch plate", "Figures:", "Mind:", "Note:", "From:"):
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
    (usage,) = [line for line in capsys.readouterr().err.splitlines() if "usage" in line]
    command = f" {arguments[0]}" if arguments[0] in COMMANDS else ""
    assert usage.startswith(f"usage: handsfree{command} ")


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
    assert main(["ask", "help"]) == 0, "a reply was given"
    told = capsys.readouterr().err
    assert "kerosene" in told and "set aside" in told


def test_speaks_the_answer_into_a_file(tmp_path: Path) -> None:
    import wave

    file = tmp_path / "answer.wav"
    assert main(["ask", "how fast on half inch plate", "--say", str(file)]) == 0
    with wave.open(str(file)) as spoken:
        assert spoken.getnframes() / spoken.getframerate() > 3


@pytest.mark.decoding
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


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"two W12x26\nhalf \xbd inch plate\n", "line 2: it is no text in UTF-8"),
        (b"# up there\n\ntwo W12x26\nxyzzy\nhalf inch plate\n", "line 4 is no piece that I know"),
    ],
)
def test_a_list_names_the_line_that_could_not_be_read(
    content: bytes, line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    work = tmp_path / "work.txt"
    work.write_bytes(content)
    main(["take-up", str(work)])
    error = capsys.readouterr().err
    assert line in error
    assert str(work) in error


@pytest.mark.parametrize(
    "arguments",
    [
        ["take-up", "FOLDER/none.txt"],
        ["take-up", "FOLDER"],
        ["take-up", "FOLDER/raw"],
        ["hear", "FOLDER/none.wav"],
        ["hear", "FOLDER/raw"],
        ["hear", "FOLDER"],
        ["demo", "--script", "FOLDER/none.yaml", "--keep", "FOLDER"],
        ["demo", "--script", "FOLDER/raw", "--keep", "FOLDER"],
        ["ask", "half inch plate", "--say", "FOLDER/none/said.wav"],
        ["ask", "cut a w12x26 with a quarter inch tip", "--sketch", "FOLDER/none/cuts.svg"],
        ["record", "--csv", "FOLDER/none/record.csv"],
        ["record", "--logbook", "FOLDER/none.sqlite"],
    ],
)
def test_a_file_that_cannot_be_used_is_told_in_words_of_ours(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "raw").write_bytes(b"\xff\xfe\xbd")
    assert main([each.replace("FOLDER", str(tmp_path)) for each in arguments]) == 1
    error = capsys.readouterr().err
    assert error.startswith("handsfree: ")
    for raw in ("Errno", "FileNotFoundError", "codec", "Error(", "Traceback"):
        assert raw not in error


def test_nothing_heavy_is_loaded_before_the_first_line() -> None:
    asked = (
        "import sys, handsfree.app.cli as cli; from handsfree.app.commands import START;"
        "START.module; print(sorted({'pint', 'yaml', 'vosk', 'starlette'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
