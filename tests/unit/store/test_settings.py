"""Tips and rig survive a run, a crash in mid-write and a hand that edits the file."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.errors import SettingsError
from handsfree.store.settings import (
    Kept,
    Settings,
    Sound,
    SoundSettings,
    same_tip,
    user_folder,
    with_tip,
    without_tip,
)
from handsfree.values import Failed, Fuel, Rig, TipBox, TipOnHand
from handsfree.values.units import feet, inches, millimetres

ONE = TipOnHand(stamp="1", made_for=(inches(0.5), inches(0.5)))
DOUBLE_OUGHT = TipOnHand(stamp="00", bore=inches(0.0465))
KEPT = Kept(
    Rig(Fuel.PROPANE, feet(50), inches(0.25), 99.2),
    TipBox((ONE, TipOnHand(stamp="2", drill=56, made_for=(millimetres(6), millimetres(12)))), "1"),
)

lengths = st.integers(1, 768).map(lambda n: inches(n / 64)) | st.integers(1, 300).map(millimetres)
tips = st.builds(
    TipOnHand,
    stamp=st.none() | st.text("0123456789ABC", min_size=1, max_size=4),
    bore=st.none() | st.integers(20, 130).map(lambda n: inches(n / 1000)),
    drill=st.none() | st.integers(1, 80),
    made_for=st.none() | st.tuples(lengths, lengths),
)


def faults_of(settings: Settings | SoundSettings) -> list[str]:
    told: list[Failed] = []
    settings.faults.tell_to(told.append)
    return [fault.sentence for fault in told]


def test_nothing_kept_yet_is_acetylene_and_an_empty_box(tmp_path: Path) -> None:
    assert Settings(tmp_path).read() == Kept(Rig(Fuel.ACETYLENE), TipBox())


def test_what_was_written_is_read(tmp_path: Path) -> None:
    Settings(tmp_path).write(KEPT)
    assert Settings(tmp_path).read() == KEPT


@given(st.lists(tips, max_size=5))
def test_any_tip_box_is_read_as_it_was_written(
    tmp_path_factory: pytest.TempPathFactory, box: list[TipOnHand]
) -> None:
    settings = Settings(tmp_path_factory.mktemp("kept"))
    settings.write(Kept(Rig(), TipBox(tuple(box))))
    found = settings.read().box.tips
    assert [(tip.stamp, tip.drill) for tip in found] == [(tip.stamp, tip.drill) for tip in box]
    for mine, theirs in zip(found, box, strict=True):
        ours = (mine.bore, *(mine.made_for or ()))
        written = (theirs.bore, *(theirs.made_for or ()))
        for a, b in zip(ours, written, strict=True):
            assert (a is None) == (b is None)
            if a is not None and b is not None:
                assert a.m_as("in") == pytest.approx(b.m_as("in"), abs=1e-4)


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = Settings(tmp_path)
    settings.write(KEPT)

    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("handsfree.store.settings.os.fsync", full)
    with pytest.raises(SettingsError, match="old file stands"):
        settings.write(Kept())
    assert settings.read() == KEPT
    assert sorted(path.name for path in tmp_path.iterdir()) == [".lock", settings.path.name]


def test_a_file_left_half_written_by_a_crash_is_not_read(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    settings.write(KEPT)
    settings.path.with_suffix(".123.part").write_text("rig: {fuel: acet", encoding="utf-8")
    assert settings.read() == KEPT


LOUD = Sound("en", 100.0, 140.0, 45, 0.9, "Boom headset", "Boom headset", True, "helper come in")


def test_sound_settings_that_were_written_are_read(tmp_path: Path) -> None:
    assert SoundSettings(tmp_path).read() == Sound()
    for sound in (LOUD, Sound(loudness=1.0), Sound()):
        SoundSettings(tmp_path).write(sound)
        assert SoundSettings(tmp_path).read() == sound


def test_sound_settings_can_be_written_by_hand(tmp_path: Path) -> None:
    settings = SoundSettings(tmp_path)
    settings.path.write_text("loudness: 1\nbarge_in: yes\nmicrophone: 12\n", encoding="utf-8")
    assert settings.read() == Sound(loudness=1, barge_in=True, microphone="12")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("loudness: very", "loudness must be a number"),
        ("talk_rate: true", "talk_rate must be a number"),
        ("pitch: 4.5", "whole number"),
        ("barge_in: 2", "true or false"),
        ("colour: red", "colour is not known"),
        ("- en", "names with values"),
        ("voice: [", "until you mend it"),
    ],
)
def test_sound_settings_that_make_no_sense_are_named_and_set_aside(
    tmp_path: Path, text: str, told: str
) -> None:
    settings = SoundSettings(tmp_path)
    settings.path.write_text(text, encoding="utf-8")
    assert settings.read() == Sound()
    (fault,) = faults_of(settings)
    assert told in fault and str(settings.path) in fault
    aside = settings.path.with_name("sound.yaml.broken-1")
    assert aside.name in fault and aside.read_text(encoding="utf-8") == text


KILLED_AT = ("after nothing", "after the first bytes", "before fsync", "before the replacement")
KILLER = """
import os, pathlib, sys
from handsfree.store import settings
from handsfree.store.settings import Kept, Settings, Sound, SoundSettings
from handsfree.values import Failed, Fuel, Rig

