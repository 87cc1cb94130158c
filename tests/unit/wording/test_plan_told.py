"""A plan aloud, on paper, as a picture, as a template and as JSON: the same cuts in each."""

import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from handsfree.drawing.sketch import HEIGHT, section_drawing, section_sketch
from handsfree.drawing.sketch import WIDTH as PICTURE
from handsfree.drawing.sketch_kept import kept_sketch, sketch_of
from handsfree.drawing.sketch_take_up import take_up_drawing, take_up_picture
from handsfree.drawing.template import BAND, template_pdf, template_svg
from handsfree.engine.answer import answer
from handsfree.errors import TemplateError
from handsfree.values import (
    About,
    Access,
    Answer,
    CutPlan,
    Development,
    Piece,
    Request,
    Rig,
    Shape,
    Store,
    TipBox,
    TipOnHand,
    Told,
    Wanted,
    Words,
)
from handsfree.values.units import degrees, inches
from handsfree.wording.machine import as_line, as_record
from handsfree.wording.paper import WIDTH, paper
from handsfree.wording.paper_plan import take_up_rows
from handsfree.wording.reply import told

SVG = "{http://www.w3.org/2000/svg}"
QUARTER = TipOnHand(made_for=(inches(0.25), inches(0.25)))
PIPE = Piece(nominal=Fraction(4), schedule="40")
PIECES = [
    Piece(designation="W12X26"),
    Piece(designation="C8X11.5"),
    Piece(designation="L4X4X3/8"),
    Piece(designation="HSS6X6X3/8"),
    Piece(designation="WT6X13"),
    PIPE,
    Piece(shape=Shape.SHAFT, thickness=inches(1.5)),
    Piece(thickness=inches(0.5)),
]


def said(piece: Piece, about: About = About.CUT_ORDER, **more: Any) -> Told:
    reply = answer(Request(about, piece=piece, **more), Rig(), TipBox())
    assert isinstance(reply, Answer)
    return told(Words("cut it"), reply, str)


def plan_of(piece: Piece, **more: Any) -> CutPlan:
    found = said(piece, **more).plan
    assert found is not None
    return found


def development_of(piece: Piece, **more: Any) -> Development:
    found = said(piece, **more).development
    assert found is not None
    return found


def test_aloud_the_lie_and_the_order_come_before_what_to_set() -> None:
    sentences = said(PIECES[0], tip=QUARTER).sentences
    order = sentences.index("Three cuts, left flange, right flange, then web.")
    lies = sentences.index("Lay the beam on its side, web flat.")
    pressure = next(i for i, line in enumerate(sentences) if line.startswith("Cutting oxygen"))
    assert lies < order < pressure
    assert sentences[-1] == "More?"


def test_after_more_every_cut_is_told_by_its_number_and_none_is_lost() -> None:
    more = said(PIECES[0], tip=QUARTER).more
    for number, part in (("one", "left flange"), ("two", "right flange"), ("three", "web")):
        (line,) = (line for line in more if line.startswith(f"Cut {number}, {part}."))
        assert "inches a minute, in" in line


def test_a_mitre_is_told_hour_by_hour() -> None:
    more = said(PIPE, mitre=degrees(45)).more
    assert "At six o'clock, four and a half inches." in more
    assert "At half past one, eleven sixteenths inch." in more
    square = said(PIPE).more
    assert "Once round is fourteen and one eighth inches." in square


def test_whether_the_gas_will_do_is_said_first() -> None:
    sentences = said(PIECES[0], About.GAS, count=12, stores=(Store("oxygen"),)).sentences
    assert sentences[1] == "Oxygen will do, if the cylinder is full."


def test_the_read_back_repeats_how_and_how_often() -> None:
    reply = said(PIPE, access=Access.IN_PLACE, count=3, mitre=degrees(30), piece_length=inches(12))
    for part in ("in place", "three cuts", "mitre thirty degrees", "twelve inches long"):
        assert part in reply.understood
    pairs = dict(reply.request)
    assert (pairs["access"], pairs["count"], pairs["mitre_deg"]) == ("in place", 3, 30.0)


def test_on_paper_every_cut_has_its_line() -> None:
    printed = paper(said(PIECES[0], tip=QUARTER))
    rows = [line for line in printed.splitlines() if line.startswith(("  1  ", "  2  ", "  3  "))]
    assert len(rows) == 3
    assert "lean 50 deg" in rows[2] and "square" in rows[0]
    assert "web is cut last" in printed
    assert all(len(line) <= WIDTH for line in printed.splitlines())


