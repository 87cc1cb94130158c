"""The order of the cuts of a section, found by weighing the trade's rules against each other.

Every order of the faces, each from either side and in either direction, is weighed; the cheapest is
taken. What a breach costs stands in data/cut_rules.yaml. What cannot be otherwise is no cost: a
part that runs into the middle of another is cut after it, from kerf to kerf.
"""

import functools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from handsfree.engine.plan.lies import Lie
from handsfree.engine.plan.shapes import Face
from handsfree.engine.tables import table
from handsfree.values import Access, Point, Start

NEAR = 0.02  # of the section's size, within which two ends are one
LEVEL = 0.5  # a jet that points up or down by more than this share of it is not level
SAMPLES = (0.2, 0.4, 0.6, 0.8)  # places along a face from which the jet is followed
BESIDE = 1.0  # inches beyond the metal, from where level slag drops


@dataclass(frozen=True, slots=True)
class Move:
    """One travel across one face.

    Attributes:
        face: its place in the section.
        outside: the torch is on the outward side.
        forward: from the face's start to its end.
        through: reached only through an opening, or in two halves beside the web.
        turned: the piece is turned over for it.
    """

    face: int
    outside: bool
    forward: bool
    through: bool
    turned: bool


@dataclass(frozen=True, slots=True)
class Ordered:
    """One cut of the order found.

    Attributes:
        face: what is cut.
        path: where the travel begins and ends.
        jet: the direction of the jet, of length one.
        start: how it begins.
        through: as in `Move`.
        turned: as in `Move`.
        inside: the torch is on the inner side.
        reasons: keys of the rules that put it here.
    """

    face: Face
    path: tuple[Point, Point]
    jet: Point
    start: Start
    through: bool
    turned: bool
    inside: bool
    reasons: tuple[str, ...]


@functools.lru_cache(maxsize=256)
def order(lie: Lie, access: Access) -> tuple[Ordered, ...]:
    """The faces of a section in the order in which they are cut, each exactly once."""
    return _Weighing(lie, access).best()


def reason(key: str) -> str:
    """Why a rule puts a cut where it is, one short sentence."""
    return _rules()[key][1]


@functools.cache
def _rules() -> dict[str, tuple[float, str]]:
    return {
        row.text("key"): (row.number("cost"), row.text("reason")) for row in table("cut_rules").rows
    }


def _cost(key: str) -> float:
    return _rules()[key][0]


