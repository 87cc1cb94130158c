"""A table file that breaks its own head is told with file, row and column; the cache is safe."""

import copy
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from handsfree.engine.tables import loader, read_table
from handsfree.errors import TableError
from handsfree.values import Status

GOOD: dict[str, Any] = {
    "meaning": "Invented plates",
    "source": "invented",
    "place": "table 1, page 2",
    "status": "memory",
    "valid": "nowhere",
    "order": ["thickness"],
    "columns": {
        "thickness": {"unit": "in", "low": 0.1, "high": 12},
        "speed_low": {"unit": "in/min", "low": 1, "high": 40},
        "speed_high": {"unit": "in/min", "low": 1, "high": 40, "not_below": "speed_low"},
        "nominal": {"unit": "fraction", "empty": True},
        "kind": {"unit": "text", "one_of": ["hand", "machine"], "status": "read"},
    },
    "rows": [
        [0.25, 16, 18, "1-1/4", "hand"],
        [0.5, 12, 14.5, None, "machine"],
    ],
}


def write(folder: Path, content: object) -> Path:
    path = folder / "plates.yaml"
    text = content if isinstance(content, str) else yaml.safe_dump(content, sort_keys=False)
    path.write_text(text, "utf-8")
    return path


def changed(*path: str | int, to: object) -> dict[str, Any]:
    """The good table with one place changed; `...` takes the place out."""
    table = copy.deepcopy(GOOD)
    place: Any = table
    for key in path[:-1]:
        place = place[key]
    if to is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = to
    return table


def test_reads_rows_with_units_sources_and_status(tmp_path: Path) -> None:
    table = read_table(write(tmp_path, GOOD), tmp_path / "cache")
    first, second = table.rows
    assert first.quantity("thickness").m_as("mm") == pytest.approx(6.35)
    assert first.fraction("nominal") == 1.25
    assert second.maybe("nominal") is None
    assert first.status() is Status.MEMORY
    assert first.status("kind") is Status.READ
    assert first.source("kind") == "invented"


def test_reads_rows_written_as_mappings_and_lists_of_sentences(tmp_path: Path) -> None:
    table = changed("columns", to={"key": {"unit": "text"}, "say": {"unit": "sentences"}})
    table["rows"] = [{"key": "one", "say": ["First.", "Second."]}]
    del table["order"]
    row = read_table(write(tmp_path, table), tmp_path / "cache").rows[0]
    assert row.texts("say") == ("First.", "Second.")
    again = read_table(tmp_path / "plates.yaml", tmp_path / "cache").rows[0]
    assert again.texts("say") == ("First.", "Second.")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (changed("colour", to="red"), "plates.yaml: head: unknown key 'colour'"),
        (changed("valid", to=...), "plates.yaml: head: valid is missing"),
        (changed("valid", to=""), "plates.yaml: head: valid must be words"),
        (changed("status", to="certain"), "plates.yaml: head: status 'certain'"),
        (changed("columns", "speed_low", "unit", to=...), "column speed_low: the unit is missing"),
        (changed("columns", "speed_low", "high", to=...), "column speed_low: the plausible bound"),
        (changed("columns", "speed_low", "hue", to=1), "column speed_low: unknown key 'hue'"),
        (changed("columns", "kind", "status", to="sure"), "column kind: status 'sure'"),
        (
            changed("columns", "speed_high", "not_below", to="slow"),
            "column speed_high: not_below names no column",
        ),
        (changed("order", to=["weight"]), "head: order must list columns"),
        (changed("order", to=["nominal"]), "column nominal: rows are ordered by it"),
        (changed("unique", to=["weight"]), "head: unique must list columns"),
        (
            {**changed("order", to=...), "unique": ["kind"], "rows": [GOOD["rows"][0]] * 2},
            "plates.yaml: row 2, column kind: hand stands in row 1 already",
        ),
        (changed("rows", to=[]), "rows must be a list with at least one row"),
        (changed("rows", 0, to=[0.25, 16]), "plates.yaml: row 1: 2 cells for 5 columns"),
        (changed("rows", 0, to={"plate": 1}), "plates.yaml: row 1: unknown key 'plate'"),
        (changed("rows", 0, to="x"), "plates.yaml: row 1: names with values are needed"),
        (
            changed("rows", 1, 0, to=0.25),
            "row 2, column thickness: (0.25,) does not follow (0.25,)",
        ),
        (changed("rows", 1, 0, to=80), "row 2, column thickness: 80 is outside the plausible"),
        (changed("rows", 1, 0, to=float("nan")), "row 2, column thickness: nan is outside"),
        (
            changed("columns", "speed_low", "unit", to="whole")
            | {"rows": [[1, 2.5, 3, None, "hand"]]},
            "row 1, column speed_low: a whole number is needed, not 2.5",
        ),
        (changed("rows", 1, 1, to=None), "row 2, column speed_low: the cell is empty"),
        (changed("rows", 1, 1, to="fast"), "row 2, column speed_low: a number is needed"),
        (changed("rows", 1, 1, to=True), "row 2, column speed_low: a number is needed"),
        (changed("rows", 1, 2, to=11), "row 2, column speed_high: 11 is below speed_low (12)"),
        (changed("rows", 0, 3, to="1 1/4"), "row 1, column nominal: '1 1/4' is no fraction"),
        (changed("rows", 0, 4, to="robot"), "row 1, column kind: 'robot' is none of hand, machine"),
        (changed("rows", 0, 4, to=3), "row 1, column kind: words are needed"),
        ("status: read\nstatus: memory\n", "plates.yaml: line 1: key 'status' stands there twice"),
        ("rows: [", "plates.yaml is not YAML"),
        ("- 1\n", "plates.yaml: the file: names with values are needed"),
    ],
)
def test_names_file_row_and_column_of_what_is_wrong(
    tmp_path: Path, content: object, told: str
) -> None:
    with pytest.raises(TableError) as caught:
        read_table(write(tmp_path, content), tmp_path / "cache")
    assert told in str(caught.value)
    assert not (tmp_path / "cache").exists()


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"nothing\.yaml cannot be read"):
        read_table(tmp_path / "nothing.yaml", tmp_path / "cache")


