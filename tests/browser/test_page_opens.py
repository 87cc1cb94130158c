"""One request through the page in a real browser; it stands in the quick tier for all the others.

It is typed, goes to the helper's own session, and its answer is on the screen in huge digits.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words


def test_a_request_is_typed_and_its_figures_are_shown(
    tmp_path: Path, desk: Any, board: PageBoard, open_page: Callable[[str], Any]
) -> None:
    session = Session(Settings(tmp_path))
    desk.reply = lambda words: session.take(Words(words))
    page = open_page("tablet")
    page.keyboard.type("how fast on half inch plate")
    page.keyboard.press("Enter")
    page.locator("#understood", has_text="half inch plate").wait_for()
    shown = " ".join(page.locator("body").inner_text().split())
    assert "travel 12 to 14 1/2 in/min" in shown
    assert "Keep a fire watch" in shown
    assert desk.asked == ["how fast on half inch plate"]
