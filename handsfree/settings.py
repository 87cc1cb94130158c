"""What the user keeps between runs: tip box and rig in one file, voice and devices in another.

Both are YAML that he can read and change ("50 ft"), written to a new file that then takes the old
one's place, so that a crash in mid-write loses nothing.
"""

import os
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

import yaml

from handsfree.errors import SettingsError
from handsfree.units import Quantity, registry
from handsfree.values import Fuel, Rig, TipBox, TipOnHand
from handsfree.whole_file import write_whole

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
    """The file of voice and devices."""

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / SOUND_FILE_NAME

    def read(self) -> Sound:
        """What is kept; nothing yet is all as it comes.

        Raises:
            SettingsError: as `Settings.read`.
        """
        content = _content(self.path)
        try:
            return _sound(content)
        except (ValueError, TypeError, AttributeError) as fault:
            raise _nonsense(self.path, fault) from fault

    def write(self, sound: Sound) -> None:
        """Replace what is kept; raises as `Settings.write`."""
        kept = _filled(**asdict(sound))
        if not sound.barge_in:
            del kept["barge_in"]
        _write(self.path, SOUND_HEAD, kept)


class Settings:
    """The file of tip box and rig."""

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / FILE_NAME

    def read(self) -> Kept:
        """What is kept; nothing yet is an empty tip box and acetylene.

        Raises:
            SettingsError: the file is there and cannot be read; it is left untouched.
        """
        content = _content(self.path)
        try:
            return _kept(content)
        except (ValueError, TypeError, KeyError, AttributeError) as fault:
            raise _nonsense(self.path, fault) from fault

    def write(self, kept: Kept) -> None:
        """Replace what is kept, all or nothing.

        Raises:
            SettingsError: the disk refuses; the old file stays as it was.
        """
        _write(self.path, HEAD, _plain(kept))


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


def _content(path: Path) -> dict[str, object]:
    """What a file holds; nothing where there is none."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as fault:
        raise SettingsError(f"Cannot read {path}: {fault}. Mend it or move it.") from fault
    try:
        content = yaml.safe_load(text) or {}
    except (yaml.YAMLError, ValueError) as fault:  # a date of no calendar is a ValueError
        raise _nonsense(path, fault) from fault
    if not isinstance(content, dict):
        raise _nonsense(path, ValueError("it must be names with values"))
    return content


def _nonsense(path: Path, fault: Exception) -> SettingsError:
    return SettingsError(
        f"Cannot make sense of {path}: {fault}. Mend the line or move the file away."
    )


def _write(path: Path, head: str, plain: dict[str, object]) -> None:
    """Replace a file, all or nothing."""
    text = head + (yaml.safe_dump(plain, sort_keys=False, allow_unicode=True) if plain else "")
    write_whole(path, text, f"Cannot keep the change in {path}: {{fault}}. The old file stands.")


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
        said[name] = str(value) if wanted == str | None else value
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
    purity = said.get("oxygen_purity_percent", 99.5)
    if not isinstance(purity, int | float) or not 0 < purity <= 100:
        raise ValueError("rig: oxygen_purity_percent must be a number from 0 to 100")
    shuts_first = _text(said.get("shuts_first"))
    if shuts_first not in (None, "fuel", "oxygen"):
        raise ValueError("rig: shuts_first must be fuel or oxygen, as the torch's maker says")
    return Rig(
        Fuel(str(said.get("fuel", Fuel.ACETYLENE))),
        _length(said.get("hose_length")),
        _length(said.get("hose_bore")),
        float(purity),
        shuts_first,
    )


def _tip(said: dict[str, object]) -> TipOnHand:
    if unknown := set(said) - _TIP_KEYS:
        raise ValueError(f"tips: {', '.join(sorted(unknown))} is not known")
    made_for, drill = said.get("made_for"), said.get("drill")
    span = None
    if isinstance(made_for, list) and len(made_for) == 2:
        low, high = _length(made_for[0]), _length(made_for[1])
        span = None if low is None or high is None else (low, high)
    if made_for is not None and span is None:
        raise ValueError("tips: made_for must be the thinnest and the thickest plate")
    if drill is not None and not isinstance(drill, int):
        raise ValueError("tips: drill must be a whole number")
    return TipOnHand(_text(said.get("stamp")), _length(said.get("bore")), drill, span)


def _text(said: object) -> str | None:
    return None if said is None else str(said)


def _length(said: object) -> Quantity | None:
    if said is None:
        return None
    number, _, unit = str(said).partition(" ")
    if not unit:
        raise ValueError(f"{said!r} has no unit: write {said} in, {said} mm or {said} ft")
    quantity: Quantity = registry.Quantity(float(number), unit)
    if not quantity.check("[length]"):
        raise ValueError(f"{said!r} is no length")
    return quantity


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
