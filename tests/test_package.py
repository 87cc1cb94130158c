"""The wheel and the source archive hold what they must, and what is installed answers anywhere."""

import email.message
import email.parser
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import handsfree
from handsfree.store.resources import shipped_folder

ROOT = Path(__file__).resolve().parents[1]
REQUEST = "what do I set for three quarter plate with a quarter inch tip"

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the source archive of a copy of the checkout, and the wheel made out of it."""
    base = tmp_path_factory.mktemp("package")
    copy = base / "copy"
    copy.mkdir()
    for name in ("handsfree", "grammar", "models", "README.md", "DEVELOPERS.md", "pyproject.toml"):
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, copy / name)
    made = base / "made"
    # The archive first: a wheel must come out of what is published, and not only of a checkout.
    code = (
        "import os, sys, pathlib, tarfile; from hatchling import build\n"
        "made = pathlib.Path(sys.argv[1]); made.mkdir()\n"
        "name = build.build_sdist(str(made))\n"
        "tarfile.open(made / name).extractall(made.parent / 'unpacked', filter='data')\n"
        "os.chdir(next((made.parent / 'unpacked').iterdir()))\n"
        "build.build_wheel(str(made))\n"
    )
    pytest.importorskip("hatchling", reason="the wheel is built with hatchling: install it")
    done = subprocess.run(
        [sys.executable, "-c", code, str(made)], cwd=copy, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return made


@pytest.fixture(scope="module")
def wheel(built: Path) -> zipfile.ZipFile:
    return zipfile.ZipFile(next(built.glob("*.whl")))


@pytest.fixture(scope="module")
def names(wheel: zipfile.ZipFile) -> frozenset[str]:
    return frozenset(wheel.namelist())


@pytest.fixture(scope="module")
def metadata(wheel: zipfile.ZipFile) -> email.message.Message:
    text = wheel.read(f"{dist_info()}/METADATA").decode("utf-8")
    return email.parser.Parser().parsestr(text)


def dist_info() -> str:
    return f"handsfree-{handsfree.__version__}.dist-info"


def test_the_version_is_the_packages_own(metadata: email.message.Message) -> None:
    assert metadata["Version"] == handsfree.__version__ == "0.2.0"


def test_the_licences_are_an_expression_with_their_files(
    metadata: email.message.Message, wheel: zipfile.ZipFile
) -> None:
    assert metadata["License-Expression"] == "GPL-3.0-or-later AND BSD-2-Clause"
    texts = [
        wheel.read(f"{dist_info()}/licenses/{name}").decode("utf-8")
        for name in metadata.get_all("License-File", [])
    ]
    assert any("GNU GENERAL PUBLIC LICENSE" in text for text in texts)
    assert any("CMU Pronouncing Dictionary" in text for text in texts)
    classifiers = metadata.get_all("Classifier", [])
    assert not [line for line in classifiers if line.startswith("License ::")]


def test_the_metadata_say_what_it_is_for_and_name_no_address(
    metadata: email.message.Message,
) -> None:
    assert "Typing :: Typed" in metadata.get_all("Classifier", [])
    assert "cutting torch" in metadata["Keywords"]
    assert metadata["Requires-Python"] == ">=3.11"
    assert metadata["Home-page"] is None
    assert metadata["Project-URL"] is None


def test_every_file_of_the_package_is_in_the_wheel(names: frozenset[str]) -> None:
    there = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "handsfree").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert there <= names
    assert {"handsfree/py.typed", "handsfree/app/help/talking.md"} <= names


def test_the_grammar_and_the_model_are_in_the_wheel(names: frozenset[str]) -> None:
    for folder in ("grammar", "models/shop-english"):
        base = shipped_folder(folder)
        for path in (path for path in base.rglob("*") if path.is_file()):
            assert f"handsfree/_shipped/{folder}/{path.relative_to(base)}" in names


def test_nothing_else_is_in_the_wheel(names: frozenset[str]) -> None:
    assert {name.split("/")[0] for name in names} == {"handsfree", dist_info()}
    assert not [name for name in names if "__pycache__" in name or name.endswith(".pyc")]


def test_the_source_archive_holds_the_documents_and_the_licences(built: Path) -> None:
    with tarfile.open(next(built.glob("*.tar.gz"))) as archive:
        held = {name.partition("/")[2] for name in archive.getnames()}
    assert {"README.md", "DEVELOPERS.md", "handsfree/LICENSE", "grammar/NOTICE-cmudict.txt"} <= held


@pytest.mark.parametrize("way", ["module", "command"])
def test_what_the_wheel_holds_answers_from_the_root_folder(
    way: str, wheel: zipfile.ZipFile, tmp_path: Path
) -> None:
    """With the libraries of this environment, and nothing of the checkout on the path."""
    site = tmp_path / "site"
    wheel.extractall(site)
    entry = "import sys; from handsfree.app.cli import main; sys.exit(main())"
    start = ["-m", "handsfree"] if way == "module" else ["-c", entry]
    kept = {name: str(tmp_path / name) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    plain = {name: text for name, text in os.environ.items() if name != "HANDSFREE_HOME"}
    done = subprocess.run(
        [sys.executable, *start, "ask", REQUEST],
        cwd="/",
        env={**plain, **kept, "PYTHONPATH": str(site), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert "24-25 psi" in done.stdout
