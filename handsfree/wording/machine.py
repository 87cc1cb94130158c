"""A told reply as one JSON object, for other programs and for our own benches."""

import json
from dataclasses import asdict

from handsfree.values import Told
from handsfree.wording.machine_plan import development_record, plan_record, take_up_record


def as_record(told: Told) -> dict[str, object]:
    """The reply as plain names and values.

    `values` holds every figure with its ends in `unit` (psi, in/min, in, s, deg, cfh, shade, lb;
    conversions in the unit that was asked for), its citation and its status. `say` is what is
    spoken, `more` what is spoken after "more". A cut plan, the unrolled line of a cut, a list of
    what to take up and the coupons of a practice come with the replies that have one.

    >>> asked = Told("question", "plate", 1.0, "plate", "setting", (), ("Plate.", "How thick?"))
    >>> as_record(asked)["say"]
    'Plate. How thick?'
    """
    record: dict[str, object] = {
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
    if told.plan is not None:
        record["plan"] = plan_record(told.plan)
    if told.development is not None:
        record["development"] = development_record(told.development)
    if told.take_up is not None:
        record["take_up"] = take_up_record(told.take_up)
    if told.progress is not None:
        record["progress"] = {
            "who": told.progress.who,
            "coupons": [asdict(coupon) for coupon in told.progress.coupons],
        }
    return record


def as_line(told: Told) -> str:
    """The record as one line of JSON in ASCII, whatever was heard; without a line end."""
    return json.dumps(as_record(told), allow_nan=False)
