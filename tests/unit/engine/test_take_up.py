"""What to take up: every tip tried on every piece, and the choice that leaves the least undone."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.answer import answer
from handsfree.engine.take_up.choice import choose
from handsfree.engine.take_up.trials import Trial
from handsfree.values import (
    About,
    Answer,
    Going,
    Metal,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Surface,
    TakeUp,
    TipBox,
    TipOnHand,
    Wanted,
)
from handsfree.values.units import Quantity, feet, inches

QUARTER = TipOnHand("0", made_for=(inches(0.125), inches(0.25)))
HALF = TipOnHand("1", made_for=(inches(0.25), inches(0.75)))
THICK = TipOnHand("6", made_for=(inches(3), inches(6)))
BOX = TipBox((QUARTER, HALF, THICK))
LIST = (
    Wanted(Piece(thickness=inches(0.5)), 1, feet(6)),
    Wanted(Piece(designation="W12X26"), 2),
    Wanted(Piece(designation="L3X3X1/4"), 4),
)


def ask(wanted: tuple[Wanted, ...] = LIST, box: TipBox = BOX, **more: Any) -> Reply:
    return answer(Request(About.TAKE_UP, wanted=wanted, **more), Rig(), box)


def taken(reply: Reply) -> TakeUp:
    assert isinstance(reply, Answer), reply
    assert reply.take_up is not None
    return reply.take_up


def names(found: TakeUp, choice: int = 0) -> list[str]:
    return [found.tips[tip].name for tip in found.choices[choice].tips]


def test_the_tip_that_cuts_all_of_it_right_is_taken() -> None:
    reply = ask()
    found = taken(reply)
    assert names(found) == ["stamped 1"]
    assert isinstance(reply, Answer)
    assert reply.technique[0] == "Take the tip stamped one."
    assert found.lines == ("1 x 1/2 in plate, 6 ft of cut", "2 x W12X26", "4 x L3X3X1/4")


def test_every_tip_is_tried_on_every_piece() -> None:
    found = taken(ask())
    goings = {tip.name: [tried.going for tried in tip.tried] for tip in found.tips}
    assert goings["stamped 1"] == [Going.RIGHT] * 3
    assert goings["stamped 6"] == [Going.LEANED, Going.REFUSED, Going.REFUSED] or set(
        goings["stamped 6"]
    ) <= {Going.LEANED, Going.REFUSED}
    for tip in found.tips:
        for tried in tip.tried:
            assert (tried.going is Going.REFUSED) == (tried.time is None) == bool(tried.why)


def test_two_tips_are_taken_where_one_leaves_something_uncut() -> None:
    thick = Wanted(Piece(thickness=inches(4)), 1, feet(2))
    reply = ask((*LIST, thick))
    found = taken(reply)
    assert names(found) == ["stamped 1", "stamped 6"]
    assert None not in found.choices[0].cuts_with
    assert isinstance(reply, Answer)
    assert reply.technique[0].startswith("Take two,")


def test_what_no_tip_cuts_is_named_by_its_place_and_why() -> None:
    thick = Wanted(Piece(thickness=inches(4)), 1, feet(2))
    reply = ask((*LIST, thick), TipBox((QUARTER, HALF)))
    assert taken(reply).choices[0].cuts_with[3] is None
    assert isinstance(reply, Answer)
    assert any(line.startswith("Not number four on the list.") for line in reply.technique)


def test_a_lost_tip_changes_the_plan() -> None:
    assert names(taken(ask(box=TipBox((QUARTER, THICK))))) != names(taken(ask()))


def test_what_is_cut_already_is_counted_off() -> None:
    done = (replace(LIST[0], done=1), replace(LIST[1], done=1), LIST[2])
    found = taken(ask(done))
    assert found.lines == ("1 x W12X26", "4 x L3X3X1/4")
    assert middle(found.choices[0].time) < middle(taken(ask()).choices[0].time)
    all_done = tuple(replace(wanted, done=wanted.count) for wanted in LIST)
    reply = ask(all_done)
    assert isinstance(reply, Question) and "is cut" in reply.prompt


def test_the_best_never_leaves_more_uncut_than_the_next() -> None:
    found = taken(ask())
    uncut = [choice.cuts_with.count(None) for choice in found.choices]
    assert uncut == sorted(uncut)


def test_an_empty_box_is_tried_with_the_listed_bores() -> None:
    reply = ask(box=TipBox())
    assert isinstance(reply, Answer)
    assert "drill tip" in reply.technique[0]
    assert any("box is empty" in note for note in reply.notes)


def test_an_empty_list_and_a_piece_without_size_are_asked_for() -> None:
    assert isinstance(ask(()), Question)
    reply = ask((Wanted(Piece(designation="W12")),))
    assert isinstance(reply, Question) and reply.asks_for == "list"


def test_a_piece_that_is_told_when_asked_for_completes_the_list() -> None:
    wanted = (LIST[0], Wanted(Piece(designation="L3X3"), 4), LIST[1])
    assert isinstance(ask(wanted), Question)
    found = taken(ask(wanted, piece=Piece(designation="L3X3X1/4")))
    assert found.lines[1] == "4 x L3X3X1/4"
    pipe = (Wanted(Piece(nominal=Fraction(4))),)
    assert isinstance(ask(pipe), Question)
    told = ask(pipe, piece=Piece(nominal=Fraction(4), schedule="40"))
    assert taken(told).lines == ("1 x 4 in schedule 40 pipe",)


def test_what_stops_a_cut_stops_the_list() -> None:
    assert isinstance(
        ask((Wanted(Piece(thickness=inches(1), metal=Metal.STAINLESS_STEEL)),)), Refusal
    )
    painted = Piece(thickness=inches(1), surface=Surface.LEAD_PAINT)
    assert isinstance(ask((Wanted(painted),)), Question)


def middle(span: tuple[Quantity, Quantity]) -> float:
    return float(sum(end.m_as("s") for end in span)) / 2


GOINGS = st.sampled_from(Going)


@st.composite
def trials(draw: st.DrawFn) -> Trial:
    going = draw(GOINGS)
    if going is Going.REFUSED:
        return Trial(going, why="no")
    time = draw(st.floats(1, 1000))
    return Trial(going, (time, time * 1.5), (time / 60, time / 30), (0.1, 0.2), (20.0, 30.0))


@given(
    st.integers(1, 5).flatmap(
        lambda n: st.lists(st.lists(trials(), min_size=n, max_size=n), min_size=1, max_size=5)
    )
)
@settings(deadline=None)
def test_whatever_is_tried_the_choice_is_sound(tried: list[list[Trial]]) -> None:
    found = choose(tried)
    assert found
    fewest = min(
        sum(
            all(trial_row[line].going is Going.REFUSED for trial_row in (tried[a], tried[b]))
            for line in range(len(tried[0]))
        )
        for a in range(len(tried))
        for b in range(len(tried))
    )
    assert found[0].refused == fewest
    for one in found:
        assert 1 <= len(one.tips) <= 2
        for line, tip in enumerate(one.cuts_with):
            refused = [tried[each][line].going is Going.REFUSED for each in one.tips]
            assert (tip is None) == all(refused)
            assert tip is None or tip in one.tips


def test_a_second_tip_costs_the_time_to_change_it() -> None:
    """Shut down, cool, seat, leak test and light again: minutes, not nothing."""
    cuts = Trial(Going.RIGHT, (60.0, 90.0), (2.0, 3.0), (0.1, 0.2), (20.0, 30.0))
    not_at_all = Trial(Going.REFUSED, why="no")
    both, *_ = choose([[cuts, not_at_all], [not_at_all, cuts]])
    assert both.cuts_with == (0, 1)
    assert both.time[0] - 2 * 60.0 == both.time[1] - 2 * 90.0 >= 180.0
    (alone, *_) = choose([[cuts, cuts]])
    assert alone.time == (120.0, 180.0)


@pytest.mark.parametrize("count", [0, 5000])
def test_counts_that_cannot_be_are_no_list(count: int) -> None:
    assert isinstance(ask((Wanted(Piece(designation="W12X26"), count),)), Question)
