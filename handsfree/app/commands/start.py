"""`handsfree` without a command: starts the helper, and says so before anything is loaded."""

import argparse
import contextlib
from pathlib import Path
from typing import Final

from handsfree.app.arguments import whole_number
from handsfree.app.commands.sharing import add_sharing, sharing_of

STARTING: Final = "Starting. Ctrl-C ends the helper."


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("words", nargs="*", help=argparse.SUPPRESS)
    helper = parser.add_argument_group("without a command: start the helper")
    helper.add_argument("--microphone", metavar="NAME", help="which one; the default without it")
    helper.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    helper.add_argument(
        "--port", type=whole_number, default=8765, help="where the page is served (8765)"
    )
    helper.add_argument("--no-page", action="store_true", help="serve no page")
    add_sharing(helper)
    helper.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")
    helper.add_argument(
        "--barge-in",
        action=argparse.BooleanOptionalAction,
        default=None,
        help='hear "stop" while it speaks, where the headset does not hear the helper',
    )


def act(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Run the helper until it is ended; raises as `handsfree.app.run.run`."""
    given.terminal.say(STARTING)
    with contextlib.suppress(KeyboardInterrupt):  # while all is loaded; later it ends by itself
        _run(given, parser)
    return 0


def _run(given: argparse.Namespace, parser: argparse.ArgumentParser) -> None:
    from handsfree.app.run import Wishes, run

    wishes = Wishes(
        given.microphone,
        given.loudspeaker,
        given.port,
        given.model,
        given.barge_in,
        not given.no_page,
        sharing_of(given, parser),
    )
    run(wishes, given.terminal)
