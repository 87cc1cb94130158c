"""What the commands that answer a request have in common: a session, and the reply as wished."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from handsfree.app.terminal import Terminal

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.session.session import Session
    from handsfree.values import Failed, Told, Words

LONGEST_LINE: Final = 20_000  # characters of one request that are looked at
USUAL: Final = ("fire_watch", "lanyard", "defer", "extinguisher", "shade", "sparks_fly")
"""Keys of the cautions of every cut; what else there is belongs to the case."""


def add_reply_options(command: argparse.ArgumentParser) -> None:
    """Add how the reply is given."""
    command.add_argument("--json", action="store_true", help="the reply as one JSON object")
    command.add_argument("--say", type=Path, metavar="FILE", help="speak the reply into a WAV file")
    command.add_argument("--aloud", action="store_true", help="speak it on the loudspeaker")
    command.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    command.add_argument(
        "--more", action="store_true", help="print and speak all of it, with all sources"
    )
    command.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")
    command.add_argument(
        "--sketch", type=Path, metavar="FILE", help="draw the cuts, or pieces against tips, as SVG"
    )
    command.add_argument(
        "--template", type=Path, metavar="FILE", help="the line round a pipe at full size: PDF, SVG"
    )


def session_for(terminal: Terminal, leads: bool = False) -> "Session":
    """A session over what the user keeps, whose faults are told on the terminal."""
    from handsfree.logbook.logbook import Logbook
    from handsfree.session.session import Session
    from handsfree.store.settings import logbook_path

    session = Session(logbook=Logbook(logbook_path()), leads=leads)

    def complain(fault: "Failed") -> None:
        terminal.complain(f"handsfree: {fault.sentence}")

    session.faults.tell_to(complain)
    return session


def request(text: str) -> "Words":
    """A request that was typed."""
    from handsfree.values import Words

    return Words(text[:LONGEST_LINE])


def tell(told: "Told", given: argparse.Namespace) -> int:
    """Print the reply, and draw or speak it where that was asked for; the exit status.

    Raises:
        TemplateError: there is nothing to draw, or the file cannot be written.
        VoiceError: the voice does not start.
        SoundError: the file cannot be written, or there is no loudspeaker.
    """
    given.terminal.say(_printed(told, given))
    if given.sketch is not None or given.template is not None:
        from handsfree.app.drawing_files import write_sketch, write_template

        if given.sketch is not None:
            write_sketch(told, given.sketch)
        if given.template is not None:
            write_template(told, given.template)
    if given.say is not None or given.aloud:
        from handsfree.app.wiring import speak

        sentences = (*told.sentences, *told.more) if given.more else told.sentences
        speak(sentences, given.say, given.aloud, given.loudspeaker)
    return 0


def _printed(told: "Told", given: argparse.Namespace) -> str:
    from handsfree.engine import advice
    from handsfree.wording.machine import as_line
    from handsfree.wording.paper import paper
    from handsfree.wording.paper_short import short_paper

    if given.json:
        return as_line(told)
    if given.more:
        return paper(told)
    usual = frozenset(advice.sentences(*USUAL))
    return short_paper(told, usual, coloured=given.terminal.takes_colour)
