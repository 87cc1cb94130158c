"""Any text becomes plain signs: lower case ASCII figures, fractions and marks, one blank apart.

Whatever stands for a number in any script becomes its value, or the word `NOT_READ`, which no
grammar knows: a number is never dropped, and never joined to the figures beside it.

>>> plain_signs("1⅜″ × ⁵⁄₁₆″"), plain_signs("१२ mm")
('1 3/8 " x 5/16"', '12 mm')
"""

import re
import unicodedata
from fractions import Fraction
from itertools import groupby

NOT_READ = "numeral"
"""Stands for a number sign that has no plain value where it stands; unknown to every grammar."""

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("\u201c\u201d\u201e\u201f\u2033\u2036\u3003\uff02\u02ba\u02dd\u05f4", '"'),
        **dict.fromkeys("\u2018\u2019\u201a\u201b\u2032\u2035\u02bc\u02b9`\u00b4\uff07\u05f3", "'"),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d", "-"),
        **dict.fromkeys("\u00d7\u2715\u2716\u2a09\u2a2f\u22c5\u2217*", "x"),
        **dict.fromkeys("\u2044\u2215\u29f8\u00f7\uff0f", "/"),
        "\u066b": ".",  # decimal and thousands marks of Arabic figures
        "\u066c": ",",
        "\u2116": " #",
        "\ufffd": " illegible ",  # what was lost may have been half of a number
        "\u00ba": "\u00b0",
    }
)
_RAISED_POINT = re.compile(r"(?<=\d)[\u00b7\u2027\u2219](?=\d)")
_IN_FRACTIONS = ("<super>", "<sub>")


def plain_signs(text: str) -> str:
    """The text in plain signs; quotation marks round the whole of it go."""
    shown = re.sub(r"-+>|=+>|\u2192", " to ", text).translate(_PLAIN)
    # Before the compatibility form, which would make eleven halves of one and a half.
    runs = [(kind, "".join(signs)) for kind, signs in groupby(shown, _kind)]
    padded = [("", ""), *runs, ("", "")]
    shown = "".join(
        f" {NOT_READ} " if _is_joined(*padded[at : at + 3]) else _figures(*run)
        for at, run in enumerate(runs)
    )
    shown = _RAISED_POINT.sub(".", shown)
    shown = unicodedata.normalize("NFKD", shown).lower().translate(_PLAIN)
    shown = "".join(sign for sign in shown if not unicodedata.combining(sign))
    shown = "".join(sign if sign.isprintable() else " " for sign in shown)
    shown = " ".join(shown.split())
    if len(shown) > 2 and shown[0] == shown[-1] == '"':
        return shown[1:-1]
    return shown


def _kind(sign: str) -> str:
    """How a sign stands for a number: as a figure, small, in a fraction, oddly; empty where not."""
    if sign.isascii():
        return "figure" if sign.isdigit() else ""
    if sign.isdecimal():
        return "figure"
    form = unicodedata.decomposition(sign)
    if form.startswith("<fraction>"):
        return "fraction"
    if form.startswith(_IN_FRACTIONS) and sign.isdigit():
        return form.split()[0]
    return "odd" if unicodedata.numeric(sign, None) is not None else ""


def _is_joined(before: tuple[str, str], run: tuple[str, str], after: tuple[str, str]) -> bool:
    """Whether an odd or small run stands at other figures, so that it is no number of its own.

    Small figures before a stroke are above it: "1³⁄₈".
    """
    kind, signs = run
    if signs == "\u215f":  # "one over", and what it is over must follow
        return not after[0] or bool(before[0])
    if kind not in ("odd", *_IN_FRACTIONS):
        return False
    above = kind == "<super>" and after[1].startswith("/")
    return bool(after[0]) or (bool(before[0]) and not above)


def _figures(kind: str, signs: str) -> str:
    """A run of signs of one kind in plain figures."""
    if kind == "figure":
        return "".join(str(unicodedata.decimal(sign)) for sign in signs)
    if kind == "<super>":
        return " " + _digits(signs)
    if kind == "<sub>":
        return _digits(signs)
    if kind == "fraction":
        plain = unicodedata.normalize("NFKC", signs).replace("\u2044", "/")
        return f" {plain} " if len(signs) == 1 else f" {NOT_READ} "
    if kind == "odd":
        return f" {_value(signs)} "
    return signs


def _digits(signs: str) -> str:
    return "".join(str(unicodedata.digit(sign)) for sign in signs)


def _value(signs: str) -> str:
    """The value of one sign of its own, as a Roman twelve; a run of them is not read."""
    if len(signs) > 1 or unicodedata.category(signs) == "Lo":
        return NOT_READ
    value = Fraction(unicodedata.numeric(signs)).limit_denominator(1000)
    return NOT_READ if value < 0 else str(value)
