"""Plans, unrolled lines and take-up lists as plain names and values, for other programs.

Inches, psi, inches a minute, degrees, seconds, cubic feet and pounds; a range is its low and high.
"""

from handsfree.values import CutPlan, Development, Span, TakeUp

Plain = dict[str, object]


def plan_record(plan: CutPlan) -> Plain:
    """A cut plan, cut by cut; points of the outline and the paths lie on the section in inches."""
    return {
        "name": plan.name,
        "lies": plan.lies,
        "bore_in": _number(float(plan.bore.m_as("in"))),
        "outline_in": [[list(point) for point in ring] for ring in plan.outline],
        "cuts": [
            {
                "number": cut.number,
                "part": cut.part,
                "start": cut.start.value,
                "thickness_in": _number(float(cut.thickness.m_as("in"))),
                "deepest_in": _number(float(cut.deepest.m_as("in"))),
                "length_in": _number(float(cut.length.m_as("in"))),
                "path_in": [list(point) for point in cut.path],
                "jet": list(cut.jet),
                "lean_deg": _ends(cut.lean, "degree"),
                "bevel_deg": _number(float(cut.bevel.m_as("degree"))),
                "oxygen_psi": _ends(cut.oxygen_pressure, "psi"),
                "travel_in_min": _ends(cut.travel, "in/min"),
                "time_s": _ends(cut.time, "second"),
                "oxygen_ft3": _ends(cut.oxygen, "ft**3"),
                "fuel_ft3": _ends(cut.fuel, "ft**3"),
                "fit": cut.fit.value,
                "how": list(cut.how),
                "watch": list(cut.watch),
                "why": list(cut.why),
            }
            for cut in plan.cuts
        ],
        "time_s": _ends(plan.time, "second"),
        "oxygen_ft3": _ends(plan.oxygen, "ft**3"),
        "fuel_ft3": _ends(plan.fuel, "ft**3"),
        "section_in2": _number(float(plan.section_area.m_as("in**2"))),
        "removed_lb": _number(float(plan.removed.m_as("lb"))),
        "weight_lb_ft": _number(float(plan.weight.m_as("lb/ft"))),
        "balance_in": list(plan.balance),
        "freed": plan.freed,
        "status": plan.status.value,
    }


def development_record(development: Development) -> Plain:
    """The unrolled line of a cut."""
    return {
        "name": development.name,
        "outside_in": _number(float(development.outside.m_as("in"))),
        "wrap_in": _number(float(development.wrap.m_as("in"))),
        "ordinates": [
            {
                "clock": line.clock,
                "along_in": _number(float(line.along.m_as("in"))),
                "height_in": _number(float(line.height.m_as("in"))),
                "metal_in": None if line.metal is None else _number(float(line.metal.m_as("in"))),
            }
            for line in development.ordinates
        ],
    }


def take_up_record(take_up: TakeUp) -> Plain:
    """What goes up, every tip tried on it, and the choices, the best first."""
    return {
        "lines": list(take_up.lines),
        "tips": [
            {
                "name": tip.name,
                "bore_in": _number(float(tip.bore.m_as("in"))),
                "tried": [
                    {
                        "going": tried.going.value,
                        "oxygen_psi": _ends(tried.pressure, "psi"),
                        "time_s": _ends(tried.time, "second"),
                        "oxygen_ft3": _ends(tried.oxygen, "ft**3"),
                        "fuel_ft3": _ends(tried.fuel, "ft**3"),
                        "why": tried.why,
                    }
                    for tried in tip.tried
                ],
            }
            for tip in take_up.tips
        ],
        "choices": [
            {
                "tips": list(choice.tips),
                "cuts_with": list(choice.cuts_with),
                "time_s": _ends(choice.time, "second"),
                "oxygen_ft3": _ends(choice.oxygen, "ft**3"),
                "fuel_ft3": _ends(choice.fuel, "ft**3"),
            }
            for choice in take_up.choices
        ],
    }


def _ends(span: Span | None, unit: str) -> list[float] | None:
    return None if span is None else [_number(float(end.m_as(unit))) for end in span]


def _number(value: float) -> float:
    return round(value, 4)
