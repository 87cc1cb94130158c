"""What the README says is true: its phrases are understood, its commands and options exist."""

import re
import tomllib
from pathlib import Path

import pytest

from handsfree.app import cli
from handsfree.pacing.pacing import OF_PACE
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.understand.grammar import load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import Answer, Question, Request, Words

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PHRASES = re.findall(
    r"^- (.+)$", README.split("Ten things to say:")[1].split("You need not")[0], re.MULTILINE
)
STEEL = re.findall(
    r"^- (.+)$", README.split("## Real steel")[1].split("`--sketch")[0], re.MULTILINE
)
LED = re.findall(
    r"^- (.+)$", README.split("## Steps aloud")[1].split("Answer with")[0], re.MULTILINE
)
EMERGENCIES = re.findall(r"\"([^\"]+)\"", README.split("**An emergency**")[1].split("start")[0])
PACE = re.findall(
    r"^- (.+)$",
    README.split("## Time, pace and practice")[1].split("**Times**")[0],
    re.MULTILINE,
)
ANSWERED_BY_A_QUESTION = frozenset({"I've got a number one tip, it's made for half inch plate"})
"""A change of the tip box waits for a yes."""


def test_there_are_ten_phrases() -> None:
    assert len(PHRASES) == 10


@pytest.mark.parametrize("phrase", PHRASES)
def test_every_phrase_of_the_readme_gets_its_answer(phrase: str, tmp_path: Path) -> None:
    reply = Session(Settings(tmp_path)).reply(Words(phrase))
    expected = Question if phrase in ANSWERED_BY_A_QUESTION else Answer
    assert isinstance(reply, expected), reply


def test_every_request_about_real_steel_gets_its_answer(tmp_path: Path) -> None:
    session = Session(Settings(tmp_path))
    assert len(STEEL) >= 9
    for phrase in STEEL:
        reply = session.reply(Words(phrase))
        assert isinstance(reply, Answer), (phrase, reply)


def test_every_list_that_is_named_is_led(tmp_path: Path) -> None:
    assert len(LED) >= 10
    assert len(EMERGENCIES) == 4
    for phrase in (*LED, *EMERGENCIES):
        session = Session(Settings(tmp_path), leads=True)
        session.turn(Words("stop the list"))
        led = session.turn(Words(phrase.lower())).told.led
        assert led is not None, phrase
        assert led.emergency is (phrase in EMERGENCIES)


def test_every_phrase_about_time_and_pace_is_understood_as_such() -> None:
    understanding = Understanding(load_grammar(ROOT / "grammar"))
    assert len(PACE) >= 10
    for phrase in PACE:
        understood = understanding.request(Words(phrase))
        assert isinstance(understood, Request), phrase
        assert understood.about in OF_PACE, phrase


def test_the_first_two_blocks_are_the_two_commands() -> None:
    blocks = re.findall(r"^```\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert "pip install" in blocks[0]
    assert "handsfree ask" in blocks[0]
    assert blocks[1].strip().endswith("-m pytest -q -n 2")


def test_commands_and_options_that_are_named_exist() -> None:
    known = "".join(parser.format_help() for parser in cli.parsers().values())
    for option in set(re.findall(r"`?(--[a-z]+)\b", README)):
        assert option in known, option
    for command in set(re.findall(r"^    handsfree ([a-z]+)", README, re.MULTILINE)):
        assert re.search(rf"\b{command}\b", known), command


def test_options_of_the_command_line_are_in_the_readme_or_its_help_only() -> None:
    named = set(re.findall(r"(--[a-z]+)\b", README))
    assert {"--json", "--say", "--aloud", "--listen", "--more"} <= named


def test_paths_that_the_developers_guide_names_exist() -> None:
    for path in set(re.findall(r"`((?:handsfree|grammar|models|tests)/[\w./-]*)`", DEVELOPERS)):
        assert (ROOT / path).exists(), path


def test_the_licence_is_what_the_metadata_says() -> None:
    metadata = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert metadata["project"]["license"]["text"] == "GPL-3.0-or-later"
    assert "GNU GENERAL PUBLIC LICENSE" in (ROOT / "handsfree/LICENSE").read_text("utf-8")


def test_top_level_holds_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "handsfree", "grammar", "models"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    made_by_tools = {"build", "dist", "screenshots"}
    assert found - made_by_tools <= agreed | {"tests"}
