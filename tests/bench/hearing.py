"""Hearing measured: spoken requests in noise through the real graph, and talk that is not for it.

    python -m tests.bench.hearing [FOLDER ...] [--noise FOLDER ...] [--people] [--peer 60] ...

Each FOLDER (or the folders in the variable HANDSFREE_EVAL, parted by colons) holds
`requests/manifest.jsonl` and, if there is any, `talk/manifest.jsonl` and
`natural/manifest.jsonl`: see `hearing_sets`; `models.train.evaluation_speech` and
`hearing_speech` make them, by voices that training never met. `--noise` names folders of recorded
noise. `--people` adds recorded people, `--digits FOLDER` spoken digits: see `hearing_people`.
`--peer N` hears N of the requests, and the people, with the peer too. `--calibrate` is for
development speech only: it chooses the constants of sureness. Measured figures are printed as they
come out.
"""

import argparse
import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path

import numpy as np

from handsfree.app.wiring import MODEL
from handsfree.dialogue.doubt import ASK_FROM, TAKE_FROM
from handsfree.hear.model_folder import ModelFolder, open_model
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.session.session import Session
from handsfree.store.resources import shipped_folder
from handsfree.values import WordNetwork
from tests.bench import hearing_calibration as calibration
from tests.bench import hearing_people as people
from tests.bench.hearing_jobs import Ears, Place, ears
from tests.bench.hearing_outcome import share
from tests.bench.hearing_peer import Peer
from tests.bench.hearing_plot import draw
from tests.bench.hearing_sets import (
    RATIOS,
    Mixed,
    Utterance,
    in_noise,
    of_kind,
    phrases_of_people,
    some,
)
from tests.bench.hearing_tables import (
    WRONG_BARS,
    accuracy,
    breakdown,
    kind_of_noise,
    note,
    request_rows,
    row,
    side_by_side,
)
from tests.bench.noise import Noises

TALK_BAR, FACTOR_BAR, WORDS_MS_BAR, MEMORY_BAR = 1.0, 0.03, 150, 150
COMPILE_BAR_S, LOAD_BAR_S = 5.0, 0.5
PEOPLE_BARS = {"clean": 95, "10": 90}
NO_FILLER = 1000.0  # the filler's cost for a phone where it shall never be meant

LISTENER = """
import re, sys
from pathlib import Path
from handsfree.hear.model_folder import open_model
from handsfree.hear.vosk_adapter import load_recogniser
from handsfree.session.session import Session
session = Session()
model = open_model(Path(sys.argv[1]))
cache, means = Path(sys.argv[2]), session.sense
recogniser = load_recogniser(model, session.grammar.word_network(), cache, means)
recogniser.recognise(bytes(96000))
print(re.search(r"VmHWM:\\s*(\\d+)", Path("/proc/self/status").read_text())[1])
"""


def memory_mb(model: Path, cache: Path) -> float:
    """Peak of a process that has a session and its recogniser, and not this bench's numpy.

    From /proc, since what getrusage tells begins with the memory of the process that started it.
    """
    told = subprocess.run(
        [sys.executable, "-c", LISTENER, str(model), str(cache)],
        capture_output=True,
        text=True,
        check=True,
    )
    return int(told.stdout) / 1024


def parsed() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    default = [Path(one) for one in os.environ.get("HANDSFREE_EVAL", "").split(":") if one]
    parser.add_argument("folders", type=Path, nargs="*", default=default)
    parser.add_argument("--noise", type=Path, nargs="+", default=[], help="folders of recordings")
    parser.add_argument("--noises", help="names, by commas; all when left out")
    parser.add_argument("--each", type=int, default=2, help="noises for one utterance at a ratio")
    parser.add_argument("--most", type=int, default=150, help="utterances of each kind")
    parser.add_argument("--people", action="store_true", help="recorded prompts")
    parser.add_argument("--digits", type=Path, help="folder of recorded digits")
    parser.add_argument("--peer", type=int, default=0, help="requests that the peer hears too")
    parser.add_argument("--model", type=Path, default=None)
    parser.add_argument("--calibrate", type=Path, help="write development judgements to this file")
    parser.add_argument("--plot", type=Path, default=Path("build/hearing.svg"))
    parser.add_argument("--processes", type=int, default=1, help="that hear at the same time")
    parser.add_argument(
        "--kept", type=Path, help="folder of readings: what is there is not heard anew"
    )
    parser.add_argument("--errors", type=int, default=0, help="print so many that went wrong")
    return parser.parse_args()


