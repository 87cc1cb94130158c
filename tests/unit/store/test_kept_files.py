"""Every kept file, broken in every way: told once, set aside, and the helper goes on without it."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.app.helper import Helper
from handsfree.dialogue.procedure import Leading
from handsfree.engine import tables
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.page.board import PageBoard
from handsfree.session.procedure_file import FILE_NAME as LED_LIST
from handsfree.session.procedure_file import LedListFile
from handsfree.session.session import Session
from handsfree.store.lines import MOST_BYTES
from handsfree.store.pace_files import (
    CUTS_FILE,
    PRACTICE_FILE,
    TIMERS_FILE,
    CutsFile,
    PracticeFile,
    TimersFile,
)
from handsfree.store.settings import FILE_NAME as TIPS
from handsfree.store.settings import SOUND_FILE_NAME as SOUND
from handsfree.store.settings import Kept, Settings, Sound, SoundSettings
from handsfree.store.work_list import FILE_NAME as WORK
from handsfree.store.work_list import WorkList
from handsfree.values import Fuel, Part, Piece, Rig, Shape, TipBox, TipOnHand, Told, Wanted, Words
from handsfree.values.timing import Coupon, CutLesson, CutResult, PracticeCase, Running
from handsfree.values.units import feet, inches
from tests.taking_some import some_of

LOGBOOK = "logbook.sqlite"
FILES = (TIPS, SOUND, LED_LIST, TIMERS_FILE, CUTS_FILE, PRACTICE_FILE, WORK, LOGBOOK)
STARTED = 1_780_000_000.0
BOX = TipBox((TipOnHand("1", made_for=(inches(0.5), inches(0.5))), TipOnHand("2", drill=56)), "1")
SOUND_KEPT = Sound(talk_rate=150.0, loudness=0.8, microphone="headset")
CUT = CutLesson("2026-03-04", "1 bore 0.0465", 0.5, 12.0, 12.0, CutResult.GOOD, True)
COUPON = Coupon(
    "2026-03-04", "cutter one", next(iter(PracticeCase)), 12.0, 11.0, 13.0, CutResult.GOOD, True
)


class Board(PageBoard):
    """Remembers what it was told of."""

    def __init__(self) -> None:
        super().__init__(clock=lambda: 0.0)
        self.told: list[str] = []
        self.replies: list[Told] = []

    def publish(self, told: Told) -> None:
        super().publish(told)
        self.replies.append(told)

    def notify(self, part: Part, sentence: str = "") -> None:
        super().notify(part, sentence)
        self.told.append(sentence)


class Shift:
    """A helper over a folder, wired as it is when it runs."""

    def __init__(self, folder: Path) -> None:
        sound = SoundSettings(folder)
        self.sound = sound.read()
        self.session = Session(
            Settings(folder),
            logbook=Logbook(folder / LOGBOOK),
            clock=lambda: 500.0,
            wall=lambda: STARTED,
            leads=True,
        )
        self.board, self.trouble = Board(), list[str]()
        self.helper = Helper(
            self.session,
            self.board,
            complain=self.trouble.append,
            clock=lambda: 500.0,
            threaded=False,
        )
        sound.faults.tell_to(self.helper.failed)
        self.session.faults.tell_to(self.helper.failed)
        self.helper.take_up(self.session.left_open())
        KeepingTime(self.session.pacing, self.helper.post, self.board).begin()
        self.ask("stop the list")

    def ask(self, words: str) -> Told:
        self.helper.ask(words)
        self.helper.turn_all()
        return self.board.replies[-1]

    def use_all(self) -> None:
        """Requests that touch every kept file."""
        assert self.ask("what do i set for half inch plate").kind == "answer"
        self.ask("what should i take up")
        self.ask("show my progress")
        assert self.ask("what do i set for half inch plate").kind == "answer"
        assert not self.trouble

    def told_of(self, path: Path) -> int:
        return sum(sentence.count(str(path)) for sentence in self.board.told)


def fill(folder: Path, run: str = "1") -> None:
    """Every kept file with something in it."""
    Settings(folder).write(Kept(Rig(Fuel.PROPANE, feet(50)), BOX))
    SoundSettings(folder).write(SOUND_KEPT)
    steps = tables.step_list("leak_test")
    LedListFile(folder, tables.step_list).write(Leading(steps, run, at=1, confirmed=frozenset({0})))
    timers = tuple(Running(name, 600.0, 900.0, run=run) for name in ("timer", "rest"))
    TimersFile(folder).write(timers, 500.0, STARTED)
    for _ in range(3):
        CutsFile(folder).add(CUT)
        PracticeFile(folder).add(COUPON)
    plate = Piece(shape=Shape.PLATE, thickness=inches(0.5))
    WorkList(folder).write((Wanted(plate, 1, feet(6)), Wanted(Piece(designation="W12X26"), 2)))
    session = Session(Settings(folder), logbook=Logbook(folder / LOGBOOK))
    for _ in range(5):
        session.take(Words("how fast on half inch plate"))
    assert session.unwritten == 0


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("whole")
    fill(folder)
    Logbook(folder / LOGBOOK).close()
    return {name: (folder / name).read_bytes() for name in FILES}


def written(content: Callable[[bytes], bytes]) -> Callable[[Path, bytes], None]:
    def spoil(path: Path, was: bytes) -> None:
        path.write_bytes(content(was))

    return spoil


def folder_of_that_name(path: Path, was: bytes) -> None:
    path.mkdir()
    (path / "in it").write_bytes(was)


def pipe(path: Path, was: bytes) -> None:
    os.mkfifo(path)


def device(path: Path, was: bytes) -> None:
    path.symlink_to("/dev/zero")


def loop(path: Path, was: bytes) -> None:
    path.symlink_to(path.name)


UNFOLDS = b"a: &a [x, x, x, x, x, x, x, x, x]\n" + b"".join(
    f"{new}: &{new} [{', '.join([f'*{old}'] * 9)}]\n".encode()
    for old, new in zip("abcdefgh", "bcdefghi", strict=True)
)
WAYS: dict[str, Callable[[Path, bytes], None]] = {
    "a folder": folder_of_that_name,
    "a pipe": pipe,
    "a device": device,
    "a link to itself": loop,
    "empty": written(lambda was: b""),
    "half": written(lambda was: was[: len(was) // 2]),
    "its last byte but some": written(lambda was: was[:-6]),
    "noughts": written(lambda was: b"\0" * len(was)),
    "not UTF-8": written(lambda was: b"\xff\xfe" + was[:400].replace(b"1", b"\xc3")),
    "brackets": written(lambda was: b"[" * 20_000),
    "braces": written(lambda was: b'{"a":' * 20_000),
    "NaN": written(lambda was: b'{"rig": NaN, "at": NaN, "speed": Infinity, "timers": [.nan]}'),
    "a power too large": written(lambda was: b'{"at": 1e999, "rig": {"hose_length": "1e999 ft"}}'),
    "a list of nothing": written(lambda was: b"[null, 1, true]"),
    "a number": written(lambda was: b"7\n"),
    "unfolding": written(lambda was: UNFOLDS),
    "a tag": written(lambda was: b"!!python/object/apply:os.getcwd []\n"),
    "huge": written(lambda was: b"- x\n" * (MOST_BYTES // 4 + 1)),
}


# A database cut by some bytes is mended by what stands twice in it, and an empty one is new.
NOT_BROKEN = {(LOGBOOK, "empty"): 0, (LOGBOOK, "its last byte but some"): 1}


@pytest.mark.parametrize("way", some_of(list(WAYS), every_th=4))
def test_files_broken_in_any_way_are_told_once_and_set_aside_and_the_rest_works(
    tmp_path: Path, whole: dict[str, bytes], way: str
) -> None:
    for name in FILES:
        WAYS[way](tmp_path / name, whole[name])
    shift = Shift(tmp_path)
    shift.use_all()
    told = {name: shift.told_of(tmp_path / name) for name in FILES}
    assert told == {name: NOT_BROKEN.get((name, way), 1) for name in FILES}, shift.board.told
    lost = {
        name
        for name in FILES
        if (name, way) not in NOT_BROKEN and not os.path.lexists(tmp_path / f"{name}.broken-1")
    }
    assert lost == set(), "what it held is there under another name"
    again = Shift(tmp_path)
    again.use_all()
    assert {name: again.told_of(tmp_path / name) for name in FILES} == dict.fromkeys(FILES, 0)


@pytest.mark.parametrize("name", some_of(FILES, every_th=3))
def test_a_broken_file_takes_no_other_one_with_it(
    tmp_path: Path, whole: dict[str, bytes], name: str
) -> None:
    for each in FILES[:-1]:
        (tmp_path / each).write_bytes(whole[each] if each != name else b"\xff" * 100)
    if name == LOGBOOK:
        (tmp_path / LOGBOOK).write_bytes(b"\xff" * 100)
    shift = Shift(tmp_path)
    shift.use_all()
    assert {each for each in FILES if shift.told_of(tmp_path / each)} == {name}
    assert shift.session.kept.rig.fuel is (Fuel.ACETYLENE if name == TIPS else Fuel.PROPANE)
    assert shift.sound == (Sound() if name == SOUND else SOUND_KEPT)
    assert len(CutsFile(tmp_path).read()) == (0 if name == CUTS_FILE else 3)


@pytest.mark.parametrize("places", some_of(range(1, len(FILES)), every_th=4))
def test_files_with_the_content_of_others_are_told_and_set_aside(
    tmp_path: Path, whole: dict[str, bytes], places: int
) -> None:
    for at, name in enumerate(FILES):
        (tmp_path / name).write_bytes(whole[FILES[(at + places) % len(FILES)]])
    shift = Shift(tmp_path)
    shift.use_all()
    assert {name: shift.told_of(tmp_path / name) for name in FILES} == dict.fromkeys(FILES, 1)
    for at, name in enumerate(FILES):
        aside = tmp_path / f"{name}.broken-1"
        assert aside.read_bytes() == whole[FILES[(at + places) % len(FILES)]]


def test_files_that_may_not_be_read_are_told_and_set_aside(
    tmp_path: Path, whole: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the system tells it: whoever runs the tests may read everything."""
    real, names = Path.open, FILES[:-1]
    for name in names:
        (tmp_path / name).write_bytes(whole[name])

    def refused(file: Path, *given: object, **named: object) -> object:
        if file.parent == tmp_path and file.name in names:
            raise PermissionError(13, "Permission denied")
        return real(file, *given, **named)  # type: ignore[call-overload]  # handed on

    monkeypatch.setattr(Path, "open", refused)
    shift = Shift(tmp_path)
    shift.use_all()
    assert {name: shift.told_of(tmp_path / name) for name in names} == dict.fromkeys(names, 1)
    monkeypatch.undo()
    for name in names:
        assert (tmp_path / f"{name}.broken-1").read_bytes() == whole[name]


