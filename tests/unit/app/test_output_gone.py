"""The helper outlives whoever reads its lines: it answers on, and tells once that they are lost."""

import os
import socket
import threading
from contextlib import suppress
from pathlib import Path

import pytest

from handsfree.app.printing import MOST_WAITING, Printing
from handsfree.app.terminal import Terminal
from handsfree.values import Failed, Mended, Part, TurnEvent
from tests.running_helper import RunningHelper


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    return {
        **os.environ,
        "HANDSFREE_HOME": str(tmp_path / "kept"),
        "PULSE_SERVER": f"unix:{tmp_path / 'none'}",
        "XDG_RUNTIME_DIR": str(tmp_path),
    }


def free_port() -> int:
    """A port that no other worker of this run chooses, and no system gives to whoever wants any."""
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    for port in range(20_000 + 100 * worker, 20_100 + 100 * worker):
        with suppress(OSError), socket.create_server(("127.0.0.1", port)):
            return port
    raise AssertionError("a hundred ports are taken")


@pytest.mark.parametrize("streams", [pytest.param("stdout", marks=pytest.mark.long), "both"])
def test_the_helper_answers_on_when_the_reader_of_its_lines_goes(
    env: dict[str, str], streams: str
) -> None:
    with RunningHelper(env) as helper:
        helper.reach(lambda: helper.printed("^Page"), 60.0)
        helper.stop_reading(errors=streams == "both")
        for asked, kind in (
            ("how fast on half inch plate", "answer"),
            ("light it with a match", "refusal"),
            ("what about three quarter plate", "refusal"),
            ("yes", "answer"),  # a friction lighter is at hand
        ):
            helper.ask(asked)
            helper.reach(lambda kind=kind: helper.kind() == kind)  # type: ignore[misc]
            assert "session" not in helper.faults()
        helper.reach(lambda: "has gone" in helper.faults().get("terminal", ""))
        assert helper.end() == 0
        assert not helper.complained("Traceback|Exception ignored")
        if streams == "stdout":
            assert sum("terminal: " in line for line in helper.complaints) == 1


@pytest.mark.long
@pytest.mark.parametrize("redirect", [">&-", ">&- 2>&- <&-", ">/dev/full 2>&1"])
def test_the_helper_runs_without_a_place_for_its_lines(
    env: dict[str, str], redirect: str, tmp_path: Path
) -> None:
    with RunningHelper(env, port=free_port(), redirect=redirect) as helper:
        helper.reach(helper.answers, 60.0)
        helper.ask("how fast on half inch plate")
        helper.reach(lambda: helper.kind() == "answer")
        assert ("terminal" in helper.faults()) == ("full" in redirect)
        assert "session" not in helper.faults()
        assert helper.end() == 0
    assert (tmp_path / "kept" / "logbook.sqlite").read_bytes()[:6] == b"SQLite"


class Held(Terminal):
    """A terminal that takes nothing until it is let; then it refuses as often as it is told to."""

    def __init__(self) -> None:
        super().__init__()
        self.go_on = threading.Event()
        self.refuses = 0
        self.lines: list[str] = []

    def say(self, text: str) -> bool:
        self.go_on.wait(10)
        if self.refuses:
            self.refuses -= 1
            self.fault = OSError(28, "No space left on device")
            return False
        self.lines.append(text)
        return True


def test_a_terminal_that_is_held_up_holds_up_nobody_and_costs_the_oldest_lines() -> None:
    terminal = Held()
    with Printing(terminal) as printing:
        for number in range(MOST_WAITING + 50):
            printing.tell(str(number))
        terminal.go_on.set()
    assert len(terminal.lines) in (MOST_WAITING, MOST_WAITING + 1)
    assert terminal.lines[-1] == str(MOST_WAITING + 49)


def test_that_lines_are_lost_is_told_once_and_that_they_are_not_any_more() -> None:
    terminal, told = Held(), list[TurnEvent]()
    terminal.refuses = 3
    terminal.go_on.set()
    with Printing(terminal) as printing:
        printing.report_to(told.append)
        for number in range(6):
            printing.tell(str(number))
    assert terminal.lines == ["3", "4", "5"]
    failed, mended = told
    assert isinstance(failed, Failed)
    assert failed.part is Part.TERMINAL
    assert "no space left" in failed.sentence
    assert mended == Mended(Part.TERMINAL)
