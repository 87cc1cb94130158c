"""Pictures and templates from the command line: written where they belong, refused where not."""

from pathlib import Path

import pytest

from handsfree.app.cli import main

PIPE = "settings for four inch schedule forty pipe"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "home"))


def test_draws_the_cuts_and_the_template_that_were_asked_for(tmp_path: Path) -> None:
    sketch, template = tmp_path / "cuts.svg", tmp_path / "band.svg"
    assert main(["ask", PIPE, "--sketch", str(sketch), "--template", str(template)]) == 0
    assert sketch.read_text().startswith("<svg") and template.read_text().startswith("<svg")


def test_writes_pdf_by_the_name_of_the_file(tmp_path: Path) -> None:
    pytest.importorskip("fpdf", reason="fpdf2 is not installed")
    template = tmp_path / "band.pdf"
    assert main(["ask", PIPE, "--template", str(template)]) == 0
    assert template.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("words", "option", "name", "says"),
    [
        ("settings for half inch plate", "--sketch", "cuts.svg", "no cut to draw"),
        ("settings for half inch plate", "--template", "band.pdf", "Only a round piece"),
        (PIPE, "--template", "band.docx", "end it in .pdf or .svg"),
        (PIPE, "--sketch", "nowhere/cuts.svg", "cannot be written"),
    ],
)
def test_says_what_to_do_where_nothing_can_be_drawn(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    words: str,
    option: str,
    name: str,
    says: str,
) -> None:
    assert main(["ask", words, option, str(tmp_path / name)]) == 1
    assert says in capsys.readouterr().err


def test_a_list_that_is_not_there_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["take-up", str(tmp_path / "none.txt")]) == 1
    assert "cannot be read" in capsys.readouterr().err
