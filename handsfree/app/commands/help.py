"""`handsfree help`: lists the sections of the help, or prints one."""

import argparse
from pathlib import Path
from typing import Final

from handsfree.app.arguments import did_you_mean
from handsfree.errors import SettingsError

FOLDER: Final = Path(__file__).resolve().parents[1] / "help"


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the topic."""
    parser.add_argument("topic", nargs="?", help="which section; all are listed without it")


def act(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Print it.

    Raises:
        SettingsError: the section cannot be read.
    """
    found = topics()
    if given.topic is None:
        given.terminal.say("\n".join(listed(found)))
        return 0
    topic = given.topic.lower()
    if topic not in found:
        meant = did_you_mean(topic, found)
        there_are = f" There are: {', '.join(found)}." if found else ""
        parser.error(f"there is no section {topic!r}.{meant}{there_are}")
    given.terminal.say(_text(found[topic]).rstrip())
    return 0


def topics(folder: Path = FOLDER) -> dict[str, Path]:
    """The sections that came with this copy, by name in order."""
    return {path.stem: path for path in sorted(folder.glob("*.md"))}


def listed(found: dict[str, Path]) -> list[str]:
    """The sections with their titles, as lines."""
    if not found:
        return ["No help came with this copy. Install the project again."]
    width = max(map(len, found)) + 2
    lines = [f"  {name:<{width}}{_title(path)}".rstrip() for name, path in found.items()]
    return ["Sections, each printed by handsfree help TOPIC:", *lines]


def _title(path: Path) -> str:
    first = _text(path).lstrip().partition("\n")[0]
    return first.lstrip("# ").strip()


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeError) as fault:
        raise SettingsError(f"{path} cannot be read. Install the project again.") from fault
