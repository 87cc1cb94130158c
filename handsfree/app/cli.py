"""The command line: finds the command that was given and runs it; faults become one sentence.

Exit status: 0 when a reply was given (a refusal is a reply) or the helper was ended, 1 for a fault
that is told on standard error, 2 for wrong use of the command. Who reads our lines may go before
the last one: he has what he wanted, and the rest of the work is done.

Nothing heavy is imported here: the first line is on the terminal before anything is loaded.
"""

import sys
from collections.abc import Sequence
from typing import Final

from handsfree import __version__
from handsfree.app.arguments import CommandParser, did_you_mean
from handsfree.app.commands import COMMANDS, PROGRAM, START, Command
from handsfree.app.terminal import Terminal, open_streams
from handsfree.errors import HandsfreeError

DESCRIPTION: Final = """\
A voice helper for oxy-fuel cutting. Ask what to set, how fast to travel, which tip, how to work
round a tip that is too small or too large; hear, read or show a sourced answer. Offline. Without a
command it starts, and waits to be called.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    open_streams()
    terminal = Terminal()
    try:
        return _run(list(sys.argv[1:] if arguments is None else arguments), terminal)
    except SystemExit as ended:  # help was printed, or the arguments are wrong
        if terminal.settle() or terminal.reader_gone:
            raise
        terminal.complain(f"handsfree: {terminal.lost_said()}")
        return int(ended.code or 1)


def parsers() -> dict[str, CommandParser]:
    """What takes the arguments of each command, by its name; the helper's own has none."""
    return {"": _own_parser(), **{name: each.parser() for name, each in COMMANDS.items()}}


def _run(arguments: list[str], terminal: Terminal) -> int:
    command = COMMANDS.get(arguments[0], START) if arguments else START
    try:
        parser = _own_parser() if command is START else command.parser()
        given = parser.parse_args(arguments if command is START else arguments[1:])
        given.terminal = terminal
        if command is START and given.words:
            parser.error(_no_command(given.words[0]))
        status = command.module.act(given, parser)
    except HandsfreeError as fault:
        terminal.complain(f"handsfree: {fault}")
        return 1
    except KeyboardInterrupt:
        return 130
    if terminal.fault is None or terminal.reader_gone or command is START:
        return status
    terminal.complain(f"handsfree: {terminal.lost_said()}")
    return status or 1


def _own_parser() -> CommandParser:
    """What `handsfree` itself takes: it starts the helper."""
    parser = CommandParser(PROGRAM, DESCRIPTION, "[COMMAND]")
    parser.epilog = "\n".join(
        ("commands (handsfree COMMAND --help tells more):", *map(_in_a_line, COMMANDS.values()))
    )
    parser.add_argument("--version", action="version", version=f"{PROGRAM} {__version__}")
    START.module.fill(parser)
    return parser


def _in_a_line(command: Command) -> str:
    return f"  {command.name:<10}{command.told}"


def _no_command(word: str) -> str:
    if word in COMMANDS:
        return f"the command comes first: {PROGRAM} {word}, and its options after it."
    meant = did_you_mean(word, COMMANDS)
    asks = "" if meant else f" To ask in words: {PROGRAM} ask {word} ..."
    return f"there is no command {word!r}; there are {', '.join(COMMANDS)}.{meant}{asks}"


if __name__ == "__main__":
    sys.exit(main())
