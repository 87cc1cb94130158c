"""A writer killed at any instant loses no confirmed step; `tests.bench.record` kills 200."""

import multiprocessing
from pathlib import Path
from random import Random

import pytest

from tests.killing import Killing

if "forkserver" not in multiprocessing.get_all_start_methods():
    pytest.skip("killing needs a server of forks", allow_module_level=True)

KILLS = 12


def test_no_kill_loses_a_step_that_was_told_as_confirmed(tmp_path: Path) -> None:
    killing = Killing(tmp_path / "logbook.sqlite", Random(8))
    results = [killing.kill_one() for _ in range(KILLS)]
    assert [killed.lost for killed in results] == [0] * KILLS
    assert all(killed.untold <= 1 for killed in results), "only the one in flight"
    assert [killed.broken_at for killed in results] == [None] * KILLS
    assert sum(killed.told for killed in results) > KILLS, "the writers did write"


def test_a_kill_while_the_logbook_is_made_leaves_one_that_can_be_read_and_gone_on_with(
    tmp_path: Path,
) -> None:
    random = Random(9)
    for number in range(KILLS):
        killing = Killing(tmp_path / str(number) / "logbook.sqlite", random, 0)
        for _ in range(2):
            killed = killing.kill_one()
            assert (killed.lost, killed.broken_at) == (0, None)
            assert killed.untold <= 1
