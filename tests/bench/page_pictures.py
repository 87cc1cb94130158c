"""Draws the documents' two pictures of the page, from a real answer in a real browser.

Run by itself: `python -m tests.bench.page_pictures`. Needs playwright and Chromium; writes PNG
files into tests/browser/pictures.
"""

import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from handsfree.page.app import page_app
from handsfree.page.board import Ear, PageBoard
from handsfree.page.server import PageServer
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words

PICTURES = Path(__file__).resolve().parents[1] / "browser" / "pictures"
ASKED = "what do i set for three quarter plate with a quarter inch tip"


def main() -> None:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        print("No pictures: playwright is not installed.")
        return
    program = shutil.which("chromium")
    if program is None:
        print("No pictures: there is no chromium; install it with: apt-get install chromium")
        return
    board = PageBoard(phrase="fitter's mate")
    app = page_app(lambda words: None, board, press=lambda key: None, speak=lambda said: None)
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as kept,
        PageServer(app, port=0) as server,
        sync_playwright() as driver,
    ):
        told = Session(Settings(Path(kept))).take(Words(ASKED))
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        tablet = opened(browser, server.url, 1180, 820)
        board.hear(Ear.LISTENING)
        board.publish(told)
        board.level(-24)
        board.catch("what about half inch")
        tablet.locator(".figure").first.wait_for()
        tablet.locator("#now-words", has_text="what about").wait_for()
        shoot(tablet, "answer.png")
        board.catch("")
        board.hear(Ear.WAITING)
        phone = opened(browser, server.url, 360, 740)
        for key in ("Enter", "Enter"):
            phone.keyboard.press(key)
        phone.locator("h1", has_text="How thick").wait_for()
        shoot(phone, "asking.png")
        browser.close()


def opened(browser: Any, url: str, width: int, height: int) -> Any:
    size = {"width": width, "height": height}
    page = browser.new_context(viewport=size, has_touch=True, is_mobile=True).new_page()
    page.goto(url)
    page.locator('body[data-live="live"]').wait_for()
    return page


def shoot(page: Any, name: str) -> None:
    page.screenshot(path=PICTURES / name)
    print(f"{name}: {(PICTURES / name).stat().st_size / 1024:.0f} KB")


if __name__ == "__main__":
    main()
    sys.exit(0)
