"""Hears an utterance as the session would, and judges what came of it against what was said."""

import hashlib
import json
import time
from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path

import numpy as np

from handsfree.dialogue.doubt import Verdict, least_sureness, weigh
from handsfree.hear.model_folder import ModelFolder
from handsfree.hear.recogniser import SAMPLE_RATE_HZ, Evidence, Reading, evidence, judged
from handsfree.hear.vosk_adapter import VoskRecogniser
from handsfree.session.session import Session
from handsfree.understand.understanding import Understanding
from handsfree.values import NotUnderstood, Question, Request, Sense, Words
from tests.bench.hearing_sets import Mixed

BLOCK_BYTES = 640  # 20 ms, as a microphone gives them
_NO_SLOTS = ("defaults",)


@dataclass(frozen=True, slots=True)
class Heard:
    """How one utterance was heard in one condition.

    Attributes:
        slots: how many of the things that were said came out right, and how many there were.
        verdict: what the session does with the words; None where they mean nothing to it.
    """

    what: Mixed
    words: Words
    evidence: Evidence | None
    right: bool
    slots: tuple[int, int]
    verdict: Verdict | None

    @property
    def accepted(self) -> bool:
        return self.verdict is Verdict.TAKE

    @property
    def rejected(self) -> bool:
        return self.verdict in (None, Verdict.AGAIN)


def slots_of(meant: object, name: str = "") -> dict[str, object]:
    """What a request holds, by name; nothing for what is no request.

    >>> from handsfree.values import About, Fuel
    >>> sorted(slots_of(Request(About.TIP, fuel=Fuel.PROPANE)))
    ['about', 'fuel']
    """
    if not is_dataclass(meant) or isinstance(meant, type):
        return {}
    found: dict[str, object] = {}
    for field in fields(meant):
        value = getattr(meant, field.name)
        if value in (None, (), False) or field.name in _NO_SLOTS:
            continue
        inner = slots_of(value, f"{name}{field.name}.")
        found |= inner or {f"{name}{field.name}": str(value)}
    return found


class Ear:
    """Hears utterances and keeps how long it took.

    With a folder `kept` it keeps what was read in each condition, and takes from there what the
    same model and graph have heard before, so that it can be judged anew.
    """

    def __init__(
        self,
        recogniser: VoskRecogniser,
        model: ModelFolder,
        session: Session,
        kept: Path | None = None,
    ) -> None:
        self._kept_folder = kept
        self._recogniser, self.model, self._session = recogniser, model, session
        self._understanding = Understanding(session.grammar)
        self._known: dict[str, Sense] = {}
        self.sound_s = self.work_s = 0.0
        self.last_ms: list[float] = []

    def sense(self, text: str) -> Sense:
        if text not in self._known:
            self._known[text] = self._session.sense(text)
        return self._known[text]

    def means(self, text: str) -> object:
        return self.sense(text).meaning

    def hear(self, what: Mixed) -> Heard:
        readings, seconds, hearing_s, ending_s = self._read(what)
        begin = time.process_time()  # other work on the machine does not count
        sureness, filler = self.model.sureness, self.model.filler
        words = judged(readings, seconds, sureness, filler, self._session.sense)
        judging_s = time.process_time() - begin
        self.last_ms.append(1000 * (ending_s + judging_s))
        self.work_s += hearing_s + ending_s + judging_s
        self.sound_s += len(what.samples) / 2 / SAMPLE_RATE_HZ
        seen = None
        if readings:
            _, seen = evidence(readings, seconds, sureness.most, filler, self.sense)
        said, heard = self.means(what.said.text), self.means(words.text)
        had, has = slots_of(said), slots_of(heard)
        return Heard(
            what,
            words,
            seen,
            right=heard == said,
            slots=(sum(has.get(name) == value for name, value in had.items()), len(had)),
            verdict=self.verdict(words),
        )

    def _read(self, what: Mixed) -> tuple[tuple[Reading, ...], float, float, float]:
        """Readings, seconds of sound, and what it took to hear it and to end it."""
        kept = None if self._kept_folder is None else self._kept_folder / _name_of(what)
        if kept is not None and kept.is_file():
            told = json.loads(kept.read_text(encoding="utf-8"))
            return tuple(Reading(*one) for one in told[0]), told[1], told[2], told[3]
        begin = time.process_time()
        self._recogniser.begin()
        for at in range(0, len(what.samples), BLOCK_BYTES):
            self._recogniser.accept(what.samples[at : at + BLOCK_BYTES])
        end = time.process_time()
        readings, seconds = self._recogniser.readings()
        hearing_s, ending_s = end - begin, time.process_time() - end
        if kept is not None:
            kept.parent.mkdir(parents=True, exist_ok=True)
            plain = [(reading.text, reading.score) for reading in readings]
            kept.write_text(json.dumps([plain, seconds, hearing_s, ending_s]), encoding="utf-8")
        return readings, seconds, hearing_s, ending_s

    def verdict(self, words: Words) -> Verdict | None:
        """What the session does with words: like its own way, without changing it.

        What cannot be is given to the engine only to be asked about.
        """
        first = self._understanding.request(words)
        if isinstance(first, NotUnderstood):
            return None
        if not isinstance(first, Request):
            if words.sureness < least_sureness(first):
                return Verdict.AGAIN
            return Verdict.ASK if isinstance(first, Question) else Verdict.TAKE
        readings = [first]
        for text in words.others:
            other = self._understanding.request(Words(text))
            if isinstance(other, Request) and other not in readings:
                readings.append(other)
        plausible = self._session._is_plausible
        verdict, meant = weigh(words.sureness, readings, plausible)
        if verdict is Verdict.TAKE and not plausible(meant[0]):
            return Verdict.ASK
        return verdict


def _name_of(what: Mixed) -> str:
    """A file's name for an utterance in a condition: the hash of the sound itself."""
    return f"{hashlib.sha256(what.samples).hexdigest()[:24]}.json"


def share(of: Iterable[bool]) -> float:
    """How many of a hundred; nan for none."""
    values = list(of)
    return 100 * sum(values) / len(values) if values else float("nan")


def slot_share(heard: Iterable[Heard]) -> float:
    counts = np.array([one.slots for one in heard] or [(0, 0)]).sum(axis=0)
    return float(100 * counts[0] / counts[1]) if counts[1] else float("nan")
