"""Spans of a plan, added up over its cuts; a part that is not known leaves the sum unknown."""

from collections.abc import Sequence

from handsfree.values import Span
from handsfree.values.units import registry

Ends = tuple[float, float]


def summed(spans: Sequence[Ends | None]) -> Ends | None:
    """Least and most of all parts together; None where one is not known."""
    known = [span for span in spans if span is not None]
    if len(known) < len(spans):
        return None
    return sum(low for low, _ in known), sum(high for _, high in known)


def cubic_feet(span: Ends | None) -> Span | None:
    """Ends in cubic feet as quantities."""
    if span is None:
        return None
    return registry.Quantity(span[0], "foot**3"), registry.Quantity(span[1], "foot**3")


def in_all(spans: list[Span | None], unit: str) -> Span | None:
    """Quantities added up in a unit; None where one is not known."""
    if any(span is None for span in spans):
        return None
    low = sum(float(span[0].m_as(unit)) for span in spans if span is not None)
    high = sum(float(span[1].m_as(unit)) for span in spans if span is not None)
    return registry.Quantity(low, unit), registry.Quantity(high, unit)
