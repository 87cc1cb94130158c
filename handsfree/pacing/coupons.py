"""What a practice is made of: the coupon for a case and a tip, and its sentences in order."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from handsfree.engine.answer import answer
from handsfree.engine.learned import learned
from handsfree.engine.saying import whole
from handsfree.engine.tables import table
from handsfree.spoken_numbers import length_words, range_words
from handsfree.store.settings import Kept
from handsfree.values import (
    About,
    Answer,
    Figure,
    Fit,
    Piece,
    Position,
    Question,
    Refusal,
    Reply,
    Request,
    Shape,
    TipOnHand,
)
from handsfree.values.reply import Asks
from handsfree.values.timing import Coupon, CutLesson, CutResult, PracticeCase
from handsfree.values.units import inches

# Plates that lie about, those that are tried first first.
PLATES: Final[tuple[float, ...]] = (
    0.375,
    0.5,
    0.25,
    0.75,
    1.0,
    0.1875,
    1.25,
    1.5,
    2.0,
    2.5,
    3.0,
    0.125,
)
RUN: Final = 6.0  # inches between the lines
_PIECES: Final = {
    PracticeCase.PIPE: Piece(shape=Shape.PIPE, nominal=Fraction(4), schedule="40"),
    PracticeCase.ANGLE: Piece(shape=Shape.ANGLE, designation="L3X3X1/4"),
    PracticeCase.SQUARE_TUBE: Piece(shape=Shape.SQUARE_TUBE, designation="HSS4X4X1/4"),
}
_SAID: Final = {
    PracticeCase.PIPE: "four inch schedule forty pipe",
    PracticeCase.ANGLE: "three inch angle, a quarter thick",
    PracticeCase.SQUARE_TUBE: "four inch square tube, a quarter thick",
}
_POSITIONS: Final = {
    PracticeCase.VERTICAL: Position.VERTICAL,
    PracticeCase.HORIZONTAL: Position.HORIZONTAL,
    PracticeCase.OVERHEAD: Position.OVERHEAD,
}
_FITS: Final = {
    PracticeCase.SMALL_TIP: (Fit.TOO_SMALL,),
    PracticeCase.LARGE_TIP: (Fit.TOO_LARGE,),
    **dict.fromkeys(_POSITIONS, (Fit.RIGHT,)),
}
_SHAPES_TAKE: Final = tuple(Fit)
FIRST: Final = "On the ground, with the permit and the fire watch of any cut. Say ready at each."
SHOULD_FIT: Final = "No usual plate makes that case with your tip. Which plate do you have?"


@dataclass(frozen=True, slots=True)
class Prepared:
    """A practice ready to be led.

    Attributes:
        request: the cut of the coupon, as the engine answered it.
        reply: that answer, its travel moved by what the tip has taught.
        listed: that answer before it was moved.
        steps: the sentences in order; the last one asks for the marks.
        low: slow end of the travel, in inches a minute.
        high: fast end.
    """

    request: Request
    reply: Answer
    listed: Answer
    steps: tuple[str, ...]
    low: float
    high: float


def prepare(
    case: PracticeCase, asked: Request, kept: Kept, cuts: Sequence[CutLesson] = ()
) -> Prepared | Question | Refusal:
    """The coupon of a case for the tip that is named or in the torch, worked out.

    Args:
        case: what is practised.
        asked: may name the steel and the tip.
        kept: the user's tips and rig.
        cuts: what the tip has taught; its travel is asked for.
    """
    tip = asked.tip
    if tip is None and kept.box.in_torch is not None:
        tip = TipOnHand(stamp=kept.box.in_torch)
    if tip is None:
        return Question(asked, Asks.TIP, "Which tip is in the torch, or what plate is it made for?")
    wanted = Request(
        About.TECHNIQUE,
        tip=tip,
        fuel=asked.fuel,
        position=_POSITIONS.get(case),
        confirmed=asked.confirmed,
    )
    last: Reply | None = None
    fits = _SHAPES_TAKE if asked.piece is not None else _FITS.get(case, _SHAPES_TAKE)
    for piece in _pieces(case, asked.piece):
        last = answer(replace(wanted, piece=piece), kept.rig, kept.box)
        if isinstance(last, Answer) and last.fit in fits:
            moved = learned(last, cuts, kept.rig, kept.box)
            return _prepared(case, last, moved, piece)
        if isinstance(last, Question):
            break
    if isinstance(last, Question):
        return replace(last, request=replace(asked, tip=tip), again=False)
    if isinstance(last, Refusal) and asked.piece is not None:
        return replace(last, request=asked)
    return Question(asked, Asks.THICKNESS, SHOULD_FIT, again=True)


def _pieces(case: PracticeCase, named: Piece | None) -> tuple[Piece, ...]:
    if named is not None:
        return (named,)
    if case in _PIECES:
        return (_PIECES[case],)
    plates = PLATES
    if case is PracticeCase.SMALL_TIP:
        plates = tuple(sorted(PLATES))  # the thinnest that makes the case
    elif case is PracticeCase.LARGE_TIP:
        plates = tuple(sorted(PLATES, reverse=True))
    found = (Piece(shape=Shape.PLATE, thickness=inches(plate)) for plate in plates)
    return tuple(found)


def _prepared(case: PracticeCase, listed: Answer, reply: Answer, piece: Piece) -> Prepared:
    row = _cases()[case.value]
    figures = {figure.name: figure for figure in reply.figures}
    speed = figures["travel_speed"]
    steps = [FIRST, f"{row[0]} {_coupon_said(case, reply, piece)}"]
    pressures = [
        f"{name}, {range_words(figure.low, figure.high)}"
        for key, name in (("oxygen_pressure", "Oxygen"), ("fuel_pressure", "and fuel"))
        if (figure := figures.get(key)) is not None
    ]
    steps.append(f"{', '.join(pressures)}.")
    if (lean := figures.get("lean")) is not None:
        steps.append(f"Lean the torch {range_words(lean.low, lean.high)} from square.")
    steps.append(row[1])
    steps.append(f"Chalk two lines across the cut, {length_words(inches(RUN))} apart.")
    steps.append(_run_asked(speed))
    low, high = (float(end.m_as("in/min")) for end in (speed.low, speed.high))
    return Prepared(reply.request, reply, listed, tuple(steps), low, high)


def _run_asked(speed: Figure) -> str:
    pace = range_words(speed.low, speed.high)
    return f"Travel, {pace}. Start before the first line, and say mark at each line."


def _coupon_said(case: PracticeCase, reply: Answer, piece: Piece) -> str:
    if case in _SAID and piece == _PIECES[case]:
        return f"It is {_SAID[case]}."
    if reply.thickness is None:
        return ""
    return f"It is {length_words(reply.thickness, before_noun=True)} thick."


@functools.cache
def _cases() -> dict[str, tuple[str, str]]:
    return {
        row.text("key"): (row.text("coupon"), row.text("watch"))
        for row in table("practice_cases").rows
    }


def judged_said(coupon: Coupon, change: str, all_of_case: Sequence[Coupon]) -> tuple[str, ...]:
    """How a coupon was judged, what to change, and how many have passed so far."""
    passed = sum(each.passed for each in all_of_case)
    count = f"{whole(passed)} of {whole(min(len(all_of_case), 999))} passed, {coupon.case.value}."
    if coupon.passed:
        verdict = "Passed, a good cut at the pace that was asked."
        return (verdict, count.capitalize(), "Say mark for the next, or stop the practice.")
    if coupon.result is CutResult.GOOD:
        slow = coupon.speed < coupon.low
        verdict = f"Not passed. The cut is good, the pace was too {'slow' if slow else 'fast'}."
        return (verdict, count.capitalize(), "Say mark for the next, or stop the practice.")
    verdict = f"Not passed. {change}"
    return (verdict, count.capitalize(), "Say mark for the next, or stop the practice.")


def progress_said(who: str, coupons: Sequence[Coupon]) -> tuple[str, ...]:
    """How somebody's practice stands, by case.

    >>> progress_said("cutter one", ())
    ('No coupon of cutter one is kept. Say, practice, and the case.',)
    """
    if not coupons:
        return (f"No coupon of {who} is kept. Say, practice, and the case.",)
    said = []
    for case in dict.fromkeys(coupon.case for coupon in coupons):
        own = [coupon for coupon in coupons if coupon.case is case]
        passed, latest = sum(each.passed for each in own), own[-5:]
        lately = sum(each.passed for each in latest)
        line = f"{case.value}, {whole(min(passed, 999))} of {whole(min(len(own), 999))} passed"
        if len(own) > len(latest):
            line += f", {whole(lately)} of the last five"
        said.append(f"{line}.".capitalize())
    return tuple(said)
