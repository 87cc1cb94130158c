"""Can the voice be understood: the helper's own sentences, in noise and behind a plug, read back.

Run by itself: `python -m tests.bench.voice`; `--choose` compares rates, pitches and wordings on the
sentences kept for choosing, `--model` reads back with another model, `--misread` lists what was
read back wrongly. The sentences are real answers to some 1300 requests; our recogniser hears them
with a graph of their forms and any number in each slot. Nobody's ears took part: it is a machine's
check, and our model was trained on speech of this very synthesiser among others.
"""

import argparse
import array
import os
import platform
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from handsfree.app.wiring import MODEL
from handsfree.audio.resample import resample
from handsfree.hear.model_folder import open_model
from handsfree.hear.vosk_adapter import VoskRecogniser, load_recogniser
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.voice.voice import PAUSE_S, Voice, VoiceSettings
from tests.bench.noise import RATE, Noises, Sound, from_bytes, mixed, to_bytes
from tests.bench.voice_forms import (
    KINDS,
    Said,
    compared,
    helpers_sentences,
    kind_of,
    known,
    network_of,
    some,
    unreadable,
)

RATIOS = ("quiet", "10", "5", "0")
MOST_WRONG = 1 / 50
NUMBERS = 330
WHISPER = 3.0  # standard deviation of the ear's own noise, on the scale of 16-bit samples
# Mean attenuation of a foam ear plug, octave by octave, of the kind that data sheets give by
# EN 352-2 from tests by ISO 4869-1. From memory, and rounded; no product's.
PLUG_DB = {63: 22, 125: 23, 250: 25, 500: 27, 1000: 28, 2000: 34, 4000: 41, 8000: 40}


@dataclass(frozen=True)
class Way:
    """One way to say a sentence."""

    name: str
    settings: VoiceSettings
    worded: Callable[[str], str] = str


@dataclass
class Count:
    """Numbers read back rightly and wrongly, in each condition and of each kind."""

    right: Counter[str]
    asked: Counter[str]
    misread: list[str]

    def wrong(self, ratio: str) -> float:
        return 1 - self.right[ratio] / max(1, self.asked[ratio])


def plugged(sound: Sound) -> Sound:
    """What comes through a foam plug."""
    spectrum = np.fft.rfft(sound)
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    octaves = np.log2(np.array(list(PLUG_DB), float))
    loss = np.interp(np.log2(np.maximum(hertz, 20.0)), octaves, list(PLUG_DB.values()))
    return np.fft.irfft(spectrum * 10 ** (-loss / 20), len(sound))


def spoken(voice: Voice, way: Way, sentence: str) -> Sound:
    """A sentence at 16 kHz, with a moment of silence around it."""
    made = voice.render(way.worded(sentence))
    samples = resample(array.array("h", made.data), made.rate, RATE)
    quiet = np.zeros(int(PAUSE_S * RATE))
    return np.concatenate([quiet, from_bytes(samples.tobytes()), quiet])


def read_back(
    said: Sequence[Said], way: Way, ear: VoskRecogniser, ratios: Iterable[str]
) -> tuple[Count, float]:
    """What was read back in each condition, and how many words a minute were spoken."""
    count = Count(Counter(), Counter(), [])
    noises = Noises()
    names = noises.names()
    words = seconds = 0.0
    with Voice(way.settings) as voice:
        for number, one in enumerate(said):
            sound = spoken(voice, way, one.sentence)
            words += len(one.sentence.split())
            seconds += len(sound) / RATE - PAUSE_S
            own = np.random.default_rng(number).standard_normal(len(sound)) * WHISPER
            for ratio in ratios:
                name = names[number % len(names)]
                noisy = sound
                if ratio != "quiet":
                    noisy = mixed(sound, noises.cut(name, len(sound), number), float(ratio))
                heard = ear.recognise(to_bytes(plugged(noisy) + own)).text
                for at, (right, slot) in enumerate(compared(one, heard)):
                    for key in (ratio, f"{ratio} {kind_of(one, at)}", f"{ratio} {name}"):
                        count.asked[key] += 1
                        count.right[key] += right
                    if not right:
                        count.misread.append(f"{ratio:5} {name:8} {one.numbers[at]} -> {slot}")
    return count, 60 * words / seconds


