"""A recogniser whose library does not load is told in one sentence that says what to do."""

import sys
import wave
from collections.abc import Callable
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest

from handsfree.app.cli import main
from handsfree.errors import ModelError
from handsfree.hear.vosk_library import recogniser_fault

ADAPTER = "handsfree.hear.vosk_adapter"
LOADER_SAYS = (
    "cannot load library '/x/vosk/libvosk.so': {}: cannot open shared object file: "
    "No such file or directory"
)
MISSING = {
    "libatomic.so.1": "libatomic1",
    "libgomp.so.1": "libgomp1",
    "libstdc++.so.6": "libstdc++6",
    "libgcc_s.so.1": "libgcc-s1",
    "libgfortran.so.5": "libgfortran5",
    "libopenblas.so.0": "libopenblas0",
    "libusb-1.0.so.0": "libusb-1.0-0",
}
BROKEN = (
    OSError(LOADER_SAYS.format("/x/vosk/libvosk.so")),
    OSError("cannot load library '/x/vosk/libvosk.so': /x/vosk/libvosk.so: wrong ELF class: 64"),
    OSError("/lib/libm.so.6: version `GLIBC_2.99' not found (required by /x/vosk/libvosk.so)"),
    ModuleNotFoundError("No module named 'vosk'"),
    TypeError("Unsupported platform"),
)

Breaks = Callable[[Exception], None]


@pytest.fixture
def breaks(monkeypatch: pytest.MonkeyPatch) -> Breaks:
    """Has the next import of vosk raise what it is called with, as on the machine that it is of."""

    def broken_by(fault: Exception) -> None:
        class Missing(MetaPathFinder, Loader):
            def find_spec(self, name: str, *others: object) -> ModuleSpec | None:
                return ModuleSpec(name, self) if name == "vosk" else None

            def exec_module(self, module: ModuleType) -> None:
                raise fault

        for name in ("vosk", ADAPTER):
            monkeypatch.delitem(sys.modules, name, raising=False)
        monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])

    return broken_by


def test_a_recogniser_that_loads_has_no_fault() -> None:
    assert recogniser_fault() is None


@pytest.mark.parametrize(("library", "package"), MISSING.items())
def test_each_library_that_the_system_lacks_is_named_with_its_package(
    breaks: Breaks, library: str, package: str
) -> None:
    breaks(OSError(LOADER_SAYS.format(library)))
    told = str(recogniser_fault())
    assert f"this system has no {library}." in told
    assert f"sudo apt install {package}." in told


@pytest.mark.parametrize("fault", BROKEN, ids=str)
def test_what_the_system_cannot_mend_tells_its_reason_and_to_install_again(
    breaks: Breaks, fault: Exception
) -> None:
    breaks(fault)
    told = str(recogniser_fault())
    assert str(fault) in told
    assert told.endswith("Install the project again.")
    assert "apt" not in told


def test_it_is_found_again_at_each_try_until_the_library_is_there(
    breaks: Breaks, monkeypatch: pytest.MonkeyPatch
) -> None:
    breaks(OSError(LOADER_SAYS.format("libatomic.so.1")))
    assert isinstance(recogniser_fault(), ModelError)
    assert isinstance(recogniser_fault(), ModelError)
    monkeypatch.setattr(sys, "meta_path", sys.meta_path[1:])
    assert recogniser_fault() is None


def test_hearing_a_recording_ends_with_one_line(
    breaks: Breaks, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recording = tmp_path / "request.wav"
    with wave.open(str(recording), "wb") as sound:
        sound.setparams((1, 2, 16000, 0, "NONE", ""))
        sound.writeframes(b"\0\0" * 16000)
    breaks(OSError(LOADER_SAYS.format("libatomic.so.1")))
    assert main(["hear", str(recording)]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    (line,) = told.err.splitlines()
    assert line.startswith("handsfree: ")
    assert "sudo apt install libatomic1" in line
