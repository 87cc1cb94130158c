"""The speed model row by row on every published table, on single runs and on the trade checks.

Run by itself: `python -m tests.bench.speed_model`. The hand table is what the model is fitted on;
leave-one-out refits both fitted constants without the row. Nothing else was fitted: the machine
table, the metric table and the single runs only check it.
"""

import math
import os
import platform
import statistics
import sys
import time
from dataclasses import replace
from unittest import mock

from handsfree.engine import published, speed, tables
from handsfree.engine.answer import answer
from handsfree.engine.flow import CUBIC_FEET_AN_HOUR
from handsfree.engine.speed import Constants
from handsfree.engine.tips import KnownTip
from handsfree.engine.work import Work, work_out
from handsfree.values import About, Fuel, Piece, Request, Rig, TipBox, TipOnHand
from handsfree.values.units import inches

ROWS_INSIDE = 13
MEDIAN_MS = 1.0


def middle(ends: tuple[float, float]) -> float:
    return math.sqrt(ends[0] * ends[1])


def by_the_table(row: published.Published) -> float:
    """The model at the hand table's own settings: small bore high pressure, large bore low."""
    small = speed.pace(row.thickness, row.bore[0], row.pressure[1]).handbook
    large = speed.pace(row.thickness, row.bore[1], row.pressure[0]).handbook
    return middle((small, large))


def rms(logs: list[float]) -> float:
    return math.sqrt(sum(log**2 for log in logs) / len(logs))


def fitted(rows: list[published.Published], base: Constants) -> Constants:
    """The two fitted constants on these rows: the share follows from the half-way path."""

    def misfit(half: float) -> tuple[float, float]:
        trial = replace(base, half_used_at=half, most_used=1.0)
        with mock.patch.object(speed, "constants", lambda: trial):
            logs = [math.log(middle(row.speed) / by_the_table(row)) for row in rows]
        mean = statistics.fmean(logs)
        return sum((log - mean) ** 2 for log in logs), math.exp(mean)

    low, high = 0.5, 20.0
    for _ in range(60):
        first, second = low + 0.382 * (high - low), low + 0.618 * (high - low)
        if misfit(first)[0] < misfit(second)[0]:
            high = second
        else:
            low = first
    half = (low + high) / 2
    return replace(base, half_used_at=half, most_used=misfit(half)[1])


def fitted_passage_loss(base: Constants) -> float:
    """The loss in torch and short hose, on the oxygen column alone."""

    def misfit(loss: float) -> float:
        with mock.patch.object(speed, "constants", lambda: replace(base, passage_loss=loss)):
            return sum(log**2 for log in oxygen_logs())

    return min((step / 100 for step in range(1, 200)), key=misfit)


def oxygen_logs() -> list[float]:
    found = []
    for row in published.rows():
        small = speed.tip_flow(row.bore[0], row.pressure[1])
        large = speed.tip_flow(row.bore[1], row.pressure[0])
        cutting = middle(row.oxygen) - 1.15 * middle(row.acetylene)
        found.append(math.log(middle((small, large)) * CUBIC_FEET_AN_HOUR / cutting))
    return found


def hand_table() -> tuple[int, list[float], list[float]]:
    """Rows inside, residuals and leave-one-out residuals, printed as they come."""
    base = speed.constants()
    rows = list(published.rows())
    inside, logs, left_out = 0, [], []
    print("\nHand table (memory): fitted on these speeds")
    print("thickness | bore | psi | published in/min | model | off | left out | inside")
    for row in rows:
        found = by_the_table(row)
        logs.append(math.log(found / middle(row.speed)))
        others = fitted([other for other in rows if other is not row], base)
        with mock.patch.object(speed, "constants", lambda others=others: others):
            left_out.append(math.log(by_the_table(row) / middle(row.speed)))
        ok = row.speed[0] <= found <= row.speed[1]
        inside += ok
        print(
            f"{row.thickness:g} | {row.bore[0]:.4f}-{row.bore[1]:.4f} | "
            f"{row.pressure[0]:g}-{row.pressure[1]:g} | {row.speed[0]:g}-{row.speed[1]:g} | "
            f"{found:.1f} | {math.expm1(logs[-1]):+.0%} | {math.expm1(left_out[-1]):+.0%} | "
            f"{'yes' if ok else 'no'}"
        )
    return inside, logs, left_out


