"""Cutting oxygen through a tip: choked flow from bore and pressure, and what purity costs.

Floats inside the engine: bore and lengths in inches, gauge pressure in psi, flow in cubic feet an
hour (cfh) at 70 F and one atmosphere.
"""

import math

ATMOSPHERE = 14.696  # psi
PASCALS = 6894.757  # a psi
METRES = 0.0254  # an inch

HEAT_RATIO = 1.40  # of oxygen, dimensionless
GAS_CONSTANT = 259.83  # of oxygen, J/(kg K)
INLET_TEMPERATURE = 293.0  # K
DENSITY = 1.3252  # of oxygen at 70 F and one atmosphere, kg/m3

CUBIC_FEET_AN_HOUR = 3600 / (DENSITY * 0.3048**3)  # of oxygen, for 1 kg/s

CRITICAL_RATIO = (2 / (HEAT_RATIO + 1)) ** (HEAT_RATIO / (HEAT_RATIO - 1))
CHOKED_ABOVE = ATMOSPHERE / CRITICAL_RATIO - ATMOSPHERE  # psi gauge, 13.1

_MASS_FLUX = (
    math.sqrt(HEAT_RATIO / (GAS_CONSTANT * INLET_TEMPERATURE))
    * (2 / (HEAT_RATIO + 1)) ** ((HEAT_RATIO + 1) / (2 * (HEAT_RATIO - 1)))
    * PASCALS
)  # kg/s for a square metre and a psi absolute

PUREST = 99.5  # percent; what the trade's figures are given for
LEAST_PURE = 98.5  # percent; the source gives no figure between here and 95
SPEED_LOST_A_PERCENT = 0.15
OXYGEN_ADDED_A_PERCENT = 0.25


def mass_flow(bore: float, pressure: float, coefficient: float = 1.0, at: float = 1.0) -> float:
    """Oxygen through a choked orifice, in kg/s.

    Standard one-dimensional gas dynamics (source: ideal gas, isentropic to the throat). Below
    `CHOKED_ABOVE` the flow is no longer choked and the formula reads up to 3 % high at 11 psi,
    the lowest pressure of the hand table.

    >>> round(mass_flow(0.0595, 45) * CUBIC_FEET_AN_HOUR)
    176

    Args:
        bore: in inches.
        pressure: gauge, at the tip, in psi.
        coefficient: of discharge.
        at: ratio of absolute pressure at the bore to that at the gauge.
    """
    area = math.pi / 4 * (bore * METRES) ** 2
    flow: float = coefficient * area * _MASS_FLUX * (pressure + ATMOSPHERE) * at
    return flow


def purity_pace(percent: float) -> float | None:
    """What is left of the travel speed with oxygen of that purity; None below `LEAST_PURE`.

    >>> purity_pace(99.5), purity_pace(98.5), purity_pace(96)
    (1.0, 0.85, None)
    """
    if percent < LEAST_PURE:
        return None
    return 1 - SPEED_LOST_A_PERCENT * max(0.0, PUREST - percent)


def purity_use(percent: float) -> float | None:
    """How much more oxygen a foot of cut takes; None below `LEAST_PURE`."""
    if percent < LEAST_PURE:
        return None
    return 1 + OXYGEN_ADDED_A_PERCENT * max(0.0, PUREST - percent)
