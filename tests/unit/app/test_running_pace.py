"""Times of the helper as a user starts it: a kill ends none of them, and the page counts on."""

import json
import os
import signal
import time
from pathlib import Path

import pytest

from handsfree.store.pace_files import TIMERS_FILE
from tests.running_helper import RunningHelper


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """A home of the test's own, and no sound system."""
    return {
        **os.environ,
        "HANDSFREE_HOME": str(tmp_path / "kept"),
        "PULSE_SERVER": f"unix:{tmp_path / 'none'}",
        "XDG_RUNTIME_DIR": str(tmp_path),
    }


def left(helper: RunningHelper) -> dict[str, float]:
    """The times on the page, each with the seconds that are left."""
    return {timer["name"]: timer["left"] for timer in helper.page()["timers"]}


def test_a_killed_helper_goes_on_with_its_fire_watch(env: dict[str, str], tmp_path: Path) -> None:
    with RunningHelper(env) as helper:
        helper.ask("set the fire watch")
        helper.reach(lambda: "fire watch" in left(helper))
        assert left(helper)["fire watch"] == pytest.approx(3600, abs=30)
        helper.process.send_signal(signal.SIGKILL)
        helper.process.wait(20)
    path = tmp_path / "kept" / TIMERS_FILE
    kept = json.loads(path.read_text(encoding="utf-8"))
    kept["at"] = time.time() - 1200  # it was off for twenty minutes
    path.write_text(json.dumps(kept), encoding="utf-8")
    with RunningHelper(env) as helper:
        helper.reach(lambda: "fire watch" in left(helper))
        assert left(helper)["fire watch"] == pytest.approx(2400, abs=30)
        helper.ask("how long is left on the fire watch")
        helper.reach(lambda: helper.printed("Fire watch, (forty|thirty nine) minutes left"))
        assert helper.end() == 0
        assert not helper.complained("Traceback")


def test_a_spoilt_file_of_times_is_told_and_the_helper_runs(
    env: dict[str, str], tmp_path: Path
) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / TIMERS_FILE).write_text("{", encoding="utf-8")
    with RunningHelper(env) as helper:
        helper.reach(lambda: helper.complained(r"timers\.json.*set aside"))
        helper.ask("set a timer for ten minutes")
        helper.reach(lambda: "timer" in left(helper))
        assert helper.end() == 0
