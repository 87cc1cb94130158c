"""The page of a running helper: what its ears do, what fails, keys held and pressed, steps said."""

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from handsfree.page.board import Ear, PageBoard
from handsfree.values import Key, Part, Pressed, Told
from handsfree.values.timing import Timer

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]


def until(page: Any, met: Callable[[], bool]) -> None:
    """Waits for what the helper is told by the page."""
    for _ in range(400):
        if met():
            return
        page.wait_for_timeout(10)
    raise AssertionError("it never came")


VIRTUAL_KEYS = {"F13": 124, "F14": 125, "F15": 126, "F16": 127}


def pedal(page: Any, key: str, down: bool) -> None:
    """A key beyond F12, as pedals send it; playwright's own keyboard has none."""
    event = {
        "type": "keyDown" if down else "keyUp",
        "key": key,
        "code": key,
        "windowsVirtualKeyCode": VIRTUAL_KEYS[key],
    }
    session = page.context.new_cdp_session(page)
    session.send("Input.dispatchKeyEvent", event)
    session.detach()


def key_goes(page: Any, key: str, down: bool) -> None:
    if key in VIRTUAL_KEYS:
        pedal(page, key, down)
    elif down:
        page.keyboard.down(key)
    else:
        page.keyboard.up(key)


def press(page: Any, key: str) -> None:
    key_goes(page, key, True)
    key_goes(page, key, False)


def test_what_the_ears_do_is_shown_in_words(open_helper: OpenPage, board: PageBoard) -> None:
    board.call("steady hand")
    page = open_helper("tablet")
    for ear, words in [
        (Ear.WAITING, "waiting"),
        (Ear.LISTENING, "listening"),
        (Ear.WORKING, "working"),
        (Ear.SPEAKING, "speaking"),
        (Ear.DEAF, "not listening"),
    ]:
        board.hear(ear)
        page.locator("#ear", has_text=re.compile(f"^{words}$")).wait_for()
        if ear is Ear.WAITING:
            page.locator("#now-words", has_text="Say “steady hand”, then").wait_for()


def test_words_appear_while_they_are_said_and_then_what_can_be_said(
    open_helper: OpenPage, board: PageBoard
) -> None:
    page = open_helper("phone")
    board.offer(("more", "say again", "stop"))
    page.locator("#now-words", has_text="Say: more, say again, stop").wait_for()
    board.hear(Ear.LISTENING)
    board.catch("what do i set for")
    page.locator("#now-words", has_text="“what do i set for”").wait_for()
    board.level(-50)
    page.locator("#now-words", has_text="too quiet").wait_for()
    board.level(-1)
    page.locator("#now-words", has_text="too loud").wait_for()
    board.level(-30)
    page.locator("#now-words", has_text=re.compile("^“what do i set for”$")).wait_for()
    assert page.locator("#meter").is_visible()
    board.level(None)
    page.locator("#meter").wait_for(state="hidden")


