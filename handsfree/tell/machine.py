"""A told reply as one JSON object, for other programs and for our own benches."""

import json

from handsfree.values import Told


def as_record(told: Told) -> dict[str, object]:
    """The reply as plain names and values.

    `values` holds every figure with its ends in `unit` (psi, in/min, in, s, deg, cfh, shade, lb;
    conversions in the unit that was asked for), its citation and its status. `say` is what is
    spoken, `more` what is spoken after "more".

    >>> asked = Told("question", "plate", 1.0, "plate", "setting", (), ("Plate.", "How thick?"))
    >>> as_record(asked)["say"]
    'Plate. How thick?'
    """
    return {
        "heard": told.heard,
        "kind": told.kind,
        "understood": told.understood,
        "request": dict(told.request),
        "say": " ".join(told.sentences),
        "values": [
            {
                "name": figure.name,
                "low": figure.low,
                "high": figure.high,
                "unit": figure.unit,
                "source": figure.source,
                "status": figure.status.value,
                "note": figure.note,
            }
            for figure in told.figures
        ],
        "cautions": list(told.cautions),
        "sources": list(told.sources),
        "technique": list(told.technique),
        "notes": list(told.notes),
        "options": list(told.options),
        "more": " ".join(told.more),
        "sureness": told.sureness,
    }


def as_line(told: Told) -> str:
    """The record as one line of JSON in ASCII, whatever was heard; without a line end."""
    return json.dumps(as_record(told), allow_nan=False)
