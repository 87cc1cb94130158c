"""A pressure that is named for the fuel, however it is put: "I'm going seventeen on the acetylene".

What the parser does not take up is looked for once more here, since a fuel pressure above the limit
must never be passed over.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from handsfree.spoken_numbers import NUMBER_WORDS, amount
from handsfree.understand.befalls import spread
from handsfree.values import Fuel
from handsfree.values.units import Quantity, psi, registry

FROM = psi(15)
"""Acetylene's limit, the lowest of any fuel: what is named above it is looked for."""


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_FUELS: Final = {
    **dict.fromkeys(("acetylene", "acet"), Fuel.ACETYLENE),
    **{"propane": Fuel.PROPANE, "lpg": Fuel.PROPANE, "propylene": Fuel.PROPYLENE},
    **dict.fromkeys(("fuel", "gas"), None),
}
_UNITS: Final = {
    **dict.fromkeys(("psi", "psig", "pounds", "pound", "lbs", "p s i", "p s i g"), "psi"),
    **dict.fromkeys(("bar", "bars"), "bar"),
    **dict.fromkeys(("kpa", "kilopascal", "kilopascals", "k p a"), "kilopascal"),
}
_OTHER_UNITS: Final = _words(
    "inch inches mil mils mill mills mm m millimetre millimetres millimeter millimeters gauge "
    "gage foot feet ft metre metres meter meters by x thou thousandths drill plate plates "
    "sheet tube pipe wall tip nozzle angle beam channel percent degrees minutes seconds hours "
    "cuts cubic litres liters cube flat shaft eighths eighth sixteenths sixteenth quarters"
)
_FROM_GAS: Final = _words(
    "is at on to up the my reg regulator gauge pressure reads reading says shows showing set "
    "setting sitting sits running run going go goes be should it about around roughly over "
    "past above beyond near now just by got stands turned wound cranked put pushed bumped has "
    "side dial clock"
)  # from the gas on to its pressure
_TO_GAS: Final = _words("on of for in the my with to worth side that this our")
_NAMES: Final = _words("number no schedule drill by x w s c m l i d o grade size tip stamp")
_LEADS: Final = _words(
    "going go goes at to run running on about around got have having use using set setting "
    "put turn crank need want up with past over it i'm me"
)  # before a number without a unit
_STORED: Final = _words("bottle bottles cylinder cylinders tank left remaining full empty")
_RUNS: Final = _words(
    "run running set put have crank turn wind push take bump go going open bring dial"
)
_THE_GAS: Final = _words("it her that this them")
_SMALL_TALK: Final = _words(
    "can could may might should shall do does is okay ok alright safe all right to i i'm im "
    "we you me let just gonna what if am be please mate then at on up past for now today "
    "about around the a so and with pressure would will want wanna i'll i'd like"
)
MOST_BETWEEN = 6


@dataclass(frozen=True, slots=True)
class FuelPressure:
    """A pressure with the fuel that it was named for, None where that was only "the gas"."""

    fuel: Fuel | None
    pressure: Quantity


def told_fuel_pressure(words: Sequence[str]) -> FuelPressure | None:
    """The highest pressure that is named for a fuel, where it lies above the lowest limit.

    >>> told_fuel_pressure("i'm going seventeen on the acetylene".split()).pressure.m
    17.0
    >>> told_fuel_pressure("acetylene on eighteen millimetres plate".split()) is None
    True
    """
    said = spread(" ".join(words)).split()
    if _STORED & set(said):
        return None
    told = []
    for start, end, value in _numbers(said):
        pressure, after, measured = _pressure(said, end, value)
        if pressure is None or start and said[start - 1] in _NAMES:
            continue
        led = measured or (start > 0 and said[start - 1] in _LEADS)
        led = led or (start == 0 and said[end : end + 2] == ["on", "the"])
        gas = _before(said, start) or (_behind(said, after) if led else None)
        if gas is not None and pressure > FROM:
            told.append(FuelPressure(_FUELS[gas], pressure))
    return max(told, key=lambda one: float(one.pressure.m_as("psi")), default=None)


def told_of_no_gas(words: Sequence[str]) -> str | None:
    """The pressure's words in "can I run it at sixteen", where nothing says of which gas.

    >>> told_of_no_gas("can i run it at sixteen".split())
    'sixteen psi'
    >>> told_of_no_gas("can i run it at sixteen inches a minute".split()) is None
    True
    """
    said = spread(" ".join(words)).split()
    found = [(start, _pressure(said, end, value), end) for start, end, value in _numbers(said)]
    if len(found) != 1:
        return None
    start, (pressure, after, measured), end = found[0]
    rest = {*said[:start], *said[after:]}
    if pressure is None or not (rest & _RUNS and rest & _THE_GAS):
        return None
    if rest - _RUNS - _THE_GAS - _SMALL_TALK:
        return None
    return " ".join(said[start:after]) + ("" if measured else " psi")


def _numbers(said: Sequence[str]) -> Iterator[tuple[int, int, Fraction]]:
    """Runs of number words with what they are worth."""
    at = 0
    while at < len(said):
        end = at
        while end < len(said) and said[end] in NUMBER_WORDS - {"a", "an", "over"}:
            end += 1
        if end > at and (value := amount(said[at:end])) is not None:
            yield at, end, value
        at = max(end, at + 1)


def _pressure(said: Sequence[str], end: int, value: Fraction) -> tuple[Quantity | None, int, bool]:
    """A number's pressure, where its unit ends, and whether it has one; None where it is none."""
    for length in (4, 3, 1):
        unit = _UNITS.get(" ".join(said[end : end + length]))
        if unit is not None:
            return registry.Quantity(float(value), unit), end + length, True
    if end < len(said) and said[end] in _OTHER_UNITS:
        return None, end, False
    return psi(float(value)), end, False


def _before(said: Sequence[str], start: int) -> str | None:
    """The fuel before a number, with nothing between but words that lead to its pressure."""
    for at in range(start - 1, max(start - MOST_BETWEEN, 0) - 1, -1):
        if said[at] in _FUELS:
            return said[at]
        if said[at] not in _FROM_GAS:
            return None
    return None


def _behind(said: Sequence[str], after: int) -> str | None:
    """Likewise the fuel behind a number."""
    for word in said[after : after + 4]:
        if word in _FUELS:
            return word
        if word not in _TO_GAS:
            return None
    return None
