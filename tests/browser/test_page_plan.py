"""The plan of a cut on the page: whoever asks for the order sees its one picture first."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words
from tests.browser.measuring import OVERLAPS, SPILLS

pytestmark = pytest.mark.browser
OpenPage = Callable[[str], Any]
ORDER = "what order do i cut a w twelve by twenty six with a quarter inch tip"
DRAWN = "(node) => node.complete && node.naturalWidth > 0 && node.clientHeight"


@pytest.mark.parametrize("device", ("phone", "tablet"))
def test_the_numbered_cuts_stand_on_the_first_screen(
    device: str, open_page: OpenPage, board: PageBoard, tmp_path: Path
) -> None:
    page = open_page(device)
    told = Session(Settings(tmp_path)).take(Words(ORDER))
    assert told.about == "cut_order" and told.plan
    board.publish(told)
    page.locator("#heard", has_text=told.heard).wait_for(state="attached")
    picture = page.locator("#content img")
    picture.wait_for()
    page.wait_for_function("document.querySelector('#content img').complete")
    assert picture.evaluate(DRAWN) > 150
    assert page.evaluate(SPILLS) == []
    assert page.evaluate(OVERLAPS) == []
    page.keyboard.press("PageDown")
    assert page.locator("#content img").count() == 0
