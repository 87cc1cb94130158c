"""One amount in another unit, or in the trade's other ways when no unit is named."""

import functools
from fractions import Fraction

from handsfree.engine import tables
from handsfree.engine.pieces import Metal, find_metal
from handsfree.values import Answer, Figure, Question, Refusal, Request, Status, TipBox
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, inches, registry

# What the grammar calls a unit, and what pint calls it.
UNITS = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "inch": "in",
    "ft": "ft",
    "thou": "thou",
    "psi": "psi",
    "bar": "bar",
    "kPa": "kPa",
    "in/min": "in/min",
    "mm/min": "mm/min",
    "cfh": "cfh",
    "l/min": "l/min",
    "degC": "degC",
    "degF": "degF",
}
# For each kind of quantity, the ways in which the trade tells it.
OTHER_WAYS = {
    "[length]": ("in", "mm"),
    "[mass] / [length] / [time] ** 2": ("psi", "bar", "kPa"),
    "[length] / [time]": ("in/min", "mm/min"),
    "[length] ** 3 / [time]": ("cfh", "l/min"),
    "[temperature]": ("degF", "degC"),
}
NAMES = {
    "[length]": "length",
    "[mass] / [length] / [time] ** 2": "pressure",
    "[length] / [time]": "speed",
    "[length] ** 3 / [time]": "flow",
    "[temperature]": "temperature",
}
SIXTY_FOURTH = Fraction(1, 64)
FRACTION_NEAR = 0.0005  # inches: a decimal this near a sixty-fourth is that sixty-fourth
LIST_NEAR = 0.02  # of the dimension: within a fiftieth a gauge or drill is named as near


def answer_convert(request: Request, box: TipBox) -> Answer | Question | Refusal:
    """The amount told in another way; a question when there is no amount or the unit cannot be."""
    wanted = request.conversion.unit if request.conversion else None
    found = _amount(request)
    if not isinstance(found, Metal):
        return found
    amount = found.quantity
    kind = _kind(amount)
    if kind is None:
        return Question(request, Asks.AMOUNT, "I cannot convert that. Say the amount again.")
    if wanted == "fraction":
        return _as_fraction(request, found)
    if wanted in ("gauge", "drill"):
        return _as_listed(request, found, wanted)
    if wanted is not None and wanted not in UNITS:
        return Question(request, Asks.UNIT, "I do not know that unit. Into which one?", _ways(kind))
    units = (wanted,) if wanted else _others(kind, amount)
    if any(not amount.is_compatible_with(UNITS[unit]) for unit in units):
        return Question(request, Asks.UNIT, "That cannot be told so. Into which unit?", _ways(kind))
    source, status = _trust(found)
    name = _name(request, kind)
    figures = tuple(
        Figure(name, told, told, source, status)
        for told in (amount.to(UNITS[unit]) for unit in units)
    )
    return Answer(
        request=request,
        figures=figures,
        thickness=amount if name == "thickness" else None,
        thickness_name=found.name,
        sources=(source,),
    )


def _amount(request: Request) -> Metal | Question:
    """What is to be told: the amount said, the drill, the gauge, the wall, the pressure."""
    if request.conversion is not None and request.conversion.amount is not None:
        return Metal(1.0, request.conversion.amount, "", (), Status.COMPUTED)
    tip = request.tip
    if tip is not None and tip.drill is not None:
        drill = tables.number_drill(tip.drill)
        if drill is None:
            return Question(
                request, Asks.AMOUNT, "Number drills run from one to eighty. Which one?", again=True
            )
        name = f"number {tip.drill} drill"
        return Metal(1.0, drill.value, name, (drill.source,), drill.status)
    if tip is not None and tip.bore is not None:
        return Metal(1.0, tip.bore, "", (), Status.COMPUTED)
    if request.piece is not None:
        found = find_metal(request)
        if isinstance(found, Metal):
            status = found.status if found.name else Status.COMPUTED
            return Metal(1.0, found.quantity, found.name, found.sources, status)
        if found.asks_for != Asks.THICKNESS:
            return found
    if request.asked_pressure is not None:
        return Metal(1.0, request.asked_pressure, "", (), Status.COMPUTED)
    if request.hose_length is not None:
        return Metal(1.0, request.hose_length, "", (), Status.COMPUTED)
    return Question(request, Asks.AMOUNT, "What shall I convert?")


