"""The running helper with made ears and a made mouth: whole turns, and every fault there is."""

import json
import subprocess
import sys
import threading
from collections.abc import Sequence
from pathlib import Path

import pytest

from handsfree.app.helper import Helper
from handsfree.dialogue.turn_asides import FAULT_SAID
from handsfree.dialogue.turn_moves import NOT_COME
from handsfree.dialogue.turn_state import GIVEN_UP_AFTER_S, State
from handsfree.errors import SettingsError, SoundError, VoiceError
from handsfree.logbook.logbook import Logbook
from handsfree.pacing.clock_thread import KeepingTime
from handsfree.pacing.timekeeper import CLOCK_JUMP_S, CLOCK_SHOWN_S
from handsfree.page.board import Ear, PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import (
    Called,
    Control,
    Failed,
    Fuel,
    Heard,
    Key,
    Listening,
    Mended,
    Part,
    Pressed,
    Spoken,
    Taken,
    Told,
    Tone,
    Words,
)
from handsfree.voice.voice import VoiceSettings, adjusted


class MadeEars:
    def __init__(self) -> None:
        self.seen: list[Listening] = []
        self.ended = 0
        self.own: tuple[str, ...] = ()
        self.raises: Exception | None = None

    def listen_for(self, listening: Listening) -> None:
        if self.raises:
            raise self.raises
        self.seen.append(listening)

    def says(self, sentences: Sequence[str]) -> None:
        self.own = tuple(sentences)

    def end_utterance(self) -> None:
        self.ended += 1


class MadeMouth:
    """Says all at once when it is let; tells the helper like the real one."""

    def __init__(self, helper: Helper) -> None:
        self._helper = helper
        self.said: list[str] = []
        self.tones: list[Tone] = []
        self.hushed = 0
        self.number = 0
        self.settings = VoiceSettings()
        self.raises: Exception | None = None

    def say(self, sentences: Sequence[str], number: int) -> None:
        if self.raises:
            raise self.raises
        self.said += sentences
        self.number = number

    def tone(self, which: Tone) -> None:
        self.tones.append(which)

    def hush(self) -> None:
        self.hushed += 1

    def adjust(self, how: Control) -> VoiceSettings:
        self.settings = adjusted(self.settings, how)
        return self.settings


class Clocks:
    def __init__(self) -> None:
        self.now = 50.0
        self.set_by = 1_000_000.0

    def forward(self) -> float:
        return self.now

    def wall(self) -> float:
        return self.now + self.set_by


class Shift:
    """A helper with a session of its own, on a clock that the test turns."""

    def __init__(
        self, folder: Path, *, barge_in: bool = False, board: type[PageBoard] = PageBoard
    ) -> None:
        self.clocks = Clocks()
        self.trouble: list[str] = []
        self.kept: list[VoiceSettings] = []
        self.settings = Settings(folder)
        self.logbook = Logbook(folder / "logbook.sqlite")
        self.session = Session(
            self.settings,
            logbook=self.logbook,
            clock=self.clocks.forward,
            wall=self.clocks.wall,
        )
        self.board = board(clock=self.clocks.forward)
        self.helper = Helper(
            self.session,
            self.board,
            barge_in=barge_in,
            keep=self.kept.append,
            complain=self.trouble.append,
            clock=self.clocks.forward,
            threaded=False,
        )
        self.session.faults.tell_to(self.helper.failed)
        self.ears, self.mouth = MadeEars(), MadeMouth(self.helper)
        self.helper.attach(ears=self.ears, mouth=self.mouth)
        self.time = KeepingTime(self.session.pacing, self.helper.post, self.board)
        self.time.begin()

    def hear(self, text: str, sureness: float = 0.97, *, called: bool = True) -> str:
        """What is said after these words, up to the end of it."""
        del self.mouth.said[:]
        self.helper.post(Heard(Words(text, sureness), called))
        self.go_on()
        return " ".join(self.mouth.said).lower()

    def go_on(self) -> None:
        self.helper.turn_all()
        while self.state is State.SPEAKING:
            self.helper.post(Spoken(True, self.mouth.number))
            self.helper.turn_all()

    def look(self) -> None:
        """What the thread that keeps time does."""
        self.time.look()
        self.go_on()

    def pass_time(self, seconds: float) -> None:
        self.clocks.now += seconds
        self.go_on()

    @property
    def state(self) -> State:
        return self.helper.turns.state

    @property
    def faults(self) -> dict[Part, str]:
        return dict(self.board.latest().faults)

    @property
    def on_record(self) -> list[str]:
        return [entry.kind for entry in self.logbook.entries()]


