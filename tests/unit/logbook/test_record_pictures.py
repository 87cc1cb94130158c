"""The pictures in the logbook and on the record: kept with the reply, drawn as it was told."""

import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from handsfree.drawing.sketch_kept import sketch_of
from handsfree.logbook.logbook import SKETCH, Entry
from handsfree.logbook.record_html import record_html
from handsfree.logbook.record_pdf import record_pdf
from handsfree.logbook.record_pictures import HIGH, drawn_of, for_html, for_pdf, size_mm
from handsfree.logbook.record_reading import detail_of
from tests.unit.logbook.record_shift import SETTING, Afternoon
from tests.unit.logbook.test_record import record
from tests.unit.wording.test_plan_told import PIECES, said, taking_up

ARROWED = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><title>t</title>'
    '<defs><marker id="head"/></defs>'
    '<line x1="10" y1="50" x2="60" y2="50" marker-end="url(#head)"/>'
    '<polyline points="10,10 10,10" marker-end="url(#head)"/><text>50°</text></svg>'
)


def test_the_logbook_keeps_the_sketch_of_a_plan_and_of_a_list_and_none_else(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    replies = (said(PIECES[0]), taking_up(), SETTING)
    afternoon.put(*replies)
    entries = afternoon.book.entries()
    kept = [detail_of(entry).get(SKETCH) for entry in entries]
    assert kept[2] is None
    assert [sketch_of(each) for each in kept[:2] if isinstance(each, dict)] == [
        sketch_of(reply) for reply in replies[:2]
    ]
    assert afternoon.book.broken_at() is None


def test_the_page_shows_each_sketch_once_with_when_and_what(tmp_path: Path) -> None:
    afternoon = Afternoon(tmp_path)
    plan = said(PIECES[0])
    afternoon.put(plan, taking_up(), SETTING)
    afternoon.put(plan)
    found = record(afternoon.book)
    assert [(each.time, each.told) for each in found.sketches] == [
        ("13:02:30", plan.understood),
        ("13:02:30", taking_up().understood),
    ]
    page = record_html(found)
    pictures = re.findall(r"<svg .*?</svg>", page, flags=re.DOTALL)
    assert len(pictures) == 2
    for picture in pictures:
        ET.fromstring(picture)
    assert "left flange" in pictures[0]
    names = re.findall(r'id="(head\d*)"', page)
    assert len(names) == len(set(names)), "one name must not stand for two heads"
    assert set(re.findall(r"url\(#(.*?)\)", page)) <= set(names)


def test_the_paper_has_the_sketches(tmp_path: Path) -> None:
    plain, drawn = Afternoon(tmp_path / "plain"), Afternoon(tmp_path / "drawn")
    plain.put(SETTING)
    drawn.put(SETTING, *map(said, PIECES[:3]))
    without, with_them = (record_pdf(record(each.book)) for each in (plain, drawn))
    pages = [len(re.findall(rb"/Type /Page\b", pdf)) for pdf in (without, with_them)]
    assert pages[1] > pages[0]


@pytest.mark.parametrize(
    "sketch",
    [
        "torn",
        {"draws": "section"},
        {"draws": "section", "name": "W", "lies": "", "outline": [[[1, 1]]], "cuts": []},
        {"draws": "section", "name": "W", "lies": "", "outline": [[[0, 1], [float("inf"), 2]]],
         "cuts": []},
    ],
)  # fmt: skip
def test_a_sketch_that_cannot_be_drawn_is_left_out(sketch: object) -> None:
    detail = json.dumps({SKETCH: sketch})
    entry = Entry(1, "2026-03-04T13:02:30-05:00", "answer", "", "", "", detail, "")
    assert drawn_of([entry, entry._replace(detail=detail[:-3])]) == ()


def test_arrow_heads_are_plain_shapes_for_paper_and_letters_are_made_to_fit() -> None:
    root = ET.fromstring(for_pdf(ARROWED, lambda text: text.replace("°", " degrees")))
    names = [part.tag.rpartition("}")[2] for part in root]
    assert names == ["line", "path", "polyline", "text"], "no head on a line without length"
    assert root[3].text == "50 degrees"
    places = re.findall(
        r"(\S+) (\S+)", (root[1].get("d") or "").translate({77: 32, 76: 32, 90: 32})
    )
    (_, low), (tip, middle), (_, high) = ((float(x), float(y)) for x, y in places)
    assert tip > 60 and middle == 50, "it points on along the line"
    assert low < 50 < high


def test_a_picture_is_no_wider_and_no_higher_than_the_paper() -> None:
    assert size_mm(ARROWED, 180.0)[0] < 180
    wide = ARROWED.replace("0 0 100 100", "0 0 9000 100")
    assert size_mm(wide, 180.0)[0] == 180
    assert size_mm(ARROWED.replace("0 0 100 100", "0 0 800 9000"), 180.0)[1] == HIGH


def test_two_pictures_on_one_page_have_names_of_their_own() -> None:
    assert 'id="head2"' in for_html(ARROWED, 2) and "url(#head2)" in for_html(ARROWED, 2)
