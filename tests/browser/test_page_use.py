"""The page in use: by touch, by keys, by typing, from a voice, and when the link is cut."""

import re
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from handsfree.page import sizes as sizes
from handsfree.page.app import page_app
from handsfree.page.board import Ear, PageBoard
from handsfree.page.server import PageServer
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Told, Words
from tests.browser.conftest import ANSWER
from tests.browser.measuring import screens

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
VALUE_IS = """(wanted) => new Promise((seen) => {
  const value = document.querySelector('[data-target="use"] .value');
  const look = () => value.textContent === wanted && seen();
  new MutationObserver(look).observe(value, { childList: true, subtree: true });
  look();
})"""
VALUE = "() => document.querySelector('[data-target=\"use\"] .value').textContent"
SLIDE_STEP = "() => 7 * parseFloat(document.documentElement.style.getPropertyValue('--mm'))"
DEVICES = ("phone", "phone-wide", "tablet", "tablet-wide", "laptop")


def target(page: Any, name: str) -> Any:
    return page.locator(f'[data-target="{name}"]')


def press(page: Any, name: str) -> None:
    """One press and release in the middle of a target."""
    target(page, name).click()


def hold(page: Any, name: str, until: str) -> None:
    """One long press, lifted when the wheel shows what is wanted."""
    box = target(page, name).bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.evaluate(VALUE_IS, until)
    page.mouse.up()


def slide(page: Any, to: str) -> None:
    """One press that slides over the value until it shows what is wanted, and lifts."""
    box = target(page, "use").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    step = page.evaluate(SLIDE_STEP)
    page.mouse.move(x, y)
    page.mouse.down()
    for steps in sorted(range(-60, 61), key=abs):
        page.mouse.move(x, y - step * steps)
        if page.evaluate(VALUE) == to:
            page.mouse.up()
            return
    raise AssertionError(f"{to} is not on this wheel")


def pick(page: Any, name: str) -> None:
    """One press on a choice: its target, or, on a phone, a slide of the wheel of choices."""
    words = name[0].upper() + name[1:]
    choice = page.locator("#targets button:not([data-target=use])", has_text=whole(words))
    if page.evaluate("() => innerWidth < 600") or not choice.count():
        slide(page, words)
    else:
        choice.click()


def whole(words: str) -> re.Pattern[str]:
    return re.compile(f"^{re.escape(words)}(schedule|wall)?$")


def shown(page: Any, words: str) -> None:
    page.locator("#understood", has_text=words).wait_for()


def test_a_list_of_work_is_shown_piece_by_piece_and_ticked_off_by_touch(
    open_page: OpenPage, desk: Any, board: PageBoard, tmp_path: Path
) -> None:
    session = Session(Settings(tmp_path))
    desk.reply = lambda words: session.take(Words(words))
    board.publish(session.take(Words("going up: six feet of half plate, two W12x26")))
    page = open_page("tablet")
    page.keyboard.press("ArrowRight")
    assert "2 x W12X26" in page.locator("#content ol").text_content()
    page.keyboard.press("ArrowRight")
    page.locator("#content img").wait_for()
    for _ in range(screens(page) - 3):
        page.keyboard.press("ArrowRight")
    press(page, "work")
    press(page, "done")
    page.locator("#targets button", has_text="W12X26").click()
    shown(page, "one cut of w twelve by twenty six")
    assert desk.asked == ["done number two"]


@pytest.mark.parametrize("device", ["phone", "tablet"])
def test_a_piece_is_picked_for_the_work_list_and_asks_for_no_tip(
    device: str, open_page: OpenPage, desk: Any, board: PageBoard
) -> None:
    board.publish(ANSWER)
    desk.reply = lambda _words: replace(ANSWER, understood="It is on the list.")
    page = open_page(device)
    page.keyboard.press("ArrowLeft")
    pick(page, "work list")
    pick(page, "add a piece")
    pick(page, "plate")
    slide(page, "1")
    shown(page, "It is on the list")
    assert desk.asked == ["add one inch plate"]


