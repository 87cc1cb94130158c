"""The page under hard use: filters, large type, many events, hostile input, screen readers."""

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from handsfree.page import sizes as sizes
from handsfree.page.board import Ear, PageBoard
from handsfree.page.reading import DESIGN_SCREEN, transmittance
from handsfree.values import Part, Told
from handsfree.values.timing import Timer
from tests.browser.measuring import CUT_OFF, OVERLAPS, SPILLS, screens

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
Ink = Callable[[bytes], dict[str, Any]]

# How much of each of a screen's primaries a green filter lets through, for an equal part of light:
# red and blue nearly nothing (memory; filters differ, all are darkest at the ends of the spectrum).
GREEN_FILTER = (0.08, 1.0, 0.05)


def through_filter(colour: str, shade: float) -> float:
    """The luminance behind the filter, in cd/m2, of a screen whose white has 400."""
    parts = [int(part) / 255 for part in colour.split(",")]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    shares = (0.2126, 0.7152, 0.0722)
    seen = sum(a * b * c for a, b, c in zip(linear, shares, GREEN_FILTER, strict=True))
    white = sum(a * b for a, b in zip(shares, GREEN_FILTER, strict=True))
    return DESIGN_SCREEN * transmittance(shade) * seen / white


@pytest.mark.parametrize("shade", [3, 4, 5])
@pytest.mark.parametrize("state", ["live", "listening", "old", "fault"])
def test_letters_keep_their_contrast_behind_a_green_filter(
    shade: int, state: str, open_helper: OpenPage, board: PageBoard, replies: dict[str, Told],
    ink: Ink,
) -> None:  # fmt: skip
    page = open_helper("tablet")
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    if state == "listening":
        board.hear(Ear.LISTENING)
        page.locator("#ear", has_text="listening").wait_for()
    elif state == "fault":
        board.notify(Part.MICROPHONE, "The microphone is gone.")
        board.keep_time([Timer("fire watch", 0, ringing=True)])
        page.locator("#timers .ringing").wait_for()
    elif state == "old":
        board.close()
        page.locator("#warning", has_text="stopped").wait_for()
    colours = ink(page.screenshot())["colours"]
    flat = sum(colours.values()) / 500  # fewer are the edges of letters, between the two
    seen = [through_filter(name, shade) for name, count in colours.items() if count > flat]
    veil = 0.05 * through_filter("255,255,255", shade)  # light that the glass scatters
    dark = [light for light in seen if light < veil]
    bright = [light for light in seen if light >= veil]
    assert dark
    assert bright
    ratio = (min(bright) + veil) / (max(dark) + veil)
    assert ratio >= sizes.CONTRAST
    assert min(bright) >= 6  # cd/m2, what shade 5 leaves of a full screen


