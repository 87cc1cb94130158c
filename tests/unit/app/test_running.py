"""The helper as a user starts it, on a machine without sound: page and keys, start and end."""

import os
import signal
import socket
import sqlite3
import termios
from pathlib import Path
from signal import SIGHUP, SIGTERM

import pytest

from handsfree.app.attention import attention_network
from handsfree.errors import GrammarError
from handsfree.hear.wake import Spot, phrases_in
from handsfree.store.settings import Settings
from handsfree.values import Fuel
from tests.running_helper import RunningHelper


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """A home of the test's own, and no sound system."""
    return {
        **os.environ,
        "HANDSFREE_HOME": str(tmp_path / "kept"),
        "PULSE_SERVER": f"unix:{tmp_path / 'none'}",
        "XDG_RUNTIME_DIR": str(tmp_path),
    }


def test_without_sound_the_page_answers_and_says_what_is_missing(
    env: dict[str, str], tmp_path: Path
) -> None:
    with RunningHelper(env) as helper:
        helper.until_it_listens()
        helper.reach(lambda: {"microphone", "loudspeaker"} <= set(helper.faults()))
        assert helper.printed("^Microphone: none")
        assert helper.printed("^Loudspeaker: none")
        assert not helper.printed("^Listening"), "it cannot"
        told = [line for line in helper.complaints if "No sound system answers" in line]
        assert len(told) == 1, "one reason is told once"
        helper.reach(lambda: helper.page()["ear"] == "not listening")
        helper.ask("how fast on half inch plate")
        helper.reach(lambda: helper.kind() == "answer")
        assert helper.printed("Travel, twelve to fourteen")
        helper.ask("i'm on propane today")
        helper.reach(lambda: helper.printed("Shall I keep that"))
        helper.ask("yes")
        helper.reach(lambda: helper.printed("propane for fuel"))
        assert helper.end() == 0
        assert not helper.complained("Traceback")
    assert Settings(tmp_path / "kept").read().rig.fuel is Fuel.PROPANE
    with sqlite3.connect(tmp_path / "kept" / "logbook.sqlite") as base:
        assert base.execute("SELECT COUNT(*) FROM entries").fetchone() == (3,)
    base.close()


@pytest.mark.parametrize(
    "how",
    [signal.SIGINT, *(pytest.param(how, marks=pytest.mark.long) for how in (SIGTERM, SIGHUP))],
)
def test_it_ends_in_order_however_it_is_ended_and_leaves_the_terminal(
    env: dict[str, str], how: signal.Signals
) -> None:
    ours, theirs = os.openpty()
    try:
        before = termios.tcgetattr(theirs)
        with RunningHelper(env, "--no-page", stdin=theirs) as helper:
            helper.until_it_listens()
            assert helper.end(how) == 0
            assert not helper.complained("Traceback")
        assert termios.tcgetattr(theirs) == before
    finally:
        os.close(ours)
        os.close(theirs)


def test_it_can_be_ended_before_it_listens(env: dict[str, str]) -> None:
    with RunningHelper(env) as helper:
        helper.reach(lambda: helper.printed("Ctrl-C"))
        assert helper.end(signal.SIGINT) == 0


def test_without_a_microphone_typed_lines_are_requests_and_a_yes_answers(
    env: dict[str, str], tmp_path: Path
) -> None:
    ours, theirs = os.openpty()
    try:
        before = termios.tcgetattr(theirs)
        with RunningHelper(env, "--no-page", stdin=theirs, owns_terminal=True) as helper:
            assert helper.lines[:1] in ([], ["Starting. Ctrl-C ends the helper."])
            helper.reach(lambda: helper.printed("^No microphone works. Type a request"))
            assert not helper.printed("^(Listening|Keys)")
            os.write(ours, b"how fast on half inch plate\n")
            helper.reach(lambda: helper.printed("12-14 1/2 in/min +\\(memory\\)"))
            os.write(ours, b"i'm on propane today\n")
            helper.reach(lambda: helper.printed("Shall I keep that"))
            os.write(ours, b"yes\n")
            helper.reach(lambda: Settings(tmp_path / "kept").read().rig.fuel is Fuel.PROPANE)
            os.write(ours, b"\x03")
            assert helper.process.wait(20) == 0
        assert termios.tcgetattr(theirs) == before
    finally:
        os.close(ours)
        os.close(theirs)


