"""What happens to the running helper and what it is to do about it: events and effects of turns.

Ears, pedals, the page and the session hand in events; a pure step (`handsfree/dialogue/turns.py`)
answers each with effects that devices carry out.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from handsfree.values.heard import Words
from handsfree.values.reply import Told
from handsfree.values.request import Control


class Tone(StrEnum):
    """What a short signal means."""

    HEARD = "heard"
    LISTENING = "listening"
    NOT_UNDERSTOOD = "not understood"
    ATTENTION = "attention"
    ALARM = "alarm"


class Listening(StrEnum):
    """What the ears take in."""

    ATTENTION = "attention"
    """The attention phrase alone, and the request when it follows in the same breath."""
    REQUEST = "request"
    """Any request, with or without the attention phrase before it."""
    HELD = "held"
    """The talk key is down: all from the press to `EndUtterance`, pauses too, is one request."""
    STEPS = "steps"
    """Answers to the step that is led; any request when the attention phrase stands before it."""
    STOP = "stop"
    """Only a word that ends the helper's talk, while it speaks."""
    NOTHING = "nothing"
    """No request. Words of an emergency are heard here and everywhere else."""


class Key(StrEnum):
    """What a pedal, a remote or a keyboard key means, whichever sends it."""

    TALK = "talk"
    CONFIRM = "confirm"
    NEXT = "next"
    BACK = "back"
    AGAIN = "again"
    STOP = "stop"


class Part(StrEnum):
    """A part of the helper that can fail and come back."""

    MICROPHONE = "microphone"
    LOUDSPEAKER = "loudspeaker"
    VOICE = "voice"
    RECOGNISER = "recogniser"
    EARS = "ears"  # all of hearing, which could not begin
    LOGBOOK = "logbook"
    SETTINGS = "settings"
    SESSION = "session"
    CLOCK = "clock"
    TERMINAL = "terminal"
    KEPT = "kept files"
    """What is kept could not be read; nothing is to be mended by saying it again."""


# --- events ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Called:
    """The attention phrase was heard; the talker may be going on."""


@dataclass(frozen=True, slots=True)
class SpeechBegan:
    """Somebody began to talk while a request was listened for."""


@dataclass(frozen=True, slots=True)
class Heard:
    """An utterance is over.

    Attributes:
        words: what was said, without the attention phrase; `text` is empty when only that phrase
            was said, `[unk]` where it was talk.
        called: it began with the attention phrase.
        advice: one sentence on the level ("Too quiet."), empty when it is right.
    """

    words: Words
    called: bool = False
    advice: str = ""


@dataclass(frozen=True, slots=True)
class CalledOut:
    """Words of an emergency were heard, whatever was going on and was listened for.

    Attributes:
        words: which; they start their step list.
    """

    words: Words


@dataclass(frozen=True, slots=True)
class Due:
    """The time has come for something that was set: a timer, a watch, a check.

    Attributes:
        sentences: what is said, as soon as nothing else is.
        alarm: it is said at once, with the alarm tone before it, whatever is being said; that is
            said again after it.
    """

    sentences: tuple[str, ...]
    alarm: bool = False


@dataclass(frozen=True, slots=True)
class Typed:
    """Words that were typed or tapped; their reply is shown, and spoken like any other."""

    words: Words


@dataclass(frozen=True, slots=True)
class Prompted:
    """Asking by touch goes on with another step: say it at once, instead of anything else."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Pressed:
    """A key or a pedal went down, or came up again where the sender can tell.

    Attributes:
        key: what it means.
        down: False when it came up.
        holds: the sender tells when it comes up, so that a held TALK is the whole request.
    """

    key: Key
    down: bool = True
    holds: bool = False


@dataclass(frozen=True, slots=True)
class Replied:
    """The session's reply to a `Take`.

    Attributes:
        told: the reply; None when the session failed, which a `Failed` before it tells.
        control: the word to the helper about its own talk that it came from, if it was one.
        number: of the `Take` that it answers, so that a late reply is known; 0 for what nobody
            asked for.
        asks: a question is open after it.
        leads: a step list is led after it, whose present step (`Told.led`) waits for its answer.
    """

    told: Told | None
    control: Control | None = None
    number: int = 0
    asks: bool = False
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Spoken:
    """What `Say` asked for has been said.

    Attributes:
        whole: False when it was stopped or failed.
        number: of the `Say`.
    """

    whole: bool = True
    number: int = 0


@dataclass(frozen=True, slots=True)
class TimeUp:
    """The moment in `Turns.until` has come."""


@dataclass(frozen=True, slots=True)
class Failed:
    """A part of the helper failed; the sentence says what and what to do."""

    part: Part
    sentence: str


@dataclass(frozen=True, slots=True)
class Mended:
    """A part that had failed works again."""

    part: Part


TurnEvent: TypeAlias = (
    Called
    | SpeechBegan
    | Heard
    | CalledOut
    | Due
    | Typed
    | Prompted
    | Pressed
    | Replied
    | Spoken
    | TimeUp
    | Failed
    | Mended
)


# --- effects --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Take:
    """Have the session answer these words; `Replied` follows with the same number."""

    words: Words
    number: int


@dataclass(frozen=True, slots=True)
class Say:
    """Speak these sentences; `Spoken` follows with the same number."""

    sentences: tuple[str, ...]
    number: int


@dataclass(frozen=True, slots=True)
class Hush:
    """Be silent now."""


@dataclass(frozen=True, slots=True)
class Signal:
    """Sound a tone."""

    tone: Tone


@dataclass(frozen=True, slots=True)
class Speak:
    """Speak slower, faster, louder or softer from now on, and keep it so."""

    how: Control


@dataclass(frozen=True, slots=True)
class Show:
    """Pin a reply to the page."""

    told: Told


@dataclass(frozen=True, slots=True)
class Notify:
    """Show a fault on the page, or take it away again when the sentence is empty."""

    part: Part
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Advise:
    """Show what to do about the loudness of the talk; an empty sentence takes it away."""

    sentence: str


@dataclass(frozen=True, slots=True)
class EndUtterance:
    """The talk key came up: take what was said until now as the whole request."""


@dataclass(frozen=True, slots=True)
class Drop:
    """Close the question that is open; nothing is changed by it.

    Attributes:
        number: only if that `Take` was the last one that the session answered; 0 for whichever.
    """

    number: int = 0


TurnEffect: TypeAlias = (
    Take | Say | Hush | Signal | Speak | Show | Notify | Advise | EndUtterance | Drop
)
