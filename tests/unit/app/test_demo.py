"""The demo: a shift of made sound through the real rooms, told as it happens."""

from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
import yaml

from handsfree.app.cli import main
from handsfree.app.demo.aloud import Aloud
from handsfree.app.demo.mouth import MadeMouth, Sounded
from handsfree.app.demo.recordings import Recordings
from handsfree.app.demo.script import SHIFT, Does, read_script
from handsfree.app.demo.transcript import as_heard
from handsfree.app.terminal import Terminal
from handsfree.audio.sound_file import read_wav
from handsfree.errors import SettingsError, SoundError
from handsfree.logbook.logbook import Logbook
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Heard, NotUnderstood, Samples, Spoken, Tone, Words
from handsfree.voice.voice import Voice

SHORT = """
- tell: The cutter asks, and the mate talks beside him.
  does:
    - says: add a number one tip made for half inch plate
    - presses: confirm
      after: 12
    - says: how fast on half inch plate
    - presses: stop
      after: 3
    - beside: did you see where he put the other sling
- tell: Nothing gets through such noise.
  does:
    - waits: 12
    - hiss: 30000
    - says: how fast on half inch plate
"""


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, list[str]]]:
    """A short shift, played once by the command: its folder, and the lines that were told."""
    folder = tmp_path_factory.mktemp("shift")
    (folder / "script.yaml").write_text(SHORT, encoding="utf-8")
    lines: list[str] = []
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Terminal, "say", lambda _self, line: lines.append(line) is None)
        script = str(folder / "script.yaml")
        assert main(["demo", "--keep", str(folder / "kept"), "--script", script]) == 0
    yield folder / "kept", lines


def after(lines: list[str], opening: str) -> str:
    """What follows from the first line that holds these words on."""
    (first, *_) = [number for number, line in enumerate(lines) if opening in line]
    return "\n".join(lines[first:])


def test_tells_what_was_said_heard_answered_and_shown(played: tuple[Path, list[str]]) -> None:
    told = after(played[1], ", add a number one tip")
    for line in (
        'number one tip made for half inch plate", sure to',
        "helper answers  Tip box, add, tip stamped one, made for half inch plate. Shall I keep",
        "pedal           confirm",
        'helper hears    "how fast on half inch plate", sure to',
        "page shows      travel 12-14 1/2 in/min",
        "helper answers  Travel speed, half inch plate, acetylene",
        "pedal           stop",
        "helper          is silent after 3.",
    ):
        assert line in told
        told = told[told.index(line) :]


def test_tells_of_talk_that_was_not_taken_in(played: tuple[Path, list[str]]) -> None:
    told = after(played[1], "did you see where he put the other sling (aside)")
    assert "not for the helper, and not taken in" in told.splitlines()[1]


def test_owns_up_to_what_was_missed(played: tuple[Path, list[str]]) -> None:
    told = after(played[1], "Nothing gets through")
    assert "MISSED" in told or "MISHEARD" in told
    assert "The cutter spoke 3 times: missed or taken for something else, 1;" in told


def test_fills_logbook_and_tip_box_in_the_folder_that_was_named(
    played: tuple[Path, list[str]],
) -> None:
    folder, lines = played
    entries = Logbook(folder / "home" / "logbook.sqlite").entries()
    assert [entry.kind for entry in entries[:3]] == ["question", "answer", "answer"]
    assert [tip.stamp for tip in Settings(folder / "home").read().box.tips] == ["1"]
    told = after(lines, "The logbook:")
    assert "question: tip box, add, tip stamped one" in told
    assert "Its seals are whole" in told


def test_writes_what_was_said_and_what_was_answered_as_sound(
    played: tuple[Path, list[str]],
) -> None:
    files = sorted(path.name for path in played[0].glob("*.wav"))
    assert files[:4] == ["01-cutter.wav", "02-helper.wav", "03-helper.wav", "04-cutter.wav"]
    stopped = read_wav(played[0] / "05-helper.wav").samples
    assert 2.5 < stopped.seconds < 3.5


