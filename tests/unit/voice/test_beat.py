"""The beat: every tick at its own sample, however the samples are asked for, and no drift."""

import array
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.speaker import Speaker
from handsfree.values import Spoken
from handsfree.values.timing import BeatSet
from handsfree.voice.beat import APART_S, KNOCK_S, Ticks, knock
from handsfree.voice.mouth import Mouth
from tests.unit.voice.mouths import RATE, LoudSystem, MadeVoice, until

INCH_BEAT = BeatSet(speed=12 * 25.4, every=25.4, group=12)  # twelve inches a minute: five seconds
FAST = BeatSet(speed=25.4 * 600, every=25.4, group=12)  # a tenth of a second


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def onsets(data: bytes, quiet: float) -> list[int]:
    """Where sound begins after at least that many seconds without any."""
    found: list[int] = []
    last = -(10**9)
    for place, value in enumerate(array.array("h", data)):
        if value:
            if place - last > quiet * RATE:
                found.append(place)
            last = place
    return found


def played(ticks: Ticks, clock: Clock, seconds: float, sizes: random.Random) -> bytes:
    """What a device gets that asks for pieces of changing sizes, in its own time."""
    data = bytearray()
    while len(data) < 2 * RATE * seconds:
        count = sizes.randint(1, 2500)
        data += ticks.mix(bytes(2 * count), RATE)
        clock.now += count / RATE
    return bytes(data)


def test_two_minutes_of_ticks_stand_each_at_its_own_sample() -> None:
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(INCH_BEAT)
    data = played(ticks, clock, 120.0, random.Random(1))
    first = onsets(data, APART_S * 2)
    offset = first[0]  # a knock swells: its first sample is none
    wanted = [round(n * INCH_BEAT.interval * RATE) for n in range(len(first))]
    assert len(first) >= 24
    assert [place - offset for place in first] == wanted


@given(st.floats(30, 2000), st.sampled_from([(25.4, 12), (10.0, 10)]), st.integers(0, 10**6))
def test_nothing_adds_up_over_an_hour(speed: float, grid: tuple[float, int], seed: int) -> None:
    """The tick after an hour of samples, asked for in any pieces, is where it belongs."""
    every, group = grid
    beat = BeatSet(speed, every, group)
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(beat)
    sizes = random.Random(seed)
    hour = 3600 * RATE
    ticks.mix(b"", RATE)
    ticks._at = hour  # an hour has been handed over
    number = int(3600 / beat.interval) + 1
    place = round(number * beat.interval * RATE)
    data = bytearray()
    while len(data) < 2 * (place - hour + RATE):
        count = sizes.randint(100, 4000)
        data += ticks.mix(bytes(2 * count), RATE)
    values = array.array("h", bytes(data))
    start = place - hour
    wanted = knock(RATE, number % group == 0)[: round(KNOCK_S * RATE)]
    assert list(values[start : start + len(wanted)]) == list(wanted)


