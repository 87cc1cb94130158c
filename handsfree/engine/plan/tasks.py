"""What is no cut across: a weld washed off and a pin burned out, with the few figures that exist.

A weld's figures are those of a gouging nozzle, from the one table that was found. A pin's are those
of piercing and washing rings in steel as deep as the part that it sits in, worked out here. What
was not said (the leg and length of the weld, the thickness and depth of the pin) leaves its figures
out and asks for it in a note. Inches, seconds, cubic feet.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from handsfree.engine import advice
from handsfree.engine.figures import EDGE_START
from handsfree.engine.limits import fuel_of
from handsfree.engine.saying import whole
from handsfree.engine.tables import Row, table
from handsfree.engine.trust import weakest
from handsfree.values import (
    Answer,
    CutPlan,
    Figure,
    Fuel,
    Piece,
    Question,
    Request,
    Rig,
    Status,
    Task,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, inches, inches_a_minute, psi, registry, seconds

LEFT_ROUND = 0.125  # inches of shell left all round a pin (common practice)
THICKEST_PIN, LONGEST_WELD, LARGEST_LEG = 12.0, 1200.0, 2.0  # inches: more was misheard


def answer_weld(request: Request, rig: Rig) -> Answer | Question:
    """How a weld is washed off, and what to set with a gouging nozzle."""
    leg = None if request.weld is None else float(request.weld.m_as("in"))
    length = None if request.cut_length is None else float(request.cut_length.m_as("in"))
    if leg is not None and not 0 < leg <= LARGEST_LEG:
        return Question(request, Asks.WELD, "How long is the leg of that weld?", again=True)
    if length is not None and not 0 < length <= LONGEST_WELD:
        return Question(request, Asks.WELD, "How long is that weld?", again=True)
    passes = _Passes.over(leg)
    fuel = fuel_of(request, rig)
    keys = ["plan_weld_1", "plan_weld_2", "plan_weld_4", "plan_weld_figures", "plan_weld_3"]
    notes = ["plan_weld_hand", "plan_order_practice"]
    if leg is None or length is None:
        notes.insert(0, "plan_weld_say")
    if fuel is not Fuel.ACETYLENE:
        notes.insert(0, "plan_weld_fuel")
    said = list(advice.sentences(*keys))
    if leg is not None:
        said.append(passes.said())
    return _in_words(request, tuple(said), (*keys, *notes), passes.figures(length, fuel))


def answer_pin(request: Request, made: CutPlan | None, figures: tuple[Figure, ...]) -> Answer:
    """How a pin is burned out.

    Args:
        request: what was asked.
        made: the plan of its rings as one pierced cut, None where too little was said.
        figures: of that plan.
    """
    keys = ("plan_pin_1", "plan_pin_2", "plan_pin_3")
    notes = ["plan_pin_5", "plan_pin_6", "plan_order_practice"]
    notes.insert(0, "plan_pin_say" if made is None else "plan_pin_figures")
    said = list(advice.sentences(*keys))
    if made is not None and request.cut_length is not None:
        count = rings(float(request.cut_length.m_as("in")), float(made.kerf.m_as("in")))
        many = f"{whole(count)} rings" if count != 1 else "one ring"
        said.append(f"About {many} wash the core out, from the middle outward.")
    answer = _in_words(request, tuple(said), (*keys, *notes), figures)
    return answer if made is None else replace(answer, thickness=made.cuts[0].thickness)


def pin_told(request: Request) -> bool | Question:
    """Whether enough was said of a pin for figures; a question where it cannot be."""
    if request.cut_length is None:
        return False
    pin = float(request.cut_length.m_as("in"))
    if not 0 < pin <= THICKEST_PIN:
        return Question(request, Asks.PIN, "How thick is that pin?", again=True)
    return request.piece is not None and request.piece != Piece()


def rings(pin: float, kerf: float) -> int:
    """How many rings wash the core of a pin out, its shell left.

    >>> rings(1.5, 0.1), rings(0.25, 0.1)
    (7, 1)
    """
    core = pin / 2 - LEFT_ROUND
    return max(1, math.ceil(core / kerf)) if core > 0 else 1


def ring_length(pin: float, kerf: float) -> float:
    """Travel along all rings, each a kerf outside the last.

    >>> round(ring_length(1.5, 0.1), 2)
    13.74
    """
    core = max(kerf, pin / 2 - LEFT_ROUND)
    count = rings(pin, kerf)
    return sum(2 * math.pi * core * (place + 0.5) / count for place in range(count))


@dataclass(frozen=True, slots=True)
class _Passes:
    """The gouging nozzles that a weld calls for, and in how many passes; all of them for none."""

    rows: tuple[Row, ...]
    count: int
    face: float | None

    @classmethod
    def over(cls, leg: float | None) -> "_Passes":
        """The smallest nozzle that digs the face of a fillet in one pass, else the largest in more.

        The face of a fillet of two like legs is sqrt(2) of one leg wide.
        """
        rows = tuple(table("gouging").rows)
        if leg is None:
            return cls(rows, 1, None)
        face = leg * math.sqrt(2)
        wide = tuple(row for row in rows if float(row.quantity("width_high").m_as("in")) >= face)
        if wide:
            return cls(wide[:1], 1, face)
        most = float(rows[-1].quantity("width_high").m_as("in"))
        return cls(rows[-1:], math.ceil(face / most - 1e-9), face)

    def said(self) -> str:
        """Which nozzle, in how many passes."""
        row = self.rows[0]
        bore = row.number("bore")
        half = " and a half" if bore % 1 else ""
        many = "one pass" if self.count == 1 else f"{whole(self.count)} passes"
        return f"A gouging tip of {whole(int(bore))}{half} millimetres digs it out in {many}."

    def figures(self, length: float | None, fuel: Fuel) -> tuple[Figure, ...]:
        """What to set, the travel, and time and gas where the length was told."""
        status = weakest(*(row.status() for row in self.rows))
        source, tip = self.rows[0].source(), "with a gouging tip"

        def span(column: str, unit: str) -> tuple[float, float]:
            found = [float(row.quantity(column).m_as(unit)) for row in self.rows]
            return min(found), max(found)

        oxygen, speed = span("oxygen_pressure", "psi"), span("speed", "in/min")
        found = [_figure("oxygen_pressure", psi, _rounded(oxygen), source, status, tip)]
        if fuel is Fuel.ACETYLENE:
            pressure = _rounded(span("fuel_pressure", "psi"))
            found.append(_figure("fuel_pressure", psi, pressure, source, status, fuel.value))
        found.append(_figure("travel_speed", inches_a_minute, speed, source, status, tip))
        if length is not None and self.face is not None and fuel is Fuel.ACETYLENE:
            found += self._in_all(length, speed, span, weakest(status, Status.MEMORY), fuel)
        return tuple(found)

    def _in_all(
        self,
        length: float,
        speed: tuple[float, float],
        span: Callable[[str, str], tuple[float, float]],
        status: Status,
        fuel: Fuel,
    ) -> list[Figure]:
        """Time and gas: each pass is heated anew, by the guess that every time of ours rests on."""
        travel = 60 * self.count * length / speed[0]
        low, high = (travel + self.count * end for end in EDGE_START)
        jet, flame = span("oxygen", "ft**3/s")[0], span("preheat_oxygen", "ft**3/s")[0]
        burned = span("fuel", "ft**3/s")[0]
        cubic = travel * jet + low * flame, travel * jet + high * flame
        fuels = low * burned, high * burned
        mine, many = "this_project", "in all"
        return [
            _figure("time", seconds, (low, high), mine, status, many),
            _figure("oxygen_used", _feet3, cubic, mine, status, many),
            _figure("fuel_used", _feet3, fuels, mine, status, f"{fuel.value}, {many}"),
        ]


def _feet3(value: float) -> Quantity:
    return registry.Quantity(value, "foot**3")


def _figure(
    name: str,
    unit: Callable[[float], Quantity],
    span: tuple[float, float],
    source: str,
    status: Status,
    note: str,
) -> Figure:
    return Figure(name, unit(span[0]), unit(span[1]), source, status, note)


def _rounded(span: tuple[float, float]) -> tuple[float, float]:
    return round(span[0]), round(span[1])


def _in_words(
    request: Request, said: tuple[str, ...], keys: tuple[str, ...], figures: tuple[Figure, ...]
) -> Answer:
    mind = ("plan_pin_4", "plan_stored_energy")
    if request.task is Task.STRIP_WELD:
        mind = ("plan_stored_energy", "plan_fall_zone")
    cautions = (*mind, "fire_watch", "shade", "extinguisher", "defer")
    notes = tuple(key for key in keys if advice.advice(key).sentence not in said)
    used = [figure.source for figure in figures]
    return Answer(
        request=request,
        figures=figures,
        technique=said,
        cautions=advice.sentences(*cautions),
        notes=advice.sentences(*notes),
        sources=tuple(dict.fromkeys((*used, *advice.sources(*keys, *cautions)))),
    )


def as_pierced(request: Request, kerf: float) -> Request:
    """The rings of a pin as one pierced cut in steel as deep as the part that it sits in."""
    assert request.cut_length is not None, "the pin's thickness is told"
    length = ring_length(float(request.cut_length.m_as("in")), kerf)
    return replace(request, task=Task.HOLE, cut_length=inches(length / math.pi))
