"""What the user keeps between runs: tip box and rig in one file, voice and devices in another.

Both are YAML that he can read and change ("50 ft"); how they are read and written stands in
`handsfree/store/`.
"""

import os
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.plain import from_yaml, length, number, text, to_yaml
from handsfree.values import Fuel, Rig, TipBox, TipOnHand
from handsfree.values.units import Quantity, registry

FILE_NAME = "tips-and-rig.yaml"
SOUND_FILE_NAME = "sound.yaml"
HEAD = "# Tip box and rig. Change them here or by voice; every length carries its unit.\n"
SOUND_HEAD = """\
# Voice, devices and attention phrase. What is left out is as it comes with the helper.
#   voice: en-us or en          value_rate, talk_rate: words a minute, with and without figures
#   pitch: 0 to 100             loudness: 0.1 to 1
#   microphone, loudspeaker: names as the sound system lists them
#   barge_in: true where the headset does not hear the helper, so that "stop" can be said over it
#   attention: the phrase that calls the helper, of three syllables or more
"""
_RIG_KEYS = frozenset({"fuel", "hose_length", "hose_bore", "oxygen_purity_percent", "shuts_first"})
_TIP_KEYS = frozenset({"stamp", "bore", "drill", "made_for"})


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept between runs."""

    rig: Rig = Rig()
    box: TipBox = TipBox()


def user_folder() -> Path:
    """Where the user's file lies: $HANDSFREE_HOME, else the system's configuration folder."""
    if named := os.environ.get("HANDSFREE_HOME"):
        return Path(named)
    base = os.environ.get("XDG_CONFIG_HOME")
    return (Path(base) if base else Path.home() / ".config") / "handsfree"


def logbook_path() -> Path:
    """Where the logbook lies: beside the user's file."""
    return user_folder() / "logbook.sqlite"


def cache_folder() -> Path:
    """Where what can be made again is kept; safe to delete."""
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "handsfree"


@dataclass(frozen=True, slots=True)
class Sound:
    """How the helper speaks and hears; None where it is as it comes.

    Attributes:
        voice: name of the voice.
        value_rate: words a minute for a sentence with a figure in it.
        talk_rate: words a minute for the rest.
        pitch: 0 to 100.
        loudness: share of full volume, 0.1 to 1.
        loudspeaker: its name; the default when None.
        microphone: its name; the default when None.
        barge_in: "stop" is heard while the helper speaks.
        attention: the phrase that calls the helper.
    """

    voice: str | None = None
    value_rate: float | None = None
    talk_rate: float | None = None
    pitch: int | None = None
    loudness: float | None = None
    loudspeaker: str | None = None
    microphone: str | None = None
    barge_in: bool = False
    attention: str | None = None


class SoundSettings:
    """The file of voice and devices.

    Args:
        folder: where it lies; the user's own when None.

    Attributes:
        path: of the file.
        faults: what is wrong with it.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / SOUND_FILE_NAME
        self.faults = Faults()
        self._file = KeptFile(
            self.path,
            "The voice and the devices",
            Sound(),
            parse=lambda text: _sound(_named(text)),
            text=lambda sound: to_yaml(SOUND_HEAD, _sound_plain(sound)),
            without="All is as it comes until you mend it.",
            refused=f"Cannot keep the change in {self.path}: {{fault}}. The old file stands.",
            faults=self.faults,
        )

    def read(self) -> Sound:
        """What is kept; nothing yet, and what cannot be read, is all as it comes."""
        return self._file.read()

    def write(self, sound: Sound) -> None:
        """Replace what is kept; raises as `Settings.write`."""
        self._file.write(sound)

    def update(self, change: Callable[[Sound], Sound]) -> Sound:
        """Change what is kept now; raises as `Settings.write`."""
        return self._file.update(change)


class Settings:
    """The file of tip box and rig.

    Args:
        folder: where it lies; the user's own when None.

    Attributes:
        path: of the file.
        faults: what is wrong with it, and with all else that a session over it keeps.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / FILE_NAME
        self.faults = Faults()
        self._file = KeptFile(
            self.path,
            "The tip box and the rig",
            Kept(),
            parse=lambda text: _kept(_named(text)),
            text=lambda kept: to_yaml(HEAD, _plain(kept)),
            without="Until you mend it there is no tip, and the rig is on acetylene: tell it.",
            refused=f"Cannot keep the change in {self.path}: {{fault}}. The old file stands.",
            faults=self.faults,
        )

    def read(self) -> Kept:
        """What is kept; nothing yet, and what cannot be read, is an empty box and acetylene."""
        return self._file.read()

    def write(self, kept: Kept) -> None:
        """Replace what is kept, all or nothing.

        Raises:
            SettingsError: the disk refuses; the old file stays as it was.
        """
        self._file.write(kept)

    def update(self, change: Callable[[Kept], Kept]) -> Kept:
        """Change what the file holds now, which a hand or another session may have changed.

        Raises:
            SettingsError: as `write`.
        """
        return self._file.update(change)


def with_tip(box: TipBox, tip: TipOnHand) -> TipBox:
    """The box with a tip added; one of the same stamp is replaced."""
    others = tuple(t for t in box.tips if tip.stamp is None or t.stamp != tip.stamp)
    return replace(box, tips=(*(t for t in others if t != tip), tip))


