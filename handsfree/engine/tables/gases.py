"""The gases: fuels, oxygen purity, cylinders, hose checks and what burning iron takes."""

import functools
from dataclasses import dataclass

from handsfree.engine.tables.loader import Row, table
from handsfree.engine.tables.rows import Listed, Range
from handsfree.values import Fuel, Status
from handsfree.values.units import Quantity


@dataclass(frozen=True, slots=True)
class FuelRow:
    """One fuel gas. Every figure is from memory unless it carries its own status.

    Attributes:
        name: "acetylene", "propane", "propylene", "natural gas" or "hydrogen".
        formula: of the main gas.
        specific_gravity: against air.
        stoichiometric_oxygen: volumes of oxygen that burn one of fuel.
        neutral_ratio: volumes of oxygen through the torch to one of fuel in a neutral flame, low
            and high.
        flame_temperature: of the neutral flame, as the handbook lists it.
        heat: of a volume, as the handbook lists it.
        primary_heat: what the inner cone gives of it; None where not listed.
        secondary_heat: what the outer flame gives of it; None where not listed.
        flammable_in_air: volume share of fuel, older figures.
        heat_read: of a volume, as a property page gives it.
        heat_computed: of a volume, computed here.
        lower_limit: leanest mixture with air that burns, as the standards list it.
        upper_limit: richest such mixture.
        gas_a_pound: volume of gas from a weight of liquid; None for gases not sold as liquid.
        pressure_limit: gauge pressure never to be exceeded; None where no rule sets one.
        preheat_time_factor: preheat time against acetylene; None where not known.
        note: what else to know, empty when nothing.
        source: key into `sources.yaml`.
        status: of the figures without their own.
    """

    name: str
    formula: str
    specific_gravity: float
    stoichiometric_oxygen: float
    neutral_ratio: tuple[float, float]
    flame_temperature: Quantity
    heat: Quantity
    primary_heat: Quantity | None
    secondary_heat: Quantity | None
    flammable_in_air: Range
    heat_read: Listed
    heat_computed: Listed
    lower_limit: Listed
    upper_limit: Listed
    gas_a_pound: Listed | None
    pressure_limit: Listed | None
    preheat_time_factor: float | None
    note: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class GasRow:
    """Flow properties of a gas near room temperature and one atmosphere.

    Attributes:
        name: "oxygen" or a fuel.
        molar_mass: mass of a mole.
        heat_capacity_ratio: at constant pressure against constant volume.
        viscosity: dynamic.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    name: str
    molar_mass: Quantity
    heat_capacity_ratio: float
    viscosity: Quantity
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class PurityRow:
    """What an oxygen purity does to the cut; factors are None where cutting is lost.

    Attributes:
        purity_percent: by volume.
        speed_factor: travel speed against 99.5 percent.
        consumption_factor: oxygen used against 99.5 percent.
        says: the same in words.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    purity_percent: float
    speed_factor: float | None
    consumption_factor: float | None
    says: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class CylinderRow:
    """A usual cylinder: what it holds and reads when full."""

    gas: str
    content: Quantity
    full_pressure: Quantity
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class CylinderReading:
    """What an oxygen cylinder holds at a gauge reading (70 F, full at 2200 psig).

    Attributes:
        gauge: as read.
        usable_percent: of a full cylinder, down to an empty gauge.
        content: of the 244 cubic foot cylinder.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    gauge: Quantity
    usable_percent: float
    content: Quantity
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class HoseDrop:
    """A calculated pressure loss in an oxygen hose; `drop` is None where the flow cannot pass."""

    bore: Quantity
    length: Quantity
    flow: Quantity
    regulator_pressure: Quantity
    drop: Quantity | None
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class OxideRow:
    """Heat and oxygen of burning a weight or volume of iron to one oxide.

    Attributes:
        oxide: "FeO", "Fe3O4" or "Fe2O3".
        enthalpy: of formation of a mole.
        heat: of a mass of iron.
        oxygen: mass of oxygen to a mass of iron.
        oxygen_a_volume: volume of oxygen (70 F, one atmosphere) to a volume of steel.
        source: key into `sources.yaml`.
        status: of the enthalpy; the rest is computed from it.
    """

    oxide: str
    enthalpy: Quantity
    heat: Quantity
    oxygen: float
    oxygen_a_volume: float
    source: str
    status: Status


def fuel(gas: Fuel) -> FuelRow:
    """The figures of a fuel gas.

    >>> fuel(Fuel.ACETYLENE).pressure_limit.value.m_as("psi")
    15.0
    >>> fuel(Fuel.PROPANE).neutral_ratio
    (3.5, 5.0)
    """
    return _fuels()[gas.value]


def all_fuels() -> tuple[FuelRow, ...]:
    """Every fuel gas that is listed, hydrogen too."""
    return tuple(_fuels().values())


def gas(name: str) -> GasRow:
    """Flow properties of "oxygen" or of a fuel by its name.

    >>> gas("oxygen").heat_capacity_ratio
    1.397

    Raises:
        KeyError: the gas is not listed.
    """
    return _gases()[name]


@functools.cache
def oxygen_purity() -> tuple[PurityRow, ...]:
    """What oxygen purity does, worst first; between and outside the rows nothing is published."""
    return tuple(
        PurityRow(
            purity_percent=row.number("purity"),
            speed_factor=row.maybe_number("speed_factor"),
            consumption_factor=row.maybe_number("consumption_factor"),
            says=row.text("says"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("oxygen_purity").rows
    )


@functools.cache
def cylinders() -> tuple[CylinderRow, ...]:
    """The usual cylinders of acetylene and oxygen."""
    return tuple(
        CylinderRow(
            gas=row.text("gas"),
            content=row.quantity("content"),
            full_pressure=row.quantity("full_pressure"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("cylinders").rows
    )


@functools.cache
def oxygen_cylinder() -> tuple[CylinderReading, ...]:
    """What an oxygen cylinder holds by its gauge, emptiest first."""
    return tuple(
        CylinderReading(
            gauge=row.quantity("gauge"),
            usable_percent=row.number("usable"),
            content=row.quantity("content"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("oxygen_cylinder").rows
    )


@functools.cache
def full_oxygen_gauge() -> tuple[tuple[Quantity, Listed], ...]:
    """What the gauge of a full oxygen cylinder reads by its temperature, coldest first."""
    return _pairs("oxygen_cylinder_temperature", "temperature", "gauge")


@functools.cache
def propane_vapour() -> tuple[tuple[Quantity, Listed], ...]:
    """Vapour pressure in a propane cylinder by its temperature, coldest first."""
    return _pairs("propane_vapour", "temperature", "pressure")


@functools.cache
def flame_temperatures(gas: Fuel) -> tuple[tuple[float, Listed], ...]:
    """Calculated flame temperature by oxygen ratio; empty for propylene, which was not computed."""
    return tuple(
        (row.number("oxygen_ratio"), _listed(row, "temperature"))
        for row in table("flame_temperatures").rows
        if row.text("fuel") == gas.value
    )


@functools.cache
def hose_drops() -> tuple[HoseDrop, ...]:
    """Calculated oxygen hose losses, for checking a formula; not for interpolation."""
    return tuple(
        HoseDrop(
            bore=row.quantity("bore"),
            length=row.quantity("length"),
            flow=row.quantity("flow"),
            regulator_pressure=row.quantity("regulator_pressure"),
            drop=row.maybe("drop"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("hose_drops").rows
    )


@functools.cache
def iron_oxides() -> tuple[OxideRow, ...]:
    """Heat and oxygen of burning iron, by oxide, the least oxygen first."""
    return tuple(
        OxideRow(
            oxide=row.text("oxide"),
            enthalpy=row.quantity("enthalpy"),
            heat=row.quantity("heat"),
            oxygen=row.number("oxygen"),
            oxygen_a_volume=float(row.quantity("oxygen_a_volume").m_as("ft**3/inch**3")),
            source=row.source(),
            status=row.status(),
        )
        for row in table("iron_oxides").rows
    )


@functools.cache
def burning_iron() -> tuple[tuple[str, float, float, str, Status], ...]:
    """Shares of iron burned and unburned: name, low, high, source key and status."""
    return tuple(
        (
            row.text("figure"),
            row.number("low"),
            row.number("high"),
            row.source(),
            row.status(),
        )
        for row in table("burning_iron").rows
    )


@functools.cache
def _fuels() -> dict[str, FuelRow]:
    return {row.text("fuel"): _fuel(row) for row in table("fuels").rows}


def _fuel(row: Row) -> FuelRow:
    return FuelRow(
        name=row.text("fuel"),
        formula=row.text("formula"),
        specific_gravity=row.number("specific_gravity"),
        stoichiometric_oxygen=row.number("stoichiometric_oxygen"),
        neutral_ratio=(row.number("neutral_ratio_low"), row.number("neutral_ratio_high")),
        flame_temperature=row.quantity("flame_temperature"),
        heat=row.quantity("heat"),
        primary_heat=row.maybe("primary_heat"),
        secondary_heat=row.maybe("secondary_heat"),
        flammable_in_air=Range(row.quantity("lower_limit"), row.quantity("upper_limit")),
        heat_read=_listed(row, "heat_read"),
        heat_computed=_listed(row, "heat_computed"),
        lower_limit=_listed(row, "lower_limit_listed"),
        upper_limit=_listed(row, "upper_limit_listed"),
        gas_a_pound=_listed(row, "gas_a_pound") if row.has("gas_a_pound") else None,
        pressure_limit=_listed(row, "pressure_limit") if row.has("pressure_limit") else None,
        preheat_time_factor=row.maybe_number("preheat_time_factor"),
        note=row.text("note"),
        source=row.source(),
        status=row.status(),
    )


@functools.cache
def _gases() -> dict[str, GasRow]:
    return {
        row.text("gas"): GasRow(
            name=row.text("gas"),
            molar_mass=row.quantity("molar_mass"),
            heat_capacity_ratio=row.number("heat_capacity_ratio"),
            viscosity=row.quantity("viscosity"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("gases").rows
    }


def _pairs(name: str, over: str, value: str) -> tuple[tuple[Quantity, Listed], ...]:
    return tuple((row.quantity(over), _listed(row, value)) for row in table(name).rows)


def _listed(row: Row, column: str) -> Listed:
    return Listed(row.quantity(column), row.source(column), row.status(column))
