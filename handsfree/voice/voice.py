"""Sentences become samples, through the voice's own process and a store of what it said before.

The process is started when it is first needed, or ahead of time by `Voice.warm_up`. When it dies,
hangs or yields nothing it is started anew, once a sentence; then `VoiceError` says what to do, and
the next sentence tries again. Sentences are rendered one by one, so that the first can be played
while the next is made.
"""

import array
import contextlib
import json
import re
import sys
import threading
import wave
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from handsfree.audio.speaker import LOUDEST, QUIETEST
from handsfree.errors import SettingsError, SoundError, VoiceError
from handsfree.values import Control, Samples
from handsfree.voice.speech_cache import VoiceStore
from handsfree.voice.synthesis_pipe import VoiceProcess, default_command

# The voice talks about 5 % slower than it is asked to: 110 asked gave 104, 150 gave 142.
RATE_CORRECTION: Final = 1.05
SLOWEST, FASTEST = 80, 300  # words a minute: below 80 espeak-ng no longer slows down
FASTEST_ASKED: Final = 220  # as far as "faster" goes: figures are lost beyond
# So far a sentence may be from the rate wanted; else it is rendered again, by so much at most.
NEAR_ENOUGH: Final = 1.05
QUICKER_BY: Final = 1.3  # long words take their time
PAUSE_S: Final = 0.25  # between sentences; the voice's own are 0.4 to 0.7 s, at the end too
TAIL_S: Final = 0.04
SILENT: Final = 60  # of 32767: below it nothing is heard
PATIENCE_S: Final = 2.0  # a sentence takes some 15 ms; a start 60 ms, and gets twice as long
UNHURRIED_S: Final = 15.0  # where nobody waits for the answer on a ladder, and the machine is busy
LONGEST_PIECE: Final = 400  # characters: the time to render grows with the square of the length
REMEMBERED: Final = 64  # sentences kept in memory, for "say again"
FASTER_BY: Final = 1.12  # one step of "slower" and "faster": some 12 words a minute
LOUDER_BY: Final = 10 ** (4 / 20)  # one step of "louder" and "softer": 4 dB are plainly heard

_NUMBER_WORD: Final = re.compile(
    r"\b(?:\d+|zero|oh|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|half|point"
    r"|\w+teen|(?:twen|thir|for|fif|six|seven|eigh|nine)ty|hundred|thousand"
    r"|(?:third|quarter|fourth|eighth|sixteenth)s?)\b"
)


@dataclass(frozen=True, slots=True)
class VoiceSettings:
    """How the voice speaks.

    Attributes:
        value_rate: words a minute for a sentence with a figure in it.
        talk_rate: words a minute for the rest.
        pitch: 0 to 100; 50 is the voice's own.
        voice: "en-us" or "en" (British), the two that come with the install.
        loudness: share of full volume, 0.1 to 1.
        loudspeaker: its name as the sound system lists it; None for the default.

    Raises:
        SettingsError: a rate, the pitch or the loudness is outside what the voice can do.
    """

    value_rate: float = 110.0
    talk_rate: float = 150.0
    pitch: int = 50
    voice: str = "en-us"
    loudness: float = 0.8
    loudspeaker: str | None = None

    def __post_init__(self) -> None:
        for name, rate in (("value_rate", self.value_rate), ("talk_rate", self.talk_rate)):
            if not SLOWEST <= rate <= FASTEST:
                raise SettingsError(
                    f"{name} is {rate:g} words a minute; set it between {SLOWEST} and {FASTEST}."
                )
        if not 0 <= self.pitch <= 100:
            raise SettingsError(f"The voice's pitch is {self.pitch}; set it between 0 and 100.")
        if not QUIETEST <= self.loudness <= LOUDEST:
            raise SettingsError(
                f"The voice's loudness is {self.loudness:g} of full volume; set it between"
                f" {QUIETEST:g} and {LOUDEST:g}."
            )


def adjusted(settings: VoiceSettings, how: Control) -> VoiceSettings:
    """The settings one step slower, faster, louder or softer; the same ones at the bound.

    >>> adjusted(VoiceSettings(talk_rate=140.0), Control.FASTER).talk_rate
    156.8
    >>> adjusted(VoiceSettings(loudness=1.0), Control.LOUDER).loudness
    1.0
    """
    if how in (Control.SLOWER, Control.FASTER):
        slow, brisk = sorted((settings.value_rate, settings.talk_rate))
        by = max(1.0, min(FASTER_BY, FASTEST_ASKED / brisk))
        if how is Control.SLOWER:
            by = min(1.0, max(1 / FASTER_BY, SLOWEST / slow))
        value, talk = (round(rate * by, 1) for rate in (settings.value_rate, settings.talk_rate))
        return replace(settings, value_rate=max(value, SLOWEST), talk_rate=max(talk, SLOWEST))
    if how in (Control.LOUDER, Control.SOFTER):
        by = LOUDER_BY if how is Control.LOUDER else 1 / LOUDER_BY
        loudness = min(max(settings.loudness * by, QUIETEST), LOUDEST)
        return replace(settings, loudness=round(loudness, 3))
    return settings


