"""The sets that are written down as sentences: files of this folder into cases."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import yaml

HERE = Path(__file__).parent
SEED = 15
A_FORM = 10  # cases of each form of negation
SLOTS = ("thickness",) * 6 + ("fuel", "tip", "section", "metal")  # of those ten


@dataclass(frozen=True, slots=True)
class Negation:
    """A talk in which a value is said not to be meant.

    Attributes:
        says: the turns; the last one says it.
        slot: thickness, fuel, tip, section or metal.
        never: the value that must not be taken; a length is in mm.
        allowed: what may be taken in its place; None where nothing was named.
        form: how it is said.
    """

    says: tuple[str, ...]
    slot: str
    never: str | float
    allowed: str | float | None
    form: str


@dataclass(frozen=True, slots=True)
class Spoken:
    """A talk of some kind; `kind` is what it is told for."""

    says: tuple[str, ...]
    kind: str


def negations() -> Iterator[Negation]:
    """Ten of each form, most of them about thickness."""
    content, random = _content("negations"), Random(SEED)
    for group in ("alone", "alone_with", "after", "after_with"):
        for form, number in product(content[group], range(A_FORM)):
            slot = SLOTS[number]
            values, asks = content["slots"][slot]["values"], content["slots"][slot]["asks"]
            x, y = random.sample(list(values), 2)
            ask = random.choice(asks)
            last = form.format(x=x, y=y, ask=ask)
            first = (f"{ask} {x}",) if group.startswith("after") else ()
            allowed = values[y] if group.endswith("with") else None
            yield Negation((*first, last), slot, values[x], allowed, form)


def refused() -> Iterator[Spoken]:
    """Every wish in every wrapping; the kind is the wish."""
    content = _content("refused")
    for wish, wrapping in product(content["wishes"], content["wrappings"]):
        turns = wish if isinstance(wish, list) else [wish]
        last = wrapping.format(w=turns[-1])
        yield Spoken((*turns[:-1], last), turns[-1])


def coatings() -> Iterator[Spoken]:
    """Every second coating in every form after every first one; pieces take turns.

    The talk is the request, "yes", and the turns of the form; the kind is the form.
    """
    content = _content("coatings")
    number = 0
    for first, (c, n), form in product(content["firsts"], content["coatings"], content["forms"]):
        if c == first:
            continue
        p, q = content["pieces"][number % len(content["pieces"])]
        number += 1
        words = {"p": p, "q": q, "c": c, "n": n, "f": first}
        opening = content["opens"].format(**words)
        turns = tuple(turn.format(**words) for turn in form)
        yield Spoken((opening, "yes", *turns), form[-1])


def hazards() -> Iterator[Spoken]:
    """Kinds are `hazards` and `harmless`."""
    return _listed("hazards")


def emergencies() -> Iterator[Spoken]:
    """The kind is that of the list which must start; `harmless` where none may."""
    return _listed("emergencies")


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text."""
    return tuple(text.split())


def _listed(name: str) -> Iterator[Spoken]:
    for kind, says in _content(name).items():
        yield from (Spoken((say,), kind) for say in says)


def _content(name: str) -> dict[str, Any]:
    content: dict[str, Any] = yaml.safe_load((HERE / f"{name}.yaml").read_text(encoding="utf-8"))
    return content
