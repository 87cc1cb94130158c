"""The whole helper over a sound server, and each fault that a shift brings, made on purpose."""

import os
import signal
import subprocess
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from handsfree.app.attention import attention_network
from handsfree.hear.wake import Spot, phrases_in
from handsfree.store.settings import Settings
from handsfree.values import Fuel
from handsfree.voice.voice import Voice, VoiceSettings
from tests.running_helper import RunningHelper
from tests.sound.conftest import SoundServer, until

pytestmark = pytest.mark.sound
SPEED = "how fast on half inch plate"
SETTING = "what do i set for half inch plate"
PATIENCE_S = 30.0  # a busy machine; no bar


@pytest.fixture(scope="module")
def phrase() -> str:
    found = phrases_in(attention_network(None))
    return next(each.text for each in found if each.spot is Spot.ATTENTION)


@pytest.fixture(scope="module")
def spoken() -> Iterator[Callable[[str], tuple[bytes, int]]]:
    """Words as sound, with a second of room before and two after."""
    settings = VoiceSettings(value_rate=130, talk_rate=130, voice="en")
    with Voice(settings, patience_s=60.0) as voice:

        def say(words: str) -> tuple[bytes, int]:
            samples = voice.render(words)
            second = bytes(2 * samples.rate)
            return second + samples.data + 2 * second, samples.rate

        yield say


class Shift:
    """A user with a headset, and the helper that he talks to."""

    def __init__(
        self,
        server: SoundServer,
        helper: RunningHelper,
        spoken: Callable[[str], tuple[bytes, int]],
        phrase: str,
        home: Path,
    ) -> None:
        self.server, self.helper, self.home = server, helper, home
        self._spoken, self._phrase = spoken, phrase

    def say(self, words: str, *, called: bool = True) -> None:
        text = f"{self._phrase}, {words}" if called else words
        self.server.say("mouth", *self._spoken(text))

    def ask(self, words: str, reply: str) -> None:
        """Say it until the reply is on the page: noise of a busy machine may cost an utterance."""
        for _ in range(3):
            number = int(self.helper.page()["number"])
            self.say(words)
            try:
                self.helper.reach(partial(self._is_newer, number), PATIENCE_S)
            except AssertionError:
                continue
            if reply in self.understood():
                return
        raise AssertionError((self.understood(), self.helper.lines, self.helper.complaints))

    def _is_newer(self, number: int) -> bool:
        return int(self.helper.page()["number"]) > number

    def understood(self) -> str:
        told = self.helper.page()["told"]
        return "" if told is None else str(told["understood"])

    def type(self, words: str) -> None:
        """Ask on the page, until the reply is there."""
        number = int(self.helper.page()["number"])
        self.helper.ask(words)
        self.helper.reach(partial(self._is_newer, number))

    def stop(self) -> None:
        """Make it silent by a pedal, so that it waits to be called again."""
        self.helper.press("stop")
        self.rests()

    def rests(self) -> None:
        """Until it waits to be called again."""
        self.helper.reach(lambda: self.helper.page()["ear"] == "waiting for the phrase", 60.0)

    def voice_process(self) -> int:
        """The number of the process that makes the voice."""
        children = Path(f"/proc/{self.helper.process.pid}/task")
        for task in children.iterdir():
            for child in (task / "children").read_text().split():
                if b"synthesis_process" in Path(f"/proc/{child}/cmdline").read_bytes():
                    return int(child)
        raise AssertionError("there is no voice process")


NAMED = ("--microphone", "Monitor of mouth", "--loudspeaker", "ear")
"""A default device that goes away may be replaced by the sound server; a named one is missed."""


@pytest.fixture
def shift(
    server: SoundServer,
    spoken: Callable[[str], tuple[bytes, int]],
    phrase: str,
    tmp_path: Path,
    request: pytest.FixtureRequest,
) -> Iterator[Shift]:
    env = {**server.env, "HANDSFREE_HOME": str(tmp_path / "kept")}
    with RunningHelper(env, *getattr(request, "param", ())) as helper:
        helper.until_it_listens()
        helper.reach(lambda: helper.page()["level"] is not None)
        yield Shift(server, helper, spoken, phrase, tmp_path / "kept")
        assert not helper.complained("Traceback"), helper.complaints
        if helper.process.poll() is None:
            assert helper.end() == 0


