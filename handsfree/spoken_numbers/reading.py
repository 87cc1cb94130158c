"""Number words to exact values: whole numbers, decimals, fractions and mixed numbers.

A run of words is read in every way that the trade would, and a run that can mean two values is
never settled here: `readings` gives both, `amount` gives none.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import gcd

from handsfree.spoken_numbers.vocabulary import (
    ARTICLES,
    DECIMAL_DENOMINATORS,
    DENOMINATORS,
    DIGITS,
    OTHER_DENOMINATORS,
    SCALES,
    TEENS,
    TENS,
    ZEROS,
)

Run = tuple[str, ...]

# (words, denominator, can be singular, can be plural)
_NAMED: tuple[tuple[Run, int, bool, bool], ...] = (
    *((tuple(one.split()), value, True, False) for value, (one, _) in DENOMINATORS.items()),
    *((tuple(many.split()), value, False, True) for value, (_, many) in DENOMINATORS.items()),
    *((words, *rest) for words, rest in OTHER_DENOMINATORS.items()),
)
_BY_LAST: dict[str, list[tuple[Run, int, bool, bool]]] = {}
for _entry in _NAMED:
    _BY_LAST.setdefault(_entry[0][-1], []).append(_entry)

NUMBER_WORDS: frozenset[str] = frozenset(
    {*DIGITS, *TEENS, *TENS, *ZEROS, *SCALES, *ARTICLES, "and", "point", "over"}
    | {word for words, *_ in _NAMED for word in words}
)
"""Every word that can stand in a number; "a", "an", "and" and "point" only beside others."""

LONGEST = 16
"""Words in the longest run that is read as one number."""


def amount(words: Sequence[str]) -> Fraction | None:
    """The one value that number words mean; None when they mean none, or more than one.

    >>> amount(["five", "eighths"]), amount(["twenty", "two", "hundred"])
    (Fraction(5, 8), Fraction(2200, 1))
    >>> amount(["point", "oh", "six"])
    Fraction(3, 50)
    >>> amount(["twenty", "three", "sixteenths"]) is None
    True
    """
    values = readings(words)
    return values[0] if len(values) == 1 else None


def readings(words: Sequence[str]) -> tuple[Fraction, ...]:
    """All values that number words can mean, smallest first; empty when they are no number.

    A run that reads as a fraction below one is that fraction: "twenty one thirty seconds" is
    never twenty and one thirty second.

    >>> readings(["twenty", "three", "sixteenths"])
    (Fraction(23, 16), Fraction(323, 16))
    """
    run = tuple(words)
    if not 0 < len(run) <= LONGEST or not NUMBER_WORDS.issuperset(run):
        return ()
    if "point" in run:
        return tuple(sorted(set(_decimals(run))))
    if "over" in run:
        return tuple(sorted({*_over(run), *_mixed(run)}))
    fractions = {value for value, _ in _fractions(run)}
    proper = {value for value in fractions if value < 1}
    values = proper or {*map(Fraction, _wholes(run)), *fractions, *_mixed(run)}
    return tuple(sorted(values))


def _below_hundred(run: Run) -> int | None:
    """1 to 99 in the standard way."""
    if len(run) == 1:
        return DIGITS.get(run[0]) or TEENS.get(run[0]) or TENS.get(run[0])
    if len(run) == 2 and run[0] in TENS and run[1] in DIGITS:
        return TENS[run[0]] + DIGITS[run[1]]
    return None


def _standard(run: Run) -> int | None:
    """A whole number from 1 in the standard way: hundreds, thousands and millions named."""
    for name, scale in SCALES.items():
        if name not in run:
            continue
        at = run.index(name)
        before, after = run[:at], run[at + 1 :]
        if name == "hundred":
            lead = _below_hundred(before)  # also "twenty two hundred"
        else:
            lead = _standard(before)
            lead = lead if lead is not None and lead < 1000 else None
        if before in ((), ("a",)):
            lead = 1
        if lead is None:
            return None
        if not after:
            return lead * scale
        rest = _below_hundred(after[1:]) if after[0] == "and" else _standard(after)
        return lead * scale + rest if rest is not None and rest < scale else None
    return _below_hundred(run)


def _pair(run: Run) -> int | None:
    """Two groups said one after the other: "one twenty" 120, "twenty two fifty" 2250.

    Groups that are as easily the two ends of a range ("thirty forty", "fifteen twenty") are not
    read as one number.
    """
    for cut in (1, 2):
        lead, rest = _below_hundred(run[:cut]), run[cut:]
        if lead is None:
            continue
        if len(rest) == 2 and rest[0] in ZEROS and rest[1] in DIGITS:
            return lead * 100 + DIGITS[rest[1]] if lead < 20 or lead % 10 else None
        follow = _below_hundred(rest)
        if follow is None or follow < 10:
            continue
        tens_lead = lead >= 20 and lead % 10 == 0
        like_a_range = lead % 5 == 0 and follow % 5 == 0 and lead <= follow <= 2 * lead
        return None if tens_lead or like_a_range else lead * 100 + follow
    return None


def _spelt_digits(run: Run) -> int | None:
    """Two or more digits said one by one: "one five" 15, "two five oh" 250."""
    if not 2 <= len(run) <= 7 or run[0] not in DIGITS:
        return None
    value = 0
    for word in run:
        if word not in DIGITS and word not in ZEROS:
            return None
        value = value * 10 + DIGITS.get(word, 0)
    return value


def _wholes(run: Run) -> Iterator[int]:
    if len(run) == 1 and run[0] in ZEROS:
        yield 0
    for read in (_standard, _pair, _spelt_digits):
        value = read(run)
        if value is not None:
            yield value


def _decimals(run: Run) -> Iterator[Fraction]:
    at = run.index("point")
    before, after = run[:at], run[at + 1 :]
    figures = ""
    place = 0
    while place < len(after):
        word = after[place]
        following = after[place + 1] if place + 1 < len(after) else ""
        if word in TENS and following in DIGITS:  # "point seventy five"
            figures += str(TENS[word] + DIGITS[following])
            place += 1
        elif word in ZEROS:
            figures += "0"
        elif word in DIGITS or word in TEENS or word in TENS:
            figures += str(_below_hundred((word,)))
        else:
            return
        place += 1
    if not 0 < len(figures) <= 6:
        return
    part = Fraction(int(figures), 10 ** len(figures))
    for value in _wholes(before) if before else (0,):
        yield value + part


def _fractions(run: Run) -> Iterator[tuple[Fraction, bool]]:
    """Values of "numerator denominator", each with whether the numerator was a number."""
    for name, denominator, singular, plural in _BY_LAST.get(run[-1], ()):
        if run[-len(name) :] != name:
            continue
        head = run[: -len(name)]
        decimal = denominator in DECIMAL_DENOMINATORS
        if head in ((), ("a",), ("an",)):
            if singular and not (decimal and not head):
                yield Fraction(1, denominator), False
            continue
        if decimal:
            if len(head) > 1 and head[-1] in ("ten", "hundred"):
                continue  # "two ten thousandths" is another unit
            numerator = _standard(head) or _pair(head)
        else:
            numerator = _below_hundred(head)
            if len(name) == 1 and denominator < 10 and head[-1] in TENS:
                continue  # "twenty eighth" is an ordinal number
        if numerator is None:
            continue
        if plural and not singular and numerator == 1:
            continue
        # "three quarter" is trade; "two half" and "two quarter" are two pieces.
        lowest = gcd(numerator, denominator) == 1 and (denominator > 2 or numerator == 1)
        if singular and not plural and not lowest:
            continue
        yield Fraction(numerator, denominator), not decimal


def _over(run: Run) -> Iterator[Fraction]:
    """Said as "three over eight"."""
    at = run.index("over")
    above, below = _below_hundred(run[:at]), _below_hundred(run[at + 1 :])
    if above is None or below is None:
        return
    if below in DENOMINATORS and above < below:
        yield Fraction(above, below)


def _mixed(run: Run) -> Iterator[Fraction]:
    """A whole and a fraction: "two and three quarters", and the shop's "one three eighths"."""
    for cut in range(1, len(run)):
        lead, rest = run[:cut], run[cut:]
        value = _standard(lead) or _pair(lead)
        if value is None:
            continue
        joined = rest[0] == "and"
        part = rest[1:] if joined else rest
        if not part:
            continue
        if "over" in part:
            yield from (value + below for below in _over(part))
            continue
        for below, counted in _fractions(part):
            if below < 1 and (joined or counted):
                yield value + below
