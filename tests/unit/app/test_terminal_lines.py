"""Typed lines become requests, and nothing is told twice on the terminal."""

import os
import pty
import queue
import threading

from handsfree.app.printing import Printing
from handsfree.app.terminal import Terminal
from handsfree.app.terminal_board import TerminalBoard
from handsfree.app.terminal_lines import TypedLines
from handsfree.values import Part, Told


class Kept(Printing):
    """Keeps the lines."""

    def __init__(self) -> None:
        super().__init__(Terminal())
        self.lines: list[str] = []
        self.complaints: list[str] = []

    def tell(self, line: str) -> None:
        self.lines.append(line)

    def complain(self, line: str) -> None:
        self.complaints.append(line)


def test_each_line_is_a_request_and_the_end_ends() -> None:
    ours, theirs = pty.openpty()
    taken: queue.Queue[str] = queue.Queue()
    ended = threading.Event()
    try:
        with TypedLines(taken.put, ended.set, theirs) as lines:
            assert lines.are_read
            os.write(ours, b"how fast on half inch plate\n\n  yes \n\xff\n")
            found = [taken.get(timeout=5) for _ in range(3)]
            assert found[:2] == ["how fast on half inch plate", "yes"]
            assert not ended.is_set()
            os.write(ours, b"\x04")
            assert ended.wait(5)
    finally:
        os.close(ours)
        os.close(theirs)


def test_where_nobody_sits_at_a_terminal_no_lines_are_read() -> None:
    reads, writes = os.pipe()
    with TypedLines(lambda line: None, lambda: None, reads) as lines:
        assert not lines.are_read
    os.close(reads)
    os.close(writes)


def test_one_reason_is_told_once_however_many_parts_it_hits() -> None:
    kept = Kept()
    board = TerminalBoard(kept)
    board.notify(Part.LOUDSPEAKER, "No sound system answers.")
    board.notify(Part.MICROPHONE, "I hear nothing. No sound system answers.")
    assert kept.complaints == ["loudspeaker: No sound system answers."]
    board.notify(Part.LOUDSPEAKER)
    board.notify(Part.MICROPHONE, "The disk is full.")
    assert kept.complaints[1:] == ["loudspeaker: works again", "microphone: The disk is full."]


def test_what_was_typed_is_not_printed_again_and_its_reply_is_to_be_read() -> None:
    told = Told("question", "half", 1.0, "half inch", "setting", (), ("Half inch.", "Which?"))
    kept = Kept()
    board = TerminalBoard(kept)
    board.publish(told)
    board.typed("half")
    board.publish(told)
    assert kept.lines == ["> half\nHalf inch.\nWhich?", "Understood: half inch\n\nWhich?"]
