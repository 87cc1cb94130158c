"""Requests at random: words of the trade, every script's digits, junk, and mutated requests."""

from collections.abc import Iterator
from random import Random

from tests.bench.soundness_sets.sets import words_of

SEED = 20000
TRADE = words_of(
    "plate inch half quarter three eighths mm millimetre tip oxygen acetylene propane pressure psi "
    "bar pipe schedule 40 80 beam W10x33 angle channel tube torch light shut down leak fire not no "
    "yes more again stop back what do I set for how fast with a made for number drill gauge bore "
    "bevel hole weight of cut one two five twenty hundred point and a the on my is "
    "galvanised paint forget timer minutes start tip box rig stainless cast iron kerf goggles hose "
    "shade bottle feet 1/2 3/8 0.3125 .5 10 00 56 1e9 -1 1/0 0/0 nan inf 1,000 1.2.3 % $ # ?! [unk]"
)
REQUESTS = (
    "what do I set for half inch plate",
    "what pressure for 0.3125 inch plate with a tip made for quarter inch plate",
    "four inch schedule 40 pipe, which tip",
    "how do I cut a W10x33",
    "how many cuts of inch plate from a bottle of oxygen at 2000 psi",
    "set a timer for thirty minutes",
    "I have a tip drilled number 56",
    "convert 12.5 mm to inches",
    "how do I light the torch",
    "weight of a three inch shaft ten feet long",
    "galvanised half inch plate",
    "two inch hole in half inch plate",
    "take ten cuts of 20 mm plate up",
)
ZEROS = (0x30, 0x660, 0x6F0, 0x7C0, 0x966, 0x9E6, 0xA66, 0xBE6, 0xE50, 0x1040, 0xFF10, 0x1D7CE)
ODD = "½⅓¾⅛²³①⑩Ⅳ㊿五十百٪‰−–—“”″′×÷µ°ﬁßİıſΣ\u200b\u202e\u0300\ufeff\x00\x07\x1b\r\n\t\\'\"`;|&<>{}"
MOST_WORDS, LONG_CHARACTERS = 8, 20_000


def fuzz(count: int) -> Iterator[str]:
    """So many texts; the same ones each time."""
    random = Random(SEED)
    kinds = (_trade, _trade, _unicode, _digits, _mutated, _mutated, _mutated, _surrogates)
    for number in range(count):
        yield _long(random) if number % 1000 == 999 else random.choice(kinds)(random)


def _trade(random: Random) -> str:
    return " ".join(random.choices(TRADE, k=random.randint(0, MOST_WORDS)))


def _unicode(random: Random) -> str:
    return "".join(chr(_point(random)) for _ in range(random.randint(1, 40)))


def _point(random: Random) -> int:
    top = random.choice((0x7F, 0x24F, 0xFFFF, 0x10FFFF))
    return random.randint(0, top)  # lone surrogates among them


def _digits(random: Random) -> str:
    """A request whose digits are of another script, or with number signs among its words."""
    if random.random() < 0.5:
        zero = random.choice(ZEROS)
        text = random.choice(
            ("12 mm plate", "half inch plate at 20 psi", "0.3125 inch plate", "3/8")
        )
        return "".join(chr(zero + int(c)) if c.isascii() and c.isdigit() else c for c in text)
    words = _trade(random).split(" ")
    words.insert(random.randint(0, len(words)), "".join(random.choices(ODD, k=3)))
    return random.choice(("", " ")).join(words)


def _mutated(random: Random) -> str:
    """A request with characters dropped, doubled, swapped or strange, or with words shuffled."""
    text = random.choice(REQUESTS)
    if random.random() < 0.3:
        words = text.split() + random.choice(REQUESTS).split()
        return " ".join(random.sample(words, random.randint(1, len(words))))
    for _ in range(random.randint(1, 6)):
        at = random.randrange(len(text) + 1)
        new = random.choice(
            ("", text[at : at + 1] * 2, random.choice(ODD), chr(_point(random)), " ")
        )
        text = text[:at] + new + text[at + 1 :]
    return text


def _surrogates(random: Random) -> str:
    words = random.choice(REQUESTS).split()
    words.insert(random.randint(0, len(words)), chr(random.randint(0xD800, 0xDFFF)))
    return " ".join(words)


def _long(random: Random) -> str:
    """Some thousand characters: words, one character, or digits."""
    word = random.choice((*TRADE, "(", "[", "9", "half ", "not ", "\ud800", "1/"))
    return (word + random.choice(("", " "))) * (LONG_CHARACTERS // (len(word) + 1))