def test_what_was_set_aside_before_is_never_written_over(tmp_path: Path) -> None:
    for number in range(1, 4):
        (tmp_path / TIPS).write_text(f"broken: {number}")
        Settings(tmp_path).read()
        assert (tmp_path / f"{TIPS}.broken-{number}").read_text() == f"broken: {number}"


def test_what_can_be_neither_read_nor_set_aside_is_never_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / TIPS
    path.write_text("rig: [")

    def refused(_file: Path, _to: Path) -> Path:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "rename", refused)
    shift = Shift(tmp_path)
    shift.ask("i'm on propane today")
    shift.ask("yes")
    assert sum("It cannot be set aside" in sentence for sentence in shift.board.told) == 1
    assert any("The old file stands" in sentence for sentence in shift.board.told)
    assert path.read_text() == "rig: ["


@pytest.mark.parametrize("name", [CUTS_FILE, PRACTICE_FILE])
def test_lines_of_which_nothing_can_be_made_are_counted_and_the_others_kept(
    tmp_path: Path, whole: dict[str, bytes], name: str
) -> None:
    path = tmp_path / name
    bad = b'{"at":\n[1]\nNaN\n' + whole[name].splitlines()[0].replace(b"12.0", b"NaN") + b"\n"
    path.write_bytes(whole[name] + bad + whole[name])
    shift = Shift(tmp_path)
    shift.use_all()
    told = " ".join(shift.board.told)
    assert shift.told_of(path) == 1 and "4 of its 10 lines" in told
    assert path.read_bytes() == whole[name] * 2
    assert path.with_name(f"{name}.broken-1").read_bytes() == whole[name] + bad + whole[name]
