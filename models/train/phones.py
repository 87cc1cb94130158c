"""Phone names and numbers: the CMU set of 39 without stress, and its two numberings.

The network has 40 outputs: output 0 is the blank, which also stands for silence, and output
``k`` is the ``k``-th phone of :data:`PHONES`. For vosk each phone has four names, by its place in
the word (begin, inside, end, single), which share that output; so words get their times. Kaldi
numbers them from 1: silence is 1, ``AA_B`` 2, ``AA_I`` 3, ``AA_E`` 4, ``AA_S`` 5, ``AE_B`` 6 ...
"""

from __future__ import annotations

import re

PHONES = (  # noqa: SIM905 - a list of words reads better as one
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W "
    "Y Z ZH"
).split()
OUTPUT = {phone: number for number, phone in enumerate(PHONES, start=1)}
BLANK = 0
OUTPUTS = len(PHONES) + 1
SILENCE_PHONE = 1
POSITIONS = "BIES"


def kaldi_phone(phone: str, position: str) -> int:
    """Kaldi's number of a phone at a place in its word.

    >>> kaldi_phone("AA", "B"), kaldi_phone("ZH", "S")
    (2, 157)
    """
    return 2 + 4 * (OUTPUT[phone] - 1) + POSITIONS.index(position)


VOWELS = frozenset(
    "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split()  # noqa: SIM905
)

# The symbols in which the neural voice is told what to say, each with its nearest CMU phone.
_SYMBOLS = (
    "A I W Y O Q ɑ æ a ɐ ə ᵊ ʌ ɔ ɛ e ɪ ᵻ i u ʊ ɒ b d f ɡ h ʤ ʧ j k l m n ŋ p ɹ r s ʃ t T ɾ v w z "
    "ʒ ð θ ʔ ɜ"
)
_NEAREST = (
    "EY AY AW OY OW OW AA AE AE AH AH AH AH AO EH EH IH IH IY UW UH AA B D F G HH JH CH Y K L M N "
    "NG P R R S SH T T T V W Z ZH DH TH T ER"
)
HEARD = dict(zip(_SYMBOLS.split(), _NEAREST.split(), strict=True))


_SPOKEN = dict(
    zip(
        PHONES,
        "ɑ æ ʌ ɔ W I b ʧ d ð ɛ ɜɹ A f ɡ h ɪ i ʤ k l m n ŋ O Y p ɹ s ʃ t θ ʊ u v w j z ʒ".split(),  # noqa: SIM905
        strict=True,
    )
)


def ipa_from_cmu(phones: list[str]) -> str:
    """A pronunciation in the neural voice's symbols, stressed on its first vowel.

    >>> ipa_from_cmu("F IH T ER Z".split())
    'fˈɪtəɹz'
    """
    said, stressed = "", False
    for phone in phones:
        symbols = _SPOKEN[phone]
        if phone in VOWELS:
            if stressed:  # further syllables are weak
                symbols = {"AH": "ə", "ER": "əɹ"}.get(phone, symbols)
            else:
                symbols, stressed = "ˈ" + symbols, True
        said += symbols
    return said


def cmu_from_ipa(symbols: str) -> list[str] | None:
    """The CMU phones of a pronunciation in the neural voice's symbols; None if one is foreign.

    >>> cmu_from_ipa("kwˈɔɹTəɹ")
    ['K', 'W', 'AO', 'R', 'T', 'ER']
    """
    plain = re.sub("[ˈˌ]", "", symbols)
    plain = plain.replace("ɜːɹ", "ɜ").replace("ɜː", "ɜ").replace("ɜɹ", "ɜ").replace("əɹ", "ɜ")
    plain = plain.replace("ː", "")
    if any(symbol not in HEARD for symbol in plain):
        return None
    return [HEARD[symbol] for symbol in plain]
