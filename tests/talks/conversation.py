"""Whole conversations as YAML: who says what when, what is answered, shown, recorded and kept.

A file holds conversations; each has a name, the need behind it, and a talk: a list of steps. A step
does something (`they say`, `silence`, `pressed`, `fails`...) or holds something to be true of what
followed the last one that did (`we say`, `page shows`, `logbook holds`...). `DOES` and `HOLDS` list
them. Words in the checks are small letters, in the order in which they must come.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any, Protocol

import yaml

from handsfree.logbook.logbook import Logbook
from handsfree.page.board import Ear, Notice
from handsfree.store.settings import FILE_NAME
from handsfree.values import Control, Key, Part, Told, Tone, Words

SURE = 0.95
"""How surely words are heard where the conversation does not say: nothing heard is quite sure."""

TIMED_WITHIN_S = 30.0
"""A time on the page is told no more exactly: what was said before took its time."""

FOLDER = Path(__file__).parent / "conversations"
LOGBOOK = "logbook.sqlite"
_HEAD = frozenset({"name", "need", "as sound", "kept", "barge in", "talk"})


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a talk: what is done or held, with what, and as what it was heard."""

    does: str
    what: Any
    heard: Mapping[str, Any] = field(default_factory=dict)


class AsSound(StrEnum):
    """How a conversation is played beside being played in words."""

    NOT = "not"
    FRAMES = "frame by frame"
    SERVER = "through a server"


@dataclass(frozen=True, slots=True)
class Conversation:
    """One talk from its beginning to its end.

    Attributes:
        name: tells it from all others.
        need: why someone with a lit torch needs it to go like this.
        steps: in order.
        as_sound: how it is also spoken: not at all, frame by frame, or that and through a server.
        kept: the user's file beforehand; empty for none.
        barge_in: "stop" is heard while the helper speaks.
    """

    name: str
    need: str
    steps: tuple[Step, ...]
    as_sound: AsSound = AsSound.NOT
    kept: str = ""
    barge_in: bool = False


def conversations(folder: Path = FOLDER) -> tuple[Conversation, ...]:
    """All conversations in the files of a folder.

    Raises:
        ValueError: a file holds something that no player knows; the message says where.
    """
    return tuple(
        _conversation(plain, path.name)
        for path in sorted(folder.glob("*.yaml"))
        for plain in yaml.safe_load(path.read_text(encoding="utf-8"))
    )


def _conversation(plain: dict[str, Any], file: str) -> Conversation:
    where = f"{file}: {plain.get('name')}"
    if unknown := set(plain) - _HEAD:
        raise ValueError(f"{where}: {', '.join(sorted(unknown))} is not known here")
    if not plain.get("need") or not plain.get("talk"):
        raise ValueError(f"{where}: say the need, and the talk")
    return Conversation(
        name=plain["name"],
        need=plain["need"],
        steps=tuple(_step(step, where) for step in plain["talk"]),
        as_sound=AsSound(plain.get("as sound", AsSound.NOT)),
        kept=plain.get("kept", ""),
        barge_in=plain.get("barge in", False),
    )


def _step(plain: dict[str, Any], where: str) -> Step:
    heard = plain.get("heard", {})
    names = [name for name in plain if name != "heard"]
    if len(names) != 1 or names[0] not in {*DOES, *HOLDS}:
        raise ValueError(f"{where}: {names} is not one step that a player knows")
    if unknown := set(heard) - {"words", "sure", "or"}:
        raise ValueError(f"{where}: heard: {', '.join(sorted(unknown))} is not known")
    return Step(names[0], plain[names[0]], heard)


