"""Whether a phrase was understood as its meaning in the phrase files says."""

from collections.abc import Mapping
from fractions import Fraction

from handsfree.understand.nothing_lost import Meaning
from handsfree.values import (
    Metal,
    NotUnderstood,
    Piece,
    Question,
    Request,
    Surface,
    TipOnHand,
)
from handsfree.values.units import Quantity

WITHIN = 0.011  # of a number: 1 % as the files say, and a hair for their own rounding
NOT_JUDGED = ("say", "gas", "missed")
FOLLOWS_FROM = ("designation", "nominal_in", "schedule", "gauge")  # these tell the shape too

Slots = dict[str, object]


def fault_of(
    phrase: Mapping[str, object], understood: Meaning | NotUnderstood | None
) -> str | None:
    """What differs from the phrase's meaning; None when nothing does."""
    wanted = {key: value for key, value in phrase.items() if key not in NOT_JUDGED}
    if wanted.pop("not_for_helper", False):
        return None if isinstance(understood, NotUnderstood) else f"taken for {understood}"
    if (left := wanted.pop("left_over", None)) is not None:
        if not isinstance(understood, Question) or f" {left}." not in understood.prompt:
            return f"wanted a question about {left}, got {_told(understood)}"
        understood = understood.request
    if not isinstance(understood, Request):
        return f"wanted {wanted}, got {_told(understood)}"
    got = _slots(understood)
    if "hazard" in wanted:
        over = wanted["hazard"] == "fuel_over_limit" and _fuel_over_limit(understood)
        right = wanted["hazard"] in understood.hazards or over
        return None if right else f"wanted hazard {wanted['hazard']}, got {got}"
    if understood.hazards:
        return f"taken for {understood.hazards}"
    wanted = _in_inches(wanted)
    if wanted.get("metal") == "mild steel":
        del wanted["metal"]
    if "shape" not in wanted and any(name in wanted for name in FOLLOWS_FROM):
        got.pop("shape", None)
    differing = sorted(
        name
        for name in wanted.keys() | got.keys()
        if name not in wanted or name not in got or not _same(wanted[name], got[name])
    )
    return f"wanted {wanted}, got {got}: {', '.join(differing)}" if differing else None


def _told(understood: object) -> str:
    if isinstance(understood, Question):
        return f"the question {understood.prompt!r}"
    return repr(understood)


def _fuel_over_limit(request: Request) -> bool:
    pressure = request.asked_pressure
    return request.asked_gas == "fuel" and pressure is not None and _in(pressure, "psi") > 15


def _in_inches(wanted: Mapping[str, object]) -> Slots:
    inches: Slots = dict(wanted)
    for name in ("thickness", "tip_made_for"):
        if f"{name}_mm" in inches:
            inches[f"{name}_in"] = float(str(inches.pop(f"{name}_mm"))) / 25.4
    if inches.get("convert_to") in ("inch", "thou"):
        inches["convert_to"] = "in"
    return inches


def _slots(request: Request) -> Slots:
    """What was understood, in the names and units of the files."""
    slots: Slots = {
        "about": str(request.about),
        "fuel": request.fuel and str(request.fuel),
        "position": request.position and str(request.position),
        "hose_length_ft": request.hose_length and _in(request.hose_length, "ft"),
        "hose_bore_in": request.hose_bore and _in(request.hose_bore, "in"),
        "asked_psi": request.asked_pressure and _in(request.asked_pressure, "psi"),
        "asked_gas": request.asked_gas,
        "steps": request.steps,
        "change": request.change and str(request.change),
    }
    slots |= _of_piece(request.piece or Piece()) | _of_tip(request.tip or TipOnHand())
    if request.conversion is not None:
        unit, amount = request.conversion.unit, request.conversion.amount
        slots["convert_to"] = "in" if unit == "fraction" else unit
        if amount is not None and amount.check("[length]"):
            slots["thickness_in"] = _in(amount, "in")
        elif amount is not None and amount.check("[pressure]"):
            slots["asked_psi"] = _in(amount, "psi")
    return {name: value for name, value in slots.items() if value is not None}


def _of_piece(piece: Piece) -> Slots:
    return {
        "thickness_in": None if piece.thickness is None else _in(piece.thickness, "in"),
        "gauge": piece.gauge,
        "nominal_in": piece.nominal,
        "schedule": piece.schedule,
        "designation": piece.designation,
        "shape": piece.shape and str(piece.shape),
        "metal": None if piece.metal is Metal.MILD_STEEL else str(piece.metal),
        "surface": None if piece.surface is Surface.CLEAN else str(piece.surface),
    }


def _of_tip(tip: TipOnHand) -> Slots:
    return {
        "tip_made_for_in": None if tip.made_for is None else _in(tip.made_for[1], "in"),
        "tip_bore_in": None if tip.bore is None else _in(tip.bore, "in"),
        "tip_drill": tip.drill,
        "tip_stamp": tip.stamp,
    }


def _in(quantity: Quantity, unit: str) -> float:
    return float(quantity.m_as(unit))


def _same(wanted: object, got: object) -> bool:
    if isinstance(wanted, int | float) and isinstance(got, int | float | Fraction):
        return abs(float(wanted) - float(got)) <= WITHIN * abs(float(wanted))
    return str(wanted) == str(got)