def test_the_shift_that_comes_with_it_asks_what_the_helper_understands(tmp_path: Path) -> None:
    session = Session(Settings(tmp_path))
    spoken = [
        deed.words
        for scene in read_script()
        for deed in scene.deeds
        if deed.does in (Does.SAYS, Does.HOLDS)
    ]
    assert len(spoken) > 20
    lost = [words for words in spoken if isinstance(session.means(words), NotUnderstood | str)]
    assert not lost


def test_the_shift_that_comes_with_it_says_nothing_of_what_comes_of_it() -> None:
    scenes = yaml.safe_load(SHIFT.read_text(encoding="utf-8"))
    assert {name for scene in scenes for name in scene} == {"tell", "does"}
    done = {name for scene in scenes for deed in scene["does"] for name in deed}
    assert done == {*map(str, Does), "after"}


@pytest.mark.parametrize(
    "script",
    ["", "- tell: x", "- tell: x\n  does: [{shouts: x}]", "- {tell: x, does: [{presses: reset}]}"],
)
def test_a_script_that_is_none_is_told_with_its_file(tmp_path: Path, script: str) -> None:
    path = tmp_path / "script.yaml"
    path.write_text(script, encoding="utf-8")
    with pytest.raises(SettingsError, match="script.yaml is no script of a shift"):
        read_script(path)


class Clock:
    """The made time of a test."""

    now = 10.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def voice() -> Iterator[Voice]:
    with Voice() as found:
        yield found


def test_what_is_hushed_is_cut_off_where_it_was(voice: Voice) -> None:
    clock, events = Clock(), list[Spoken]()
    mouth = MadeMouth(voice, events.append, clock)
    mouth.say(["Half inch plate, acetylene."], 7)
    assert mouth.speaks
    clock.now += 0.55
    mouth.tick()
    mouth.hush()
    assert events == [Spoken(False, 7)]
    (sounded,) = mouth.heard
    assert not sounded.whole
    assert sounded.samples.seconds == pytest.approx(0.5, abs=0.01)


def test_what_is_said_is_over_when_its_sound_is(voice: Voice) -> None:
    clock, events, sounded = Clock(), list[Spoken](), list[Sounded]()
    mouth = MadeMouth(voice, events.append, clock, on_sounded=sounded.append)
    mouth.say(["Half inch plate."], 1)
    clock.now = mouth.ends - 0.01
    mouth.tick()
    assert not events
    clock.now = mouth.ends
    mouth.tick()
    assert events == [Spoken(True, 1)]
    mouth.tone(Tone.HEARD)
    assert [each.tone for each in sounded] == [None, Tone.HEARD]


class MadeSpeaker:
    """A loudspeaker that remembers, or that is not there."""

    def __init__(self, fault: SoundError | None = None) -> None:
        self.played: list[bytes] = []
        self.closed = False
        self._fault = fault

    def play(self, pieces: Iterable[Samples]) -> bool:
        if self._fault is not None:
            raise self._fault
        self.played += [piece.data for piece in pieces]
        return True

    def stop(self) -> None:
        self.played.append(b"stop")

    def close(self) -> None:
        self.closed = True


def test_plays_aloud_in_order_and_gives_the_loudspeaker_back() -> None:
    speaker = MadeSpeaker()
    with Aloud(speaker, pytest.fail) as aloud:
        for data in (b"aa", b"bb"):
            aloud.play(Samples(data, 8000))
    assert speaker.played == [b"aa", b"bb"]
    assert speaker.closed


def test_tells_once_that_nothing_is_heard_and_goes_on() -> None:
    told: list[str] = []
    with Aloud(MadeSpeaker(SoundError("No loudspeaker.")), told.append) as aloud:
        for data in (b"aa", b"bb"):
            aloud.play(Samples(data, 8000))
    assert told == ["No loudspeaker."]


def test_a_mishearing_is_named_with_the_other_readings() -> None:
    heard = Heard(Words("fifty mil plate", 0.61, ("fifteen mil plate",)), advice="Too quiet.")
    told = as_heard(heard, otherwise=True)
    assert told == '"fifty mil plate", sure to 61%, MISHEARD, or "fifteen mil plate", Too quiet.'


def test_a_recording_that_cannot_be_written_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(SoundError, match="--keep"):
        Recordings(tmp_path / "file").write("cutter", Samples(bytes(8), 8000))
