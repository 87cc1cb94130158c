"""Talk is found, whole and with its pauses, in silence and in the noise of the shop.

The talk is our own voice's, mixed with noises made here: the hiss of a cutting jet, the roar of a
preheat flame, a grinder, hammer blows. Decibels are of the talk over the noise, speech power
counted where there is speech.
"""

import array
import math
import random
from collections.abc import Callable, Iterator
from functools import lru_cache

import pytest

from handsfree.audio.resample import resample
from handsfree.hear.endpointing import (
    BAND_EDGES,
    FRAME_BYTES,
    PRE_EMPHASIS,
    EndPointer,
    SpeechEnded,
    SpeechStarted,
    band_levels,
    speech_spans,
    trimmed,
)
from handsfree.values import Samples
from handsfree.voice.voice import Voice, VoiceSettings

RATE = 16000
LEAD_S = 3.0

Wave = list[float]


def white(count: int, seed: int = 1) -> Wave:
    drawn = random.Random(seed)
    return [drawn.gauss(0, 1) for _ in range(count)]


def hiss(count: int) -> Wave:
    """A cutting jet: noise that grows with frequency."""
    noise = white(count + 1)
    return [now - 0.7 * before for before, now in zip(noise, noise[1:], strict=False)]


def roar(count: int) -> Wave:
    """A preheat flame under a jet: noise that falls with frequency, and hiss."""
    low, wave = 0.0, []
    for now, jet in zip(white(count, 2), hiss(count), strict=True):
        low = 0.95 * low + now
        wave.append(low + jet)
    return wave


def grinder(count: int) -> Wave:
    """Harmonics of a turning disc that hunts a little, and its wind."""
    wind, turn, wave = white(count, 3), 0.0, []
    for n in range(count):
        turn += 2 * math.pi * 180 * (1 + 0.01 * math.sin(4.4 * n / RATE)) / RATE
        wave.append(sum(math.sin(k * turn + k * k) / k**0.5 for k in range(1, 9)) + wind[n])
    return wave