def metric_table() -> list[float]:
    logs = []
    print("\nMetric trade table (read): its bores and pressures, not fitted on")
    print("thickness | bore | psi | hand table in/min | model | off | inside hand | inside machine")
    machine = {float(row.thickness.m_as("in")): row for row in tables.machine_cutting()}
    for row in published.rows():
        for nozzle in published.metric_nozzles():
            pressure = nozzle.pressure_at(row.thickness)
            if pressure is None:
                continue
            found = speed.pace(row.thickness, nozzle.bore, pressure).handbook
            logs.append(math.log(found / middle(row.speed)))
            other = machine[row.thickness].speed
            low, high = (float(end.m_as("in/min")) for end in (other.low, other.high))
            print(
                f"{row.thickness:g} | {nozzle.bore:.4f} | {pressure:.1f} | "
                f"{row.speed[0]:g}-{row.speed[1]:g} | {found:.1f} | {math.expm1(logs[-1]):+.0%} | "
                f"{'yes' if row.speed[0] <= found <= row.speed[1] else 'no'} | "
                f"{'yes' if low <= found <= high else 'no'}"
            )
            break
        else:
            print(f"{row.thickness:g} | beyond its 300 mm")
    return logs


def machine_table() -> list[float]:
    logs = []
    print("\nMachine table (memory): its bores and cutting oxygen, not fitted on")
    print("thickness | bore | cfh | published in/min | handbook pace | trade pace | off trade")
    for row in tables.machine_cutting():
        thickness, bore = float(row.thickness.m_as("in")), float(row.bore.middle.m_as("in"))
        low, high = (float(end.m_as("in/min")) for end in (row.speed.low, row.speed.high))
        oxygen = middle(
            (float(row.oxygen_flow.low.m_as("cfh")), float(row.oxygen_flow.high.m_as("cfh")))
        )
        found = speed.pace_on_flow(thickness, bore, oxygen)
        logs.append(math.log(found.trade / middle((low, high))))
        print(
            f"{thickness:g} | {bore:.4f} | {oxygen:.0f} | {low:g}-{high:g} | "
            f"{found.handbook:.1f} | {found.trade:.1f} | {math.expm1(logs[-1]):+.0%}"
        )
    return logs


def single_runs() -> None:
    print("\nSingle published speeds (read): not fitted on")
    print("thickness | published in/min | model at the hand table's middle setting | how")
    for anchor in tables.speed_anchors():
        thickness = float(anchor.thickness.m_as("in"))
        row = published.hand_cutting_at(thickness)
        assert row is not None
        found = speed.pace(thickness, sum(row.bore) / 2, sum(row.pressure) / 2)
        print(
            f"{thickness:g} | {float(anchor.speed.m_as('in/min')):g} | "
            f"{found.handbook:.1f}-{found.trade:.1f} | {anchor.how}"
        )


def worked(thickness: float, bore: float) -> Work:
    found = work_out(thickness, KnownTip(bore), Fuel.ACETYLENE, None, 99.5)
    assert isinstance(found, Work)
    return found


def verdict(met: bool) -> str:
    return "met" if met else "short"


