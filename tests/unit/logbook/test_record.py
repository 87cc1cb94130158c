"""The printed record: what belongs together, what is open, and that nothing of it is guessed."""

import csv
import io
import json
import re
import sys
from dataclasses import replace
from datetime import UTC, datetime
from html import unescape
from pathlib import Path

import pytest

from handsfree.errors import RecordError
from handsfree.logbook.chain import SHOWN, Chain, sealed
from handsfree.logbook.logbook import Entry, Logbook
from handsfree.logbook.notes import Note, timer_note
from handsfree.logbook.record import DEFERENCE, NO_PERMIT, NOTHING_OPEN, Head, ListState, Record
from handsfree.logbook.record_export import COLUMNS, record_csv, record_json
from handsfree.logbook.record_html import record_html
from handsfree.logbook.record_pdf import record_pdf
from handsfree.logbook.record_reading import record_of
from handsfree.logbook.record_sheet import Box, Fields, Table, sheet
from handsfree.values.record import RecordKind
from handsfree.values.steps import Confirmed, ListEnd, ListMark
from tests.unit.logbook.record_shift import SETTING, WATCH, WATCH_RULE, Afternoon

MADE = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)


def record(book: Logbook, head: Head | None = None) -> Record:
    return record_of(book.entries(), book.chain(), head or Head(), MADE)


def text_of(page: str) -> str:
    """What a reader of the page sees, tags and style taken away."""
    plain = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", plain)).split())


@pytest.fixture
def afternoon(tmp_path: Path) -> Afternoon:
    return Afternoon(tmp_path).whole()


# --- what belongs together ------------------------------------------------------------------------


def test_each_list_has_its_answers_right_and_wrong_and_how_it_ended(afternoon: Afternoon) -> None:
    light, before, shutdown = record(afternoon.book).lists
    assert (light.title, light.state) == ("Lighting up", ListState.FINISHED)
    assert (light.confirmed, light.of, light.open) == (4, 4, ())
    assert [line.right for line in light.answers] == [True, False, True, True, True]
    assert [line.step for line in light.answers] == [1, 2, 2, 3, 4]
    assert (light.answers[2].heard, light.answers[2].came_to) == ("gauge reads five", "5 psi")
    assert light.answers[2].time == "13:04:10"
    assert before.state is ListState.NOT_FINISHED
    assert before.open == ("What is below?", "What protects the lanyard from sparks?")
    assert [line.kind for line in before.breaks] == ["list aside"]
    assert shutdown.state is ListState.NO_END
    assert shutdown.open == ("Step 1", "Step 2", "Step 3", "Step 4")


