"""Which emergencies are missed in noise, and how often talk or the helper itself is taken for one.

    python -m tests.bench.emergencies [--voices held-out] [--each 12] [--hours 1] [--own 60]

Each phrase of grammar/attention.yaml that calls out an emergency is said alone, as it would be
shouted, clean and in made noise, through the ears while they wait; it is missed when no emergency
of its list is told. `like it`: sentences written for this that use the same words harmlessly.
`falsely`: in hours of a shift in which there is none. `--own` has sentences of the step lists
spoken by the helper's own voice into ears that listen for nothing. The voices `development` are
such as the acoustic model was trained on: by them phrases, costs and quiet were chosen. Needs the
programs `espeak-ng` and `flite`.
"""

import argparse
import os
import platform
import time
from array import array
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np

from handsfree.app.wiring import MODEL, request_recogniser
from handsfree.audio.resample import resample
from handsfree.engine import tables
from handsfree.hear.ears import Ears
from handsfree.hear.endpointing import FRAME_BYTES, FRAME_S
from handsfree.hear.model_folder import ModelFolder, open_model
from handsfree.hear.second_hearing import SecondHearing
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.hear.wake import EMERGENCIES, TALK_COST, Spotter, attention_network, phrases_in
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder
from handsfree.understand.grammar import load_grammar
from handsfree.values import CalledOut, Listening, TurnEvent
from handsfree.voice.voice import Voice as OwnVoice
from handsfree.wording.ear import for_the_ear
from tests.bench.attention import CLEAN, LEAD_S, TRAIL_S, Deaf, place
from tests.bench.hearing_tables import note, row
from tests.bench.noise import MADE, RATE, Sound, mixed, to_bytes
from tests.bench.shift import VOICES, Mouths, Shift, Voice, have_voices, in_turn

RATIOS_DB = (CLEAN, 10, 5, 0)
FALSE_BAR = 1.0  # an hour: an attention phrase may be taken falsely as often
MISSED_BAR = 10.0  # percent at 10 dB over the noise
TOLD_BAR_S = 1.0  # from the last sound of the phrase: the first action follows within two seconds
LISTS = {"flashback": ("flash", "burning"), "fire": ("fire",), "leak": ("leak", "smell")}
SHOUTED_PACE = 1.15
RISKY = {
    "fire",
    "fire.",
    "flashback",
    "flashback.",
    "backfire",
    "back",
    "leak",
    "leaks",
    "gas",
    "hose",
}
LIKE = (
    "the flashback arrestor wants changing",
    "have you got a flashback arrestor in the van",
    "where is the flashback arrestor for this hose",
    "put the fire blanket back on the hook",
    "there is a fire drill at ten",
    "the fire watch is at half past three",
    "he set fire to the toast again",
    "shut the fire door behind you",
    "who has the fire extinguisher",
    "there's a fireman in the canteen",
    "the gas man is here about the leak in the roof",
    "the roof is leaking in the canteen",
    "there's a leak in the tap",
    "his old van backfired all the way home",
    "it's a backfire on that old pump",
    "the plan backfired on him",
    "the sun is burning my back",
    "it's burning hot in here",
    "i can smell bacon",
    "i smell gasoline on your gloves",
    "he came back on the flash bus",
    "the flash on that phone is broken",
    "take the hose back inside",
    "it's in the back of the fire engine",
    "fire it up and let's get going",
    "we've got a few days off",
    "he was fired on friday",
    "the flask is back in the van",
    "the bottles are on the wire",
    "that's a good cut for a big torch",
)


def list_of(text: str) -> str:
    """Which list a phrase belongs to, by its words."""
    if "backfire" in text:
        return "backfire"
    return next(name for name, words in LISTS.items() if any(word in text for word in words))


def spotter_of(model: ModelFolder, cost: float, cache: Path) -> Spotter:
    """The spotter of the grammar's phrases, with another cost of talk."""
    network = load_grammar(shipped_folder("grammar"), "attention").word_network()
    listened = attention_network(network, model.phones, model.filler, cost)
    session = Session()
    again = SecondHearing(request_recogniser(session, model.path), session.emergency)
    return Spotter(load_recogniser(model, listened, cache, timed=True), phrases_in(network), again)