@pytest.fixture
def shift(tmp_path: Path) -> Shift:
    return Shift(tmp_path)


def no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


# --- turns ----------------------------------------------------------------------------------------


def test_a_request_is_answered_shown_and_written_down(shift: Shift) -> None:
    said = shift.hear("how fast on half inch plate")
    assert said.startswith("travel speed, half inch plate")
    told = shift.board.latest().told
    assert told is not None
    assert told.kind == "answer"
    assert shift.on_record == ["answer"]
    assert shift.ears.seen == [Listening.ATTENTION, Listening.NOTHING, Listening.REQUEST]
    assert shift.mouth.tones == [Tone.HEARD]


def test_the_ears_are_told_what_the_helper_itself_says(shift: Shift) -> None:
    said = shift.hear("how fast on half inch plate")
    assert " ".join(shift.ears.own).lower() == said


def test_a_tip_is_kept_after_a_yes_and_only_then(shift: Shift) -> None:
    assert "shall i keep that" in shift.hear("add a number one tip made for half inch plate")
    assert not shift.settings.path.exists()
    shift.hear("yes", called=False)
    assert [tip.stamp for tip in shift.settings.read().box.tips] == ["1"]


def test_a_dropped_question_is_closed_in_the_session_too(shift: Shift) -> None:
    shift.hear("i'm on propane today")
    shift.pass_time(15)
    shift.pass_time(15)
    assert shift.state is State.WAITING
    assert "no question open" in shift.hear("yes")
    assert not shift.settings.path.exists()


def test_the_board_shows_what_the_ears_do(shift: Shift) -> None:
    shift.helper.post(Called())
    shift.go_on()
    assert shift.board.latest().ear is Ear.LISTENING
    shift.pass_time(60)
    assert shift.board.latest().ear is Ear.WAITING
    shift.helper.post(Failed(Part.MICROPHONE, "Gone."))
    shift.go_on()
    assert shift.board.latest().ear is Ear.DEAF


def test_the_page_offers_what_can_be_said_now(shift: Shift) -> None:
    shift.hear("what do i set for ten")
    assert shift.board.latest().can_say[:3] == ("ten inch", "ten millimetres", "ten gauge")


def test_slower_is_kept(shift: Shift) -> None:
    shift.hear("how fast on half inch plate")
    assert shift.hear("slower", called=False) == "slower."
    assert [settings.talk_rate for settings in shift.kept] == [shift.mouth.settings.talk_rate]
    assert shift.kept[0].talk_rate < VoiceSettings().talk_rate


def test_back_says_the_answer_before(shift: Shift) -> None:
    shift.hear("how fast on half inch plate")
    shift.hear("what about three quarter", called=False)
    del shift.mouth.said[:]
    shift.helper.post(Pressed(Key.BACK))
    shift.go_on()
    assert "half inch plate" in shift.mouth.said[0].lower()


def test_talk_that_is_not_for_it_leaves_no_trace(shift: Shift) -> None:
    assert shift.hear("how fast on half inch plate", called=False) == ""
    shift.hear("how fast on half inch plate")
    before = shift.board.latest().told
    assert shift.hear("[unk]", called=False) == ""
    assert shift.hear("pass me that", called=False) == ""
    assert shift.board.latest().told is before
    assert shift.on_record == ["answer"]


def test_without_ears_and_mouth_there_are_the_page_and_the_keys(tmp_path: Path) -> None:
    session, board = Session(Settings(tmp_path)), PageBoard()
    helper = Helper(session, board, threaded=False)
    helper.ask("how fast on half inch plate")
    helper.turn_all()
    told = board.latest().told
    assert told is not None
    assert told.kind == "answer"
    assert helper.turns.state is State.STAYING
    assert board.latest().ear is Ear.DEAF


