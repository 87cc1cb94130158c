"""A request to plain names and values, for programs that read the reply."""

from handsfree.values import Answer, Piece, Request, Surface, TipOnHand
from handsfree.values.timing import Paced
from handsfree.values.units import Quantity, registry
from handsfree.wording.readback import (
    confirmed_words,
    fuel_of,
    store_words,
    tip_words,
    wanted_words,
)


def as_pairs(
    request: Request | None, answer: Answer | None = None
) -> tuple[tuple[str, str | float | bool], ...]:
    """The request as plain names and values for other programs; only what is known.

    Lengths are in millimetres, hose lengths in metres, pressures in psi.
    """
    if request is None:
        return ()
    pairs: dict[str, str | float | bool | None] = {"about": request.about.value}
    if request.piece is not None:
        pairs |= _piece_pairs(request.piece)
    if answer is not None and answer.thickness is not None:
        pairs["thickness_mm"] = _mm(answer.thickness)
        pairs["thickness_name"] = answer.thickness_name or None
    if answer is not None and request.tip is not None:
        pairs["fit"] = answer.fit.value
    if request.tip is not None:
        pairs |= _tip_pairs(request.tip)
    fuel = fuel_of(request)
    pairs |= {
        "fuel": fuel.value if fuel is not None else None,
        "position": request.position.value if request.position is not None else None,
        "hose_length_m": _in_unit(request.hose_length, registry.meter),
        "hose_bore_mm": _mm(request.hose_bore),
        "asked_pressure_psi": _in_unit(request.asked_pressure, registry.psi),
        "asked_gas": request.asked_gas,
        "oxygen_purity_percent": request.oxygen_purity_percent,
        "change": request.change.value if request.change is not None else None,
        "steps": request.steps,
        "gauge_of": request.gauge_of,
        "shuts_first": request.shuts_first,
        "hazards": ", ".join(request.hazards) or None,
        "standing": ", ".join(request.standing) or None,
        "confirmed": ", ".join(confirmed_words(request)) or None,
        "lean": True if request.lean else None,
        "defaults": ", ".join(request.defaults) or None,
        "access": request.access.value if request.access is not None else None,
        "task": request.task.value if request.task is not None else None,
        "count": request.count,
        "cut_length_mm": _mm(request.cut_length),
        "piece_length_m": _in_unit(request.piece_length, registry.meter),
        "mitre_deg": _in_unit(request.mitre, registry.degree),
        "listed": request.listed,
        "header_in": float(request.header) if request.header is not None else None,
        "weld_mm": _mm(request.weld),
        "stores": ", ".join(said for store in request.stores for said in store_words(store))
        or None,
        "wanted": "; ".join(map(wanted_words, request.wanted)) or None,
    }
    if request.paced is not None:
        pairs |= _paced_pairs(request.paced)
    if request.conversion is not None:
        amount = request.conversion.amount
        if amount is not None:
            pairs["convert_amount"] = round(float(amount.magnitude), 4)
            pairs["convert_from"] = f"{amount.units:~}"
        pairs["convert_to"] = request.conversion.unit
    return tuple((name, value) for name, value in pairs.items() if value is not None)


def _piece_pairs(piece: Piece) -> dict[str, str | float | bool | None]:
    outside = " x ".join(f"{_mm(side):.4g}" for side in piece.outside)
    return {
        "shape": piece.shape.value if piece.shape is not None else None,
        "thickness_mm": _mm(piece.thickness),
        "gauge": piece.gauge,
        "nominal_in": float(piece.nominal) if piece.nominal is not None else None,
        "schedule": piece.schedule,
        "designation": piece.designation,
        "outside_mm": outside or None,
        "metal": piece.metal.value,
        "surface": piece.surface.value if piece.surface is not Surface.CLEAN else None,
        "closed": True if piece.closed else None,
        "carbon_percent": piece.carbon_percent,
    }


def _tip_pairs(tip: TipOnHand) -> dict[str, str | float | bool | None]:
    thinnest, thickest = tip.made_for if tip.made_for is not None else (None, None)
    return {
        "tip": tip_words(tip) or None,
        "tip_stamp": tip.stamp,
        "tip_drill": tip.drill,
        "tip_bore_mm": _mm(tip.bore),
        "tip_made_for_low_mm": _mm(thinnest),
        "tip_made_for_mm": _mm(thickest),
    }


def _paced_pairs(paced: Paced) -> dict[str, str | float | bool | None]:
    """Times in minutes, speeds in inches a minute, lengths in millimetres."""
    return {
        "act": paced.act.value,
        "timer": paced.timer.value if paced.timer is not None else None,
        "time_min": _in_unit(paced.time, registry.minute),
        "rest_min": _in_unit(paced.rest, registry.minute),
        "speed_in_min": _in_unit(paced.speed, registry.inch_per_minute),
        "length_mm": _mm(paced.length),
        "result": paced.result.value if paced.result is not None else None,
        "case": paced.case.value if paced.case is not None else None,
        "who": paced.who or None,
    }


def _mm(length: Quantity | None) -> float | None:
    return _in_unit(length, registry.millimeter)


def _in_unit(quantity: Quantity | None, unit: object) -> float | None:
    return None if quantity is None else round(float(quantity.m_as(unit)), 4)
