"""Reads the second transcriptions: CSV files whose first line says what they were typed from."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture
def typed_again() -> Callable[[str], list[dict[str, str]]]:
    """The rows of a second transcription, every cell as it was typed."""

    def read(name: str) -> list[dict[str, str]]:
        lines = (HERE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
        assert lines[0].startswith("# "), f"{name}.csv does not say what it was typed from"
        return list(csv.DictReader(lines[1:]))

    return read
