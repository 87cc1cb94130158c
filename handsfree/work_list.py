"""The list of what goes up, kept between runs in a file that its user can read and change.

One entry a piece, with how many cuts, how far, and how many are done. Written beside and renamed,
so that a crash loses nothing. What cannot be read is told; nothing is written over it.
"""

from collections.abc import Mapping
from dataclasses import fields
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any

import yaml

from handsfree.errors import SettingsError
from handsfree.settings import user_folder
from handsfree.units import Quantity, registry
from handsfree.values import Access, Metal, Piece, Shape, Surface, Wanted
from handsfree.whole_file import write_whole

FILE_NAME = "work-list.yaml"
HEAD = """\
# What goes up: one piece an entry. cuts: how many; done: how many are cut already;
# length: how far plate is cut ("6 ft"). Change it here, by voice, or start a new one.
"""
_KINDS: dict[str, type[StrEnum]] = {"shape": Shape, "metal": Metal, "surface": Surface}
_LENGTHS = ("thickness",)


class WorkList:
    """The list in one file.

    Args:
        folder: where it lies; the user's own when None.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / FILE_NAME

    def read(self) -> tuple[Wanted, ...]:
        """The list; empty where there is none yet.

        Raises:
            SettingsError: the file is there but is no list of pieces.
        """
        try:
            text = self.path.read_text(encoding="utf-8")
        except FileNotFoundError:
            return ()
        except (OSError, UnicodeError) as fault:
            raise SettingsError(f"The work list {self.path} cannot be read: {fault}.") from fault
        try:
            entries = yaml.safe_load(text) or []
            return tuple(_wanted(entry) for entry in entries)
        except (yaml.YAMLError, AttributeError, KeyError, TypeError, ValueError) as fault:
            raise SettingsError(
                f"The work list {self.path} is not a list of pieces: {fault}. Mend or delete it."
            ) from fault

    def write(self, wanted: tuple[Wanted, ...]) -> None:
        """Keep the list.

        Raises:
            SettingsError: it cannot be written; the old one is as it was.
        """
        entries = [_plain(line) for line in wanted]
        text = HEAD + yaml.safe_dump(entries, sort_keys=False, allow_unicode=True)
        write_whole(self.path, text, f"The work list {self.path} cannot be written: {{fault}}.")


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


def _wanted(entry: Mapping[str, Any]) -> Wanted:
    unknown = set(entry) - {"piece", "cuts", "done", "length", "access"}
    if unknown:
        raise ValueError(f"unknown {', '.join(sorted(unknown))}")
    count, done = int(entry.get("cuts", 1)), int(entry.get("done", 0))
    if count < 0 or done < 0:
        raise ValueError("cuts and done are counts")
    return Wanted(
        _piece(entry["piece"]),
        count,
        _length(entry["length"]) if "length" in entry else None,
        Access(entry["access"]) if "access" in entry else None,
        done,
    )


def _piece(entry: Mapping[str, Any]) -> Piece:
    names = {field.name for field in fields(Piece)}
    if unknown := set(entry) - names:
        raise ValueError(f"a piece has no {', '.join(sorted(unknown))}")
    found: dict[str, Any] = dict(entry)
    for name, kind in _KINDS.items():
        if name in found:
            found[name] = kind(found[name])
    for name in _LENGTHS:
        if name in found:
            found[name] = _length(found[name])
    if "outside" in found:
        found["outside"] = tuple(_length(side) for side in found["outside"])
    if "nominal" in found:
        found["nominal"] = Fraction(found["nominal"])
    return Piece(**found)


def _length_plain(length: Quantity) -> str:
    return f"{float(length.magnitude):.10g} {length.units:~}"


def _length(text: str) -> Quantity:
    try:
        found: Quantity = registry.Quantity(text)
    except Exception as fault:  # pint raises many kinds for what is no quantity
        raise ValueError(f"{text!r} is no length such as 6 ft") from fault
    if not found.check("[length]"):
        raise ValueError(f"{text!r} is no length such as 6 ft")
    return found
