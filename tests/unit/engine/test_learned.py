"""What the user's own cuts do to the advice: the stated rule, its bounds, and back again."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.answer import answer
from handsfree.engine.learned import (
    BEHIND,
    against,
    learned,
    move_of,
    reading,
)
from handsfree.engine.limits import gate
from handsfree.values import (
    About,
    Answer,
    Piece,
    Request,
    Rig,
    Shape,
    TipBox,
    TipOnHand,
)
from handsfree.values.timing import CutLesson, CutResult
from handsfree.values.units import inches

BOX = TipBox((TipOnHand("1", bore=inches(0.0465)), TipOnHand("9", bore=inches(0.067))), "1")


def request(thickness: float, stamp: str = "1", about: About = About.TRAVEL_SPEED) -> Request:
    piece = Piece(shape=Shape.PLATE, thickness=inches(thickness))
    return Request(about, piece=piece, tip=TipOnHand(stamp=stamp))


def answered(wanted: Request, cuts: tuple[CutLesson, ...] = ()) -> Answer:
    found = answer(wanted, Rig(), BOX)
    assert isinstance(found, Answer)
    return learned(found, cuts, Rig(), BOX)


def speeds(reply: Answer) -> tuple[float, float]:
    figure = next(each for each in reply.figures if each.name == "travel_speed")
    return float(figure.low.m_as("in/min")), float(figure.high.m_as("in/min"))


def lessons(
    wanted: Request, share: float, count: int, result: CutResult = CutResult.GOOD
) -> tuple[CutLesson, ...]:
    """Cuts of what was asked, run at a share of the table's own middle."""
    reply = answered(wanted)
    found = against(reply, reply, Rig(), BOX)
    assert found is not None
    table = (found.table_low + found.table_high) / 2
    cut = CutLesson("", found.tip, found.thickness, table * share, table, result, True)
    return (cut,) * count


def test_five_good_cuts_faster_than_the_table_move_the_travel_and_say_by_how_much() -> None:
    wanted = request(0.5)
    was, now = speeds(answered(wanted)), speeds(answered(wanted, lessons(wanted, 1.3, 5)))
    move = 1.3 ** (5 / (5 + BEHIND))
    assert now == pytest.approx([end * move for end in was], abs=0.26)
    figure = next(
        each
        for each in answered(wanted, lessons(wanted, 1.3, 5)).figures
        if each.name == "travel_speed"
    )
    assert figure.note.startswith("moved from ")
    assert "by five of your cuts" in figure.note
    assert figure.source == "this_project"


def test_fewer_cuts_than_the_least_move_nothing() -> None:
    wanted = request(0.5)
    for count in range(3):
        assert answered(wanted, lessons(wanted, 1.3, count)) == answered(wanted)
    assert answered(wanted, lessons(wanted, 1.3, 3)) != answered(wanted)


def test_without_the_cuts_the_advice_is_the_tables_again() -> None:
    wanted = request(0.5)
    assert answered(wanted, lessons(wanted, 1.3, 9)) != answered(wanted)
    assert answered(wanted, ()) == answered(wanted)


def test_cuts_of_another_tip_or_another_plate_say_nothing() -> None:
    wanted = request(0.5)
    for other in (request(0.5, "9"), request(0.75)):
        assert answered(wanted, lessons(other, 1.3, 9)) == answered(wanted)


def test_nothing_but_travel_and_its_time_is_moved() -> None:
    wanted = request(0.5, about=About.SETTING)
    cuts = lessons(wanted, 1.3, 5)
    was, now = answered(wanted), answered(wanted, cuts)
    for before, after in zip(was.figures, now.figures, strict=True):
        assert (before == after) == (before.name != "travel_speed")
    gas = request(0.5, about=About.GAS)
    before, after = (
        next(figure for figure in answered(gas, each).figures if figure.name == "time")
        for each in ((), cuts)
    )
    assert after.low < before.low