def called_out(spotter: Spotter, sound: bytes, mode: Listening) -> list[tuple[float, str]]:
    """What the ears told as an emergency in a recording, and when."""
    told: list[tuple[float, str]] = []
    now = 0.0

    def take(event: TurnEvent) -> None:
        if isinstance(event, CalledOut):
            told.append((now, event.words.text))

    ears = Ears((), spotter, Deaf(), take)
    ears.listen_for(mode)
    for at in range(0, len(sound) - FRAME_BYTES + 1, FRAME_BYTES):
        now += FRAME_S
        ears.hear(sound[at : at + FRAME_BYTES])
    return told


def surrounded(said: Sound, seed: int, ratio: int) -> bytes:
    """Speech with room around it, over hiss or made noise."""
    speech = np.concatenate([np.zeros(round(LEAD_S * RATE)), said, np.zeros(round(TRAIL_S * RATE))])
    chance = np.random.default_rng(seed)
    speech = speech + 3 * chance.standard_normal(len(speech))
    if ratio < CLEAN:
        names = sorted(MADE)
        speech = mixed(speech, MADE[names[seed % len(names)]](len(speech), chance), ratio)
    return to_bytes(speech)


def misses(
    phrases: Sequence[str],
    spotter: Spotter,
    mouths: Mouths,
    voices: Sequence[Voice],
    each: int,
    ratios: Sequence[int],
) -> Iterator[tuple[str, dict[int, float], list[float], Counter[str]]]:
    """For each phrase: percent missed by ratio, how late it was told, and what else was told."""
    for text in phrases:
        missed: Counter[int] = Counter()
        late: list[float] = []
        others: Counter[str] = Counter()
        for number, (voice, pace, pitch) in enumerate(in_turn(voices, each, 31)):
            said = mouths.say(text, voice, pace * SHOUTED_PACE, pitch)
            for ratio in ratios:
                told = called_out(spotter, surrounded(said, number, ratio), Listening.ATTENTION)
                right = [at for at, heard in told if list_of(heard) == list_of(text)]
                others.update(heard for _, heard in told if list_of(heard) != list_of(text))
                missed[ratio] += not right
                late += [right[0] - LEAD_S - len(said) / RATE] if right else []
        yield text, {ratio: 100 * missed[ratio] / each for ratio in ratios}, late, others


def taken(spotter: Spotter, mouths: Mouths, voices: Sequence[Voice], each: int) -> Counter[str]:
    """Which harmless sentences were taken for an emergency, each by some voices."""
    found: Counter[str] = Counter()
    for at, text in enumerate(LIKE):
        for number, (voice, pace, pitch) in enumerate(in_turn(voices, each, 100 + at)):
            said = mouths.say(text, voice, pace, pitch)
            for ratio in (CLEAN, 10):
                told = called_out(spotter, surrounded(said, number, ratio), Listening.ATTENTION)
                found.update(f"{text!r} as {heard!r}" for _, heard in told)
    return found


def falsely(spotter: Spotter, shift: Shift, hours: float) -> Counter[str]:
    """What was told in a shift without an emergency."""
    found: Counter[str] = Counter()

    def take(event: TurnEvent) -> None:
        if isinstance(event, CalledOut):
            found[event.words.text] += 1

    ears = Ears((), spotter, Deaf(), take)
    ears.listen_for(Listening.ATTENTION)
    for number in range(round(60 * hours)):
        for frame in shift.frames(number):
            ears.hear(frame)
    return found


def own_sentences() -> tuple[str, ...]:
    """Every sentence that the step lists may say, those with words of an emergency first."""
    lists = [tables.step_list(key) for key in tables.step_list_names()]
    said = [
        sentence
        for each in lists
        for step in each.steps
        for sentence in (step.say, step.ask, step.cannot, *(sight.reply for sight in step.sights))
    ]
    said += [sentence for each in lists for sentence in (*each.cautions, each.opens, each.ends)]
    found = dict.fromkeys(for_the_ear(sentence) for sentence in said if sentence)
    return tuple(sorted(found, key=lambda sentence: not RISKY & set(sentence.lower().split())))


