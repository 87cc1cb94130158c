"""The plot of practice: every coupon stands once, by its sign and at its height, in plain black."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from handsfree.app.drawing_files import write_sketch
from handsfree.drawing.practice_plot import LATEST, described, practice_plot
from handsfree.errors import TemplateError
from handsfree.page.board import PageBoard
from handsfree.values import Told
from handsfree.values.timing import Coupon, CutResult, PracticeCase, Progress
from handsfree.wording.machine import as_record

SVG = "{http://www.w3.org/2000/svg}"


def coupon(
    speed: float,
    result: CutResult = CutResult.GOOD,
    passed: bool = False,
    case: PracticeCase = PracticeCase.PIPE,
) -> Coupon:
    return Coupon("2026-11-26T08:00:00+00:00", "cutter one", case, speed, 9.0, 11.0, result, passed)


MIXED = Progress(
    "cutter one",
    (
        coupon(10.0, passed=True),
        coupon(14.0),
        coupon(8.0, CutResult.SLAG_BACK),
        coupon(10.5, passed=True, case=PracticeCase.OVERHEAD),
    ),
)


def drawn(progress: Progress) -> ElementTree.Element:
    return ElementTree.fromstring(practice_plot(progress))


def signs(root: ElementTree.Element) -> tuple[list[float], list[float], int]:
    """Heights of discs and of rings, and how many crosses there are, the legend's left out."""
    circles = root.findall(f"{SVG}circle")[:-2]
    discs = [float(c.attrib["cy"]) for c in circles if "fill" not in c.attrib]
    rings = [float(c.attrib["cy"]) for c in circles if c.attrib.get("fill") == "#ffffff"]
    return discs, rings, len(root.findall(f"{SVG}path")) - 1


def test_each_coupon_stands_once_by_its_sign() -> None:
    discs, rings, crosses = signs(drawn(MIXED))
    assert (len(discs), len(rings), crosses) == (2, 1, 1)


def test_a_faster_run_stands_higher_and_none_outside_its_strip() -> None:
    progress = Progress("cutter one", tuple(coupon(s, passed=True) for s in (2, 8, 10, 12, 90)))
    discs, _, _ = signs(drawn(progress))
    assert discs == sorted(discs, reverse=True)
    lines = [float(line.attrib["y1"]) for line in drawn(progress).findall(f"{SVG}line")]
    assert max(lines) == discs[0]
    assert min(lines) == discs[-1]
    assert discs[2] == sorted(lines)[1]  # at the middle that was asked for


def test_a_long_practice_shows_its_latest_and_counts_them_all() -> None:
    many = Progress("cutter one", tuple(coupon(10.0, passed=True) for _ in range(LATEST + 14)))
    root = drawn(many)
    assert len(signs(root)[0]) == LATEST
    words = " ".join(text.text or "" for text in root.findall(f"{SVG}text"))
    assert f"{LATEST + 14} of {LATEST + 14} passed" in words
    assert str(LATEST + 10) in words.split()


def test_nothing_is_told_by_colour() -> None:
    colours = set(re.findall(r"#[0-9a-f]{6}", practice_plot(MIXED)))
    assert colours == {"#ffffff", "#000000", "#d0d0d0"}
    assert described(MIXED) == ("pipe: passed, good cut, slag welded back. overhead: passed.")


def test_a_name_with_signs_of_its_own_spoils_nothing() -> None:
    named = Progress('<b>"&', MIXED.coupons)
    assert drawn(named).attrib["aria-label"] == 'Practice of <b>"&'


def test_the_plot_goes_to_the_page_into_a_file_and_to_programs(tmp_path: Path) -> None:
    told = Told("answer", "show my progress", 1.0, "practice", "practice", (), (), progress=MIXED)
    board = PageBoard()
    board.publish(told)
    plain = board.latest().as_plain()["told"]
    assert isinstance(plain, dict)
    assert plain["picture"] is True
    assert "progress" not in plain
    write_sketch(told, tmp_path / "plot.svg")
    assert (tmp_path / "plot.svg").read_text(encoding="utf-8") == practice_plot(MIXED)
    record = as_record(told)["progress"]
    assert isinstance(record, dict)
    assert [each["passed"] for each in record["coupons"]] == [True, False, False, True]
    with pytest.raises(TemplateError):
        write_sketch(Told("answer", "", 1.0, "", "", (), ()), tmp_path / "none.svg")