class Room(Protocol):
    """Where a talk takes place: the running helper, with somebody who talks and presses keys."""

    @property
    def folder(self) -> Path:
        """Where the user's file and the logbook lie."""

    @property
    def page(self) -> Notice:
        """What the page shows now."""

    @property
    def spoken(self) -> Sequence[str]:
        """Every sentence that the helper has begun to speak."""

    @property
    def signals(self) -> Sequence[Tone]:
        """Every tone that was sounded."""

    @property
    def adjusted(self) -> Sequence[Control]:
        """Every change of the voice."""

    @property
    def speaks(self) -> bool:
        """Whether the helper is speaking."""

    def let_speak(self) -> None:
        """Wait until the helper has said what it says."""

    def say(self, said: str, words: Words, calling: bool | None) -> None:
        """Somebody speaks to the helper; with the attention phrase, or without, or as is due."""

    def shout(self, said: str, words: Words) -> None:
        """Somebody calls out an emergency, whatever is going on."""

    def call(self) -> None:
        """Somebody says the attention phrase alone."""

    def talk_beside(self, said: str) -> None:
        """Somebody says what is not for the helper."""

    def noise(self) -> None:
        """Something bangs."""

    def type(self, said: str) -> None:
        """Somebody types on the page."""

    def press(self, key: Key, down: bool, holds: bool) -> None:
        """A pedal goes down or comes up."""

    def wait(self, seconds: float) -> None:
        """Nothing happens for so long."""

    def fail(self, part: Part, sentence: str) -> None:
        """A part reports a fault."""

    def mend(self, part: Part) -> None:
        """A part reports that it works again."""

    def fill_disk(self, what: str, full: bool) -> None:
        """The disk takes no more of the user's file or the logbook, or takes it again."""

    def start_again(self) -> None:
        """The helper is killed and started anew over the same files."""


def play(conversation: Conversation, room: Room) -> list[str]:
    """What did not go as the conversation says, one line each."""
    player = _Player(conversation, room)
    faults: list[str] = []
    for number, step in enumerate(conversation.steps, start=1):
        found = player.take(step)
        faults += [f"step {number}, {step.does}: {fault}" for fault in found]
    return faults