WAYS = [
    (["plate", "1", "1/4"],
     "what do i set for one inch plate with a tip made for quarter inch"),
    (["plate", "10 ga", "Not known"], "what do i set for ten gauge sheet"),
    (["pipe", "6", "80", "1/2"],
     "what do i set for six inch schedule eighty pipe with a tip made for half inch"),
    (["section", "angle", "3/8", "3/8"],
     "what do i set for three eighths inch angle with a tip made for three eighths inch"),
    (["tube or bar", "square tube", "1/4", "1/4"],
     "what do i set for square tube with a quarter inch wall with a tip made for quarter inch"),
    (["metal or gas", "gas", "propane", "3/4"],
     "what do i set for three quarter inch plate on propane"),
    (["metal or gas", "hard steel", "tool steel", "3/4"],
     "what do i set for three quarter inch tool steel plate"),
    (["metal or gas", "coated", "galvanised", "3/4"],
     "what do i set for galvanised three quarter inch plate"),
    (["metal or gas", "not steel", "cast iron"], "what do i set for cast iron"),
]  # fmt: skip


@pytest.mark.parametrize(("picks", "words"), WAYS, ids=[way[0][-2] for way in WAYS])
@pytest.mark.parametrize("device", ["phone", "tablet", "laptop"])
def test_whatever_is_cut_is_answered_after_five_presses_at_most(
    device: str, picks: list[str], words: str, open_page: OpenPage, desk: Any
) -> None:
    page = open_page(device)
    press(page, "ask")
    presses = 1
    for name in picks:
        pick(page, name)
        presses += 1
    shown(page, "Three quarter inch plate")
    assert presses <= sizes.PRESSES_TO_AN_ANSWER
    assert desk.asked == [words]


@pytest.mark.parametrize("device", DEVICES)
def test_holding_what_turns_the_wheel_does_without_a_slide(
    device: str, open_page: OpenPage, desk: Any
) -> None:
    page = open_page(device)
    press(page, "ask")
    press(page, "use" if target(page, "use").count() else "plate")
    hold(page, "more", "1")
    press(page, "use")
    press(page, "use")
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["what do i set for one inch plate with a tip made for one inch"]


@pytest.mark.parametrize("device", ["tablet", "laptop"])
def test_what_stock_lacks_is_found_among_finer_steps_and_millimetres(
    device: str, open_page: OpenPage, desk: Any
) -> None:
    page = open_page(device)
    press(page, "ask")
    press(page, "plate")
    press(page, "ring")
    assert page.evaluate(VALUE) == "1/2"
    press(page, "more")
    assert page.evaluate(VALUE) == "17/32"
    press(page, "ring")
    assert page.evaluate(VALUE) == "12 mm"  # 13.5 mm lies a hair nearer to it than to 15
    press(page, "use")
    slide(page, "Not known")
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["what do i set for twelve millimetre plate"]


def test_a_slide_that_the_device_takes_away_takes_nothing(open_page: OpenPage, desk: Any) -> None:
    page = open_page("phone")
    press(page, "ask")
    press(page, "use")
    page.locator("h1", has_text="How thick").wait_for()
    target(page, "use").evaluate("""(node) => {
      const at = (type, y) => node.dispatchEvent(new PointerEvent(type,
        { bubbles: true, pointerId: 1, clientX: 150, clientY: y }));
      node.setPointerCapture = () => {};
      at("pointerdown", 400); at("pointermove", 250); at("pointercancel", 250);
    }""")
    assert page.evaluate(VALUE) == "1/2"
    assert page.locator("h1", has_text="How thick").is_visible()


