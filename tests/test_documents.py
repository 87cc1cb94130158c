"""What the documents say is true: phrases are understood, commands, options and paths exist."""

import re
import tomllib
from functools import cache
from pathlib import Path

import pytest

from handsfree.app import cli
from handsfree.engine import tables
from handsfree.pacing.pacing import OF_PACE
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.understand.answers import Answers
from handsfree.understand.grammar import load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import Answer, Fuel, NotUnderstood, Question, Request, Rig, Step, Words

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PACKAGE = ROOT / "handsfree"
FOLDERS = "|".join(
    ["handsfree", "grammar", "models", "tests", *(path.name for path in PACKAGE.iterdir())]
)
HELP = ROOT / "handsfree" / "app" / "help"
TOPICS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(HELP.glob("*.md"))}
TEXTS = {"README": README, **TOPICS}
"""What a user reads, by name."""


def led_in_by(words: str, text: str) -> list[str]:
    """The points of every list that these words lead in."""
    lists = re.findall(rf"{words}:\n\n((?:- .+\n)+)", text)
    return [point for points in lists for point in re.findall(r"^- (.+)$", points, re.MULTILINE)]


def examples(topic: str) -> list[str]:
    """The phrases that a topic says may be said."""
    return led_in_by("for example", TOPICS[topic])


def prose(text: str) -> str:
    """Without code, in which quotation marks are the shell's."""
    return re.sub(r"(?ms)^```.*?^```|^    .*?$|`[^`\n]*`", "", text)


def quoted(text: str) -> list[str]:
    """What stands in quotation marks: something to say, and nothing else."""
    return [" ".join(said.split()) for said in re.findall(r'"([^"]+)"', prose(text))]


PHRASES = led_in_by("Ten things to say", README)
STEEL = led_in_by("Say or type, for example", TOPICS["steel"])
LED = examples("steps")
EMERGENCIES = quoted(TOPICS["steps"].split("## An emergency")[1].split("start their list")[0])
PACE = examples("pace")


PARSERS = cli.parsers()
COMMANDS = frozenset(PARSERS) - {""}
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
    assert len(PACE) >= 10
    for phrase in PACE:
        understood = understanding().request(Words(phrase))
        assert isinstance(understood, Request), phrase
        assert understood.about in OF_PACE, phrase


@cache
def steps() -> tuple[Step, ...]:
    rigs = (Rig(), Rig(fuel=Fuel.PROPANE))
    lists = (tables.step_list(name, rig) for name in tables.step_list_names() for rig in rigs)
    return tuple({step for listed in lists for step in listed.steps})


@cache
def understanding() -> Understanding:
    return Understanding(load_grammar(ROOT / "grammar"))


@cache
def answers() -> Answers:
    return Answers(load_grammar(ROOT / "grammar", "answers"))


@pytest.mark.parametrize("name", TEXTS)
def test_whatever_a_document_says_can_be_said_is_understood(name: str) -> None:
    """As a request or a word that steers, or as an answer to some step of a list."""
    said = {*quoted(TEXTS[name]), *led_in_by("(?:for example|to say)", TEXTS[name])}
    lost = [
        phrase
        for phrase in sorted(said)
        if isinstance(understanding().request(Words(phrase.lower())), NotUnderstood)
        and not any(answers().of(Words(phrase.lower()), step) for step in steps())
    ]
    assert not lost


def test_the_talk_in_the_readme_is_what_the_program_says(tmp_path: Path) -> None:
    talk = re.findall(r"^He: (.+)\nIt: ((?:.+\n)+?)(?=He: |```)", README, re.MULTILINE)
    assert len(talk) >= 3
    session = Session(Settings(tmp_path))
    for says, answers_it in talk:
        assert " ".join(session.take(Words(says)).sentences) == " ".join(answers_it.split()), says


def test_the_readme_and_the_developers_guide_are_short() -> None:
    assert len(README.splitlines()) <= 200
    assert len(DEVELOPERS.splitlines()) <= 200


def test_the_readme_names_every_topic_of_the_help_and_no_other() -> None:
    table = README.split("## Read on")[1].split("For those who")[0]
    assert set(re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE)) == set(TOPICS)


