"""`handsfree hear`: answers a request that was recorded."""

import argparse
from pathlib import Path

from handsfree.app.commands.replying import add_reply_options, session_for, tell


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument("file", type=Path, help="a WAV file")
    add_reply_options(parser)


def act(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """Answer; raises `SoundError` for the file, `ModelError` for the model, and as the reply."""
    from handsfree.app.wiring import words_of_recording

    session = session_for(given.terminal)
    words, advice = words_of_recording(session, given.file, given.model)
    if advice:
        given.terminal.complain(advice)
    return tell(session.take(words), given)