def _as_fraction(request: Request, found: Metal) -> Answer | Question:
    """The nearest sixty-fourth of an inch, with how far it is off."""
    if not found.quantity.is_compatible_with("in"):
        return Question(
            request, Asks.UNIT, "That is no length. Into which unit?", _ways("[length]")
        )
    exact = float(found.quantity.m_as("in"))
    nearest = float(round(Fraction(exact) / SIXTY_FOURTH) * SIXTY_FOURTH)
    source, status = _trust(found)
    off = abs(exact - nearest) > FRACTION_NEAR
    told = inches(nearest)
    return Answer(
        request=request,
        figures=(
            Figure("length", told, told, source, status, "nearest sixty fourth" if off else ""),
        ),
        thickness_name=found.name,
        sources=(source,),
    )


def _as_listed(request: Request, found: Metal, wanted: str) -> Answer | Question:
    """The sheet gauge or number drill nearest to a length, where one is near."""
    if not found.quantity.is_compatible_with("in"):
        return Question(
            request, Asks.UNIT, "That is no length. Into which unit?", _ways("[length]")
        )
    exact = float(found.quantity.m_as("in"))
    listed = _gauges() if wanted == "gauge" else _drills()
    number, value, source, status = min(listed, key=lambda row: abs(row[1] - exact))
    if abs(value - exact) > LIST_NEAR * exact:
        return Question(
            request, Asks.UNIT, f"No {wanted} is near that. Into which unit?", _ways("[length]")
        )
    note = f"{number} gauge" if wanted == "gauge" else f"number {number} drill"
    told = inches(value)
    name = "thickness" if wanted == "gauge" else "bore"
    return Answer(
        request=request,
        figures=(Figure(name, told, told, source, status, note),),
        thickness_name=found.name,
        sources=(source,),
    )


@functools.cache
def _gauges() -> tuple[tuple[int, float, str, Status], ...]:
    rows = ((number, tables.sheet_gauge(number)) for number in range(3, 39))
    return tuple(
        (number, float(row.value.m_as("in")), row.source, row.status) for number, row in rows if row
    )


@functools.cache
def _drills() -> tuple[tuple[int, float, str, Status], ...]:
    return tuple(
        (number, float(row.value.m_as("in")), row.source, row.status)
        for number, row in tables.number_drills()
    )


def _kind(amount: Quantity) -> str | None:
    for kind in OTHER_WAYS:
        if amount.check(kind):
            return kind
    return None


def _others(kind: str, amount: Quantity) -> tuple[str, ...]:
    """The trade's ways of telling it, less the one in which it was said."""
    said = registry.Unit(str(amount.units))
    rest = tuple(unit for unit in OTHER_WAYS[kind] if registry.Unit(UNITS[unit]) != said)
    return rest or OTHER_WAYS[kind]


def _ways(kind: str) -> tuple[str, ...]:
    words = {
        "in": "inches",
        "mm": "millimetres",
        "psi": "p s i",
        "bar": "bar",
        "kPa": "kilopascals",
        "in/min": "inches a minute",
        "mm/min": "millimetres a minute",
        "cfh": "cubic feet an hour",
        "l/min": "litres a minute",
        "degF": "fahrenheit",
        "degC": "celsius",
    }
    return tuple(words[unit] for unit in OTHER_WAYS[kind])


def _name(request: Request, kind: str) -> str:
    if kind != "[length]":
        return NAMES[kind]
    if request.conversion is not None and request.conversion.amount is not None:
        return "length"
    return "bore" if request.tip is not None else "thickness" if request.piece else "length"


def _trust(found: Metal) -> tuple[str, Status]:
    return (found.sources[0] if found.sources else "common_values"), found.status
