"""How a shift is played: how long it takes, a bar on a screen alone, and an end on Ctrl-C."""

from pathlib import Path

import pytest

from handsfree.app.bar import Bar
from handsfree.app.demo import shift as module
from handsfree.app.demo.script import length_told, read_script
from handsfree.app.demo.shift import SPEED, Staging, play_shift
from handsfree.app.terminal import Terminal


class MadeShift:
    """Is interrupted at its third deed."""

    def __init__(self, *_: object) -> None:
        self.transcript = self
        self.done = 0
        self.ended: list[bool] = []
        made.append(self)

    def scene(self, told: str) -> None:
        pass

    def do(self, deed: object) -> None:
        self.done += 1
        if self.done == 3:
            raise KeyboardInterrupt

    def end(self, whole: bool) -> None:
        self.ended.append(whole)


made: list[MadeShift] = []


def test_an_interrupt_ends_it_with_what_was_so_far(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "_Shift", MadeShift)
    lines: list[str] = []
    shares: list[float] = []
    assert play_shift(Staging(tmp_path, tmp_path), lines.append, shares.append) is False
    assert made[-1].ended == [False]
    assert "Interrupted. This is what was so far." in lines
    assert lines[0] == length_told(read_script(), SPEED)
    assert len(shares) == 3
    assert shares[0] < shares[1] < shares[2] == 1.0


def test_it_is_played_twenty_times_as_fast_unless_somebody_listens_or_looks(
    tmp_path: Path,
) -> None:
    assert Staging(tmp_path, tmp_path).speed == 20.0
    assert Staging(tmp_path, tmp_path, aloud=True).speed == 1.0
    assert Staging(tmp_path, tmp_path, page=True).speed == 1.0


def test_without_a_screen_there_is_no_bar(capsys: pytest.CaptureFixture[str]) -> None:
    bar = Bar(Terminal())
    bar.show(0.5)
    bar.say("a line")
    bar.close()
    assert capsys.readouterr().out == "a line\n"


def test_on_a_screen_the_bar_stays_below_the_lines(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Terminal, "is_seen", True)
    bar = Bar(Terminal())
    bar.show(0.5)
    bar.say("a line")
    bar.close()
    printed = capsys.readouterr().out
    assert printed.index("50%") < printed.index("a line\n") < printed.rindex("50%")
    assert printed.endswith("\r\x1b[K")
