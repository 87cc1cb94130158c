"""Keys of a terminal, on a pseudo-terminal: what they mean, and that the terminal is put back."""

import os
import queue
import subprocess
import sys
import termios
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.app.terminal_keys import FIRST_REPEAT_S, REPEATS_S, SEQUENCES, Decoder, Keys, Repeats
from handsfree.values import Key, Pressed


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    """The user's end and the program's end."""
    ours, theirs = os.openpty()
    yield ours, theirs
    os.close(ours)
    os.close(theirs)


# --- what bytes mean ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sent", "key"),
    [
        (b" ", Key.TALK),
        (b"\r", Key.CONFIRM),
        (b"\x1b[C", Key.NEXT),
        (b"\x1b[B", Key.NEXT),
        (b"\x1b[6~", Key.NEXT),
        (b"\x1bOD", Key.BACK),
        (b"\x1b[A", Key.BACK),
        (b"\x1b[5~", Key.BACK),
        (b"\x1b[25~", Key.TALK),
        (b"\x1b[1;2Q", Key.CONFIRM),
        (b"\x1b[28~", Key.AGAIN),
        (b"\x1b[57379u", Key.STOP),
    ],
)
def test_every_key_of_the_pedals_has_its_meaning(sent: bytes, key: Key) -> None:
    assert Decoder().feed(sent) == [key]


def test_every_meaning_has_a_key_and_every_sequence_is_told_from_the_others() -> None:
    assert set(SEQUENCES.values()) == set(Key)
    sent = b"".join(SEQUENCES)
    assert Decoder().feed(sent) == list(SEQUENCES.values())


@given(st.lists(st.sampled_from(sorted(SEQUENCES)), max_size=8), st.integers(1, 5))
def test_sequences_may_come_in_pieces(sent: list[bytes], size: int) -> None:
    data = b"".join(sent)
    decoder = Decoder()
    keys = [k for at in range(0, len(data), size) for k in decoder.feed(data[at : at + size])]
    assert keys == [SEQUENCES[each] for each in sent]
    assert not decoder.waits


@given(st.binary(max_size=60))
def test_no_bytes_break_it_and_space_is_heard_after_them(noise: bytes) -> None:
    decoder = Decoder()
    decoder.feed(noise)
    decoder.nothing_followed()
    assert decoder.feed(b" ") == [Key.TALK]


def test_letters_and_other_keys_mean_nothing() -> None:
    assert Decoder().feed(b"qwerty\x1b[1;5C\x1b[3~\x1bx\x7f\t") == []


def test_escape_alone_stops() -> None:
    decoder = Decoder()
    assert decoder.feed(b"\x1b") == [], "it may go on"
    assert decoder.nothing_followed() == [Key.STOP]
    assert decoder.nothing_followed() == []


# --- keys that repeat -----------------------------------------------------------------------------


def held(
    key: Key, seconds: float, every: float = 0.03, first: float = 0.5
) -> list[tuple[float, Key]]:
    """What a terminal sends of a key that is held from 0 on."""
    times = [0.0]
    while (at := times[-1] + (every if len(times) > 1 else first)) < seconds:
        times.append(at)
    return [(at, key) for at in times]


@pytest.mark.parametrize("first", [0.25, 0.5, 0.66])
def test_a_held_talk_key_is_one_press_and_one_at_its_end(first: float) -> None:
    repeats = Repeats()
    presses = [k for at, key in held(Key.TALK, 3.0, first=first) for k in repeats.pressed(key, at)]
    assert presses == [Key.TALK]
    assert repeats.let_go(3.0 + REPEATS_S) == [Key.TALK]
    assert repeats.let_go(9.0) == []


def test_two_taps_of_the_talk_key_are_two() -> None:
    repeats = Repeats()
    taps = [repeats.pressed(Key.TALK, at) for at in (0.0, 1.5, 3.0)]
    assert taps == [[Key.TALK]] * 3
    assert repeats.let_go(9.0) == []


def test_a_bounce_is_no_second_tap() -> None:
    repeats = Repeats()
    assert repeats.pressed(Key.TALK, 0.0) == [Key.TALK]
    assert repeats.pressed(Key.TALK, 0.04) == []
    assert repeats.let_go(FIRST_REPEAT_S) == []


def test_a_remote_that_is_held_turns_few_pages() -> None:
    repeats = Repeats()
    presses = [k for at, key in held(Key.NEXT, 3.0) for k in repeats.pressed(key, at)]
    assert presses == [Key.NEXT, Key.NEXT]


def test_another_key_ends_a_held_talk_key() -> None:
    repeats = Repeats()
    for at, key in held(Key.TALK, 2.0):
        repeats.pressed(key, at)
    assert repeats.pressed(Key.STOP, 2.5) == [Key.TALK, Key.STOP]


# --- on a terminal --------------------------------------------------------------------------------


def test_keys_of_a_terminal_are_pressed(terminal: tuple[int, int]) -> None:
    ours, theirs = terminal
    presses: queue.Queue[Pressed] = queue.Queue()
    with Keys(presses.put, theirs):
        for sent, key in ((b" ", Key.TALK), (b"\x1b[6~", Key.NEXT), (b"\x1b", Key.STOP)):
            os.write(ours, sent)
            assert presses.get(timeout=10) == Pressed(key)
    assert presses.empty()


def test_the_terminal_is_left_as_it_was(terminal: tuple[int, int]) -> None:
    _, theirs = terminal
    before = termios.tcgetattr(theirs)
    keys = Keys(lambda press: None, theirs)
    assert keys.open()
    assert not termios.tcgetattr(theirs)[3] & (termios.ECHO | termios.ICANON)
    assert termios.tcgetattr(theirs)[3] & termios.ISIG, "Ctrl-C still ends the helper"
    keys.close()
    assert termios.tcgetattr(theirs) == before
    keys.close()


def test_the_terminal_is_put_back_after_a_fault(terminal: tuple[int, int]) -> None:
    _, theirs = terminal
    before = termios.tcgetattr(theirs)
    program = (
        "from handsfree.app.terminal_keys import Keys; Keys(print, 0).open(); raise SystemError"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], stdin=theirs, stderr=subprocess.PIPE, check=False
    )
    assert b"SystemError" in done.stderr
    assert termios.tcgetattr(theirs) == before


def test_a_terminal_that_goes_away_is_no_fault(terminal: tuple[int, int]) -> None:
    ours, theirs = os.openpty()
    keys = Keys(lambda press: None, theirs)
    assert keys.open()
    os.close(ours)
    keys.close()
    os.close(theirs)


def test_where_there_is_no_terminal_there_are_no_keys_and_no_fault() -> None:
    reading, writing = os.pipe()
    try:
        assert not Keys(lambda press: None, reading).open()
    finally:
        os.close(reading)
        os.close(writing)
    assert not Keys(lambda press: None, reading).open(), "nor behind a closed file"
    program = "from handsfree.app.terminal_keys import Keys; print(Keys(print).open())"
    done = subprocess.run(
        [sys.executable, "-c", program],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "False\n"
