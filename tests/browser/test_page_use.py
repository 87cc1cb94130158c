"""The page in use: by touch, by keys, by typing, from a voice, and when the link is cut."""

import re
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from handsfree.tell import page_sizes as sizes
from handsfree.tell.page import page_app
from handsfree.tell.page_board import Ear, PageBoard
from handsfree.tell.page_server import PageServer
from handsfree.values import Told

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
VALUE_IS = """(wanted) => new Promise((seen) => {
  const value = document.querySelector('[data-target="use"] .value');
  const look = () => value.textContent === wanted && seen();
  new MutationObserver(look).observe(value, { childList: true, subtree: true });
  look();
})"""
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


def shown(page: Any, words: str) -> None:
    page.locator("#understood", has_text=words).wait_for()


@pytest.mark.parametrize("device", DEVICES)
def test_a_setting_is_asked_in_five_presses(device: str, open_page: OpenPage, desk: Any) -> None:
    page = open_page(device)
    press(page, "ask")
    presses = 0
    hold(page, "more", "1")
    presses += 1
    press(page, "use")
    presses += 1
    hold(page, "less", "1/4")
    presses += 1
    press(page, "use")
    presses += 1
    press(page, "propane")
    presses += 1
    shown(page, "Three quarter inch plate")
    assert presses <= sizes.PRESSES_TO_AN_ANSWER
    assert desk.asked == [
        "what do i set for one inch plate on propane with a tip made for one quarter inch"
    ]


def test_a_gloved_tap_asks_and_turns_the_sheet(open_page: OpenPage, desk: Any) -> None:
    page = open_page("phone")
    target(page, "ask").tap()
    target(page, "more").tap()
    target(page, "use").tap()
    target(page, "use").tap()
    target(page, "acetylene").tap()
    shown(page, "Three quarter inch plate")
    assert desk.asked == [
        "what do i set for five eighths inch plate on acetylene "
        "with a tip made for five eighths inch"
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
    page.locator("h1", has_text="How thick").wait_for()
    page.mouse.up()
    assert page.locator('[data-target="use"] .value').inner_text() == "3/4"


@pytest.mark.parametrize("device", DEVICES)
def test_pedal_keys_alone_ask_and_turn(device: str, open_page: OpenPage, desk: Any) -> None:
    page = open_page(device)
    for key in ("Enter", "PageUp", "PageUp", "PageDown", "Enter", "ArrowDown", " ", "Enter"):
        page.keyboard.press(key)
    shown(page, "Three quarter inch plate")
    assert desk.asked == [
        "what do i set for five eighths inch plate on acetylene with a tip made for one half inch"
    ]
    first = page.locator("#place").inner_text()
    page.keyboard.press(" ")
    assert page.locator("#place").inner_text() != first
    page.keyboard.press("PageUp")
    assert page.locator("#place").inner_text() == first


def test_a_tip_that_is_not_known_is_left_out(open_page: OpenPage, desk: Any) -> None:
    page = open_page("tablet")
    press(page, "ask")
    press(page, "use")
    hold(page, "less", "not known")
    press(page, "use")
    press(page, "acetylene")
    shown(page, "Three quarter inch plate")
    assert desk.asked == ["what do i set for one half inch plate on acetylene"]


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
    press(page, "use")
    page.locator("h1", has_text="made for").wait_for()
    press(page, "back")
    page.locator("h1", has_text="How thick").wait_for()
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
    box = target(page, "one quarter").bounding_box()
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
