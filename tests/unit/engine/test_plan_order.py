"""The trade's own orders come out of the rules, and every face is cut exactly once."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.plan import order as ordering
from handsfree.engine.plan import shapes
from handsfree.engine.plan.lies import lie
from handsfree.engine.plan.order import Ordered, order
from handsfree.engine.plan.sections import listed_section
from handsfree.values import Access, Position, Start

THICK = st.floats(0.1, 2)
SECTIONS = st.one_of(
    st.builds(shapes.beam, st.floats(4, 40), st.floats(3, 18), THICK, THICK, st.floats(0.1, 4)),
    st.builds(shapes.channel, st.floats(6, 20), st.floats(4.5, 6), THICK, THICK, st.floats(0.1, 3)),
    st.builds(shapes.tee, st.floats(4, 20), st.floats(3, 18), THICK, THICK, st.floats(0.1, 4)),
    st.builds(shapes.angle, st.floats(4, 12), st.floats(3, 4), THICK, st.floats(0.1, 3)),
    st.builds(shapes.tube, st.floats(5, 20), st.floats(5, 20), THICK),
    st.builds(shapes.plate, st.floats(1, 40), THICK),
)


def cuts(designation: str, access: Access, position: Position | None = None) -> tuple[Ordered, ...]:
    section = listed_section(designation)
    assert section is not None
    return order(lie(section, access, position), access)


def names(found: tuple[Ordered, ...]) -> list[str]:
    return [cut.face.name for cut in found]


def test_an_angle_is_cut_as_a_folded_flat_up_one_side_and_down_the_other_in_one_travel() -> None:
    first, second = cuts("L4X4X3/8", Access.BENCH)
    assert first.start is Start.EDGE
    assert second.start is Start.GOES_ON
    assert first.path[1] == second.path[0]
    assert first.path[0][1] < first.path[1][1], "up the first leg"
    assert second.path[0][1] > second.path[1][1], "down the second"


def test_a_beam_on_its_side_has_one_flange_then_the_other_then_the_web_between_the_kerfs() -> None:
    found = cuts("W12X26", Access.BENCH)
    assert names(found) == ["left flange", "right flange", "web"]
    assert not any(cut.inside for cut in found[:2])
    web = found[2]
    assert web.start is Start.KERF
    assert web.jet == (0.0, -1.0), "from above, so that its slag drops clear"
    assert "from_kerf_to_kerf" in web.reasons


def test_a_flange_is_cut_upward_out_of_its_slag() -> None:
    first = cuts("W12X26", Access.BENCH)[0]
    assert first.path[0][1] < first.path[1][1]


def test_a_channel_is_cut_in_one_travel_over_its_web() -> None:
    found = cuts("C8X11.5", Access.BENCH)
    assert names(found) == ["left flange", "web", "right flange"]
    assert [cut.start for cut in found[1:]] == [Start.GOES_ON, Start.GOES_ON]


def test_the_flange_of_a_tee_goes_before_the_stem_that_runs_into_it() -> None:
    for access in Access:
        assert names(cuts("WT6X13", access)) == ["flange", "stem"]


def test_a_tube_is_cut_from_the_outside_its_underside_first_and_its_top_while_open_below() -> None:
    found = cuts("HSS6X6X3/8", Access.BENCH)
    assert not any(cut.inside for cut in found)
    placed = names(found)
    assert placed[0] == "bottom"
    assert placed.index("top") > placed.index("bottom")


def test_from_one_side_the_far_wall_of_a_tube_is_cut_through_the_near_one() -> None:
    found = cuts("HSS6X6X3/8", Access.ONE_SIDE)
    far = next(cut for cut in found if cut.face.name == "right side")
    assert far.through and far.inside
    placed = names(found)
    assert placed.index("left side") < placed.index("right side")


def test_from_one_side_no_torch_is_held_on_the_far_side() -> None:
    for designation in ("W12X26", "C8X11.5", "L4X4X3/8", "HSS6X6X3/8", "WT6X13"):
        for cut in cuts(designation, Access.ONE_SIDE):
            if not cut.through:
                assert cut.jet[0] >= -0.1, f"{designation}: {cut.face.name}"


def test_from_below_no_torch_is_held_above() -> None:
    for designation in ("W12X26", "C8X11.5", "L4X4X3/8", "HSS6X6X3/8", "WT6X13"):
        for cut in cuts(designation, Access.BELOW):
            if not cut.through:
                assert cut.jet[1] >= -0.1, f"{designation}: {cut.face.name}"


def test_of_a_piece_on_end_nothing_counts_as_above_or_below() -> None:
    """A column: slag falls along it, so its flanges go first for their thickness alone."""
    assert names(cuts("W12X26", Access.IN_PLACE, Position.VERTICAL))[2] == "web"


def test_the_last_cut_is_never_made_from_underneath_where_it_can_be_otherwise() -> None:
    for designation in ("W12X26", "C8X11.5", "L4X4X3/8", "HSS6X6X3/8", "WT6X13", "MC12X50"):
        for access in (Access.BENCH, Access.IN_PLACE, Access.ONE_SIDE):
            last = cuts(designation, access)[-1]
            assert last.turned or last.jet[1] < 0.5, f"{designation} {access}"


def test_every_reason_that_can_be_given_has_its_words() -> None:
    for designation in ("W12X26", "C8X11.5", "MC12X50", "L4X4X3/8", "HSS6X6X3/8", "WT6X13"):
        for access in Access:
            for cut in cuts(designation, access):
                assert cut.reasons
                assert all(ordering.reason(key) for key in cut.reasons)


@given(SECTIONS, st.sampled_from(Access), st.none() | st.sampled_from(Position))
@settings(max_examples=300, deadline=None)
def test_every_face_is_cut_exactly_once_from_one_end_to_the_other(
    section: shapes.Section, access: Access, position: Position | None
) -> None:
    laid = lie(section, access, position)
    found = order(laid, access)
    assert sorted(names(found)) == sorted(face.name for face in laid.section.faces)
    for cut in found:
        assert set(cut.path) == {cut.face.start, cut.face.end}
        done = names(found)[: found.index(cut)]
        assert set(cut.face.runs_into) <= set(done)


@pytest.mark.parametrize("designation", ["W12X26", "C8X11.5", "HSS6X6X3/8", "L6X4X1/2"])
def test_no_other_order_is_cheaper(designation: str) -> None:
    """Brute force over every order, side and direction, against the search."""
    section = listed_section(designation)
    assert section is not None
    for access in (Access.BENCH, Access.IN_PLACE):
        weighing = ordering._Weighing(lie(section, access), access)
        by_face = [
            [move for move in weighing.moves if move.face == place]
            for place in range(len(section.faces))
        ]
        cheapest = min(
            cost
            for places in itertools.permutations(range(len(section.faces)))
            for moves in itertools.product(*(by_face[place] for place in places))
            if (cost := total(weighing, moves)) is not None
        )
        found = total(weighing, tuple(moves_of(weighing, weighing.best())))
        assert found == pytest.approx(cheapest, abs=1e-4)


def total(weighing: ordering._Weighing, moves: tuple[ordering.Move, ...]) -> float | None:
    done, last, cost = 0, None, 0.0
    for move in moves:
        if not weighing._may_come(move, done):
            return None
        cost += weighing._costs(move, done, last)
        done, last = done | 1 << move.face, move
    return cost


def moves_of(weighing: ordering._Weighing, found: tuple[Ordered, ...]) -> list[ordering.Move]:
    return [
        next(
            move
            for move in weighing.moves
            if weighing.faces[move.face] == cut.face
            and move.outside != cut.inside
            and (cut.path[0] == cut.face.start) == move.forward
        )
        for cut in found
    ]