class _Weighing:
    """The faces of one section, with what each move would cost after any others."""

    def __init__(self, lie: Lie, access: Access) -> None:
        self.faces = lie.section.faces
        self.lie = lie
        self.access = access
        points = [point for ring in lie.section.rings[:1] for point in ring]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        self.size = math.hypot(max(xs) - min(xs), max(ys) - min(ys))
        self.moves = tuple(self._moves())
        self.thrown = {move: self._hits(move) for move in self.moves}
        self.in_trough = {
            move: self._in_trough(move.face, move.outside) and not move.turned
            for move in self.moves
        }

    def best(self) -> tuple[Ordered, ...]:
        """Dynamic programming over the set of faces already cut and the move that came last."""
        full = (1 << len(self.faces)) - 1
        reached: dict[tuple[int, Move | None], tuple[float, tuple[Move, ...]]]
        reached = {(0, None): (0.0, ())}
        for _ in self.faces:
            ahead: dict[tuple[int, Move | None], tuple[float, tuple[Move, ...]]] = {}
            for (done, last), (cost, so_far) in reached.items():
                for move in self.moves:
                    if done >> move.face & 1 or not self._may_come(move, done):
                        continue
                    total = round(cost + self._costs(move, done, last), 6)
                    key = (done | 1 << move.face, move)
                    if key not in ahead or total < ahead[key][0]:
                        ahead[key] = (total, (*so_far, move))
            reached = ahead
        _, found = min(
            (value for (done, _), value in reached.items() if done == full),
            key=lambda value: value[0],
        )
        return tuple(self._told(found))

    def _moves(self) -> Iterator[Move]:
        for place, face in enumerate(self.faces):
            sides = [side for side in (True, False) if self._reached(place, side)]
            through = not sides
            for outside in sides or [False]:
                torch = _torch(face, outside)
                turned = self.lie.turnable and torch[1] < -LEVEL
                for forward in (True, False):
                    yield Move(place, outside, forward, through, turned)

    def _reached(self, place: int, outside: bool) -> bool:
        """Whether a torch can be held there; a trough laid open side down has no room for it."""
        face = self.faces[place]
        if not outside and self.access is Access.BENCH and self._in_trough(place, outside):
            return False
        if not outside and (face.closed_behind or face.root > face.thickness):
            return False  # inside a tube, or with the web in the way
        x, y = _torch(face, outside)
        if self.access is Access.ONE_SIDE:
            return x <= 0.1
        if self.access is Access.BELOW:
            return y <= 0.1
        return True

    def _may_come(self, move: Move, done: int) -> bool:
        """Kerf to kerf comes after the kerfs, and a far wall after the near one that opens it."""
        face = self.faces[move.face]
        opens = move.through and face.closed_behind
        return all(
            done >> place & 1
            for place, other in enumerate(self.faces)
            if other.name in face.runs_into or (opens and _opposite(face, other))
        )

    def _costs(self, move: Move, done: int, last: Move | None) -> float:
        face = self.faces[move.face]
        left = [
            place
            for place in range(len(self.faces))
            if place != move.face and not done >> place & 1
        ]
        thrown, falls = self.thrown[move]
        cost = sum(_cost("slag_thrown") * thrown[place] for place in left)
        cost += sum(_cost("slag_falls") * falls[place] for place in left)
        for place in left:
            if self.faces[place].thickness > face.thickness:
                ratio = self.faces[place].thickness / face.thickness
                cost += _cost("thick_first") * math.log(ratio)
        start = self._start(move, done, last)
        if last is not None:
            apart = math.dist(_path(self.faces[last.face], last)[1], _path(face, move)[0])
            cost += _cost("walk") * apart / self.size
        cost += {
            Start.GOES_ON: 0.0,
            Start.EDGE: _cost("heat_anew"),
            Start.KERF: _cost("heat_anew"),
            Start.CORNER: _cost("heat_anew") + _cost("corner_start"),
            Start.PIERCE: _cost("heat_anew") + _cost("pierce"),
        }[start]
        jet = _jet(face, move.outside)
        if not self.lie.upright:
            begins, ends = _path(face, move)
            if ends[1] < begins[1] - NEAR * self.size:
                cost += _cost("downhill")
            if move.turned:
                cost += _cost("turn_over")
            elif jet[1] > LEVEL:
                cost += _cost("from_below") + (0.0 if left else _cost("frees_from_below"))
        if self.in_trough[move]:
            cost += _cost("in_trough")
        return cost + (_cost("through_opening") if move.through else 0.0)

    def _start(self, move: Move, done: int, last: Move | None) -> Start:
        face = self.faces[move.face]
        begins = _path(face, move)[0]
        if last is not None and last.outside == move.outside and last.turned == move.turned:
            ends = _path(self.faces[last.face], last)[1]
            if self._same(ends, begins):
                return Start.GOES_ON
        meets = [
            place
            for place, other in enumerate(self.faces)
            if place != move.face
            and (self._same(begins, other.start) or self._same(begins, other.end))
        ]
        if any(done >> place & 1 for place in meets) or face.runs_into and self._at_join(begins):
            return Start.KERF
        return Start.CORNER if meets else Start.EDGE

    def _at_join(self, begins: Point) -> bool:
        """Whether a cut begins in the kerf of the face that its own runs into."""
        return any(
            other.root > other.thickness
            and _distance(begins, other.start, other.end) < other.thickness + NEAR * self.size
            for other in self.faces
        )

    def _same(self, one: Point, other: Point) -> bool:
        return math.dist(one, other) < NEAR * self.size

    def _hits(self, move: Move) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """How much of each other face lies in the jet's way, and under where its slag drops."""
        face = self.faces[move.face]
        jet = (0.0, -1.0) if move.turned else _jet(face, move.outside)
        thrown = [0.0] * len(self.faces)
        falls = [0.0] * len(self.faces)
        for share in SAMPLES:
            place = _between(face.start, face.end, share)
            struck, far = self._first(place, jet, move.face)
            if move.turned:
                continue
            if struck is not None:
                thrown[struck] += 1 / len(SAMPLES)
            if not self.lie.upright and abs(jet[1]) < LEVEL:
                reach = min(BESIDE + face.thickness, far / 2)
                beyond = place[0] + reach * jet[0], place[1] + reach * jet[1]
                under, _ = self._first(beyond, (0.0, -1.0), move.face)
                if under is not None:
                    falls[under] += 1 / len(SAMPLES)
        return tuple(thrown), tuple(falls)

    def _in_trough(self, place: int, outside: bool) -> bool:
        """Whether the torch stands between this face and another."""
        face = self.faces[place]
        middle = _between(face.start, face.end, 0.6)
        return self._first(middle, _torch(face, outside), place)[0] is not None

    def _first(self, place: Point, jet: Point, but: int) -> tuple[int | None, float]:
        """The face that a jet meets first, and how far off."""
        nearest, found = math.inf, None
        for index, other in enumerate(self.faces):
            if index == but:
                continue
            far = _meets(place, jet, other.start, other.end)
            if far is not None and far < nearest:
                nearest, found = far, index
        return found, nearest

    def _told(self, moves: tuple[Move, ...]) -> Iterator[Ordered]:
        done, last = 0, None
        for move in moves:
            face = self.faces[move.face]
            yield Ordered(
                face=face,
                path=_path(face, move),
                jet=_jet(face, move.outside),
                start=self._start(move, done, last),
                through=move.through,
                turned=move.turned,
                inside=not move.outside,
                reasons=self._reasons(move, done, last),
            )
            done, last = done | 1 << move.face, move

    def _reasons(self, move: Move, done: int, last: Move | None) -> tuple[str, ...]:
        face = self.faces[move.face]
        left = [
            place
            for place in range(len(self.faces))
            if place != move.face and not done >> place & 1
        ]
        keys = []
        if self._start(move, done, last) is Start.GOES_ON:
            keys.append("heat_anew")
        if any(self.faces[place].thickness < face.thickness * 0.95 for place in left):
            keys.append("thick_first")
        if any(face.name in self.faces[place].runs_into for place in left):
            keys.append("between_kerfs")
        if face.runs_into:
            keys.append("from_kerf_to_kerf" if len(face.runs_into) > 1 else "run_out")
        if move.through:
            keys.append("through_opening")
        thrown, falls = self.thrown[move]
        if left and not any(thrown[place] + falls[place] for place in left):
            keys.append("slag_thrown")
        if not left and len(self.faces) > 1:
            keys.append("hold")
        if len(self.faces) == 1:
            return ()
        return tuple(keys[:2]) or ("least_movement",)


