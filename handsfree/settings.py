"""What the user keeps between runs: his tip box and his rig, in one file that he can read.

The file is YAML with units in words ("50 ft"), written to a new file that then takes the old one's
place, so that a crash in mid-write loses nothing.
"""

import os
from dataclasses import dataclass, replace
from pathlib import Path

import yaml

from handsfree.errors import SettingsError
from handsfree.units import Quantity, registry
from handsfree.values import Fuel, Rig, TipBox, TipOnHand

FILE_NAME = "tips-and-rig.yaml"
HEAD = "# Tip box and rig. Change them here or by voice; every length carries its unit.\n"
_RIG_KEYS = frozenset({"fuel", "hose_length", "hose_bore", "oxygen_purity_percent"})
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


class Settings:
    """The one file of tip box and rig."""

    def __init__(self, folder: Path | None = None) -> None:
        self.path = (folder or user_folder()) / FILE_NAME

    def read(self) -> Kept:
        """What is kept; nothing yet is an empty tip box and acetylene.

        Raises:
            SettingsError: the file is there and cannot be read; it is left untouched.
        """
        try:
            text = self.path.read_text(encoding="utf-8")
        except FileNotFoundError:
            return Kept()
        except (OSError, UnicodeDecodeError) as fault:
            raise SettingsError(f"Cannot read {self.path}: {fault}. Mend it or move it.") from fault
        try:
            content = yaml.safe_load(text) or {}
            return _kept(content)
        except (yaml.YAMLError, ValueError, TypeError, KeyError, AttributeError) as fault:
            raise SettingsError(
                f"Cannot make sense of {self.path}: {fault}. Mend the line or move the file away."
            ) from fault

    def write(self, kept: Kept) -> None:
        """Replace what is kept, all or nothing.

        Raises:
            SettingsError: the disk refuses; the old file stays as it was.
        """
        part = self.path.with_suffix(f".{os.getpid()}.part")
        text = HEAD + yaml.safe_dump(_plain(kept), sort_keys=False, allow_unicode=True)
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with part.open("w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            part.replace(self.path)
        except OSError as fault:
            part.unlink(missing_ok=True)
            raise SettingsError(
                f"Cannot keep the change in {self.path}: {fault}. The old file stands."
            ) from fault


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
    return Rig(
        Fuel(str(said.get("fuel", Fuel.ACETYLENE))),
        _length(said.get("hose_length")),
        _length(said.get("hose_bore")),
        float(purity),
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
