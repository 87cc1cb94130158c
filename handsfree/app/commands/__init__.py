"""The commands by name, each in a file of its own that is loaded when it is given.

A file of a command has `fill(parser)`, which adds its options, and `act(given, parser)`, which does
it and returns the exit status.
"""

import argparse
import importlib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Protocol, cast

from handsfree.app.arguments import CommandParser

PROGRAM: Final = "handsfree"


class Acts(Protocol):
    """The file of a command."""

    def fill(self, parser: argparse.ArgumentParser) -> None:
        """Add its options."""

    def act(self, given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
        """Do it; the exit status."""


@dataclass(frozen=True, slots=True)
class Command:
    """One command.

    Attributes:
        name: as it is typed; empty for the helper itself.
        told: what it does, in one line of the help.
        positionals: what is typed beside options.
        file: the module.
    """

    name: str
    told: str
    positionals: str
    file: str

    @property
    def module(self) -> Acts:
        """Its file, loaded."""
        return cast(Acts, importlib.import_module(self.file))

    def parser(self) -> CommandParser:
        """What takes its arguments."""
        made = CommandParser(f"{PROGRAM} {self.name}", self.told, self.positionals)
        self.module.fill(made)
        return made


_HERE: Final = "handsfree.app.commands"
COMMANDS: Final[Mapping[str, Command]] = MappingProxyType(
    {
        command.name: command
        for command in (
            Command(
                "ask", "Answer a request that is typed, or spoken once.", "WORDS", f"{_HERE}.ask"
            ),
            Command("hear", "Answer a request that was recorded.", "FILE", f"{_HERE}.hear"),
            Command(
                "take-up",
                "Tell which tip to take up for a list of work.",
                "FILE",
                f"{_HERE}.take_up",
            ),
            Command("page", "Show and answer on a page in huge letters.", "", f"{_HERE}.page"),
            Command(
                "demo", "Play an invented shift; it needs no sound device.", "", f"{_HERE}.demo"
            ),
            Command(
                "record",
                "List, export or print what was asked, answered and confirmed.",
                "",
                "handsfree.app.record_command",
            ),
            Command(
                "check",
                "Tell what works here, what does not, and what to do.",
                "",
                f"{_HERE}.check",
            ),
            Command("help", "Print a section of the help.", "[TOPIC]", f"{_HERE}.help"),
        )
    }
)
START: Final = Command("", "Start the helper.", "", f"{_HERE}.start")
