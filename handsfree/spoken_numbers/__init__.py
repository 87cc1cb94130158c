"""Numbers as the trade says them: words to exact values, and values to words.

>>> amount("one and three eighths".split())
Fraction(11, 8)
>>> mixed(Fraction(11, 8))
'one and three eighths'
"""

from fractions import Fraction

from handsfree.spoken_numbers.reading import NUMBER_WORDS, amount, readings
from handsfree.spoken_numbers.saying import (
    decimal,
    digits_aloud,
    fraction,
    heard_twice,
    mixed,
    number_words,
    spelt,
    whole,
)
from handsfree.spoken_numbers.saying_quantities import (
    decimal_inches,
    length_words,
    quantity_words,
    range_words,
    range_words_in,
    trade_fraction,
    unit_name,
)

__all__ = [
    "NUMBER_WORDS",
    "Fraction",
    "amount",
    "decimal",
    "decimal_inches",
    "digits_aloud",
    "fraction",
    "heard_twice",
    "length_words",
    "mixed",
    "number_words",
    "quantity_words",
    "range_words",
    "range_words_in",
    "readings",
    "spelt",
    "trade_fraction",
    "unit_name",
    "whole",
]
