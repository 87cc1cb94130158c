"""The engine's formulas against general-purpose libraries: fluids, CoolProp, and pint itself."""

import math
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine import flow, hose, tables
from handsfree.engine.answer import answer
from handsfree.engine.supply import cold, contents
from handsfree.values import About, Answer, Conversion, Request, Rig, TipBox
from handsfree.values.units import millimetres, psi

fluids = pytest.importorskip("fluids")


@pytest.fixture
def properties() -> ModuleType:
    """CoolProp's property functions; its wheels end before some Python versions."""
    found: ModuleType = pytest.importorskip("CoolProp.CoolProp")
    return found


@pytest.mark.parametrize("bore", [0.0315, 0.038, 0.0595, 0.081, 0.11])
@pytest.mark.parametrize("pressure", [15.0, 25.0, 45.0, 86.0])
def test_choked_flow_agrees_with_the_relief_valve_formula(bore: float, pressure: float) -> None:
    """fluids, API 520 part 1, critical gas flow, all correction factors 1.

    0.1 %: both are the same isentropic throat; the rest is the rounding of API's constants.
    """
    area = math.pi / 4 * (bore * flow.METRES) ** 2
    wanted = fluids.safety_valve.API520_A_g(
        m=flow.mass_flow(bore, pressure),
        T=flow.INLET_TEMPERATURE,
        Z=1.0,
        MW=31.999,
        k=flow.HEAT_RATIO,
        P1=(pressure + flow.ATMOSPHERE) * flow.PASCALS,
        P2=flow.ATMOSPHERE * flow.PASCALS,
        Kd=1.0,
        Kb=1.0,
        Kc=1.0,
    )
    assert wanted == pytest.approx(area, rel=1e-3)


def test_flow_chokes_at_the_ratio_that_the_library_gives() -> None:
    critical = fluids.P_critical_flow(1.0, flow.HEAT_RATIO)
    assert pytest.approx(critical, rel=1e-6) == flow.CRITICAL_RATIO
    assert fluids.is_critical_flow(
        (flow.CHOKED_ABOVE + 0.1 + flow.ATMOSPHERE), flow.ATMOSPHERE, flow.HEAT_RATIO
    )
    assert not fluids.is_critical_flow(
        (flow.CHOKED_ABOVE - 0.1 + flow.ATMOSPHERE), flow.ATMOSPHERE, flow.HEAT_RATIO
    )


@pytest.mark.parametrize(
    ("bore", "length", "amount", "tip"),
    [
        (0.1875, 50, 100, 25),
        (0.25, 25, 50, 25),
        (0.25, 100, 150, 40),
        (0.25, 50, 450, 60),
        (0.375, 100, 250, 45),
        (0.375, 200, 567, 80),
    ],
)
def test_hose_loss_agrees_with_isothermal_pipe_flow(
    bore: float, length: float, amount: float, tip: float
) -> None:
    """fluids, isothermal compressible flow with its own friction factor (Clamond's Colebrook).

    3 %: ours leaves out the kinetic term (up to 1 %) and uses Haaland's factor (within 2 %).
    """
    diameter = bore * flow.METRES
    mass = amount / flow.CUBIC_FEET_AN_HOUR
    outlet = (tip + flow.ATMOSPHERE) * flow.PASCALS
    found = hose.regulator_pressure(tip, amount, length, bore)
    inlet = (found + flow.ATMOSPHERE) * flow.PASCALS
    reynolds = 4 * mass / (math.pi * diameter * hose.VISCOSITY)
    factor = fluids.friction_factor(Re=reynolds, eD=hose.ROUGHNESS / diameter)
    passed = fluids.isothermal_gas(
        rho=inlet / (flow.GAS_CONSTANT * flow.INLET_TEMPERATURE),
        fd=factor,
        P1=inlet,
        P2=outlet,
        L=length * 0.3048,
        D=diameter,
    )
    assert passed == pytest.approx(mass, rel=0.03)


def test_oxygen_is_what_the_property_library_says(properties: ModuleType) -> None:
    """CoolProp: density at 70 F and one atmosphere, heat ratio and viscosity at 293 K, 3 bar.

    0.5 %: real oxygen is not ideal, and the viscosity moves with the pressure.
    """
    density = properties.PropsSI("D", "T", 294.26, "P", 101325, "Oxygen")
    assert pytest.approx(density, rel=5e-3) == flow.DENSITY
    state = ("T", 293.0, "P", 3e5, "Oxygen")
    ratio = properties.PropsSI("Cpmass", *state) / properties.PropsSI("Cvmass", *state)
    assert pytest.approx(ratio, rel=5e-3) == flow.HEAT_RATIO
    assert pytest.approx(properties.PropsSI("V", *state), rel=5e-3) == hose.VISCOSITY
    gas_constant = 8.314462618 / properties.PropsSI("M", "Oxygen")
    assert pytest.approx(gas_constant, rel=1e-4) == flow.GAS_CONSTANT


@given(st.floats(0.1, 300))
def test_lengths_convert_as_the_inch_is_defined(value: float) -> None:
    """International inch, 25.4 mm exactly."""
    request = Request(About.CONVERT, conversion=Conversion(millimetres(value), "in"))
    reply = answer(request, Rig(), TipBox())
    assert isinstance(reply, Answer)
    assert float(reply.figures[0].low.m_as("in")) == pytest.approx(value / 25.4, rel=1e-12)


