"""The rules that every table file must keep, each breach told with file, row and column.

A file is a mapping with these keys, all needed but `order` and `unique`:

    meaning   what a row says
    source    key into sources.yaml
    place     table and page in that source
    status    read, secondary, common practice, memory or computed
    valid     for which work the figures hold
    order     columns by which the rows rise (strictly, the first one counting most)
    unique    columns that no two rows may share
    columns   for each column a mapping:
                unit       a unit of measure, or number, whole, text, fraction, sentences
                low, high  plausible bounds, needed for numbers with or without a unit
                not_below  the column that this one must not fall short of
                empty      true when a cell may be left out
                one_of     for text: the words that may stand there
                meaning, status, source: where they differ from the table's
    rows      lists in the order of the columns, or mappings from column to cell
"""

import math
import re
from collections.abc import Mapping
from typing import TypeAlias, cast

from handsfree.errors import TableError
from handsfree.values import Status

Cell: TypeAlias = str | float | int | bool | list[str] | None

HEAD = ("meaning", "source", "place", "status", "valid", "columns", "rows")
HEAD_MAY = ("order", "unique")
COLUMN_MAY = (
    "unit",
    "low",
    "high",
    "not_below",
    "empty",
    "one_of",
    "meaning",
    "status",
    "source",
)
WORDS = ("text", "fraction", "sentences")
_FRACTION = re.compile(r"\d+(-\d+/\d+)?|\d+/\d+")


def checked(file_name: str, parsed: object) -> dict[str, object]:
    """The table as plain lists and mappings, once it keeps every rule above.

    Raises:
        TableError: the first breach, with file, row and column.
    """
    head = _mapping(parsed, f"{file_name}: the file")
    _only(head, HEAD + HEAD_MAY, f"{file_name}: head")
    for key in HEAD:
        if key not in head:
            raise TableError(f"{file_name}: head: {key} is missing; add it.")
    for key in ("meaning", "source", "place", "valid"):
        if not isinstance(head[key], str) or not head[key]:
            raise TableError(f"{file_name}: head: {key} must be words.")
    _status(head["status"], f"{file_name}: head")
    columns = _columns(file_name, head["columns"])
    rows = [_row(file_name, place, row, columns) for place, row in _places(file_name, head["rows"])]
    for name in _listed(file_name, head, "order", list(columns)):
        if columns[name].get("empty"):
            raise TableError(f"{file_name}: column {name}: rows are ordered by it; fill it always.")
    _in_order(file_name, head, list(columns), rows)
    _no_two_alike(file_name, head, list(columns), rows)
    kept = {
        name: {key: str(value) for key, value in column.items() if key in _KEPT}
        for name, column in columns.items()
    }
    plain: dict[str, object] = {
        key: head[key] for key in ("meaning", "source", "place", "status", "valid")
    }
    return {**plain, "columns": kept, "rows": rows}


_KEPT = ("unit", "status", "source")


def _columns(file_name: str, found: object) -> dict[str, Mapping[str, object]]:
    columns = {}
    for name, inside in _mapping(found, f"{file_name}: columns").items():
        where = f"{file_name}: column {name}"
        column = _mapping(inside, where)
        _only(column, COLUMN_MAY, where)
        if not isinstance(column.get("unit"), str):
            raise TableError(
                f"{where}: the unit is missing; give it, or number, whole, text, fraction."
            )
        if column["unit"] not in WORDS:
            for bound in ("low", "high"):
                if not _is_number(column.get(bound)):
                    raise TableError(f"{where}: the plausible bound {bound} is missing.")
        if "status" in column:
            _status(column["status"], where)
        columns[name] = column
    for name, column in columns.items():
        if "not_below" in column and column["not_below"] not in columns:
            raise TableError(f"{file_name}: column {name}: not_below names no column.")
    return columns


def _places(file_name: str, found: object) -> list[tuple[int, object]]:
    if not isinstance(found, list) or not found:
        raise TableError(f"{file_name}: rows must be a list with at least one row.")
    return list(enumerate(found, start=1))


