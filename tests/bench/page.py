"""The page in a real browser: from an event to pixels, its weight, its first paint, a busy minute.

Run by itself: `python -m tests.bench.page`. Needs playwright and Chromium. What is on the glass is
taken from the browser: the moment after the next frame has been drawn (two animation frames after
the change), on the same clock as the event.
"""

import os
import platform
import resource
import shutil
import statistics
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from importlib.metadata import version
from typing import Any

from handsfree.page.app import page_app, page_files
from handsfree.page.board import Ear, PageBoard
from handsfree.page.server import PageServer
from handsfree.values import Pressed, Status, Told, ToldFigure

EVENT_MS, WEIGHT_KB, PAINT_S = 100.0, 150.0, 1.0
EVENTS, COLD_STARTS, A_MINUTE = 60, 9, 1000
TABLET: Any = {"width": 820, "height": 1180}

WATCH = """(at) => {
  window.seen = new Promise((done) => {
    const node = document.querySelector(at.where);
    const look = () => {
      if (!node.textContent.includes(at.what)) return;
      watch.disconnect();
      requestAnimationFrame(() => requestAnimationFrame(
        () => done(performance.timeOrigin + performance.now())));
    };
    const watch = new MutationObserver(look);
    watch.observe(node, { childList: true, subtree: true, characterData: true });
    look();
  });
}"""
PAINT = """() => new Promise((done) => {
  const seen = () => performance.getEntriesByName("first-contentful-paint")[0];
  const look = () => (seen() ? done(seen().startTime) : setTimeout(look, 20));
  look();
})"""
HEAP = "() => performance.memory?.usedJSHeapSize ?? 0"


def told(words: str) -> Told:
    """An answer of a usual size."""
    pair = (("cutting oxygen", "24-35", "psi"), ("acetylene", "4-5", "psi"))
    rest = (("travel", "16-20", "in/min"), ("filter shade", "3-5", ""), ("kerf", "1/16", "in"))
    figures = tuple(
        ToldFigure(label, label, 1, 2, unit, digits, digits, "A handbook, table 4", Status.READ)
        for label, digits, unit in (*pair, *rest)
    )
    return Told(
        "answer", words, 1.0, words, "setting", (("about", "setting"),), (words, "More?"),
        figures=figures, technique=("Use a heavy preheat flame.", "Travel slowly.") * 3,
        cautions=("Never set acetylene above 15 psi.", "Keep a fire watch."), notes=("A note.",),
        sources=("A handbook, table 4",),
    )  # fmt: skip


def to_pixels(page: Any, where: str, what: str, cause: Callable[[], None]) -> float:
    """Milliseconds from the event to the frame that shows it."""
    page.evaluate(WATCH, {"where": where, "what": what})
    began = time.time()
    cause()
    return float(page.evaluate("() => window.seen")) - began * 1000


def event_times(page: Any, board: PageBoard) -> dict[str, list[float]]:
    replies, words, ears = [], [], []
    for n in range(EVENTS):
        answer, heard = told(f"Answer number {n}."), f"words that were heard {n}"
        board.hear(Ear.LISTENING)
        page.locator("#ear", has_text="listening").wait_for()
        replies.append(
            to_pixels(page, "#understood", answer.understood, partial(board.publish, answer))
        )
        words.append(to_pixels(page, "#now-words", heard, partial(board.catch, heard)))
        ears.append(to_pixels(page, "#ear", "speaking", partial(board.hear, Ear.SPEAKING)))
    return {"a reply": replies, "words as they are said": words, "what the ears do": ears}


