"""The step of a list that is led, on the page: large, one at a time, and answered by touch."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Told, Words
from tests.browser.conftest import Desk
from tests.browser.measuring import OVERLAPS, SPILLS, screens

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
DEVICES = ("phone", "phone-wide", "tablet", "tablet-wide", "laptop")
LISTS = (
    "walk me through a leak test",
    "my oxygen gauge is dead",
    "height check",
    "flashback",
    "walk me through shutting down",
)
LETTER = "(node) => parseFloat(getComputedStyle(node).fontSize)"


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return Session(Settings(tmp_path), leads=True)


def asked(session: Session, *said: str) -> Told:
    for words in said:
        told = session.take(Words(words))
    return told


def wait_for(page: Any, told: Told) -> None:
    page.locator("#heard", has_text=told.heard).wait_for(state="attached")


@pytest.mark.parametrize("device", DEVICES)
@pytest.mark.parametrize("words", LISTS)
def test_a_step_stands_whole_and_alone_with_its_title_and_number(
    device: str, words: str, open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page(device)
    told = asked(session, words)
    assert told.led is not None
    board.publish(told)
    wait_for(page, told)
    shown = page.locator("#content").inner_text()
    assert told.led.say in shown and told.led.ask in shown
    assert f"{told.led.title}: step 1 of {told.led.of}" in shown
    for _ in range(screens(page)):
        assert page.evaluate(SPILLS) == []
        assert page.evaluate(OVERLAPS) == []
        page.keyboard.press("PageDown")


def test_the_sentence_is_larger_than_running_text(
    open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page("laptop")
    told = asked(session, "flashback")
    board.publish(told)
    wait_for(page, told)
    running = page.locator("body").evaluate(LETTER)
    assert page.locator("#content h1").first.evaluate(LETTER) >= 1.5 * running


def test_a_tap_on_what_is_seen_answers_the_step(
    open_page: OpenPage, board: PageBoard, desk: Desk, session: Session
) -> None:
    desk.reply = lambda words: asked(session, words)
    page = open_page("tablet")
    first = asked(session, "walk me through a leak test")
    board.publish(first)
    wait_for(page, first)
    choice = page.locator("button", has_text="Both shut")
    for _ in range(screens(page)):
        if choice.count():
            break
        page.keyboard.press("PageDown")
    choice.click()
    page.locator("#content", has_text="step 2 of 4").wait_for()
    assert desk.asked == ["both shut"]
    assert "soapy water" in page.locator("#content").inner_text()


def test_a_number_is_never_offered_to_a_finger(session: Session) -> None:
    told = asked(session, "walk me through setting pressures", "both loose")
    assert told.led is not None and "gauge" in told.led.ask
    assert not any(any(sign.isdigit() for sign in text) for text in told.options)
    assert {"gauge reads five", "five psi"}.isdisjoint(told.options)


def test_what_to_do_about_a_wrong_answer_is_shown(
    open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page("laptop")
    told = asked(session, "walk me through lighting up", "no gloves")
    board.publish(told)
    wait_for(page, told)
    assert "Gauntlets on first." in page.locator("#content").inner_text()


def test_an_answer_in_between_is_followed_by_the_step(
    open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page("laptop")
    told = asked(session, "walk me through lighting up", "how fast on half inch plate")
    board.publish(told)
    wait_for(page, told)
    seen = ""
    for _ in range(screens(page)):
        seen += page.locator("#content").inner_text()
        page.keyboard.press("PageDown")
    assert "Lighting: step 1 of 5" in seen and "Goggles down" in seen


def test_a_long_caution_of_a_list_leaves_the_step_its_room(
    open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page("phone")
    told = asked(session, "my oxygen gauge is dead")
    board.publish(told)
    wait_for(page, told)
    shown = page.locator("#caution-words").inner_text()
    assert shown in told.cautions and shown != max(told.cautions, key=len)
    running = page.locator("body").evaluate(LETTER)
    assert page.locator("#content p").first.evaluate(LETTER) >= running
    page.keyboard.press("PageDown")
    listed = page.locator("#content").inner_text()
    assert listed.startswith("Cautions") and told.cautions[0] in listed


def test_an_answer_that_was_not_got_is_asked_for_again_with_its_choices(
    open_page: OpenPage, board: PageBoard, session: Session
) -> None:
    page = open_page("phone")
    told = asked(session, "walk me through a leak test", "blue")
    board.publish(told)
    wait_for(page, told)
    assert told.led is not None
    shown = page.locator("#content").inner_text()
    assert shown.startswith("I did not get that.") and told.led.ask in shown
