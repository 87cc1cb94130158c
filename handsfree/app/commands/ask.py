"""`handsfree ask`: answers a request that is typed, spoken once, or many that come by a pipe."""

import argparse
import sys
from typing import TYPE_CHECKING, Final

from handsfree.app.commands.replying import add_reply_options, request, session_for, tell
from handsfree.app.terminal import Terminal

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.session.session import Session
    from handsfree.values import Told, Words

NOTHING_KEPT: Final = "Nothing was kept: a change needs a yes. Ask that on a terminal and type yes."


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "words", nargs="*", help='the request; "-" with --json: one a line on stdin'
    )
    parser.add_argument(
        "--listen", action="store_true", help="take one request from the microphone"
    )
    parser.add_argument("--microphone", metavar="NAME", help="which one; the default without it")
    add_reply_options(parser)


def act(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Answer; raises what the reply raises, and `SoundError` where nobody can be heard."""
    if given.listen and given.words:
        parser.error("give the words or --listen, not both")
    if given.words == ["-"]:
        if not given.json:
            parser.error("requests from standard input are answered in JSON: add --json")
        return _ask_lines(given.terminal)
    if not given.words and not given.listen:
        parser.error("say what you ask for, or use --listen")
    from handsfree.values.clean_text import argument_text

    session = session_for(given.terminal)
    asked = " ".join(map(argument_text, given.words))
    told = session.take(_listen(session, given) if given.listen else request(asked))
    status = tell(told, given)
    if not given.json and not given.listen:
        _ask_for_a_yes(session, told, given)
    return status


def _ask_for_a_yes(session: "Session", told: "Told", given: argparse.Namespace) -> None:
    """Take the yes or no to a reply that asks for one from whoever sits at the terminal."""
    from handsfree.values import YES_OR_NO, About

    while told.options == YES_OR_NO:
        typed = _typed_line(given.terminal)
        if not typed:
            if told.about in (About.TIP_BOX, About.RIG):
                given.terminal.complain(f"handsfree: {NOTHING_KEPT}")
            return
        told = session.take(request(typed))
        tell(told, given)


def _typed_line(terminal: Terminal) -> str:
    """What somebody types who sits at a terminal; nothing where nobody does or the typing ends."""
    from handsfree.values.clean_text import clean_text

    if sys.stdin is None or not sys.stdin.isatty():
        return ""
    terminal.complain("> ")
    return clean_text(sys.stdin.readline()).strip()


def _ask_lines(terminal: Terminal) -> int:
    """One request a line in, one JSON object a line out, in order; each is a talk of its own."""
    from handsfree.values.clean_text import clean_text
    from handsfree.wording.machine import as_line

    session = session_for(terminal)
    for line in sys.stdin.buffer:
        text = clean_text(line.decode("utf-8", errors="replace").rstrip("\r\n"))
        session.start_afresh()
        if not terminal.say(as_line(session.take(request(text)))):
            break  # what is asked after this could not be answered either
    return 0


def _listen(session: "Session", given: argparse.Namespace) -> "Words":
    from handsfree.app.wiring import words_of_microphone

    def ready() -> None:
        given.terminal.complain("Listening: ask now.")

    words, advice = words_of_microphone(session, ready, given.model, given.microphone)
    if advice:
        given.terminal.complain(advice)
    return words
