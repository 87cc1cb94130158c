"""Fuel pressure at the regulator, with what a long hose takes on the way to the torch.

The table's fuel pressures are for the short hose of a shop. What a hose is longer than that adds
its loss; the fuel's limit is never passed to make one up. Floats: psi gauge, cfh, feet, inches.
"""

from dataclasses import replace

from handsfree.engine import gases, hose
from handsfree.engine.gases import Ends, FuelPressure
from handsfree.engine.work import Hose
from handsfree.values import Fuel

SHOP_HOSE = 25.0  # feet, common practice: what a usual pressure already carries
STEP = 0.5  # psi, finer than which no low-pressure gauge is read


def fuel_at_regulator(
    fuel: Fuel, thickness: float, flow: Ends | None, line: Hose | None
) -> FuelPressure | None:
    """What to set, the loss of a long hose in it; None beyond the table.

    >>> fuel_at_regulator(Fuel.ACETYLENE, 0.5, (10.0, 13.0), Hose(100, 0.1875)).pressure
    (4.0, 5.5)

    Args:
        fuel: that burns.
        thickness: of the steel.
        flow: of fuel in cfh, None when it is not known.
        line: the fuel hose, None when it is not to be counted.
    """
    listed = gases.fuel_pressure(fuel, thickness)
    if listed is None or line is None or flow is None:
        return listed
    low, high = (
        _stepped(pressure + lost(fuel, pressure, used, line))
        for pressure, used in zip(listed.pressure, flow, strict=True)
    )
    return replace(listed, pressure=(low, high))


def lost(fuel: Fuel, pressure: float, flow: float, line: Hose) -> float:
    """Pressure lost in what the hose is longer than a shop's, in psi."""
    longer = line.length - SHOP_HOSE
    if longer < hose.LENGTHS[0]:
        return 0.0
    gas = hose.gas(fuel.value)
    return hose.regulator_pressure(pressure, flow, longer, line.bore, gas) - pressure


def _stepped(pressure: float) -> float:
    """To the nearest step: a loss that no gauge shows is none."""
    return round(pressure / STEP) * STEP
