"""Keys of the terminal become presses: what a keyboard, a foot pedal or a remote sends to it.

A terminal tells that a key went down, and tells it again and again while it stays down; that it
came up it never tells. So a talk key that repeats counts as held, and its end as a second press,
which ends the request. The terminal is put back as it was at the end, whatever the end is.
"""

import atexit
import contextlib
import os
import select
import sys
import threading
import time
from collections.abc import Callable, Mapping
from functools import partial
from typing import Final

from handsfree.values import Key, Pressed

try:
    import termios
    import tty
except ImportError:  # no terminal of this kind on this system
    HAS_TERMINALS = False
else:
    HAS_TERMINALS = True

ESCAPE: Final = b"\x1b"
ESCAPE_ALONE_S: Final = 0.05  # what belongs to a sequence follows at once
REPEATS_S: Final = 0.15  # a key that is held comes at least so often
FIRST_REPEAT_S: Final = 0.75  # and the first time after so long at the most

SEQUENCES: Final[Mapping[bytes, Key]] = {
    b" ": Key.TALK,
    b"\r": Key.CONFIRM,
    b"\n": Key.CONFIRM,
    **dict.fromkeys((b"\x1b[C", b"\x1bOC", b"\x1b[B", b"\x1bOB", b"\x1b[6~"), Key.NEXT),
    **dict.fromkeys((b"\x1b[D", b"\x1bOD", b"\x1b[A", b"\x1bOA", b"\x1b[5~"), Key.BACK),
    # F13 to F16 as old terminals and consoles, as xterm, and as the newer protocol send them
    **dict.fromkeys((b"\x1b[25~", b"\x1b[1;2P", b"\x1bO2P", b"\x1b[57376u"), Key.TALK),
    **dict.fromkeys((b"\x1b[26~", b"\x1b[1;2Q", b"\x1bO2Q", b"\x1b[57377u"), Key.CONFIRM),
    **dict.fromkeys((b"\x1b[28~", b"\x1b[1;2R", b"\x1bO2R", b"\x1b[57378u"), Key.AGAIN),
    **dict.fromkeys((b"\x1b[29~", b"\x1b[1;2S", b"\x1bO2S", b"\x1b[57379u"), Key.STOP),
}
"""Space, enter, right, down and page down, left, up and page up, F13 to F16; escape alone stops."""


class Decoder:
    """Bytes of a terminal become keys; what is none is passed over."""

    def __init__(self) -> None:
        self._rest = b""

    @property
    def waits(self) -> bool:
        """Whether a sequence has begun that has not ended."""
        return bool(self._rest)

    def feed(self, data: bytes) -> list[Key]:
        r"""The keys in these bytes and those before them.

        >>> Decoder().feed(b" \x1b[6~x\r")
        [<Key.TALK: 'talk'>, <Key.NEXT: 'next'>, <Key.CONFIRM: 'confirm'>]
        """
        data, self._rest = self._rest + data, b""
        keys = []
        while data:
            size = _length(data)
            if not size:
                self._rest = data
                break
            key = SEQUENCES.get(data[:size])
            if key is not None:
                keys.append(key)
            data = data[size:]
        return keys

    def nothing_followed(self) -> list[Key]:
        """The keys in what was begun, now that nothing followed it: escape alone is one."""
        alone, self._rest = self._rest == ESCAPE, b""
        return [Key.STOP] if alone else []


def _length(data: bytes) -> int:
    """How many bytes the first key takes; 0 when it has not ended."""
    if not data.startswith(ESCAPE):
        return 1
    if len(data) < 2:
        return 0
    if data[1:2] == ESCAPE:
        return 1
    if data[1:2] not in b"[O":
        return 2  # with the alt key
    for place in range(2, len(data)):
        if 0x40 <= data[place] <= 0x7E:
            return place + 1
        if not 0x20 <= data[place] <= 0x3F:
            return place  # broken off; the next key begins here
    return 0


