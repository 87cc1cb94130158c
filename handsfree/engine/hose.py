"""Pressure lost in a hose: what the regulator must read for the torch to have its pressure.

Isothermal compressible flow in a smooth round tube: p1^2 - p2^2 = f L/D (4 m/pi D^2)^2 R T, with
Haaland's friction factor. Couplings, quick connectors and arrestors are not counted.
"""

import functools
import math
from dataclasses import dataclass

from handsfree.engine import tables
from handsfree.engine.flow import (
    ATMOSPHERE,
    CUBIC_FEET_AN_HOUR,
    GAS_CONSTANT,
    INLET_TEMPERATURE,
    METRES,
    PASCALS,
)

VISCOSITY = 2.03e-5  # of oxygen at 293 K, Pa s
UNIVERSAL = 8.31446  # gas constant, J/(mol K)
STANDARD = 294.26  # K, 70 F: where a cubic foot of gas is counted
ROUGHNESS = 1.5e-6  # of a smooth lining, m: a rough one (1e-5) would lose a tenth more

LENGTHS = (5.0, 400.0)  # feet
BORES = (0.125, 0.75)  # inches
USUAL_BORE = 0.25  # inches, when only the length is known
HEAVY_LOSS = 10.0  # psi, from which a larger hose is advised


@dataclass(frozen=True, slots=True)
class Gas:
    """What decides the loss of a gas: constant in J/(kg K), viscosity in Pa s, kg/s of a cfh."""

    constant: float
    viscosity: float
    mass_a_cfh: float


OXYGEN = Gas(GAS_CONSTANT, VISCOSITY, 1 / CUBIC_FEET_AN_HOUR)


@functools.cache
def gas(name: str) -> Gas:
    """A fuel gas by its name, from its molar mass and viscosity; ideal, near room temperature.

    >>> round(gas("propane").constant), round(OXYGEN.mass_a_cfh / gas("oxygen").mass_a_cfh, 2)
    (189, 1.0)
    """
    row = tables.gas(name)
    constant = UNIVERSAL / float(row.molar_mass.m_as("kg/mol"))
    density = ATMOSPHERE * PASCALS / (constant * STANDARD)
    mass = density * 0.3048**3 / 3600
    return Gas(constant, float(row.viscosity.m_as("Pa*s")), mass)


def regulator_pressure(
    tip: float, flow: float, length: float, bore: float, gas: Gas = OXYGEN
) -> float:
    """Gauge pressure at the regulator, in psi, that leaves `tip` psi at the torch.

    Source: compressible pipe flow as in handbooks; checked in tests/reference against a fluids
    library. Valid for `LENGTHS` and `BORES`, turbulent flow, and while the hose itself is not
    choked, which is always so when the tip is the narrowest place.

    >>> round(regulator_pressure(tip=40, flow=150, length=50, bore=0.25) - 40, 1)
    2.3

    Args:
        tip: wanted at the torch, gauge, in psi.
        flow: in cfh; of oxygen, cutting and preheat together.
        length: in feet.
        bore: inside diameter in inches.
        gas: that flows; oxygen when not named.

    Raises:
        ValueError: length or bore is outside what the formula is used for.
    """
    if not LENGTHS[0] <= length <= LENGTHS[1] or not BORES[0] <= bore <= BORES[1]:
        raise ValueError(f"A hose of {length} ft and {bore} in is outside the formula.")
    diameter = bore * METRES
    metres = length * 12 * METRES
    mass = flow * gas.mass_a_cfh
    flux = 4 * mass / (math.pi * diameter**2)
    friction = _friction(flux * diameter / gas.viscosity, ROUGHNESS / diameter)
    lost = friction * metres / diameter * flux**2 * gas.constant * INLET_TEMPERATURE
    outlet = (tip + ATMOSPHERE) * PASCALS
    return math.sqrt(outlet**2 + lost) / PASCALS - ATMOSPHERE


def _friction(reynolds: float, roughness: float) -> float:
    """Darcy's friction factor: laminar below 2300, else Haaland's."""
    if reynolds < 2300:
        return 64 / max(reynolds, 1.0)
    return float((-1.8 * math.log10((roughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2)
