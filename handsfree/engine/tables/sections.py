"""Rolled and hollow sections by their designation, each family read when it is first asked for."""

import functools
import re
from fractions import Fraction
from typing import TypeAlias

from handsfree.engine.tables.loader import Row, table
from handsfree.engine.tables.rows import SectionRow
from handsfree.values.units import Quantity, inches

Numbers: TypeAlias = tuple[float, ...]

_FILES = {
    "W": ("sections_w",),
    "S": ("sections_s",),
    "M": ("sections_m",),
    "HP": ("sections_hp",),
    "C": ("sections_c",),
    "MC": ("sections_mc",),
    "WT": ("sections_tees",),
    "MT": ("sections_tees",),
    "ST": ("sections_tees",),
    "L": ("sections_l",),
    "HSS": ("sections_hss_rect", "sections_hss_round"),
    "IPE": ("sections_metric",),
    "HEA": ("sections_metric",),
    "HEB": ("sections_metric",),
    "HEM": ("sections_metric",),
    "UPN": ("sections_metric",),
    "UPE": ("sections_metric_more",),
    "UB": ("sections_metric_more",),
    "UC": ("sections_metric_more",),
    "UBP": ("sections_metric_more",),
    "SHS": ("sections_metric_hollow",),
    "RHS": ("sections_metric_hollow",),
    "CHS": ("sections_metric_hollow",),
}
FAMILIES = tuple(_FILES)
_METRIC_ANGLES = "L in millimetres"  # angles too, in a list of their own
_LONGEST = 40  # characters; no designation comes near it
_TAPERED = {"S", "M", "C", "MC", "MT", "ST", "UPN"}
_LARGEST_INCH_LEG = 12  # an angle with a longer first leg is one in millimetres
_HE = re.compile(r"HE([0-9]+)([ABM])")  # the other spelling of HEA200: HE200A
_MIXED = re.compile(r"(?<=[0-9])\s+(?=[0-9]+/[0-9])")
_DESIGNATION = re.compile(r"([A-Z]+)([0-9./X-]+)")
_NUMBER = re.compile(r"(?:([0-9]+)-)?([0-9]+)/([0-9]+)|([0-9]*\.?[0-9]+)")


def section(designation: str) -> SectionRow | None:
    """The section of that designation, None when it is not listed; spelling does not matter.

    >>> section("w10 x 33").flange.m_as("in")
    0.435
    >>> section("L4x4x3/8").designation, section("IPE 200").web.m_as("mm")
    ('L4X4X3/8', 5.6)
    >>> section("W10X34") is None
    True
    """
    key = _key(designation)
    if key is None or key[0] not in _FILES:
        return None
    family, numbers = key
    row = _family(_list_of(family, numbers)).get(_canonical(family, numbers))
    return None if row is None else _section(family, row)


def sections_of(family: str, *first: float | Fraction) -> tuple[SectionRow, ...]:
    """The sections of a family whose designation begins with these numbers, as listed.

    >>> [found.designation for found in sections_of("C", 8)]
    ['C8X18.75', 'C8X13.75', 'C8X11.5']
    """
    wanted = tuple(_rounded(float(number)) for number in first)
    if family not in _FILES:
        return ()
    return tuple(
        _section(family, row)
        for numbers, row in _family(_list_of(family, wanted)).items()
        if numbers[: len(wanted)] == wanted
    )


def _key(designation: str) -> tuple[str, Numbers] | None:
    """Family and numbers of a designation: "L4X4X3/8" gives ("L", (4, 4, 3/8))."""
    if len(designation) > _LONGEST:
        return None
    text = designation.upper().replace("×", "X").strip()
    if len(text.split()) > 1:
        text = _MIXED.sub("-", text)  # "1 1/2" is 1-1/2, not 11/2
        text = "".join(text.split())
    if he := _HE.fullmatch(text):
        text = f"HE{he[2]}{he[1]}"
    match = _DESIGNATION.fullmatch(text)
    if match is None:
        return None
    numbers = []
    for part in match[2].split("X"):
        found = _NUMBER.fullmatch(part)
        if found is None or (found[3] and not int(found[3])):
            return None
        whole, over, under, plain = found.groups()
        numbers.append(float(plain) if plain else int(whole or 0) + int(over) / int(under))
    return match[1], tuple(numbers)


def _canonical(family: str, numbers: Numbers) -> Numbers:
    """Longer leg or side first, sizes as the lists round them: 3/16 and 0.188 are one wall."""
    if family in ("L", "HSS", "RHS") and len(numbers) == 3:
        longer, shorter = sorted(numbers[:2], reverse=True)
        numbers = (longer, shorter, numbers[2])
    return tuple(_rounded(number) for number in numbers)


def _rounded(number: float) -> float:
    """Onto a sixteenth that the lists print in three figures: 5/16 stands as 0.312 and 0.313."""
    sixteenth = round(number * 16) / 16
    return sixteenth if abs(number - sixteenth) <= 0.0006 else round(number, 4)


def _list_of(family: str, numbers: Numbers) -> str:
    """Which list a designation stands in: the legs of an angle tell inches from millimetres."""
    metric = family == "L" and bool(numbers) and numbers[0] > _LARGEST_INCH_LEG
    return _METRIC_ANGLES if metric else family


@functools.cache
def _family(listed: str) -> dict[Numbers, Row]:
    found = {}
    metric = listed == _METRIC_ANGLES
    family, names = ("L", ("sections_metric_l",)) if metric else (listed, _FILES[listed])
    for name in names:
        for row in table(name).rows:
            key = _key(row.text("designation"))
            if key is not None and key[0] == family:  # the metric file holds several families
                found[_canonical(family, key[1])] = row
    return found


def _section(family: str, row: Row) -> SectionRow:
    designation = row.text("designation")
    wall = row.maybe("wall")
    if family == "L":
        key = _key(designation)
        assert key is not None
        if key[1][0] <= _LARGEST_INCH_LEG:
            wall = inches(key[1][2])  # the column rounds 5/16 to 0.313
    return SectionRow(
        designation=designation,
        family=family,
        depth=row.quantity("depth"),
        width=row.maybe("width"),
        flange=row.maybe("flange"),
        web=row.maybe("web"),
        wall=wall,
        weight=row.quantity("weight"),
        area=row.quantity("area"),
        tapered=family in _TAPERED,
        root=_root(row, wall or row.maybe("flange")),
        source=row.source(),
        status=row.status(),
    )


def _root(row: Row, part: Quantity | None) -> Quantity | None:
    """How deep the metal is where two parts meet, fillet and all: the trade's k."""
    listed = row.maybe("fillet_distance")
    if listed is not None or part is None:
        return listed
    radius = row.maybe("root_radius")
    return None if radius is None else part + radius
