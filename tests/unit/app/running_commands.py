"""Commands as processes of their own whose streams and surroundings are odd, many at a time.

Modules and tables are loaded once; each command then runs in a fork, through the command's own
entry and to the interpreter's own end.

    python -m tests.unit.app.running_commands OUTCOMES COMMANDS
"""

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Setting:
    """What the commands find around them.

    Attributes:
        streams: redirections, as a shell writes them.
        env: set on top of the usual ones.
        bare: nothing else is in the environment.
        reader_gone: nobody reads standard output any more.
    """

    streams: str = ""
    env: Mapping[str, str] | None = None
    bare: bool = False
    reader_gone: bool = False


def outcomes(
    folder: Path, commands: Mapping[str, Sequence[bytes]], setting: Setting, given: bytes = b""
) -> dict[str, int]:
    """The exit status of each command, which are given that on standard input.

    What is printed on standard error goes into the file `errors`, as far as it is not redirected.
    """
    found, asked, errors = folder / "outcomes", folder / "commands", folder / "errors"
    plain = {name: [part.hex() for part in parts] for name, parts in commands.items()}
    asked.write_text(json.dumps(plain), encoding="utf-8")
    root = str(Path(__file__).resolve().parents[3])
    own = {"HANDSFREE_HOME": str(folder / "kept"), "PYTHONPATH": root, **(setting.env or {})}
    shell = f'exec "$0" -m tests.unit.app.running_commands "$1" "$2" {setting.streams}'
    ours, theirs = os.pipe()
    if setting.reader_gone:
        os.close(ours)
    stdin = folder / "stdin"
    stdin.write_bytes(given)
    with errors.open("wb") as log, stdin.open("rb") as reads:
        subprocess.run(
            ["sh", "-c", shell, sys.executable, found, asked],
            env=own if setting.bare else {**os.environ, **own},
            stdin=reads,
            stdout=theirs if setting.reader_gone else subprocess.DEVNULL,
            stderr=log,
            timeout=120,
            check=False,
        )
    os.close(theirs)
    if not setting.reader_gone:
        os.close(ours)
    told: dict[str, int] = json.loads(found.read_text(encoding="utf-8"))
    return told


def main(found: Path, asked: Path) -> None:
    """Run each command in a fork; write down how each ended."""
    from handsfree.app import run as running
    from handsfree.app.cli import main as command
    from handsfree.page import app as page
    from handsfree.session import session
    from handsfree.values import Words

    assert running and page
    session.Session().take(Words("how fast on half inch plate"))  # tables are read once for all
    told = {}
    for name, parts in json.loads(asked.read_bytes()).items():
        arguments = [os.fsdecode(bytes.fromhex(part)) for part in parts]
        child = os.fork()
        if not child:
            sys.exit(command(arguments))
        told[name] = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    found.write_text(json.dumps(told), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