def _torch(face: Face, outside: bool) -> Point:
    """Where the torch is held, from the face."""
    x, y = face.outward
    return (x, y) if outside else (-x, -y)


def _jet(face: Face, outside: bool) -> Point:
    x, y = _torch(face, outside)
    return -x + 0.0, -y + 0.0


def _path(face: Face, move: Move) -> tuple[Point, Point]:
    return (face.start, face.end) if move.forward else (face.end, face.start)


def _opposite(face: Face, other: Face) -> bool:
    return face.outward[0] * other.outward[0] + face.outward[1] * other.outward[1] < -0.9


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _distance(point: Point, start: Point, end: Point) -> float:
    """From a point to a line between two ends."""
    along = end[0] - start[0], end[1] - start[1]
    length = math.hypot(*along)
    share = ((point[0] - start[0]) * along[0] + (point[1] - start[1]) * along[1]) / length**2
    nearest = _between(start, end, min(1.0, max(0.0, share)))
    return math.dist(point, nearest)


def _meets(place: Point, jet: Point, start: Point, end: Point) -> float | None:
    """How far along a jet it meets the line between two ends; None when it does not."""
    along = end[0] - start[0], end[1] - start[1]
    across = jet[0] * along[1] - jet[1] * along[0]
    if abs(across) < 1e-9:
        return None
    apart = start[0] - place[0], start[1] - place[1]
    far = (apart[0] * along[1] - apart[1] * along[0]) / across
    share = (apart[0] * jet[1] - apart[1] * jet[0]) / across
    return far if far > 1e-6 and 0.0 <= share <= 1.0 else None
