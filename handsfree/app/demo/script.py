"""The script of a shift, from YAML: what is said and done, and nothing of what comes of it."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

import yaml

from handsfree.errors import SettingsError, in_words
from handsfree.values import Key

SHIFT = Path(__file__).with_name("shift.yaml")
_NO_SCRIPT: Final = "{} is no script of a shift: {}. Mend the line, or name another file."
TALK_S: Final = 14.0  # what a request and its answer take, for a first guess at the length


class Does(StrEnum):
    """What somebody on the site does."""

    SAYS = "says"
    BESIDE = "beside"
    PRESSES = "presses"
    HOLDS = "holds"
    WAITS = "waits"
    HISS = "hiss"


_SPOKEN: Final = frozenset({Does.SAYS, Does.BESIDE, Does.HOLDS})


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that is done.

    Attributes:
        does: what kind of thing.
        words: what is said, for the kinds that speak.
        key: which pedal, for `PRESSES`.
        amount: seconds before it for `PRESSES`, of it for `WAITS`; the size of `HISS`.
    """

    does: Does
    words: str = ""
    key: Key | None = None
    amount: float = 0.0


@dataclass(frozen=True, slots=True)
class Scene:
    """One place and moment of the shift: what is told of it, and what is done in it."""

    told: str
    deeds: tuple[Deed, ...]


def read_script(path: Path = SHIFT) -> tuple[Scene, ...]:
    """The scenes of a script.

    Raises:
        SettingsError: the file is not there, or a line of it is none of a script.
    """
    try:
        plain = yaml.safe_load(path.read_text(encoding="utf-8"))
        return tuple(
            Scene(str(scene["tell"]), tuple(_deed(deed) for deed in scene["does"]))
            for scene in plain
        )
    except KeyError as fault:
        raise SettingsError(_NO_SCRIPT.format(path, f"a scene has no {fault.args[0]!r}")) from fault
    except yaml.YAMLError as fault:
        raise SettingsError(_NO_SCRIPT.format(path, f"it is no YAML, {fault}")) from fault
    except TypeError as fault:
        raise SettingsError(_NO_SCRIPT.format(path, "it is no list of scenes")) from fault
    except (OSError, UnicodeError) as fault:
        raise SettingsError(_NO_SCRIPT.format(path, in_words(fault))) from fault
    except ValueError as fault:
        raise SettingsError(_NO_SCRIPT.format(path, fault)) from fault


def length_told(script: tuple[Scene, ...], speed: float) -> str:
    """How long a shift is, and how long playing it takes, as a sentence.

    >>> length_told((Scene("", (Deed(Does.WAITS, amount=1200.0),)),), 20.0)
    'The shift is some 20 minutes long; it is played 20 times as fast, in 60 s, if the machine can.'
    """
    seconds = sum(
        deed.amount if deed.does is Does.WAITS else TALK_S * (deed.does in _SPOKEN)
        for scene in script
        for deed in scene.deeds
    )
    minutes = max(1, round(seconds / 60))
    if speed == 1.0:
        return f"The shift is some {minutes} minutes long, and takes as long."
    return (
        f"The shift is some {minutes} minutes long; it is played {speed:g} times as fast,"
        f" in {max(1, round(seconds / speed))} s, if the machine can."
    )


def _deed(plain: dict[str, Any]) -> Deed:
    names = [name for name in plain if name != "after"]
    if len(names) != 1:
        raise ValueError(f"{plain} is not one thing that is done")
    does, what = Does(names[0]), plain[names[0]]
    match does:
        case Does.SAYS | Does.BESIDE | Does.HOLDS:
            return Deed(does, words=str(what))
        case Does.PRESSES:
            return Deed(does, key=Key(what), amount=float(plain.get("after", 0.0)))
        case Does.WAITS | Does.HISS:
            return Deed(does, amount=float(what))
