"""The number words of the trade, and what each stands for."""

from types import MappingProxyType

DIGITS = MappingProxyType(
    {
        "one": 1,
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "seven": 7,
        "eight": 8,
        "nine": 9,
    }
)
TEENS = MappingProxyType(
    {
        "ten": 10,
        "eleven": 11,
        "twelve": 12,
        "thirteen": 13,
        "fourteen": 14,
        "fifteen": 15,
        "sixteen": 16,
        "seventeen": 17,
        "eighteen": 18,
        "nineteen": 19,
    }
)
TENS = MappingProxyType(
    {
        "twenty": 20,
        "thirty": 30,
        "forty": 40,
        "fifty": 50,
        "sixty": 60,
        "seventy": 70,
        "eighty": 80,
        "ninety": 90,
    }
)
ZEROS = frozenset({"oh", "zero", "ought", "aught", "nought", "naught"})
SCALES = MappingProxyType({"million": 1_000_000, "thousand": 1_000, "hundred": 100})
ARTICLES = frozenset({"a", "an"})

# Denominators that rules, drills, plates and feeler gauges come in, singular and plural.
DENOMINATORS = MappingProxyType(
    {
        2: ("half", "halves"),
        3: ("third", "thirds"),
        4: ("quarter", "quarters"),
        5: ("fifth", "fifths"),
        6: ("sixth", "sixths"),
        7: ("seventh", "sevenths"),
        8: ("eighth", "eighths"),
        9: ("ninth", "ninths"),
        10: ("tenth", "tenths"),
        12: ("twelfth", "twelfths"),
        16: ("sixteenth", "sixteenths"),
        20: ("twentieth", "twentieths"),
        32: ("thirty second", "thirty seconds"),
        64: ("sixty fourth", "sixty fourths"),
        100: ("hundredth", "hundredths"),
        1000: ("thousandth", "thousandths"),
    }
)
# Decimal denominators take numerators past ninety nine: "one hundred and twenty thousandths".
DECIMAL_DENOMINATORS = frozenset({100, 1000})
# Words beside the standard ones: (denominator, can be singular, can be plural).
OTHER_DENOMINATORS = MappingProxyType(
    {
        ("fourth",): (4, True, False),
        ("fourths",): (4, False, True),
        ("thou",): (1000, True, True),
    }
)