def test_a_word_where_a_number_is_asked_for_is_an_error(tmp_path: Path) -> None:
    row = read_table(write(tmp_path, GOOD), tmp_path / "cache").rows[0]
    with pytest.raises(TableError, match="Column kind holds 'hand'"):
        row.number("kind")


def test_the_second_reading_needs_no_yaml(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, cache = write(tmp_path, GOOD), tmp_path / "cache"
    first = read_table(path, cache)

    def refuse(file_name: str, content: bytes) -> object:
        raise AssertionError(f"{file_name} was parsed again")

    monkeypatch.setattr(loader, "_parse", refuse)
    assert read_table(path, cache) == first


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    read_table(write(tmp_path, GOOD), cache)
    table = read_table(write(tmp_path, changed("rows", 0, 1, to=17)), cache)
    assert table.rows[0].number("speed_low") == 17


@pytest.mark.parametrize("damage", ["cut short", "altered", "emptied", "replaced"])
def test_a_damaged_cache_file_is_not_believed(tmp_path: Path, damage: str) -> None:
    path, cache = write(tmp_path, GOOD), tmp_path / "cache"
    sound = read_table(path, cache)
    (kept,) = cache.iterdir()
    content = kept.read_bytes()
    kept.write_bytes(
        {
            "cut short": content[:-20],
            "altered": content.replace(b"16", b"61"),
            "emptied": b"",
            "replaced": b"not a cache file",
        }[damage]
    )
    assert kept.read_bytes() != content
    assert read_table(path, cache) == sound
    assert kept.read_bytes() == content


def test_a_cache_folder_that_cannot_be_made_costs_only_time(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("", "utf-8")
    assert read_table(write(tmp_path, GOOD), in_the_way / "cache").rows


def test_a_disk_that_fills_up_leaves_no_half_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert read_table(write(tmp_path, GOOD), tmp_path / "cache").rows
    assert list((tmp_path / "cache").iterdir()) == []


def test_the_cache_lies_in_the_users_cache_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert loader.cache_folder() == tmp_path / "handsfree" / "tables"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert loader.cache_folder() == tmp_path / ".cache" / "handsfree" / "tables"


def test_sections_are_read_only_when_one_is_asked_for(tmp_path: Path) -> None:
    script = (
        "from handsfree.engine import tables\n"
        "from handsfree.engine.tables import loader\n"
        "read, seen = loader.read_table, []\n"
        "loader.read_table = lambda path, cache: seen.append(path.stem) or read(path, cache)\n"
        "tables.hand_cutting(), tables.sheet_gauge(10), tables.refusal('zinc')\n"
        "assert not [name for name in seen if name.startswith('sections')], seen\n"
        "tables.section('L4X4X3/8')\n"
        "assert [n for n in seen if n.startswith('sections')] == ['sections_l'], seen\n"
    )
    environment = {**os.environ, "XDG_CACHE_HOME": str(tmp_path)}
    subprocess.run([sys.executable, "-c", script], env=environment, check=True)


def test_every_table_that_ships_keeps_its_rules(tmp_path: Path) -> None:
    for path in sorted(loader.DATA.glob("*.yaml")):
        assert read_table(path, tmp_path).rows
