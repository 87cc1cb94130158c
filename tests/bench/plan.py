"""How long a plan and a take-up list take, and ten thousand random shapes.

Run by itself: `python -m tests.bench.plan`. Times are of the processor, so that a busy machine does
not lengthen them; a cold plan has every cache of the engine but its tables cleared.
"""

import platform
import random
import statistics
import sys
import time
from collections.abc import Callable
from fractions import Fraction

from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.engine.plan import cuts, lies, order, sections, strokes
from handsfree.values import (
    About,
    Access,
    Answer,
    CutPlan,
    Fuel,
    Piece,
    Position,
    Request,
    Rig,
    Shape,
    TipBox,
    TipOnHand,
    Wanted,
)
from handsfree.values.units import degrees, feet, inches

PLAN_MS, LIST_MS, SHAPES = 10.0, 200.0, 10_000
FAMILIES = ("W", "C", "L", "HSS", "WT", "IPE", "UB", "SHS")
PIECES = [
    *(Piece(designation=tables.sections_of(family)[7].designation) for family in FAMILIES),
    *(Piece(nominal=Fraction(size), schedule="40") for size in (2, 4, 8)),
    Piece(shape=Shape.SHAFT, thickness=inches(1.5)),
    Piece(thickness=inches(0.75)),
]
CACHED: tuple[Callable[..., object], ...] = (
    *(lies.lie, order.order, sections.listed_section, strokes.strokes_of, cuts._work),
)


def forget() -> None:
    """Clears what the engine keeps between plans."""
    for cached in CACHED:
        cached.cache_clear()  # type: ignore[attr-defined]  # each is a cached function


def plan_ms() -> tuple[float, float]:
    """Median and worst of a cold plan over the pieces, the best of five rounds of each."""
    rounds: list[list[float]] = [[] for _ in PIECES]
    for _ in range(5):
        for place, piece in enumerate(PIECES):
            forget()
            began = time.process_time_ns()
            answer(Request(About.CUT_ORDER, piece=piece), Rig(), TipBox())
            rounds[place].append((time.process_time_ns() - began) / 1e6)
    best = [min(times) for times in rounds]
    return statistics.median(best), max(best)


def list_ms() -> float:
    """A list of thirty pieces against ten tips, cold; the best of five."""
    beams = tables.sections_of("W")[::10]
    wanted = tuple(Wanted(Piece(designation=row.designation), 2) for row in beams[:20])
    wanted += tuple(
        Wanted(Piece(thickness=inches(0.25 + step / 8)), 1, feet(4)) for step in range(10)
    )
    bores = (0.038, 0.0465, 0.052, 0.0595, 0.067, 0.073, 0.081, 0.086, 0.098, 0.11)
    box = TipBox(tuple(TipOnHand(f"{n}", bore=inches(bore)) for n, bore in enumerate(bores)))
    request = Request(About.TAKE_UP, wanted=wanted)
    times = []
    for _ in range(5):
        forget()
        began = time.process_time_ns()
        answer(request, Rig(), box)
        times.append((time.process_time_ns() - began) / 1e6)
    return min(times)


def random_shapes() -> tuple[int, list[str]]:
    """How many of the random shapes had a plan, and what was wrong with any."""
    draw = random.Random(1)
    listed = [row.designation for family in tables.FAMILIES for row in tables.sections_of(family)]
    planned, wrong = 0, []
    for _ in range(SHAPES):
        request = Request(
            About.CUT_ORDER,
            piece=_piece(draw, listed),
            tip=TipOnHand(bore=inches(draw.uniform(0.03, 0.12))) if draw.random() < 0.7 else None,
            access=draw.choice([None, *Access]),
            position=draw.choice([None, None, *Position]),
            fuel=draw.choice(list(Fuel)),
            cut_length=inches(draw.uniform(1, 120)) if draw.random() < 0.3 else None,
            mitre=degrees(draw.uniform(0, 62)) if draw.random() < 0.3 else None,
            header=draw.choice(tables.pipe_sizes()) if draw.random() < 0.1 else None,
        )
        try:
            reply = answer(request, Rig(), TipBox())
        except Exception as fault:  # the bench counts every kind of them
            wrong.append(f"{request.piece}: {fault!r}")
            continue
        if isinstance(reply, Answer) and reply.plan is not None:
            planned += 1
            wrong += [f"{request.piece}: {fault}" for fault in _faults(reply.plan)]
    return planned, wrong


def _piece(draw: random.Random, listed: list[str]) -> Piece:
    thickness = inches(draw.uniform(0.06, 12))
    sides = inches(draw.uniform(0.5, 24)), inches(draw.uniform(0.5, 24))
    shapes = list(Shape)
    return draw.choice(
        [
            Piece(designation=draw.choice(listed)),
            Piece(designation=draw.choice(listed)),
            Piece(shape=draw.choice(shapes), thickness=thickness, outside=sides),
            Piece(
                shape=draw.choice(shapes), thickness=inches(draw.uniform(0.06, 1)), outside=sides
            ),
            Piece(thickness=thickness),
            Piece(nominal=draw.choice(tables.pipe_sizes()), schedule=draw.choice(["40", "80"])),
        ]
    )


def _faults(plan: CutPlan) -> list[str]:
    parts = [cut.part for cut in plan.cuts]
    found = [] if len(parts) == len(set(parts)) and parts else ["a face is cut twice or never"]
    for cut in plan.cuts:
        for span in (cut.time, cut.travel, cut.oxygen_pressure, cut.oxygen, cut.fuel):
            if span is not None and not 0 < span[0].magnitude <= span[1].magnitude:
                found.append(f"{cut.part}: {span[0]} to {span[1]}")
    return found


def main() -> int:
    """Print what is measured beside its bar."""
    answer(Request(About.CUT_ORDER, piece=PIECES[0]), Rig(), TipBox())
    middle, worst = plan_ms()
    listed = list_ms()
    planned, wrong = random_shapes()
    rows = [
        ("a full plan, median", f"{middle:.1f} ms", f"{PLAN_MS:g} ms", middle <= PLAN_MS),
        ("a full plan, worst piece", f"{worst:.1f} ms", f"{PLAN_MS:g} ms", worst <= PLAN_MS),
        ("30 pieces over 10 tips", f"{listed:.0f} ms", f"{LIST_MS:g} ms", listed <= LIST_MS),
        (f"faults in {SHAPES} random shapes", f"{len(wrong)}", "0", not wrong),
        ("of them with a plan", f"{planned}", "-", True),
    ]
    print("| figure | measured | bar | met or short |")
    print("|---|---|---|---|")
    for name, measured, bar, met in rows:
        print(f"| {name} | {measured} | {bar} | {'met' if met else 'short'} |")
    for fault in wrong[:5]:
        print(f"fault: {fault}")
    print(
        f"\n{platform.machine()}, Python {platform.python_version()}, processor time, cold caches"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
