"""Lines for whoever looks at the terminal; nothing here raises when nobody can take them any more.

The reader of a pipe goes, a disk is full, a terminal is closed, an encoding has no such letter:
none of it may end a helper on which somebody relies who does not look at the terminal. What the
output refuses is lost; that it was is told once, by whoever else can tell it.
"""

import errno
import os
import sys
import threading
from contextlib import suppress
from typing import Final, TextIO

COMES_BACK: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EAGAIN, errno.EINTR})
"""Faults that end by themselves or by somebody's hand, so that later lines are tried again."""
_GONE: Final = frozenset({errno.EPIPE, errno.ECONNRESET})
OUTPUT_LOST: Final = (
    "What I print is lost: {}. Free the disk or start me with another output. All else goes on."
)
READER_GONE: Final = "whoever read it has gone"
_STREAMS: Final = (("stdin", "r"), ("stdout", "w"), ("stderr", "w"))


class Terminal:
    """Standard output and standard error of one command; safe to use from several threads.

    Attributes:
        fault: the first fault of standard output; None while there was none.
    """

    def __init__(self) -> None:
        self.fault: OSError | ValueError | None = None
        self._gone: list[TextIO] = []  # streams that nobody will ever take lines from again
        self._one = threading.Lock()

    @property
    def takes_colour(self) -> bool:
        """Whether standard output is a terminal that shows colours, and the user wants them."""
        plain = os.environ.get("NO_COLOR") or os.environ.get("TERM", "dumb") == "dumb"
        return not plain and self.is_seen

    @property
    def is_seen(self) -> bool:
        """Whether standard output is a terminal, on which a line can be written over."""
        try:
            return sys.stdout is not None and sys.stdout.isatty()
        except ValueError:  # it was closed
            return False

    def say(self, text: str) -> bool:
        """Print a text on standard output; whether it is there."""
        return self._put(sys.stdout, f"{text}\n")

    def over(self, text: str) -> bool:
        """Write a text over the last line, without an end; only for a terminal that is seen."""
        return self._put(sys.stdout, f"\r\x1b[K{text}")

    def complain(self, text: str) -> bool:
        """Print a text on standard error; whether it is there."""
        return self._put(sys.stderr, f"{text}\n")

    def pour(self, content: bytes) -> bool:
        """Put a file on standard output as it is, in whatever encoding that prints text."""
        return self._put(sys.stdout, content)

    @property
    def reader_gone(self) -> bool:
        """Whether nobody reads standard output any more; he has taken what he wanted."""
        return isinstance(self.fault, OSError) and self.fault.errno in _GONE

    def lost_said(self) -> str:
        """That the output is lost, why, and what to do, as a sentence; empty while it is not."""
        if self.fault is None:
            return ""
        return OUTPUT_LOST.format(READER_GONE if self.reader_gone else _reason(self.fault))

    def settle(self) -> bool:
        """Write what others have printed and left unwritten; whether standard output took it."""
        self._put(sys.stderr, "")
        return self._put(sys.stdout, "")

    def _put(self, stream: TextIO | None, content: str | bytes) -> bool:
        if stream is None or stream in self._gone:
            return False
        with self._one:
            try:
                if isinstance(content, bytes):
                    stream.buffer.write(content)
                else:
                    stream.write(_writable(content, stream))
                stream.flush()
            except (OSError, ValueError) as fault:  # ValueError: the stream was closed
                for_good = getattr(fault, "errno", None) not in COMES_BACK
                _drain(stream, for_good)
                if for_good:
                    self._gone.append(stream)
                if stream is sys.stdout and self.fault is None:
                    self.fault = fault
                return False
        return True


def open_streams() -> None:
    """Give the standard streams that were closed at the start to nobody.

    The next file to be opened would get the number of a closed one, and what anybody prints would
    go into that file.
    """
    for number, (name, mode) in enumerate(_STREAMS):
        try:
            os.fstat(number)
        except OSError:
            nowhere = os.open(os.devnull, os.O_RDWR)
            if nowhere != number:
                os.dup2(nowhere, number)
                os.close(nowhere)
        if getattr(sys, name) is None:
            stream = open(number, mode, encoding="utf-8", errors="replace", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)


def _writable(text: str, stream: TextIO) -> str:
    """The text in what the stream's encoding has, with "?" for all else."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return text.encode(encoding, "replace").decode(encoding)


def _drain(stream: TextIO, for_good: bool) -> None:
    """Let go of what a stream still holds, which would be tried again by every later line.

    For good it is given to nobody, so that the interpreter does not complain at its end either.
    """
    with suppress(OSError, ValueError, AttributeError):
        number = stream.fileno()
        kept, nowhere = os.dup(number), os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, number)
            with suppress(OSError, ValueError):
                stream.flush()
        finally:
            if not for_good:
                os.dup2(kept, number)
            os.close(kept)
            os.close(nowhere)


def _reason(fault: OSError | ValueError) -> str:
    said = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
    return said[:1].lower() + said[1:]