def test_a_glove_that_slips_a_little_taps(open_page: OpenPage) -> None:
    page = open_page("phone")
    press(page, "ask")
    press(page, "use")
    page.locator("h1", has_text="How thick").wait_for()
    box = target(page, "use").bounding_box()
    page.mouse.move(box["x"] + 50, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(box["x"] + 50, box["y"] + 10)
    page.mouse.up()
    page.locator("h1", has_text="made for").wait_for()
    assert page.evaluate(VALUE) == "1/2"


def test_holding_the_middle_of_a_phone_s_wheel_leads_back(open_page: OpenPage) -> None:
    page = open_page("phone")
    press(page, "ask")
    press(page, "use")
    page.locator("h1", has_text="How thick").wait_for()
    box = target(page, "use").bounding_box()
    page.mouse.move(box["x"] + 50, box["y"] + 30)
    page.mouse.down()
    page.locator("h1", has_text="What do you cut").wait_for()
    page.mouse.up()
    assert page.locator("h1", has_text="What do you cut").is_visible()


def test_a_gloved_tap_asks_and_turns_the_sheet(open_page: OpenPage, desk: Any) -> None:
    page = open_page("phone")
    for name in ("ask", "use", "more", "use", "use"):
        target(page, name).tap()
    shown(page, "Three quarter inch plate")
    assert desk.asked == [
        "what do i set for nine sixteenths inch plate with a tip made for nine sixteenths inch"
    ]
    page.locator('.figure[data-name="oxygen_pressure"]').tap()
    page.locator('.figure[data-name="fuel_pressure"]').wait_for()


def test_holding_the_sheet_of_a_phone_asks(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page("phone")
    board.publish(replies["answer"])
    shown(page, "Three quarter inch plate")
    page.mouse.move(150, 350)
    page.mouse.down()
    page.locator("h1", has_text="What do you cut").wait_for()
    page.mouse.up()
    press(page, "use")
    assert page.evaluate(VALUE) == "3/4"


@pytest.mark.parametrize("device", DEVICES)
def test_pedal_keys_alone_ask_and_turn(device: str, open_page: OpenPage, desk: Any) -> None:
    page = open_page(device)
    keys = ("Enter", "Enter", "PageUp", "PageUp", "PageDown", "Enter", "ArrowDown", " ")
    for key in keys:
        page.keyboard.press(key)
    shown(page, "Three quarter inch plate")
    assert desk.asked == [
        "what do i set for nine sixteenths inch plate with a tip made for half inch"
    ]
    first = page.locator("#place").inner_text()
    page.keyboard.press(" ")
    assert page.locator("#place").inner_text() != first
    page.keyboard.press("PageUp")
    assert page.locator("#place").inner_text() == first


def test_typed_words_are_asked(open_page: OpenPage, desk: Any) -> None:
    page = open_page("laptop")
    page.keyboard.type("what tip for 1 inch")
    page.keyboard.press("Enter")
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["what tip for 1 inch"]


def test_options_of_a_question_are_targets_with_more_behind_them(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told], desk: Any
) -> None:
    page = open_page("tablet")
    board.publish(replies["question"])
    page.locator("h1", has_text="How thick is it?").wait_for()
    press(page, "more")
    press(page, "two inch")
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["two inch"]


def test_options_are_chosen_by_pedal_keys(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told], desk: Any
) -> None:
    page = open_page("laptop")
    board.publish(replies["question"])
    page.locator("h1", has_text="How thick is it?").wait_for()
    for key in ("PageDown", "PageDown", "PageDown", "PageUp", " "):
        page.keyboard.press(key)
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["three eighths"]


