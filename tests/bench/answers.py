"""How answers to the steps of a list are heard: right, asked about, lost, or taken for another one.

    python -m tests.bench.answers [--voices held-out] [--answers 160] [--talk 300]

Answers are drawn from the step lists (every sight, and numbers that have a twin in noise), said
alone by made voices, clean and in made noise, and read for the step that they belong to. What
counts is what would be confirmed: an answer taken surely that is not the one said. `talk` is said
by the same voices while a step waits that it does not belong to; it counts when it would pass that
step. The voices `development` are such as the acoustic model was trained on. Needs the programs
`espeak-ng` and `flite`.
"""

import argparse
import os
import platform
from collections import Counter
from random import Random

import numpy as np

from handsfree.app.wiring import MODEL
from handsfree.dialogue.doubt import ASK_FROM
from handsfree.dialogue.procedure import SURE_FROM
from handsfree.engine import tables
from handsfree.hear.model_folder import open_model
from handsfree.hear.recogniser import Recogniser, recognise
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.understand.answers import Answers
from handsfree.understand.grammar import load_grammar
from handsfree.values import Step, StepAnswer, StepAnswerKind, Words
from tests.bench.hearing_tables import note, row
from tests.bench.noise import MADE, RATE, Sound, mixed, to_bytes
from tests.bench.shift import VOICES, WHISPER, Mouths, Talk, Voice, have_voices

CLEAN = "clean"
RATIOS: tuple[str | int, ...] = (CLEAN, 10, 5, 0)
NUMBERS = ("gauge reads five", "twelve", "fifteen psi", "fifty", "thirteen", "thirty", "nine")
PAD_S = 0.4
WRONG_BAR = 0.0  # percent: what was not said is not confirmed


def drawn(count: int, random: Random) -> list[tuple[Step, str]]:
    """Answers with the steps that they belong to."""
    found = []
    for key in tables.step_list_names():
        for step in tables.step_list(key).steps:
            found += [(step, sight.kind) for sight in step.sights]
            found += [(step, text) for text in NUMBERS if step.limit is not None]
            found.append((step, "i can't"))
    random.shuffle(found)
    return found[:count]


class Room:
    """Voices, noise and the recogniser of answers."""

    def __init__(self, mouths: Mouths, voices: tuple[Voice, ...], seed: int) -> None:
        grammar = load_grammar(shipped_folder("grammar"), "answers")
        self.answers = Answers(grammar)
        self._recogniser: Recogniser = load_recogniser(
            open_model(shipped_folder(MODEL)),
            grammar.word_network(),
            cache_folder() / "graphs",
        )
        self._mouths, self._voices = mouths, voices
        self._chance = np.random.default_rng(seed)

    def hear(self, text: str, turn: int, ratio: str | int) -> Words:
        """What is heard of a text, said by the next voice in the next noise."""
        pad = np.zeros(round(PAD_S * RATE))
        voice = self._voices[turn % len(self._voices)]
        sound: Sound = np.concatenate([pad, self._mouths.say(text, voice), pad])
        if isinstance(ratio, int):
            made = list(MADE.values())[turn % len(MADE)]
            sound = mixed(sound, made(len(sound), self._chance), ratio)
        else:
            sound = sound + self._chance.normal(0.0, WHISPER, len(sound))
        return recognise(self._recogniser, to_bytes(sound))


def passes(answer: StepAnswer | None, step: Step) -> bool:
    """Whether a step would be confirmed by an answer, at once."""
    if answer is None or answer.sureness < SURE_FROM:
        return False
    seen = step.seen(answer.sight)
    kinds = (StepAnswerKind.NUMBER, StepAnswerKind.NAMED)
    return answer.kind in kinds or (seen is not None and seen.right)


def came_out(answers: Answers, step: Step, text: str, heard: Words) -> str:
    """What became of an answer: right, asked, lost, wrong, or another that passes."""
    said, taken = answers.of(Words(text), step), answers.of(heard, step)
    if taken is None or heard.sureness < ASK_FROM:
        return "lost"
    if taken.sureness < SURE_FROM:
        return "asked"
    assert said is not None
    if (said.kind, said.number) == (taken.kind, taken.number) and passes(said, step) == passes(
        taken, step
    ):
        return "right"
    return "wrong" if passes(taken, step) else "lost"


def main() -> None:
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--voices", choices=sorted(VOICES), default="development")
    arguments.add_argument("--answers", type=int, default=160)
    arguments.add_argument("--talk", type=int, default=300)
    given = arguments.parse_args()
    print("figure | measured | bar | met or short")
    if have_voices():
        with Mouths() as mouths:
            measure(Room(mouths, VOICES[given.voices], seed=8), given)
    else:
        print("answers heard | not measured | espeak-ng and flite are not installed | -")
    print(
        f"\nconditions: {given.voices} voices, {given.answers} answers at each ratio, "
        f"{given.talk} sentences of talk, {platform.machine()}, {os.cpu_count()} cores, "
        f"Python {platform.python_version()}"
    )


def measure(room: Room, given: argparse.Namespace) -> None:
    said = drawn(given.answers, Random(8))
    for ratio in RATIOS:
        found = Counter(
            came_out(room.answers, step, text, room.hear(text, turn, ratio))
            for turn, (step, text) in enumerate(said)
        )
        at = ratio if ratio == CLEAN else f"{ratio} dB"
        share = {name: 100 * count / len(said) for name, count in found.items()}
        row(f"taken for another that passes, {at}", share.get("wrong", 0.0), WRONG_BAR, "%")
        for name in ("right", "asked", "lost"):
            note(f"{name}, {at}", share.get(name, 0.0))
    talk, random = Talk(given.voices), Random(8)
    steps = [step for key in tables.step_list_names() for step in tables.step_list(key).steps]
    passed = 0
    for turn in range(given.talk):
        heard = room.hear(talk.draw(random), turn, CLEAN if turn % 2 else 10)
        step = random.choice(steps)
        passed += passes(room.answers.of(heard, step), step)
    row("talk that would pass a step", 100 * passed / max(1, given.talk), WRONG_BAR, "%")


if __name__ == "__main__":
    main()
