"""No test touches the user's own files: tips, rig and caches lie in a folder of the run."""

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session", autouse=True)
def folders_of_the_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    base = tmp_path_factory.mktemp("home")
    os.environ["HANDSFREE_HOME"] = str(base / "kept")
    os.environ.setdefault("XDG_CACHE_HOME", str(base / "cache"))
    return base