def main() -> None:
    given = parsed()
    session = Session()
    model = open_model(given.model or shipped_folder(MODEL))
    network = session.grammar.word_network()
    noises = Noises(given.noise, given.noises.split(",") if given.noises else None)
    print("figure | measured | bar | met or short")
    with tempfile.TemporaryDirectory() as cache:
        begin = time.process_time()  # other work on the machine does not count
        load_recogniser(model, network, Path(cache), session.sense)
        row("compile the request graph", time.process_time() - begin, COMPILE_BAR_S, "s")
        begin = time.process_time()
        load_recogniser(model, network, Path(cache), session.sense)
        row("load it after", time.process_time() - begin, LOAD_BAR_S, "s")
        row("memory, peak with this graph", memory_mb(model.path, Path(cache)), MEMORY_BAR, "MB")
        named = tuple(given.noises.split(",")) if given.noises else None
        place = Place(model.path, Path(cache), tuple(given.noise), named, given.kept)
        with ears(place, given.processes) as hearing:
            measure(hearing, given, model)
        if given.peer and given.folders:
            requests_with_peer(model, given, noises, network, Path(cache))
        if given.people or given.digits:
            heard_people(given, model, noises, network, Path(cache))
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, {platform.system()}, "
        f"Python {sys.version.split()[0]}, vosk {version('vosk')}; {len(network.arcs)} arcs; "
        f"filler {model.filler_cost:g} a phone; taken from {TAKE_FROM:g}, asked about from "
        f"{ASK_FROM:g}; noises {', '.join(noises.names())}, {given.each} of them in turn for each "
        "utterance, by the level of the loud parts of speech"
    )