def test_topics_send_only_to_topics_that_there_are() -> None:
    for name, text in TEXTS.items():
        assert set(re.findall(r"handsfree help ([a-z]+)", text)) <= set(TOPICS), name


def test_every_topic_begins_with_its_title() -> None:
    for name, text in TOPICS.items():
        assert re.match(r"# \w.+\n\n[\w`*]", text), name


@pytest.mark.parametrize("name", TOPICS)
def test_the_command_lists_and_shows_every_topic(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["help"]) == 0
    assert re.search(rf"^\W*{name}\b", capsys.readouterr().out, re.MULTILINE)
    assert cli.main(["help", name]) == 0
    assert TOPICS[name].splitlines()[0].lstrip("# ") in capsys.readouterr().out


def test_the_first_two_blocks_are_the_two_commands() -> None:
    blocks = re.findall(r"^```\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert blocks[0].startswith("echo ")  # a word of what happens, before a minute of it
    assert "pip install ." in blocks[0]  # and no -q, which is silent
    assert "handsfree ask" in blocks[0]
    assert blocks[1].strip().endswith("-m pytest -q -n 2")


@pytest.mark.parametrize("name", TEXTS)
def test_commands_and_options_that_are_named_exist(name: str) -> None:
    known = "".join(parser.format_help() for parser in PARSERS.values())
    text = TEXTS[name]
    for option in set(re.findall(r"`?(--[a-z]+(?:-[a-z]+)*)\b", text)):
        assert option in known, option
    named = set(re.findall(r"^ {4}(?:\.venv/bin/)?handsfree ([a-z][a-z-]*)", text, re.MULTILINE))
    named |= set(re.findall(r"`handsfree ([a-z][a-z-]*)", text))
    assert named <= COMMANDS


def test_every_command_is_in_the_topic_on_asking() -> None:
    for command in COMMANDS:
        assert f"handsfree {command}" in TOPICS["asking"], command


def test_options_of_the_command_line_are_in_the_topic_on_asking() -> None:
    named = set(re.findall(r"(--[a-z]+)\b", TOPICS["asking"]))
    assert {"--json", "--say", "--aloud", "--listen", "--more"} <= named


def test_paths_that_the_documents_name_exist() -> None:
    bench = (ROOT / "tests" / "bench" / "README.md").read_text(encoding="utf-8")
    grammar = (ROOT / "grammar" / "README.md").read_text(encoding="utf-8")
    for text in (DEVELOPERS, bench, grammar, *TEXTS.values()):
        linked = re.findall(r"\]\(([\w./-]+)(?:#[\w-]+)?\)", text) if text != bench else []
        for path in {*re.findall(rf"`((?:{FOLDERS})/[\w./*-]*)`", text), *linked}:
            assert any(any(base.glob(path)) for base in (ROOT, PACKAGE)), path


def test_files_that_the_developers_guide_names_without_a_folder_exist() -> None:
    for name in set(re.findall(r"`([\w*]+\.(?:py|yaml))`", DEVELOPERS)):
        assert any(any((ROOT / folder).rglob(name)) for folder in ("handsfree", "grammar")), name


def test_parts_of_a_document_that_are_linked_are_there() -> None:
    heads = re.findall(r"^#+ (.+)$", DEVELOPERS, re.MULTILINE)
    known = {re.sub(r"[^\w -]", "", head).lower().replace(" ", "-") for head in heads}
    assert set(re.findall(r"DEVELOPERS\.md#([\w-]+)", README)) <= known


def test_the_licence_is_what_the_metadata_says() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["license"] == "GPL-3.0-or-later AND BSD-2-Clause"
    assert all((ROOT / path).is_file() for path in project["license-files"])
    assert "GNU GENERAL PUBLIC LICENSE" in (ROOT / "handsfree/LICENSE").read_text("utf-8")


def test_top_level_holds_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "handsfree", "grammar", "models"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    made_by_tools = {"build", "dist", "screenshots"}
    assert found - made_by_tools <= agreed | {"tests"}
