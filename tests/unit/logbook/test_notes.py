"""What is led and timed goes into the logbook with all that the record needs."""

from dataclasses import replace

import pytest

from handsfree.logbook.notes import Note, note_of, timer_note
from handsfree.values.record import RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark
from handsfree.values.timing import Running, TimeNews, TimeNewsKind

RULE = "29 CFR 1910.252(a)(2)(iii)(B)"
WATCH = Running("fire watch", 3600.0, ends=9000.0, rule=RULE, run="8")
STEP = Confirmed(
    "pressures", "setting pressures", 3, 7, "Read the gauge.", "five", "5 psi", True, RULE, "2"
)


def test_a_confirmed_step_tells_list_step_words_and_source() -> None:
    note = note_of(STEP)
    assert note.kind is RecordKind.STEP
    assert (note.heard, note.understood, note.said) == ("five", "5 psi", "Read the gauge.")
    assert note.detail == {
        "list": "pressures",
        "title": "setting pressures",
        "run": "2",
        "step": 3,
        "steps": 7,
        "right": True,
        "sources": (RULE,),
    }


def test_a_step_is_written_down_with_what_was_asked() -> None:
    assert note_of(replace(STEP, ask="What does it read?")).said == (
        "Read the gauge. What does it read?"
    )


def test_an_answer_that_did_not_pass_is_never_a_confirmed_step() -> None:
    wrong = Confirmed("light", "lighting up", 1, 5, "Open it.", "no", "not yet", False, "")
    assert note_of(wrong).kind is RecordKind.NOT_PASSED
    assert note_of(wrong).detail["right"] is False
    assert note_of(wrong).detail["sources"] == ()


@pytest.mark.parametrize(
    ("how", "kind"),
    [
        (ListEnd.BEGUN, RecordKind.LIST_BEGUN),
        (ListEnd.FINISHED, RecordKind.LIST_DONE),
        (ListEnd.NOT_FINISHED, RecordKind.LIST_STOPPED),
        (ListEnd.PUT_ASIDE, RecordKind.LIST_ASIDE),
        (ListEnd.TAKEN_UP, RecordKind.LIST_TAKEN_UP),
    ],
)
def test_the_end_of_a_list_keeps_what_is_open(how: ListEnd, kind: RecordKind) -> None:
    note = note_of(ListMark("light", "lighting up", how, 3, 5, ("Light it.", "Trim it."), "4"))
    assert note.kind is kind
    assert note.detail["open"] == ("Light it.", "Trim it.")
    assert (note.detail["confirmed"], note.detail["steps"], note.detail["run"]) == (3, 5, "4")


def test_every_way_a_list_ends_and_every_news_of_a_time_has_its_kind() -> None:
    for how in ListEnd:
        assert note_of(ListMark("light", "lighting up", how, 0, 5)).kind in RecordKind
    for news in TimeNewsKind:
        note = note_of(TimeNews(news, WATCH))
        assert "fire watch" in note.understood
        assert note.detail["minutes"] == 60


def test_a_time_is_written_down_with_its_length_and_its_rule() -> None:
    note = timer_note(RecordKind.TIMER_STARTED, WATCH, heard="set the fire watch")
    assert note.understood == "fire watch: 60 minutes"
    assert note.detail == {
        "name": "fire watch",
        "run": "8",
        "minutes": 60.0,
        "sources": (RULE,),
    }


def test_a_time_that_ended_while_the_helper_was_off_says_so() -> None:
    assert "while the helper was off" in note_of(TimeNews(TimeNewsKind.LATE, WATCH)).understood


def test_a_note_stays_as_it_is() -> None:
    note = Note(RecordKind.RESULT, "good cut", "good cut")
    assert note_of(note) is note


def test_the_cautions_of_a_list_go_with_its_beginning() -> None:
    begun = ListMark("light", "lighting up", ListEnd.BEGUN, 0, 5, cautions=("No matches.",))
    assert note_of(begun).detail["cautions"] == ("No matches.",)
