"""One request from a stream of frames: all of it, from its first consonant, and no more."""

import math
import random
from array import array
from collections.abc import Iterator

import pytest

from handsfree.errors import SoundError
from handsfree.hear.endpointing import FRAME_BYTES, FRAME_S
from handsfree.hear.listening import listen_once
from handsfree.values import Words

RATE = 16_000
SAMPLES = FRAME_BYTES // 2


class Ear:
    """Keeps what it hears and says how much that was."""

    def __init__(self) -> None:
        self.heard = b""
        self.begun = 0

    def begin(self) -> None:
        self.begun += 1
        self.heard = b""

    def accept(self, block: bytes) -> bool:
        self.heard += block
        return False

    def partial(self) -> str:
        return ""

    def finish(self) -> Words:
        return Words(f"{len(self.heard) / 2 / RATE:.2f}")


def frames(*parts: tuple[float, float]) -> Iterator[bytes]:
    """Frames of soft noise with stretches of buzz: (seconds, loudness of the buzz)."""
    chance = random.Random(5)
    at = 0
    for seconds, loudness in parts:
        for _ in range(round(seconds / FRAME_S)):
            samples = array("h")
            for _ in range(SAMPLES):
                at += 1
                swell = 0.6 + 0.4 * math.sin(2 * math.pi * 4 * at / RATE)
                buzz = sum(math.sin(2 * math.pi * 140 * n * at / RATE) / n for n in range(1, 12))
                samples.append(round(chance.gauss(0, 60) + loudness * swell * buzz))
            yield samples.tobytes()


def test_hears_the_talk_and_stops_at_the_pause() -> None:
    ear = Ear()
    taken = listen_once(frames((1.0, 0), (1.2, 4000), (3.0, 0)), ear)
    assert ear.begun == 1
    heard_s = float(taken.words.text)
    assert 1.2 <= heard_s <= 2.6, "the talk, a little before it and the pause that ended it"
    assert not taken.level.clipped


def test_a_short_pause_does_not_cut_the_request() -> None:
    ear = Ear()
    taken = listen_once(frames((1.0, 0), (0.8, 4000), (0.5, 0), (0.8, 4000), (2.0, 0)), ear)
    assert float(taken.words.text) > 2.1


def test_nobody_speaks() -> None:
    with pytest.raises(SoundError, match="Nobody spoke for 2 seconds"):
        listen_once(frames((4.0, 0)), Ear(), patience_s=2.0)


def test_the_sound_ends_before_anybody_speaks() -> None:
    with pytest.raises(SoundError, match="ended before"):
        listen_once(frames((0.5, 0)), Ear())
