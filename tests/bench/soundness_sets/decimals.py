"""500 decimal thicknesses, typed and spoken digit by digit, half of them with a tip told."""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from tests.bench.soundness_sets.sets import words_of

CASES = 500
SEED = 500
INCH_MM = 25.4
DIGITS = words_of("zero one two three four five six seven eight nine")
TENS = {2: "twenty", 3: "thirty", 4: "forty", 5: "fifty", 6: "sixty", 7: "seventy"}
TEENS = words_of("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
OF_THE_TRADE = words_of(
    "0.1875 0.3125 0.4375 0.8125 0.5625 0.6875 0.9375 0.0625 0.375 0.625 0.875 0.125 0.25 0.5 "
    "0.75 1.125 1.25 1.375 1.5 1.75 2.5 1.0625 2.25 3.5"
)
METRIC = words_of("3.2 4.5 6.3 7.5 9.5 12.5 12.7 15.5 19.05 22.4 25.4 31.75 38.1 44.5 50.8 63.5")
FORMS = (
    "what do I set for {n} plate",
    "{n} plate what pressure",
    "settings for plate {n} thick",
    "how fast through {n} plate",
    "I got {n} plate here, what do I set",
    "{n} thick plate, what oxygen",
    "please what I must set for the plate of {n}",
    "gimme {n} plate",
)
TIPS = (
    "with a tip made for half inch plate",
    "with a tip made for quarter inch plate",
    "with a tip made for 20 mm plate",
    "with a half inch tip",
    "and the tip has a 1.2 mm bore",
    "with a 1.6 mm bore tip",
    "with a number 56 drill tip",
    "with a tip drilled number 60",
    "with my number 2 tip",
    "with a double aught tip",
)


@dataclass(frozen=True, slots=True)
class Decimal:
    """A request about a plate.

    Attributes:
        say: what is said.
        thickness_mm: what must come out, or a question.
        tip: how the tip was told; empty where none was.
        written: how the number was put.
    """

    say: str
    thickness_mm: float
    tip: str
    written: str


def decimals() -> Iterator[Decimal]:
    """Inches with one to four decimals and millimetres with none to two, in turns."""
    random = Random(SEED)
    for number in range(CASES):
        inch = number % 5 < 3
        value = _inches(random) if inch else _millimetres(random)
        written, said = _put(value, inch, random)
        tip = TIPS[number // 2 % len(TIPS)] if number % 2 else ""
        say = f"{random.choice(FORMS).format(n=said)} {tip}".strip()
        yield Decimal(say, float(value) * (INCH_MM if inch else 1), tip, written)


def _inches(random: Random) -> str:
    if random.random() < 0.5:
        return random.choice(OF_THE_TRADE)
    places = random.randint(1, 4)
    whole = random.choice((0, 0, 0, 1, 2, 3))
    return f"{whole}.{random.randint(10**places // 10, 10**places - 1):0{places}d}"


def _millimetres(random: Random) -> str:
    if random.random() < 0.4:
        return random.choice(METRIC)
    places = random.randint(0, 2)
    part = f".{random.randint(1, 10**places - 1):0{places}d}" if places else ""
    return f"{random.randint(4, 79)}{part}"


def _put(value: str, inch: bool, random: Random) -> tuple[str, str]:
    """How a number is put, and the words."""
    if random.random() < 0.4:
        unit = random.choice(("inch", "inch", "inches") if inch else ("millimetre", "millimeters"))
        return ("spoken", f"{_spoken(value, random)} {unit}")
    bare = value.removeprefix("0") if random.random() < 0.4 else value
    if inch:
        unit = random.choice((" inch", " in", " inches", '"', "in", " inch"))
    else:
        unit = random.choice((" mm", "mm", " millimetres", " millimeter"))
        if "." in bare and random.random() < 0.2:
            return ("typed with a comma", bare.replace(".", ",") + " mm")
    written = "typed without the zero" if bare.startswith(".") else "typed"
    return (written, bare + unit)


def _spoken(value: str, random: Random) -> str:
    """Whole part as a number, what follows digit by digit."""
    whole, _, part = value.partition(".")
    naught = random.choice(("zero", "oh"))
    digits = [naught if d == "0" else DIGITS[int(d)] for d in part]
    before = [] if whole == "0" and random.random() < 0.6 else [_count(int(whole))]
    return " ".join([*before, *(["point", *digits] if digits else [])])


def _count(number: int) -> str:
    if number < 20:
        return (DIGITS + TEENS)[number]
    tens, rest = divmod(number, 10)
    return f"{TENS[tens]} {DIGITS[rest]}" if rest else TENS[tens]