BOUND = (  # bore, plate and share: where the table's own pace lies within reach of a move
    (0.0595, 2.0, 2.0),
    (0.076, 4.0, 2.0),
    (0.052, 0.1875, 0.4),
    (0.067, 0.75, 0.4),
)


@pytest.mark.parametrize(("bore", "thickness", "share"), BOUND)
def test_a_small_tip_is_never_moved_past_the_right_one_nor_a_leaned_one_below_it(
    bore: float, thickness: float, share: float
) -> None:
    odd = replace(request(thickness), tip=TipOnHand(bore=inches(bore)))
    right = answer(replace(odd, tip=None), Rig(), TipBox())
    assert isinstance(right, Answer)
    low, high = speeds(right)
    was, moved = speeds(answered(odd)), speeds(answered(odd, lessons(odd, share, 20)))
    rounding = 0.26
    if share > 1:
        assert was[1] * 1.2 > high  # it would have gone past it
        assert moved[1] <= high + rounding
    else:
        assert was[0] / 1.2 < low
        assert moved[0] >= low - rounding


RESULTS = st.sampled_from(list(CutResult))
CUTS = st.lists(
    st.builds(
        CutLesson,
        at=st.just(""),
        tip=st.just("t"),
        thickness=st.just(0.5),
        speed=st.floats(0.1, 200),
        table=st.floats(2, 30),
        result=RESULTS,
        measured=st.booleans(),
    ),
    max_size=40,
)


@given(CUTS)
def test_the_move_is_bounded_and_lies_between_nothing_and_what_the_cuts_say(
    cuts: list[CutLesson],
) -> None:
    move = move_of(cuts)
    if move is None:
        return
    assert 3 <= move.cuts <= 20
    assert 0.8 - 1e-9 <= move.factor <= 1.25 + 1e-9
    said = [math.log(cut.speed * reading(cut.result).step / cut.table) for cut in cuts[-20:]]
    assert min(0.0, *said) - 1e-9 <= math.log(move.factor) <= max(0.0, *said) + 1e-9


@given(CUTS, st.randoms())
def test_the_order_of_the_counted_cuts_does_not_matter(
    cuts: list[CutLesson], chance: random.Random
) -> None:
    counted = cuts[-20:]
    mixed = chance.sample(counted, len(counted))
    first, second = move_of(counted), move_of(mixed)
    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert first.factor == pytest.approx(second.factor)


@given(CUTS, st.sampled_from([0.25, 0.5, 0.75, 1.5]), st.sampled_from(["1", "9"]))
def test_what_was_learned_still_passes_the_last_gate(
    cuts: list[CutLesson], thickness: float, stamp: str
) -> None:
    wanted = request(thickness, stamp, About.SETTING)
    reply = answer(wanted, Rig(), BOX)
    if not isinstance(reply, Answer):
        return
    found = against(reply, reply, Rig(), BOX)
    assert found is not None
    own = tuple(
        CutLesson("", found.tip, found.thickness, cut.speed, cut.table, cut.result) for cut in cuts
    )
    moved = learned(reply, own, Rig(), BOX)
    assert gate(moved, Rig()) == moved


def test_a_hand_that_is_right_at_another_pace_draws_the_advice_there() -> None:
    """A tip whose true pace lies an eighth above the table's, judged by what its cuts look like."""
    chance, true, table = random.Random(3), 13.5, 12.0
    cuts: list[CutLesson] = []
    for _ in range(20):
        speed = table * chance.uniform(0.9, 1.25)
        off = speed / true
        result = (
            CutResult.NOT_THROUGH
            if off > 1.08
            else CutResult.MELTED_EDGE
            if off < 0.92
            else CutResult.GOOD
        )
        cuts.append(CutLesson("", "t", 0.5, speed, table, result, True))
    move = move_of(cuts)
    assert move is not None
    assert table * move.factor == pytest.approx(true, rel=0.05)