# --- faults of the parts --------------------------------------------------------------------------


def test_a_mouth_that_raises_is_told_on_the_page_and_the_turn_goes_on(shift: Shift) -> None:
    shift.mouth.raises = VoiceError("The voice cannot speak: its process has ended.")
    shift.hear("how fast on half inch plate")
    assert "its process has ended" in shift.faults[Part.VOICE]
    assert shift.state is State.STAYING
    told = shift.board.latest().told
    assert told is not None
    assert told.kind == "answer"
    shift.mouth.raises = None
    shift.helper.post(Mended(Part.VOICE))
    shift.go_on()
    assert shift.faults == {}


def test_ears_that_raise_are_told_and_said(shift: Shift) -> None:
    shift.ears.raises = SoundError("The microphone is gone.")
    shift.hear("how fast on half inch plate")
    assert shift.faults[Part.MICROPHONE] == "The microphone is gone."
    shift.ears.raises = None
    assert "half inch plate" in shift.hear("how fast on half inch plate")


def test_what_no_part_should_raise_is_complained_of_with_its_trace(shift: Shift) -> None:
    shift.mouth.raises = ZeroDivisionError("inside")
    shift.hear("how fast on half inch plate")
    assert "ZeroDivisionError: inside" in shift.trouble[0]
    assert "ZeroDivisionError" in shift.faults[Part.VOICE]
    shift.mouth.raises = None
    assert "half inch plate" in shift.hear("how fast on half inch plate")


def test_a_recogniser_that_raised_costs_one_utterance(shift: Shift) -> None:
    shift.hear("how fast on half inch plate")
    shift.helper.post(Failed(Part.RECOGNISER, "The recogniser failed."))
    shift.go_on()
    assert FAULT_SAID[Part.RECOGNISER] in shift.mouth.said
    shift.helper.post(Mended(Part.RECOGNISER))
    shift.go_on()
    assert shift.faults == {}
    assert "three quarter" in shift.hear("what about three quarter", called=False)