def carries_value(sentence: str) -> bool:
    """Whether a sentence holds a number, so that it is spoken at the slower rate.

    >>> carries_value("Set oxygen to twenty four to thirty five p s i.")
    True
    >>> carries_value("Watch for people below.")
    False
    """
    return _NUMBER_WORD.search(sentence.lower()) is not None


class Voice:
    """Renders sentences; safe to call from several threads, one at a time.

    Attributes:
        settings: may be replaced at any time; the next sentence follows them.
        fault: why the process could not speak when it was last asked to; empty when it could.

    Args:
        settings: rates, pitch and voice.
        store_folder: where phrases rendered ahead are kept between runs; None keeps none.
        command: the voice process, another one in tests.
        patience_s: how long a sentence may take before the process counts as hung.
    """

    def __init__(
        self,
        settings: VoiceSettings | None = None,
        store_folder: Path | None = None,
        *,
        command: Sequence[str] | None = None,
        patience_s: float = PATIENCE_S,
    ) -> None:
        self.settings = settings or VoiceSettings()
        self._command = tuple(command or default_command())
        self._patience_s = patience_s
        self._store = VoiceStore(store_folder) if store_folder else None
        self._remembered: OrderedDict[str, Samples] = OrderedDict()
        self._memory = threading.Lock()
        self._process: VoiceProcess | None = None
        self._lock = threading.RLock()
        self._closing = False
        self.fault = ""

    def render(self, sentence: str, words_a_minute: float | None = None) -> Samples:
        """The samples of one sentence; its rate follows from what it says when none is given.

        Raises:
            VoiceError: the voice process failed twice in a row.
        """
        return self._render(sentence, words_a_minute, keep=False)

    def render_all(self, sentences: Iterable[str]) -> Iterator[Samples]:
        """The samples of each sentence, made when asked for, with a pause between any two."""
        said = False
        for sentence in sentences:
            samples = self.render(sentence)
            if samples.data:
                yield after_pause(samples) if said else samples
                said = True

    def render_ahead(self, phrases: Iterable[str]) -> None:
        """Make phrases that are needed often, and keep them between runs; raises as `render`."""
        for phrase in phrases:
            self._render(phrase, None, keep=True)

    def is_kept(self, phrase: str) -> bool:
        """Whether a phrase was made ahead at today's rates and lies on disk, or needs no sound."""
        request = self._request(phrase, None)
        key = json.dumps(request, sort_keys=True)
        return not parts(str(request["text"])) or bool(self._store and self._store.has(key))

    def try_again(self) -> None:
        """Make the process speak, after a fault, to see whether it can.

        Raises:
            VoiceError: it still cannot.
        """
        with self._lock:
            self._speak(self._request("Ready.", None))

    def write_wav(self, path: Path, sentences: Iterable[str]) -> None:
        """Speak sentences into a WAV file.

        Raises:
            SoundError: the file cannot be written.
            VoiceError: as `render`, or there is nothing to say.
        """
        pieces = list(self.render_all(sentences))
        if not pieces:
            raise VoiceError(f"There is nothing to say, so {path} was not written.")
        try:
            with path.open("wb") as raw, wave.open(raw, "wb") as file:
                file.setnchannels(1)
                file.setsampwidth(2)
                file.setframerate(pieces[0].rate)
                file.writeframes(b"".join(piece.data for piece in pieces))
        except OSError as fault:
            raise SoundError(
                f"Cannot write the spoken answer to {path}: {fault.strerror}. Name another file."
            ) from fault

    def warm_up(self) -> None:
        """Start the process without waiting for it, so that the first sentence comes sooner."""
        with self._lock, contextlib.suppress(VoiceError):
            self._start_if_needed()

    def close(self) -> None:
        """End the process, what it is speaking too; a later sentence starts it again."""
        self._closing = True
        process = self._process
        if process:
            process.kill()
        with self._lock:
            self._closing = False
            self._end_process()

    def _end_process(self) -> None:
        if self._process:
            self._process.close()
            self._process = None

    def __enter__(self) -> "Voice":
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def _request(self, sentence: str, words_a_minute: float | None) -> dict[str, str | int]:
        """What the process is asked for, all that the samples depend on."""
        text, settings = speakable(sentence), self.settings
        if words_a_minute is None:
            slow = carries_value(text)
            words_a_minute = settings.value_rate if slow else settings.talk_rate
        rate = round(min(max(words_a_minute, SLOWEST), FASTEST) * RATE_CORRECTION)
        return {"text": text, "rate": rate, "pitch": settings.pitch, "voice": settings.voice}

    def _render(self, sentence: str, words_a_minute: float | None, *, keep: bool) -> Samples:
        request = self._request(sentence, words_a_minute)
        key = json.dumps(request, sort_keys=True)
        samples = self._kept(key)
        if samples is None:
            with self._lock:
                samples = self._speak_pieces(request)
        if keep and self._store and samples.data:
            self._store.put(key, samples)
        if not keep or not self._store:
            self._remember(key, samples)
        return samples

    def _kept(self, key: str) -> Samples | None:
        """From memory, else from disk."""
        with self._memory:
            samples = self._remembered.get(key)
        if samples is None and self._store:
            samples = self._store.get(key)
        if samples is not None:
            self._remember(key, samples)
        return samples

    def _remember(self, key: str, samples: Samples) -> None:
        with self._memory:
            self._remembered[key] = samples
            self._remembered.move_to_end(key)
            while len(self._remembered) > REMEMBERED:
                self._remembered.popitem(last=False)

    def _speak_pieces(self, request: dict[str, str | int]) -> Samples:
        """All of a text; the voice counts letters, so long and short words are asked for anew."""
        wanted = int(request["rate"]) / RATE_CORRECTION
        spoken = []
        for part in parts(str(request["text"])):
            samples = self._speak({**request, "text": part})
            rate = 60 * len(part.split()) / (samples.seconds + PAUSE_S)
            if not 1 / NEAR_ENOUGH < rate / wanted < NEAR_ENOUGH:
                by = min(wanted / rate, QUICKER_BY)
                another = min(max(round(int(request["rate"]) * by), SLOWEST), FASTEST)
                samples = self._speak({**request, "text": part, "rate": another})
            spoken.append(samples)
        return joined(spoken)

    def _speak(self, request: dict[str, str | int]) -> Samples:
        try:
            samples = trimmed(self._start_if_needed().speak(request, self._patience_s))
        except VoiceError:
            self._end_process()
            if self._closing:
                raise
            samples = self._speak_anew(request)
        self.fault = ""
        return samples

    def _speak_anew(self, request: dict[str, str | int]) -> Samples:
        try:
            return trimmed(self._start_if_needed().speak(request, self._patience_s))
        except VoiceError as fault:
            self._end_process()
            self.fault = (
                f"The voice cannot speak: {fault} The answer is still shown. If this stays, install"
                " again: pip install --force-reinstall espeak-english pyttsx3"
            )
            raise VoiceError(self.fault) from fault

    def _start_if_needed(self) -> VoiceProcess:
        if self._process is None:
            self._process = VoiceProcess(self._command)
        return self._process