def test_back_leads_out_of_asking_also_with_the_device_s_own_key(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page("tablet")
    board.publish(replies["answer"])
    shown(page, "Three quarter inch plate")
    press(page, "ask")
    press(page, "plate")
    press(page, "use")
    page.locator("h1", has_text="made for").wait_for()
    press(page, "back")
    page.locator("h1", has_text="How thick").wait_for()
    page.go_back()
    page.locator("h1", has_text="What do you cut").wait_for()
    page.go_back()
    page.locator(".figure").first.wait_for()


def test_a_refusal_says_no_and_why(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page("tablet")
    board.publish(replies["refusal"])
    page.locator("h1", has_text=re.compile("^No$")).wait_for()
    text = page.locator("#content").inner_text()
    for sentence in replies["refusal"].sentences[1:]:
        assert sentence in text


def test_not_understood_shows_what_was_heard_and_what_can_be_said(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_page("tablet")
    board.publish(replies["not_understood"])
    page.locator("h1", has_text="Not understood").wait_for()
    assert page.locator("#heard").inner_text() == "heard: pass me the grinder"
    for words in replies["not_understood"].options:
        assert target(page, words).is_visible()


def test_a_voice_event_reaches_two_pages_and_closes_what_was_open(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    pages = [open_page("tablet"), open_page("phone")]
    press(pages[0], "ask")
    board.hear(Ear.LISTENING)
    for page in pages:
        page.locator("#ear", has_text=re.compile("^listening$")).wait_for()
    board.publish(replies["answer"])
    for page in pages:
        shown(page, "Three quarter inch plate")
        assert page.locator('.figure[data-name="oxygen_pressure"]').is_visible()
        assert page.locator("#age").inner_text() == "just now"


def test_a_press_that_began_on_the_last_screen_does_nothing(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told], desk: Any
) -> None:
    page = open_page("phone")
    board.publish(replies["question"])
    page.locator("h1", has_text="How thick is it?").wait_for()
    box = target(page, "use").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    board.publish(replies["answer"])
    shown(page, "Three quarter inch plate")
    page.mouse.up()
    assert page.locator("#place").inner_text().startswith("1 of")
    assert desk.asked == []


def test_a_cut_link_is_unmistakable_and_heals_by_itself(
    chromium: Any, board: PageBoard, desk: Any, replies: dict[str, Told]
) -> None:
    first = PageServer(page_app(desk, board), port=0).start()
    port = int(first.url.split(":")[2].strip("/"))
    page = chromium.new_page(viewport={"width": 820, "height": 1180})
    try:
        page.goto(first.url)
        board.publish(replies["answer"])
        shown(page, "Three quarter inch plate")
        assert page.locator("body").get_attribute("data-live") == "live"
        first.stop()
        page.locator("#warning", has_text="has stopped").wait_for()
        assert page.locator("#ear").inner_text() == "no link"
        hollow = page.locator(".number").first.evaluate("(node) => getComputedStyle(node).color")
        assert hollow == "rgb(255, 255, 255)"
        fresh = PageBoard()
        fresh.publish(replace(replies["answer"], understood="One inch plate."))
        with PageServer(page_app(desk, fresh), port=port):
            shown(page, "One inch plate.")
            assert page.locator("#warning").is_hidden()
    finally:
        first.stop()
        page.close()


def test_a_silent_link_counts_as_lost(chromium: Any, desk: Any, replies: dict[str, Told]) -> None:
    board = PageBoard(alive=600)  # a helper that hangs: the connection stands, nothing comes
    board.publish(replies["answer"])
    page = chromium.new_page()
    try:
        with PageServer(page_app(desk, board), port=0) as server:
            page.clock.install()
            page.goto(server.url)
            shown(page, "Three quarter inch plate")
            page.route("**/events", lambda route: route.abort())
            page.clock.run_for(int(1000 * sizes.LOST_S) + 1500)
            page.locator("#warning", has_text="No link to the helper for").wait_for()
    finally:
        page.close()


def test_an_old_answer_never_looks_live(chromium: Any, desk: Any, replies: dict[str, Told]) -> None:
    shift = [0.0]
    board = PageBoard(clock=lambda: time.monotonic() + shift[0])
    board.publish(replies["answer"])
    shift[0] = sizes.OLD_S + 60
    page = chromium.new_page()
    try:
        with PageServer(page_app(desk, board), port=0) as server:
            page.goto(server.url)
            page.locator("#warning", has_text="Old answer, 6 min ago").wait_for()
            assert page.locator("body").get_attribute("data-live") == "old"
    finally:
        page.close()


def test_markup_in_words_stays_text(
    open_page: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    bad = '<img src=x onerror="document.title=1"><script>document.title=2</script>'
    page = open_page("tablet")
    figure = replace(replies["answer"].figures[0], label=bad, digits=bad, unit=bad, note=bad)
    board.publish(
        replace(
            replies["answer"], heard=bad, understood=bad, figures=(figure,), technique=(bad,),
            cautions=(bad, bad), notes=(bad,), sources=(bad,), options=(bad,),
        )
    )  # fmt: skip
    shown(page, bad)
    for _ in range(7):
        assert page.locator("main img, main script, aside img").count() == 0
        page.keyboard.press("PageDown")
    assert page.title() == f"Helper: {bad}"


def test_a_fault_of_the_helper_is_said_and_the_old_answer_stays(
    open_page: OpenPage, board: PageBoard, desk: Any, replies: dict[str, Told]
) -> None:
    from handsfree.errors import SettingsError

    def broken(_words: str) -> Told:
        raise SettingsError("The tip box cannot be read. Mend or remove it.")

    page = open_page("laptop")
    board.publish(replies["answer"])
    shown(page, "Three quarter inch plate")
    desk.reply = broken
    page.keyboard.type("help")
    page.keyboard.press("Enter")
    page.locator("#warning", has_text="The tip box cannot be read.").wait_for()
