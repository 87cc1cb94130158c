"""Which attention phrase is missed least in noise, and called by talk least.

    python -m tests.bench.attention [--voices held-out] [--hours 2] [--each 36] [--cost 0.7 ...]

Every candidate is listened for by itself, through the ears, in speech and noise of its own; all of
them together in hours of a shift in which nobody calls. The voices `development` are such as the
acoustic model was trained on: with them the costs were chosen. The voices `held-out` it has never
met: with them the phrase was chosen. Needs the programs `espeak-ng` and `flite`.
"""

import argparse
import os
import platform
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np

from handsfree.app.wiring import MODEL
from handsfree.hear.ears import Ears
from handsfree.hear.endpointing import FRAME_BYTES, FRAME_S
from handsfree.hear.model_folder import ModelFolder, open_model
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.hear.wake import (
    TALK_COST,
    Phrase,
    Spot,
    Spotted,
    Spotter,
    attention_network,
    phrases_in,
)
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import Arc, Called, Listening, TurnEvent, WordNetwork, Words
from tests.bench.noise import MADE, RATE, mixed, to_bytes
from tests.bench.shift import VOICES, Mouths, Shift, Voice, have_voices, in_turn

# Ours; none is a known assistant's. What the grammar's dictionary lacks is spelt out here.
# Beside each stands what may be said on a site and sounds a little like it.
CANDIDATES = {
    "helper come in": (
        "the helper came in late",
        "tell her to come in",
        "help her come again",
        "he helped her coming down",
    ),
    "fitter's mate": (
        "the fitter made it",
        "fit us a new gate",
        "the fitters may be late",
        "that is better mate",
    ),
    "basket calling": (
        "the basket is falling",
        "ask it calling back",
        "a basket of coal in there",
        "basketball again tonight",
    ),
    "hello tinderbox": (
        "hello in the box",
        "yellow timber blocks",
        "hello tin of bolts",
        "fellow in the boxes",
    ),
    "anvil chorus": (
        "and will call us",
        "the anvil is for us",
        "handle the chorus",
        "a novel course",
    ),
    "bucket brigade": (
        "a bucket of bricks",
        "book it for today",
        "the bucket broke again",
        "back at the brigade",
    ),
    "ready on the torch": (
        "ready on the porch",
        "get ready with the torch",
        "already on the truck",
        "the red one on the torch",
    ),
    "hopscotch come in": (
        "hop on and come in",
        "the scotch is coming in",
        "hopscotch again",
        "hot stuff come in",
    ),
}
SOUNDS = {
    "anvil": "AE N V AH L",
    "basket": "B AE S K AH T,B AE S K IH T",
    "brigade": "B R AH G EY D,B R IH G EY D",
    "bucket": "B AH K AH T,B AH K IH T",
    "calling": "K AO L IH NG",
    "chorus": "K AO R AH S",
    "fitter's": "F IH T ER Z",
    "hello": "HH AH L OW,HH EH L OW",
    "hopscotch": "HH AA P S K AA CH",
    "mate": "M EY T",
    "ready": "R EH D IY",
    "tinderbox": "T IH N D ER B AA K S",
    "torch": "T AO R CH",
}
REQUEST = "what do I set for half inch plate"
NEAR_VOICES = 6  # say each phrase that is like a candidate, clean and at 10 dB
RATIOS_DB = (99, 10, 5, 0)
CLEAN = 99
LEAD_S, TRAIL_S = 1.2, 1.0
FALSE_BAR = 1.0  # an hour
Table = dict[str, tuple[tuple[str, ...], ...]]


class Deaf:
    """Stands where requests are heard: they are not what is measured."""

    def begin(self) -> None: ...

    def accept(self, block: bytes) -> bool:
        return False

    def partial(self) -> str:
        return ""

    def finish(self) -> Words:
        return Words("")


@dataclass
class Outcome:
    """What became of a candidate."""

    missed: Counter[str] = field(default_factory=Counter)
    said: Counter[str] = field(default_factory=Counter)
    late_s: list[float] = field(default_factory=list)

    def share(self, at: str) -> float:
        return 100 * self.missed[at] / max(1, self.said[at])