def test_a_bevel_is_told_on_paper_and_in_the_picture() -> None:
    mitred = said(Piece(designation="W10X33"), mitre=degrees(30))
    assert mitred.plan is not None
    row = next(line for line in paper(mitred).splitlines() if "left flange  " in line)
    assert "tilt 30 deg" in row
    drawing = section_drawing(mitred.plan)
    assert "tilt 30\u00b0" in drawing.cuts[0].said and "tilt" not in drawing.cuts[2].said


def test_long_times_are_told_in_minutes() -> None:
    reply = said(Piece(thickness=inches(1)), cut_length=inches(60))
    (time,) = (figure for figure in reply.figures if figure.name == "time")
    assert time.unit == "min" and "minutes" in time.spoken


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece.designation or piece.shape)
def test_the_picture_is_whole_and_shows_every_cut(piece: Piece) -> None:
    plan = plan_of(piece)
    root = ET.fromstring(section_sketch(section_drawing(plan)))
    assert root.tag == f"{SVG}svg"
    numbers = [node.text for node in root.iter(f"{SVG}text") if node.get("fill") == "#ffffff"]
    assert numbers == [str(cut.number) for cut in plan.cuts]
    assert len(list(root.iter(f"{SVG}polyline"))) == 2 * len(plan.cuts)
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(name, "nan")) for name in ("cx", "cy", "r"))
        assert r <= x <= PICTURE - r and r <= y <= HEIGHT - r


def test_the_picture_has_no_hue_no_style_and_no_script() -> None:
    picture = section_sketch(section_drawing(plan_of(PIECES[0])))
    assert "style" not in picture and "script" not in picture
    colours = {
        node.get(name) for node in ET.fromstring(picture).iter() for name in ("fill", "stroke")
    }
    assert colours <= {None, "none", "#000000", "#ffffff", "#cccccc"}


def test_the_picture_is_told_in_words_too() -> None:
    root = ET.fromstring(section_sketch(section_drawing(plan_of(PIECES[0], tip=QUARTER))))
    described = root.find(f"{SVG}desc")
    assert described is not None and described.text is not None
    assert "3  web, lean 50" in described.text


def test_names_are_escaped_in_the_picture() -> None:
    plan = replace(plan_of(PIECES[0]), name='<W12 & "more">')
    title = ET.fromstring(section_sketch(section_drawing(plan))).find(f"{SVG}title")
    assert title is not None and title.text == 'Cuts of <W12 & "more">'


def test_a_template_has_its_true_size() -> None:
    """4.5 in outside: 359.1 mm round; a 45 degree mitre is 114.3 mm high."""
    root = ET.fromstring(template_svg(development_of(PIPE, mitre=degrees(45))))
    width, height = (float(root.get(name, "").removesuffix("mm")) for name in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {width:.2f} {height:.2f}"
    outline = root.find(f"{SVG}path")
    assert outline is not None
    places = [
        tuple(map(float, pair.split())) for pair in outline.get("d", "").strip("MZ").split("L")
    ]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    assert max(xs) - min(xs) == pytest.approx(359.08, abs=0.05)
    assert max(ys) - min(ys) == pytest.approx(114.3 + BAND, abs=0.05)
    assert max(xs) <= width and max(ys) <= height


@pytest.mark.parametrize("size", [Fraction(2), Fraction(4)])
def test_the_title_of_a_template_fits_its_sheet(size: Fraction) -> None:
    """Whatever the pipe: letters six tenths as wide as they are high, and no text past the edge."""
    found = development_of(
        Piece(nominal=size, schedule="40"), header=Fraction(8), mitre=degrees(45)
    )
    root = ET.fromstring(template_svg(found))
    width = float(root.attrib["viewBox"].split()[2])
    titles = [node for node in root.iter(f"{SVG}text") if "saddle" in (node.text or "")]
    assert titles
    for node in root.iter(f"{SVG}text"):
        reach = float(node.attrib["x"]) + 0.6 * float(node.attrib["font-size"]) * len(
            node.text or ""
        )
        assert reach <= width, node.text


def test_a_template_too_large_for_paper_says_what_to_do_instead() -> None:
    huge = replace(development_of(PIPE), wrap=inches(500))
    with pytest.raises(TemplateError, match="mark the ordinates"):
        template_svg(huge)


def test_a_template_in_pdf_takes_as_many_sheets_as_it_needs() -> None:
    pytest.importorskip("fpdf", reason="fpdf2 is not installed")
    written = template_pdf(development_of(PIPE, mitre=degrees(45)))
    assert written.startswith(b"%PDF-")
    assert b"/Count 4" in written  # 394 by 200 mm on sheets that print 259 by 190


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece.designation or piece.shape)
def test_other_programs_get_the_whole_plan(piece: Piece) -> None:
    reply = said(piece)
    record = json.loads(as_line(reply))
    assert reply.plan is not None
    assert [cut["part"] for cut in record["plan"]["cuts"]] == [cut.part for cut in reply.plan.cuts]
    for cut in record["plan"]["cuts"]:
        low, high = cut["time_s"]
        assert 0 < low <= high
    assert ("development" in record) == (piece is PIPE)


