"""A YAML table becomes a checked, frozen `Table`; this is the engine's only file access.

The head of each file in engine/data/ gives meaning, source, status, validity, and for each column
its unit and plausible bounds. A file that breaks its own head is an error that names file, row and
column. What was checked once is kept as JSON under a hash of the file's bytes, so that a second
start neither parses nor checks YAML again.
"""

import functools
import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from handsfree.engine.tables.checks import Cell, checked
from handsfree.errors import TableError
from handsfree.values import Status
from handsfree.values.units import Quantity, registry

DATA = Path(__file__).resolve().parents[1] / "data"


@dataclass(frozen=True, slots=True)
class Table:
    """One file of figures, checked.

    Attributes:
        name: the file's stem.
        meaning: what a row says.
        source: key into `sources.yaml` for every cell without its own.
        place: table and page in that source.
        status: of every cell without its own.
        valid: for which work the figures hold.
        columns: for each column its unit, and its own status and source where it has them.
        rows: in the order of the file.
    """

    name: str
    meaning: str
    source: str
    place: str
    status: Status
    valid: str
    columns: Mapping[str, Mapping[str, str]]
    rows: tuple["Row", ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One row with its columns' units; every reader names the column that it wants.

    Attributes:
        cells: in the order of the columns.
        places: at which place each column stands.
        columns: for each column its unit, and its own status and source where it has them.
        table_source: the table's, for cells without their own.
        table_status: likewise.
    """

    cells: Sequence[Cell]
    places: Mapping[str, int]
    columns: Mapping[str, Mapping[str, str]]
    table_source: str
    table_status: str

    def has(self, column: str) -> bool:
        """Whether there is such a column and its cell is filled."""
        place = self.places.get(column)
        return place is not None and self.cells[place] is not None

    def text(self, column: str) -> str:
        """A cell of words, empty when the cell is."""
        value = self.cells[self.places[column]]
        return "" if value is None else str(value)

    def texts(self, column: str) -> tuple[str, ...]:
        """A cell that lists sentences."""
        value = self.cells[self.places[column]]
        return tuple(value) if isinstance(value, (list, tuple)) else ()

    def number(self, column: str) -> float:
        """A bare number, in the column's unit.

        Raises:
            TableError: the cell is empty or holds words.
        """
        value = self.cells[self.places[column]]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise TableError(f"Column {column} holds {value!r} where a number is needed.")
        return float(value)

    def maybe_number(self, column: str) -> float | None:
        """The bare number, None when the cell is empty."""
        return self.number(column) if self.has(column) else None

    def fraction(self, column: str) -> Fraction:
        """A cell written as a trade fraction: "1-1/4"."""
        whole, _, part = self.text(column).partition("-")
        return Fraction(whole) + (Fraction(part) if part else 0)

    def quantity(self, column: str) -> Quantity:
        """The number with its column's unit."""
        return registry.Quantity(self.number(column), _one(self.columns[column]["unit"]).units)

    def maybe(self, column: str) -> Quantity | None:
        """The number with its column's unit, None when the cell is empty."""
        return self.quantity(column) if self.has(column) else None

    def status(self, column: str = "") -> Status:
        """How far a cell can be trusted: its column's status, else the row's, else the table's."""
        return Status(self._own(column, "status") or self.table_status)

    def source(self, column: str = "") -> str:
        """Key of where a cell is from: its column's source, else the row's, else the table's."""
        return self._own(column, "source") or self.table_source

    def _own(self, column: str, kind: str) -> str:
        return self.columns.get(column, {}).get(kind) or (self.text(kind) if self.has(kind) else "")


@functools.cache
def _one(unit: str) -> Quantity:
    """One of a unit: its name is parsed once, not for every cell."""
    return registry.Quantity(1.0, unit)


@functools.cache
def table(name: str) -> Table:
    """The table `engine/data/NAME.yaml`, from the cache when its content has been checked before.

    >>> table("hand_cutting").status
    <Status.MEMORY: 'memory'>

    Raises:
        TableError: there is no such file, or it breaks the rules at its head.
    """
    return read_table(DATA / f"{name}.yaml", cache_folder())


def table_names() -> tuple[str, ...]:
    """The names of all tables that come with the engine."""
    return tuple(sorted(path.stem for path in DATA.glob("*.yaml")))


def cache_folder() -> Path:
    """Where checked tables are kept; it need not exist nor be writable."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base, "handsfree", "tables")


def read_table(path: Path, cache: Path) -> Table:
    """A table file, checked; `cache` is used when it can be, and its loss costs only time.

    Raises:
        TableError: the file is missing, is no YAML, or breaks the rules at its head.
    """
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise TableError(f"The table {path.name} cannot be read: {fault.strerror}.") from fault
    digest = hashlib.sha256(_rules_mark() + content).hexdigest()
    kept = cache / f"{path.stem}-{digest[:20]}.json"
    parsed = _recall(kept)
    if parsed is None:
        parsed = checked(path.name, _parse(path.name, content))
        _keep(kept, parsed)
    return _table(path.stem, parsed)


@functools.cache
def _rules_mark() -> bytes:
    """Changes with the code here, so that what older code checked and kept is checked again."""
    here = Path(__file__)
    return hashlib.sha256(here.read_bytes() + here.with_name("checks.py").read_bytes()).digest()


def _parse(file_name: str, content: bytes) -> object:
    import yaml  # 19 ms that a start with a warm cache does not pay

    safe = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    strict = type("StrictLoader", (safe,), {"construct_mapping": _mapping_of_different_keys(safe)})
    try:
        parsed: object = yaml.load(content, Loader=strict)
    except yaml.YAMLError as fault:
        raise TableError(f"{file_name} is not YAML: {fault}") from fault
    except _DoubleKeyError as fault:
        raise TableError(f"{file_name}: {fault}") from fault
    return parsed


class _DoubleKeyError(Exception):
    """YAML itself keeps the last of two equal keys without a word."""


def _mapping_of_different_keys(safe: Any) -> Callable[..., object]:
    """The loader's own reading of a mapping, after a look at its keys."""

    def construct(self: Any, node: Any, deep: bool = False) -> object:
        keys = [key.value for key, _ in node.value]
        for key, (mark, _) in zip(keys, node.value, strict=True):
            if keys.count(key) > 1:
                line = mark.start_mark.line + 1
                raise _DoubleKeyError(f"line {line}: key {key!r} stands there twice; keep one.")
        made: object = safe.construct_mapping(self, node, deep)
        return made

    return construct


def _recall(kept: Path) -> dict[str, object] | None:
    """What was kept, or None when it is absent, cut short or altered.

    The first line is the hash of the rest: a damaged figure must not pass for a checked one.
    """
    try:
        mark, _, body = kept.read_bytes().partition(b"\n")
    except OSError:
        return None
    if hashlib.sha256(body).hexdigest().encode() != mark:
        return None
    found: dict[str, object] = json.loads(body)
    return found


def _keep(kept: Path, parsed: dict[str, object]) -> None:
    """Writes beside and renames, so that no reader ever sees half a file; failing is no fault."""
    body = json.dumps(parsed, ensure_ascii=False, separators=(",", ":")).encode()
    mark = hashlib.sha256(body).hexdigest().encode()
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=kept.parent, prefix=".table-")
    except OSError:
        return
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(mark + b"\n" + body)
        beside.replace(kept)
    except OSError:
        beside.unlink(missing_ok=True)


def _table(name: str, parsed: dict[str, object]) -> Table:
    head = {key: str(parsed[key]) for key in ("meaning", "source", "place", "status", "valid")}
    columns: Mapping[str, Mapping[str, str]] = parsed["columns"]  # type: ignore[assignment]
    places = {column: place for place, column in enumerate(columns)}
    cells: list[list[Cell]] = parsed["rows"]  # type: ignore[assignment]
    rows = tuple(Row(row, places, columns, head["source"], head["status"]) for row in cells)
    return Table(
        name=name,
        meaning=head["meaning"],
        source=head["source"],
        place=head["place"],
        status=Status(head["status"]),
        valid=head["valid"],
        columns=columns,
        rows=rows,
    )
