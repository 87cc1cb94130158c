"""The engine's sentences, read from data/advice.yaml: each with its source and status."""

import functools
from dataclasses import dataclass

from handsfree.engine.tables import table
from handsfree.errors import TableError
from handsfree.values import Status


@dataclass(frozen=True, slots=True)
class Advice:
    """One sentence fit to be read aloud, and where it is from."""

    key: str
    sentence: str
    source: str
    status: Status


def advice(key: str) -> Advice:
    """The sentence under a key.

    >>> advice("acetylene_limit").sentence
    'Acetylene never above fifteen p s i.'

    Raises:
        TableError: data/advice.yaml has no such key.
    """
    try:
        return _all()[key]
    except KeyError:
        raise TableError(f"advice.yaml has no row {key!r}; add it, or correct the name.") from None


def sentences(*keys: str) -> tuple[str, ...]:
    """The sentences under several keys, in that order."""
    return tuple(advice(key).sentence for key in keys)


def sources(*keys: str) -> tuple[str, ...]:
    """The sources under several keys, in that order, each once."""
    return tuple(dict.fromkeys(advice(key).source for key in keys))


def keys() -> tuple[str, ...]:
    """All keys."""
    return tuple(_all())


@functools.cache
def _all() -> dict[str, Advice]:
    return {
        row.text("key"): Advice(row.text("key"), row.text("sentence"), row.source(), row.status())
        for row in table("advice").rows
    }
