"""Values to number words, without hyphens or commas, so that `reading` takes every one back."""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from handsfree.spoken_numbers.vocabulary import DENOMINATORS, DIGITS, SCALES, TEENS, TENS

_WORD = {value: word for table in (DIGITS, TEENS, TENS) for word, value in table.items()}
_LARGEST = 999_999_999


def whole(n: int) -> str:
    """A whole number, up to nine figures.

    Raises:
        ValueError: it has more than nine figures.

    >>> whole(1250), whole(45)
    ('one thousand two hundred and fifty', 'forty five')
    """
    if abs(n) > _LARGEST:
        raise ValueError(f"{n} has more than nine figures; say it in a larger unit")
    if n < 0:
        return f"minus {whole(-n)}"
    return " ".join(_parts(n)) or "zero"


def _parts(n: int) -> list[str]:
    for name, scale in SCALES.items():
        if n >= scale:
            rest = n % scale
            joint = ["and"] if 0 < rest < 100 else []
            return [*_parts(n // scale), name, *joint, *_parts(rest)]
    if n == 0:
        return []
    if n in _WORD:
        return [_WORD[n]]
    return [_WORD[n - n % 10], _WORD[n % 10]]


def spelt(figures: str) -> str:
    """Figures one by one, nought as "oh".

    >>> spelt("060")
    'oh six oh'
    """
    return " ".join("oh" if figure == "0" else _WORD[int(figure)] for figure in figures)


def decimal(x: float | Fraction, places: int = 3) -> str:
    """A decimal, rounded half to even at `places`, without trailing noughts.

    >>> decimal(0.375), decimal(12.5), decimal(0.0595, places=4)
    ('point three seven five', 'twelve point five', 'point oh five nine five')
    """
    exact = Decimal(x.numerator) / Decimal(x.denominator) if isinstance(x, Fraction) else x
    # repr of a float is the shortest that names it: 0.06 stays 0.06.
    rounded = Decimal(str(exact)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
    units, _, figures = f"{abs(rounded):f}".partition(".")
    figures = figures.rstrip("0")
    sign = "minus " if rounded < 0 else ""
    if not figures:
        return sign + whole(int(units))
    lead = whole(int(units)) + " " if int(units) else ""
    return f"{sign}{lead}point {spelt(figures)}"


def fraction(f: Fraction) -> str:
    """A fraction above nought with a denominator of the trade, in lowest terms.

    Raises:
        ValueError: the denominator has no name in the trade.

    >>> fraction(Fraction(3, 4)), fraction(Fraction(21, 32)), fraction(Fraction(1, 2))
    ('three quarters', 'twenty one thirty seconds', 'one half')
    """
    if f <= 0 or f.denominator not in DENOMINATORS:
        raise ValueError(f"{f} is no fraction of the trade; say it as a decimal")
    one, many = DENOMINATORS[f.denominator]
    return f"{whole(f.numerator)} {one if f.numerator == 1 else many}"


def mixed(f: Fraction) -> str:
    """A whole number, a fraction, or both.

    Raises:
        ValueError: the denominator has no name in the trade, or the value is negative.

    >>> mixed(Fraction(3, 2)), mixed(Fraction(11, 8)), mixed(Fraction(2))
    ('one and a half', 'one and three eighths', 'two')
    """
    if f < 0:
        raise ValueError(f"{f} is negative; a mixed number is a size")
    units, rest = divmod(f, 1)
    if not rest:
        return whole(units)
    if not units:
        return fraction(rest)
    # "and a half", "and a quarter"; an eighth keeps its "one", or it is heard as eight.
    small = {Fraction(1, 2): "a half", Fraction(1, 4): "a quarter"}.get(rest) or fraction(rest)
    return f"{whole(units)} and {small}"


def number_words(x: float | Fraction, places: int = 3) -> str:
    """A value as it is said before a unit: halves and quarters in words, others as decimals.

    >>> number_words(14.5), number_words(24.0), number_words(0.5), number_words(3.2)
    ('fourteen and a half', 'twenty four', 'point five', 'three point two')
    """
    if x > 1 and not (4 * x) % 1 and x % 1:
        return mixed(Fraction(x))
    return decimal(x, places)


def digits_aloud(n: int) -> str:
    """A whole number for a read-back: teens and tens are said a second time, figure by figure.

    Thirteen and thirty, fifteen and fifty differ in one weak syllable that noise takes away.

    >>> digits_aloud(15), digits_aloud(50), digits_aloud(24)
    ('fifteen, one five', 'fifty, five oh', 'twenty four')
    """
    return f"{whole(n)}, {spelt(str(n))}" if heard_twice(n) else whole(n)


def heard_twice(n: int) -> bool:
    """Whether a number has a twin in noise: it ends in 13 to 19, or in 30, 40 ... 90."""
    end = n % 100
    return 0 < n < 10_000 and (13 <= end <= 19 or (end >= 30 and end % 10 == 0))
