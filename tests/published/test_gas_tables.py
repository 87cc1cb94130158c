"""The gas figures against a second transcription, chemistry and a property library."""

import re
from collections.abc import Callable
from types import ModuleType

import pytest

from handsfree.engine import tables
from handsfree.values import Fuel, Status
from handsfree.values.units import registry

Typed = Callable[[str], list[dict[str, str]]]
ATOMIC_WEIGHT = {"C": 12.011, "H": 1.008, "O": 15.999, "Fe": 55.845}
NAMES = {
    "oxygen": "Oxygen",
    "propane": "n-Propane",
    "propylene": "Propylene",
    "natural gas": "Methane",
    "hydrogen": "Hydrogen",
}


@pytest.fixture
def properties() -> ModuleType:
    module: ModuleType = pytest.importorskip(
        "CoolProp.CoolProp", reason="CoolProp is not installed"
    )
    return module


def atoms(formula: str) -> dict[str, int]:
    return {name: int(count or 1) for name, count in re.findall(r"([A-Z][a-z]?)(\d*)", formula)}


def test_fuels_agree_with_their_second_transcription(typed_again: Typed) -> None:
    wrong = []
    for row, again in zip(tables.table("fuels").rows, typed_again("fuels"), strict=True):
        for column, text in again.items():
            if column in ("fuel", "formula"):
                same = row.text(column) == text
            elif column in ("neutral_ratio", "in_air", "in_air_listed"):
                low, high = {
                    "neutral_ratio": ("neutral_ratio_low", "neutral_ratio_high"),
                    "in_air": ("lower_limit", "upper_limit"),
                    "in_air_listed": ("lower_limit_listed", "upper_limit_listed"),
                }[column]
                same = [row.number(low), row.number(high)] == [float(x) for x in text.split("-")]
            else:
                same = row.maybe_number(column) == (float(text) if text else None)
            if not same:
                wrong.append(f"{again['fuel']}, {column}: typed again {text}")
    assert wrong == []


def test_oxygen_of_complete_burning_follows_from_the_formula() -> None:
    for row in tables.all_fuels():
        count = atoms(row.formula)
        assert row.stoichiometric_oxygen == count.get("C", 0) + count["H"] / 4


def test_only_acetylene_has_a_pressure_limit_and_it_is_the_rule() -> None:
    """29 CFR 1910.253(a)(2): never above 15 psig."""
    limits = {
        row.name: row.pressure_limit for row in tables.all_fuels() if row.pressure_limit is not None
    }
    assert list(limits) == ["acetylene"]
    assert limits["acetylene"].value.m_as("psi") == 15
    assert limits["acetylene"].source == "cfr_1910_253"
    assert "15 psig" in tables.duty("acetylene_15psig").quote


def test_heat_values_of_three_sources_agree_within_3_percent() -> None:
    for row in tables.all_fuels():
        values = [row.heat, row.heat_read.value, row.heat_computed.value]
        plain = [float(value.m_as("Btu/ft**3")) for value in values]
        assert max(plain) / min(plain) < 1.03, row.name
        if row.primary_heat is not None and row.secondary_heat is not None:
            assert row.primary_heat + row.secondary_heat == row.heat


def test_specific_gravities_follow_from_the_formulas() -> None:
    """Against air of 28.96 g/mol within 2 percent; pipeline gas is heavier than methane."""
    for row in tables.all_fuels():
        mass = sum(ATOMIC_WEIGHT[name] * count for name, count in atoms(row.formula).items())
        expected = mass / 28.96
        if row.name == "natural gas":
            assert 1.0 < row.specific_gravity / expected < 1.15
        else:
            assert row.specific_gravity == pytest.approx(expected, rel=0.02), row.name


def test_standards_put_the_lean_limit_no_higher_than_the_older_figures() -> None:
    for row in tables.all_fuels():
        assert row.lower_limit.value <= row.flammable_in_air.low


def test_gas_properties_agree_with_the_library(properties: ModuleType) -> None:
    """CoolProp 8 at 20 C and one atmosphere."""
    state = ("T", 293.15, "P", 101325)
    for name, fluid in NAMES.items():
        row = tables.gas(name)
        mass = properties.PropsSI("M", fluid) * 1000
        ratio = properties.PropsSI("C", *state, fluid) / properties.PropsSI("O", *state, fluid)
        assert row.molar_mass.m_as("g/mol") == pytest.approx(mass, rel=2e-4), name
        assert row.heat_capacity_ratio == pytest.approx(ratio, abs=0.001), name
        viscosity = properties.PropsSI("V", *state, fluid)
        assert row.viscosity.m_as("Pa*s") == pytest.approx(viscosity, rel=2e-3), name
    assert tables.gas("acetylene").status is Status.MEMORY