def of_its_own(spotter: Spotter, sentences: Sequence[str]) -> tuple[list[str], list[str]]:
    """What the helper's own voice sets off, not knowing that it is its own, and knowing it."""
    blind: list[str] = []
    seeing: list[str] = []
    with OwnVoice(store_folder=cache_folder() / "voice") as voice:
        for sentence in sentences:
            samples = voice.render(sentence)
            sound = resample(array("h", samples.data), samples.rate, RATE).tobytes()
            for knows, found in ((False, blind), (True, seeing)):
                told: list[str] = []

                def take(event: TurnEvent, told: list[str] = told) -> None:
                    if isinstance(event, CalledOut):
                        told.append(event.words.text)

                ears = Ears((), spotter, Deaf(), take)
                if knows:
                    ears.says((sentence,))
                whole = bytes(RATE) + sound + bytes(2 * RATE)
                for at in range(0, len(whole) - FRAME_BYTES + 1, FRAME_BYTES):
                    ears.hear(whole[at : at + FRAME_BYTES])
                found += [f"{heard!r} in {sentence!r}" for heard in told]
    return blind, seeing


def parsed() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--voices", choices=sorted(VOICES), default="held-out")
    parser.add_argument("--hours", type=float, default=1.0, help="of the shift")
    parser.add_argument("--each", type=int, default=12, help="times each phrase is said")
    parser.add_argument("--like", type=int, default=4, help="times each harmless sentence is said")
    parser.add_argument("--cost", type=float, default=TALK_COST, help="of a phone of talk")
    parser.add_argument("--ratios", type=int, nargs="+", default=RATIOS_DB, help="in dB")
    parser.add_argument("--own", type=int, default=0, help="so many sentences of its own, too")
    parser.add_argument("--seed", type=int, default=7, help="of the shift")
    parser.add_argument("--model", type=Path, default=None)
    return parser.parse_args()


def main() -> None:
    given = parsed()
    if not have_voices():
        raise SystemExit("Install espeak-ng and flite: they say the phrases and the talk.")
    model = open_model(given.model or shipped_folder(MODEL))
    voices = VOICES[given.voices]
    begin = time.perf_counter()
    with TemporaryDirectory() as cache, Mouths() as mouths:
        spotter = spotter_of(model, given.cost, Path(cache))
        phrases = [p.text for p in spotter.phrases if p.spot in EMERGENCIES]
        shown = " | ".join(f"missed, {place(ratio)}, %" for ratio in given.ratios)
        print(f"phrase | {shown} | told after, s | taken for another")
        all_late: list[float] = []
        shares: dict[int, list[float]] = defaultdict(list)
        if given.each:
            for text, missed, late, others in misses(
                phrases, spotter, mouths, voices, given.each, given.ratios
            ):
                figures = " | ".join(f"{missed[ratio]:.0f}" for ratio in given.ratios)
                after = f"{median(late):.2f}" if late else "-"
                other = ", ".join(f"{name} {count}" for name, count in others.items()) or "-"
                print(f"{text} | {figures} | {after} | {other}", flush=True)
                all_late += late
                for ratio in given.ratios:
                    shares[ratio].append(missed[ratio])
        harmless = taken(spotter, mouths, voices, given.like) if given.like else Counter()
        false = falsely(spotter, Shift(mouths, given.voices, given.seed), given.hours)
        blind, seeing = of_its_own(spotter, own_sentences()[: given.own]) if given.own else ([], [])
    print("\nfigure | measured | bar | met or short")
    for ratio, found in shares.items():
        if ratio == 10:
            row("missed at 10 dB", float(np.mean(found)), MISSED_BAR, "%")
        else:
            note(f"missed, {place(ratio)}", float(np.mean(found)))
    if all_late:
        row("told after the phrase, 19 of 20", float(np.quantile(all_late, 0.95)), TOLD_BAR_S, "s")
    if given.hours:
        row("false starts in a shift", sum(false.values()) / given.hours, FALSE_BAR, "an hour")
    if given.like:
        note(
            "harmless sentences taken, %",
            100 * sum(harmless.values()) / (2 * given.like * len(LIKE)),
        )
    for text, count in (*harmless.most_common(), *false.most_common()):
        print(f"# taken {count} times: {text}")
    if given.own:
        row("started by its own voice", float(len(seeing)), 0.0, "sentences")
        note("and if it did not know its own words", float(len(blind)))
        print("\n".join(f"# {line}" for line in blind))
    print(
        f"\nconditions: voices {given.voices}, each phrase {given.each} times a ratio,"
        f" {given.hours:g} h of shift, seed {given.seed}, talk costs {given.cost:g} a phone;"
        f" {platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()},"
        f" {time.perf_counter() - begin:.0f} s"
    )


if __name__ == "__main__":
    main()
