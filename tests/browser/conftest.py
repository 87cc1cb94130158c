"""A real Chromium, a page server on loopback, and replies made by hand."""

import base64
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from handsfree.page.app import page_app
from handsfree.page.board import PageBoard
from handsfree.page.server import PageServer
from handsfree.values import Pressed, Status, Told, ToldFigure

SCREENSHOTS = Path(__file__).resolve().parents[2] / "screenshots"
VIEWPORTS = {
    "phone": {"width": 360, "height": 740, "touch": True},
    "phone-old": {"width": 360, "height": 640, "touch": True},
    "phone-wide": {"width": 740, "height": 360, "touch": True},
    "tablet": {"width": 820, "height": 1180, "touch": True},
    "tablet-wide": {"width": 1180, "height": 820, "touch": True},
    "laptop": {"width": 1366, "height": 768, "touch": False},
    "wall": {"width": 1920, "height": 1080, "touch": False},
}
HANDBOOK = "An invented handbook, table 4, page 12"


def figure(name: str, label: str, low: float, high: float, unit: str, digits: str) -> ToldFigure:
    return ToldFigure(name, label, low, high, unit, digits, digits, HANDBOOK, Status.READ)


FIGURES = (
    figure("oxygen_pressure", "cutting oxygen", 24, 35, "psi", "24-35"),
    figure("fuel_pressure", "acetylene", 4, 5, "psi", "4-5"),
    ToldFigure(
        "travel_speed", "travel", 4, 5, "in/min", "4-5", "four to five", HANDBOOK,
        Status.COMMON_PRACTICE, "separation only",
    ),
    figure("kerf", "kerf", 0.06, 0.08, "in", "0.06-0.08"),
    figure("shade", "filter shade", 3, 5, "", "3-5"),
    figure("standoff", "preheat cones off the plate", 0.125, 0.125, "in", "1/8"),
)  # fmt: skip

ANSWER = Told(
    kind="answer",
    heard="what do i set for three quarter plate with a quarter inch tip",
    sureness=0.97,
    understood="Three quarter inch plate, acetylene, tip made for one quarter.",
    about="setting",
    request=(("about", "setting"), ("thickness_mm", 19.05), ("fuel", "acetylene")),
    sentences=(
        "Three quarter inch plate, acetylene, tip made for one quarter.",
        "The tip is too small.",
        "Cutting oxygen, twenty four to thirty five p s i.",
        "Never set acetylene above fifteen p s i.",
        "More?",
    ),
    figures=FIGURES,
    technique=(
        "Use a heavy preheat flame.",
        "Weave a little to widen the kerf.",
        "Travel slowly, and stop when the drag lines bend far back.",
    ),
    cautions=(
        "Never set acetylene above 15 psi.",
        "Keep a fire watch after the cut.",
        "Shade 3 to 5 over the eyes.",
    ),
    notes=("The travel speed is common practice, not from a table.",),
    sources=(HANDBOOK, "29 CFR 1910.253(a)(2)"),
)
QUESTION = Told(
    kind="question", heard="what do i set for plate", sureness=0.9, understood="Plate.",
    about="setting", request=(("about", "setting"),),
    sentences=("Plate.", "How thick is it?", "One quarter, three eighths, or one half?", "More?"),
    options=("one quarter", "three eighths", "one half", "three quarters", "one inch",
             "one and one half", "two inch"),
)  # fmt: skip
REFUSAL = Told(
    kind="refusal", heard="set acetylene at twenty", sureness=1, understood="Acetylene at 20 psi.",
    about="fuel_pressure", request=(("about", "fuel_pressure"),),
    sentences=("Acetylene at 20 psi.", "Acetylene above 15 psi can explode by itself.",
               "29 CFR 1910.253(a)(2).", "Set 5 psi, and ask for a larger tip if it starves."),
    cautions=("Never set acetylene above 15 psi.",), sources=("29 CFR 1910.253(a)(2)",),
)  # fmt: skip
NOT_UNDERSTOOD = Told(
    kind="not_understood", heard="pass me the grinder", sureness=0.4, understood="", about="",
    request=(),
    sentences=("That was no request that I know.", "You can say, which tip for one inch."),
    options=("what do i set for half inch plate", "which tip for one inch", "help"),
)  # fmt: skip
STEPS = Told(
    kind="steps", heard="how do i shut down", sureness=1, understood="Shutting down.",
    about="steps", request=(("about", "steps"),), sentences=("Shutting down.",),
    technique=tuple(f"Step that is done as number {n}, and then looked at again." for n in
                    range(1, 10)),
    cautions=("Bleed both hoses before you leave the rig.",),
)  # fmt: skip