def ear_for(said: Sequence[Said], model: Path | None) -> VoskRecogniser:
    """Our recogniser with the forms of these sentences, and no way out into talk."""
    if never := unreadable(said):
        raise SystemExit(f"no slot holds {', '.join(sorted(never))}: add them to NUMBER_RULES")
    folder = replace(open_model(model or shipped_folder(MODEL)), filler_start_cost=60.0)
    return load_recogniser(folder, network_of(said), cache_folder() / "graphs")


def ways() -> list[Way]:
    """What is compared on the sentences for choosing."""
    now = VoiceSettings()
    return [
        Way("as it is", now),
        *(Way(f"{rate} words a minute", replace(now, value_rate=rate)) for rate in (100.0, 120.0)),
        *(Way(f"pitch {pitch}", replace(now, pitch=pitch)) for pitch in (30, 40, 60, 70)),
        Way("British", replace(now, voice="en")),
    ]


def chosen(model: Path | None) -> None:
    said = some(known(helpers_sentences()), 0, NUMBERS)
    ear = ear_for(said, model)
    print(f"numbers read back wrongly, %, of {sum(len(one.numbers) for one in said)}")
    print(f"{'way':34} | words a minute | {' | '.join(f'{ratio:>5}' for ratio in RATIOS)}")
    for way in ways():
        count, rate = read_back(said, way, ear, RATIOS)
        wrong = " | ".join(f"{100 * count.wrong(ratio):5.1f}" for ratio in RATIOS)
        print(f"{way.name:34} | {rate:14.0f} | {wrong}", flush=True)


def measured(model: Path | None, misread: bool) -> None:
    began = time.monotonic()
    said = some(known(helpers_sentences()), 1, NUMBERS)
    numbers = sum(len(one.numbers) for one in said)
    way = Way("as it is", VoiceSettings())
    count, rate = read_back(said, way, ear_for(said, model), RATIOS)
    print("figure | measured | bar | met or short")
    bar = f"{100 * MOST_WRONG:g} %"
    for ratio in RATIOS:
        met = "met" if count.wrong(ratio) <= MOST_WRONG else "short"
        at = "in quiet" if ratio == "quiet" else f"at {ratio} dB"
        print(
            f"numbers wrong behind a plug, {at} | {100 * count.wrong(ratio):.1f} % | {bar} | {met}"
        )
    met = "met" if 100 <= rate <= 120 else "short"
    print(f"words a minute, sentences with values | {rate:.0f} | 100 to 120 | {met}")
    parts = [*KINDS, *Noises().names()]
    print(f"\nwrong, %{'':16} | {' | '.join(f'{ratio:>5}' for ratio in RATIOS)} | numbers")
    for part in parts:
        row = [f"{100 * count.wrong(f'{ratio} {part}'):5.1f}" for ratio in RATIOS]
        print(f"{part:24} | {' | '.join(row)} | {count.asked[f'{RATIOS[0]} {part}']}")
    if misread:
        print("\n" + "\n".join(sorted(count.misread)))
    settings = way.settings
    print(
        f"\nconditions: {len(said)} sentences, {numbers} numbers,"
        f" {len({one.form for one in said})} forms; voice {settings.voice},"
        f" {settings.value_rate:g} words a minute asked for, pitch {settings.pitch}; noise mixed by"
        f" the level of the loud parts of speech, before the plug, made, in turn:"
        f" {', '.join(Noises().names())}; plug, dB by octave:"
        f" {', '.join(f'{hertz} Hz {loss}' for hertz, loss in PLUG_DB.items())}"
        f" (memory); {platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f},"
        f" Python {platform.python_version()}, {time.monotonic() - began:.0f} s"
    )


def main() -> None:
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    told.add_argument("--choose", action="store_true", help="compare ways of speaking")
    told.add_argument("--model", type=Path, help="folder of another speech model")
    told.add_argument("--misread", action="store_true", help="list what was read back wrongly")
    asked = told.parse_args()
    with tempfile.TemporaryDirectory() as cache:
        os.environ.setdefault("XDG_CACHE_HOME", cache)
        if asked.choose:
            chosen(asked.model)
        else:
            measured(asked.model, asked.misread)


if __name__ == "__main__":
    main()
