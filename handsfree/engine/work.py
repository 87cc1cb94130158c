"""The cut worked out: tip, pressure, lean and speed for one plate, all as bare floats.

Where the published tables list the tip for the plate, every figure is the hand table's. Beyond, the
pressure stays within what the tables list for the bore or for the leaned path, and the speed is the
model's, held between the table's own ends: a tip too small is never told to go faster than the
right one, a leaned tip too large never slower. Inches, psi gauge, inches a minute, degrees, cfh.
"""

import math
from dataclasses import dataclass

from handsfree.engine import gases, hose, published, sheet, speed
from handsfree.engine.flow import CUBIC_FEET_AN_HOUR, purity_pace, purity_use
from handsfree.engine.plan.round_wall import grazing_tilt, tilted
from handsfree.engine.tips import KnownTip, fit
from handsfree.values import Fit, Fuel

Ends = tuple[float, float]

LEAN_STEP = 5.0  # degrees: as near as a hand holds an angle
USUAL_LEAN = 70.0  # degrees: as far as is advised; the model's own limit lies at 75
ROUND_LEAN = 30.0  # degrees round a wall of unknown diameter: farther over, its chord leaves
# thickness / cos lean
GRAZING = 5.0  # degrees kept from the tilt at which the jet no longer enters the bore
LEAN_CHECKED_FROM = 0.25  # inches: the plate of the trade check on a leaned tip
LEANED_UP_TO = 1.0  # inches: "square on thick plate" (trade course); the trade check is on 1/4
SMALL_TIP_SHARE = 0.9  # a tip too small runs in the top tenth of what its bore is listed for


@dataclass(frozen=True, slots=True)
class Hose:
    """The oxygen hose: length in feet and bore in inches."""

    length: float
    bore: float


@dataclass(frozen=True, slots=True)
class Work:
    """What to set and expect.

    Attributes:
        row: the hand table at the plate.
        fit: how the tip suits the plate.
        pressure: oxygen at the torch.
        regulator: oxygen at the regulator, hose loss in it.
        speed: travel.
        kerf: width of the cut.
        lean: from square; 0 when upright.
        path: of the jet through the metal.
        oxygen: cutting and preheat together; None where no table lists the fuel's share.
        fuel: None likewise.
        flow_source: key of the oxygen flow's table.
        fuel_source: key of the fuel flow's table.
        hose_loss: at the high end, in psi; 0 without a hose.
        sheet: thinner than the hand table; a lean then goes on to `sheet.LEAN`'s upper end.
    """

    row: published.Published
    fit: Fit
    pressure: Ends
    regulator: Ends
    speed: Ends
    kerf: Ends
    lean: float
    path: float
    oxygen: Ends | None
    fuel: Ends | None
    flow_source: str
    fuel_source: str
    hose_loss: float
    sheet: bool = False


@dataclass(frozen=True, slots=True)
class Beyond:
    """Why a tip lies outside the model: "small", "far" (plate too thick), "large" or "unlisted"."""

    why: str


def work_out(
    thickness: float,
    tip: KnownTip | None,
    fuel: Fuel,
    line: Hose | None,
    purity: float,
    round_wall: bool = False,
    outside: float = 0.0,
) -> Work | Beyond:
    """The work for a plate inside the hand table or for sheet, or why the tip is beyond the model.

    Args:
        thickness: of the plate, inside the hand table, or of sheet by `sheet.is_sheet`.
        tip: None for the right one.
        fuel: burned in the preheat.
        line: the oxygen hose, None when it is not to be counted.
        purity: of the oxygen in percent, not below what `flow.purity_pace` answers for.
        round_wall: of a pipe or round tube.
        outside: its diameter, 0 when not known.
    """
    if sheet.is_sheet(thickness):
        return _sheet(thickness, tip, fuel, line, purity, round_wall)
    row = published.hand_cutting_at(thickness)
    assert row is not None, "thickness is checked before"
    suits = fit(tip, thickness)
    pace = purity_pace(purity)
    assert pace is not None, "purity is checked before"
    lean, length = 0.0, thickness
    if suits is Fit.TOO_SMALL:
        assert tip is not None
        beyond = _too_small_for_model(row, tip.bore)
        if beyond:
            return beyond
        pressure = _small_pressure(row, tip.bore)
        travel = _small_speed(row, tip.bore, pressure, pace)
        straight = speed.straight_kerf(tip.bore, length)
        kerf = straight, straight * speed.weave_factor(thickness, tip.bore)
    elif suits is Fit.TOO_LARGE:
        assert tip is not None
        leaned = _lean(thickness, tip.bore, round_wall, outside)
        if isinstance(leaned, Beyond):
            return leaned
        lean, length = leaned
        pressure = _large_pressure(length)
        # the model knows the path; on a round it is longer than thickness / cos tilt
        alike = math.degrees(math.acos(min(1.0, thickness / length)))
        travel = _large_speed(row, tip.bore, pressure, alike, pace)
        kerf = (speed.straight_kerf(tip.bore, length),) * 2
    else:
        pressure = row.pressure
        travel = row.speed[0] * pace, row.speed[1] * pace
        bores = (tip.bore, tip.bore) if tip else row.bore
        kerf = speed.straight_kerf(bores[0], length), speed.straight_kerf(bores[1], length)
    oxygen, burned, source, fuel_source = _flows(row, suits, tip, fuel, pressure, purity)
    regulator = _at_regulator(pressure, oxygen or row.oxygen, line)
    return Work(
        row=row,
        fit=suits,
        pressure=pressure,
        regulator=regulator,
        speed=travel,
        kerf=kerf,
        lean=lean,
        path=length,
        oxygen=oxygen,
        fuel=burned,
        flow_source=source,
        fuel_source=fuel_source,
        hose_loss=regulator[1] - pressure[1],
    )


