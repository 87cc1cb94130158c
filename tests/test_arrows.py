"""Each room imports only what lies upstream of it, so that any of them can be understood alone."""

import ast
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "handsfree"
OURS = "handsfree"
MAY_IMPORT = {
    "errors": set(),
    "units": set(),
    "shipped": {"errors"},
    "clean_text": set(),
    "local_time": set(),
    "terminal": set(),
    "printing": {"values", "terminal"},
    "values": {"units", "values"},
    "spoken_numbers": {"units", "spoken_numbers"},
    "store": {"values", "units", "errors", "clean_text", "store"},
    "engine": {"values", "units", "errors", "engine"},
    "understand": {"values", "units", "errors", "spoken_numbers", "understand"},
    "tell": {
        *(
            "values",
            "units",
            "errors",
            "spoken_numbers",
            "clean_text",
            "local_time",
            "store",
            "tell",
        ),
    },
    "hear": {"values", "errors", "clean_text", "hear"},
    "dialogue": {"values", "errors", "dialogue"},
    "keys": {"values"},
    "helper": {"values", "errors", "dialogue", "session", "tell"},
    "pacing": {
        *("values", "units", "errors", "spoken_numbers", "engine", "dialogue", "tell"),
        *("settings", "store", "kept_in_requests", "clean_text", "local_time", "pacing"),
    },
    "settings": {"values", "units", "errors", "shipped", "settings", "store", "clean_text"},
}


def imports(path: Path) -> Iterator[str]:
    """The rooms of ours that a file imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module == OURS:
            names = [f"{OURS}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import hides its room"
            names = [node.module or ""]
        else:
            continue
        for name in names:
            parts = name.split(".")
            if parts[0] == OURS and len(parts) > 1:
                yield parts[1]


def test_every_room_imports_only_what_lies_upstream() -> None:
    wrong = []
    for path in sorted(PACKAGE.rglob("*.py")):
        room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        allowed = MAY_IMPORT.get(room)
        if allowed is not None:
            wrong += [
                f"{path.name} in {room} imports {name}"
                for name in imports(path)
                if name not in allowed
            ]
    assert not wrong


def test_the_arrows_name_only_rooms_that_exist() -> None:
    rooms = {path.stem for path in PACKAGE.iterdir() if not path.name.startswith("_")}
    assert set(MAY_IMPORT) <= rooms | {"settings", "spoken_numbers"}


def test_third_party_libraries_enter_through_one_file_each() -> None:
    doors: dict[str, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                doors.setdefault(name.split(".")[0], set()).add(str(path.relative_to(PACKAGE)))
    for library in ("vosk", "kaldifst", "pyttsx3", "miniaudio", "uvicorn", "pint"):
        assert len(doors.get(library, set())) <= 1, f"{library} is imported in {doors[library]}"