def key_times(page: Any, pressed: list[float]) -> list[float]:
    """Milliseconds from a key in the browser to the helper."""
    page.evaluate(
        "() => addEventListener('keydown', () =>"
        " (window.down = performance.timeOrigin + performance.now()), true)"
    )
    times = []
    for _ in range(EVENTS // 2):
        count = len(pressed)
        page.keyboard.press("Escape")
        while len(pressed) == count:
            page.wait_for_timeout(1)
        times.append(pressed[-1] * 1000 - float(page.evaluate("() => window.down")))
    return times


def first_paints(browser: Any, url: str) -> list[float]:
    """Seconds to the first paint, each in a browser that has never seen the page."""
    times = []
    for _ in range(COLD_STARTS):
        context = browser.new_context(viewport=TABLET)
        page = context.new_page()
        page.goto(url)
        times.append(float(page.evaluate(PAINT)) / 1000)
        context.close()
    return times


def busy_minute(pages: list[Any], board: PageBoard) -> tuple[float, float, bool]:
    """A thousand events in a minute: share of a core, growth of heaps in MB, whether all came."""
    heap = sum(float(page.evaluate(HEAP)) for page in pages)
    used, began = _cpu(), time.monotonic()

    def happen() -> None:
        for n in range(A_MINUTE):
            if n % 50 == 0:
                board.publish(told(f"Busy {n}."))
            board.level(-60 + n % 60)
            board.catch(f"word {n}")
            next_at = began + (n + 1) * 60 / A_MINUTE
            time.sleep(max(0.0, next_at - time.monotonic()))

    thread = threading.Thread(target=happen)
    thread.start()
    while thread.is_alive():
        pages[0].wait_for_timeout(200)
    board.publish(told("The last."))
    for page in pages:
        page.locator("#understood", has_text="The last.").wait_for()
    share = (_cpu() - used) / (time.monotonic() - began)
    grown = (sum(float(page.evaluate(HEAP)) for page in pages) - heap) / 2**20
    right = all(page.locator("#age").inner_text() == "just now" for page in pages)
    return share, grown, right


def _cpu() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def main() -> None:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        print("Not measured: playwright is not installed.")
        return
    program = shutil.which("chromium")
    if program is None:
        print("Not measured: there is no chromium; install it with: apt-get install chromium")
        return
    weight = sum(len(content) for content, _media in page_files().values()) / 1024
    pressed: list[float] = []

    def press(_pressed: Pressed) -> None:
        pressed.append(time.time())

    board = PageBoard()
    app = page_app(lambda words: None, board, press=press, speak=lambda sentence: None)
    with PageServer(app, port=0) as server, sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--enable-precise-memory-info"]
        )
        name = browser.version
        paints = first_paints(browser, server.url)
        pages = [browser.new_context(viewport=TABLET).new_page() for _ in range(2)]
        for page in pages:
            page.goto(server.url)
            page.locator('body[data-live="live"]').wait_for()
        times = event_times(pages[0], board)
        board.publish(told("For the keys."))
        keys = key_times(pages[0], pressed)
        share, grown, right = busy_minute(pages, board)
        browser.close()

    print("figure | measured | bar | met or short")
    for what, found in times.items():
        middle, late = statistics.median(found), statistics.quantiles(found, n=20)[-1]
        _row(f"{what}: event to pixels, median", f"{middle:.0f} ms", EVENT_MS, middle)
        print(f"{what}: event to pixels, 95th percentile | {late:.0f} ms | - | -")
    _row("page in all", f"{weight:.1f} KB", WEIGHT_KB, weight, "KB")
    paint = statistics.median(paints)
    _row("first paint, median", f"{paint:.2f} s", PAINT_S, paint, "s")
    print(f"first paint, worst of {COLD_STARTS} | {max(paints):.2f} s | - | -")
    print(f"key in the browser to the helper, median | {statistics.median(keys):.0f} ms | - | -")
    print(f"{A_MINUTE} events a minute, two pages: of a core | {100 * share:.1f} % | - | -")
    print(f"the same: growth of both pages' heaps | {grown:.1f} MB | - | -")
    print(f"the same: last event on both pages | {'yes' if right else 'no'} | - | -")
    print()
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f},")
    print(f"Python {platform.python_version()}, Chromium {name} headless, loopback,")
    print(
        f"starlette {version('starlette')}, uvicorn {version('uvicorn')}; {EVENTS} events of a kind"
    )


def _row(figure: str, measured: str, bar: float, value: float, unit: str = "ms") -> None:
    print(f"{figure} | {measured} | {bar:g} {unit} | {'met' if value <= bar else 'short'}")


if __name__ == "__main__":
    main()
    sys.exit(0)
