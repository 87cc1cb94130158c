"""The list of work: kept whole, changed as it is told, and set aside when broken."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from handsfree.engine.answer import answer
from handsfree.engine.take_up.changes import applied, changed
from handsfree.store.faults import Faults
from handsfree.store.work_list import WorkList
from handsfree.values import (
    NEW_LIST,
    NOT_LISTED,
    About,
    Access,
    BoxChange,
    Failed,
    Piece,
    Question,
    Request,
    Rig,
    Shape,
    Surface,
    TipBox,
    Wanted,
)
from handsfree.values.units import feet, inches, millimetres

LIST = (
    Wanted(Piece(shape=Shape.PLATE, thickness=inches(0.5)), 1, feet(6)),
    Wanted(Piece(designation="W12X26"), 2, access=Access.IN_PLACE, done=1),
    Wanted(Piece(nominal=Fraction(3, 2), schedule="40", surface=Surface.RUSTY), 4),
    Wanted(Piece(shape=Shape.ANGLE, thickness=millimetres(6), outside=(millimetres(75),) * 2), 3),
)


def asked(*wanted: Wanted, piece: Piece | None = None) -> Request:
    return Request(About.TAKE_UP, wanted=wanted, piece=piece)


def test_a_list_is_kept_as_it_was(tmp_path: Path) -> None:
    kept = WorkList(tmp_path)
    assert kept.read() == ()
    kept.write(LIST)
    assert WorkList(tmp_path).read() == LIST


def test_the_file_can_be_read_and_changed_by_hand(tmp_path: Path) -> None:
    kept = WorkList(tmp_path)
    kept.write(LIST)
    text = kept.path.read_text()
    assert "6 ft" in text and "W12X26" in text
    kept.path.write_text("- piece: {designation: W10X33}\n  cuts: 3\n")
    assert kept.read() == (Wanted(Piece(designation="W10X33"), 3),)


@pytest.mark.parametrize(
    "text",
    [
        "- piece: {designation: W10X33}\n  cutz: 3\n",
        "- piece: {thickness: 5 psi}\n",
        "- piece: {colour: red}\n",
        "- piece: {shape: cube}\n",
        "- piece: {designation: W10X33}\n  cuts: -1\n",
        "piece\n",
        "- {\n",
    ],
)
def test_a_broken_file_is_told_and_set_aside(tmp_path: Path, text: str) -> None:
    faults, told = Faults(), list[Failed]()
    kept = WorkList(tmp_path, faults)
    kept.path.write_text(text)
    assert kept.read() == kept.read() == ()
    faults.tell_to(told.append)
    assert [str(kept.path) in fault.sentence for fault in told] == [True]
    assert kept.path.with_name("work-list.yaml.broken-1").read_text() == text


def test_one_piece_is_added_and_several_are_a_new_list() -> None:
    more = Wanted(Piece(designation="L3X3X1/4"), 4)
    assert changed(LIST, asked(more)) == (*LIST, more)
    assert changed(LIST, asked(*LIST[:2])) == LIST[:2]
    assert changed(LIST, asked()) == LIST


def test_lines_are_taken_off_and_a_new_list_drops_the_old() -> None:
    last = Request(About.TAKE_UP, change=BoxChange.REMOVE)
    assert changed(LIST, last) == LIST[:-1]
    beam = replace(last, wanted=(Wanted(Piece(designation="W12X26")),))
    assert changed(LIST, beam) == (LIST[0], *LIST[2:])
    fresh = Request(About.TAKE_UP, wanted=LIST[:1], defaults=(NEW_LIST,))
    assert changed(LIST, fresh) == LIST[:1]
    assert changed(LIST, replace(fresh, wanted=())) == ()
    assert changed((), last) == ()


def test_a_cut_that_is_done_is_ticked_off() -> None:
    done = Wanted(Piece(designation="W12X26"), 0, done=1)
    after = changed(LIST, asked(done))
    assert after[1].done == 2
    assert changed(after, asked(done))[1].done == 2, "no more than there are"
    assert changed(LIST, asked(replace(done, piece=Piece(designation="W10X33")))) == LIST


def test_a_piece_beside_the_list_completes_it_or_is_one_more() -> None:
    short = (LIST[0], Wanted(Piece(designation="L3X3"), 4))
    told = changed(short, asked(piece=Piece(designation="L3X3X1/4")))
    assert told[1] == Wanted(Piece(designation="L3X3X1/4"), 4)
    assert len(changed(told, asked(piece=Piece(designation="W8X31")))) == 3
    sizes = Piece(thickness=inches(0.25), outside=(inches(3), inches(3)))
    angle = (Wanted(Piece(shape=Shape.ANGLE, designation="L3"), 4),)
    (line,) = changed(angle, asked(piece=sizes))
    assert line.piece == replace(sizes, shape=Shape.ANGLE)


def test_a_cut_is_ticked_off_by_its_place_among_those_that_are_left() -> None:
    done = replace(LIST[0], done=1)
    wanted, whole = applied((done, *LIST[1:]), Request(About.TAKE_UP, listed=1))
    assert wanted[1].done == LIST[1].done + 1 and wanted[0] == done
    assert whole.wanted == wanted and NOT_LISTED not in whole.defaults


@pytest.mark.parametrize(
    "request_",
    [Request(About.TAKE_UP, listed=9), asked(Wanted(Piece(designation="W14"), 0, done=1))],
)
def test_what_is_not_on_the_list_is_asked_about_and_ticks_nothing_off(request_: Request) -> None:
    wanted, whole = applied(LIST, request_)
    assert wanted == LIST
    reply = answer(whole, Rig(), TipBox())
    assert isinstance(reply, Question) and "not on the list" in reply.prompt


def test_a_beam_named_without_its_weight_is_ticked_off() -> None:
    named = Wanted(Piece(designation="W12"), 0, done=1)
    assert changed(LIST, asked(named))[1].done == 2
    assert changed(LIST, asked(replace(named, piece=Piece(designation="W1")))) == LIST
