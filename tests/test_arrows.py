"""Each room imports only what lies upstream of it, so that any of them can be understood alone."""

import ast
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "handsfree"
OURS = "handsfree"
_FIRST = {"errors", "values"}
MAY_IMPORT = {
    "__init__": set(),
    "__main__": {"app"},
    "errors": set(),
    "values": set(),
    "spoken_numbers": {"values"},
    "engine": _FIRST,
    "understand": _FIRST | {"spoken_numbers"},
    "dialogue": {"values"},
    "store": _FIRST,
    "audio": _FIRST,
    "hear": _FIRST | {"audio"},
    "wording": {"values", "spoken_numbers"},
    "drawing": _FIRST | {"spoken_numbers", "wording"},
    "voice": _FIRST | {"audio"},
    "logbook": _FIRST | {"store", "drawing"},
    "page": _FIRST | {"spoken_numbers", "store", "wording", "drawing", "voice"},
    "pacing": _FIRST | {"spoken_numbers", "engine", "dialogue", "wording", "store", "logbook"},
    "session": _FIRST
    | {"understand", "dialogue", "engine", "pacing", "wording", "store", "logbook"},
    "app": _FIRST
    | {"session", "audio", "hear", "understand", "dialogue", "pacing", "engine", "wording"}
    | {"voice", "page", "logbook", "drawing", "store"},
}
"""For each room, the others that it may import; a room always knows itself."""


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
            if parts[0] == OURS and len(parts) > 1 and parts[1] != "__version__":
                yield parts[1]


def test_every_room_imports_only_what_lies_upstream() -> None:
    wrong = []
    for path in sorted(PACKAGE.rglob("*.py")):
        room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        allowed = MAY_IMPORT[room] | {room}
        wrong += [
            f"{path.name} in {room} imports {name}" for name in imports(path) if name not in allowed
        ]
    assert not wrong


def test_every_room_is_named_and_none_that_is_not_there() -> None:
    rooms = {
        path.name.removesuffix(".py")
        for path in PACKAGE.iterdir()
        if path.suffix == ".py" or (path.is_dir() and any(path.glob("*.py")))
    }
    assert rooms == set(MAY_IMPORT)


def test_no_two_rooms_know_each_other_even_by_way_of_others() -> None:
    def upstream(room: str, seen: tuple[str, ...] = ()) -> None:
        assert room not in seen, " -> ".join((*seen, room))
        for other in MAY_IMPORT[room]:
            upstream(other, (*seen, room))

    for room in MAY_IMPORT:
        upstream(room)


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
