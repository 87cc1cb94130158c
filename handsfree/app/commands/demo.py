"""`handsfree demo`: plays an invented shift."""

import argparse
import tempfile
from pathlib import Path

from handsfree.app.arguments import whole_number
from handsfree.app.bar import Bar


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="write what was said there")
    parser.add_argument("--home", type=Path, metavar="FOLDER", help="keep tips and logbook there")
    parser.add_argument("--script", type=Path, metavar="FILE", help="play this shift instead")
    parser.add_argument(
        "--aloud", action="store_true", help="play it on the loudspeaker as it goes"
    )
    parser.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    parser.add_argument("--page", action="store_true", help="serve the page while it plays")
    parser.add_argument(
        "--port", type=whole_number, default=8765, help="where the page is served (8765)"
    )
    parser.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")


def act(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """Play it; raises as `play_shift`."""
    given.terminal.say("Setting up the shift. Ctrl-C ends it with what was so far.")
    from handsfree.app.demo.script import SHIFT
    from handsfree.app.demo.shift import Staging, play_shift

    keep = given.keep or Path(tempfile.mkdtemp(prefix="handsfree-demo-"))
    staging = Staging(
        home=given.home or keep / "home",
        keep=keep,
        aloud=given.aloud,
        loudspeaker=given.loudspeaker,
        page=given.page,
        port=given.port,
        model=given.model,
        script=given.script or SHIFT,
    )

    bar = Bar(given.terminal)
    try:
        play_shift(staging, bar.say, bar.show)
    finally:
        bar.close()
    return 0
