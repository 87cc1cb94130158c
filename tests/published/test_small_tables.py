"""The short tables against their second transcription, cell by cell."""

from pathlib import Path

import yaml

from handsfree.engine import tables

TYPED = Path(__file__).parent / "small_tables.yaml"


def test_short_tables_agree_with_their_second_transcription() -> None:
    typed = yaml.safe_load(TYPED.read_text(encoding="utf-8"))
    wrong = []
    for name, again in typed.items():
        rows = tables.table(name).rows
        if len(rows) != len(again["rows"]):
            wrong.append(f"{name}: {len(rows)} rows, typed again {len(again['rows'])}")
        for place, (row, cells) in enumerate(zip(rows, again["rows"], strict=False), start=1):
            for column, cell in zip(again["columns"], cells, strict=True):
                found = row.text(column) if isinstance(cell, str) else row.maybe_number(column)
                if found != cell:
                    wrong.append(f"{name}, row {place}, {column}: {found}, typed again {cell}")
    assert wrong == []
