"""The command line: starts the helper; asks in words, hears a recording, serves the page.

Exit status: 0 when a reply was given (a refusal is a reply) or the helper was ended, 1 for a fault
that is told on standard error, 2 for wrong use of the command. Who reads our lines may go before
the last one: he has what he wanted, and the rest of the work is done.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree import __version__
from handsfree.app.record_command import add_record
from handsfree.app.terminal import Terminal, open_streams
from handsfree.errors import HandsfreeError, SettingsError
from handsfree.logbook.logbook import Logbook
from handsfree.store.settings import logbook_path
from handsfree.values import YES_OR_NO, About, Failed, Told, Words
from handsfree.values.clean_text import argument_text, clean_text
from handsfree.wording.machine import as_line
from handsfree.wording.paper import paper

if TYPE_CHECKING:  # what a command needs is loaded when it is given
    from handsfree.page.share import Sharing
    from handsfree.session.session import Session

DESCRIPTION = """\
A voice helper for oxy-fuel cutting. Ask what to set, how fast to travel, which tip, how to work
round a tip that is too small or too large; hear, read or show a sourced answer. Offline. Without a
command it starts, and waits to be called.
"""
NOTHING_KEPT = "Nothing was kept: a change needs a yes. Ask that on a terminal and type yes."
_CHANGES = (About.TIP_BOX, About.RIG)
LONGEST_LINE = 20_000  # characters of one request that are looked at


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    open_streams()
    terminal = Terminal()
    try:
        return _run(arguments, terminal)
    except SystemExit as ended:  # help was printed, or the arguments are wrong
        if terminal.settle() or terminal.reader_gone:
            raise
        terminal.complain(f"handsfree: {terminal.lost_said()}")
        return int(ended.code or 1)


def _run(arguments: Sequence[str] | None, terminal: Terminal) -> int:
    parser = _parser()
    given = parser.parse_args(arguments)
    given.terminal = terminal
    try:
        status: int = given.run(given, parser)
    except HandsfreeError as fault:
        terminal.complain(f"handsfree: {fault}")
        return 1
    except KeyboardInterrupt:
        return 130
    if terminal.fault is None or terminal.reader_gone or given.run is _help_hands_free:
        return status
    terminal.complain(f"handsfree: {terminal.lost_said()}")
    return status or 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="handsfree", description=DESCRIPTION)
    parser.add_argument("--version", action="version", version=f"handsfree {__version__}")
    _add_helper(parser)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    ask = commands.add_parser("ask", help="answer a request that is typed, or spoken once")
    ask.add_argument("words", nargs="*", help='the request; "-" with --json: one a line on stdin')
    ask.add_argument("--listen", action="store_true", help="take one request from the microphone")
    ask.add_argument("--microphone", metavar="NAME", help="which one; the default without it")
    _add_common(ask)
    ask.set_defaults(run=_ask)

    hear = commands.add_parser("hear", help="answer a request that was recorded")
    hear.add_argument("file", type=Path, help="a WAV file")
    _add_common(hear)
    hear.set_defaults(run=_hear)

    take_up = commands.add_parser("take-up", help="which tip to take up for a list of work")
    take_up.add_argument("file", type=Path, help='a text file, a piece a line: "two W12x26"')
    _add_common(take_up)
    take_up.set_defaults(run=_take_up)

    page = commands.add_parser("page", help="show and answer on a page in huge letters")
    page.add_argument("--port", type=int, default=8765, help="where it is served (8765)")
    _add_sharing(page)
    page.set_defaults(run=_page)

    demo = commands.add_parser("demo", help="play an invented shift; it needs no sound device")
    demo.add_argument("--keep", type=Path, metavar="FOLDER", help="write what was said there")
    demo.add_argument("--home", type=Path, metavar="FOLDER", help="keep tips and logbook there")
    demo.add_argument("--script", type=Path, metavar="FILE", help="play this shift instead")
    demo.add_argument("--aloud", action="store_true", help="play it on the loudspeaker as it goes")
    demo.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    demo.add_argument("--page", action="store_true", help="serve the page while it plays")
    demo.add_argument("--port", type=int, default=8765, help="where the page is served (8765)")
    demo.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")
    demo.set_defaults(run=_demo)

    add_record(commands)
    return parser


def _add_helper(parser: argparse.ArgumentParser) -> None:
    """What `handsfree` itself takes: it starts the helper."""
    helper = parser.add_argument_group("without a command: start the helper")
    helper.add_argument("--microphone", metavar="NAME", help="which one; the default without it")
    helper.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    helper.add_argument("--port", type=int, default=8765, help="where the page is served (8765)")
    helper.add_argument("--no-page", action="store_true", help="serve no page")
    _add_sharing(helper)
    helper.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")
    helper.add_argument(
        "--barge-in",
        action=argparse.BooleanOptionalAction,
        default=None,
        help='hear "stop" while it speaks, where the headset does not hear the helper',
    )
    parser.set_defaults(run=_help_hands_free)


def _add_sharing(command: argparse._ActionsContainer) -> None:
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


def _sharing(given: argparse.Namespace, parser: argparse.ArgumentParser) -> "Sharing | None":
    if given.share is None:
        if given.https or given.unpair:
            parser.error("--https and --unpair go with --share")
        return None
    from handsfree.page.share import Sharing

    return Sharing(given.share, given.https, given.unpair)


def _help_hands_free(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    from handsfree.app.run import Wishes, run

    wishes = Wishes(
        given.microphone,
        given.loudspeaker,
        given.port,
        given.model,
        given.barge_in,
        not given.no_page,
        _sharing(given, parser),
    )
    run(wishes, given.terminal)
    return 0


def _teller(terminal: Terminal) -> Callable[[str], None]:
    def tell(line: str) -> None:
        terminal.say(line)

    return tell


def _session(terminal: Terminal, leads: bool = False) -> "Session":
    from handsfree.session.session import Session

    session = Session(logbook=Logbook(logbook_path()), leads=leads)

    def complain(fault: Failed) -> None:
        terminal.complain(f"handsfree: {fault.sentence}")

    session.faults.tell_to(complain)
    return session


def _add_common(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="the reply as one JSON object")
    command.add_argument("--say", type=Path, metavar="FILE", help="speak the reply into a WAV file")
    command.add_argument("--aloud", action="store_true", help="speak it on the loudspeaker")
    command.add_argument("--loudspeaker", metavar="NAME", help="which one; the default without it")
    command.add_argument("--more", action="store_true", help="speak all of it, not the first part")
    command.add_argument("--model", type=Path, metavar="FOLDER", help="another vosk model")
    command.add_argument(
        "--sketch", type=Path, metavar="FILE", help="draw the cuts, or pieces against tips, as SVG"
    )
    command.add_argument(
        "--template", type=Path, metavar="FILE", help="the line round a pipe at full size: PDF, SVG"
    )


def _take_up(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """The list in a file, a piece a line, as one request."""
    try:
        lines = given.file.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeError) as fault:
        raise SettingsError(f"The list {given.file} cannot be read: {fault}.") from fault
    pieces = [line.strip() for line in lines if line.strip() and not line.lstrip().startswith("#")]
    words = Words(_cut(clean_text(f"going up: {'; '.join(pieces)}")))
    return _tell(_session(given.terminal).take(words), given)


def _ask(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    if given.listen and given.words:
        parser.error("ask: give the words or --listen, not both")
    if given.words == ["-"]:
        if not given.json:
            parser.error("ask: requests from standard input are answered in JSON: add --json")
        return _ask_lines(given.terminal)
    if not given.words and not given.listen:
        parser.error("ask: say what you ask for, or use --listen")
    session = _session(given.terminal)
    asked = " ".join(map(argument_text, given.words))
    words = _listen(session, given) if given.listen else Words(_cut(asked))
    told = session.take(words)
    status = _tell(told, given)
    if not given.json and not given.listen:
        _ask_for_a_yes(session, told, given)
    return status


def _ask_for_a_yes(session: "Session", told: Told, given: argparse.Namespace) -> None:
    """Take the yes or no to a reply that asks for one from whoever sits at the terminal."""
    while told.options == YES_OR_NO:
        typed = _typed_line(given.terminal)
        if not typed:
            if told.about in _CHANGES:
                given.terminal.complain(f"handsfree: {NOTHING_KEPT}")
            return
        told = session.take(Words(_cut(typed)))
        _tell(told, given)


def _typed_line(terminal: Terminal) -> str:
    """What somebody types who sits at a terminal; nothing where nobody does or the typing ends."""
    if sys.stdin is None or not sys.stdin.isatty():
        return ""
    terminal.complain("> ")
    return clean_text(sys.stdin.readline()).strip()


def _ask_lines(terminal: Terminal) -> int:
    """One request a line in, one JSON object a line out, in order; each is a talk of its own."""
    session = _session(terminal)
    for line in sys.stdin.buffer:
        text = clean_text(line.decode("utf-8", errors="replace").rstrip("\r\n"))
        session.start_afresh()
        if not terminal.say(as_line(session.take(Words(_cut(text))))):
            break  # what is asked after this could not be answered either
    return 0


def _cut(text: str) -> str:
    return text[:LONGEST_LINE]


def _hear(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    from handsfree.app.wiring import words_of_recording

    session = _session(given.terminal)
    words, advice = words_of_recording(session, given.file, given.model)
    if advice:
        given.terminal.complain(advice)
    return _tell(session.take(words), given)


def _page(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    from handsfree.app.wiring import serve_page

    terminal: Terminal = given.terminal

    def announce(url: str) -> None:
        terminal.say(f"The page is at {url} until you press Ctrl-C here.")

    session = _session(terminal, leads=True)
    serve_page(session, given.port, announce, _sharing(given, parser), _teller(terminal))
    return 0


def _demo(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
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
    play_shift(staging, _teller(given.terminal))
    return 0


def _listen(session: "Session", given: argparse.Namespace) -> Words:
    from handsfree.app.wiring import words_of_microphone

    def ready() -> None:
        given.terminal.complain("Listening: ask now.")

    words, advice = words_of_microphone(session, ready, given.model, given.microphone)
    if advice:
        given.terminal.complain(advice)
    return words


def _tell(told: Told, given: argparse.Namespace) -> int:
    """Print the reply, and speak it where that was asked for."""
    given.terminal.say(as_line(told) if given.json else paper(told))
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


if __name__ == "__main__":
    sys.exit(main())
