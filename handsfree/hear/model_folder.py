"""Looks into a speech-model folder: what kind it is, what it lacks, and its own numbers."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from handsfree.errors import ModelError
from handsfree.values.heard import UNREAD

CARD = "model.json"
NEEDED = ("am/final.mdl", "conf/model.conf", "phones.txt", "word_boundary.int", CARD)
FEATURES = ("conf/fbank.conf", "conf/mfcc.conf")
PLACES = ("B", "I", "E", "S")  # a phone begins a word, is inside it, ends it, or is all of it
_AGAIN = "Install the project again, or name a model folder with --model."


class ModelKind(StrEnum):
    """What a recogniser must be given for a folder to hear our grammar."""

    OURS = "ours"  # a graph, compiled from the grammar
    STOCK = "stock"  # a list of phrases at run time


@dataclass(frozen=True, slots=True)
class PhoneMoves:
    """How transition ids are numbered: phone `n` at place `p` starts at `first + each (4 n + p)`.

    Attributes:
        first: transition id of the first move of the first phone at its first place.
        each: moves of one phone at one place.
        loop: stay in the phone.
        enter_then_blank: enter the phone, when a blank follows inside the word.
        enter_and_leave: enter the phone, when none follows.
        blank_loop: stay in the blank.
        blank: go from the phone to its blank.
        silence_enter: transition id that enters silence.
        silence_loop: transition id that stays in it.
    """

    first: int
    each: int
    loop: int
    enter_then_blank: int
    enter_and_leave: int
    blank_loop: int
    blank: int
    silence_enter: int
    silence_loop: int


@dataclass(frozen=True, slots=True)
class Sureness:
    """How readings become a probability: a logistic function of what separates them.

    Attributes:
        bias: its value where nothing separates them.
        margin: weight of the score margin to the best reading with another meaning.
        filler: weight of the score margin to the filler.
        fit: weight of the score for each second of sound.
        most: margins count up to this, in nats: the search keeps nothing beyond.
    """

    bias: float = -1.5
    margin: float = 1.0
    filler: float = 0.5
    fit: float = 0.0
    most: float = 4.0

    def of(self, margin: float, filler: float, fit: float = 0.0) -> float:
        """Probability that the best reading is right.

        >>> Sureness(bias=-1.0, margin=1.0, filler=0.0).of(margin=1.0, filler=4.0)
        0.5
        """
        margin, filler = (max(0.0, min(value, self.most)) for value in (margin, filler))
        x = self.bias + self.margin * margin + self.filler * filler + self.fit * fit
        return 1.0 / (1.0 + math.exp(-max(-60.0, min(60.0, x))))


@dataclass(frozen=True, slots=True)
class ModelFolder:
    """A checked model folder; of a stock model only the path and kind are known.

    Attributes:
        path: the folder.
        kind: ours or stock.
        phones: the phones in the order of their numbers, without stress.
        moves: numbering of transition ids, None for a stock model.
        filler: the word for talk that is not for the helper.
        filler_cost: of each phone of the filler, in nats.
        filler_start_cost: of beginning the filler at all, in nats: it spares short requests.
        talk_word_cost: cost of each common word of talk in the filler, in nats; None when the
            filler is to be made of phones alone.
        word_penalty: cost of each word, in nats.
        hesitation_cost: cost of an "uh" or "um" between words, in nats.
        sureness: constants of the logistic function.
    """

    path: Path
    kind: ModelKind
    phones: tuple[str, ...] = ()
    moves: PhoneMoves | None = None
    filler: str = UNREAD
    filler_cost: float = 1.0
    filler_start_cost: float = 0.0
    talk_word_cost: float | None = None
    word_penalty: float = 0.0
    hesitation_cost: float = 6.0
    sureness: Sureness = field(default_factory=Sureness)

    def __post_init__(self) -> None:
        """A model of ours without numbers for its graph cannot be used."""
        assert self.kind is ModelKind.STOCK or (self.phones and self.moves is not None)


def open_model(path: Path) -> ModelFolder:
    """The model in a folder, checked for completeness and told apart by kind.

    Raises:
        ModelError: the folder is missing, incomplete, or no model; says what to do.
    """
    if not path.exists():
        raise ModelError(f"There is no speech model at {path}. {_AGAIN}")
    if not path.is_dir():
        raise ModelError(f"{path} is a file, and a speech model is a folder. {_AGAIN}")
    if (path / CARD).is_file():
        return _ours(path)
    stock = _stock(path)
    if stock is not None:
        return stock
    if (path / "am/final.mdl").is_file():
        raise ModelError(
            f"The model in {path} has neither {CARD} nor a graph that takes phrases at run time "
            "(graph/HCLr.fst with graph/Gr.fst), so it cannot listen for the grammar. "
            "Choose a small stock model with a run-time graph, or our own."
        )
    nested = sorted(child.name for child in path.iterdir() if (child / "am/final.mdl").is_file())
    if nested:
        raise ModelError(f"{path} is not a model itself. Name the folder {path / nested[0]}.")
    raise ModelError(f"{path} holds no speech model: am/final.mdl is missing. {_AGAIN}")


def _ours(path: Path) -> ModelFolder:
    missing = [name for name in NEEDED if not (path / name).is_file()]
    if not any((path / name).is_file() for name in FEATURES):
        missing.append(" or ".join(FEATURES))
    if missing:
        raise ModelError(f"The speech model in {path} lacks {', '.join(missing)}. {_AGAIN}")
    empty = [name for name in NEEDED if (path / name).stat().st_size == 0]
    if empty:
        raise ModelError(f"In the speech model in {path} these are empty: {', '.join(empty)}. "
                         f"{_AGAIN}")  # fmt: skip
    try:
        card = json.loads((path / CARD).read_text(encoding="utf-8"))
        return _from_card(path, card)
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        what = f"{fault} is missing" if isinstance(fault, KeyError) else str(fault)
        raise ModelError(
            f"{path / CARD} cannot be read as a model card: {what}. {_AGAIN}"
        ) from fault


def _from_card(path: Path, card: Mapping[str, object]) -> ModelFolder:
    phones = tuple(_names(card, "phones"))
    if tuple(_names(card, "positions")) != PLACES:
        raise ValueError(f"positions must be {', '.join(PLACES)}")
    ids, silence = _part(card, "phone_transition_ids"), _part(card, "silence_transition_ids")
    moves = PhoneMoves(
        **{
            name: int(_number(ids, name))
            for name in PhoneMoves.__slots__
            if not name.startswith("silence")
        },
        silence_enter=int(_number(silence, "enter")),
        silence_loop=int(_number(silence, "loop")),
    )
    filler = _part(card, "filler")
    word = filler["word"]
    if not isinstance(word, str) or not word:
        raise ValueError("filler.word is not a word")
    sureness = _part(card, "sureness") if "sureness" in card else {}
    return ModelFolder(
        path=path,
        kind=ModelKind.OURS,
        phones=phones,
        moves=moves,
        filler=word,
        filler_cost=_number(filler, "cost_per_phone"),
        filler_start_cost=_number(filler, "start_cost", 0.0),
        talk_word_cost=_number(filler, "cost_per_word") if "cost_per_word" in filler else None,
        word_penalty=_number(card, "word_penalty", 0.0),
        hesitation_cost=_number(card, "hesitation_cost", 6.0),
        sureness=Sureness(**{name: _number(sureness, name) for name in sureness}),
    )


def _part(card: Mapping[str, object], name: str) -> Mapping[str, object]:
    part = card[name]
    if not isinstance(part, dict):
        raise ValueError(f"{name} is not a group of values")
    return part


def _names(card: Mapping[str, object], name: str) -> list[str]:
    values = card[name]
    if not isinstance(values, list) or not values or not all(isinstance(v, str) for v in values):
        raise ValueError(f"{name} is not a list of names")
    return values


def _number(card: Mapping[str, object], name: str, otherwise: float | None = None) -> float:
    value = card[name] if otherwise is None else card.get(name, otherwise)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{name} is not a number")
    return float(value)


def _stock(path: Path) -> ModelFolder | None:
    """A stock model with a run-time graph: in the newer layout, or all files side by side."""
    newer = ("am/final.mdl", "graph/HCLr.fst", "graph/Gr.fst")
    older = ("final.mdl", "HCLr.fst", "Gr.fst")
    for layout in (newer, older):
        if all((path / name).is_file() for name in layout):
            return ModelFolder(path, ModelKind.STOCK)
    return None