def test_two_leadings_of_one_list_are_two(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    for run in ("1", "2"):
        afternoon.put(ListMark("light", "lighting up", ListEnd.BEGUN, 0, 1, run=run))
        afternoon.put(
            Confirmed("light", "lighting up", 1, 1, "Light it.", "lit", "lit", True, "", run)
        )
    first, second = record(afternoon.book).lists
    assert (first.confirmed, second.confirmed) == (1, 1)


def test_a_finished_list_with_a_step_that_was_never_confirmed_is_open(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    afternoon.put(
        ListMark("light", "lighting up", ListEnd.BEGUN, 0, 2, run="1"),
        Confirmed("light", "lighting up", 1, 2, "Open it.", "no", "not yet", False, "", "1"),
        Confirmed("light", "lighting up", 2, 2, "Light it.", "lit", "lit", True, "", "1"),
        ListMark("light", "lighting up", ListEnd.FINISHED, 1, 2, run="1"),
    )
    (run,) = record(afternoon.book).lists
    assert run.open == ("Step 1: Open it.",)
    assert len(record(afternoon.book).open) == 1


def test_times_have_start_half_end_and_rule(afternoon: Afternoon) -> None:
    upright, watch = record(afternoon.book).timers
    assert (watch.name, watch.minutes, watch.rule) == ("fire watch", 60, WATCH_RULE)
    assert (watch.begun[11:], watch.half[11:], watch.ended[11:]) == (
        "13:07:50",
        "13:37:50",
        "14:07:50",
    )
    assert not watch.open
    assert upright.open, "it has no end"


@pytest.mark.parametrize(("name", "is_open"), [("fire watch", True), ("preheat", False)])
def test_a_time_that_was_stopped_early_is_told_and_a_fire_watch_stays_open(
    tmp_path: Path, name: str, is_open: bool
) -> None:
    afternoon, timer = Afternoon(tmp_path), replace(WATCH, name=name)
    afternoon.put(timer_note(RecordKind.TIMER_STARTED, timer))
    afternoon.put(timer_note(RecordKind.TIMER_STOPPED, timer, heard="stop the timer"))
    found = record(afternoon.book)
    assert (found.timers[0].stopped, found.timers[0].open) == (True, is_open)
    assert bool(found.open) is is_open
    assert "STOPPED EARLY 13:02:50" in text_of(record_html(found))


def test_a_time_that_is_set_again_is_a_second_one(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    afternoon.put(timer_note(RecordKind.TIMER_STARTED, WATCH))
    afternoon.put(timer_note(RecordKind.TIMER_STOPPED, WATCH))
    afternoon.put(timer_note(RecordKind.TIMER_STARTED, WATCH))
    assert [timer.stopped for timer in record(afternoon.book).timers] == [True, False]


def test_everything_that_is_open_stands_at_the_top(afternoon: Afternoon) -> None:
    assert record(afternoon.book).open == (
        "Hot work check, before, begun 2026-03-04 13:06:10: not finished, 1 of 3 steps confirmed.",
        "Shutting down, begun 2026-03-04 14:09:10: no end on this record, 0 of 4 steps confirmed.",
        "Cylinder upright of 120 minutes, begun 2026-03-04 13:05:50: no end on this record.",
    )


def test_what_was_begun_on_an_earlier_day_is_said_to_be_so(afternoon: Afternoon) -> None:
    entries = [entry for entry in afternoon.book.entries() if entry.kind != "list begun"]
    found = record_of(entries, afternoon.book.chain(), Head(), MADE)
    assert found.lists[0].begun == ""
    assert "Begun before this record" in text_of(record_html(found))


def test_place_and_permit_come_from_the_shift_unless_they_are_given(afternoon: Afternoon) -> None:
    assert record(afternoon.book).head == Head("Bay 4, under the crane rail", "", "117")
    given = record(afternoon.book, Head(permit="118", who="Lena")).head
    assert given == Head("Bay 4, under the crane rail", "Lena", "118")


def test_an_entry_whose_details_are_torn_is_still_shown(afternoon: Afternoon) -> None:
    torn = ("", "[]", "{", '{"figures": 3, "sources": "x", "step": "two", "steps": null}')
    whole = afternoon.book.entries()
    for detail in torn:
        found = record_of(
            [entry._replace(detail=detail) for entry in whole], afternoon.book.chain(), Head(), MADE
        )
        told = text_of(record_html(found))
        assert "gauge reads five" in told
        assert "Torch oxygen valve shut at once." in told
        assert found.open


def test_what_was_understood_is_written_and_a_unit_named_once(afternoon: Afternoon) -> None:
    entry = next(each for each in afternoon.book.entries() if each.kind == "answer")
    detail = '{"figures": [["shade", "3-4", "shade", "read"]]}'
    changed = [entry._replace(understood="acetylene at twenty p s i", detail=detail)]
    told = text_of(record_html(record_of(changed, afternoon.book.chain(), Head(), MADE)))
    assert "acetylene at twenty psi" in told
    assert "shade 3-4 (read)" in told


# --- the page -------------------------------------------------------------------------------------


def test_the_page_holds_words_values_times_refusals_and_cautions(afternoon: Afternoon) -> None:
    told = text_of(record_html(record(afternoon.book)))
    for wanted in (
        "gauge reads five 5 psi confirmed 13:04:10",
        "checked done DID NOT PASS 13:03:50",
        "NOT FINISHED",
        "What protects the lanyard from sparks?",
        "fire watch 60 min 13:07:50 13:37:50 up 14:07:50",
        "flashback",
        "Acetylene above fifteen psi can explode by itself. 29 CFR 1910.253(a)(2)."
        " [29 CFR 1910.253(a)(2)]",
        "oxygen pressure 30-35 psi (memory)",
        "15.2 inches a minute over 6 inches",
        "Never set acetylene above 15 psi.",
        "Light it with a friction lighter. [1]",
        "[1] 29 CFR 1926.350(g)(3)",
        "[2] WorkSafe Victoria, February 2015",
        "UTC-05:00",
        NO_PERMIT,
        DEFERENCE,
    ):
        assert wanted in told, wanted


def test_the_page_needs_nothing_beside_it(afternoon: Afternoon) -> None:
    page = record_html(record(afternoon.book))
    assert not re.search(r"(src|href)=|https?:|@import|url\(", page)


def test_the_seal_of_the_last_entry_is_printed_and_found_again(afternoon: Afternoon) -> None:
    found = re.search(rf"sealed ([0-9a-f]{{{SHOWN}}})\b", record_html(record(afternoon.book)))
    assert found is not None
    assert afternoon.book.holds(found[1]) == len(afternoon.book.entries())


def test_what_is_not_given_is_a_line_to_write_on(afternoon: Afternoon) -> None:
    fields = next(iter(block for block in sheet(record(afternoon.book))))
    assert isinstance(fields, Fields)
    assert dict(fields.rows) == {
        "Place": "Bay 4, under the crane rail",
        "Day": "2026-03-04",
        "Who": "",
        "Permit number": "117",
    }


def test_words_with_signs_of_html_stay_words(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    afternoon.put(replace(SETTING, heard="<script>alert(1)</script> & <b>"))
    page = record_html(record(afternoon.book, Head(place='"Hall" <3>')))
    assert "<script>" not in page
    assert "<script>alert(1)</script> & <b>" in text_of(page.replace("&lt;", "&#60;"))


def test_a_logbook_that_was_changed_is_told_first(afternoon: Afternoon) -> None:
    broken = Chain(21, 21, "ab" * 32, 7, "Entry 7 was changed.")
    blocks = list(sheet(replace(record(afternoon.book), chain=broken)))
    box = next(block for block in blocks if isinstance(block, Box))
    assert "not as it was written" in box.lines[0]


def test_a_part_never_passes_for_the_whole(afternoon: Afternoon) -> None:
    found = record_of(
        afternoon.book.entries(), afternoon.book.chain(), Head(), MADE, "only the kinds step"
    )
    assert "Not the whole of these days: only the kinds step." in text_of(record_html(found))


def test_an_empty_record_says_that_nothing_was_done(tmp_path: Path) -> None:
    told = text_of(record_html(record(Logbook(tmp_path / "logbook.sqlite"))))
    assert NOTHING_OPEN in told
    assert told.count("None on record.") == 5
    assert NO_PERMIT in told


def test_the_columns_of_every_table_fill_its_width(afternoon: Afternoon) -> None:
    for block in sheet(record(afternoon.book)):
        if isinstance(block, Table):
            assert sum(share for _, share in block.columns) == 100
            assert {len(row) for row in block.rows} == {len(block.columns)}


def test_entries_of_two_days_carry_their_day(afternoon: Afternoon) -> None:
    entries = list(afternoon.book.entries())
    entries[-2] = entries[-2]._replace(at="2026-03-05T00:10:00-05:00")
    entries[-1] = entries[-1]._replace(at="2026-03-05T00:12:00-04:00")
    told = text_of(record_html(record_of(entries, afternoon.book.chain(), Head(), MADE)))
    assert "Day 2026-03-04 to 2026-03-05" in told
    assert "2026-03-05 00:10:00 mark" in told
    assert "UTC-05:00, UTC-04:00" in told


# --- PDF ------------------------------------------------------------------------------------------


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type /Page\b", pdf))


def test_the_pdf_is_one_and_grows_with_the_shift(afternoon: Afternoon) -> None:
    short = record_pdf(record(afternoon.book))
    assert short.startswith(b"%PDF-")
    assert pages(short) == 2
    for _ in range(12):
        afternoon.light()
    assert pages(record_pdf(record(afternoon.book))) > 2


def test_the_pdf_takes_words_of_any_length_and_any_sign(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    long = "x" * 600 + " \u2153 \u65e5\u672c \u0000\u001b " + "plate " * 200
    afternoon.put(replace(SETTING, heard=long), Note(RecordKind.ALARM, long, long, long))
    head = Head("\u0141\u00f3d\u017a, hall \u00be", "\u0160 " * 60, "1" * 90)
    for faces in ((), (("/nowhere/plain.ttf", "bold.ttf"),)):
        assert record_pdf(record(afternoon.book, head), faces).startswith(b"%PDF-")
    assert record_pdf(record(afternoon.book, head)).startswith(b"%PDF-")


def test_pdf_without_its_library_says_what_to_install(
    afternoon: Afternoon, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "fpdf", None)
    with pytest.raises(RecordError, match=r"handsfree\[pdf\]"):
        record_pdf(record(afternoon.book))


# --- CSV and JSON ---------------------------------------------------------------------------------


def test_csv_has_a_line_for_each_entry_and_keeps_its_words(afternoon: Afternoon) -> None:
    entries = afternoon.book.entries()
    rows = list(csv.DictReader(io.StringIO(record_csv(entries))))
    assert len(rows) == len(entries)
    assert tuple(rows[0]) == COLUMNS
    step = rows[5]
    assert (step["kind"], step["list"], step["step"]) == ("step", "lighting up", "2")
    assert (step["heard"], step["understood"]) == ("gauge reads five", "5 psi")
    assert (rows[16]["timer"], rows[16]["minutes"]) == ("fire watch", "60.0")


def test_csv_holds_commas_quotes_and_lines_and_no_formula(afternoon: Afternoon) -> None:
    entry = afternoon.book.entries()[1]._replace(heard='=1+1,"x"\nplate', said="-5, and +3")
    (row,) = csv.DictReader(io.StringIO(record_csv([entry]), newline=""))
    assert row["heard"] == '\'=1+1,"x"\nplate'
    assert row["said"] == "'-5, and +3"


def test_an_export_as_json_can_be_checked_without_the_logbook(afternoon: Afternoon) -> None:
    book = afternoon.book
    exported = json.loads(record_json(book.entries(), book.chain(), MADE))
    before = ""
    for entry in exported["entries"]:
        content = tuple(entry[name] for name in ("at", "kind", "heard", "understood", "said"))
        assert entry["seal"] == sealed(before, (*content, entry["detail"]))
        before = entry["seal"]
    assert exported["logbook"]["seal"] == before
    assert exported["logbook"]["broken_at"] is None
    assert [Entry(**entry) for entry in exported["entries"]] == list(book.entries())
