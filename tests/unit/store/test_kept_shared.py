"""Kept files that several helpers and a hand change at once, and who may read them."""

import multiprocessing
import stat
from multiprocessing.synchronize import Barrier
from pathlib import Path

from handsfree.dialogue.procedure import Leading
from handsfree.engine import tables
from handsfree.session.procedure_file import LedListFile
from handsfree.session.session import Session
from handsfree.store.pace_files import (
    CutsFile,
    TimersFile,
)
from handsfree.store.settings import FILE_NAME as TIPS
from handsfree.store.settings import Kept, Settings, with_tip
from handsfree.values import Fuel, TipOnHand, Words
from handsfree.values.timing import Running
from tests.unit.store.test_kept_files import CUT, STARTED, fill

# --- several at once ------------------------------------------------------------------------------

AT_ONCE, TIPS_EACH = 4, 8


def add_tips(folder: Path, who: int, start: Barrier) -> None:
    """Add tips one by one, as fast as it goes."""
    settings = Settings(folder)
    settings.read()
    start.wait()
    for number in range(TIPS_EACH):
        tip = TipOnHand(f"{who}-{number}")
        settings.update(lambda kept, tip=tip: Kept(kept.rig, with_tip(kept.box, tip)))  # type: ignore[misc]
        CutsFile(folder).add(CUT)


def test_sessions_that_add_tips_at_once_lose_none(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    start = context.Barrier(AT_ONCE)
    adding = [
        context.Process(target=add_tips, args=(tmp_path, who, start)) for who in range(AT_ONCE)
    ]
    for process in adding:
        process.start()
    for process in adding:
        process.join()
    assert [process.exitcode for process in adding] == [0] * AT_ONCE
    stamps = {tip.stamp for tip in Settings(tmp_path).read().box.tips}
    assert stamps == {f"{who}-{n}" for who in range(AT_ONCE) for n in range(TIPS_EACH)}
    assert len(CutsFile(tmp_path).read()) == AT_ONCE * TIPS_EACH


def add(session: Session, stamp: str) -> None:
    added = f"i've got a number {stamp} tip it's made for half inch plate"
    if session.take(Words(added)).kind == "question":
        session.take(Words("yes"))


def test_a_session_keeps_what_another_one_and_a_hand_have_changed(tmp_path: Path) -> None:
    one, other = Session(Settings(tmp_path)), Session(Settings(tmp_path))
    path = tmp_path / TIPS
    add(one, "one")
    add(other, "two")
    path.write_text(path.read_text().replace("acetylene", "propane"))
    add(one, "three")
    kept = Settings(tmp_path).read()
    assert [tip.stamp for tip in kept.box.tips] == ["1", "2", "3"]
    assert kept.rig.fuel is Fuel.PROPANE
    assert one.kept == kept


def test_helpers_over_one_folder_lose_no_time_and_no_list(tmp_path: Path) -> None:
    one, other = TimersFile(tmp_path), TimersFile(tmp_path)
    watch, rest = (Running(name, 600.0, 900.0, run=name) for name in ("fire watch", "rest"))
    one.write((watch,), 500.0, STARTED)
    other.write((rest,), 500.0, STARTED)
    one.write((watch,), 510.0, STARTED + 10)
    found, _ = TimersFile(tmp_path).read(500.0, STARTED + 10)
    assert {(timer.name, round(timer.ends)) for timer in found} == {
        ("fire watch", 890),
        ("rest", 890),
    }
    other.write((), 510.0, STARTED + 10)
    assert [timer.name for timer in TimersFile(tmp_path).read(500.0, STARTED)[0]] == ["fire watch"]
    lists = [LedListFile(tmp_path, tables.step_list) for _ in range(2)]
    for number, key in enumerate(("leak_test", "purge")):
        steps = tables.step_list(key)
        lists[number].write(Leading(steps, str(number), at=1, confirmed=frozenset({0})))
    lists[0].write(None)
    left = LedListFile(tmp_path, tables.step_list).read()
    assert left is not None and left.list.key == "purge"


# --- whose they are -------------------------------------------------------------------------------


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_what_is_kept_is_for_its_user_alone(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    fill(folder)
    assert mode(folder) == 0o700
    assert {path.name: mode(path) for path in folder.iterdir() if mode(path) != 0o600} == {}


def test_what_an_older_version_left_open_is_closed_when_it_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    fill(folder)
    folder.chmod(0o755)
    for path in folder.iterdir():
        path.chmod(0o644)
    fill(folder, run="2")
    assert mode(folder) == 0o700
    open_ones = {path.name for path in folder.iterdir() if mode(path) != 0o600}
    assert open_ones <= {".lock"}


def test_a_folder_that_others_share_stays_open(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)
    Settings(tmp_path).write(Kept())
    assert mode(tmp_path) == 0o1777
    assert mode(tmp_path / TIPS) == 0o600