class Repeats:
    """Keys that a terminal repeats become the presses that were meant."""

    def __init__(self) -> None:
        self._last: Key | None = None
        self._pressed_at = 0.0  # when the press that counted came
        self._seen_at = 0.0  # when the key was last seen
        self._repeats = 0

    @property
    def may_be_held(self) -> bool:
        """Whether the end of a held talk key is to be looked for."""
        return self._last is Key.TALK and self._repeats > 1

    def pressed(self, key: Key, now: float) -> list[Key]:
        """What a key that comes now means."""
        same = key is self._last
        soon = now - self._seen_at < REPEATS_S
        first = key is Key.TALK and not self._repeats and now - self._pressed_at < FIRST_REPEAT_S
        if same and (soon or first):
            self._seen_at = now
            self._repeats += 1
            return []
        ended = self.let_go(now)
        self._last, self._pressed_at, self._seen_at, self._repeats = key, now, now, 0
        return [*ended, key]

    def let_go(self, now: float) -> list[Key]:
        """The second press that the end of a held talk key is, once it is no longer repeated."""
        if not self.may_be_held or now - self._seen_at < REPEATS_S:
            return []
        self._last, self._repeats = None, 0
        return [Key.TALK]


class Keys:
    """The keys of one terminal, read in a thread of their own.

    Args:
        press: is given each press.
        descriptor: of the terminal; standard input when None.
        clock: seconds that only move forward.
    """

    def __init__(
        self,
        press: Callable[[Pressed], None],
        descriptor: int | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._press = press
        self._descriptor = descriptor
        self._clock = clock
        self._restore: Callable[[], None] | None = None
        self._wake: tuple[int, int] | None = None
        self._thread: threading.Thread | None = None

    @property
    def are_read(self) -> bool:
        """Whether there is a terminal whose keys are read."""
        return self._thread is not None

    def open(self) -> bool:
        """Begin to read keys; False where there is no terminal to read them from."""
        descriptor = terminal_of(self._descriptor)
        if descriptor is None:
            return False
        before = termios.tcgetattr(descriptor)
        self._restore = partial(termios.tcsetattr, descriptor, termios.TCSADRAIN, before)
        atexit.register(self.close)
        tty.setcbreak(descriptor, termios.TCSADRAIN)
        self._wake = os.pipe()
        self._thread = threading.Thread(
            target=self._read, args=(descriptor, self._wake[0]), name="keys", daemon=True
        )
        self._thread.start()
        return True

    def close(self) -> None:
        """Read no more, and leave the terminal as it was."""
        if self._wake is not None:
            os.write(self._wake[1], b".")
            if self._thread is not None:
                self._thread.join(1.0)
            for end in self._wake:
                os.close(end)
            self._wake = None
        if self._restore is not None:
            with contextlib.suppress(OSError, termios.error):  # the terminal may be gone
                self._restore()
            self._restore = None
        atexit.unregister(self.close)

    def __enter__(self) -> "Keys":
        self.open()
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _read(self, descriptor: int, wake: int) -> None:
        decoder, repeats = Decoder(), Repeats()
        while True:
            # Only an escape that may go on, or a key that may be held, is worth a look in between.
            wait = ESCAPE_ALONE_S if decoder.waits else REPEATS_S if repeats.may_be_held else None
            try:
                ready, _, _ = select.select([descriptor, wake], [], [], wait)
                if wake in ready:
                    return
                data = os.read(descriptor, 256) if descriptor in ready else b""
            except OSError:  # the terminal was closed
                return
            if ready and not data:
                return
            keys = decoder.feed(data) if data else decoder.nothing_followed()
            now = self._clock()
            presses = [press for key in keys for press in repeats.pressed(key, now)]
            for key in presses or repeats.let_go(now):
                self._press(Pressed(key))


def terminal_of(descriptor: int | None) -> int | None:
    """The terminal to read from, if it is one and is ours to read."""
    if not HAS_TERMINALS:
        return None
    try:
        number = sys.stdin.fileno() if descriptor is None else descriptor
        if not os.isatty(number):
            return None
        # Where another job has the terminal, reading from it would stop this process.
        return number if descriptor is not None or os.tcgetpgrp(number) == os.getpgrp() else None
    except (OSError, ValueError, AttributeError):  # closed, or no real file behind it
        return None