class _Player:
    """Plays one conversation; remembers how far the room had come at the last thing done."""

    def __init__(self, conversation: Conversation, room: Room) -> None:
        self.room = room
        self.said_from = self.signalled_from = self.adjusted_from = 0
        if conversation.kept:
            (room.folder / FILE_NAME).write_text(conversation.kept, encoding="utf-8")
            room.start_again()

    def take(self, step: Step) -> list[str]:
        if step.does in HOLDS:
            return list(HOLDS[step.does](self, step.what))
        if step.does not in _WHILE_SPEAKING:
            self.room.let_speak()
        self.said_from = len(self.room.spoken)
        self.signalled_from = len(self.room.signals)
        self.adjusted_from = len(self.room.adjusted)
        DOES[step.does](self, step)
        return []

    @property
    def said(self) -> str:
        return " ".join(self.room.spoken[self.said_from :]).lower()

    # --- what is done ---

    def they_say(self, step: Step) -> None:
        plain = step.what if isinstance(step.what, dict) else {"words": step.what}
        said = str(plain["words"])
        words = Words(
            step.heard.get("words", said),
            step.heard.get("sure", SURE),
            tuple(step.heard.get("or", ())),
        )
        self.room.say(said, words, plain.get("calling"))

    def they_interrupt(self, step: Step) -> None:
        self.room.say(step.what, Words(step.what, SURE), None)

    def they_shout(self, step: Step) -> None:
        self.room.shout(step.what, Words(step.heard.get("words", step.what), SURE))

    def fails(self, step: Step) -> None:
        if "what" in step.what:
            self.room.fill_disk(step.what["what"], True)
        else:
            self.room.fail(Part(step.what["part"]), step.what["sentence"])

    def works_again(self, step: Step) -> None:
        if "what" in step.what:
            self.room.fill_disk(step.what["what"], False)
        else:
            self.room.mend(Part(step.what["part"]))

    # --- what is held ---

    def we_say(self, wanted: Sequence[str]) -> Iterator[str]:
        parts = [str(part).lower() for part in wanted]
        missing = _missing(parts, self.said)
        if missing is not None and _missing(parts, _SAID_TWICE.sub(" ", self.said)) is not None:
            yield f"no {missing!r} in {self.said!r}"

    def we_never_say(self, unwanted: Sequence[str]) -> Iterator[str]:
        yield from (f"{part!r} in {self.said!r}" for part in unwanted if part.lower() in self.said)

    def we_say_nothing(self, _what: object) -> Iterator[str]:
        if self.said:
            yield f"said {self.said!r}"

    def page_shows(self, wanted: dict[str, Any]) -> Iterator[str]:
        page = self.room.page
        for name, value in wanted.items():
            yield from _ON_THE_PAGE[name](page, value)

    def signal(self, wanted: str) -> Iterator[str]:
        sounded = self.room.signals[self.signalled_from :]
        if Tone(wanted) not in sounded:
            yield f"no {wanted!r} among {[str(tone) for tone in sounded]}"

    def speaks(self, wanted: str) -> Iterator[str]:
        if Control(wanted) not in self.room.adjusted[self.adjusted_from :]:
            yield f"not {wanted}: {self.room.adjusted[self.adjusted_from :]}"

    def hushed(self, _what: object) -> Iterator[str]:
        if self.room.speaks:
            yield "still speaks"

    def logbook_holds(self, wanted: Any) -> Iterator[str]:
        entries = Logbook(self.room.folder / LOGBOOK).entries()
        kinds = [entry.kind for entry in entries]
        if isinstance(wanted, dict):
            missing = [kind for kind in wanted["at least"] if kind not in kinds]
            yield from (f"no {kind} among {kinds}" for kind in missing)
            return
        if len(wanted) != len(entries):
            found = [(entry.kind, entry.heard) for entry in entries]
            yield f"{len(entries)} entries, not {len(wanted)}: {found}"
        for want, entry in zip(wanted, entries, strict=False):
            plain = {"kind": want} if isinstance(want, str) else dict(want)
            if entry.kind != plain.pop("kind", entry.kind):
                yield f"entry {entry.number} is {entry.kind}, not {want}"
            for name, parts in plain.items():
                text = str(getattr(entry, name)).lower()
                yield from (f"no {part!r} in {text!r}" for part in parts if part not in text)

    def _file(self) -> str:
        path = self.room.folder / FILE_NAME
        return path.read_text(encoding="utf-8") if path.exists() else ""

    def kept_file_holds(self, wanted: Any) -> Iterator[str]:
        text = self._file()
        if wanted == "nothing":
            if text:
                yield f"it holds {text!r}"
            return
        yield from (f"no {part!r} in {text!r}" for part in wanted if part not in text)

    def kept_file_lacks(self, unwanted: Sequence[str]) -> Iterator[str]:
        text = self._file()
        yield from (f"{part!r} in {text!r}" for part in unwanted if part in text)


_WHILE_SPEAKING = frozenset(
    {"they interrupt", "they shout", "pressed", "held", "let go", "fails", "works again"}
)
"""What is done without waiting for the helper to finish."""

DOES: Mapping[str, Callable[[_Player, Step], None]] = {
    "they say": _Player.they_say,
    "they interrupt": _Player.they_interrupt,
    "they shout": _Player.they_shout,
    "they call": lambda player, step: player.room.call(),
    "they type": lambda player, step: player.room.type(step.what),
    "talk beside": lambda player, step: player.room.talk_beside(step.what),
    "noise": lambda player, step: player.room.noise(),
    "silence": lambda player, step: player.room.wait(step.what),
    "pressed": lambda player, step: player.room.press(Key(step.what), True, False),
    "held": lambda player, step: player.room.press(Key(step.what), True, True),
    "let go": lambda player, step: player.room.press(Key(step.what), False, True),
    "fails": _Player.fails,
    "works again": _Player.works_again,
    "the helper starts again": lambda player, step: player.room.start_again(),
}
HOLDS: Mapping[str, Callable[[_Player, Any], Iterator[str]]] = {
    "we say": _Player.we_say,
    "we never say": _Player.we_never_say,
    "we say nothing": _Player.we_say_nothing,
    "page shows": _Player.page_shows,
    "signal": _Player.signal,
    "speaks": _Player.speaks,
    "hushed": _Player.hushed,
    "logbook holds": _Player.logbook_holds,
    "kept file holds": _Player.kept_file_holds,
    "kept file lacks": _Player.kept_file_lacks,
}


