"""Measured in the browser: digits, targets, contrast, at three devices and both ways up.

A device's millimetre is the page's own: a bank card calibrates it on a real one.
"""

from collections.abc import Callable
from typing import Any

import pytest

from handsfree.page import sizes as sizes
from handsfree.page.board import PageBoard
from handsfree.values import Told
from tests.browser.measuring import OVERLAPS, SPILLS, screens

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
Ink = Callable[[bytes], dict[str, Any]]
DEVICES = ("phone", "phone-wide", "tablet", "tablet-wide", "laptop")
LARGE = ("tablet", "tablet-wide", "laptop")
MM = "() => parseFloat(document.documentElement.style.getPropertyValue('--mm'))"
BOXES = """(nodes) => nodes.map((node) => node.getBoundingClientRect())
  .map(({ x, y, width, height }) => ({ x, y, width, height }))"""
CAP = "() => document.documentElement.style.getPropertyValue('--cap')"
ONLY_DIGITS = """(seen) => {
  const others = "#caution, #readback, .label, .unit, .note, small";
  for (const node of document.querySelectorAll(others)) node.style.visibility = seen;
  const lines = [...document.querySelectorAll(".digits + .digits")];
  for (const line of lines) line.previousElementSibling.style.visibility = seen;
  for (const figure of document.querySelectorAll(".figure")) {
    figure.style.borderColor = seen === "hidden" ? "#fff" : "#000";
  }
}"""


def wait_for(page: Any, told: Told) -> None:
    page.locator("#heard", has_text=told.heard).wait_for(state="attached")


def digit_heights(page: Any, ink: Ink) -> dict[str, float]:
    """Height of each figure's digits on the glass in millimetres, counted in a screenshot."""
    heights = {}
    page.evaluate(ONLY_DIGITS, "hidden")  # the type's box reaches into the lines around it
    for figure in page.locator(".figure").all():
        found = ink(page.screenshot(clip=figure.locator(".number").last.bounding_box()))
        heights[figure.get_attribute("data-name")] = found["height"] / page.evaluate(MM)
    page.evaluate(ONLY_DIGITS, "visible")
    return heights


@pytest.mark.parametrize("device", LARGE)
def test_digits_are_full_size_and_labels_too(
    device: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told], ink: Ink
) -> None:
    page = open_page(device)
    board.publish(replies["answer"])
    wait_for(page, replies["answer"])
    heights: dict[str, float] = {}
    for _ in range(screens(page)):
        assert page.locator(".figure").count() <= sizes.FIGURES_A_SCREEN
        for label in page.locator(".figure .label").all():
            size = label.evaluate("(node) => parseFloat(getComputedStyle(node).fontSize)")
            share = float(page.evaluate(CAP))
            assert share * size / page.evaluate(MM) >= sizes.LABELS_MM - 0.01
        heights |= digit_heights(page, ink)
        page.keyboard.press("PageDown")
    assert set(heights) == {figure.name for figure in replies["answer"].figures}
    assert {name: high for name, high in heights.items() if high < sizes.DIGITS_MM} == {}


@pytest.mark.parametrize("device", ["phone", "phone-wide"])
def test_a_phone_gives_short_figures_full_size_and_says_how_far_longer_ones_read(
    device: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told], ink: Ink
) -> None:
    page = open_page(device)
    board.publish(replies["answer"])
    wait_for(page, replies["answer"])
    small = set()
    for _ in range(len(replies["answer"].figures)):
        ((name, height),) = digit_heights(page, ink).items()
        words = page.locator("#foot").text_content() + page.locator("#place").text_content()
        if height < sizes.DIGITS_MM:
            small.add(name)
        assert ("Reads at" in words) == (name in small)
        page.keyboard.press("PageDown")
    assert small == {"kerf"}


