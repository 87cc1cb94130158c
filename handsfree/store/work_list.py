"""The list of what goes up, kept between runs in a file that its user can read and change.

One entry a piece, with how many cuts, how far, and how many are done.
"""

import re
from collections.abc import Callable
from dataclasses import fields
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.plain import flag, from_yaml, length, number, text, to_yaml
from handsfree.store.settings import user_folder
from handsfree.values import Access, Metal, Piece, Shape, Surface, Wanted
from handsfree.values.units import Quantity

FILE_NAME = "work-list.yaml"
HEAD = """\
# What goes up: one piece an entry. cuts: how many; done: how many are cut already;
# length: how far plate is cut ("6 ft"). Change it here, by voice, or start a new one.
"""
_LENGTHS = ("thickness",)
MOST_CUTS: Final = 100_000
MOST_SIDES: Final = 3
_SIZE: Final = re.compile(r"\d{1,3}([./]\d{1,4})?")


class WorkList:
    """The list in one file.

    Args:
        folder: where it lies; the user's own when None.
        faults: takes what is wrong with it.
    """

    def __init__(self, folder: Path | None = None, faults: Faults | None = None) -> None:
        self.path = (folder or user_folder()) / FILE_NAME
        self._file: KeptFile[tuple[Wanted, ...]] = KeptFile(
            self.path,
            "The work list",
            (),
            parse=_list,
            text=lambda wanted: to_yaml(HEAD, [_plain(line) for line in wanted]),
            without="Until you mend it there is no list: tell it anew.",
            refused=f"The work list {self.path} cannot be written: {{fault}}.",
            faults=faults or Faults(),
        )

    def read(self) -> tuple[Wanted, ...]:
        """The list; empty where there is none yet, and where it cannot be read."""
        return self._file.read()

    def write(self, wanted: tuple[Wanted, ...]) -> None:
        """Keep this list.

        Raises:
            SettingsError: it cannot be written; the old one is as it was.
        """
        self._file.write(wanted)

    def update(
        self, change: Callable[[tuple[Wanted, ...]], tuple[Wanted, ...]]
    ) -> tuple[Wanted, ...]:
        """Change the list as it is now; `change` may be called twice; raises as `write`."""
        return self._file.update(change)


def _plain(wanted: Wanted) -> dict[str, object]:
    entry: dict[str, object] = {"piece": _piece_plain(wanted.piece), "cuts": wanted.count}
    if wanted.done:
        entry["done"] = wanted.done
    if wanted.length is not None:
        entry["length"] = _length_plain(wanted.length)
    if wanted.access is not None:
        entry["access"] = wanted.access.value
    return entry


def _piece_plain(piece: Piece) -> dict[str, object]:
    found: dict[str, object] = {}
    for field in fields(Piece):
        value = getattr(piece, field.name)
        if value == field.default:
            continue
        if field.name == "outside":
            found[field.name] = [_length_plain(side) for side in value]
        elif field.name in _LENGTHS:
            found[field.name] = _length_plain(value)
        elif isinstance(value, StrEnum):
            found[field.name] = value.value
        else:
            found[field.name] = str(value) if isinstance(value, Fraction) else value
    return found


def _list(said: str) -> tuple[Wanted, ...]:
    entries = from_yaml(said) or []
    if not isinstance(entries, list):
        raise ValueError("it is not a list of pieces")
    return tuple(_wanted(entry) for entry in entries)


def _wanted(entry: object) -> Wanted:
    if not isinstance(entry, dict):
        raise ValueError("an entry is no piece")
    if unknown := set(entry) - {"piece", "cuts", "done", "length", "access"}:
        raise ValueError(f"unknown {', '.join(sorted(unknown))}")
    return Wanted(
        _piece(entry["piece"]),
        _count(entry.get("cuts", 1)),
        length(entry["length"]) if "length" in entry else None,
        Access(entry["access"]) if "access" in entry else None,
        _count(entry.get("done", 0)),
    )


def _count(said: object) -> int:
    if isinstance(said, bool) or not isinstance(said, int) or not 0 <= said <= MOST_CUTS:
        raise ValueError(f"cuts and done are counts, not {said!r}")
    return said


def _piece(entry: object) -> Piece:
    if not isinstance(entry, dict):
        raise ValueError("a piece must be names with values")
    if unknown := set(entry) - set(_READ):
        raise ValueError(f"a piece has no {', '.join(sorted(unknown))}")
    return Piece(**{name: _READ[name](said) for name, said in entry.items()})


def _length_plain(length: Quantity) -> str:
    return f"{float(length.magnitude):.10g} {length.units:~}"


def _outside(said: object) -> tuple[Quantity, ...]:
    if not isinstance(said, list) or len(said) > MOST_SIDES:
        raise ValueError("outside must be a list of one to three lengths")
    return tuple(length(side) for side in said)


def _nominal(said: object) -> Fraction:
    if not _SIZE.fullmatch(str(said)):  # a power of ten would be worked out
        raise ValueError(f"{said!r} is no size of pipe such as 1/2 or 3")
    return Fraction(str(said))


_READ: Final[dict[str, Callable[[Any], Any]]] = {
    "shape": Shape,
    "thickness": length,
    "gauge": _count,
    "nominal": _nominal,
    "schedule": text,
    "designation": text,
    "outside": _outside,
    "metal": Metal,
    "surface": Surface,
    "closed": flag,
    "carbon_percent": lambda said: number(said, 0, 10),
}
"""How each field of a piece is read; values: what YAML has there, so Any."""