def test_each_foot_is_told_by_a_double_tick() -> None:
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(FAST)
    slow = BeatSet(25.4 * 120, 25.4, 4)  # half a second, a group of four
    ticks.set(None)
    ticks.set(slow)
    data = array.array("h", played(ticks, clock, 5.0, random.Random(2)))
    second = round(APART_S * RATE) + 20
    doubles = [
        n
        for n in range(10)
        if any(data[n * RATE // 2 + second : n * RATE // 2 + second + round(KNOCK_S * RATE) - 40])
    ]
    assert doubles == [0, 4, 8]


def test_a_faster_beat_goes_on_from_the_last_tick() -> None:
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(BeatSet(25.4 * 60, 25.4, 12))  # a second
    data = bytearray()
    data += ticks.mix(bytes(2 * int(2.4 * RATE)), RATE)
    ticks.set(BeatSet(25.4 * 120, 25.4, 12))  # half a second
    data += ticks.mix(bytes(2 * 2 * RATE), RATE)
    found = onsets(bytes(data), 0.2)
    assert [round((place - found[0]) / RATE, 3) for place in found] == [0, 1, 2, 2.5, 3, 3.5, 4]


def test_where_the_device_stopped_for_a_while_the_clock_tells_how_long() -> None:
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(BeatSet(25.4 * 60, 25.4, 12))
    ticks.mix(bytes(2 * RATE // 2), RATE)
    clock.now += 0.5
    clock.now += 3.2  # it was closed and opened anew
    data = ticks.mix(bytes(2 * RATE), RATE)
    found = onsets(data, 0.2)
    # 0.5 s were handed over, 3.7 s went by since: the next tick is the fifth second
    assert found[0] / RATE == pytest.approx(5.0 - 0.5 - 3.7, abs=0.01)


def test_what_is_said_is_not_cut_by_a_tick_and_never_past_full_scale() -> None:
    clock = Clock()
    ticks = Ticks(clock)
    ticks.set(BeatSet(25.4 * 60, 25.4, 12))
    loud = array.array("h", [32000] * RATE)
    mixed = array.array("h", ticks.mix(loud.tobytes(), RATE))
    assert max(mixed) <= 32767
    assert mixed != loud
    assert mixed[RATE // 2 :] == loud[RATE // 2 :]


def test_no_beat_changes_nothing() -> None:
    data = array.array("h", range(1000)).tobytes()
    assert Ticks().mix(data, RATE) is data


# --- through the mouth ----------------------------------------------------------------------------


class Room:
    """A mouth with a beat, on a loudspeaker that runs ten times as fast as a real one."""

    def __init__(self) -> None:
        self.system = LoudSystem()
        self.events: list[object] = []
        self.mouth = Mouth(MadeVoice(), Speaker(self.system), self.events.append)

    def ticks(self) -> int:
        return len(onsets(bytes(self.system.heard), 0.05))


def test_the_beat_sounds_while_nothing_is_said_and_stops_by_word() -> None:
    room = Room()
    with room.mouth as mouth:
        mouth.beat(FAST)
        until(lambda: room.ticks() >= 5)
        assert mouth.beating
        assert mouth.set_to == FAST
        assert not mouth.speaking
        mouth.beat(None)
        until(lambda: not mouth.sounding)
        heard = len(room.system.heard)
        until(lambda: len(room.system.heard) == heard or not mouth.beating)
        assert not mouth.beating


def test_the_helper_speaks_over_the_beat_and_the_beat_goes_on() -> None:
    room = Room()
    with room.mouth as mouth:
        mouth.beat(FAST)
        until(lambda: room.ticks() >= 2)
        mouth.say(["7", "8"], 1)
        until(lambda: Spoken(True, 1) in room.events)
        before = room.ticks()
        until(lambda: room.ticks() > before + 3)
        assert mouth.beating
    assert room.events.count(Spoken(True, 1)) == 1


def test_silence_is_first_for_the_talk_then_for_the_beat() -> None:
    room = Room()
    room_voice_s = MadeVoice.length_s
    with room.mouth as mouth:
        mouth.beat(FAST)
        until(lambda: room.ticks() >= 1)
        MadeVoice.length_s = 5.0
        try:
            mouth.say(["7"], 1)
            until(lambda: 7 in array.array("h", bytes(room.system.heard)))
            mouth.hush()
            until(lambda: Spoken(False, 1) in room.events)
        finally:
            MadeVoice.length_s = room_voice_s
        assert mouth.beating
        before = room.ticks()
        until(lambda: room.ticks() > before)
        mouth.hush()
        assert not mouth.beating


def test_a_loudspeaker_that_is_gone_ends_the_beat_and_not_the_mouth() -> None:
    room = Room()
    with room.mouth as mouth:
        mouth.beat(FAST)
        until(lambda: room.ticks() >= 1)
        room.system.fault = OSError("unplugged")
        room.system.dead.set()
        until(lambda: not mouth.beating, 20.0)
        room.system.fault = None
        room.system.dead.clear()
        mouth.say(["9"], 2)
        until(lambda: any(isinstance(e, Spoken) and e.number == 2 for e in room.events), 20.0)
