"""Small numbers as words, for the sentences of the engine; figures are worded by others.

The engine gives every setting as a figure. What little stands inside its sentences (a stamp, a
schedule, tenths of a millimetre) is said in words, because sentences are spoken as they are.
"""

_SMALL = (
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
)
_TENS = (
    "zero",
    "ten",
    "twenty",
    "thirty",
    "forty",
    "fifty",
    "sixty",
    "seventy",
    "eighty",
    "ninety",
)


def whole(number: int) -> str:
    """A whole number from 0 to 999 in words.

    >>> whole(40), whole(133)
    ('forty', 'one hundred thirty three')

    Raises:
        ValueError: the number is outside 0 to 999.
    """
    if not 0 <= number <= 999:
        raise ValueError(f"{number} is outside 0 to 999.")
    if number < 20:
        return _SMALL[number]
    if number < 100:
        tens, rest = divmod(number, 10)
        return _TENS[tens] + (f" {_SMALL[rest]}" if rest else "")
    hundreds, rest = divmod(number, 100)
    return f"{_SMALL[hundreds]} hundred" + (f" {whole(rest)}" if rest else "")


def tenths_of_a_millimetre(millimetres: float) -> str:
    """A width below ten millimetres, to the nearest tenth and never none.

    >>> tenths_of_a_millimetre(0.59), tenths_of_a_millimetre(1.18), tenths_of_a_millimetre(0.02)
    ('six tenths of a millimetre', 'one point two millimetres', 'a tenth of a millimetre')
    """
    tenths = max(1, round(millimetres * 10))
    if tenths == 1:
        return "a tenth of a millimetre"
    if tenths < 10:
        return f"{_SMALL[tenths]} tenths of a millimetre"
    whole_part, rest = divmod(tenths, 10)
    if not rest:
        return f"{whole(whole_part)} millimetre" + ("s" if whole_part > 1 else "")
    return f"{whole(whole_part)} point {_SMALL[rest]} millimetres"


def schedule(name: str) -> str:
    """A pipe schedule as it is said.

    >>> schedule("40"), schedule("XS"), schedule("10S")
    ('schedule forty', 'extra strong', 'schedule ten s')
    """
    letters = {"STD": "standard wall", "XS": "extra strong", "XXS": "double extra strong"}
    if name in letters:
        return letters[name]
    digits, tail = name.rstrip("S"), " s" if name.endswith("S") else ""
    return f"schedule {whole(int(digits))}{tail}" if digits.isdigit() else f"schedule {name}"


def stamp(name: str) -> str:
    """What is stamped on a tip, as it is said.

    >>> stamp("1"), stamp("00"), stamp("A2")
    ('one', 'double ought', 'A2')
    """
    if name and set(name) == {"0"}:
        return ("ought", "double ought", "triple ought")[min(len(name), 3) - 1]
    return whole(int(name)) if name.isdigit() and int(name) <= 999 else name


_EIGHTHS = (
    "",
    "an eighth",
    "a quarter",
    "three eighths",
    "half",
    "five eighths",
    "three quarters",
    "seven eighths",
)


def eighths_of_an_inch(inches: float) -> str:
    """A length rounded down to an eighth of an inch, at least one.

    >>> eighths_of_an_inch(0.82), eighths_of_an_inch(1.56), eighths_of_an_inch(3.3)
    ('three quarters of an inch', 'one and a half inches', 'three and a quarter inches')
    >>> eighths_of_an_inch(2), eighths_of_an_inch(0.5)
    ('two inches', 'half an inch')
    """
    eighths = max(1, int(inches * 8 + 1e-9))
    units, rest = divmod(eighths, 8)
    if not units:
        return "half an inch" if rest == 4 else f"{_EIGHTHS[rest]} of an inch"
    if not rest:
        return f"{whole(units)} inch" + ("es" if units > 1 else "")
    part = "a half" if rest == 4 else _EIGHTHS[rest]
    return f"{whole(units)} and {part} inches"