def reach(bore: float) -> float | None:
    """The thickest plate that a tip still separates by the model, in inches; None for none.

    >>> round(reach(0.038), 3)
    0.825
    """
    listed = published.thickest_listed(bore)
    if listed is None:
        return None
    limits = speed.constants()
    thickest = min(listed * limits.reach_limit, published.thickest())
    step = 0.01
    while thickest > listed:
        bores = published.suiting(thickest)
        if bores is not None and bores[0] / bore <= limits.small_limit:
            return thickest
        thickest -= step
    return listed


def _too_small_for_model(row: published.Published, bore: float) -> Beyond | None:
    limits = speed.constants()
    listed = published.thickest_listed(bore)
    if listed is None:
        return Beyond("unlisted")
    bores = published.suiting(row.thickness)
    if bores is None or bores[0] / bore > limits.small_limit:
        return Beyond("small")
    return Beyond("far") if row.thickness / listed > limits.reach_limit else None


def _small_pressure(row: published.Published, bore: float) -> Ends:
    """The top of what the bore is listed for: more only breaks up a thin jet."""
    most = published.pressure_limit(bore)
    assert most is not None, "an unlisted bore is refused before"
    most = min(most, row.pressure[1])
    return max(min(row.pressure[0], most), SMALL_TIP_SHARE * most), most


def _small_speed(row: published.Published, bore: float, pressure: Ends, pace: float) -> Ends:
    found = speed.pace(row.thickness, bore, sum(pressure) / 2, purity=pace)
    return min(found.low, row.speed[0] * pace), min(found.high, row.speed[1] * pace)


def _lean(
    thickness: float, bore: float, round_wall: bool, outside: float = 0.0
) -> tuple[float, float] | Beyond:
    """The least lean, in whole steps, at which the path calls for this bore; then its path.

    Thick plate is cut square even with a tip too large: there a longer path gains nothing.
    """
    limits = speed.constants()
    usual, most = (ROUND_LEAN, ROUND_LEAN) if round_wall else (USUAL_LEAN, limits.lean_limit)
    if thickness > LEANED_UP_TO:
        upright = _calls_for(thickness, bore, limits.large_limit)
        return (0.0, thickness) if upright else Beyond("large")
    if round_wall and outside > 2 * thickness:
        return _tilt(thickness, bore, outside / 2)
    lean = LEAN_STEP
    while lean < usual and not _calls_for(speed.path(thickness, lean), bore, 1.0):
        lean += LEAN_STEP
    length = speed.path(thickness, lean)
    if not _calls_for(length, bore, limits.large_limit):
        lean = most
        length = speed.path(thickness, lean)
        if not _calls_for(length, bore, limits.large_limit):
            return Beyond("round" if round_wall else "large")
    if length / bore < limits.shortest_path:
        return Beyond("large")
    return lean, length


def _tilt(thickness: float, bore: float, radius: float) -> tuple[float, float] | Beyond:
    """As `_lean`, round a wall: along its chord, while the jet still enters the bore."""
    inner = radius - thickness
    most = min(USUAL_LEAN, grazing_tilt(radius, inner) - GRAZING)
    limits = speed.constants()
    lean = LEAN_STEP
    while lean <= most:
        length = tilted(radius, inner, lean)
        if speed.path(thickness, limits.lean_limit) < length:
            break  # the model was never checked on a path that much longer
        last = lean + LEAN_STEP > most
        if _calls_for(length, bore, limits.large_limit if last else 1.0):
            return Beyond("large") if length / bore < limits.shortest_path else (lean, length)
        lean += LEAN_STEP
    return Beyond("round")


