"""Finished graphs are found again, damaged ones are made anew, and processes do not get in each
other's way."""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from handsfree.errors import ModelError
from handsfree.hear import graph_cache
from handsfree.hear.graph import compile_graph, graph_key
from handsfree.hear.graph_cache import BUILDING, KEEP, SEAL, cached_folder, is_whole
from handsfree.hear.model_folder import open_model
from tests.unit.hear.networks import network
from tests.unit.hear.tone_ear import write_tone_ear


class Builder:
    """Builds a folder of two files and counts how often it had to."""

    def __init__(self, text: str = "graph") -> None:
        self.text, self.times = text, 0

    def __call__(self, folder: Path) -> None:
        self.times += 1
        (folder / "graph").mkdir()
        (folder / "graph/a").write_text(self.text)
        (folder / "b").write_text("words")


def test_a_second_call_finds_what_the_first_made(tmp_path: Path) -> None:
    build = Builder()
    first = cached_folder(tmp_path / "new/cache", "key", build)
    assert cached_folder(tmp_path / "new/cache", "key", build) == first
    assert build.times == 1
    assert [path.name for path in first.parent.iterdir()] == ["key"]  # nothing is left over


def cut_short(folder: Path) -> None:
    (folder / "graph/a").write_text("gra")


def changed(folder: Path) -> None:
    (folder / "graph/a").write_text("grapH")


def without_a_file(folder: Path) -> None:
    (folder / "b").unlink()


def without_seal(folder: Path) -> None:
    (folder / SEAL).unlink()


def with_broken_seal(folder: Path) -> None:
    (folder / SEAL).write_text("{")


def with_empty_seal(folder: Path) -> None:
    (folder / SEAL).write_text("{}")


@pytest.mark.parametrize(
    "damage",
    [cut_short, changed, without_a_file, without_seal, with_broken_seal, with_empty_seal],
)
def test_what_is_not_whole_is_made_anew(tmp_path: Path, damage: Callable[[Path], None]) -> None:
    build = Builder()
    folder = cached_folder(tmp_path, "key", build)
    damage(folder)
    assert not is_whole(folder)
    assert cached_folder(tmp_path, "key", build) == folder
    assert build.times == 2
    assert is_whole(folder)
    assert (folder / "graph/a").read_text() == "graph"


def test_a_failed_build_leaves_nothing_and_is_tried_again(tmp_path: Path) -> None:
    def fails(folder: Path) -> None:
        (folder / "part").write_text("x")
        raise ModelError("no")

    with pytest.raises(ModelError, match="no"):
        cached_folder(tmp_path, "key", fails)
    assert list(tmp_path.iterdir()) == []
    assert is_whole(cached_folder(tmp_path, "key", Builder()))


def test_eight_threads_at_once_get_one_whole_folder(tmp_path: Path) -> None:
    ready = Barrier(8)

    def build(folder: Path) -> None:
        ready.wait()  # all have found nothing and build
        Builder()(folder)

    with ThreadPoolExecutor(8) as pool:
        folders = set(pool.map(lambda _: cached_folder(tmp_path, "key", build), range(8)))
    assert folders == {tmp_path / "key"}
    assert is_whole(tmp_path / "key")
    assert [path.name for path in tmp_path.iterdir()] == ["key"]


PROCESS = """
import sys
from pathlib import Path
from handsfree.hear.graph import compile_graph
from handsfree.hear.model_folder import open_model
from tests.unit.hear.networks import network
print(compile_graph(network("what tip", "a tip"), open_model(Path(sys.argv[1])), Path(sys.argv[2])))
"""


def test_processes_that_start_together_share_one_graph(tmp_path: Path) -> None:
    ear = write_tone_ear(tmp_path / "ear")
    root = str(Path(__file__).parents[3])
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", PROCESS, str(ear), str(tmp_path / "cache")],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": root},
        )
        for _ in range(3)
    ]
    told = {process.communicate(timeout=120)[0].strip() for process in processes}
    assert [process.returncode for process in processes] == [0, 0, 0]
    (folder,) = told
    assert is_whole(Path(folder))
    assert len(list((tmp_path / "cache").iterdir())) == 1


def test_where_the_cache_cannot_be_written_the_temporary_folder_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (tmp_path / "file").write_text("not a folder")
    build = Builder()
    folder = cached_folder(tmp_path / "file" / "cache", "key", build)
    assert folder.parent.parent == tmp_path and is_whole(folder)
    assert cached_folder(tmp_path / "file" / "cache", "key", build) == folder
    assert build.times == 1


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="needs POSIX permissions")
def test_a_temporary_folder_that_others_can_write_is_not_trusted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (tmp_path / "file").write_text("")
    first = cached_folder(tmp_path / "file" / "cache", "key", Builder())
    first.parent.chmod(0o777)
    second = cached_folder(tmp_path / "file" / "cache", "key", Builder())
    assert second.parent != first.parent


def test_where_nothing_can_be_written_it_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "file"))
    with pytest.raises(ModelError, match="written nowhere .* choose a cache folder"):
        cached_folder(tmp_path / "file" / "cache", "key", Builder())


def test_old_graphs_and_dead_builds_are_dropped(tmp_path: Path) -> None:
    build = Builder()
    for number in range(KEEP + 3):
        folder = cached_folder(tmp_path, f"key{number}", build)
        os.utime(folder, (number, number))
    dead, busy = tmp_path / f"{BUILDING}dead", tmp_path / f"{BUILDING}busy"
    dead.mkdir()
    busy.mkdir()
    long_ago = time.time() - 2 * graph_cache.STALE_S
    os.utime(dead, (long_ago, long_ago))
    (tmp_path / "the user's").mkdir()
    cached_folder(tmp_path, "key0", build)
    left = {path.name for path in tmp_path.iterdir()}
    assert {busy.name, "the user's", "key0", f"key{KEEP + 2}"} <= left
    assert dead.name not in left and "key1" not in left


def test_the_key_changes_with_all_that_the_graph_is_made_of(tmp_path: Path) -> None:
    model = open_model(write_tone_ear(tmp_path / "ear"))
    other_filler = open_model(write_tone_ear(tmp_path / "ear2", filler_cost=5.0))
    longer = network("a tip", "what tip")
    dearer = network("a tip", costs={"a tip": 1.0})
    keys = [
        graph_key(network("a tip"), model),
        graph_key(network("a tip"), other_filler),
        graph_key(longer, model),
        graph_key(dearer, model),
        graph_key(network("a tip", name="steps"), model),
    ]
    retrained = model.path / "am/final.mdl"
    retrained.write_bytes(retrained.read_bytes() + b" ")
    keys.append(graph_key(network("a tip"), model))
    assert len(set(keys)) == len(keys)
    assert graph_key(network("a tip"), model) == keys[-1]


def test_a_compiled_folder_holds_what_vosk_loads(tmp_path: Path) -> None:
    model = open_model(write_tone_ear(tmp_path / "ear"))
    folder = compile_graph(network("a tip"), model, tmp_path / "cache")
    seal = json.loads((folder / SEAL).read_text())
    assert set(seal) == {
        "am/final.mdl",
        "conf/fbank.conf",
        "conf/model.conf",
        "graph/HCLG.fst",
        "graph/words.txt",
        "graph/phones/word_boundary.int",
    }