@given(st.floats(0.1, 3000))
def test_pressures_convert_as_the_pound_is_defined(value: float) -> None:
    """Pound 0.45359237 kg, standard gravity 9.80665 m/s2, inch 25.4 mm: all exact."""
    request = Request(About.CONVERT, conversion=Conversion(psi(value), "bar"))
    reply = answer(request, Rig(), TipBox())
    assert isinstance(reply, Answer)
    pascals = value * 0.45359237 * 9.80665 / 0.0254**2
    assert float(reply.figures[0].low.m_as("bar")) == pytest.approx(pascals / 1e5, rel=1e-9)


@pytest.mark.parametrize("temperature", [-20, 0, 15, 32, 45, 60, 70, 85, 100, 115, 120])
@pytest.mark.parametrize("gauge", [50, 150, 500, 900, 1300, 1700, 2100, 2300, 2650])
def test_oxygen_in_a_cylinder_agrees_with_the_reference_equation_of_state(
    properties: ModuleType, temperature: float, gauge: float
) -> None:
    """CoolProp's density of oxygen, between the rows of the table too: within 0.5 percent."""

    def density(psig: float, fahrenheit: float) -> float:
        kelvin = (fahrenheit - 32) / 1.8 + 273.15
        pascals = (psig + flow.ATMOSPHERE) * flow.PASCALS
        return float(properties.PropsSI("D", "P", pascals, "T", kelvin, "Oxygen"))

    usable = density(gauge, temperature) - density(0, temperature)
    wanted = 244 * usable / (density(2200, 70) - density(0, 70))
    assert contents.oxygen_left(gauge, temperature) == pytest.approx(wanted, rel=0.005)


def test_compressibility_of_oxygen_agrees_with_the_reference_equation_of_state(
    properties: ModuleType,
) -> None:
    """CoolProp, every row of the table, to its four figures."""
    wrong = []
    for row in tables.table("oxygen_compressibility").rows:
        kelvin = (row.number("temperature") - 32) / 1.8 + 273.15
        pascals = (row.number("gauge") + flow.ATMOSPHERE) * flow.PASCALS
        wanted = float(properties.PropsSI("Z", "P", pascals, "T", kelvin, "Oxygen"))
        if abs(row.number("compressibility") - wanted) > 6e-5:
            wrong.append(f"{row.number('temperature')} F {row.number('gauge')}: {wanted:.5f}")
    assert wrong == []


def test_oxygen_by_its_gauge_agrees_with_the_published_reading() -> None:
    """The table of readings at 70 F, computed apart: within a cubic foot."""
    for reading in tables.oxygen_cylinder():
        found = contents.oxygen_left(float(reading.gauge.m_as("psi")))
        assert found == pytest.approx(float(reading.content.m_as("ft**3")), abs=1.0)
    for temperature, listed in tables.full_oxygen_gauge():
        found = contents.full_gauge(float(temperature.m_as("degF")))
        assert found == pytest.approx(float(listed.value.m_as("psi")), abs=6)


@pytest.mark.parametrize(
    ("name", "bore", "length", "amount", "tip"),
    [
        ("acetylene", 0.1875, 100, 13, 5),
        ("acetylene", 0.25, 200, 37, 6),
        ("propane", 0.1875, 100, 25, 9),
        ("natural gas", 0.25, 100, 70, 7),
    ],
)
def test_fuel_hose_loss_agrees_with_isothermal_pipe_flow(
    name: str, bore: float, length: float, amount: float, tip: float
) -> None:
    """fluids, isothermal compressible flow with its own friction factor; 3 % as for oxygen."""
    gas = hose.gas(name)
    diameter = bore * flow.METRES
    mass = amount * gas.mass_a_cfh
    found = hose.regulator_pressure(tip, amount, length, bore, gas)
    inlet = (found + flow.ATMOSPHERE) * flow.PASCALS
    reynolds = 4 * mass / (math.pi * diameter * gas.viscosity)
    passed = fluids.isothermal_gas(
        rho=inlet / (gas.constant * flow.INLET_TEMPERATURE),
        fd=fluids.friction_factor(Re=reynolds, eD=hose.ROUGHNESS / diameter),
        P1=inlet,
        P2=(tip + flow.ATMOSPHERE) * flow.PASCALS,
        L=length * 0.3048,
        D=diameter,
    )
    assert passed == pytest.approx(mass, rel=0.03)


@pytest.mark.parametrize("gauge", [200.0, 500.0, 1000.0, 1500.0, 2000.0, 2200.0])
def test_oxygen_cools_in_its_regulator_as_the_library_says(
    properties: ModuleType, gauge: float
) -> None:
    """Constant enthalpy from 70 F to 50 psig, within a tenth of a degree of rounding."""
    start = (70 + 459.67) / 1.8
    within = properties.PropsSI(
        "H", "P", (gauge + flow.ATMOSPHERE) * flow.PASCALS, "T", start, "Oxygen"
    )
    after = properties.PropsSI(
        "T", "P", (50 + flow.ATMOSPHERE) * flow.PASCALS, "H", within, "Oxygen"
    )
    assert cold.oxygen_cooling(gauge) == pytest.approx((start - after) * 1.8, abs=0.06)