READ_INK = """async (png) => {
  const image = new Image();
  image.src = `data:image/png;base64,${png}`;
  await image.decode();
  const canvas = document.querySelector("canvas");
  canvas.width = image.width;
  canvas.height = image.height;
  const pen = canvas.getContext("2d");
  pen.drawImage(image, 0, 0);
  const { data } = pen.getImageData(0, 0, image.width, image.height);
  const colours = {};
  let [top, bottom, left, right] = [image.height, -1, image.width, -1];
  for (let at = 0; at < data.length; at += 4) {
    const colour = `${data[at]},${data[at + 1]},${data[at + 2]}`;
    colours[colour] = (colours[colour] ?? 0) + 1;
    if (data[at] > 127) continue;
    const x = (at / 4) % image.width;
    const y = Math.floor(at / 4 / image.width);
    [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
    [left, right] = [Math.min(left, x), Math.max(right, x)];
  }
  return { colours, height: bottom - top + 1, width: right - left + 1 };
}"""


class Desk:
    """Answers words as it was told to, and keeps what it was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.reply: Callable[[str], Told] = lambda _words: ANSWER

    def __call__(self, words: str) -> Told:
        self.asked.append(words)
        return self.reply(words)


class Helper:
    """A running helper as the page sees it: what it was told, pressed and made to say."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.pressed: list[Pressed] = []
        self.said: list[str] = []


@pytest.fixture
def helper() -> Helper:
    return Helper()


@pytest.fixture
def helper_server(helper: Helper, board: PageBoard) -> Iterator[PageServer]:
    app = page_app(
        helper.asked.append, board, press=helper.pressed.append, speak=helper.said.append
    )
    with PageServer(app, port=0) as running:
        yield running


@pytest.fixture
def replies() -> dict[str, Told]:
    return {
        "answer": ANSWER,
        "question": QUESTION,
        "refusal": REFUSAL,
        "not_understood": NOT_UNDERSTOOD,
        "steps": STEPS,
    }


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def board() -> PageBoard:
    return PageBoard()


@pytest.fixture
def server(desk: Desk, board: PageBoard) -> Iterator[PageServer]:
    with PageServer(page_app(desk, board), port=0) as running:
        yield running


@pytest.fixture(scope="module")  # its event loop must not outlive the file
def launch() -> Iterator[Callable[..., Any]]:
    """Starts a browser with further options; Any, because playwright may be missing."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("no chromium on this machine; install it with: apt-get install chromium")
    with playwright.sync_playwright() as driver:
        yield lambda *options: driver.chromium.launch(
            executable_path=program, args=["--no-sandbox", *options]
        )


@pytest.fixture(scope="module")
def chromium(launch: Callable[..., Any]) -> Iterator[Any]:
    """The browser."""
    browser = launch()
    yield browser
    browser.close()


@pytest.fixture
def ink(chromium: Any) -> Iterator[Callable[[bytes], dict[str, Any]]]:
    """Reads a screenshot: its colours with their counts, and the box of what is dark in it."""
    page = chromium.new_page()
    page.set_content("<canvas></canvas>")

    def read(png: bytes) -> dict[str, Any]:
        result: dict[str, Any] = page.evaluate(READ_INK, base64.b64encode(png).decode())
        return result

    yield read
    page.close()


@pytest.fixture
def open_page(
    chromium: Any, server: PageServer, request: pytest.FixtureRequest
) -> Iterator[Callable[[str], Any]]:
    """Opens the page alone at a viewport."""
    yield from _opening(chromium, server, request.node.name)


@pytest.fixture
def open_helper(
    chromium: Any, helper_server: PageServer, request: pytest.FixtureRequest
) -> Iterator[Callable[[str], Any]]:
    """Opens the page of a running helper at a viewport."""
    yield from _opening(chromium, helper_server, request.node.name)


def _opening(chromium: Any, server: PageServer, test: str) -> Iterator[Callable[[str], Any]]:
    """A script error or a blocked request fails the test; its last screens are kept, to look at.

    A cut link or a helper that fails is no script's fault: the page is expected to show it.
    """
    contexts = []
    faults: list[str] = []

    def opened(viewport: str) -> Any:
        size = VIEWPORTS[viewport]
        context = chromium.new_context(
            viewport={"width": size["width"], "height": size["height"]},
            has_touch=size["touch"], is_mobile=size["touch"],
            service_workers="block",  # its copies would outlive a test; they have one of their own
        )  # fmt: skip
        contexts.append(context)
        context.set_default_timeout(8000)
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.on("console", lambda line: faults.extend([line.text] if line.type == "error" else []))
        page.goto(server.url)
        page.locator('body[data-live="live"]').wait_for()
        return page

    yield opened
    SCREENSHOTS.mkdir(exist_ok=True)
    name = re.sub(r"[^\w.-]+", "-", test)
    for number, context in enumerate(contexts):
        context.pages[0].screenshot(path=SCREENSHOTS / f"{name}-{number}.png")
        context.close()
    assert not [
        fault for fault in faults if not re.search("ERR_CONNECTION|status of (413|500)", fault)
    ]
