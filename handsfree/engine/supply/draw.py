"""How fast acetylene may be drawn from one cylinder, and how many cylinders a flow calls for.

Published rules differ; the smallest of them counts. Floats: cubic feet, cubic feet an hour.
"""

import math
from dataclasses import dataclass

from handsfree.engine import tables
from handsfree.engine.tables import Listed

MOST_CYLINDERS = 12  # on one manifold of a job: more is a bulk supply


@dataclass(frozen=True, slots=True)
class DrawLimit:
    """The smallest of the published rules for one cylinder.

    Attributes:
        flow: in cubic feet an hour.
        rule: which rule it is, in words.
        listed: the rule's row, for source and status.
    """

    flow: float
    rule: str
    listed: Listed


def draw_limit(content: float) -> DrawLimit:
    """The most that may be drawn from an acetylene cylinder of that content.

    >>> round(draw_limit(330).flow, 1), draw_limit(330).rule
    (22.0, 'one fifteenth, continuous')
    >>> round(draw_limit(1000).flow, 1)
    50.0
    """
    found = []
    for name, listed in tables.acetylene_draws():
        value = listed.value
        if value.check("1/[time]"):
            flow = content * float(value.m_as("1/hour"))
        else:
            flow = float(value.m_as("cfh"))
        found.append(DrawLimit(flow, name, listed))
    return min(found, key=lambda limit: limit.flow)


def cylinders_for(flow: float, content: float) -> int:
    """How many acetylene cylinders of that content a flow must be drawn from together.

    >>> cylinders_for(13, 330), cylinders_for(29, 330)
    (1, 2)
    """
    return max(1, math.ceil(flow / draw_limit(content).flow - 1e-9))