@pytest.mark.parametrize("device", DEVICES)
@pytest.mark.parametrize("kind", ["answer", "question", "refusal", "not_understood", "steps"])
def test_nothing_is_cut_off_or_covered_on_any_screen(
    device: str, kind: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page(device)
    board.publish(replies[kind])
    wait_for(page, replies[kind])
    seen = ""
    for number in range(screens(page)):
        assert page.evaluate(SPILLS) == [], f"screen {number + 1}"
        assert page.evaluate(OVERLAPS) == [], f"screen {number + 1}"
        seen += page.locator("body").inner_text()
        page.keyboard.press("PageDown")
    if kind in ("answer", "steps"):
        for sentence in (*replies[kind].technique, *replies[kind].cautions):
            assert sentence in seen


@pytest.mark.parametrize("device", DEVICES)
def test_the_first_caution_stands_on_every_screen_of_an_answer(
    device: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page(device)
    board.publish(replies["answer"])
    wait_for(page, replies["answer"])
    count = screens(page)
    for _ in range(count - 1):  # the last screen is where one asks for something else
        assert page.locator("#caution").is_visible()
        assert page.locator("#caution").inner_text().endswith(replies["answer"].cautions[0])
        page.keyboard.press("PageDown")


def targets(page: Any) -> list[dict[str, float]]:
    mm = page.evaluate(MM)
    boxes = page.locator("button").evaluate_all(BOXES)
    return [{name: value / mm for name, value in box.items()} for box in boxes]


def check_targets(page: Any, least: float) -> None:
    boxes = targets(page)
    width, height = (side / page.evaluate(MM) for side in page.viewport_size.values())
    assert 1 <= len(boxes) <= sizes.TARGETS_A_SCREEN
    for box in boxes:
        assert min(box["width"], box["height"]) >= least - 0.05
        right, below = width - box["x"] - box["width"], height - box["y"] - box["height"]
        assert min(box["x"], box["y"], right, below) >= sizes.EDGE_MM - 0.1
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            aside = max(
                other["x"] - one["x"] - one["width"], one["x"] - other["x"] - other["width"]
            )
            above = max(
                other["y"] - one["y"] - one["height"], one["y"] - other["y"] - other["height"]
            )
            assert max(aside, above) >= sizes.GAP_MM - 0.1


# A phone that is 60 mm wide or high has no room for three times 30 mm, two gaps and two edges:
# there the targets keep their gaps and edges, and fall a little short themselves.
@pytest.mark.parametrize(
    ("device", "least"),
    [(device, 30) for device in LARGE] + [("phone", 20), ("phone-wide", 20)],
)
def test_targets_suit_a_gauntlet_on_every_screen(
    device: str, least: float, open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page(device)
    check_targets(page, least)
    page.keyboard.press("Enter")
    for title in ("What do you cut", "How thick", "made for"):
        page.locator("h1", has_text=title).wait_for()
        check_targets(page, least)
        page.keyboard.press("Enter")
    wait_for(page, replies["answer"])
    for kind in ("question", "not_understood"):
        board.publish(replies[kind])
        wait_for(page, replies[kind])
        check_targets(page, least)
    if device in LARGE:
        board.publish(replies["answer"])
        wait_for(page, replies["answer"])
        check_targets(page, least)


@pytest.mark.parametrize("device", ["phone", "tablet", "laptop"])
def test_the_page_is_black_on_white_and_nothing_is_told_by_hue(
    device: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told], ink: Ink
) -> None:
    page = open_page(device)
    board.publish(replies["answer"])
    wait_for(page, replies["answer"])
    for _ in range(screens(page)):
        colours = ink(page.screenshot())["colours"]
        parts = {tuple(map(int, name.split(","))): count for name, count in colours.items()}
        assert all(red == green == blue for red, green, blue in parts)
        # The edges of letters are grey; letters and ground are not, so their ratio is the pair's.
        letters = max((count, tone) for (tone, _, _), count in parts.items() if tone < 128)[1]
        ground = max((count, tone) for (tone, _, _), count in parts.items() if tone >= 128)[1]
        assert sizes.contrast((letters,) * 3, (ground,) * 3) >= sizes.CONTRAST
        pure = sum(count for (tone, _, _), count in parts.items() if tone in (0, 255))
        assert pure / sum(parts.values()) > 0.9
        page.keyboard.press("PageDown")


def test_a_bank_card_calibrates_the_page_for_this_device(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page("tablet")
    before = page.evaluate(MM)
    for name in ("menu", "page", "size"):
        page.locator(f'[data-target="{name}"]').tap()
    for _ in range(6):
        page.locator('[data-target="less"]').tap()
    card = page.locator(".card").bounding_box()["width"]
    page.locator('[data-target="use"]').tap()
    assert page.evaluate(MM) == pytest.approx(before - 0.3, abs=0.01)
    edge = card / page.evaluate(MM)
    assert edge == pytest.approx(sizes.CARD_LONG_MM, abs=0.2)
    page.reload()
    page.locator("#foot", has_text="24 mm").wait_for()
    assert page.evaluate(MM) == pytest.approx(before - 0.3, abs=0.01)
