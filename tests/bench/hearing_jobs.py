"""Hears utterances in several processes, each with a recogniser of its own."""

import multiprocessing
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from handsfree.hear.model_folder import open_model
from handsfree.hear.vosk_adapter import compiled, load_recogniser
from handsfree.session.session import Session
from tests.bench.hearing_outcome import Ear, Heard
from tests.bench.hearing_sets import RATIOS, Utterance, in_noise
from tests.bench.noise import Noises


@dataclass(frozen=True, slots=True)
class Place:
    """What a process needs to begin: model, cache of graphs, and what noise there is."""

    model: Path
    cache: Path
    noise: tuple[Path, ...]
    noises: tuple[str, ...] | None
    kept: Path | None = None  # where readings are kept; see `Ear`


@dataclass(frozen=True, slots=True)
class Work:
    """One utterance in all its conditions; `number` says which noises it gets."""

    said: Utterance
    number: int
    each: int
    ratios: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Done:
    """How it was heard, and how long that took."""

    heard: tuple[Heard, ...]
    work_s: float
    sound_s: float
    last_ms: tuple[float, ...]


class Ears:
    """Hears sets of utterances with so many processes, and adds up how long it took."""

    def __init__(self, pool: ProcessPoolExecutor) -> None:
        self._pool = pool
        self.work_s = self.sound_s = 0.0
        self.last_ms: list[float] = []

    def hear_all(
        self, found: Sequence[Utterance], each: int, ratios: Sequence[str] = RATIOS
    ) -> list[Heard]:
        work = [Work(said, number, each, tuple(ratios)) for number, said in enumerate(found)]
        heard: list[Heard] = []
        for done in self._pool.map(_hear, work):
            heard += done.heard
            self.work_s += done.work_s
            self.sound_s += done.sound_s
            self.last_ms += done.last_ms
        return heard


@contextmanager
def ears(place: Place, processes: int) -> Iterator[Ears]:
    """So many listening processes; they end with the block."""
    with ProcessPoolExecutor(
        processes, multiprocessing.get_context("spawn"), initializer=_begin, initargs=(place,)
    ) as pool:
        yield Ears(pool)


_here: list[tuple[Ear, Noises]] = []  # of this process


def _begin(place: Place) -> None:
    session, model = Session(), open_model(place.model)
    network = session.grammar.word_network()
    recogniser = load_recogniser(model, network, place.cache, session.sense)
    kept = None if place.kept is None else place.kept / compiled(network, model, place.cache).name
    ear = Ear(recogniser, model, session, kept)
    _here.append((ear, Noises(place.noise, place.noises)))


def _hear(work: Work) -> Done:
    ear, noises = _here[0]
    ear.work_s = ear.sound_s = 0.0
    ear.last_ms.clear()
    told = replace(work.said)  # a copy that has not read its sound
    heard = tuple(
        replace(one, what=replace(one.what, said=told, samples=b""))
        for what in in_noise(work.said, work.number, noises, work.each, work.ratios)
        for one in (ear.hear(what),)
    )
    return Done(heard, ear.work_s, ear.sound_s, tuple(ear.last_ms))
