"""What the cut will look like: quality ranges of ISO 9013 in words, or separation only."""

import functools

from handsfree.engine import tables
from handsfree.engine.saying import tenths_of_a_millimetre
from handsfree.values import Fit
from handsfree.values.units import Quantity, millimetres

RIGHT_RANGE = 3  # what a steady hand can reach with the right tip: common practice
LARGE_RANGE = 4  # leaned, with a rounded top edge: common practice
SOURCE = "iso_9013"


def cut_face(fit: Fit, thickness: Quantity) -> tuple[str, ...]:
    """What may be hoped for of the face, as one sentence; none outside the standard's plates.

    >>> cut_face(Fit.RIGHT, millimetres(20))
    ('Quality range three in a steady hand, square within six tenths of a millimetre.',)

    Args:
        fit: how the tip suits the plate.
        thickness: of the plate.
    """
    return _cut_face(fit, float(thickness.m_as("mm")))


@functools.lru_cache(maxsize=256)
def _cut_face(fit: Fit, thickness: float) -> tuple[str, ...]:
    if fit is Fit.TOO_SMALL:
        return ("Separation only. No quality range holds for the face.",)
    number = LARGE_RANGE if fit is Fit.TOO_LARGE else RIGHT_RANGE
    found = tables.iso9013(millimetres(thickness), number)
    if found is None:
        return ()
    square = tenths_of_a_millimetre(float(found.squareness.m_as("mm")))
    opening = (
        "Quality range four at best"
        if fit is Fit.TOO_LARGE
        else "Quality range three in a steady hand"
    )
    return (f"{opening}, square within {square}.",)