def _calls_for(length: float, bore: float, margin: float) -> bool:
    bores = published.suiting(length)
    return bores is not None and bore <= bores[1] * margin + published.NEAR


def _large_pressure(length: float) -> Ends:
    row = published.hand_cutting_at(length)
    assert row is not None, "the leaned path is checked before"
    low, high = row.pressure
    return low, low + sheet.LARGE_TIP_SHARE * (high - low)


def _large_speed(
    row: published.Published, bore: float, pressure: Ends, lean: float, pace: float
) -> Ends:
    """The model's, no slower than the table.

    On plate thinner than that of the check on a leaned tip, no faster than that check either.
    """
    found = speed.pace(row.thickness, bore, sum(pressure) / 2, lean, pace)
    low, high = max(found.low, row.speed[0] * pace), max(found.high, row.speed[1] * pace)
    if row.thickness < LEAN_CHECKED_FROM - published.SAME:
        high = min(high, sheet.fastest_checked() * (1 + speed.constants().spread) * pace)
        low = min(low, published.rows()[0].speed[1] * pace)
    return low, high


def _flows(
    row: published.Published,
    suits: Fit,
    tip: KnownTip | None,
    fuel: Fuel,
    pressure: Ends,
    purity: float,
) -> tuple[Ends | None, Ends | None, str, str]:
    """Oxygen, fuel and the source of each."""
    listed = gases.flows(fuel, row.thickness)
    burned = listed.fuel if listed else None
    more = purity_use(purity) or 1.0
    if suits in (Fit.RIGHT, Fit.UNKNOWN):
        if listed is None:
            return None, None, "", ""
        oxygen = listed.oxygen[0] * more, listed.oxygen[1] * more
        return oxygen, burned, listed.source, listed.source
    assert tip is not None
    if listed is None:
        return None, None, "", ""
    passed = _passed((tip.bore, tip.bore), fuel, pressure, listed.fuel)
    return passed, burned, "this_project", listed.source


def _passed(bore: Ends, fuel: Fuel, pressure: Ends, burned: Ends) -> Ends:
    """Oxygen by the tip's own bore and pressure, its preheat with it."""
    low, high = (
        speed.tip_flow(size, end) * CUBIC_FEET_AN_HOUR
        for size, end in zip(bore, pressure, strict=True)
    )
    preheat = gases.preheat_oxygen(fuel, burned)
    return low + preheat[0], high + preheat[1]


def _sheet(
    thickness: float,
    tip: KnownTip | None,
    fuel: Fuel,
    line: Hose | None,
    purity: float,
    round_wall: bool,
) -> Work | Beyond:
    suits, pace = fit(tip, thickness), purity_pace(purity)
    assert pace is not None, "purity is checked before"
    if suits is Fit.TOO_SMALL:
        return Beyond("unlisted")
    bore = tip.bore if tip else None
    found = sheet.work_out_sheet(thickness, bore, suits is Fit.TOO_LARGE, round_wall, pace)
    if found is None:
        return Beyond("round" if round_wall else "large")
    listed = gases.flows(fuel, published.thinnest())  # a tip's preheats are no smaller for sheet
    oxygen = _passed(found.bore, fuel, found.pressure, listed.fuel) if listed else None
    regulator = _at_regulator(found.pressure, oxygen or found.row.oxygen, line)
    return Work(
        row=found.row,
        fit=suits,
        pressure=found.pressure,
        regulator=regulator,
        speed=found.speed,
        kerf=found.kerf,
        lean=found.lean,
        path=found.path,
        oxygen=oxygen,
        fuel=listed.fuel if listed else None,
        flow_source="this_project",
        fuel_source=listed.source if listed else "",
        hose_loss=regulator[1] - found.pressure[1],
        sheet=True,
    )


def _at_regulator(pressure: Ends, oxygen: Ends, line: Hose | None) -> Ends:
    if line is None:
        return pressure
    return (
        hose.regulator_pressure(pressure[0], oxygen[0], line.length, line.bore),
        hose.regulator_pressure(pressure[1], oxygen[1], line.length, line.bore),
    )


def rounded_inward(low: float, high: float, step: float) -> Ends:
    """A range on a step, inside itself; as it stands where no step lies inside.

    >>> rounded_inward(22.3, 32.6, 1), rounded_inward(24.2, 24.7, 1)
    ((23, 32), (24.2, 24.7))
    """
    inner = math.ceil(low / step - 1e-9) * step, math.floor(high / step + 1e-9) * step
    return inner if inner[0] <= inner[1] else (low, high)