@pytest.mark.parametrize("device", ["phone", "phone-wide", "tablet", "laptop", "wall"])
@pytest.mark.parametrize("kind", ["answer", "question", "refusal", "steps", "asking"])
def test_with_the_system_s_text_at_200_percent_nothing_is_lost(
    device: str, kind: str, open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page(device)
    session = page.context.new_cdp_session(page)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
    page.reload()
    page.locator('body[data-live="live"]').wait_for()
    assert page.evaluate("() => getComputedStyle(document.documentElement).fontSize") == "32px"
    if kind == "asking":
        page.keyboard.press("Enter")
    else:
        board.publish(replies[kind])
        page.locator("#heard", has_text=replies[kind].heard).wait_for(state="attached")
    assert page.evaluate("() => parseFloat(getComputedStyle(document.body).fontSize)") >= 32
    for _ in range(screens(page)):
        assert page.evaluate(SPILLS) == []
        assert page.evaluate(OVERLAPS) == []
        page.keyboard.press("PageDown")
    if kind == "asking":
        for _ in range(3):
            assert page.evaluate(SPILLS) == []
            assert page.evaluate(CUT_OFF) == []
            page.keyboard.press("Enter")


@pytest.mark.parametrize("device", ["phone-old", "phone", "tablet", "wall"])
def test_every_step_of_asking_fits_on_every_screen(
    device: str, open_helper: OpenPage, board: PageBoard
) -> None:
    page = open_helper(device)
    board.call("steady hand")
    board.hear(Ear.WAITING)
    ways = [
        ("plate", "plate"), ("section", "section"), ("hollow", "hollow"), ("metal", "metal"),
        ("metal", "not_steel"), ("metal", "coating"), ("metal", "steel"), ("metal", "fuel"),
    ]  # fmt: skip
    for first, second in ways:
        page.keyboard.press("Enter")
        choose(page, first)
        if second != first:
            choose(page, second)
        assert page.evaluate(SPILLS) == [], (first, second)
        assert page.evaluate(CUT_OFF) == [], (first, second)
        assert page.evaluate(OVERLAPS) == [], (first, second)
        while page.locator("h1").count() and page.locator("body[data-nav=fill] h1").count():
            before = page.locator("#content").inner_text()
            page.keyboard.press("Escape")
            if page.locator("#content").inner_text() == before:
                break


def choose(page: Any, name: str) -> None:
    """A choice by its name: a target, or, on a phone, the middle of a wheel turned to it."""
    if page.locator(f'[data-target="{name}"]').count():
        page.locator(f'[data-target="{name}"]').click()
        return
    middle = page.locator('[data-target="use"]')
    for _ in range(20):
        if middle.get_attribute("data-option") in (name, name.capitalize()):
            middle.click()
            return
        page.keyboard.press("PageUp")
    raise AssertionError(f"{name} is not to be chosen")


def test_a_thousand_events_leave_the_page_light_and_right(
    open_helper: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_helper("tablet")
    board.hear(Ear.LISTENING)
    before = page.evaluate("() => document.querySelectorAll('*').length")
    for n in range(1000):
        board.level(-60 + n % 60)
        board.catch(f"words number {n}")
        if n % 10 == 0:
            board.publish(replace(replies["answer"], understood=f"Answer {n}."))
    board.publish(replace(replies["answer"], understood="The last one."))
    board.hear(Ear.WAITING)
    page.locator("#understood", has_text="The last one.").wait_for()
    page.locator("#ear", has_text="waiting").wait_for()
    assert page.locator("#age").inner_text() == "just now"
    assert page.evaluate("() => document.querySelectorAll('*').length") < before + 60
    page.keyboard.press("PageDown")
    assert page.locator("#place").inner_text().startswith("2 of")


def test_markup_from_anywhere_stays_text(open_helper: OpenPage, board: PageBoard) -> None:
    bad = '<img src=x onerror="document.title=1"><script>document.title=2</script>'
    page = open_helper("tablet")
    board.call(bad)
    board.hear(Ear.LISTENING)
    board.catch(bad)
    board.advise(bad)
    board.offer((bad,))
    board.notify(Part.VOICE, bad)
    board.keep_time([Timer(bad, 9.0)])
    page.locator("#faults li", has_text=bad).wait_for()
    page.locator("#timers li", has_text=bad).wait_for()
    page.locator("#now-words", has_text=bad).wait_for()
    assert page.locator("body img, body script").count() == 0


def test_a_megabyte_is_refused_and_the_page_goes_on(
    open_page: OpenPage, board: PageBoard, desk: Any, replies: dict[str, Told]
) -> None:
    page = open_page("laptop")
    status = page.evaluate("""() => fetch("ask", { method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ words: "a".repeat(1e6) }) }).then((reply) => reply.status,
      () => "cut off")""")
    assert status in (413, "cut off")
    assert desk.asked == []
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()


def test_long_words_of_a_reply_are_never_cut(open_page: OpenPage, board: PageBoard) -> None:
    page = open_page("phone")
    word = "w" * 400
    told = Told("answer", word, 1.0, word, "", (), (word, word), technique=(word, "Short."))
    board.publish(told)
    page.locator("#heard", has_text=word).wait_for(state="attached")
    for _ in range(screens(page)):
        assert page.evaluate(SPILLS) == []
        page.keyboard.press("PageDown")


NAMES = """() => [...document.querySelectorAll("button, input")].filter((node) =>
  !(node.getAttribute("aria-label") || node.textContent || node.labels?.length))"""


@pytest.mark.parametrize("device", ["phone", "tablet"])
def test_readers_find_names_places_and_news(
    device: str, open_helper: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_helper(device)
    assert page.evaluate("() => document.documentElement.lang") == "en"
    assert page.title() == "Helper"
    for role in ("banner", "main", "navigation", "contentinfo"):
        assert page.get_by_role(role).count() == 1, role
    page.keyboard.press("Enter")
    for _ in range(3):
        assert page.evaluate(NAMES) == []
        assert page.locator("h1").count() == 1
        page.keyboard.press("Enter")
    board.publish(replies["answer"])
    page.locator("#spoken", has_text="Cutting oxygen, twenty four").wait_for(state="attached")
    assert page.locator("#spoken").get_attribute("aria-live") == "polite"
    assert page.title() == f"Helper: {replies['answer'].understood}"
    board.notify(Part.MICROPHONE, "The microphone is gone.")
    page.get_by_role("alert").filter(has_text="The microphone is gone.").wait_for()


def test_the_keyboard_alone_reaches_every_target_and_shows_where_it_is(
    open_page: OpenPage,
) -> None:
    page = open_page("tablet")
    page.keyboard.press("Enter")
    names = page.locator("button").evaluate_all("(nodes) => nodes.map((n) => n.dataset.target)")
    reached = []
    for _ in names:
        page.keyboard.press("Tab")
        reached.append(page.evaluate("() => document.activeElement.dataset.target"))
        outline = page.evaluate("() => getComputedStyle(document.activeElement).outlineWidth")
        assert float(re.sub("px", "", outline)) >= 2
    assert reached == names
