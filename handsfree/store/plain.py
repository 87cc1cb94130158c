"""YAML and JSON of a kept file to plain values: names, lists, texts and finite numbers.

Whatever else a file holds, also what unfolds to more than it is, is a ValueError that says so.
"""

import json
import math
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final

import yaml

from handsfree.values.clean_text import clean_values
from handsfree.values.units import Quantity, registry

NONSENSE: Final = (
    *(ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RecursionError),
    yaml.YAMLError,
)
"""All that a file may raise by what it holds."""

END: Final = "...\n"
END_TOLD: Final = "# It ends with three dots; without them a part of it is missing.\n"
MOST_DEEP: Final = 12
MOST_VALUES: Final = 20_000
LONGEST_M: Final = 10_000.0  # no hose, plate or beam is longer
_UNITS: Final = {
    **dict.fromkeys(("in", "inch", "inches", '"'), registry.inch),
    **dict.fromkeys(("ft", "foot", "feet"), registry.foot),
    **dict.fromkeys(("yd", "yard", "yards"), registry.yard),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
                    registry.millimeter),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
                    registry.centimeter),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), registry.metre),
}  # fmt: skip


def from_yaml(text: str) -> Any:  # Any: what a file holds is looked at by whoever asked for it
    """What YAML says; raises one of `NONSENSE`."""
    ours = END_TOLD in text or END_TOLD.startswith(text[: len(END_TOLD)])
    if ours and not text.rstrip().endswith(END.strip()):
        raise ValueError("its end is missing")
    return clean_values(_plain(yaml.safe_load(text), MOST_DEEP, iter(range(MOST_VALUES))))


def to_yaml(head: str, content: object) -> str:
    """YAML under a head of remarks, with a mark at its end, so that one cut short is known."""
    body = yaml.safe_dump(content, sort_keys=False, allow_unicode=True) if content else ""
    return f"{END_TOLD}{head}{body}{END}"


def from_json(text: str) -> Any:  # Any: likewise
    """What JSON says; raises one of `NONSENSE`."""
    return clean_values(_plain(json.loads(text), MOST_DEEP, iter(range(MOST_VALUES))))


def number(said: object, low: float, high: float) -> float:
    """A number between two others.

    Raises:
        ValueError: it is none.
    """
    if isinstance(said, bool) or not isinstance(said, int | float) or not low <= said <= high:
        raise ValueError(f"{said!r} is no number from {low:g} to {high:g}")
    return float(said)


def text(said: object) -> str:
    """A text, or a number as one.

    Raises:
        ValueError: it is neither.
    """
    if isinstance(said, bool) or not isinstance(said, str | int | float):
        raise ValueError(f"{said!r} is no text")
    return str(said)


def flag(said: object) -> bool:
    """True or false.

    Raises:
        ValueError: it is neither.
    """
    if not isinstance(said, bool):
        raise ValueError(f"{said!r} is neither true nor false")
    return said


def length(said: object, least: float = 1e-6) -> Quantity:
    """A length with its unit.

    Args:
        said: what the file has there.
        least: in metres.

    Raises:
        ValueError: it is none.

    >>> length("50 ft"), length("0.5 in").m_as("mm")
    (<Quantity(50.0, 'foot')>, 12.7)
    """
    value, _, unit = str(said).strip().partition(" ")
    if not unit:
        raise ValueError(f"{said!r} has no unit: write {said} in, {said} mm or {said} ft")
    known = _UNITS.get(unit.strip())
    if known is None:
        raise ValueError(f"{said!r} is no length: its unit is none of {', '.join(_UNITS)}")
    found: Quantity = registry.Quantity(float(value), known)
    number(float(found.m_as("metre")), least, LONGEST_M)
    return found


def why(fault: BaseException) -> str:
    """What is wrong with a file, on one line."""
    match fault:
        case RecursionError():
            return "it is nested too deeply"
        case KeyError():
            return f"{fault.args[0]} is missing"
        case UnicodeError():
            return "it is no text in UTF-8"
        case TypeError() | AttributeError() | IndexError():
            return "it holds something else"
    return " ".join(str(fault).split()).rstrip(".")[:300]


def _plain(value: object, deep: int, left: Iterator[int]) -> object:
    if deep < 0 or next(left, None) is None:
        raise ValueError("it holds more than belongs there")
    match value:
        case None | bool() | str():
            return value
        case int() | float() if math.isfinite(value) and abs(value) < 2**63:
            return value
        case date():  # what YAML takes for one may be a stamp
            return str(value)
        case list():
            return [_plain(each, deep - 1, left) for each in value]
        case Mapping() if all(isinstance(name, str) for name in value):
            return {name: _plain(each, deep - 1, left) for name, each in value.items()}
    raise ValueError(f"{str(type(value).__name__)} {str(value)[:40]} does not belong there")
