"""The beat on a real sound server: what comes out of the loudspeaker keeps its interval."""

import array
import statistics
from typing import Any

import pytest

from handsfree.audio.device import SoundDevice
from handsfree.audio.speaker import Speaker
from handsfree.values import Spoken
from handsfree.values.timing import BeatSet
from handsfree.voice.mouth import Mouth, MouthEvent
from handsfree.voice.voice import Voice
from tests.unit.voice.mouths import until

pytestmark = pytest.mark.sound
RATE = 22050
BEAT = BeatSet(speed=25.4 * 240, every=25.4, group=12)  # a tick each quarter of a second
LISTENED_S = 8.0
LOUD = 500


def onsets(data: bytes) -> list[int]:
    """Where a tick begins, in samples."""
    found: list[int] = []
    last = -RATE
    for place, value in enumerate(array.array("h", data)):
        if abs(value) > LOUD:
            if place - last > RATE * 0.06 and (not found or place - found[-1] > RATE * 0.2):
                found.append(place)
            last = place
    return found


def test_the_loudspeaker_ticks_at_the_interval_and_speaks_over_it(server: Any) -> None:
    events: list[MouthEvent] = []
    with (
        Voice() as voice,
        Mouth(voice, Speaker(SoundDevice(), "ear"), events.append) as mouth,
        server.listen("ear", RATE) as ear,
    ):
        mouth.beat(BEAT)
        until(lambda: len(ear.data) >= 2 * RATE * LISTENED_S, 60.0)
        heard = ear.data
        mouth.say(["Set cutting oxygen."], 1)
        until(lambda: Spoken(True, 1) in events, 30.0)
        goes_on = mouth.beating
        mouth.hush()
        assert (goes_on, mouth.beating) == (True, False)
    found = onsets(heard)
    assert len(found) > LISTENED_S / BEAT.interval / 2
    between = [(b - a) / RATE for a, b in zip(found, found[1:], strict=False)]
    # A busy machine may let the device starve now and then; the beat itself never hurries or drags.
    assert statistics.median(between) == pytest.approx(BEAT.interval, abs=0.001)
