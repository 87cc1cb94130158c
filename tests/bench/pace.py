"""How exactly the beat ticks, how well a mark is heard, and how exactly it measures travel.

    python -m tests.bench.pace [--runs 4]

The beat is counted in the samples that a device would be given, in pieces of changing size, for an
hour. Marks are spoken by voices of the install into the real ears, frame by frame over made noise,
at known moments; what is measured is the time between two marks that the helper reckons with,
against the time between the beginnings of the two words.
"""

import argparse
import array
import itertools
import math
import platform
import random
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from handsfree.app.demo.site import BREATH_S, FRAME_SAMPLES, Site
from handsfree.app.wiring import MODEL, request_recogniser, spotter_beside
from handsfree.hear.model_folder import open_model
from handsfree.hear.recogniser import SAMPLE_RATE_HZ
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Settings, cache_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import Samples
from handsfree.values.timing import BeatSet
from handsfree.voice.beat import Ticks, knock
from handsfree.voice.voice import Voice, VoiceSettings
from tests.bench.hearing_tables import note, row
from tests.bench.noise import MADE, Sound, from_bytes, to_bytes

RATE = 22050
HOUR_S = 3600
DRIFT_BAR_MS = 1.0
HEARD_BAR = 95.0
OFF_BAR = 3.0  # percent of the travel over a run of half a minute
GAPS_S = (6.0, 12.0, 30.0, 60.0)
# A site's noise: none but the hiss of a quiet one, or a torch at a ratio to the marks, in decibels.
SITES: dict[str, tuple[str, float] | None] = {
    "quiet": None,
    "roar, 20 dB": ("roar", 20.0),
    "jet, 10 dB": ("jet", 10.0),
    "roar, 10 dB": ("roar", 10.0),
    "jet, 5 dB": ("jet", 5.0),
    "roar, 5 dB": ("roar", 5.0),
    "own beat, 6 dB": ("beat", 6.0),  # a loudspeaker that the microphone hears well
}
NOISE_S = 8.0  # of it that is made, and then heard again and again
VOICES = (
    VoiceSettings(voice="en", pitch=38, value_rate=135, talk_rate=135),
    VoiceSettings(voice="en", pitch=60, value_rate=150, talk_rate=150),
    VoiceSettings(voice="en-us", pitch=30, value_rate=150, talk_rate=150),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One pair of marks: which site, the true time between them, and what was reckoned with.

    `reckoned` is None where a mark was not heard.
    """

    site: str
    true: float
    reckoned: float | None

    @property
    def off(self) -> float:
        """By how much it was wrong, in seconds."""
        return math.nan if self.reckoned is None else self.reckoned - self.true


def beat_drift() -> float:
    """The worst place of a tick over an hour, in milliseconds from where it belongs."""
    beat = BeatSet(speed=12.7 * 25.4, every=25.4, group=12)
    now = [0.0]
    ticks = Ticks(lambda: now[0])
    ticks.set(beat)
    draw = random.Random(7)
    given = 0
    worst = 0.0
    number = 0
    knocks = [list(knock(RATE, double)) for double in (False, True)]
    first = [next(n for n, value in enumerate(each) if value) for each in knocks]
    quiet_from = 0
    while given < HOUR_S * RATE:
        count = draw.randint(200, 3000)
        data = array.array("h", ticks.mix(bytes(2 * count), RATE))
        if any(data):
            for place, value in enumerate(data):
                if value and given + place >= quiet_from:
                    wanted = number * beat.interval * RATE + first[number % beat.group == 0]
                    worst = max(worst, abs(given + place - wanted) / RATE * 1000)
                    number += 1
                    quiet_from = given + place + RATE
        given += count
        now[0] += count / RATE
    return worst


@contextmanager
def site_with(folder: Path, ours: Voice) -> Iterator[Site]:
    """A site whose ears are real."""
    model, graphs = open_model(shipped_folder(MODEL)), cache_folder() / "graphs"
    grammar = shipped_folder("grammar")
    attention = load_grammar(grammar, "attention", cache_folder() / "grammar")
    answers = load_grammar(grammar, "answers", cache_folder() / "grammar")
    session = Session(Settings(folder))
    recogniser = request_recogniser(session)
    yield Site(
        folder,
        ours,
        spotter_beside(recogniser, session, attention.word_network()),
        recogniser,
        steps=load_recogniser(model, answers.word_network(), graphs, session.sense),
    )


def frames(kind: str, ratio_db: float, marks: list[tuple[Samples, float]]) -> Iterator[bytes]:
    """A torch's noise or our own ticks without end, at a ratio to the loud parts of the marks."""
    count = round(NOISE_S * SAMPLE_RATE_HZ)
    noise = _own_beat(count) if kind == "beat" else MADE[kind](count, np.random.default_rng(11))
    loud = [_loudness(from_bytes(mark.data)) for mark, _ in marks]
    level = statistics.mean(loud) / 10 ** (ratio_db / 20)
    data = to_bytes(noise * level / _loudness(noise))
    size = 2 * FRAME_SAMPLES
    return itertools.cycle([data[at : at + size] for at in range(0, len(data), size)])


def _own_beat(count: int) -> Sound:
    """Ticks two seconds apart, over a hiss."""
    ticks = Ticks(lambda: 0.0)
    ticks.set(BeatSet(speed=30 * 25.4, every=25.4, group=12))
    beat = from_bytes(ticks.mix(bytes(2 * count), SAMPLE_RATE_HZ))
    return beat + np.random.default_rng(11).normal(0, 40, count)


def _loudness(sound: Sound) -> float:
    return float(np.sqrt(np.mean(sound[np.abs(sound) > np.max(np.abs(sound)) / 10] ** 2)))


def pairs(
    name: str, ours: Voice, words: list[tuple[Samples, float]], runs: int
) -> Iterator[Measured]:
    """Pairs of marks on one site; each voice in turn."""
    with tempfile.TemporaryDirectory() as folder, site_with(Path(folder), ours) as site:
        if (noise := SITES[name]) is not None:
            site._noise = frames(*noise, words)
        site.wait(5.0)
        for number in range(runs):
            for gap in GAPS_S:
                mark, lead = words[number % len(words)]
                yield _pair(site, name, gap, mark, lead)


def _pair(site: Site, name: str, gap: float, mark: Samples, lead: float) -> Measured:
    pacing = site.session.pacing
    site.helper.ask("stop marking")
    site.helper.turn_all()
    site.let_speak()
    site.helper.ask("mark six inches")
    site.helper.turn_all()
    site.let_speak()
    site.wait(1.0)
    began = site.now + BREATH_S + lead
    site.say(mark)
    marking = pacing._hand.marking
    site.let_speak()
    if marking is None or marking.since is None:
        return Measured(name, gap, None)
    rest = gap - (site.now - began) - BREATH_S - lead
    site.wait(max(0.0, rest))
    ended = site.now + BREATH_S + lead
    site.say(mark)
    site.let_speak()
    run = pacing._hand.run
    if run is None or pacing._hand.marking is not None:
        return Measured(name, ended - began, None)
    pacing._hand.run = None
    return Measured(name, ended - began, 6.0 * 60.0 / run.speed)


def spoken_marks() -> list[tuple[Samples, float]]:
    """The word in each voice, and how long the voice is silent before it."""
    found = []
    for settings in VOICES:
        with Voice(settings) as voice:
            samples = voice.render("mark")
        values = array.array("h", samples.data)
        first = next(place for place, value in enumerate(values) if abs(value) > 300)
        found.append((samples, first / samples.rate))
    return found


def main(arguments: list[str] | None = None) -> None:
    """Measure, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=4, help="of each time between two marks")
    given = parser.parse_args(arguments)
    print("figure | measured | bar | met or short")
    row("a tick from its place, worst in an hour", beat_drift(), DRIFT_BAR_MS, "ms")
    words = spoken_marks()
    with Voice() as ours:
        for name in SITES:
            found = list(pairs(name, ours, words, given.runs))
            heard = [each for each in found if each.reckoned is not None]
            row(f"both marks heard, {name}", 100 * len(heard) / len(found), HEARD_BAR, "%", True)
            offs = [abs(each.off) for each in heard]
            if not offs:
                continue
            note(f"time between two marks, off by in the middle, {name}", _ms(offs), "ms")
            note(f"time between two marks, off by at worst, {name}", 1000 * max(offs), "ms")
            long = [100 * abs(e.off) / e.true for e in heard if e.true > 25]
            if long:
                worst = max(long)
                row(f"travel over half a minute and more, at worst, {name}", worst, OFF_BAR, "%")
    print(
        f"\n{len(GAPS_S) * given.runs} pairs of marks a site, "
        f"{', '.join(f'{gap:g}' for gap in GAPS_S)} s apart, {len(VOICES)} voices of the install "
        f"in turn, both marks by the same one, noise made by formula; "
        f"Python {platform.python_version()}, {platform.machine()}"
    )


def _ms(seconds: list[float]) -> float:
    return 1000 * statistics.median(seconds)


if __name__ == "__main__":
    main(sys.argv[1:])
