"""A cut plan: a section as it lies, and its cuts in order, each with how, why, time and gas."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from handsfree.values.standing import Fit, Status
from handsfree.values.units import Quantity, degrees

Span: TypeAlias = tuple[Quantity, Quantity]
"""Low and high end of a range."""

Point: TypeAlias = tuple[float, float]
"""A place on the section in inches: x to the right, y upward, as it lies before the cutter."""


class Start(StrEnum):
    """How a cut begins."""

    EDGE = "edge"
    CORNER = "corner"
    KERF = "kerf"
    GOES_ON = "goes on"
    PIERCE = "pierce"


@dataclass(frozen=True, slots=True)
class PlannedCut:
    """One travel of the torch across one face.

    Attributes:
        number: its place in the order, from one.
        part: the face in the trade's words: "left flange", "web", "right half".
        start: how it begins.
        thickness: of the metal there, square through, or along the jet where a mitre tilts it.
        deepest: of the metal along the jet, where the cut crosses a root or a corner; equal to
            `thickness` where there is none.
        length: of travel.
        path: the line of travel on the section, from where it begins to where it ends.
        jet: the direction in which the torch points, of length one; lean not counted.
        lean: of the torch from square, along the travel.
        oxygen_pressure: at the regulator; None where no table and no model reaches.
        travel: speed; None likewise.
        time: preheat and travel; None likewise.
        oxygen: gas used; None likewise, and where no table lists the fuel's share.
        fuel: gas used; likewise.
        fit: how the tip suits this face.
        how: what to do, one short sentence each.
        why: the rules that put it here, one short sentence each.
        watch: what can hurt or go wrong at this cut, one short sentence each.
        bevel: of the torch sideways from square, along a mitre; 0 for none.
    """

    number: int
    part: str
    start: Start
    thickness: Quantity
    deepest: Quantity
    length: Quantity
    path: tuple[Point, ...]
    jet: Point
    lean: Span
    oxygen_pressure: Span | None
    travel: Span | None
    time: Span | None
    oxygen: Span | None
    fuel: Span | None
    fit: Fit
    how: tuple[str, ...]
    why: tuple[str, ...]
    watch: tuple[str, ...]
    bevel: Quantity = degrees(0)


@dataclass(frozen=True, slots=True)
class CutPlan:
    """All cuts that part one piece, in order.

    Attributes:
        name: the section in the trade's spelling: "W12X26", "4 in schedule 40 pipe".
        lies: how it lies while it is cut, one short sentence.
        outline: the section's edges as closed rings, the outer one first, then its holes.
        cuts: in order.
        bore: of the tip that the plan is made for.
        one_setting: one oxygen pressure does for every cut; None where each has its own.
        time: in all; None where a cut has none.
        oxygen: in all; likewise.
        fuel: in all; likewise.
        section_area: of the steel cut through, along the cut.
        kerf: the widest.
        removed: weight of the steel that goes as slag, at the widest kerf.
        weight: of a foot of the piece.
        balance: where a cross-section balances, on the section.
        freed: which cut frees the piece.
        sources: keys of every source used.
        status: the weakest of what went in.
    """

    name: str
    lies: str
    outline: tuple[tuple[Point, ...], ...]
    cuts: tuple[PlannedCut, ...]
    bore: Quantity
    one_setting: Span | None
    time: Span | None
    oxygen: Span | None
    fuel: Span | None
    section_area: Quantity
    kerf: Quantity
    removed: Quantity
    weight: Quantity
    balance: Point
    freed: str
    sources: tuple[str, ...]
    status: Status


@dataclass(frozen=True, slots=True)
class Ordinate:
    """One line along a round piece on which the developed cut is marked.

    Attributes:
        clock: its place as hours on a clock face that looks along the piece, 12 at the top.
        along: its distance round from twelve o'clock, clockwise.
        height: how far the cut lies from the square line through its nearest point.
        metal: along a jet held upright over that place, leaned as the mitre is; None from three to
            nine o'clock, where such a jet only grazes or never comes.
    """

    clock: float
    along: Quantity
    height: Quantity
    metal: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Development:
    """The line of a cut on a round piece, unrolled to be marked or printed at full size.

    Attributes:
        name: of the piece and the cut: "4 in schedule 40 pipe, mitre 45 deg".
        outside: diameter.
        wrap: length round the outside.
        ordinates: evenly round, from twelve o'clock clockwise.
    """

    name: str
    outside: Quantity
    wrap: Quantity
    ordinates: tuple[Ordinate, ...]
