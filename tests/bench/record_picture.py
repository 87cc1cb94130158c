"""Draws the documents' picture of a printed record, of lists that were really led.

Run by itself: `python -m tests.bench.record_picture`. Needs playwright and Chromium; writes a PNG
file into tests/browser/pictures. Time passes twenty seconds a turn.
"""

import shutil
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

from handsfree.engine import tables
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.notes import Note
from handsfree.logbook.record import Head, Record
from handsfree.logbook.record_html import record_html
from handsfree.logbook.record_reading import record_of
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words
from handsfree.values.record import RecordKind
from tests.bench.record import answer_to

PICTURES = Path(__file__).resolve().parents[1] / "browser" / "pictures"
BEGIN = datetime(2026, 3, 4, 13, 0, tzinfo=timezone(timedelta(hours=-5)))
TURN_S = 20
HALF_HOUR_S = 1800
ANSWER = "(the answer that the step wants)"
PASSES = "(half an hour passes)"
SAID = (
    "setting the pressures",
    "checked",
    *(ANSWER,) * 5,
    "set the acetylene at twenty psi",
    "shutting down",
    *(ANSWER,) * 2,
    "i can't",
    "stop the list",
    "set the fire watch",
    PASSES,
    PASSES,
)
WIDTH, HEIGHT = 760, 1260


def shift(folder: Path) -> Record:
    """A short afternoon, led and written down."""
    book = Logbook(folder / "logbook.sqlite")
    now = 0

    def wall() -> float:
        return BEGIN.timestamp() + now

    session = Session(Settings(folder), logbook=book, wall=wall, clock=lambda: now, leads=True)
    session.record._clock = lambda: BEGIN + timedelta(seconds=now)
    session.pacing.times.run(lambda: None)
    session.record.put(
        Note(RecordKind.SHIFT, detail={"place": "Bay 4, under the crane rail", "permit": "117"})
    )
    for words in SAID:
        now += HALF_HOUR_S if words == PASSES else TURN_S
        session.pacing.due()
        step = session.lists.led if session.lists is not None else None
        if words == PASSES or (words == ANSWER and step is None):
            continue
        if words == ANSWER and step is not None:
            wanted = tables.step_list(step.key, session.kept.rig).steps[step.number - 1]
            words = answer_to(wanted)
        print(f"{words}: {' '.join(session.take(Words(words)).sentences)}")
    made = BEGIN + timedelta(seconds=now)
    return record_of(book.entries(), book.chain(), Head(), made)


def main() -> None:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        print("No picture: playwright is not installed.")
        return
    program = shutil.which("chromium")
    if program is None:
        print("No picture: there is no chromium; install it with: apt-get install chromium")
        return
    with tempfile.TemporaryDirectory() as kept, sync_playwright() as driver:
        html = record_html(shift(Path(kept)))
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        page.set_content(html)
        page.screenshot(path=PICTURES / "record.png")
        browser.close()


if __name__ == "__main__":
    main()
    sys.exit(0)