def speakable(sentence: str) -> str:
    """A sentence without what the voice would take for markup or an instruction.

    >>> speakable("Heard:  <b>[[t0]] plate")
    'Heard: b t0 plate'
    """
    printable = "".join(c if c.isprintable() else " " for c in sentence)
    return " ".join(re.sub(r"[<>\[\]{}|\\^~`_#*]", " ", printable).split())


def trimmed(samples: Samples) -> Samples:
    """Samples without the silence at their end, so that a sentence is over when it is over.

    >>> quiet, loud = bytes(2000), bytes([0, 16]) * 1000
    >>> round(trimmed(Samples(loud + 30 * quiet, 22050)).seconds, 3)
    0.085
    """
    wave = array.array("h", samples.data)
    if sys.byteorder == "big":
        wave.byteswap()
    end = len(wave)
    while end > 0 and abs(wave[end - 1]) < SILENT:
        end -= 1
    return Samples(samples.data[: 2 * (end + round(TAIL_S * samples.rate))], samples.rate)


def after_pause(samples: Samples) -> Samples:
    """A sentence with the pause that parts it from the one before."""
    return Samples(bytes(2 * round(PAUSE_S * samples.rate)) + samples.data, samples.rate)


def joined(spoken: Sequence[Samples]) -> Samples:
    """Parts of one text, with pauses between them."""
    if not spoken:
        return Samples(b"", 22050)
    first, *others = spoken
    data = first.data + b"".join(after_pause(samples).data for samples in others)
    return Samples(data, first.rate)


def parts(text: str) -> list[str]:
    """A text in pieces short enough to be rendered fast, cut at a stop, a comma or a blank.

    >>> [len(part) for part in parts("word " * 200)]
    [399, 399, 199]
    >>> parts(" . ")
    []
    """
    found = []
    while len(text) > LONGEST_PIECE:
        head = text[: LONGEST_PIECE + 1]
        cut = max(head.rfind(". ") + 1, head.rfind(", ") + 1) or head.rfind(" ")
        cut = cut if cut > 0 else LONGEST_PIECE
        found.append(text[:cut].strip())
        text = text[cut:].strip()
    found.append(text.strip())
    return [part for part in found if any(c.isalnum() for c in part)]
