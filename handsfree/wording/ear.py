"""Written sentences to sentences that a plain voice can read: no figures, no signs, no shorthand.

Tables and rules write "29 CFR 1910.253(a)(2)" and "1/16-1/8 in"; a voice that meets these reads
them badly or not at all.
"""

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from handsfree.spoken_numbers import (
    decimal,
    fraction,
    mixed,
    spelt,
    whole,
)

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("\u201c\u201d\u2033\u02ba", '"'),
        **dict.fromkeys("\u2018\u2019\u2032", "'"),
        **dict.fromkeys("\u2010\u2011\u2212", "-"),
        **dict.fromkeys("\u2013\u2014", "\u2013"),
        "\u00d7": " by ",
        "\u2265": " at least ",
        "\u2264": " at most ",
        "\u00b1": " plus or minus ",
        "\u2248": " about ",
        "~": " about ",
        "=": " is ",
        "&": " and ",
        "+": " and ",
        "\u00a7": " section ",
        "<": " under ",
        ">": " over ",
        "#": " number ",
        "\u2116": " number ",
    }
)
# Written unit -> (one, many) as they are said.
_UNITS = {
    "psia": ("p s i absolute", "p s i absolute"),
    "psig": ("p s i", "p s i"),
    "psi": ("p s i", "p s i"),
    "kPa": ("kilopascal", "kilopascals"),
    "bar": ("bar", "bar"),
    "in/min": ("inch a minute", "inches a minute"),
    "ipm": ("inch a minute", "inches a minute"),
    "mm/min": ("millimetre a minute", "millimetres a minute"),
    "lb/ft": ("pound a foot", "pounds a foot"),
    "kg/m": ("kilogram a metre", "kilograms a metre"),
    "ft3/h": ("cubic foot an hour", "cubic feet an hour"),
    "cfh": ("cubic foot an hour", "cubic feet an hour"),
    "scfh": ("cubic foot an hour", "cubic feet an hour"),
    "l/min": ("litre a minute", "litres a minute"),
    "ft3": ("cubic foot", "cubic feet"),
    "mm": ("millimetre", "millimetres"),
    "cm": ("centimetre", "centimetres"),
    "ft": ("foot", "feet"),
    "in": ("inch", "inches"),
    '"': ("inch", "inches"),
    "m": ("metre", "metres"),
    "lb": ("pound", "pounds"),
    "kg": ("kilogram", "kilograms"),
    "deg": ("degree", "degrees"),
    "F": ("degree fahrenheit", "degrees fahrenheit"),
    "C": ("degree celsius", "degrees celsius"),
    "\u00b0F": ("degree fahrenheit", "degrees fahrenheit"),
    "\u00b0C": ("degree celsius", "degrees celsius"),
    "\u00b0": ("degree", "degrees"),
    "%": ("percent", "percent"),
    "percent": ("percent", "percent"),
    "s": ("second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "ga": ("gauge", "gauge"),
}
# Before these a unit stands in its singular: "a two inch tip".
_NOUNS = (
    "plates?|tips?|hoses?|pipes?|thick|bore|walls?|sheets?|bars?|shafts?|rounds?|angles?|holes?|"
    "drills?|tubes?|flanges?|steel|gaps?|openings?|standoff|kerf|long|wide|deep|nozzles?|nominal"
)
# Behind a number these show that "in" is the preposition: "one in ten", "24 in the table".
_NO_UNIT = r"(?!\s+(?:the|a|an|all|any|each|every|one|use|open|place|time|this|that|it)\b|\s+\d)"
_FIGURE = r"(?:\d{1,4}[ -]\d{1,3}/\d{1,4}|\d+/\d+|\d{1,3}(?:,\d{3})+(?!\d)|\d*\.\d+|\d+)"
_UNIT = "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True) if unit != "in")
_MEASURE = re.compile(
    rf"(?<![\w.])(?P<low>{_FIGURE})(?:\s?[-\u2013]\s?(?P<high>{_FIGURE}))?"
    rf"(?:[ -]?(?P<unit>(?:{_UNIT})(?![A-Za-z])|in(?![A-Za-z]){_NO_UNIT})\.?"
    rf"(?P<noun>[ -](?:{_NOUNS})\b)?)?"
)
_RULE = re.compile(
    r"(?P<title>\d+) (?P<code>CFR|CCR) (?P<part>\d{2,4})(?:\.(?P<section>\d+(?:-\d+)?))?"
    r"(?P<levels>(?:\([A-Za-z0-9]{1,4}\))*)"
)
# A second section of the same title: "29 CFR 1926.353(c) and 1926.354".
_SECOND_SECTION = re.compile(
    r"(?P<first>\d+ CFR \d[\w.()-]*) and (?P<part>\d{2,4})\.(?P<section>\d+(?:-\d+)?)"
    r"(?P<levels>(?:\([A-Za-z0-9]{1,4}\))*)"
)
_STATE_RULE = re.compile(
    r"\b(?P<code>[A-Z]{2,}) (?P<groups>\d+(?:-\d+)+)(?P<levels>(?:\([A-Za-z0-9]{1,4}\))*)"
)
_CHAPTER = re.compile(r"(?<=Code |pter |tion )\d+(?:-\d+)+|\b\d+-\d+-\d+\b")
# A document's number is said figure by figure: "I S O nine oh one three".
_DOCUMENT = re.compile(r"(?<=\b[A-Z]{3} )\d{4,5}\b|(?<=TRA )\d{4,5}\b|(?<=[A-Z])\d+(?:\.\d+)+")
_ORDINAL = re.compile(r"\b(\d{1,2})(?:st|nd|rd|th)\b")
_SECTION = re.compile(
    r"\b(?P<family>HSS|IPE|HE[ABM]|UPN|MC|HP|W|S|M|C|L)(?P<size>\d+(?:[Xx/.-]?\d+)*)\b"
)
_STOPS = re.compile(r"[\s,]*([.?])[\s,.?]*")
_FIRST_LETTERS = re.compile(r"(?:^|(?<=[.?] ))[a-z]")
_NO_SPEECH = re.compile(r"[^A-Za-z' ,.?]")
_YEAR = re.compile(r"(?<![\w.,/$-])(?P<year>19\d\d|20\d\d)(?![\w.,/-]\d|\s?[-\u2013]\s?\d)")
_SHORT = {
    "e.g.": "for example",
    "i.e.": "that is",
    "approx.": "about",
    "vs.": "against",
    "w/": "with",
}
# These are short forms before a figure only: "No. Never do that" starts with a plain no.
_BEFORE_FIGURE = {
    "No.": "number",
    "no.": "number",
    "ch.": "chapter",
    "vol.": "volume",
    "sec.": "section",
    "pp.": "pages",
    "p.": "page",
}
# Units that stand alone: "set the psi first".
_ALONE = {
    "psi": "p s i",
    "psig": "p s i",
    "cfh": "cubic feet an hour",
    "in/min": "inches a minute",
}
# What plain words and stops never hold.
_SHORTHAND = re.compile(
    r"[^A-Za-z' ,.?]|[A-Z]{2}|\.(?=[^ ])|\b(?:"
    + "|".join(re.escape(short.rstrip(".")) for short in (*_SHORT, *_ALONE))
    + r")(?![a-z])"
)
# Acronyms that are said as words.
_SAID_AS_WORDS = frozenset({"OSHA", "ANSI", "NAVEDTRA"})


@lru_cache(maxsize=2048)  # advice, cautions and rules come back word for word
def for_the_ear(text: str) -> str:
    """One or more sentences as they are read aloud: letters, apostrophes, commas and stops only.

    >>> for_the_ear("Keep acetylene under 15 psi, 29 CFR 1910.253(a)(2)")
    'Keep acetylene under fifteen p s i, twenty nine C F R nineteen ten point two five three, paragraph A two.'
    >>> for_the_ear("cones 1/16-1/8 in above the plate")
    'Cones one sixteenth to one eighth inch above the plate.'
    """  # noqa: E501  # a doctest's line is one line
    return sentence(_in_words(text) if _SHORTHAND.search(text) else text)


def _in_words(text: str) -> str:
    """Figures, signs and short forms in words."""
    text = unicodedata.normalize("NFC", text).translate(_PLAIN)
    text = "".join(
        " " + unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
        if unicodedata.decomposition(sign).startswith("<fraction>")
        else sign
        for sign in text
    )
    text = _SECOND_SECTION.sub(lambda match: f"{match['first']} and {_section(match)}", text)
    text = _RULE.sub(lambda match: _rule(match), text)
    text = _STATE_RULE.sub(lambda match: _state_rule(match), text)
    text = _CHAPTER.sub(
        lambda match: ", ".join(spelt(group) for group in match.group().split("-")), text
    )
    text = _SECTION.sub(lambda match: designation_words(match.group()), text)
    text = _DOCUMENT.sub(
        lambda match: f" {' point '.join(map(spelt, match.group().split('.')))} ", text
    )
    text = _ORDINAL.sub(lambda match: _ordinal(int(match[1])), text)
    text = _lengthened(text, _SHORT)
    text = _lengthened(text, _BEFORE_FIGURE, r"(?=\s?\d)")
    text = _YEAR.sub(lambda match: _in_pairs(match["year"]), _keep_measures(text))
    text = _MEASURE.sub(lambda match: _measure(match), text)
    text = _lengthened(text, _ALONE)
    text = re.sub(r"(?<=[a-z])\s?\.(?=\d)", " point ", text)
    return re.sub(r"\b[A-Z]{2,}\b", lambda match: _letters(match.group()), text)


def _lengthened(text: str, forms: Mapping[str, str], where: str = r"(?![A-Za-z/])") -> str:
    for short, long in forms.items():
        text = re.sub(rf"(?<![A-Za-z\d]){re.escape(short)}{where}", f"{long} ", text)
    return text


def sentence(text: str) -> str:
    """Words with a capital and a full stop, and nothing that is no letter, comma or stop."""
    if _NO_SPEECH.search(text):
        text = re.sub(r"[();:\u2013]|\s-\s", ", ", text).replace("/", " or ").replace("!", ".")
        text = unicodedata.normalize("NFKD", text)
        text = "".join(sign for sign in text if not unicodedata.combining(sign))
        text = re.sub(r"(?<=\d)\.(?=\d)", " point ", text)
        text = re.sub(r"\d+", lambda match: f" {spelt(ascii_figures(match.group())[:12])} ", text)
        text = _NO_SPEECH.sub(" ", text)
    if "'" in text:
        text = re.sub(r"(?<![A-Za-z])'|'(?![A-Za-z])", " ", text)
    text = " ".join(text.split())
    if "," in text:
        text = re.sub(r"[\s,]*,[\s,]*", ", ", text)
        text = re.sub(r"\b(and|or|to|of), ", r"\1 ", text)
    text = _STOPS.sub(r"\1 ", text).strip(" ,").lstrip("., ?")
    if not text:
        return ""
    text = _FIRST_LETTERS.sub(lambda match: match.group().upper(), text)
    return text if text[-1] in ".?" else text + "."


def ascii_figures(figures: str) -> str:
    """Figures of any script as 0 to 9."""
    return "".join(str(unicodedata.digit(figure, 0)) for figure in figures)


def designation_words(designation: str) -> str:
    """A section as it is said, without its shape.

    >>> designation_words("W10X33"), designation_words("HSS6X6X3/8")
    ('w ten by thirty three', 'h s s six by six by three eighths')
    """
    family = re.match(r"[A-Za-z]*", designation)
    letters = family.group() if family else ""
    parts = re.split(r"[Xx]", designation[len(letters) :])
    said = " by ".join(value_words(part) for part in parts if part)
    return " ".join([*letters.lower(), said]).strip()


def value_words(figures: str) -> str:
    """A written size as it is said: "3/8", "1-1/2", "11.5", "33".

    >>> value_words("1-1/2"), value_words("3/8"), value_words("11.5")
    ('one and a half', 'three eighths', 'eleven point five')
    """
    figures = figures.replace(",", "")
    value = _value(figures)
    if value is None:
        return " ".join(re.findall(r"[a-z]+", figures.lower()))
    try:
        if "/" in figures:
            return mixed(value)
        return whole(int(value)) if "." not in figures else decimal(value, 6)
    except ValueError:
        numerator, _, denominator = figures.rpartition("/")
        return f"{spelt_all(numerator)} over {spelt_all(denominator)}".removeprefix(" over ")


def spelt_all(figures: str) -> str:
    """The figures of a text, one by one."""
    return spelt(re.sub(r"[^0-9]", "", figures))


def _value(figures: str) -> Fraction | None:
    match = re.fullmatch(r"(?:(\d{1,9})[ -])?(\d{1,9})/(\d{1,9})", figures)
    if match:
        units, above, below = (int(part or 0) for part in match.groups())
        return units + Fraction(above, below) if below else None
    if re.fullmatch(r"\d{1,9}|\d{0,9}\.\d{1,6}", figures):
        return Fraction(figures if figures[0] != "." else f"0{figures}")
    return None


def _size(value: Fraction | None, figures: str) -> str:
    """A figure of a measure as it is said, a half and a quarter without their "one"."""
    if value in (Fraction(1, 2), Fraction(1, 4)) and "/" in figures:
        return fraction(value).removeprefix("one ")
    return value_words(figures)


def _measure(match: re.Match[str]) -> str:
    low, high, unit, noun = match.group("low", "high", "unit", "noun")
    noun = (noun or "").replace("-", " ")
    last = _value((high or low).replace(",", ""))
    if high:
        said = f"{value_words(low)} to {value_words(high)}"
    elif last == Fraction(3, 4) and "/" in low and (unit in ("in", '"')):
        said = "three quarter"
    else:
        said = _size(last, low) if unit else value_words(low)
    if not unit:
        return f" {said} "
    one, many = _UNITS[unit]
    inch = unit in ("in", '"') and last is not None and last < 1
    return f" {said} {one if noun or inch or last == 1 else many}{noun} "


def _keep_measures(text: str) -> str:
    """Turn years before a unit into words first, so that "2000 psi" is no year."""
    return re.sub(
        rf"(?<![\w.,/-])(19\d\d|20\d\d)(?=\s?(?:{_UNIT})(?![A-Za-z]))",
        lambda match: whole(int(match.group())),
        text,
    )


def _in_pairs(figures: str) -> str:
    """A year or the part of a rule: "nineteen ten", "twenty nineteen", "nineteen oh five"."""
    lead, rest = int(figures[:2]), int(figures[2:])
    if not rest or (lead % 10 == 0 and rest < 10):
        return whole(int(figures))
    return f"{whole(lead)} {whole(rest) if rest > 9 else 'oh ' + whole(rest)}"


def _ordinal(n: int) -> str:
    lead, _, last = whole(n).rpartition(" ")
    odd = {"one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth"}
    odd |= {"nine": "ninth", "twelve": "twelfth"}
    said = odd.get(last) or (last[:-1] + "ieth" if last.endswith("y") else last + "th")
    return f"{lead} {said}".strip()


def _letters(capitals: str) -> str:
    return capitals if capitals in _SAID_AS_WORDS else " ".join(capitals)


def _rule(match: re.Match[str]) -> str:
    title = whole(int(match["title"][-3:]))
    return f"{title} {_letters(match['code'])} {_section(match)}"


def _section(match: re.Match[str]) -> str:
    """Part, section and levels: "nineteen ten point two five three, paragraph A two"."""
    part = match["part"]
    if len(part) == 4 and part.startswith("19"):
        said = _in_pairs(part)
    else:
        said = spelt(part) if len(part) > 2 else whole(int(part))
    section = " dash ".join(map(spelt, (match["section"] or "").split("-")))
    section = f" point {section}" if section else ""
    return f"{said}{section}{_levels(match['levels'])}"


def _state_rule(match: re.Match[str]) -> str:
    groups = ", ".join(spelt(group) for group in match["groups"].split("-"))
    return f"{_letters(match['code'])} {groups}{_levels(match['levels'])}"


def _levels(levels: str) -> str:
    """The first two levels below a section; the page has them all."""
    named = re.findall(r"\(([A-Za-z0-9]+)\)", levels)[:2]
    if not named:
        return ""
    return ", paragraph " + " ".join(
        whole(int(level)) if level.isdigit() else level.upper() for level in named
    )