def sounds() -> Table:
    """Pronunciations of the grammar's words and of the candidates'."""
    network = load_grammar(shipped_folder("grammar")).word_network()
    spelt = {
        word: tuple(tuple(way.split()) for way in ways.split(",")) for word, ways in SOUNDS.items()
    }
    return dict(network.pronunciations) | spelt


def state(texts: Iterable[str], known: Table) -> WordNetwork:
    """An attention state that listens for these."""
    arcs: list[Arc] = []
    states = 2
    for text in texts:
        at = 0
        for word in text.split():
            arcs.append(Arc(at, states, word))
            at, states = states, states + 1
        arcs.append(Arc(at, 1, tag=f"spot={Spot.ATTENTION}"))
    words = sorted({word for text in texts for word in text.split()})
    return WordNetwork(
        "attention", states, tuple(arcs), ((1, 0.0),), tuple((word, known[word]) for word in words)
    )


def listening_for(
    texts: Sequence[str], model: ModelFolder, known: Table, cost: float, cache: Path
) -> Spotter:
    network = state(texts, known)
    listened = attention_network(network, model.phones, model.filler, cost)
    return Spotter(load_recogniser(model, listened, cache, timed=True), phrases_in(network))


def called_at(spotter: Spotter, sound: bytes) -> list[float]:
    """When the ears were first called in a recording, in seconds; nothing when they were not."""
    calls: list[float] = []
    now = 0.0

    def take(event: TurnEvent) -> None:
        if isinstance(event, Called):
            calls.append(now)

    ears = Ears((), spotter, Deaf(), take)
    ears.listen_for(Listening.ATTENTION)
    for at in range(0, len(sound) - FRAME_BYTES + 1, FRAME_BYTES):
        now += FRAME_S
        ears.hear(sound[at : at + FRAME_BYTES])
        if calls:
            break
    return calls


def place(ratio: int) -> str:
    return "clean" if ratio >= CLEAN else f"{ratio} dB"


def misses(
    text: str,
    spotter: Spotter,
    mouths: Mouths,
    voices: Sequence[Voice],
    each: int,
    ratios: Sequence[int],
) -> Outcome:
    """The phrase, alone and before a request, by all voices in turn, clean and in noise."""
    found = Outcome()
    names = sorted(MADE)
    for number, (voice, pace, pitch) in enumerate(in_turn(voices, each, 11)):
        alone = mouths.say(text, voice, pace, pitch)
        said = mouths.say(f"{text}, {REQUEST}", voice, pace, pitch) if number % 2 else alone
        lead = np.zeros(round(LEAD_S * RATE))
        speech = np.concatenate([lead, said, np.zeros(round(TRAIL_S * RATE))])
        chance = np.random.default_rng(number)
        speech = speech + 3 * chance.standard_normal(len(speech))
        for ratio in ratios:
            at = place(ratio)
            sound = speech
            if ratio < CLEAN:
                noise = MADE[names[number % len(names)]](len(speech), chance)
                sound = mixed(speech, noise, ratio)
            calls = called_at(spotter, to_bytes(sound))
            for key in (at, f"{at} {voice.family}"):
                found.said[key] += 1
                found.missed[key] += not calls
            if calls and not number % 2:
                found.late_s.append(calls[0] - LEAD_S - len(alone) / RATE)
    return found


def taken(text: str, spotter: Spotter, mouths: Mouths, voices: Sequence[Voice]) -> float:
    """The share of what is like the phrase that is taken for it, in percent."""
    calls: list[bool] = []
    for number, near in enumerate(CANDIDATES[text]):
        for at, (voice, pace, pitch) in enumerate(in_turn(voices, NEAR_VOICES, 19)):
            said = mouths.say(near, voice, pace, pitch)
            lead, trail = np.zeros(round(LEAD_S * RATE)), np.zeros(round(TRAIL_S * RATE))
            speech = np.concatenate([lead, said, trail])
            chance = np.random.default_rng([number, at])
            noise = MADE[sorted(MADE)[at % len(MADE)]](len(speech), chance)
            clean = speech + 3 * chance.standard_normal(len(speech))
            for sound in (clean, mixed(speech, noise, 10)):
                calls.append(bool(called_at(spotter, to_bytes(sound))))
    return 100 * sum(calls) / len(calls)


