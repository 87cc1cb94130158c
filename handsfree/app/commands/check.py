"""`handsfree check`: tells part by part what works here, what does not, and what to do."""

import argparse
import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Final

from handsfree.app.arguments import whole_number

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.app.checks import Finding

WIDTH: Final = 92
ALL_WORKS: Final = "All works."
WITHOUT_SOUND: Final = (
    "All works but sound. Typing and the page work; type a request: handsfree ask WORDS."
)
FAULTS: Final = "Mend what is marked as a fault: {}."


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("--json", action="store_true", help="what was found as one JSON object")
    parser.add_argument(
        "--silent", action="store_true", help="do not ask for a few words to take their level"
    )
    parser.add_argument(
        "--port", type=whole_number, default=8765, help="where the page would be served (8765)"
    )
    parser.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")


def act(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """Look at each part; 0 when all works or only sound is missing, 1 for a fault."""
    terminal = given.terminal
    if not given.json:
        terminal.say("Looking at each part.")
    from handsfree.app.checks import State, findings

    found: list[Finding] = []
    for each in findings(given.port, given.model, terminal.complain, listens=not given.silent):
        found.append(each)
        if not given.json:
            terminal.say(as_lines(each))
    faults = [each.part for each in found if each.state is State.FAULT]
    status = 1 if faults else 0
    if given.json:
        parts = [{"part": each.part, "state": each.state, "told": each.told} for each in found]
        terminal.say(json.dumps({"works": not faults, "parts": parts}))
        return status
    silent = any(each.state is State.NO_SOUND for each in found)
    told = FAULTS.format(", ".join(faults)) if faults else WITHOUT_SOUND if silent else ALL_WORKS
    terminal.say(f"\n{told}")
    return status


def as_lines(finding: "Finding") -> str:
    """One part as lines to read."""
    opening = f"{finding.part:<12}{finding.state.value:<10}"
    lines = textwrap.wrap(
        finding.told, WIDTH, initial_indent=opening, subsequent_indent=" " * len(opening)
    )
    return "\n".join(lines)
