"""A section as it lies becomes its strokes: every travel of the torch, with what is said of it.

Flat faces in the order that the rules give, a pipe from the bottom up in two halves, a solid round
straight across. Inches.
"""

import functools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from handsfree.engine.advice import sentences
from handsfree.engine.plan import round_wall
from handsfree.engine.plan.lies import Lie
from handsfree.engine.plan.order import Ordered, order, reason
from handsfree.engine.plan.shapes import Section
from handsfree.engine.saying import whole
from handsfree.values import Access, Point, Start

SLANTED = 1.001  # times longer, from which a line is said to be slanted
HALF_POINTS = 13  # places along half a round that its path is told by


@dataclass(frozen=True, slots=True)
class Stroke:
    """One travel before its figures: where, through what, and what is said of it."""

    part: str
    start: Start
    path: tuple[Point, ...]
    jet: Point
    length: float
    thickness: float
    deepest: float
    deep_length: float
    how: tuple[str, ...]
    why: tuple[str, ...]
    watch: tuple[str, ...]
    slices: tuple[tuple[float, float], ...] = ()
    closed_behind: bool = False
    bevel: float = 0.0


@functools.lru_cache(maxsize=512)
def strokes_of(lie: Lie, access: Access, stretch: float, pierced: bool) -> tuple[Stroke, ...]:
    """Every travel in order."""
    return tuple(_travels(lie, access, stretch, pierced))


def _travels(lie: Lie, access: Access, stretch: float, pierced: bool) -> Iterator[Stroke]:
    section = lie.section
    if section.radius and section.bore:
        yield from _halves(lie, access, stretch)
    elif section.radius:
        yield _across(section)
    else:
        found = order(lie, access)
        for place, one in enumerate(found):
            last = place == len(found) - 1
            stroke = _face(section, one, lie, last=last, stretch=stretch)
            yield replace(stroke, start=Start.PIERCE) if pierced and not place else stroke


def _face(section: Section, one: Ordered, lie: Lie, *, last: bool, stretch: float) -> Stroke:
    face = one.face
    goes_on = one.start is Start.GOES_ON
    deepest, deep_length = face.root, face.root_length
    if goes_on and section.corner > face.thickness:
        deepest, deep_length = section.corner, face.thickness
    how = [_from_where(one, lie)]
    if face.slant > SLANTED:
        how += sentences("plan_mitre_slant")
    if face.bevel:
        tilt = f"{whole(round(face.bevel))} degrees sideways"
        how.append(sentences("plan_mitre_bevel")[0].replace("so far sideways", tilt))
    watch: list[str] = []
    if face.root > face.thickness * 1.05:
        how += sentences("plan_slow_at_root")
    if goes_on:
        how += sentences("plan_turn_at_corner")
    if one.turned:
        watch += sentences("plan_turn_over")
    elif not lie.upright and one.jet[1] > 0.5:
        watch += sentences("plan_from_below")
    if one.through:
        key = "plan_window" if face.closed_behind else "plan_two_halves"
        watch += sentences(key)
    if not last and "slag_thrown" not in one.reasons and one.start is not Start.GOES_ON:
        watch += sentences("plan_knock_slag_off")
    return Stroke(
        part=face.name,
        start=one.start,
        path=one.path,
        jet=one.jet,
        length=face.length * face.slant * stretch,
        thickness=face.thickness,
        deepest=deepest,
        deep_length=deep_length,
        how=tuple(how),
        why=tuple(map(reason, one.reasons)),
        watch=tuple(watch),
        closed_behind=face.closed_behind,
        bevel=face.bevel,
    )


def _from_where(one: Ordered, lie: Lie) -> str:
    """From which side and in which direction, as one short sentence."""
    begins, ends = one.path
    across, up = ends[0] - begins[0], ends[1] - begins[1]
    if one.turned:
        side = "From on top, once it is turned over"
    elif one.through:
        side = "From the inside"
    elif lie.upright:
        side = "From the outside" if not one.inside else "From the inside"
    elif one.jet[1] < -0.5:
        side = "From above"
    elif one.jet[1] > 0.5:
        side = "From below"
    else:
        side = "From the left" if one.jet[0] > 0 else "From the right"
    if lie.upright:
        return f"{side}, from one edge to the other."
    if abs(up) > abs(across) * 0.5:
        return f"{side}, {'bottom to top' if up > 0 else 'top to bottom'}."
    return f"{side}, {'left to right' if across > 0 else 'right to left'}."


def _halves(lie: Lie, access: Access, stretch: float) -> Iterator[Stroke]:
    """A pipe from the bottom up in two halves, left and right."""
    section = lie.section
    middle = (section.radius + section.bore) / 2
    length = math.pi * section.radius * stretch
    for place, (part, turn) in enumerate((("left half", -1), ("right half", 1))):
        path = tuple(
            (
                turn * middle * math.sin(math.pi * step / (HALF_POINTS - 1)),
                -middle * math.cos(math.pi * step / (HALF_POINTS - 1)),
            )
            for step in range(HALF_POINTS)
        )
        watch: tuple[str, ...] = ()
        far = place == 1 and access is Access.ONE_SIDE
        if far:
            watch = sentences("plan_window")
        elif not lie.upright:
            watch = sentences("plan_from_below_begins") if place == 0 else ()
        key = ("plan_round_level" if lie.upright else "plan_round_up", "plan_round_meet")[place]
        why = ("plan_round_why", "plan_round_last")[place]
        yield Stroke(
            part=part,
            start=Start.PIERCE if place == 0 else Start.KERF,
            path=path,
            jet=(float(-turn), 0.0),
            length=length,
            thickness=section.wall,
            deepest=section.wall,
            deep_length=0.0,
            how=sentences(key),
            why=sentences(why),
            watch=watch,
        )


def _across(section: Section) -> Stroke:
    """A solid round, straight across from the side."""
    radius = section.radius
    return Stroke(
        part="shaft",
        start=Start.EDGE,
        path=((radius, 0.0), (-radius, 0.0)),
        jet=(0.0, -1.0),
        length=2 * radius * section.slope,
        thickness=2 * radius,
        deepest=2 * radius,
        deep_length=0.0,
        how=sentences("plan_shaft_start", "plan_shaft_follow"),
        why=sentences("plan_shaft_why"),
        watch=(),
        slices=tuple(
            (step * section.slope, metal) for step, metal in round_wall.slices(2 * radius)
        ),
    )
