"""Travel speed from bore, pressure, thickness and lean: the model that carries the table further.

    speed = used share of the jet's oxygen * flow / (oxygen burned per metal removed * kerf * plate)

It answers only for tips that the published table does not list for a plate; there the table itself
answers. What is fitted, on what, and what is assumed stands in data/speed_model.yaml; the residuals
are printed by tests/bench/speed_model.py. Floats: inches, psi gauge, inches a minute, degrees.
"""

import functools
import math
from dataclasses import dataclass

from handsfree.engine import published
from handsfree.engine.flow import CUBIC_FEET_AN_HOUR, METRES, mass_flow
from handsfree.engine.tables import table

STEEL = 7850.0  # kg/m3


@dataclass(frozen=True, slots=True)
class Constants:
    """The constants of the model, one field each; meanings stand in data/speed_model.yaml."""

    discharge: float
    passage_loss: float
    oxygen_per_metal: float
    kerf_per_bore: float
    kerf_per_path: float
    most_used: float
    half_used_at: float
    trade_pace: float
    weave_cost: float
    spread: float
    small_limit: float
    reach_limit: float
    large_limit: float
    lean_limit: float
    shortest_path: float


@functools.cache
def constants() -> Constants:
    """The constants as committed."""
    found = {row.text("name"): row.number("value") for row in table("speed_model").rows}
    return Constants(**found)


@dataclass(frozen=True, slots=True)
class Pace:
    """A travel speed as the two paces on which sources differ, in inches a minute.

    Attributes:
        handbook: the pace at which the hand table was fitted.
        trade: the pace that practised hands and the later handbook run at.
    """

    handbook: float
    trade: float

    @property
    def low(self) -> float:
        """The slow end, with the model's own spread."""
        return self.handbook * (1 - constants().spread)

    @property
    def high(self) -> float:
        """The fast end, with the model's own spread."""
        return self.trade * (1 + constants().spread)


def path(thickness: float, lean: float) -> float:
    """Length of metal along a jet leaned by `lean` degrees from square.

    >>> round(path(0.25, 60), 3)
    0.5
    """
    return thickness / math.cos(math.radians(lean))


def straight_kerf(bore: float, length: float) -> float:
    """Width of the cut in inches, from bore and the jet's path through the metal.

    Assumed law through handbook anchors (memory): 0.06 in at 1/4, 0.08 at 1, 0.11 at 2, 0.15 at 6.
    """
    law = constants()
    return law.kerf_per_bore * bore + law.kerf_per_path * length


def tip_flow(bore: float, pressure: float) -> float:
    """Cutting oxygen in kg/s from the regulator's gauge, losses in torch and short hose counted.

    The loss grows with the flow's square, so with the fourth power of the bore; both constants come
    from the hand table's oxygen column, not from its speeds.
    """
    law = constants()
    at = 1 / math.sqrt(1 + law.passage_loss * (bore / 0.1) ** 4)
    return mass_flow(bore, pressure, law.discharge, at)


def used_share(length: float, bore: float) -> float:
    """Share of the jet's oxygen that burns iron: it rises with the path counted in bores."""
    law = constants()
    bores = length / bore
    return law.most_used * bores / (bores + law.half_used_at)


def weave_factor(thickness: float, bore: float) -> float:
    """How many times slower a tip too small for the plate goes, 1 for all others.

    The jet is too thin to carry the slag out of a straight kerf, so it must be woven wider. The
    need is measured by the smallest bore that either table lists for that plate.
    """
    bores = published.suiting(thickness)
    if bores is None:
        return 1.0
    return 1 + constants().weave_cost * max(0.0, bores[0] / bore - 1)


def pace(
    thickness: float, bore: float, pressure: float, lean: float = 0.0, purity: float = 1.0
) -> Pace:
    """Travel speed by the model.

    The metal swept in a unit of travel is kerf times plate whatever the lean; what a lean gains is
    the longer path, along which more of the oxygen burns.

    Args:
        thickness: of the plate.
        bore: of the cutting orifice.
        pressure: gauge, hose loss taken off.
        lean: from square, in the plane of travel.
        purity: what the oxygen's purity leaves of the speed.
    """
    return _pace(thickness, bore, tip_flow(bore, pressure) * purity, lean)


def pace_on_flow(thickness: float, bore: float, oxygen: float) -> Pace:
    """Travel speed of an upright tip from its cutting oxygen in cfh, where a table lists that."""
    return _pace(thickness, bore, oxygen / CUBIC_FEET_AN_HOUR, 0.0)


def _pace(thickness: float, bore: float, oxygen: float, lean: float) -> Pace:
    """As `pace`, from the oxygen in kg/s."""
    length = path(thickness, lean)
    burned = used_share(length, bore) * oxygen
    swept = straight_kerf(bore, length) * thickness * METRES**2 * STEEL
    metres_a_second = burned / (constants().oxygen_per_metal * swept)
    inches_a_minute = metres_a_second / METRES * 60 / weave_factor(thickness, bore)
    return Pace(inches_a_minute, inches_a_minute * constants().trade_pace)
