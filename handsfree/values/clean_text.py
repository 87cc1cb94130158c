r"""Cleans text at the doors by which it comes in: arguments, standard input, page, hearing, files.

Past a door every text can be written as UTF-8, and shows nothing but what is there. What was lost
stays seen as U+FFFD, so that the parser does not read "3" where "3 1/2" could not be decoded:

- a lone surrogate, a character that is none, and an override of the direction, which shows "1/2"
  where "2/1" stands, become U+FFFD;
- control characters that set text apart become a blank; all others, and what takes no room, go,
  as on the screen of whoever typed them;
- letters and their marks are put together (NFC), so that one word is found and sealed in one form
  whichever keyboard it came from. The compatibility forms stay: they would change figures.
"""

import unicodedata
from typing import Final

LOST: Final = "\ufffd"
_OVERRIDES: Final = frozenset("\u202d\u202e")
_APART: Final = frozenset("\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u2028\u2029")
_GOES: Final = frozenset({"Cc", "Cf"})


def clean_text(text: str) -> str:
    r"""The text as it may come in.

    >>> clean_text("half\x00 inch\n\x1b plate"), clean_text("3\udcbd inch") == "3\ufffd inch"
    ('half inch  plate', True)
    """
    if text.isascii() and text.isprintable():
        return text
    return unicodedata.normalize("NFC", "".join(map(_clean, text)))


def argument_text(argument: str) -> str:
    """An argument as text; bytes that the locale has no letters for are read as UTF-8.

    So "½" comes in under a plain C locale as well.
    """
    try:
        raw = argument.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:  # surrogates that stand for no byte
        return clean_text(argument)
    return clean_text(raw.decode("utf-8", "replace"))


def clean_values(value: object) -> object:
    r"""Plain values, as they are read from YAML or JSON, with every text in them clean.

    >>> clean_values({"stamp": ["1-\x07101", 4]})
    {'stamp': ['1-101', 4]}
    """
    match value:
        case str():
            return clean_text(value)
        case dict():
            return {clean_values(key): clean_values(each) for key, each in value.items()}
        case list():
            return [clean_values(each) for each in value]
        case tuple():
            return tuple(clean_values(each) for each in value)
        case _:
            return value


def _clean(sign: str) -> str:
    if sign in _APART:
        return " "
    kind = unicodedata.category(sign)
    if kind == "Cs" or sign in _OVERRIDES or _is_none(ord(sign)):
        return LOST
    return "" if kind in _GOES else sign


def _is_none(number: int) -> bool:
    """Whether Unicode keeps this number from ever being a character."""
    return 0xFDD0 <= number <= 0xFDEF or number & 0xFFFE == 0xFFFE