def test_a_session_that_raises_is_told_and_the_next_request_is_answered(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(shift.session, "turn", lambda words: 1 / 0)
        assert shift.hear("how fast on half inch plate") == FAULT_SAID[Part.SESSION].lower()
    assert "ZeroDivisionError" in shift.trouble[0]
    assert shift.state is State.LISTENING
    assert "half inch plate" in shift.hear("how fast on half inch plate")
    assert shift.faults == {}


def test_a_fault_of_the_turns_themselves_ends_no_shift(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    shift.hear("i'm on propane today")
    with monkeypatch.context() as broken:
        broken.setattr("handsfree.app.helper.step", lambda *_: 1 / 0)
        shift.helper.post(Called())
        shift.helper.turn_all()
    assert "ZeroDivisionError" in shift.trouble[0]
    assert shift.state is State.WAITING
    assert "no question open" in shift.hear("yes"), "what was open was dropped"
    assert "half inch plate" in shift.hear("how fast on half inch plate")


# --- a full disk ----------------------------------------------------------------------------------


def test_a_full_disk_keeps_the_answers_for_the_logbook_until_there_is_room(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    shift.hear("how fast on half inch plate")
    with monkeypatch.context() as full:
        full.setattr(Logbook, "_add", no_room)
        said = shift.hear("what do i set for half inch plate")
        assert "cutting oxygen" in said
        assert FAULT_SAID[Part.LOGBOOK].lower() in said
        assert "not on record" in shift.faults[Part.LOGBOOK]
        shift.hear("i'm on propane today")
        assert "propane" in shift.hear("yes", called=False)
    assert shift.on_record == ["answer"]
    shift.hear("how fast on one inch plate")
    assert shift.on_record == ["answer", "answer", "question", "answer", "answer"]
    assert shift.logbook.broken_at() is None
    assert shift.faults == {}


def test_a_yes_that_cannot_be_kept_is_told_and_may_be_said_again(
    shift: Shift, monkeypatch: pytest.MonkeyPatch
) -> None:
    shift.hear("i'm on propane today")
    with monkeypatch.context() as full:
        full.setattr("handsfree.store.settings.os.fsync", no_room)
        assert shift.hear("yes", called=False) == FAULT_SAID[Part.SETTINGS].lower()
        assert "No space left" in shift.faults[Part.SETTINGS]
        assert shift.settings.read().rig.fuel is Fuel.ACETYLENE
    assert shift.state is State.ASKED, "the change is still open"
    shift.hear("yes", called=False)
    assert shift.settings.read().rig.fuel is Fuel.PROPANE
    assert shift.faults == {}


def test_a_voice_setting_that_cannot_be_kept_counts_for_this_run(tmp_path: Path) -> None:
    shift = Shift(tmp_path)

    def refuse(_settings: VoiceSettings) -> None:
        raise SettingsError("Cannot keep the change.")

    shift.helper._keep = refuse
    shift.hear("how fast on half inch plate")
    said = shift.hear("slower", called=False)
    assert said.startswith("slower.")
    assert shift.faults[Part.SETTINGS] == "Cannot keep the change."
    assert shift.mouth.settings.talk_rate < VoiceSettings().talk_rate


FULL_DISK = """
import json, resource, signal, sys
from pathlib import Path
from handsfree.errors import SettingsError
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.logbook.logbook import Logbook
from handsfree.values import Words

folder = Path(sys.argv[1])
faults = []
logbook = Logbook(folder / "logbook.sqlite")
session = Session(Settings(folder), logbook=logbook)
session.faults.tell_to(lambda fault: faults.append(fault.sentence))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)


def allow(size):
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


session.take(Words("how fast on half inch plate"))
session.take(Words("i'm on propane today"))
allow(16)
try:
    session.take(Words("yes"))
    refused = ""
except SettingsError as fault:
    refused = str(fault)
session.take(Words("how fast on one inch plate"))
allow(resource.RLIM_INFINITY)
waiting = session.unwritten
session.take(Words("i'm on propane today"))
session.take(Words("yes"))
print(json.dumps({
    "faults": faults,
    "refused": refused,
    "waiting": waiting,
    "left": session.unwritten,
    "record": [entry.understood for entry in logbook.entries()],
    "broken": logbook.broken_at(),
    "fuel": Settings(folder).read().rig.fuel,
}))
"""


def test_a_disk_that_is_really_full_costs_nothing_but_the_wait(tmp_path: Path) -> None:
    """The limit on the size of a file stands for the disk: the system refuses the write itself."""
    done = subprocess.run(
        [sys.executable, "-c", FULL_DISK, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
    )
    seen = json.loads(done.stdout)
    assert len(seen["faults"]) == 1
    assert "cannot be written" in seen["faults"][0]
    assert "old file stands" in seen["refused"]
    assert (seen["waiting"], seen["left"], seen["broken"]) == (1, 0, None)
    assert [what.split(", ")[1] for what in seen["record"][:3]] == [
        "half inch plate",
        "now in use",
        "one inch plate",
    ]
    assert len(seen["record"]) == 5
    assert seen["fuel"] == "propane"


class Flimsy(PageBoard):
    """A board that raises as often as it is told to."""

    raises = 0

    def publish(self, told: Told) -> None:
        if self.raises:
            self.raises -= 1
            raise BrokenPipeError(32, "Broken pipe")
        super().publish(told)


def test_a_fault_in_showing_a_reply_is_over_with_the_next_reply_that_is_shown(
    tmp_path: Path,
) -> None:
    shift = Shift(tmp_path, board=Flimsy)
    assert isinstance(shift.board, Flimsy)
    shift.board.raises = 2
    for shown in (False, False, True):
        shift.hear("how fast on half inch plate")
        assert (Part.SESSION in shift.faults) is not shown


# --- clocks ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("jump", [3600.0, -3600.0])
def test_a_clock_that_jumps_is_shown_and_moves_no_turn(tmp_path: Path, jump: float) -> None:
    shift = Shift(tmp_path)
    shift.hear("i'm on propane today")
    until = shift.helper.turns.until
    shift.clocks.set_by += jump
    shift.look()
    way = "forward" if jump > 0 else "back"
    assert f"jumped {way} by sixty minutes" in shift.faults[Part.CLOCK]
    assert shift.on_record == ["question", "clock"]
    assert shift.state is State.ASKED
    assert until is not None
    shift.hear("yes", called=False)
    assert shift.settings.read().rig.fuel is Fuel.PROPANE
    shift.clocks.now += CLOCK_SHOWN_S
    shift.look()
    assert shift.faults == {}
    assert shift.on_record.count("clock") == 1, "that it is over is nothing to keep"


@pytest.mark.parametrize("jump", [31.0, -31.0, 86_400.0, -1.5e9, 1.5e9])
@pytest.mark.parametrize("asked", ["set a timer for twenty minutes", "help"])
def test_one_jump_is_recorded_shown_and_said_once_in_the_same_words(
    tmp_path: Path, jump: float, asked: str
) -> None:
    """By the helper's own loop and by the thread that keeps time, as they run beside each other."""
    shift = Shift(tmp_path)
    shift.hear(asked)
    del shift.mouth.said[:]
    shift.clocks.set_by += jump
    for _ in range(3):
        shift.look()
        shift.helper.post(Called())
        assert shift.helper._wait_and_turn()
        shift.go_on()
    [entry] = [each for each in shift.logbook.entries() if each.kind == "clock"]
    assert shift.faults[Part.CLOCK] == entry.said
    spoken = [said for said in shift.mouth.said if "clock of this machine" in said]
    assert len(spoken) == ("timer" in asked)
    assert all(said in entry.said for said in spoken)


def test_a_clock_that_is_set_right_by_little_is_no_fault(tmp_path: Path) -> None:
    shift = Shift(tmp_path)
    for _ in range(10):
        shift.clocks.set_by += CLOCK_JUMP_S / 2
        shift.look()
    assert shift.faults == {}


# --- threads --------------------------------------------------------------------------------------


class Slow:
    """A session that answers when it is let."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self.may_answer = threading.Event()
        self.answered = threading.Event()
        self.unwritten = 0

    def turn(self, words: Words) -> Taken:
        assert self.may_answer.wait(10)
        taken = self._session.turn(words)
        self.answered.set()
        return taken

    def drop(self) -> None:
        self._session.drop()


def test_a_session_that_hangs_is_told_of_and_its_late_reply_dropped_but_on_record(
    tmp_path: Path,
) -> None:
    logbook = Logbook(tmp_path / "logbook.sqlite")
    slow = Slow(Session(Settings(tmp_path), logbook=logbook))
    clocks, board = Clocks(), PageBoard()
    helper = Helper(slow, board, clock=clocks.forward)
    worker = threading.Thread(target=helper._answer_all)
    worker.start()
    mouth = MadeMouth(helper)
    helper.attach(mouth=mouth)
    helper.post(Heard(Words("how fast on half inch plate", 0.97), called=True))
    helper.turn_all()
    for _ in range(2):
        clocks.now += GIVEN_UP_AFTER_S
        helper.turn_all()
    assert mouth.said[-1] == NOT_COME
    slow.may_answer.set()
    assert slow.answered.wait(10)
    helper._work.put(None)
    worker.join(10)
    helper.turn_all()
    assert board.latest().told is None
    assert [entry.kind for entry in logbook.entries()] == ["answer"]


def test_it_runs_until_it_is_stopped(shift: Shift) -> None:
    helper = Helper(shift.session, shift.board)
    running = threading.Thread(target=helper.run)
    running.start()
    helper.ask("how fast on half inch plate")
    for _ in range(1000):
        if shift.board.latest().told is not None:
            break
        threading.Event().wait(0.01)
    helper.stop()
    running.join(10)
    assert not running.is_alive()
    told = shift.board.latest().told
    assert told is not None
    assert told.kind == "answer"