class Counting(Spotter):
    """Counts what it spots, and tells nobody, so that all phrases are listened for throughout."""

    def __init__(self, spotter: Spotter) -> None:
        super().__init__(spotter._recogniser, spotter.phrases)
        self.counts: Counter[str] = Counter()

    def accept(self, frame: bytes, spots: Iterable[Spot]) -> Spotted | None:
        spotted = super().accept(frame, tuple(spots))
        if spotted is not None:
            self.counts[spotted.phrase.text] += 1
        return None


def false_calls(spotter: Spotter, shift: Shift, hours: float) -> Counter[str]:
    """How often each phrase was taken where nobody said it."""
    counting = Counting(spotter)
    ears = Ears((), counting, Deaf(), lambda event: None)
    ears.listen_for(Listening.ATTENTION)
    for number in range(round(60 * hours)):
        for frame in shift.frames(number):
            ears.hear(frame)
    return counting.counts


def parsed() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--voices", choices=sorted(VOICES), default="held-out")
    parser.add_argument("--hours", type=float, default=2.0, help="of the shift")
    parser.add_argument("--each", type=int, default=36, help="times each candidate is said")
    parser.add_argument("--cost", type=float, nargs="+", default=[TALK_COST])
    parser.add_argument("--only", nargs="+", default=tuple(CANDIDATES))
    parser.add_argument("--ratios", type=int, nargs="+", default=RATIOS_DB, help="in dB")
    parser.add_argument("--model", type=Path, default=None)
    return parser.parse_args()


def told(
    phrase: Phrase,
    found: Outcome,
    near: float,
    false: int,
    hours: float,
    ratios: Sequence[int],
) -> str:
    shares = " | ".join(f"{found.share(place(ratio)):.0f}" for ratio in ratios)
    late = f"{median(found.late_s):.2f}" if found.late_s else "-"
    hourly = false / hours if hours else float("nan")
    met = "-" if not hours else "met" if hourly <= FALSE_BAR else "short"
    falsely = f"{hourly:.2f}" if hours else "-"
    figures = f"{shares} | {late} | {near:.0f} | {falsely} | {met}"
    return f"{phrase.text} | {phrase.phones[0]} | {figures}"


def main() -> None:
    given = parsed()
    if not have_voices():
        raise SystemExit("Install espeak-ng and flite: they say the phrases and the talk.")
    model = open_model(given.model or shipped_folder(MODEL))
    known = sounds()
    begin = time.perf_counter()
    for cost in given.cost:
        with TemporaryDirectory() as cache, Mouths() as mouths:
            together = listening_for(given.only, model, known, cost, Path(cache))
            shift = Shift(mouths, given.voices, seed=3)
            false = false_calls(together, shift, given.hours)
            shown = " | ".join(f"missed, {place(ratio)}, %" for ratio in given.ratios)
            print(f"\ntalk costs {cost:g} a phone")
            print(
                f"phrase | phones | {shown} | told after, s | like it taken, % "
                f"| falsely an hour | bar {FALSE_BAR:g}"
            )
            for text in given.only:
                spotter = listening_for([text], model, known, cost, Path(cache))
                voices = VOICES[given.voices]
                found = misses(text, spotter, mouths, voices, given.each, given.ratios)
                (phrase,) = spotter.phrases
                near = taken(text, spotter, mouths, voices)
                print(told(phrase, found, near, false[text], given.hours, given.ratios), flush=True)
    print(
        f"\nconditions: voices {given.voices}, each phrase {given.each} times a ratio, half of"
        f" them before a request; {given.hours:g} h of shift, all phrases in one graph;"
        f" {platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()},"
        f" {time.perf_counter() - begin:.0f} s"
    )


if __name__ == "__main__":
    main()