def _row(
    file_name: str, place: int, found: object, columns: Mapping[str, Mapping[str, object]]
) -> list[Cell]:
    where = f"{file_name}: row {place}"
    if isinstance(found, list):
        if len(found) != len(columns):
            raise TableError(f"{where}: {len(found)} cells for {len(columns)} columns.")
        cells: Mapping[str, object] = dict(zip(columns, found, strict=True))
    else:
        cells = _mapping(found, where)
        _only(cells, tuple(columns), where)
    row = [_cell(f"{where}, column {name}", cells.get(name), columns[name]) for name in columns]
    names = list(columns)
    for index, (name, column) in enumerate(columns.items()):
        other = column.get("not_below")
        if other is None:
            continue
        floor, value = row[names.index(str(other))], row[index]
        if _is_number(floor) and _is_number(value) and float(value) < float(floor):  # type: ignore[arg-type]
            raise TableError(f"{where}, column {name}: {value} is below {other} ({floor}).")
    return row


def _cell(where: str, value: object, column: Mapping[str, object]) -> Cell:
    if value is None or value == "":
        if column.get("empty"):
            return None
        raise TableError(f"{where}: the cell is empty; fill it, or allow it with empty: true.")
    unit = column["unit"]
    if unit == "sentences":
        if not isinstance(value, list) or not all(isinstance(item, str) and item for item in value):
            raise TableError(f"{where}: a list of sentences is needed, not {value!r}.")
        return value
    if unit in WORDS:
        if not isinstance(value, str):
            raise TableError(f"{where}: words are needed, not {value!r}; put them in quotes.")
        if unit == "fraction" and not _FRACTION.fullmatch(value):
            raise TableError(f"{where}: {value!r} is no fraction such as 1-1/4.")
        one_of = column.get("one_of")
        if isinstance(one_of, list) and value not in one_of:
            raise TableError(f"{where}: {value!r} is none of {', '.join(map(str, one_of))}.")
        return value
    if not _is_number(value):
        raise TableError(f"{where}: a number is needed, not {value!r}.")
    number, low, high = float(value), float(column["low"]), float(column["high"])  # type: ignore[arg-type]
    if not math.isfinite(number) or not low <= number <= high:
        raise TableError(f"{where}: {value} is outside the plausible {low:g} to {high:g} {unit}.")
    if unit == "whole" and not isinstance(value, int):
        raise TableError(f"{where}: a whole number is needed, not {value}.")
    return cast(float, value)


def _in_order(
    file_name: str, head: Mapping[str, object], names: list[str], rows: list[list[Cell]]
) -> None:
    order = _listed(file_name, head, "order", names)
    keys = [tuple(row[names.index(name)] for name in order) for row in rows]
    for place, (before, after) in enumerate(zip(keys, keys[1:], strict=False), start=2):
        if order and not before < after:
            raise TableError(
                f"{file_name}: row {place}, column {order[-1]}: {after} does not follow {before}."
            )


def _no_two_alike(
    file_name: str, head: Mapping[str, object], names: list[str], rows: list[list[Cell]]
) -> None:
    unique = _listed(file_name, head, "unique", names)
    seen: dict[tuple[Cell, ...], int] = {}
    for place, row in enumerate(rows, start=1):
        key = tuple(row[names.index(name)] for name in unique)
        if unique and key in seen:
            raise TableError(
                f"{file_name}: row {place}, column {unique[-1]}: "
                f"{', '.join(map(str, key))} stands in row {seen[key]} already."
            )
        seen[key] = place


def _listed(file_name: str, head: Mapping[str, object], key: str, names: list[str]) -> list[str]:
    found = head.get(key, [])
    if not isinstance(found, list) or any(name not in names for name in found):
        raise TableError(f"{file_name}: head: {key} must list columns of the table.")
    return found


def _mapping(found: object, where: str) -> Mapping[str, object]:
    if not isinstance(found, dict) or not all(isinstance(key, str) for key in found):
        raise TableError(f"{where}: names with values are needed.")
    return found


def _only(found: Mapping[str, object], allowed: tuple[str, ...], where: str) -> None:
    for key in found:
        if key not in allowed:
            raise TableError(f"{where}: unknown key {key!r}; allowed are {', '.join(allowed)}.")


def _status(found: object, where: str) -> None:
    if found not in [status.value for status in Status]:
        raise TableError(f"{where}: status {found!r} is none of {', '.join(Status)}.")


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
