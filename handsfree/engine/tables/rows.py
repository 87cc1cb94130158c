"""The frozen rows that the tables give out: every figure with its unit, source and status."""

from dataclasses import dataclass
from fractions import Fraction

from handsfree.values import Fuel, Status
from handsfree.values.units import Quantity


@dataclass(frozen=True, slots=True)
class Range:
    """Two ends of a published range; a single published value has both ends equal."""

    low: Quantity
    high: Quantity

    def __contains__(self, value: Quantity) -> bool:
        """Whether a value lies in the range, its ends counted in."""
        return bool(self.low <= value <= self.high)

    @property
    def middle(self) -> Quantity:
        """Half way between the ends."""
        half: Quantity = (self.low + self.high) / 2
        return half


@dataclass(frozen=True, slots=True)
class Listed:
    """One listed figure with where it is from.

    Attributes:
        value: the figure.
        source: key into `sources.yaml`.
        status: how far it can be trusted.
        note: what the source adds, empty when nothing.
    """

    value: Quantity
    source: str
    status: Status
    note: str = ""


@dataclass(frozen=True, slots=True)
class CuttingRow:
    """One plate thickness of a cutting table.

    Attributes:
        thickness: of the plate.
        bore: of the cutting-oxygen orifice.
        oxygen_pressure: gauge, at the tip's inlet; None where the table gives none.
        speed: of travel.
        oxygen_flow: cutting oxygen, with the preheat oxygen when `flow_is_total`.
        fuel_flows: flow for each fuel that the table knows.
        flow_is_total: whether `oxygen_flow` counts the preheat oxygen too.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    thickness: Quantity
    bore: Range
    oxygen_pressure: Range | None
    speed: Range
    oxygen_flow: Range
    fuel_flows: tuple[tuple[Fuel, Range], ...]
    flow_is_total: bool
    source: str
    status: Status

    def fuel_flow(self, fuel: Fuel) -> Range | None:
        """Flow of a fuel, None when the table does not list it."""
        return dict(self.fuel_flows).get(fuel)


@dataclass(frozen=True, slots=True)
class MetricCuttingRow:
    """One nozzle of the metric table: the band of plate that it cuts, and its pressures (gauge).

    Attributes:
        bore: of the cutting-oxygen orifice.
        thickness: of the plates that this nozzle cuts.
        oxygen_pressure: its ends belong to the ends of `thickness`; the source interpolates.
        acetylene_pressure: the same throughout the table.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    bore: Quantity
    thickness: Range
    oxygen_pressure: Range
    acetylene_pressure: Quantity
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class SpeedAnchor:
    """A single published travel speed, to check tables and model against."""

    thickness: Quantity
    speed: Quantity
    how: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class TradeCheck:
    """What a cutter gets from a tip on a plate that it is or is not made for.

    Attributes:
        made_for: plate thickness that the tip is made for.
        thickness: of the plate that is cut.
        lean: of the torch from upright, in the plane of travel.
        speed: that is reached.
        oxygen_pressure: cutting oxygen, gauge.
        says: what else is said of it.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    made_for: Quantity
    thickness: Quantity
    lean: Range
    speed: Range
    oxygen_pressure: Quantity
    says: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class LabRun:
    """One machine cut of the university study, with methane as fuel.

    Attributes:
        run: its time stamp.
        thickness: of the plate.
        speed: of the machine.
        oxygen_pressure: cutting oxygen, gauge.
        standoff: tip to plate at the start.
        methane_flow: preheat fuel.
        preheat_oxygen_flow: preheat oxygen.
        preheat_start: when the preheat flame was on.
        steady: stretch of the record in which the cut was steady; it says nothing of its quality.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    run: str
    thickness: Quantity
    speed: Quantity
    oxygen_pressure: Quantity
    standoff: Quantity
    methane_flow: Quantity
    preheat_oxygen_flow: Quantity
    preheat_start: Quantity
    steady: Range
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class PipeRow:
    """One nominal size and schedule of pipe.

    Attributes:
        nominal: nominal pipe size in inches.
        schedule: as listed: "40", "STD", "10S".
        outside: outside diameter.
        wall: wall thickness.
        weight: a length's weight, computed from the dimensions.
        source: key into `sources.yaml`.
        status: of the dimensions; the weight is computed from them.
        second_copy: whether a second copy of the standard's table was found to agree.
    """

    nominal: Fraction
    schedule: str
    outside: Quantity
    wall: Quantity
    weight: Quantity
    source: str
    status: Status
    second_copy: bool


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One rolled or hollow section.

    Attributes:
        designation: the trade's spelling: "W10X33", "L4X4X3/8", "HSS6X6X3/8", "IPE200".
        family: "W", "S", "M", "HP", "C", "MC", "WT", "MT", "ST", "L", "HSS", and the metric "IPE",
            "HEA", "HEB", "HEM", "UB", "UC", "UBP", "UPN", "UPE", "SHS", "RHS", "CHS".
        depth: outside depth, longer leg or outside diameter.
        width: flange width, shorter leg or other side; None for a round tube.
        flange: flange thickness, the mean one where `tapered`; None without flanges.
        web: web thickness; None without a web.
        wall: thickness of an angle's legs or of a tube's (nominal) wall.
        weight: weight (inch sections) or mass (metric ones) of a length.
        area: of the cross-section.
        tapered: whether the flanges are thicker at the web than at their tips.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
        root: from the outer face of a flange or leg to the toe of the fillet; None where the list
            has none.
    """

    designation: str
    family: str
    depth: Quantity
    width: Quantity | None
    flange: Quantity | None
    web: Quantity | None
    wall: Quantity | None
    weight: Quantity
    area: Quantity
    tapered: bool
    source: str
    status: Status
    root: Quantity | None = None

    @property
    def parts(self) -> tuple[tuple[str, Quantity], ...]:
        """What there is to cut: name and thickness of each part, the thickest first."""
        found = [
            (name, thickness)
            for name, thickness in (("flange", self.flange), ("web", self.web), ("wall", self.wall))
            if thickness is not None
        ]
        return tuple(sorted(found, key=lambda part: -float(part[1].m_as("mm"))))