@pytest.mark.long
def test_a_terminal_that_another_program_has_is_left_alone(env: dict[str, str]) -> None:
    ours, theirs = os.openpty()
    try:
        with RunningHelper(env, "--no-page", stdin=theirs) as helper:
            helper.until_it_listens()
            assert not helper.printed("^Keys: ")
            assert helper.end() == 0
    finally:
        os.close(ours)
        os.close(theirs)


def test_a_port_that_is_taken_is_told(env: dict[str, str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        with RunningHelper(env, "--port", port) as helper:
            assert helper.process.wait(60) == 1
            helper.reach(lambda: helper.complained("--port"))


def test_a_model_that_is_none_is_told(env: dict[str, str], tmp_path: Path) -> None:
    with RunningHelper(env, "--model", str(tmp_path / "none")) as helper:
        assert helper.process.wait(60) == 1
        helper.reach(lambda: helper.complained("There is no speech model"))


def test_where_the_recogniser_does_not_load_the_page_goes_on_and_says_what_to_do(
    env: dict[str, str], tmp_path: Path
) -> None:
    (tmp_path / "vosk.py").write_text(
        'raise OSError("libatomic.so.1: cannot open shared object file")', encoding="utf-8"
    )
    paths = [str(tmp_path), *filter(None, [env.get("PYTHONPATH")])]
    with RunningHelper({**env, "PYTHONPATH": os.pathsep.join(paths)}) as helper:
        helper.reach(lambda: helper.printed("^Page: "), 120.0)
        helper.reach(lambda: "sudo apt install libatomic1" in helper.faults().get("ears", ""))
        helper.reach(lambda: helper.complained("ears: .*sudo apt install libatomic1"))
        assert not helper.printed("^Listening")
        helper.ask("how fast on half inch plate")
        helper.reach(lambda: helper.kind() == "answer")
        assert helper.end() == 0
        assert not helper.complained("Traceback")


def _with_sound_settings(tmp_path: Path, text: str) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "sound.yaml").write_text(text, encoding="utf-8")


def test_an_attention_phrase_that_cannot_be_used_ends_it_with_the_reason(
    env: dict[str, str], tmp_path: Path
) -> None:
    _with_sound_settings(tmp_path, "attention: boss")
    with RunningHelper(env) as helper:
        assert helper.process.wait(60) == 1
        helper.reach(lambda: helper.complained("attention phrase 'boss'"))
        assert not helper.complained("Traceback")


@pytest.mark.parametrize(
    ("text", "told"), [("talk_rate: 3000", "talk_rate is 3000"), ("microphone: [", "set aside")]
)
def test_sound_settings_that_cannot_be_used_are_told_and_the_helper_runs(
    env: dict[str, str], tmp_path: Path, text: str, told: str
) -> None:
    _with_sound_settings(tmp_path, text)
    with RunningHelper(env) as helper:
        helper.reach(lambda: helper.complained(told), 60.0)
        assert sum(told in line for line in helper.complaints) == 1, "it is told once"
        assert helper.page()["faults"]
        assert helper.end() == 0
        assert not helper.complained("Traceback")


def test_the_attention_phrase_may_be_the_users_own() -> None:
    network = attention_network("oxygen gauge please")
    phrases = {phrase.text: phrase.spot for phrase in phrases_in(network)}
    assert phrases["oxygen gauge please"] is Spot.ATTENTION
    assert Spot.HUSH in phrases.values(), "what ends the talk stays"
    assert list(phrases.values()).count(Spot.ATTENTION) == 1


@pytest.mark.parametrize(("phrase", "told"), [("plate", "too short"), ("hey xyzzy", "xyzzy")])
def test_an_attention_phrase_that_cannot_do_is_refused(phrase: str, told: str) -> None:
    with pytest.raises(GrammarError, match=told):
        attention_network(phrase)
