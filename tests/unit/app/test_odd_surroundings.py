"""Every command where its streams are closed, full or unread, and its surroundings are odd."""

import wave
from pathlib import Path

import pytest

from tests.taking_some import some_of
from tests.unit.app.running_commands import Setting, outcomes

ASKED = b"how fast on half inch plate"
SETTINGS = {
    "the reader of its output has gone": Setting(reader_gone=True),
    "the reader of all it prints has gone": Setting("2>&1", reader_gone=True),
    "output closed": Setting(">&-"),
    "all closed": Setting("<&- >&- 2>&-"),
    "output full": Setting(">/dev/full"),
    "all it prints full": Setting(">/dev/full 2>&1"),
    "no input": Setting("<&-"),
    "ascii output": Setting(env={"PYTHONIOENCODING": "ascii"}),
    "plain locale": Setting(
        env={"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    ),
    "zone that is none": Setting(env={"TZ": "Nowhere/None"}),
    "zone of bad form": Setting(env={"TZ": ":bad"}),
    "zone more than a day off": Setting(env={"TZ": "AAA+24:59:59"}),
    "empty environment": Setting(bare=True),
}
OF_TIME = ("ask", "begin", "record day", "record html")
GIVEN = ASKED + b"\n\xff\xfe\x00\n\n3\xbd inch plate\n"
PRINTS = 0  # and 1 where the output is full
FAILS = 1


def commands(folder: Path) -> dict[str, tuple[int, list[bytes]]]:
    """How each command ends where all is well, and its arguments; many hold no valid UTF-8."""
    work = folder / "work.txt"
    work.write_text("two W12x26\nhalf inch plate\n", encoding="utf-8")
    said = bytes(folder / "said.wav")
    return {
        "ask": (PRINTS, [b"ask", ASKED, b"--say", said]),
        "ask bytes": (PRINTS, [b"ask", b"how fast on 3\xbd inch plate"]),
        "ask json": (PRINTS, [b"ask", b"--json", "é ½ inch plate".encode()]),
        "ask lines": (PRINTS, [b"ask", b"--json", b"-"]),
        "begin": (PRINTS, [b"record", b"--begin", b"--who", b"J\xfcrgen", b"--place", b"\xc3\xa9"]),
        "record": (PRINTS, [b"record"]),
        "record text": (PRINTS, [b"record", b"--text", b"\xff", b"--list", b"\xff"]),
        "record day": (PRINTS, [b"record", b"--day", b"today"]),
        "record csv": (PRINTS, [b"record", b"--csv", b"-"]),
        "record html": (PRINTS, [b"record", b"--html", bytes(folder) + b"/\xff.html"]),
        "record check": (PRINTS, [b"record", b"--check"]),
        "take up": (PRINTS, [b"take-up", bytes(work)]),
        "hear nothing": (FAILS, [b"hear", bytes(folder) + b"/\xff.wav"]),
        "page nowhere": (FAILS, [b"page", b"--port", b"99999"]),
        "helper without model": (FAILS, [b"--no-page", b"--model", b"/nowhere/\xff"]),
        "help": (PRINTS, [b"--help"]),
        "demo help": (PRINTS, [b"demo", b"--help"]),
        "wrong use": (2, [b"record", b"--kind", b"\xff"]),
    }


@pytest.mark.parametrize("name", some_of(list(SETTINGS), every_th=6))
def test_no_command_fails_by_its_streams_or_surroundings(name: str, tmp_path: Path) -> None:
    wanted = commands(tmp_path)
    if name.startswith("zone"):
        wanted = {each: wanted[each] for each in OF_TIME}
    arguments = {each: parts for each, (_, parts) in wanted.items()}
    found = outcomes(tmp_path, arguments, SETTINGS[name], GIVEN)
    full = SETTINGS[name].streams.startswith(">/dev/full")
    assert found == {
        each: 1 if full and not usual else usual for each, (usual, _) in wanted.items()
    }
    with wave.open(str(tmp_path / "said.wav")) as spoken:
        assert spoken.getnframes() > 10_000
    errors = (tmp_path / "errors").read_text(encoding="utf-8", errors="replace")
    assert "Traceback" not in errors
    assert "Exception ignored" not in errors
    assert ("no space left" in errors) == (SETTINGS[name].streams == ">/dev/full")