def without_tip(box: TipBox, tip: TipOnHand) -> TipBox:
    """The box without the tips that fit what was said of one."""
    left = tuple(t for t in box.tips if not same_tip(t, tip))
    gone = box.in_torch is not None and all(t.stamp != box.in_torch for t in left)
    return TipBox(left, None if gone else box.in_torch)


def same_tip(kept: TipOnHand, said: TipOnHand) -> bool:
    """Whether a kept tip is the one that was said: by its stamp, else by all that was said."""
    if said.stamp is not None:
        return kept.stamp == said.stamp
    return all(
        mine is None or mine == theirs
        for mine, theirs in (
            (said.bore, kept.bore),
            (said.drill, kept.drill),
            (said.made_for, kept.made_for),
        )
    )


def _named(said: str) -> dict[str, object]:
    """Names with values, of a file's text."""
    content = from_yaml(said)
    if content is None:
        return {}
    if not isinstance(content, dict):
        raise ValueError("it must be names with values")
    return content


def _sound_plain(sound: Sound) -> dict[str, object]:
    kept = _filled(**asdict(sound))
    if not sound.barge_in:
        del kept["barge_in"]
    return kept


def _sound(content: dict[str, object]) -> Sound:
    kinds = {field.name: field.type for field in fields(Sound)}
    if unknown := {str(name) for name in content} - set(kinds):
        raise ValueError(f"{', '.join(sorted(unknown))} is not known here")
    said: dict[str, Any] = {}
    for name, value in content.items():
        if value is None:
            continue
        wanted, is_flag = kinds[name], isinstance(value, bool)
        if wanted is bool and not is_flag:
            raise ValueError(f"{name} must be true or false")
        if wanted == float | None and (is_flag or not isinstance(value, int | float)):
            raise ValueError(f"{name} must be a number")
        if wanted == int | None and (is_flag or not isinstance(value, int)):
            raise ValueError(f"{name} must be a whole number")
        said[name] = text(value) if wanted == str | None else value
    return Sound(**said)


def _kept(content: dict[str, object]) -> Kept:
    if unknown := set(content) - {"rig", "tips", "in_torch"}:
        raise ValueError(f"{', '.join(sorted(unknown))} is not known here")
    rig, tips = content.get("rig") or {}, content.get("tips") or []
    if not isinstance(rig, dict) or not isinstance(tips, list):
        raise ValueError("rig must be names with values, tips must be a list")
    return Kept(_rig(rig), TipBox(tuple(_tip(tip) for tip in tips), _text(content.get("in_torch"))))


def _rig(said: dict[str, object]) -> Rig:
    if unknown := set(said) - _RIG_KEYS:
        raise ValueError(f"rig: {', '.join(sorted(unknown))} is not known")
    try:
        purity = number(said.get("oxygen_purity_percent", 99.5), 1, 100)
    except ValueError as fault:
        raise ValueError(f"rig: oxygen_purity_percent: {fault}") from fault
    shuts_first = _text(said.get("shuts_first"))
    if shuts_first not in (None, "fuel", "oxygen"):
        raise ValueError("rig: shuts_first must be fuel or oxygen, as the torch's maker says")
    return Rig(
        Fuel(str(said.get("fuel", Fuel.ACETYLENE))),
        _length(said.get("hose_length")),
        _length(said.get("hose_bore")),
        purity,
        shuts_first,
    )


def _tip(said: object) -> TipOnHand:
    if not isinstance(said, dict):
        raise ValueError("tips: each must be names with values")
    if unknown := set(said) - _TIP_KEYS:
        raise ValueError(f"tips: {', '.join(sorted(unknown))} is not known")
    made_for, drill = said.get("made_for"), said.get("drill")
    span = None
    if isinstance(made_for, list) and len(made_for) == 2:
        span = length(made_for[0], 0.0), length(made_for[1])
    if made_for is not None and span is None:
        raise ValueError("tips: made_for must be the thinnest and the thickest plate")
    if drill is not None and (isinstance(drill, bool) or not isinstance(drill, int)):
        raise ValueError("tips: drill must be a whole number")
    return TipOnHand(_text(said.get("stamp")), _length(said.get("bore")), drill, span)


def _text(said: object) -> str | None:
    return None if said is None else text(said)


def _length(said: object) -> Quantity | None:
    return None if said is None else length(said)


def _plain(kept: Kept) -> dict[str, object]:
    rig = kept.rig
    plain: dict[str, object] = {
        "rig": _filled(
            fuel=str(rig.fuel),
            hose_length=_words(rig.hose_length),
            hose_bore=_words(rig.hose_bore),
            oxygen_purity_percent=rig.oxygen_purity_percent,
            shuts_first=rig.shuts_first,
        ),
        "tips": [
            _filled(
                stamp=tip.stamp,
                bore=_words(tip.bore),
                drill=tip.drill,
                made_for=None if tip.made_for is None else [_words(end) for end in tip.made_for],
            )
            for tip in kept.box.tips
        ],
    }
    return plain | _filled(in_torch=kept.box.in_torch)


def _filled(**values: object) -> dict[str, object]:
    return {name: value for name, value in values.items() if value is not None}


def _words(quantity: Quantity | None) -> str | None:
    if quantity is None:
        return None
    unit = "mm" if quantity.units == registry.millimeter else None
    unit = unit or ("ft" if quantity.units == registry.foot else None)
    unit = unit or ("m" if quantity.units == registry.metre else "in")
    return f"{quantity.m_as(unit):g} {unit}"
