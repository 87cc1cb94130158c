"""What is typed after a command: the word that was meant, and values that begin with a minus."""

import argparse

import pytest

from handsfree.app.arguments import CommandParser
from handsfree.app.cli import main, parsers
from handsfree.app.commands import COMMANDS

PARSERS = parsers()
OPTIONS = [
    (command, name)
    for command, parser in PARSERS.items()
    for action in parser._actions
    for name in action.option_strings
    if len(name) > 5
]
TAKE_A_VALUE = [
    (command, action.option_strings[0])
    for command, parser in PARSERS.items()
    for action in parser._actions
    if action.option_strings and action.nargs is None and action.type is None
]


def refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    return capsys.readouterr().err


def called(command: str) -> list[str]:
    return [command] if command else []


@pytest.mark.parametrize(("command", "option"), OPTIONS)
def test_a_mistyped_option_is_told_with_the_one_that_was_meant(
    command: str, option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    mistyped = f"{option[:-2]}{option[-1]}{option[-2]}x"
    file = ["file"] if command in ("hear", "take-up") else []
    error = refused([*called(command), *file, mistyped], capsys)
    assert f"there is no option {mistyped}. Did you mean {option}?" in error
    assert error.count("usage:") == 1
    assert len(error.splitlines()) == 2


@pytest.mark.parametrize("command", COMMANDS)
def test_a_mistyped_command_is_told_with_the_one_that_was_meant(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    error = refused([command[1:] + command[0]], capsys)
    assert f"Did you mean {command}?" in error


def test_words_without_a_command_are_told_how_to_ask(capsys: pytest.CaptureFixture[str]) -> None:
    assert "handsfree ask" in refused(["what", "do", "i", "set"], capsys)


def test_a_command_after_options_is_told_to_come_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the command comes first" in refused(["--port", "1", "ask", "x"], capsys)


@pytest.mark.parametrize(("command", "option"), TAKE_A_VALUE)
@pytest.mark.parametrize("value", ["-5", "-20 F", "-x", "-half", "-"])
def test_the_value_of_an_option_may_begin_with_a_minus(
    command: str, option: str, value: str
) -> None:
    file = ["file"] if command in ("hear", "take-up") else []
    given = PARSERS[command].parse_args([*file, option, value])
    kept = getattr(given, option[2:].replace("-", "_"))
    assert kept in (value, [value])


@pytest.mark.parametrize("words", [["-20", "F"], ["is", "-5F", "ok"], ["-half"], ["--", "-20 F"]])
def test_words_may_begin_with_a_minus(words: list[str]) -> None:
    given = PARSERS["ask"].parse_args(words)
    assert given.words == [word for word in words if word != "--"]
    assert given.json is False


def test_one_minus_before_the_name_of_an_option_is_no_word(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "Did you mean --json?" in refused(["ask", "-json", "half"], capsys)


def test_a_word_too_many_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "'b' is one word too many" in refused(["hear", "a", "b"], capsys)


def test_the_parser_takes_a_namespace_of_its_own() -> None:
    parser = CommandParser("x", "told")
    parser.add_argument("--deep", action="store_true")
    assert parser.parse_args(["--deep"], argparse.Namespace(y=1)) == argparse.Namespace(
        y=1, deep=True
    )
