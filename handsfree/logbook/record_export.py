"""Entries of the logbook as CSV for a spreadsheet, and as JSON with all that is needed to check."""

import csv
import io
import json
from collections.abc import Iterable
from datetime import datetime

from handsfree.logbook.chain import Chain
from handsfree.logbook.logbook import Entry
from handsfree.logbook.record_reading import detail_of

COLUMNS = (
    *("number", "at", "kind", "list", "step", "timer", "minutes"),
    *("heard", "understood", "said", "detail", "seal"),
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would work out what begins so


def record_csv(entries: Iterable[Entry]) -> str:
    """A line for each entry, under a line of names, as RFC 4180 has it.

    A cell that a spreadsheet would take for a formula begins with an apostrophe.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for entry in entries:
        detail = detail_of(entry)
        cells = (
            *(entry.number, entry.at, entry.kind),
            *(detail.get(name, "") for name in ("title", "step", "name", "minutes")),
            *(entry.heard, entry.understood, entry.said, entry.detail, entry.seal),
        )
        writer.writerow(map(_plain, cells))
    return text.getvalue()


def _plain(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell


def record_json(entries: Iterable[Entry], chain: Chain, made: datetime, left_out: str = "") -> str:
    """One object: the entries with their seals, and how the logbook stands.

    A seal is the SHA-256 of the JSON list of the seal before, at, kind, heard, understood, said and
    detail, so that a whole export can be checked without the logbook; `detail` is therefore the
    text as it is kept.
    """
    return (
        json.dumps(
            {
                "made": made.isoformat(timespec="seconds"),
                "left_out": left_out,
                "logbook": {
                    "entries": chain.entries,
                    "last": chain.last,
                    "seal": chain.seal,
                    "broken_at": chain.broken_at,
                    "told": chain.told,
                },
                "entries": [
                    {
                        "number": entry.number,
                        "at": entry.at,
                        "kind": entry.kind,
                        "heard": entry.heard,
                        "understood": entry.understood,
                        "said": entry.said,
                        "detail": entry.detail,
                        "seal": entry.seal,
                    }
                    for entry in entries
                ],
            },
            ensure_ascii=False,
            indent=1,
        )
        + "\n"
    )