def test_it_is_called_answers_stays_and_waits_again(shift: Shift) -> None:
    with shift.server.listen("ear") as ear:
        shift.ask(SPEED, "travel speed, half inch plate")
        until(lambda: ear.last_sound_at() > 0, PATIENCE_S)
        shift.helper.reach(lambda: shift.helper.page()["ear"] == "listening", 60.0)
        number = shift.helper.page()["number"]
        shift.say("what about three quarter plate", called=False)
        shift.helper.reach(lambda: shift.helper.page()["number"] > number, PATIENCE_S)
        assert "three quarter inch plate" in shift.understood()
        shift.rests()
    assert shift.helper.page()["faults"] == []


def test_it_does_not_answer_itself(shift: Shift) -> None:
    """Its own voice comes into the microphone as loud as the user's."""
    loop = subprocess.run(
        ["pactl", "load-module", "module-loopback", "source=ear.monitor", "sink=mouth"],
        env=shift.server.env,
        check=True,
        capture_output=True,
    )
    assert loop.stdout.strip()
    shift.ask(SETTING, "half inch plate")
    number = shift.helper.page()["number"]
    shift.rests()
    assert shift.helper.page()["number"] == number


@pytest.mark.parametrize("shift", [NAMED], indirect=True)
def test_a_microphone_that_is_unplugged_is_told_and_heard_again_when_it_is_back(
    shift: Shift,
) -> None:
    shift.ask("i'm on propane today", "propane")
    shift.server.unplug("mouth")
    shift.helper.reach(lambda: "microphone" in shift.helper.faults(), PATIENCE_S)
    shift.server.plug_in("mouth")
    shift.helper.reach(lambda: not shift.helper.faults(), 60.0)
    shift.stop()
    assert Settings(shift.home).read().rig.fuel is Fuel.ACETYLENE, "nobody said yes"
    shift.ask(SPEED, "travel speed, half inch plate")


@pytest.mark.parametrize("shift", [NAMED], indirect=True)
def test_a_loudspeaker_that_is_unplugged_is_shown_and_speaks_again_when_it_is_back(
    shift: Shift,
) -> None:
    shift.type(SPEED)
    shift.server.unplug("ear")
    shift.helper.reach(lambda: "loudspeaker" in shift.helper.faults(), PATIENCE_S)
    shift.type(SETTING)
    assert "half inch plate" in shift.understood()
    shift.server.plug_in("ear")
    shift.helper.reach(lambda: not shift.helper.faults(), 60.0)
    with shift.server.listen("ear") as ear:
        shift.type(SETTING)
        until(lambda: ear.last_sound_at() > 0, PATIENCE_S)


def test_a_sound_server_that_starts_again_costs_no_more_than_the_wait(shift: Shift) -> None:
    shift.type(SPEED)
    shift.server.kill()
    shift.helper.reach(lambda: "microphone" in shift.helper.faults(), PATIENCE_S)
    shift.type(SETTING)
    assert "half inch plate" in shift.understood()
    shift.server.start("ear", "mouth")
    shift.server.use(loudspeaker="ear", microphone="mouth")
    shift.helper.reach(lambda: not shift.helper.faults(), 60.0)
    shift.stop()
    shift.ask(SPEED, "travel speed")


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGSTOP])
def test_a_voice_process_that_dies_or_hangs_is_started_anew(
    shift: Shift, how: signal.Signals
) -> None:
    shift.type(SPEED)
    shift.stop()
    os.kill(shift.voice_process(), how)
    with shift.server.listen("ear") as ear:
        shift.type("settings for six inch schedule eighty pipe")
        until(lambda: ear.last_sound_at() > 0, PATIENCE_S)
    shift.helper.reach(lambda: not shift.helper.faults(), PATIENCE_S)


def test_what_was_confirmed_survives_a_kill(shift: Shift) -> None:
    shift.type("i've got a number one tip it's made for half inch plate")
    shift.type("yes")  # before anything is stopped, which would leave the question
    shift.stop()
    shift.ask("i'm on propane today", "propane")
    shift.helper.process.kill()
    shift.helper.process.wait()
    kept = Settings(shift.home).read()
    assert [tip.stamp for tip in kept.box.tips] == ["1"]
    assert kept.rig.fuel is Fuel.ACETYLENE
