"""The last gate: every reply passes it, and what breaks a limit leaves as a refusal.

The gate trusts nothing before it. It looks at the figures as they will be said, so a slip anywhere
in the engine ends here and not in a regulator.
"""

import math
from dataclasses import replace

from handsfree.engine import gases, published, sheet, speed
from handsfree.engine.refusals import refuse
from handsfree.values import (
    FUEL_OVER_LIMIT,
    About,
    Answer,
    Fuel,
    Refusal,
    Reply,
    Request,
    Rig,
    Task,
)

MOST_OXYGEN = 150.0  # psi gauge at the regulator: more is no hand-cutting pressure
ROUNDING = 1e-6
GOUGING = "welding_institute_gouging"  # the one source of what a gouging nozzle is set to


def gate(reply: Reply, rig: Rig) -> Reply:
    """The reply, or a refusal where one of its figures breaks a limit.

    "Under no condition shall acetylene be generated, piped (except in approved cylinder manifolds)
    or utilized at a pressure in excess of 15 psig" (29 CFR 1910.253(a)(2)).
    """
    if not isinstance(reply, Answer):
        return reply
    fuel = fuel_of(reply.request, rig)
    for figure in reply.figures:
        low, high = float(figure.low.magnitude), float(figure.high.magnitude)
        if not (math.isfinite(low) and math.isfinite(high) and low <= high + ROUNDING):
            return refuse(reply.request, "thickness_outside_table")
        if figure.name == "fuel_pressure":
            if float(figure.high.m_as("psi")) > gases.fuel_limit(fuel).limit + ROUNDING:
                return _over_fuel_limit(reply.request, fuel)
        elif figure.name == "oxygen_pressure":
            if float(figure.high.m_as("psi")) > MOST_OXYGEN:
                return hose_too_long(reply.request)
        elif figure.name == "lean":
            if float(figure.high.m_as("degree")) > speed.constants().lean_limit + ROUNDING:
                return refuse(reply.request, "tip_outside_model")
        elif figure.name == "travel_speed" and low <= 0:
            return refuse(reply.request, "thickness_outside_table")
    if _sets_the_torch(reply) and not (_gouges(reply) or _inside_table(reply)):
        return refuse(reply.request, "thickness_outside_table")
    return reply


def check_asked_pressure(request: Request, rig: Rig) -> Refusal | None:
    """The refusal of a fuel pressure that the user named and that lies above the fuel's limit."""
    if request.asked_pressure is None or not asks_for_fuel(request):
        return None
    fuel = fuel_of(request, rig)
    asked = float(request.asked_pressure.m_as("psi"))
    if asked > gases.fuel_limit(fuel).limit + ROUNDING:
        return replace(_over_fuel_limit(request, fuel), stands=(FUEL_OVER_LIMIT,))
    return None


def asks_for_fuel(request: Request) -> bool:
    """Whether the pressure that the user named is the fuel's."""
    if request.asked_gas is None:
        return request.about is About.FUEL_PRESSURE
    return request.asked_gas == "fuel"


def fuel_of(request: Request, rig: Rig) -> Fuel:
    """The fuel that was said, else the rig's."""
    return request.fuel or rig.fuel


def purity_of(request: Request, rig: Rig) -> float:
    """The oxygen's purity in percent that was said, else the rig's."""
    said = request.oxygen_purity_percent
    return rig.oxygen_purity_percent if said is None else said


def hose_too_long(request: Request) -> Refusal:
    """The refusal of a hose that eats more than a regulator should be set to make up."""
    return Refusal(
        request,
        "That hose is too long and thin for this cut.",
        "",
        ("Use a larger or shorter oxygen hose.", "Do not make it up at the regulator."),
        ("hose_calculation",),
    )


def _over_fuel_limit(request: Request, fuel: Fuel) -> Refusal:
    if fuel is Fuel.ACETYLENE:
        return refuse(request, "fuel_over_limit")
    return Refusal(
        request,
        f"That is more {fuel.value} pressure than a hand torch is given.",
        "",
        ("Follow the tip maker's chart.", "Stay inside the rating of regulator and hose."),
        (gases.fuel_limit(fuel).limit_source,),
    )


def _sets_the_torch(reply: Answer) -> bool:
    return any(figure.name in ("oxygen_pressure", "travel_speed") for figure in reply.figures)


def _gouges(reply: Answer) -> bool:
    """Whether what is set is all of the gouging table's, whose thickness is that of no plate."""
    setting = ("oxygen_pressure", "fuel_pressure", "travel_speed")
    sources = {figure.source for figure in reply.figures if figure.name in setting}
    return reply.request.task is Task.STRIP_WELD and sources == {GOUGING}


def _inside_table(reply: Answer) -> bool:
    if reply.thickness is None:
        return False
    inches = float(reply.thickness.m_as("in"))
    return published.hand_cutting_at(inches) is not None or sheet.is_sheet(inches)