def test_a_fault_is_shown_plainly_until_it_is_mended(
    open_helper: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_helper("phone")
    board.publish(replies["refusal"])
    board.notify(Part.MICROPHONE, "The microphone is gone. Plug it in again.")
    page.locator("#faults li", has_text=re.compile("^The microphone is gone.$")).wait_for()
    titles = page.locator("#content h1", has_text="Faults")
    while not titles.count():  # what to do about it stands on a screen of the sheet
        page.keyboard.press("PageDown")
    assert "Plug it in again." in page.locator("#content").inner_text()
    board.notify(Part.MICROPHONE)
    page.locator("#faults").wait_for(state="hidden")
    page.locator("#content", has_text="Plug it in again.").wait_for(state="detached")


@pytest.mark.parametrize("key", [" ", "F13"])
def test_a_talk_key_is_held_as_long_as_it_is_down(
    key: str, open_helper: OpenPage, helper: Any
) -> None:
    page = open_helper("laptop")
    key_goes(page, key, True)
    key_goes(page, key, True)  # browsers repeat a key that is held
    until(page, lambda: len(helper.pressed) == 1)
    key_goes(page, key, False)
    until(page, lambda: len(helper.pressed) == 2)
    assert helper.pressed == [
        Pressed(Key.TALK, True, holds=True),
        Pressed(Key.TALK, False, holds=True),
    ]


def test_a_talk_key_that_is_held_while_the_page_goes_away_comes_up(
    open_helper: OpenPage, helper: Any
) -> None:
    page = open_helper("laptop")
    key_goes(page, "F13", True)
    page.evaluate("() => window.dispatchEvent(new Event('blur'))")
    until(page, lambda: len(helper.pressed) == 2)
    assert not helper.pressed[1].down


def test_pedal_keys_reach_the_helper_and_turn_the_sheet(
    open_helper: OpenPage, board: PageBoard, helper: Any, replies: dict[str, Told]
) -> None:
    page = open_helper("laptop")
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    first = page.locator("#place").inner_text()
    for key in ("PageDown", "PageUp", "F15", "F16"):
        press(page, key)
    until(page, lambda: len(helper.pressed) == 3)
    wanted = [Key.NEXT, Key.AGAIN, Key.STOP]
    assert [pressed.key for pressed in helper.pressed] == wanted
    assert page.locator("#place").inner_text() == first


def test_every_step_of_asking_is_said_and_the_words_go_to_the_helper(
    open_helper: OpenPage, board: PageBoard, helper: Any, replies: dict[str, Told]
) -> None:
    page = open_helper("tablet")
    page.locator('[data-target="ask"]').tap()
    until(page, lambda: helper.said == ["What do you cut? Plate."])
    page.locator('[data-target="pipe"]').tap()
    until(page, lambda: helper.said[1:] == ["Which size of pipe? Four inch."])
    page.keyboard.press("PageUp")
    page.keyboard.press("PageUp")
    until(page, lambda: helper.said[2:] == ["Six inch."])
    press(page, "F14")
    until(page, lambda: helper.said[3:] == ["Which wall?"])
    page.keyboard.press("ArrowRight")
    until(page, lambda: helper.said[4:] == ["Schedule forty."])
    press(page, "F14")
    until(page, lambda: len(helper.said) == 6)
    press(page, "F14")
    until(page, lambda: len(helper.asked) == 1)
    assert helper.said[5] == "What plate is your tip made for? Not known."
    assert helper.asked == ["what do i set for six inch schedule forty pipe"]
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    assert helper.pressed == []


def test_pedals_choose_among_the_answers_to_a_question_and_hear_each(
    open_helper: OpenPage, board: PageBoard, helper: Any, replies: dict[str, Told]
) -> None:
    page = open_helper("laptop")
    board.publish(replies["question"])
    page.locator("h1", has_text="How thick is it?").wait_for()
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    until(page, lambda: helper.said == ["One quarter.", "Three eighths."])
    page.keyboard.press("Enter")
    until(page, lambda: helper.asked == ["three eighths"])
    assert helper.pressed == []


def test_the_talk_target_talks_ends_and_stops(
    open_helper: OpenPage, board: PageBoard, helper: Any
) -> None:
    page = open_helper("tablet")
    target = page.locator('[data-target="talk"]')
    assert target.inner_text() == "Talk"
    box = target.bounding_box()
    page.mouse.move(box["x"] + 50, box["y"] + 50)
    page.mouse.down()
    until(page, lambda: helper.pressed == [Pressed(Key.TALK, True, holds=True)])
    board.hear(Ear.LISTENING)
    page.locator('[data-target="talk"]', has_text="Done").wait_for()
    page.mouse.up()
    until(page, lambda: helper.pressed[1:] == [Pressed(Key.TALK, False, holds=True)])
    target.tap()
    until(page, lambda: helper.pressed[2:] == [Pressed(Key.TALK)])
    board.hear(Ear.SPEAKING)
    page.locator('[data-target="talk"]', has_text="Stop").wait_for()
    target.tap()
    until(page, lambda: helper.pressed[3:] == [Pressed(Key.STOP)])


def test_again_and_more_leave_the_sheet_where_it_was_turned_to(
    open_helper: OpenPage, board: PageBoard, replies: dict[str, Told]
) -> None:
    page = open_helper("tablet")
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    page.keyboard.press("PageDown")
    place = page.locator("#place").inner_text()
    board.publish(replace(replies["answer"], heard="more", sentences=("Travel, four to five.",)))
    page.locator("#heard", has_text="heard: more").wait_for()
    assert page.locator("#place").inner_text() == place
    assert not place.startswith("1 of")


def test_back_turns_back_and_from_the_first_screen_leads_to_the_reply_before(
    open_helper: OpenPage, board: PageBoard, helper: Any, replies: dict[str, Told]
) -> None:
    page = open_helper("laptop")
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    page.keyboard.press("PageDown")
    page.keyboard.press("PageUp")
    page.keyboard.press("PageUp")
    until(page, lambda: [one.key for one in helper.pressed] == [Key.NEXT, Key.BACK])


def test_by_touch_a_sheet_goes_back_by_a_slide_and_by_holding_next(
    open_helper: OpenPage, board: PageBoard, helper: Any, replies: dict[str, Told]
) -> None:
    page = open_helper("tablet")
    board.publish(replies["answer"])
    page.locator("#understood", has_text="Three quarter").wait_for()
    place = page.locator("#place")
    page.locator("#content").tap()
    assert place.inner_text().startswith("2 of")
    page.mouse.move(300, 400)
    page.mouse.down()
    page.mouse.move(450, 420)
    page.mouse.up()
    assert place.inner_text().startswith("1 of")
    box = page.locator('[data-target="next"]').bounding_box()
    page.mouse.move(box["x"] + 50, box["y"] + 50)
    page.mouse.down()
    until(page, lambda: [one.key for one in helper.pressed] == [Key.BACK])
    page.mouse.up()
    assert place.inner_text().startswith("1 of")


def test_times_run_down_and_an_alarm_stands_out(open_helper: OpenPage, board: PageBoard) -> None:
    page = open_helper("phone")
    board.keep_time([Timer("fire watch", 1800.0)])
    page.locator("#timers li", has_text=re.compile("^fire watch(30:00|29:5[89])$")).wait_for()
    board.keep_time([Timer("fire watch", 0.0, ringing=True)])
    page.locator("#timers .ringing", has_text="time is up").wait_for()
    board.keep_time([])
    page.locator("#timers").wait_for(state="hidden")