def test_replies_without_a_plan_have_none() -> None:
    assert "plan" not in as_record(Told("answer", "", 1.0, "", "", (), ()))


BOX = TipBox(
    (TipOnHand("1", made_for=(inches(0.25), inches(0.75))), TipOnHand("0", bore=inches(0.038)))
)
WANTED = (
    Wanted(Piece(thickness=inches(0.5)), 1, inches(72)),
    Wanted(Piece(designation="W12X26"), 2),
)


def taking_up() -> Told:
    reply = answer(Request(About.TAKE_UP, wanted=WANTED), Rig(), BOX)
    return told(Words("going up"), reply, str)


def test_which_tip_to_take_is_said_first_after_the_list() -> None:
    sentences = taking_up().sentences
    assert "two cuts of w twelve by twenty six" in sentences[0]
    assert sentences[1] == "Take the tip stamped one."


def test_on_paper_pieces_stand_against_tips() -> None:
    printed = paper(taking_up())
    assert "1*" in printed
    row = next(line for line in printed.splitlines() if "2 x W12X26" in line)
    assert row.split()[-2:] == ["right", "right"]


def test_the_picture_of_a_list_shows_every_trial_by_word_and_shape() -> None:
    found = taking_up().take_up
    assert found is not None
    root = ET.fromstring(take_up_picture(take_up_drawing(found)))
    words = [node.text for node in root.iter(f"{SVG}text")]
    assert words.count("right") + words.count("slow") == 4
    assert len(list(root.iter(f"{SVG}circle"))) == words.count("right")
    frames = [node for node in root.iter(f"{SVG}rect") if node.get("stroke-width") == "9"]
    assert len(frames) == len(found.choices[0].tips) + len(found.lines)  # and each piece's mark


def test_a_picture_for_a_small_screen_keeps_the_tips_that_are_taken() -> None:
    found = taking_up().take_up
    assert found is not None
    small = ET.fromstring(take_up_picture(take_up_drawing(found), tips_at_most=1, rows_at_most=1))
    words = [node.text for node in small.iter(f"{SVG}text")]
    taken = found.tips[found.choices[0].tips[0]]
    assert f"{taken.bore.m_as('in'):.4f}" in words
    assert "and 1 more" in words


def test_each_piece_is_told_with_the_tip_that_cuts_it() -> None:
    found = taking_up().take_up
    assert found is not None
    rows = list(take_up_rows(found))
    assert len(rows) == len(found.lines)
    assert rows[1].startswith("2 x W12X26: stamped 1, right, ")


def test_other_programs_get_the_whole_list() -> None:
    record = json.loads(as_line(taking_up()))["take_up"]
    assert len(record["tips"]) == 2
    assert record["choices"][0]["cuts_with"] == [1, 1]
    assert record["lines"][1] == "2 x W12X26"


def test_what_is_kept_of_a_picture_draws_the_same_picture() -> None:
    """Through JSON and back, but for lengths finer than a line; a plan and a list."""
    plan = said(PIECES[0])
    for reply in (plan, taking_up()):
        kept = json.loads(json.dumps(kept_sketch(reply)))
        assert len(json.dumps(kept)) < 8000
        again, first = sketch_of(kept), sketch_of(reply)
        assert again is not None and again == first
        ET.fromstring(again)


@pytest.mark.parametrize("kept", [{}, {"draws": "cube"}, {"draws": "section", "name": "W"}])
def test_what_another_version_kept_has_no_picture_and_no_fault(kept: dict[str, str]) -> None:
    assert sketch_of(kept) is None


def test_a_reply_without_a_picture_keeps_none() -> None:
    plain = Told("answer", "help", 1.0, "Help.", "help", (), ("Help.",))
    assert kept_sketch(plain) is None and sketch_of(plain) is None
