"""The steel: its weight, its kerf, preheat by kind and carbon, and the quality of its cut."""

import functools
from dataclasses import dataclass

from handsfree.engine.tables.loader import table
from handsfree.engine.tables.rows import Listed, Range
from handsfree.values import Status
from handsfree.values.units import Quantity, millimetres, registry


@dataclass(frozen=True, slots=True)
class CutQuality:
    """Limits of one quality range of ISO 9013 at one thickness.

    Attributes:
        number: the range, 1 (best) to 5.
        squareness: perpendicularity or angularity tolerance u.
        roughness: mean height of the profile Rz5; None in range 5, which has none.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    number: int
    squareness: Quantity
    roughness: Quantity | None
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class CarbonEquivalent:
    """A carbon-equivalent formula: the sum of each element in percent over its divisor."""

    name: str
    divisors: tuple[tuple[str, float], ...]
    source: str
    status: Status

    def of(self, percent: dict[str, float]) -> float:
        """The equivalent of a composition in percent by element; absent elements count as none.

        Raises:
            KeyError: an element that no formula knows.
        """
        unknown = set(percent) - set(ELEMENTS)
        if unknown:
            raise KeyError(f"no carbon equivalent counts {', '.join(sorted(unknown))}")
        return sum(percent.get(element, 0.0) / divisor for element, divisor in self.divisors)


@dataclass(frozen=True, slots=True)
class ElementRow:
    """What an alloying element does to flame cutting.

    Attributes:
        element: in words.
        easy_up_to_percent: share that does no harm; None where the source names none.
        limit_percent: share beyond which it goes only with preheat or special technique.
        says: the same in words.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    element: str
    easy_up_to_percent: float | None
    limit_percent: float | None
    says: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class CuttingPreheat:
    """Preheat before flame cutting for a kind of metal and a span of carbon.

    Attributes:
        metal: "steel" or "cast iron".
        carbon_over_percent: carbon above which the row holds; None for any.
        carbon_to_percent: carbon up to which it holds; None when open.
        temperature: None where the metal cuts as it is.
        says: the same in words.
        source: key into `sources.yaml`.
        status: how far the row can be trusted.
    """

    metal: str
    carbon_over_percent: float | None
    carbon_to_percent: float | None
    temperature: Range | None
    says: str
    source: str
    status: Status


ELEMENTS = (
    "carbon",
    "manganese",
    "silicon",
    "chromium",
    "molybdenum",
    "vanadium",
    "nickel",
    "copper",
    "boron",
)
_THINNEST_CUT = millimetres(3)  # scope of ISO 9013 for oxyfuel cuts
_THICKEST_CUT = millimetres(300)


def iso9013(thickness: Quantity, number: int) -> CutQuality | None:
    """Limits of a quality range at a thickness; None outside 3 to 300 mm and ranges 1 to 5.

    >>> quality = iso9013(millimetres(20), 3)
    >>> round(quality.squareness.m_as("mm"), 3), round(quality.roughness.m_as("um"), 1)
    (0.6, 94.0)
    >>> iso9013(millimetres(20), 5).roughness is None
    True
    """
    if not _THINNEST_CUT <= thickness <= _THICKEST_CUT:
        return None
    through = float(thickness.m_as("mm"))
    for row in table("iso9013_quality").rows:
        if row.number("range") == number:
            roughness = None
            if row.has("rz5_constant"):
                roughness = registry.Quantity(
                    row.number("rz5_constant") + row.number("rz5_share") * through, "um"
                )
            return CutQuality(
                number=number,
                squareness=millimetres(row.number("u_constant") + row.number("u_share") * through),
                roughness=roughness,
                source=row.source(),
                status=row.status(),
            )
    return None


def iso9013_deviation(thickness: Quantity, dimension: Quantity) -> Listed | None:
    """Class 1 limit deviation, plus or minus; None where the standard gives none.

    >>> iso9013_deviation(millimetres(12), millimetres(100)).value.m_as("mm")
    0.4
    """
    through, across = float(thickness.m_as("mm")), float(dimension.m_as("mm"))
    for row in table("iso9013_class1").rows:
        if row.number("thickness_over") < through <= row.number("thickness_to") and row.number(
            "dimension_over"
        ) < across <= row.number("dimension_to"):
            return Listed(row.quantity("deviation"), row.source(), row.status())
    return None


@functools.cache
def steel_density() -> Listed:
    """Weight of a volume of carbon steel, in force pounds by the trade's habit."""
    row = table("steel").rows[0]
    return Listed(row.quantity("density"), row.source(), row.status())


@functools.cache
def kerf_anchors() -> tuple[tuple[Quantity, Listed], ...]:
    """Kerf width at a few plate thicknesses, thinnest first; from memory."""
    return tuple(
        (row.quantity("thickness"), Listed(row.quantity("kerf"), row.source(), row.status()))
        for row in table("kerf_anchors").rows
    )


def preheat_floor(category: str, thickness: Quantity) -> Listed | None:
    """Least preheat for welding a steel category ("A", "B", "C"); None outside the table.

    A floor only: the figures are for welding, and flame cutting has no universal table.

    >>> preheat_floor("A", registry.Quantity(1, "in")).value.m_as("degF")
    150.0
    """
    for row in table("preheat_floor").rows:
        to = row.maybe("thickness_to")
        over = row.quantity("thickness_over")
        if (
            row.text("category") == category
            and over < thickness
            and (to is None or thickness <= to)
        ):
            return Listed(row.quantity("temperature"), row.source(), row.status())
    return None


@functools.cache
def carbon_equivalents() -> tuple[CarbonEquivalent, ...]:
    """The formulas of the carbon equivalent, from memory.

    >>> round(carbon_equivalents()[0].of({"carbon": 0.2, "manganese": 1.2}), 3)
    0.4
    """
    return tuple(
        CarbonEquivalent(
            name=row.text("name"),
            divisors=tuple((name, row.number(name)) for name in ELEMENTS if row.has(name)),
            source=row.source(),
            status=row.status(),
        )
        for row in table("carbon_equivalents").rows
    )


@functools.cache
def cutting_elements() -> tuple[ElementRow, ...]:
    """What alloying elements do to flame cutting, from memory."""
    return tuple(
        ElementRow(
            element=row.text("element"),
            easy_up_to_percent=row.maybe_number("easy_up_to"),
            limit_percent=row.maybe_number("limit"),
            says=row.text("says"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("cutting_elements").rows
    )


@functools.cache
def cutting_preheats() -> tuple[CuttingPreheat, ...]:
    """Preheat before flame cutting; between its carbon spans nothing is published."""
    return tuple(
        CuttingPreheat(
            metal=row.text("metal"),
            carbon_over_percent=row.maybe_number("carbon_over"),
            carbon_to_percent=row.maybe_number("carbon_to"),
            temperature=Range(row.quantity("temperature_low"), row.quantity("temperature_high"))
            if row.has("temperature_low")
            else None,
            says=row.text("says"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("preheat_for_cutting").rows
    )
