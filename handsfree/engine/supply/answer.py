"""Whether the gas will do: what is left, what the cuts take, how many are left, when to change.

What was not said is taken as one usual full cylinder, and told so. The answer takes the careful end
of every range: least in the cylinder, most for the cut.
"""

import math
from dataclasses import dataclass, replace

from handsfree.engine import advice, tables
from handsfree.engine.jobs import Means, means_for
from handsfree.engine.metals import stop_for_metal
from handsfree.engine.pieces import find_metal
from handsfree.engine.plan.answer import planned
from handsfree.engine.saying import whole
from handsfree.engine.supply import cold, contents
from handsfree.engine.supply.draw import MOST_CYLINDERS, cylinders_for, draw_limit
from handsfree.values import (
    About,
    Answer,
    CutPlan,
    Figure,
    Fuel,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Status,
    Store,
    TipBox,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, cubic_feet_an_hour, psi, registry

USUAL_ACETYLENE = 330.0  # cubic feet, the largest usual cylinder of the table
USUAL_LIQUID = 100.0  # pounds of propane or propylene


@dataclass(frozen=True, slots=True)
class _Held:
    """What one kind of gas comes to.

    Attributes:
        left: down to the change-over point, in cubic feet, over all cylinders.
        told: whether the user told what is in them.
        full: content of one full cylinder.
        gauge: as read or taken, in psi; 0 where it tells nothing.
        change_over: gauge at which to change, in psi; None where weight alone tells.
    """

    left: float
    told: bool
    full: float
    change_over: float | None
    gauge: float = 0.0


def answer_supply(request: Request, rig: Rig, box: TipBox) -> Reply:
    """The gas of a request's cuts against the gas at hand."""
    stopped = stop_for_metal(request)
    if stopped is not None:
        return stopped
    if request.piece is None:
        return Question(request, Asks.THICKNESS, "For cuts of which steel? Say its size.")
    made = planned(replace(request, about=About.CUT_ORDER), rig, box)
    if isinstance(made, Question | Refusal):
        return made
    means = means_for(request, rig, box)
    if isinstance(made, Answer) or not isinstance(means, Means):
        return Question(request, Asks.THICKNESS, "Of which steel? Say its size.")
    if made.oxygen is None or made.fuel is None:
        return Refusal(
            request,
            "I have no gas figures for that cut.",
            "",
            ("Fit a tip that the tables list for it.", "Watch the gauge."),
            ("this_project",),
        )
    return _weighed(request, made, made.oxygen, made.fuel, means)


def _weighed(
    request: Request,
    made: CutPlan,
    oxygen: tuple[Quantity, Quantity],
    fuel: tuple[Quantity, Quantity],
    means: Means,
) -> Reply:
    delivery = _highest_delivery(made)
    stores = {store.gas: store for store in request.stores}
    held = _oxygen(stores.get("oxygen"), delivery)
    if isinstance(held, str):
        return Question(request, Asks.OXYGEN, held, again=True)
    burned = _fuel(stores.get("fuel"), means.fuel)
    if isinstance(burned, str):
        return Question(request, Asks.FUEL_STORE, burned, again=True)
    count = request.count or 1
    need, need_fuel = _times(oxygen, count), _times(fuel, count)
    asks_fuel = bool(request.stores) and request.stores[0].gas == "fuel"
    lines = [_verdict("oxygen", held, need)]
    if burned is not None:
        lines.append(_verdict(means.fuel.value, burned, need_fuel))
        if asks_fuel:
            lines.reverse()
    notes, cautions = ["supply_usual_taken"] if not held.told else [], _cautions(means.fuel)
    figures = [
        _feet3("oxygen_left", held.left, held.left, "to the change over"),
        _feet3("oxygen_used", *need, f"for {_count(count)}"),
        _cuts_left(held, oxygen),
        _run_time(held, made),
        *_change_over(held),
        _feet3("fuel_used", *need_fuel, f"{means.fuel.value}, for {_count(count)}"),
    ]
    if burned is not None and burned.told:
        figures.append(_feet3("fuel_left", burned.left, burned.left, means.fuel.value))
    if means.fuel is Fuel.ACETYLENE:
        more, drawn = _draw(made, burned.full if burned else USUAL_ACETYLENE)
        figures += more
        lines += drawn
        notes.append("supply_smallest_rule")
    elif means.fuel in (Fuel.PROPANE, Fuel.PROPYLENE):
        more, drawn = _liquid_draw(made, stores.get("fuel"))
        figures += more
        lines += drawn
        notes.append("supply_propane_draw")
    cooled = cold.oxygen_cooling(round(held.gauge))
    if cooled is not None:
        figures.append(_cooling(cooled))
        notes.append("supply_no_rate")
    metal = find_metal(request)
    keys = (*cautions, *notes, "plan_times_computed", "table_from_memory")
    used = [figure.source for figure in figures if figure is not None]
    return Answer(
        request=request,
        figures=tuple(figure for figure in figures if figure is not None),
        technique=tuple(lines),
        cautions=advice.sentences(*cautions),
        notes=advice.sentences(*notes, "plan_times_computed", "table_from_memory"),
        thickness=None if isinstance(metal, Question) else metal.quantity,
        thickness_name=made.name if isinstance(metal, Question) else metal.name,
        sources=tuple(dict.fromkeys((*used, *made.sources, *advice.sources(*keys)))),
        plan=made,
    )


def _oxygen(store: Store | None, delivery: float) -> _Held | str:
    """The oxygen at hand; a sentence where what was said cannot be."""
    store = store or Store("oxygen")
    usual = next(row for row in tables.cylinders() if row.gas == "oxygen")
    full = float(usual.content.m_as("ft**3"))
    if store.content is not None:
        full = float(store.content.m_as("ft**3"))
    if not contents.SIZES[0] <= full <= contents.SIZES[1]:
        return "I know cylinders of five to five hundred cubic feet. Which size?"
    if not 1 <= store.cylinders <= MOST_CYLINDERS:
        return "How many cylinders is that? Say the number again."
    warmth = contents.USUAL
    if store.temperature is not None:
        warmth = float(store.temperature.m_as("degF"))
    gauge = contents.full_gauge(warmth)
    if store.gauge is not None:
        gauge = float(store.gauge.m_as("psi"))
    if gauge is None:
        return "I know oxygen from minus twenty to a hundred and twenty. How warm is it?"
    change_over = max(contents.rule("oxygen_left_in"), delivery + contents.rule("oxygen_over_line"))
    now = contents.oxygen_left(gauge, warmth, full)
    kept = contents.oxygen_left(change_over, warmth, full)
    if now is None or kept is None:
        return "No oxygen gauge reads that. Say the pressure again."
    left = max(0.0, now - kept) * store.cylinders
    return _Held(left, store.gauge is not None, full, change_over, gauge)


def _fuel(store: Store | None, fuel: Fuel) -> _Held | str | None:
    """The fuel at hand; None for natural gas, which comes by pipe."""
    a_pound = contents.gas_a_pound(fuel)
    if a_pound is None:
        return None
    full = USUAL_ACETYLENE if fuel is Fuel.ACETYLENE else USUAL_LIQUID * a_pound
    if store is None:
        return _Held(full, False, full, None)
    if store.content is not None:
        pounds = store.content.check("[mass]")
        full = (
            float(store.content.m_as("lb")) * a_pound
            if pounds
            else float(store.content.m_as("ft**3"))
        )
    if not contents.SIZES[0] <= full <= contents.FUEL_WEIGHTS[1] * a_pound:
        return "I know no fuel cylinder of that size. Which size is it?"
    if not 1 <= store.cylinders <= MOST_CYLINDERS:
        return "How many cylinders is that? Say the number again."
    if store.gross is None or store.tare is None:
        return _Held(full * store.cylinders, False, full, None)
    gross, tare = (float(weight.m_as("lb")) for weight in (store.gross, store.tare))
    left = contents.fuel_by_weight(fuel, gross, tare)
    if left is None or left > full * 1.1:
        return "Those two weights cannot be. Say the weight and the tare again."
    return _Held(left * store.cylinders, True, full, None)


def _highest_delivery(made: CutPlan) -> float:
    spans = [cut.oxygen_pressure for cut in made.cuts if cut.oxygen_pressure is not None]
    return max(float(span[1].m_as("psi")) for span in spans)


def _times(span: tuple[Quantity, Quantity], count: int) -> tuple[float, float]:
    """Cubic feet of so many cuts."""
    return float(span[0].m_as("ft**3")) * count, float(span[1].m_as("ft**3")) * count


def _verdict(gas: str, held: _Held, need: tuple[float, float]) -> str:
    """Whether it will do, on the careful side."""
    name = gas.capitalize()
    if need[1] <= held.left:
        return f"{name} will do." if held.told else f"{name} will do, if the cylinder is full."
    if need[0] <= held.left:
        return f"{name} may run out before the end. Have another cylinder by."
    return f"{name} will not do. Take more, or change over on the way."


def _cuts_left(held: _Held, one: tuple[Quantity, Quantity]) -> Figure:
    least, most = (
        float(math.floor(held.left / float(end.m_as("ft**3")))) for end in (one[1], one[0])
    )
    return Figure(
        "cuts_left",
        registry.Quantity(least, ""),
        registry.Quantity(most, ""),
        "this_project",
        Status.MEMORY,
        "before the change over",
    )


def _run_time(held: _Held, made: CutPlan) -> Figure | None:
    """Minutes of the torch alight and cutting, by the plan's own rate of use."""
    if made.time is None or made.oxygen is None:
        return None
    rates = [
        float(gas.m_as("ft**3")) / float(time.m_as("minute"))
        for gas, time in zip(made.oxygen, made.time, strict=True)
    ]
    low, high = (registry.Quantity(held.left / rate, "minute") for rate in (max(rates), min(rates)))
    return Figure("run_time", low, high, "this_project", Status.MEMORY, "of cutting")


def _change_over(held: _Held) -> tuple[Figure, ...]:
    if held.change_over is None:
        return ()
    at = psi(math.ceil(held.change_over / 5) * 5)
    return (Figure("change_over", at, at, "trade_memory", Status.MEMORY, "on the oxygen gauge"),)


def _draw(made: CutPlan, content: float) -> tuple[list[Figure], list[str]]:
    """How much acetylene may be drawn, against the highest flow of the plan."""
    assert made.fuel is not None and made.time is not None
    flow = max(
        float(gas.m_as("ft**3")) / float(time.m_as("hour"))
        for gas, time in zip(made.fuel, made.time, strict=True)
    )
    limit, many = draw_limit(content), cylinders_for(flow, content)
    rounded = cubic_feet_an_hour(math.floor(limit.flow))
    figure = Figure(
        "draw_limit", rounded, rounded, limit.listed.source, limit.listed.status, "a cylinder"
    )
    if many == 1:
        return [figure], []
    return [figure], [f"Draw from {whole(many)} acetylene cylinders together, on a manifold."]


def _liquid_draw(made: CutPlan, store: Store | None) -> tuple[list[Figure], list[str]]:
    """How much propane one cylinder gives before it frosts; propylene has no table of its own."""
    assert made.fuel is not None and made.time is not None
    flow = max(
        float(gas.m_as("ft**3")) / float(time.m_as("hour"))
        for gas, time in zip(made.fuel, made.time, strict=True)
    )
    pounds, warmth = cold.CYLINDER, cold.USUAL
    if store is not None and store.gross is not None and store.tare is not None:
        pounds = float((store.gross - store.tare).m_as("lb"))
    if store is not None and store.temperature is not None:
        warmth = float(store.temperature.m_as("degF"))
    draw = cold.propane_draw(pounds, warmth)
    if draw is None:
        return [], ["No table tells what so small or cold a cylinder gives. Warm it in the room."]
    most = cubic_feet_an_hour(math.floor(draw.flow))
    figure = Figure("draw_limit", most, most, draw.source, draw.status, "a cylinder")
    many = cold.propane_cylinders(flow, draw)
    if many == 1:
        return [figure], []
    return [figure], [f"Draw from {whole(many)} fuel cylinders together, on a manifold."]


def _cooling(drop: float) -> Figure:
    degrees = registry.Quantity(float(round(drop)), "delta_degF")
    note = "through the oxygen regulator, at most"
    return Figure("cooling", degrees, degrees, "cylinder_calculation", Status.COMPUTED, note)


def _feet3(name: str, low: float, high: float, note: str) -> Figure:
    ends = registry.Quantity(low, "foot**3"), registry.Quantity(high, "foot**3")
    return Figure(name, *ends, "this_project", Status.MEMORY, note)


def _count(count: int) -> str:
    return "one cut" if count == 1 else f"{whole(count)} cuts"


def _cautions(fuel: Fuel) -> tuple[str, ...]:
    found = ["supply_watch_gauge"]
    if fuel is Fuel.ACETYLENE:
        found += ["supply_acetylene_weight", "supply_upright"]
    elif fuel is not Fuel.NATURAL_GAS:
        found.append("supply_liquid_cold")
    return (*found, "supply_freezing", "supply_change", "defer")