def trade_checks() -> None:
    """Common practice without a published source; the answers that the engine gives."""
    quarter = speed.pace(0.25, 0.038, 25)
    own = middle((quarter.handbook, quarter.trade))
    print(
        f"tip for 1/4 in on 1/4 in at 25 psi, in/min | {own:.1f} "
        f"({quarter.handbook:.1f}-{quarter.trade:.1f}) | 20-30 | {verdict(20 <= own <= 30)}"
    )
    small, large = worked(0.75, 0.038), worked(0.25, 0.067)
    value = sum(small.speed) / 2
    print(
        f"the same tip on 3/4 in, in/min | {value:.1f} ({small.speed[0]:.1f}-"
        f"{small.speed[1]:.1f}) | 4-5 | {verdict(4 <= value <= 5)}"
    )
    print(
        f"its oxygen, psi | {small.pressure[0]:.0f}-{small.pressure[1]:.0f} | about 25 | "
        f"{verdict(abs(sum(small.pressure) / 2 - 25) <= 2.5)}"
    )
    value = sum(large.speed) / 2
    print(
        f"tip for 2 in leaned {large.lean:.0f} deg on 1/4 in, in/min | {value:.1f} "
        f"({large.speed[0]:.0f}-{large.speed[1]:.0f}) | about 45 (a tenth) | "
        f"{verdict(abs(value - 45) <= 4.5)}"
    )
    print(
        f"its oxygen, psi | {large.pressure[0]:.0f}-{large.pressure[1]:.0f} | about 25 | "
        f"{verdict(abs(sum(large.pressure) / 2 - 25) <= 2.5)}"
    )
    for name, request in (
        ("acetylene for the small tip, psi", _small_work(0.75, 0.25)),
        ("acetylene for the large tip, psi", _small_work(0.25, 2.0)),
    ):
        low, high = _fuel(request)
        print(f"{name} | {low:g}-{high:g} | 4-5 | {verdict(4 <= low <= high <= 5)}")


def _small_work(thickness: float, made_for: float) -> Request:
    tip = TipOnHand(made_for=(inches(made_for), inches(made_for)))
    return Request(About.SETTING, piece=Piece(thickness=inches(thickness)), tip=tip)


def _fuel(request: Request) -> tuple[float, float]:
    reply = answer(request, Rig(), TipBox())
    figure = next(each for each in getattr(reply, "figures", ()) if each.name == "fuel_pressure")
    return float(figure.low.m_as("psi")), float(figure.high.m_as("psi"))


def median_ms() -> float:
    request = _small_work(0.25, 2.0)
    times = []
    for _ in range(300):
        begin = time.perf_counter()
        answer(request, Rig(), TipBox())
        times.append((time.perf_counter() - begin) * 1000)
    return statistics.median(times)


def main() -> None:
    inside, logs, left_out = hand_table()
    metric, machine = metric_table(), machine_table()
    single_runs()
    base = speed.constants()
    again = fitted(list(published.rows()), base)
    took = median_ms()
    print("\nfigure | measured | bar | met or short")
    print(
        f"hand table rows inside the published speeds | {inside} of 15 | {ROWS_INSIDE} | "
        f"{verdict(inside >= ROWS_INSIDE)}"
    )
    print(f"hand table, rms of the logarithm | {rms(logs):.3f} | none | -")
    print(f"hand table, left out, rms | {rms(left_out):.3f} | none | -")
    print(f"metric table, rms | {rms(metric):.3f} | none | -")
    print(f"machine table at trade pace, rms | {rms(machine):.3f} | none | -")
    print(f"machine table at trade pace, mean | {statistics.fmean(machine):+.3f} | none | -")
    print(f"oxygen column of the hand table, rms | {rms(oxygen_logs()):.3f} | none | -")
    trade_checks()
    print(
        f"constants refitted here | {again.most_used:.3f}, {again.half_used_at:.2f}, "
        f"{fitted_passage_loss(base):.2f} | as committed: {base.most_used:g}, "
        f"{base.half_used_at:g}, {base.passage_loss:g} | "
        f"{verdict(abs(again.most_used / base.most_used - 1) < 0.01)}"
    )
    print(
        f"answer about a leaned tip, median ms | {took:.2f} | {MEDIAN_MS:g} | "
        f"{verdict(took <= MEDIAN_MS)}"
    )
    print(
        f"\nconditions: {platform.machine()}, {os.cpu_count()} cores, {platform.system()}, "
        f"Python {sys.version.split()[0]}"
    )


if __name__ == "__main__":
    main()
