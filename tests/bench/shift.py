"""A shift in a shop as sound: noise that comes and goes, and talk that is not for the helper.

Made block by block, so that hours of it need no file; the same seed gives the same sound. Who talks
are the programs `espeak-ng` and `flite`, what they say the rules of a file of site talk.
"""

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np

from handsfree.audio.sound_file import read_wav
from handsfree.hear.endpointing import FRAME_BYTES
from models.train.sentences import Sampler
from tests.bench.noise import MADE, RATE, Sound, from_bytes, to_bytes

HERE = Path(__file__).resolve().parent
TALK = {"development": "site_talk_development.txt", "held-out": "site_talk.txt"}
PLAIN_TALK = HERE.parents[1] / "models/train/talk.txt"
BLOCK_S = 60
WHISPER = 3.0  # no microphone gives digital silence
LOUD = 9000.0  # peak of a near talker


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of one of the two programs."""

    name: str
    flite: bool = False

    @property
    def family(self) -> str:
        return "flite" if self.flite else "espeak-ng"


VOICES = {
    "development": (
        *(Voice(name, flite=True) for name in ("kal16", "awb", "rms")),
        *map(Voice, ("en-us+m1", "en+f2", "en-gb-scotland+m4", "en-us+f5", "en-gb-x-rp+m6")),
        *map(Voice, ("en-029+m2", "en-us+Andy", "en-us-nyc+m8", "en+f3", "en-us+steph")),
    ),
    # as `models/train/classic.py` holds them out of training
    "held-out": (
        Voice("slt", flite=True),
        *map(Voice, ("en-us+m3", "en+m7", "en-gb-x-gbclan+f4", "en-us+Jacky", "en+quincy")),
        Voice("slt", flite=True),
        *map(Voice, ("en-gb-x-gbclan+m3", "en-us+f4", "en-us+m7", "en+Jacky", "en-us+quincy")),
    ),
}


def have_voices() -> bool:
    return all(shutil.which(program) for program in ("espeak-ng", "flite"))


class Mouths:
    """Says texts with the two programs."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="handsfree-shift-"))

    def __enter__(self) -> "Mouths":
        return self

    def __exit__(self, *fault: object) -> None:
        shutil.rmtree(self._folder, ignore_errors=True)

    def say(self, text: str, voice: Voice, pace: float = 1.0, pitch: int = 50) -> Sound:
        """Speech with its peak at `LOUD`; a pace of 1 is 160 words a minute, a pitch 0 to 99."""
        file = self._folder / "said.wav"
        if voice.flite:
            stretch = f"duration_stretch={1 / pace:.3f}"
            own = {"kal16": 95, "awb": 115, "rms": 95, "slt": 170}[voice.name]
            tuned = f"int_f0_target_mean={own * (0.75 + pitch / 200):.0f}"
            command = ["flite", "-voice", voice.name, "--setf", stretch, "--setf", tuned]
            command += ["-t", text, "-o", str(file)]
        else:
            rate = str(round(160 * pace))
            command = ["espeak-ng", "-v", voice.name, "-s", rate, "-p", str(pitch)]
            command += ["-w", str(file), text]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        sound = from_bytes(read_wav(file).samples.data)
        loudest: Sound = sound * (LOUD / (float(np.max(np.abs(sound))) + 1e-9))
        return loudest


class Talk:
    """Sentences that are not for the helper."""

    def __init__(self, which: str) -> None:
        lines = (HERE / TALK[which]).read_text(encoding="utf-8").splitlines()
        pairs = (line.split(":", 1) for line in lines if line and not line.startswith("#"))
        self._sampler = Sampler({name.strip(): body for name, body in pairs}, "top")
        told = PLAIN_TALK.read_text(encoding="utf-8").splitlines()
        self._plain = [line for line in told if line] if which == "held-out" else []

    def draw(self, random: Random) -> str:
        if self._plain and random.random() < 0.15:
            return random.choice(self._plain)
        return " ".join(self._sampler.draw(random))


class Shift:
    """Blocks of a minute.

    Args:
        mouths: who says the talk.
        which: "development" or "held-out": of voices and sentences.
        seed: another seed is another shift.
        share: of the time in which somebody talks, about.
    """

    def __init__(self, mouths: Mouths, which: str, seed: int, share: float = 0.5) -> None:
        self._mouths = mouths
        self._talk = Talk(which)
        self._voices = VOICES[which]
        self._seed = seed
        self._share = share

    def block(self, number: int) -> bytes:
        """The samples of one minute."""
        random = Random(self._seed * 100_003 + number)
        chance = np.random.default_rng([self._seed, number])
        samples = BLOCK_S * RATE
        noise = self._noise(samples, random, chance)
        talk = np.zeros(samples)
        at = int(random.expovariate(0.5) * RATE)
        while at < samples - RATE:
            said = self._said(random)
            part = said[: samples - at]
            around = float(np.sqrt(np.mean(noise[at : at + len(part)] ** 2)))
            loud = float(np.sqrt(np.mean(part**2)))
            ratio = 10 ** (random.uniform(-3, 25) / 20)
            gain = min(max(around, 60.0) * ratio / (loud + 1e-9), 2.5)
            talk[at : at + len(part)] += gain * part
            pause = random.expovariate(self._share / (1 - self._share) / (len(said) / RATE))
            at += len(part) + int(pause * RATE)
            if random.random() < 0.1:  # two at once
                at -= int(random.uniform(0.3, 1.0) * len(part))
                at = max(at, 0)
        return to_bytes(noise + talk + WHISPER * chance.standard_normal(samples))

    def frames(self, number: int) -> Iterator[bytes]:
        """The block, 20 ms at a time."""
        sound = self.block(number)
        for at in range(0, len(sound), FRAME_BYTES):
            yield sound[at : at + FRAME_BYTES]

    def _said(self, random: Random) -> Sound:
        voice = random.choice(self._voices)
        text = self._talk.draw(random)
        return self._mouths.say(text, voice, random.uniform(0.8, 1.3), random.randint(25, 80))

    def _noise(self, samples: int, random: Random, chance: np.random.Generator) -> Sound:
        """A quiet shop, and one or two machines or flames that are lit and put out in it."""
        noise = 40 * chance.standard_normal(samples)
        for name in random.sample(sorted(MADE), random.choice((0, 1, 1, 2))):
            made = MADE[name](samples, chance)
            level = 10 ** random.uniform(2.3, 3.4)  # 200 to 2500
            begin, end = 0, samples
            if random.random() < 0.6:
                begin = random.randrange(samples // 2)
            if random.random() < 0.4:
                end = random.randrange(begin + samples // 10, samples)
            window = np.zeros(samples)
            window[begin:end] = 1.0
            noise = noise + window * made * (level / (float(np.std(made)) + 1e-9))
        return noise


def in_turn(voices: Sequence[Voice], number: int, seed: int) -> Iterator[tuple[Voice, float, int]]:
    """So many ways to say something: voice, pace and pitch."""
    random = Random(seed)
    for at in range(number):
        yield voices[at % len(voices)], random.uniform(0.75, 1.25), random.randint(25, 85)


def main() -> None:
    """Write the samples of a shift to the standard output, for a process that only listens."""
    which, seed, blocks = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    with Mouths() as mouths:
        shift = Shift(mouths, which, seed)
        for number in range(blocks):
            sys.stdout.buffer.write(shift.block(number))


if __name__ == "__main__":
    main()
