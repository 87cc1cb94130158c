"""`handsfree page`: shows and answers on a page in huge letters, without sound."""

import argparse

from handsfree.app.arguments import whole_number
from handsfree.app.commands.replying import session_for
from handsfree.app.commands.sharing import add_sharing, sharing_of
from handsfree.app.terminal import Terminal


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("--port", type=whole_number, default=8765, help="where it is served (8765)")
    add_sharing(parser)


def act(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Serve it until interrupted; raises `PageError` where that cannot be."""
    from handsfree.app.wiring import serve_page

    terminal: Terminal = given.terminal
    sharing = sharing_of(given, parser)

    def announce(url: str) -> None:
        terminal.say(f"The page is at {url} until you press Ctrl-C here.")

    def say(line: str) -> None:
        terminal.say(line)

    serve_page(session_for(terminal, leads=True), given.port, announce, sharing, say)
    return 0
