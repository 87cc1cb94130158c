"""Typed text to the words that its writer would say, so that a keyboard asks what a voice asks.

Signs, figures and abbreviations of the trade become words; everything else that is no letter
goes. A sign of wrongness is kept: "-2" stays "minus two", so that the parser can refuse it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from handsfree.spoken_numbers import NUMBER_WORDS, decimal, fraction, mixed, spelt, whole
from handsfree.understand.plain_signs import plain_signs

LONGEST = 100
"""Words given back at most. No request has 60 words: what is longer, the caller refuses."""

_LONGEST_REQUEST = 60
_LONGEST_INPUT = 200_000  # characters looked at, blanks and signs included
_LONGEST_TEXT = 20_000
_LONGEST_WORD = 30
_MOST_FIGURES = 9

_GASES = {
    "o2": "oxygen",
    "c2h2": "acetylene",
    "c3h8": "propane",
    "c3h6": "propylene",
    "ch4": "natural gas",
}
# Abbreviations that mean one thing wherever they stand.
_SHORT = {
    "cfh": "cubic feet an hour",
    "cm": "centimetres",
    "deg": "degrees",
    "dia": "diameter",
    "ft": "feet",
    "gage": "gauge",
    "hss": "h s s",
    "id": "i d",
    "ipm": "inches a minute",
    "kg": "kilograms",
    "kpa": "kilopascals",
    "lb": "pounds",
    "lbs": "pounds",
    "millimeter": "millimetre",
    "millimeters": "millimetres",
    "mm": "millimetres",
    "mms": "millimetres",
    "od": "o d",
    "psig": "psi",
    "sch": "schedule",
    "sched": "schedule",
    "scfh": "cubic feet an hour",
    "sq": "square",
    "ss": "stainless steel",
    "thk": "thick",
    "xs": "x s",
    "xxs": "x x s",
}
# Those that are units or shapes only behind a number.
_BEHIND_NUMBER = {
    "g": "gauge",
    "ga": "gauge",
    "hr": "hours",
    "hrs": "hours",
    "ins": "inch",
    "m": "metres",
    "min": "minutes",
    "mins": "minutes",
    "pl": "plate",
    "sec": "seconds",
    "secs": "seconds",
}
_RATES = {"in": "inches a minute", "mm": "millimetres a minute", "l": "litres a minute"}
# Letters of section series, spelt when a number follows.
_SERIES = frozenset(
    {"hp", "mc", "wt", "st", "mt", "ipe", "hea", "heb", "hem", "upn", "upe", "ub", "uc", "ubp"}
)
_ARTICLES = frozenset({"a", "an", "and", "over", "point"})
_INCH_WORDS = frozenset({"in", "inch", "inches", "ins"})
_UNITS = frozenset({*_INCH_WORDS, *_SHORT, *_BEHIND_NUMBER, "psi", "bar", "gauge", "percent"})
# Behind these the word "in" is no unit: "3/4 in mm", "2 in the rack".
_AFTER_PREPOSITION = frozenset(
    {"a", "an", "the", "my", "this", "that", "half", "place", "metric", "mil", "mils", "thou"}
    | {"decimal", "decimals", "fraction", "fractions", "mm", "cm", "psi", "bar", "kpa"}
    | {"inch", "inches", "millimetres", "millimeters", "centimetres", "centimeters"}
)
# Steel grades are said in pairs of figures.
_GRADES = {
    "304": "three oh four",
    "316": "three sixteen",
    "1018": "ten eighteen",
    "1045": "ten forty five",
    "4130": "forty one thirty",
    "4140": "forty one forty",
    "4340": "forty three forty",
}
_ORDINALS = {
    1: "first",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    8: "eighth",
    9: "ninth",
    10: "tenth",
    12: "twelfth",
    16: "sixteenth",
    32: "thirty second",
    64: "sixty fourth",
}
_SCALES = {"c": "celsius", "f": "fahrenheit"}
_OUGHTS = {2: "double ought", 3: "triple ought", 4: "four ought"}

_UNIT_NEXT = r"\s*-?\s*(?:\"|'|/|\.\d|\d|(?:" + "|".join(sorted(_UNITS)) + r")\b)"
_SCAN = re.compile(
    rf"""
      (?P<gas>(?<![a-z0-9])(?:o2|c2h2|c3h8|c3h6|ch4)(?![a-z0-9]))
    | (?P<rate>(?<![a-z])(?:in|inch|inches|mm|l)\.?\s?/\s?min(?:ute)?(?![a-z]))
    | (?P<with>(?<![a-z])w/(?:o(?:ut)?(?![a-z]))?)
    | (?P<number>\#\s*(?=\d)|(?<![a-z])(?:num|nr)\b\.?\s*(?=\d)
        |(?<![a-z])no\.\s*(?=\d{{1,2}}(?!\d|{_UNIT_NEXT})))
    | (?P<mixed>(?<![\d.])\d{{1,4}}(?:-|\s+(?:and|&)\s+|\s+)\d{{1,4}}\s?/\s?\d{{1,4}}(?!\d)
        (?:(?:th|nd|rd)s?\b)?)
    | (?P<fraction>\d+\s?/\s?\d+(?:(?:th|nd|rd)s?\b)?)
    | (?P<decimal>\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?(?!\d)|\d*\.\d+|\d+,\d+)
    | (?P<oughts>(?<!\d)0{{2,4}}(?!\d))
    | (?P<ordinal>\d+(?:st|nd|rd|th)s?\b)
    | (?P<whole>\d+)
    | (?P<letters>(?<![a-z])[a-z](?:\.[a-z])+(?![a-z])\.?)
    | (?P<ending>(?<=\d)'(?:s|d|ll|re|ve)\b)
    | (?P<word>[a-z]+(?:'[a-z]+)*)
    | (?P<sign>''|["'#\-°%@&+=,;:?!])
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    starts: int
    ends: int

    @property
    def is_number(self) -> bool:
        return self.kind in ("mixed", "fraction", "decimal", "whole", "oughts")


_NONE = _Token("none", "", -9, -9)


def typed_words(text: str) -> str:
    """The words of typed text: a to z and the apostrophe of contractions, one blank apart.

    Never raises. At most `LONGEST` words come back; a text of more than 60 words is no request,
    and the caller says so. Text that is very long and yet has few words comes back empty.

    >>> typed_words('What do I set for 1-1/2" plate, 1/4 tip?')
    'what do i set for one and a half inch plate quarter tip'
    >>> typed_words("W10x33 w/ propane @ 25psi")
    'w ten by thirty three with propane at twenty five psi'
    """
    if not isinstance(text, str):  # a request in JSON can hold anything
        return ""  # type: ignore[unreachable]
    plain = plain_signs(text[:_LONGEST_INPUT])
    words: list[str] = []
    for part in _spoken(_tokens(plain[:_LONGEST_TEXT])):
        words += part.split()
        if len(words) >= LONGEST:
            return " ".join(words[:LONGEST])
    was_cut = len(plain) > _LONGEST_TEXT or len(text) > _LONGEST_INPUT
    if was_cut and len(words) <= _LONGEST_REQUEST:
        return ""  # the rest could change what the beginning means
    return " ".join(words)


def _tokens(text: str) -> list[_Token]:
    return [
        _Token(match.lastgroup or "", match.group(), match.start(), match.end())
        for match in _SCAN.finditer(text)
    ]


def _spoken(tokens: list[_Token]) -> Iterator[str]:
    """What is said for each token, beside its neighbours."""
    measured = False  # the last token was a number or its unit
    for place, token in enumerate(tokens):
        before = tokens[place - 1] if place else _NONE
        after = tokens[place + 1] if place + 1 < len(tokens) else _NONE
        said = ""
        behind_number = measured
        measured = token.is_number
        if token.is_number:
            said = _number(token, before, after)
        elif token.kind == "word":
            said, measured = _word(token, before, after, behind_number)
        elif token.kind == "sign":
            following = tokens[place + 2] if place + 2 < len(tokens) else _NONE
            said, measured = _sign(token, before, after, following, behind_number)
        elif token.kind == "gas":
            said = _GASES[token.text]
        elif token.kind == "rate":
            said = _RATES[re.split(r"\W|ch", token.text)[0]]
        elif token.kind == "with":
            said = "without" if "o" in token.text else "with"
        elif token.kind == "number":
            said = "number"
        elif token.kind == "letters":
            said = token.text.replace(".", " ")
        elif token.kind == "ordinal":
            said = _ordinal(token.text)
        yield said if after.kind != "ending" else said + after.text


def _word(token: _Token, before: _Token, after: _Token, behind_number: bool) -> tuple[str, bool]:
    """A word, and whether it is a unit of the number before it."""
    word = token.text
    glued = before.ends == token.starts
    if before.text == "\u00b0" and word in _SCALES:
        return _SCALES[word], False
    if word == "x" and behind_number and after.is_number:
        return "by", False
    if word in _SERIES and (after.is_number or _counts(after)):
        return " ".join(word), False
    if behind_number and word == "in":
        preposition = after.kind == "word" and after.text in _AFTER_PREPOSITION and not glued
        return ("in", False) if preposition else ("inch", True)
    if behind_number and word in _BEHIND_NUMBER:
        return _BEHIND_NUMBER[word], True
    if word in _SHORT:
        one_foot = word == "ft" and before.text == "1"
        return "foot" if one_foot else _SHORT[word], behind_number
    if word in ("ga", "sch"):
        return {"ga": "gauge", "sch": "schedule"}[word], False
    return word[:_LONGEST_WORD].rstrip("'"), behind_number and word in _UNITS


def _counts(token: _Token) -> bool:
    """Whether a word begins a number: "ub two oh three"."""
    return token.kind == "word" and token.text in NUMBER_WORDS and token.text not in _ARTICLES


def _sign(
    token: _Token, before: _Token, after: _Token, following: _Token, behind_number: bool
) -> tuple[str, bool]:
    """A sign, and whether it is a unit of the number before it; a stop parts them."""
    glued, leads = before.ends == token.starts, token.ends == after.starts
    match token.text:
        case '"' | "''" if before.is_number and (glued or not leads):
            return "inch", True
        case "'" if before.is_number and glued:
            return ("foot" if before.text == "1" else "feet"), True
        case "#" if before.is_number and glued:
            return "pounds", True
        case "\u00b0":
            return "degrees", behind_number
        case "=":  # "3/8 = ? mm" asks in millimetres
            asked = after.text if after.text != "?" else following.text
            return ("in" if asked in _UNITS else "is"), False
        case "-" if leads and after.is_number:
            if not glued:
                return "minus", False
            return ("to" if behind_number and before.text != "'" else ""), False
        case "-":
            return "", behind_number and glued and leads  # "12-mm"
        case "%":
            return "percent", behind_number
    return {"&": "and", "+": "and", "@": "at"}.get(token.text, ""), False


def _number(token: _Token, before: _Token, after: _Token) -> str:
    figures = re.sub(r"(?<=\d)(?:th|nd|rd)s?$", "", token.text)
    if token.kind == "oughts":
        return _OUGHTS[len(figures)]
    if token.kind == "whole":
        if figures in _GRADES and after.text not in _UNITS and after.kind != "sign":
            return _GRADES[figures]
        return _whole(figures)
    if token.kind == "decimal":
        return _decimal(figures)
    lead = ""
    if token.kind == "mixed":
        lead, figures = re.split(r"-|\s+and\s+|\s*&\s*|\s+", figures, maxsplit=1)
    above, below = (part.strip() for part in figures.split("/"))
    return _fraction(lead, above, below, after.kind != "none", before)


def _fraction(lead: str, above: str, below: str, goes_on: bool, before: _Token) -> str:
    if max(len(lead), len(above), len(below)) > 4:
        return f"{_whole(lead)} {_whole(above)} over {_whole(below)}"
    if not int(below):
        ought = _OUGHTS.get(int(above)) if below == "0" and not lead else None
        return ought or f"{_whole(lead)} {_whole(above)} over zero"
    value = Fraction(int(above), int(below))
    try:
        if lead and 0 < value < 1 and before.kind != "number":
            return mixed(int(lead) + value)
        if value == Fraction(3, 4) and goes_on:
            said = "three quarter"
        elif value in (Fraction(1, 2), Fraction(1, 4)):
            said = fraction(value).removeprefix("one ")
        elif value < 1:
            said = fraction(value)
        else:
            said = mixed(value)
    except ValueError:  # no denominator of the trade
        said = f"{_whole(above)} over {_whole(below)}"
    return f"{_whole(lead)} {said}"


def _whole(figures: str) -> str:
    """A whole number; with leading noughts, or too long for one, figure by figure."""
    if not figures:
        return ""
    if len(figures) > _MOST_FIGURES or (figures[0] == "0" and len(figures) > 1):
        return spelt(figures[:12])
    return whole(int(figures))


def _decimal(figures: str) -> str:
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", figures):
        figures = figures.replace(",", "")
    units, _, part = figures.replace(",", ".").partition(".")
    part = part.rstrip("0")
    if not part:
        return _whole(units) or "zero"
    if len(units) > _MOST_FIGURES or len(part) > 6:
        return f"{_whole(units)} point {spelt(part[:12])}"
    return decimal(Fraction(f"{units or 0}.{part}"), places=6)


def _ordinal(text: str) -> str:
    """As in "5th", and "16ths" for a denominator."""
    figures = text.rstrip("sthndr")
    if len(figures) > 2 or int(figures) not in _ORDINALS:
        return _whole(figures)
    plural = "s" if text[-1] == "s" else ""
    return _ORDINALS[int(figures)] + plural