def test_oxygen_cylinder_agrees_with_the_library(properties: ModuleType) -> None:
    """Content from density at 70 F between the reading and an empty gauge, full at 2200 psig."""

    def density(gauge: float) -> float:
        pressure = (gauge + 14.696) * 6894.757
        return float(properties.PropsSI("D", "T", 294.261, "P", pressure, "Oxygen"))

    for row in tables.oxygen_cylinder():
        gauge = float(row.gauge.m_as("psi"))
        share = (density(gauge) - density(0)) / (density(2200) - density(0))
        assert row.usable_percent == pytest.approx(100 * share, abs=0.15)
        assert row.content.m_as("ft**3") == pytest.approx(244 * share, abs=1.1)


def test_gauge_of_a_full_oxygen_cylinder_agrees_with_the_library(properties: ModuleType) -> None:
    full = properties.PropsSI("D", "T", 294.261, "P", 2214.696 * 6894.757, "Oxygen")
    for temperature, gauge in tables.full_oxygen_gauge():
        pressure = properties.PropsSI("P", "T", temperature.m_as("K"), "D", full, "Oxygen")
        assert gauge.value.m_as("psi") == pytest.approx(pressure / 6894.757 - 14.696, abs=3)


def test_propane_vapour_pressure_agrees_with_the_library(properties: ModuleType) -> None:
    for temperature, gauge in tables.propane_vapour():
        pressure = properties.PropsSI("P", "T", temperature.m_as("K"), "Q", 1, "n-Propane")
        assert gauge.value.m_as("psi") == pytest.approx(pressure / 6894.757 - 14.696, abs=1)


def test_gas_from_a_pound_of_liquid_agrees_with_the_library(properties: ModuleType) -> None:
    """At 60 F and one atmosphere, as gas from liquid is counted."""
    for fuel in (Fuel.PROPANE, Fuel.PROPYLENE):
        listed = tables.fuel(fuel).gas_a_pound
        assert listed is not None
        fluid = NAMES[fuel.value]
        density = properties.PropsSI("D", "T", 288.706, "P", 101325, fluid)  # kg/m3
        volume = registry.Quantity(1 / density, "m**3/kg")
        assert listed.value.m_as("ft**3/lb") == pytest.approx(volume.m_as("ft**3/lb"), rel=0.002)


def test_heat_and_oxygen_of_burning_iron_follow_from_the_enthalpies() -> None:
    """Heat over the iron in a mole of oxide; steel of 7850 kg/m3, oxygen gas at 70 F."""
    for row in tables.iron_oxides():
        count = atoms(row.oxide)
        iron = count["Fe"] * ATOMIC_WEIGHT["Fe"] / 1000
        oxygen = count["O"] * ATOMIC_WEIGHT["O"] / 1000
        heat = -row.enthalpy.m_as("MJ/mol") / iron
        assert row.heat.m_as("MJ/kg") == pytest.approx(heat, abs=0.006), row.oxide
        assert row.oxygen == pytest.approx(oxygen / iron, abs=0.0006), row.oxide
        volume = row.oxygen * 7850 / 1.326  # kg of oxygen in a cubic metre of steel, as gas
        in_cubic_inch = volume * 0.0254**3 / 0.3048**3
        assert row.oxygen_a_volume == pytest.approx(in_cubic_inch, rel=0.01), row.oxide


def test_flame_temperatures_peak_between_neutral_and_complete_burning() -> None:
    for fuel in (Fuel.ACETYLENE, Fuel.PROPANE, Fuel.NATURAL_GAS):
        found = tables.flame_temperatures(fuel)
        hottest = max(found, key=lambda pair: float(pair[1].value.m_as("degC")))[0]
        assert found[0][0] < hottest < found[-1][0]
    assert tables.flame_temperatures(Fuel.PROPYLENE) == ()


def test_oxides_of_refused_metals_melt_above_the_metal() -> None:
    """The oxide must melt below the metal: true for iron, false for chromium and aluminium."""
    melts = {
        row.text("substance"): float(row.quantity("temperature").m_as("degC"))
        for row in tables.table("melting_points").rows
    }
    assert melts["FeO"] < melts["Fe"]
    assert melts["Al2O3"] > melts["Al"]
    assert melts["Cr2O3"] > melts["Fe"]


def test_hose_losses_grow_with_length_and_flow_and_shrink_with_bore() -> None:
    drops = {
        (row.bore.m_as("in"), row.length.m_as("ft"), row.flow.m_as("cfh")): row.drop
        for row in tables.hose_drops()
    }
    for (bore, length, flow), drop in drops.items():
        longer, wider = drops.get((bore, 2 * length, flow)), drops.get((0.375, length, flow))
        if drop is None:
            assert longer is None
            continue
        assert longer is None or longer >= drop
        assert wider is not None
        assert wider <= drop