_DIGIT = "(?:point|oh|zero|one|two|three|four|five|six|seven|eight|nine)"
_SAID_TWICE = re.compile(rf", {_DIGIT}(?: {_DIGIT})*, ")
"""A number that was heard beside others as plausible is said in figures, too."""


def _missing(parts: Sequence[str], said: str) -> str | None:
    """The first part that does not come after the one before it; None when all do."""
    at = 0
    for part in parts:
        found = said.find(part, at)
        if found < 0:
            return part
        at = found + len(part)
    return None


def _kind(page: Notice, wanted: str) -> Iterator[str]:
    kind = page.told.kind if page.told else "nothing"
    if kind not in wanted.split("|"):
        yield f"kind is {kind}, not {wanted}"


def _figures(page: Notice, wanted: dict[str, Any]) -> Iterator[str]:
    shown = {figure.label: figure.digits for figure in page.told.figures} if page.told else {}
    for label, digits in wanted.items():
        if label not in shown or (digits != "any" and shown[label] != str(digits)):
            yield f"{label} is {shown.get(label)}, not {digits}: {shown}"


def _words(page: Notice, wanted: Sequence[str]) -> Iterator[str]:
    text = _text(page.told).lower()
    for part in wanted:
        if not any(way.lower() in text for way in str(part).split("|")):
            yield f"no {part!r} in {text!r}"


def _text(told: Told | None) -> str:
    if told is None:
        return ""
    figures = [f"{f.label} {f.digits} {f.unit} {f.note}" for f in told.figures]
    named = [str(value) for _, value in told.request]
    parts = (*told.sentences, *told.more, *told.technique, *told.cautions, *told.notes)
    return " ".join((told.understood, *parts, *figures, *named))


def _options(page: Notice, wanted: list[str]) -> Iterator[str]:
    options = list(page.told.options) if page.told else []
    if options != wanted:
        yield f"options are {options}, not {wanted}"


def _ear(page: Notice, wanted: str) -> Iterator[str]:
    if page.ear is not Ear[wanted.upper()]:
        yield f"the ear shows {page.ear}, not {wanted}"


def _notices(page: Notice, wanted: dict[str, list[str]]) -> Iterator[str]:
    shown = {str(part): sentence.lower() for part, sentence in page.faults}
    if set(shown) != set(wanted):
        yield f"faults are {shown}, not {wanted}"
    for part, words in wanted.items():
        yield from (f"no {word!r} in {shown}" for word in words if word not in shown.get(part, ""))


def _timers(page: Notice, wanted: dict[str, Any]) -> Iterator[str]:
    """The times that run: how long is left, in seconds, or that one rings."""
    shown = {timer.name: timer for timer in page.timers}
    if set(shown) != set(wanted):
        yield f"times are {sorted(shown)}, not {sorted(wanted)}"
    for name, left in wanted.items():
        timer = shown.get(name)
        if timer is None:
            continue
        if (left == "ringing") != timer.ringing:
            yield f"{name} rings: {timer.ringing}"
        elif left != "ringing" and abs(timer.left - float(left)) > TIMED_WITHIN_S:
            yield f"{name} has {timer.left:.0f} s left, not {left}"


_ON_THE_PAGE: Mapping[str, Callable[[Notice, Any], Iterator[str]]] = {
    "kind": _kind,
    "figures": _figures,
    "words": _words,
    "options": _options,
    "ear": _ear,
    "notices": _notices,
    "timers": _timers,
}