def hammer(count: int) -> Wave:
    """A blow every 1.3 seconds that rings off in a quarter of a second, over a quiet shop."""
    wave = [0.1 * value for value in white(count, 4)]
    for blow in range(int(0.35 * RATE), count - RATE // 4, int(1.3 * RATE)):
        for n in range(RATE // 4):
            fall = 8 * math.exp(-n / (0.03 * RATE))
            wave[blow + n] += fall * sum(
                math.sin(2 * math.pi * f * n / RATE) for f in (900, 2100, 3400, 5200)
            )
    return wave


NOISES: dict[str, Callable[[int], Wave]] = {
    "hiss": hiss,
    "white": white,
    "roar": roar,
    "grinder": grinder,
    "hammer": hammer,
}


@lru_cache
def longest(noise: str) -> Wave:
    return NOISES[noise](20 * RATE)


def shop(noise: str, count: int) -> Wave:
    """So many samples of a noise, always the same."""
    return longest(noise)[:count]


def power(wave: Wave) -> float:
    return sum(value * value for value in wave) / len(wave)


def frames_of(wave: Wave) -> Iterator[bytes]:
    data = array.array("h", [min(max(int(value), -32768), 32767) for value in wave]).tobytes()
    for start in range(0, len(data) - FRAME_BYTES + 1, FRAME_BYTES):
        yield data[start : start + FRAME_BYTES]


def events(wave: Wave, ear: EndPointer | None = None) -> list[SpeechStarted | SpeechEnded]:
    ear = ear or EndPointer()
    return [event for frame in frames_of(wave) if (event := ear.feed(frame))]


@pytest.fixture(scope="module")
def talk() -> dict[str, Wave]:
    """Phrases at 16 kHz, the silence around them cut off."""
    phrases = {}
    for name in ("en-us", "en"):
        with Voice(VoiceSettings(voice=name)) as voice:
            for text in (
                "what do I set for three quarter plate",
                "three eighths",
                "ten",
                "an inch",
                "and a half",
            ):
                spoken = voice.render(text, 150)
                wave = resample(array.array("h", spoken.data), spoken.rate, RATE)
                loud = [n for n, value in enumerate(wave) if abs(value) > 300]
                phrases[f"{name}: {text}"] = [float(v) for v in wave[loud[0] : loud[-1]]]
    return phrases


def in_noise(phrase: Wave, noise: str, decibels: float) -> tuple[Wave, float]:
    """The phrase after three seconds of noise, two seconds more of it, and when the phrase ends."""
    lead = int(LEAD_S * RATE)
    made = shop(noise, lead + len(phrase) + 2 * RATE)
    sounding = [value for value in phrase if value]
    scale = math.sqrt(power(sounding) / power(made)) / 10 ** (decibels / 20)
    wave = [0.5 * scale * value for value in made]
    for n, value in enumerate(phrase, lead):
        wave[n] += 0.5 * value
    return wave, (lead + len(phrase)) / RATE


@pytest.mark.parametrize("noise", NOISES)
@pytest.mark.parametrize("decibels", [30, 15, 5])
def test_a_phrase_is_found_whole_and_once(
    talk: dict[str, Wave], noise: str, decibels: float
) -> None:
    wrong = []
    for name in ("en-us: what do I set for three quarter plate", "en: three eighths"):
        wave, ends = in_noise(talk[name], noise, decibels)
        found = events(wave)
        match found:
            case [SpeechStarted(at_s=began), SpeechEnded() as ended]:
                if not (LEAD_S - 0.6 < began < LEAD_S + 0.05 and abs(ended.ended_s - ends) < 0.3):
                    wrong.append((name, ends, found))
            case _:
                wrong.append((name, ends, found))
    assert not wrong


@pytest.mark.parametrize("noise", NOISES)
def test_noise_alone_is_never_talk(noise: str) -> None:
    made = shop(noise, 20 * RATE)
    scale = 3000 / math.sqrt(power(made))
    assert events([scale * value for value in made]) == []


@pytest.mark.parametrize("noise", ["hiss", "roar"])
@pytest.mark.parametrize("voice", ["en-us", "en"])
def test_a_pause_inside_an_inch_and_a_half_does_not_end_it(
    talk: dict[str, Wave], noise: str, voice: str
) -> None:
    pause = [0.0] * int(0.6 * RATE)
    phrase = talk[f"{voice}: an inch"] + pause + talk[f"{voice}: and a half"]
    for decibels in (30, 10):
        wave, ends = in_noise(phrase, noise, decibels)
        started, ended = events(wave)
        assert isinstance(started, SpeechStarted)
        assert isinstance(ended, SpeechEnded)
        assert ended.ended_s == pytest.approx(ends, abs=0.3)


def test_the_end_is_told_as_soon_as_the_pause_is_over(talk: dict[str, Wave]) -> None:
    wave, ends = in_noise(talk["en-us: three eighths"], "roar", 15)
    ear = EndPointer()
    told = next(ear.now_s for frame in frames_of(wave) if isinstance(ear.feed(frame), SpeechEnded))
    assert told == pytest.approx(ends + 0.8, abs=0.2)
    quick = EndPointer(pause_s=0.4)
    told_sooner = next(
        quick.now_s for frame in frames_of(wave) if isinstance(quick.feed(frame), SpeechEnded)
    )
    assert told - told_sooner == pytest.approx(0.4, abs=0.03)


@pytest.mark.parametrize("name", ["en-us: ten", "en: ten"])
def test_one_short_word_is_enough(talk: dict[str, Wave], name: str) -> None:
    wave, _ = in_noise(talk[name], "hiss", 15)
    assert len(events(wave)) == 2


def test_a_torch_that_is_lit_is_soon_taken_for_noise_and_talk_over_it_is_found(
    talk: dict[str, Wave],
) -> None:
    wave, ends = in_noise(talk["en-us: what do I set for three quarter plate"], "roar", 10)
    quiet = [0.02 * value for value in white(4 * RATE, 5)]
    found = events([200 * value for value in quiet] + wave)
    *torch, started, ended = found
    for event in torch:
        if isinstance(event, SpeechEnded):
            assert event.ended_s - 4.0 < 1.5, "the torch counted as a talker for long"
            assert not event.cut
    assert isinstance(started, SpeechStarted)
    assert started.at_s == pytest.approx(4 + LEAD_S - 0.3, abs=0.3)
    assert isinstance(ended, SpeechEnded)
    assert ended.ended_s == pytest.approx(4 + ends, abs=0.3)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_a_flame_that_flutters_does_not_prolong_the_talk(talk: dict[str, Wave], seed: int) -> None:
    """Its level wavers twelve times a second, by three tenths, in all bands alike."""
    wave, ends = in_noise(talk["en-us: what do I set for three quarter plate"], "roar", 10)
    chance = random.Random(seed)
    steps = [1 + 0.3 * chance.gauss(0, 1) for _ in range(12 * len(wave) // RATE + 2)]
    spoken, _ = in_noise(talk["en-us: what do I set for three quarter plate"], "roar", 90)
    for n, loud in enumerate(spoken):
        at, part = divmod(12 * n / RATE, 1)
        flutter = steps[int(at)] * (1 - part) + steps[int(at) + 1] * part
        wave[n] = loud + (wave[n] - loud) * flutter
    found = events([*wave, *wave[: 2 * RATE]])
    ended = [event.ended_s for event in found if isinstance(event, SpeechEnded)]
    assert any(end == pytest.approx(ends, abs=0.4) for end in ended), found


def test_what_was_begun_can_be_dropped_and_the_noise_stays_known(talk: dict[str, Wave]) -> None:
    wave, ends = in_noise(talk["en-us: three eighths"], "roar", 15)
    ear = EndPointer()
    half = int((LEAD_S + 0.5) * RATE)
    assert len(events(wave[:half], ear)) == 1, "it began"
    ear.restart()
    room = wave[: int((LEAD_S - 0.5) * RATE)]
    assert events(room, ear) == [], "it does not end, and the roar is no talk"


def test_talk_that_is_prolonged_is_cut_later(talk: dict[str, Wave]) -> None:
    wave, _ = in_noise(talk["en-us: what do I set for three quarter plate"] * 5, "hiss", 20)
    wave = wave[: -2 * RATE] + wave[int(LEAD_S * RATE) :]
    ear = EndPointer()
    for count, frame in enumerate(frames_of(wave)):
        if count == 400:
            ear.prolong()
        event = ear.feed(frame)
        if isinstance(event, SpeechEnded):
            assert event.cut
            assert ear.now_s == pytest.approx(8 + 15.0, abs=0.1)
            break
    else:
        pytest.fail("it was not cut")


def test_quiet_talk_is_found_right_after_the_torch_is_shut(talk: dict[str, Wave]) -> None:
    phrase = [0.1 * value for value in talk["en-us: what do I set for three quarter plate"]]
    made = shop("roar", 5 * RATE)
    scale = 4000 / math.sqrt(power(made))
    torch = [scale * value for value in made]
    hush = [8 * value for value in white(len(phrase) + 3 * RATE, 6)]
    for n, value in enumerate(phrase, RATE // 2):
        hush[n] += value
    started, ended = events(torch + hush)
    assert isinstance(started, SpeechStarted)
    assert started.at_s == pytest.approx(5.2, abs=0.35)
    assert isinstance(ended, SpeechEnded)
    assert ended.ended_s == pytest.approx(5.5 + len(phrase) / RATE, abs=0.3)


def test_talk_that_never_pauses_is_cut(talk: dict[str, Wave]) -> None:
    wave, _ = in_noise(talk["en-us: what do I set for three quarter plate"] * 6, "hiss", 20)
    ended = next(event for event in events(wave) if isinstance(event, SpeechEnded))
    assert ended.cut
    assert ended.ended_s - ended.began_s == pytest.approx(15.0, abs=0.5)


@pytest.mark.parametrize("value", [0.0, 1.0, -32768.0, 32767.0])
def test_no_sound_and_a_stuck_microphone_are_no_talk(value: float) -> None:
    assert events([value] * (3 * RATE)) == []


def test_one_tone_held_for_long_is_soon_no_talk() -> None:
    tone = [5000 * math.sin(2 * math.pi * 440 * n / RATE) for n in range(6 * RATE)]
    found = events([10 * value for value in white(2 * RATE)] + tone)
    assert all(not event.cut for event in found if isinstance(event, SpeechEnded))
    assert not found or isinstance(found[-1], SpeechEnded)


def test_a_recording_is_trimmed_to_the_talk_in_it(talk: dict[str, Wave]) -> None:
    wave, ends = in_noise(talk["en-us: three eighths"], "roar", 15)
    samples = Samples(b"".join(frames_of(wave)), RATE)
    ((began, ended),) = speech_spans(samples)
    assert LEAD_S - 0.6 < began < LEAD_S
    assert ended == pytest.approx(ends, abs=0.3)
    kept = trimmed(samples)
    assert kept.seconds == pytest.approx(ended + 0.3 - began, abs=0.05)
    assert kept.data in samples.data


def test_a_recording_that_begins_and_ends_with_talk_keeps_all_of_it(talk: dict[str, Wave]) -> None:
    phrase = talk["en-us: what do I set for three quarter plate"]
    samples = Samples(b"".join(frames_of(phrase)), RATE)
    assert trimmed(samples).seconds > samples.seconds - 0.15


def test_a_recording_without_talk_stays_whole() -> None:
    samples = Samples(b"".join(frames_of([300 * value for value in white(2 * RATE)])), RATE)
    assert speech_spans(samples) == ()
    assert trimmed(samples) is samples
    assert trimmed(Samples(b"", RATE)).data == b""


def test_frames_and_rates_of_another_size_are_refused() -> None:
    with pytest.raises(ValueError, match="640 bytes, not 320"):
        EndPointer().feed(bytes(320))
    with pytest.raises(ValueError, match="not 8000"):
        speech_spans(Samples(bytes(3200), 8000))


@pytest.mark.parametrize(
    ("frequency", "band"), [(400, 0), (1000, 1), (1800, 2), (2700, 3), (3800, 4), (5500, 5)]
)
def test_a_tone_is_strongest_in_its_own_band(frequency: float, band: int) -> None:
    tone = [5000 * math.sin(2 * math.pi * frequency * n / RATE) for n in range(320)]
    levels = band_levels(next(frames_of(tone)))
    assert levels.index(max(levels)) == band
    far = [level for n, level in enumerate(levels) if abs(n - band) > 1]
    assert max(levels) - max(far) > 15


def test_the_bands_share_the_power_of_white_noise_by_their_width() -> None:
    """Flat noise of power 1e6, pre-emphasised: each band holds its share of 1e6 |1 - 0.95 z|^2."""
    sums = [0.0] * 6
    frames = list(frames_of([1000 * value for value in white(200 * 320)]))
    for frame in frames:
        for band, level in enumerate(band_levels(frame)):
            sums[band] += 10 ** (level / 10) / len(frames)
    for band, (low, high) in enumerate(zip(BAND_EDGES, BAND_EDGES[1:], strict=False)):
        steps = [low + (high - low) * (n + 0.5) / 50 for n in range(50)]
        gain = sum(
            1 + PRE_EMPHASIS**2 - 2 * PRE_EMPHASIS * math.cos(2 * math.pi * f / RATE) for f in steps
        )
        expected = 1e6 * gain / 50 * (high - low) / (RATE / 2)
        if band == 0:  # the weakest band by far also gets what leaks from its neighbour
            assert expected < sums[band] < 2 * expected
        else:
            assert sums[band] == pytest.approx(expected, rel=0.2)
