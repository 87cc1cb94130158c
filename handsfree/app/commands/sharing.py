"""The options that share the page with other devices, for each command that serves it."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.page.share import Sharing


def add_sharing(command: argparse._ActionsContainer) -> None:
    """Add them."""
    command.add_argument(
        "--share",
        nargs="?",
        const="",
        metavar="ADDRESS",
        help="show the page to paired devices on the local network, under that address of its own",
    )
    command.add_argument(
        "--https",
        action="store_true",
        help="with --share: encrypted, so that a phone keeps it awake and installs it",
    )
    command.add_argument(
        "--unpair", action="store_true", help="with --share: forget the devices that were paired"
    )


def sharing_of(given: argparse.Namespace, parser: argparse.ArgumentParser) -> "Sharing | None":
    """What they come to; None where the page is not shared. Ends where they make no sense."""
    if given.share is None:
        if given.https or given.unpair:
            parser.error("--https and --unpair go with --share")
        return None
    from handsfree.page.share import Sharing

    return Sharing(given.share, given.https, given.unpair)