where, folder = sys.argv[1], pathlib.Path(sys.argv[2])
real = pathlib.Path.open


class Dying:
    def __init__(self, file):
        self._file = file

    def __enter__(self):
        return self

    def __exit__(self, *fault):
        self._file.close()

    def write(self, text):
        if where == "after nothing":
            os._exit(9)
        self._file.write(text[:20] if where == "after the first bytes" else text)

    def flush(self):
        self._file.flush()
        if where == "after the first bytes":
            os._exit(9)

    def fileno(self):
        return self._file.fileno()


def die(*_):
    os._exit(9)


def opened(path, *args, **named):
    file = real(path, *args, **named)
    return Dying(file) if path.suffix == ".part" else file


pathlib.Path.open = opened
if where == "before fsync":
    settings.os.fsync = die
if where == "before the replacement":
    pathlib.Path.replace = die
if sys.argv[3] == "tips":
    Settings(folder).write(Kept(Rig(Fuel.PROPANE)))
else:
    SoundSettings(folder).write(Sound(loudness=0.3))
"""


@pytest.mark.parametrize("where", KILLED_AT)
@pytest.mark.parametrize("what", ["tips", "sound"])
def test_a_process_killed_in_mid_write_leaves_the_old_file(
    tmp_path: Path, where: str, what: str
) -> None:
    Settings(tmp_path).write(KEPT)
    SoundSettings(tmp_path).write(LOUD)
    done = subprocess.run(
        [sys.executable, "-c", KILLER, where, str(tmp_path), what], capture_output=True, check=False
    )
    assert done.returncode == 9, done.stderr
    assert Settings(tmp_path).read() == KEPT
    assert SoundSettings(tmp_path).read() == LOUD
    Settings(tmp_path).write(Kept())
    SoundSettings(tmp_path).write(Sound())
    assert Settings(tmp_path).read() == Kept()
    assert SoundSettings(tmp_path).read() == Sound()


def test_a_disk_without_room_leaves_both_old_files(tmp_path: Path) -> None:
    """The limit on the size of a file stands for a full disk: the write itself is refused."""
    Settings(tmp_path).write(KEPT)
    SoundSettings(tmp_path).write(LOUD)
    program = """
import pathlib, resource, signal, sys
from handsfree.errors import SettingsError
from handsfree.store.settings import Kept, Settings, Sound, SoundSettings

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (16, 16))
folder = pathlib.Path(sys.argv[1])
for write in (lambda: Settings(folder).write(Kept()), lambda: SoundSettings(folder).write(Sound())):
    try:
        write()
    except SettingsError as fault:
        print("refused" if "old file stands" in str(fault) else fault)
"""
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["refused", "refused"]
    assert Settings(tmp_path).read() == KEPT
    assert SoundSettings(tmp_path).read() == LOUD
    kept = sorted(path.name for path in tmp_path.iterdir())
    assert kept == [".lock", "sound.yaml", "tips-and-rig.yaml"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("rig: {fuel: kerosene}", "kerosene"),
        ("rig: {hose_length: 50}", "no unit"),
        ("rig: {hose_length: 50 psi}", "no length"),
        ("rig: {hose: long}", "hose is not known"),
        ("rig: {oxygen_purity_percent: 120}", "1 to 100"),
        ("tips: [{stamp: 1, made_for: 1/2 in}]", "thinnest"),
        ("tips: [{stamp: 1, drill: big}]", "whole number"),
        ("tips: {stamp: 1}", "list"),
        ("colour: red", "colour"),
        ("rig: [", "Until you mend it"),
        ("just words", "names with values"),
    ],
)
def test_a_file_that_makes_no_sense_is_named_and_set_aside(
    tmp_path: Path, text: str, told: str
) -> None:
    settings = Settings(tmp_path)
    settings.path.write_text(text, encoding="utf-8")
    assert settings.read() == Kept()
    (fault,) = faults_of(settings)
    assert told in fault and str(settings.path) in fault
    aside = settings.path.with_name("tips-and-rig.yaml.broken-1")
    assert aside.name in fault and aside.read_text(encoding="utf-8") == text


def test_a_tip_of_the_same_stamp_is_replaced() -> None:
    newer = TipOnHand(stamp="1", bore=inches(0.06))
    assert with_tip(TipBox((ONE, DOUBLE_OUGHT)), newer).tips == (DOUBLE_OUGHT, newer)


def test_a_removed_tip_leaves_the_torch_as_well() -> None:
    box = TipBox((ONE, DOUBLE_OUGHT), in_torch="1")
    assert without_tip(box, TipOnHand(stamp="1")) == TipBox((DOUBLE_OUGHT,))
    assert without_tip(box, TipOnHand(stamp="00")) == TipBox((ONE,), in_torch="1")


def test_a_tip_is_known_by_its_stamp_or_by_all_that_was_said() -> None:
    assert same_tip(ONE, TipOnHand(made_for=(inches(0.5), inches(0.5))))
    assert not same_tip(ONE, TipOnHand(made_for=(inches(0.75), inches(0.75))))
    assert not same_tip(ONE, TipOnHand(stamp="2", made_for=ONE.made_for))


def test_the_users_folder_can_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HANDSFREE_HOME", str(tmp_path / "mine"))
    assert user_folder() == tmp_path / "mine"
    monkeypatch.delenv("HANDSFREE_HOME")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert user_folder() == tmp_path / "handsfree"