def measure(hearing: Ears, given: argparse.Namespace, model: ModelFolder) -> None:
    """Requests and talk, spoken by voices of the folders."""
    found = some(of_kind(given.folders, ["requests"]), given.most)
    if not found:
        print("spoken requests | not measured: name a folder, or set HANDSFREE_EVAL | - | -")
        return
    heard = hearing.hear_all(found, given.each)
    request_rows(heard, "requests")
    phrases = phrases_of_people()
    request_rows([h for h in heard if h.what.said.text not in phrases], "drawn from the network")
    request_rows([h for h in heard if h.what.said.text in phrases], "phrases that it holds")
    row("real-time factor, one core", hearing.work_s / hearing.sound_s, FACTOR_BAR, "")
    row("words after the end of speech, 95 of 100", float(np.percentile(hearing.last_ms, 95)),
        WORDS_MS_BAR, "ms")  # fmt: skip
    talk = hearing.hear_all(some(of_kind(given.folders, ["talk"]), given.most), given.each)
    row("talk accepted", share(h.accepted for h in talk), TALK_BAR, "%")
    note("talk asked about", share(not h.accepted and not h.rejected for h in talk))
    if given.people:
        try:
            prompts = hearing.hear_all(people.prompt_talk(), 1, ("clean", "10"))
            row("recorded prompts accepted", share(h.accepted for h in prompts), TALK_BAR, "%")
        except people.NotThereError as reason:
            print(f"recorded prompts accepted | not measured: {reason} | - | -")
    natural = some(of_kind(given.folders, ["natural"]), given.most)
    wild = hearing.hear_all(natural, given.each)
    if wild:
        request_rows(wild, "wordings that no rule was written for")
    for name, part in (("requests", heard), ("wordings that no rule was written for", wild)):
        if part:
            print(f"\n{name}")
            breakdown(part, "family", lambda h: h.what.said.family)
            breakdown(part, "voice", lambda h: re.sub(r"^(mix)-.*", r"\1", h.what.said.voice))
    breakdown([h for h in heard if h.what.noise], "noise", lambda h: h.what.noise)
    breakdown([h for h in heard if h.what.noise], "kind of noise", kind_of_noise)
    lines = accuracy(heard, lambda h: h.what.said.family)
    lines["all"] = accuracy(heard, lambda h: "all")["all"]
    draw(lines, RATIOS, "Requests right against noise, by voice family", given.plot)
    print(f"\npicture: {given.plot}")
    wrong = [h for h in (*heard, *wild) if not h.right]
    for h in wrong[:: max(1, len(wrong) // max(1, given.errors))][: given.errors]:
        print(f"{h.what.ratio} {h.what.noise} {h.what.said.voice} | {h.what.said.text} | "
              f"{h.words.text} | {h.words.sureness:.2f} | {h.verdict}")  # fmt: skip
    rows = [
        *calibration.judgements(heard, calibration.REQUEST),
        *calibration.judgements(wild, calibration.FREE),
        *calibration.judgements(talk, calibration.TALK),
    ]
    constants = model.sureness
    if given.calibrate is not None:
        chosen_on = [row for row in calibration.asking(rows) if row.half == 0]
        constants = calibration.fitted(chosen_on, constants.most)
        calibration.write(rows, given.calibrate)
        rows = [row for row in rows if row.half == 1]
        print(f"\nchosen on half of the sentences: {constants}; below, the other half")
    calibration.report(rows, constants, {r: float(WRONG_BARS[r]) for r in ("clean", "10")})


def requests_with_peer(
    model: ModelFolder,
    given: argparse.Namespace,
    noises: Noises,
    network: WordNetwork,
    cache: Path,
) -> None:
    """The same requests in the same noise and grammar, heard by ours and by the peer.

    The grammar is the list of all requests of the folders: with the whole request graph the peer
    is several times slower than speech.
    """
    print("\nagainst the peer | ours | peer | ours is")
    every = of_kind(given.folders, ["requests"])
    found = some(every, given.peer)
    phones = dict(network.pronunciations)
    texts = [one.text for one in every if set(one.text.split()) <= set(phones)]
    choice = people.choice_of("requests", texts, phones)
    try:
        peer = Peer(choice)
    except people.NotThereError as reason:
        print(f"requests | not measured: {reason} | - | -")
        return
    hear = load_recogniser(without_filler(model), choice, cache).recognise
    conditions = [
        what
        for number, said in enumerate(found)
        if said.text in texts
        for what in in_noise(said, number, noises, 1)
    ]
    begin = time.process_time()
    ours = texts_right(conditions, hear)
    work_s = time.process_time() - begin
    theirs = texts_right(conditions, peer.hear)
    side_by_side(f"one of {len(texts)} requests ({len(found)})", ours, theirs)
    print(f"real-time factor | {work_s / peer.sound_s:.3f} | {peer.work_s / peer.sound_s:.3f} | -")


def heard_people(
    given: argparse.Namespace,
    model: ModelFolder,
    noises: Noises,
    network: WordNetwork,
    cache: Path,
) -> None:
    """Recorded people's digits, numbers and words: ours with and without the filler, the peer."""
    phones = dict(network.pronunciations)
    print("\nrecorded people | ours | bar or peer | ours is")
    sets: list[tuple[str, list[Utterance], WordNetwork]] = []
    try:
        if given.people:
            spoken = people.prompt_numbers()
            sets.append(("single recordings of numbers", spoken[:28], people.numbers(phones)))
            sets.append(("numbers put together", spoken[28:], people.numbers(phones)))
            words = people.prompt_words(phones)
            choice = people.choice_of("words", [one.text for one in words], phones)
            sets.append(("words of the grammar", words, choice))
        if given.digits:
            digits = people.choice_of("digits", people.DIGITS, phones)
            sets.append(("digits of six speakers", people.spoken_digits(given.digits), digits))
    except people.NotThereError as reason:
        print(f"recorded people | not measured: {reason} | - | -")
    for name, found, choice in sets:
        title = f"{name} ({len(found)})"
        conditions = [
            what
            for number, said in enumerate(found)
            for what in in_noise(said, number, noises, 1, tuple(PEOPLE_BARS))
        ]
        sure_words = load_recogniser(without_filler(model), choice, cache)
        ours = texts_right(conditions, sure_words.recognise)
        for ratio, bar in PEOPLE_BARS.items():
            row(f"{title}, {ratio}", ours[ratio], bar, "%", True)
        theirs = None
        if given.peer:
            try:
                theirs = texts_right(conditions, Peer(choice).hear)
            except people.NotThereError as reason:
                print(f"{title} | peer not measured: {reason} | - | -")
        side_by_side(title, ours, theirs)
        shy = texts_right(conditions, load_recogniser(model, choice, cache).recognise)
        for ratio, right in shy.items():
            note(f"{title}, with the filler beside it, {ratio}", right)


def without_filler(model: ModelFolder) -> ModelFolder:
    """The model where only the words of the network can be meant."""
    return replace(model, filler_cost=NO_FILLER, talk_word_cost=None)


def texts_right(conditions: Sequence[Mixed], hear: object) -> dict[str, float]:
    """Texts heard exactly, in %, in each condition."""
    assert callable(hear)
    right: dict[str, list[bool]] = {}
    for what in conditions:
        heard = hear(what.samples)
        text = heard if isinstance(heard, str) else heard.text
        right.setdefault(what.ratio, []).append(text == what.said.text)
    return {ratio: share(values) for ratio, values in right.items()}


if __name__ == "__main__":
    main()
