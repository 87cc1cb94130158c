"""Makes the word table: each word as a voice says it, and the phones that the model must hear.

    python -m models.train.words --misaki DIR --cmudict FILE --wordfreq FILE --vocabulary FILE

``--misaki`` is the folder ``misaki/data`` of the PyPI package ``misaki`` (pronunciations, US and
British), ``--cmudict`` the pronouncing dictionary ``cmudict-en-us.dict`` inside the PyPI package
``pocketsphinx``, ``--wordfreq`` the file ``large_en.msgpack.gz`` inside ``wordfreq`` (which words
are frequent) and ``--vocabulary`` the file ``vocab.json`` of the neural voice. A word of the
grammar that these lack is said as ``grammar/words.yaml`` and ``grammar/dictionary.yaml`` tell.
Writes ``.carry/words.json``.
"""

from __future__ import annotations

import argparse
import gzip
import json
import re
from pathlib import Path

import yaml

from models.train.phones import VOWELS, cmu_from_ipa, ipa_from_cmu
from models.train.sentences import GRAMMAR, grammar_words, trade_words

FREQUENT_WORDS = 16000
BUILD = Path(".carry")

# Words that the dictionaries lack or say otherwise than the trade: what a voice is told, and the
# phones to be heard.
OWN: dict[str, tuple[str, str]] = {
    "kerf": ("kˈɜɹf", "K ER F"),
    "preheat": ("pɹˈihˌit", "P R IY HH IY T"),
    "standoff": ("stˈændˌɔf", "S T AE N D AO F"),
    "psi": ("pˈiˌɛsˈI", "P IY EH S AY"),
    "flashback": ("flˈæʃbˌæk", "F L AE SH B AE K"),
    "backfire": ("bˈækfˌIəɹ", "B AE K F AY ER"),
    "oxy": ("ˈɑksi", "AA K S IY"),
    "gage": ("ɡˈAʤ", "G EY JH"),
    "kilopascals": ("kˈɪləpˌæskəlz", "K IH L AH P AE S K AH L Z"),
    "kilopascal": ("kˈɪləpˌæskəl", "K IH L AH P AE S K AH L"),
    "gonna": ("ɡˈʌnə", "G AH N AH"),
    "mm": ("ˌɛmˈɛm", "EH M EH M"),
    "um": ("ʌm", "AH M"),
    "uh": ("ʌ", "AH"),
    "er": ("ɜɹ", "ER"),
    "erm": ("ɜɹm", "ER M"),
    "what're": ("wˈʌtəɹ", "W AH T ER"),
    "whats": ("wˈʌts", "W AH T S"),
    "thats": ("ðˈæts", "DH AE T S"),
    "pipework": ("pˈIpwˌɜɹk", "P AY P W ER K"),
    "propylene": ("pɹˈOpəlˌin", "P R OW P AH L IY N"),
    "acetylene": ("əsˈɛTəlˌin", "AH S EH T AH L IY N"),
    "galvanised": ("ɡˈælvənˌIzd", "G AE L V AH N AY Z D"),
    "what's": ("wˌʌts", "W AH T S"),
    "that's": ("ðˌæts", "DH AE T S"),
    "i've": ("ˌIv", "AY V"),
    "i'd": ("ˌId", "AY D"),
    "i'll": ("ˌIl", "AY L"),
    "wall's": ("wˈɔlz", "W AO L Z"),
    "tip's": ("tˈɪps", "T IH P S"),
    "nozzle's": ("nˈɑzᵊlz", "N AA Z AH L Z"),
    "litres": ("lˈiTəɹz", "L IY T ER Z"),
    "nought": ("nˈɔt", "N AO T"),
    "galv": ("ɡˈælv", "G AE L V"),
    "reg": ("ɹˈɛʤ", "R EH JH"),
    "sched": ("skˈɛʤ", "S K EH JH"),
    "acet": ("əsˈɛt", "AH S EH T"),
    "corroded": ("kəɹˈOdᵻd", "K ER OW D AH D"),
    "oxyacetylene": ("ˌɑksiəsˈɛTəlˌin", "AA K S IY AH S EH T AH L IY N"),
    "preheating": ("pɹˈihˌiTɪŋ", "P R IY HH IY T IH NG"),
    "propene": ("pɹˈOpˌin", "P R OW P IY N"),
    "oversize": ("ˌOvəɹsˈIz", "OW V ER S AY Z"),
    "undersize": ("ˌʌndəɹsˈIz", "AH N D ER S AY Z"),
    "arrestor": ("əɹˈɛstəɹ", "ER EH S T ER"),
    "arrestors": ("əɹˈɛstəɹz", "ER EH S T ER Z"),
    "sealed": ("sˈild", "S IY L D"),
    "plated": ("plˈATᵻd", "P L EY T AH D"),
    "scaly": ("skˈAli", "S K EY L IY"),
    "backfired": ("bˈækfˌIəɹd", "B AE K F AY ER D"),
    "sixteenth": ("sˌɪkstˈinθ", "S IH K S T IY N TH"),
    "sixteenths": ("sˌɪkstˈinθs", "S IH K S T IY N TH S"),
}
# Words of the grammar that neither the voices' dictionaries nor the project's own hold.
MORE = {
    "chamfer": "CH AE M F ER", "chamfered": "CH AE M F ER D", "bevelling": "B EH V AH L IH NG",
    "cantilever": "K AE N T AH L IY V ER", "cantilevered": "K AE N T AH L IY V ER D",
    "birdsmouth": "B ER D Z M AW TH", "carburising": "K AA R B ER AY Z IH NG",
    "oxidising": "AA K S AH D AY Z IH NG", "galvanising": "G AE L V AH N AY Z IH NG",
    "precut": "P R IY K AH T", "firewatch": "F AY ER W AA CH", "fishmouth": "F IH SH M AW TH",
    "opened": "OW P AH N D", "replaced": "R IY P L EY S T", "unblock": "AH N B L AA K",
    "unblocking": "AH N B L AA K IH NG", "practising": "P R AE K T AH S IH NG",
    "ventilated": "V EH N T AH L EY T AH D", "mitered": "M AY T ER D", "pinches": "P IH N CH AH Z",
    "combustibles": "K AH M B AH S T AH B AH L Z", "wraparound": "R AE P ER AW N D",
}  # fmt: skip
# Short words are said in several ways: what a voice is told, and the phones to be heard.
WEAK: dict[str, list[tuple[str, str]]] = {
    "a": [("ə", "AH"), ("ə", "AH"), ("ˈA", "EY")],
    "an": [("ən", "AH N"), ("æn", "AE N")],
    "the": [("ðə", "DH AH"), ("ðə", "DH AH"), ("ði", "DH IY")],
    "to": [("tə", "T AH"), ("tu", "T UW")],
    "for": [("fɔɹ", "F AO R"), ("fəɹ", "F ER")],
    "and": [("ænd", "AE N D"), ("ənd", "AH N D"), ("ən", "AH N")],
    "of": [("ʌv", "AH V"), ("əv", "AH V")],
    "is": [("ɪz", "IH Z")],
    "at": [("æt", "AE T"), ("ət", "AE T")],
    "i": [("ˈI", "AY")],
    "i'm": [("ˌIm", "AY M")],
    "what": [("wʌt", "W AH T"), ("wˈʌt", "W AH T")],
    "schedule": [("skˈɛʤˌul", "S K EH JH UH L"), ("ʃˈɛdjˌul", "SH EH JH UH L")],
    "oh": [("ˈO", "OW")],
    "can": [("kæn", "K AE N"), ("kən", "K AH N")],
}
LETTERS: dict[str, tuple[str, str]] = {
    "b": ("bˈi", "B IY"), "c": ("sˈi", "S IY"), "d": ("dˈi", "D IY"), "e": ("ˈi", "IY"),
    "f": ("ˈɛf", "EH F"), "g": ("ʤˈi", "JH IY"), "h": ("ˈAʧ", "EY CH"), "j": ("ʤˈA", "JH EY"),
    "k": ("kˈA", "K EY"), "l": ("ˈɛl", "EH L"), "m": ("ˈɛm", "EH M"), "n": ("ˈɛn", "EH N"),
    "o": ("ˈO", "OW"), "p": ("pˈi", "P IY"), "q": ("kjˈu", "K Y UW"), "r": ("ˈɑɹ", "AA R"),
    "s": ("ˈɛs", "EH S"), "t": ("tˈi", "T IY"), "u": ("jˈu", "Y UW"), "v": ("vˈi", "V IY"),
    "w": ("dˈʌbᵊljˌu", "D AH B AH L Y UW"), "x": ("ˈɛks", "EH K S"), "y": ("wˈI", "W AY"),
    "z": ("zˈi", "Z IY"),
}  # fmt: skip


def main() -> None:
    """Write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("--misaki", "--cmudict", "--wordfreq", "--vocabulary"):
        parser.add_argument(name, type=Path, required=True)
    options = parser.parse_args()
    known = read_dictionary(options.cmudict)
    us = [json.loads((options.misaki / f"us_{k}.json").read_text()) for k in ("gold", "silver")]
    gb = [json.loads((options.misaki / f"gb_{k}.json").read_text()) for k in ("gold", "silver")]
    trade = sorted(trade_words() | grammar_words())
    ours = {word: said.split() for word, said in MORE.items()} | grammar_pronunciations()
    table: dict[str, list[str]] = {}
    missing = []
    for word in [*trade, *frequent(options.wordfreq)]:
        if len(table) >= FREQUENT_WORDS + len(trade):
            break
        if word in table:
            continue
        row = _row(word, known, us, gb, word in trade)
        if row is None and word in trade and word in ours:
            said = ipa_from_cmu(ours[word])
            row = [said, said, " ".join(ours[word]), " ".join(ours[word])]
        if row is not None:
            table[word] = row
        elif word in trade and word not in WEAK:
            missing.append(word)
    BUILD.mkdir(exist_ok=True)
    content = {
        "table": table,
        "weak": WEAK,
        "trade": [word for word in trade if word in table or word in WEAK],
        "symbols": json.loads(options.vocabulary.read_text())["vocab"],
    }
    (BUILD / "words.json").write_text(json.dumps(content, ensure_ascii=False))
    print(f"{len(table)} words, {len(content['trade'])} of the trade; left out: {missing}")


def grammar_pronunciations() -> dict[str, list[str]]:
    """The first way in which the project's grammar says each word that is spoken."""
    found: dict[str, list[str]] = {}
    typed: set[str] = set()
    for name in ("words.yaml", "dictionary.yaml"):
        content = yaml.safe_load((GRAMMAR / name).read_text(encoding="utf-8"))
        for word, ways in content["pronunciations"].items():
            found.setdefault(str(word), str(ways[0]).split())
        typed |= {str(word) for word in content.get("typed_only", [])}
    return {word: phones for word, phones in found.items() if word not in typed}


def read_dictionary(file: Path) -> dict[str, list[list[str]]]:
    """The pronouncing dictionary: each word with its pronunciations, in CMU phones."""
    known: dict[str, list[list[str]]] = {}
    for line in file.read_text().splitlines():
        word, *phones = line.split()
        known.setdefault(re.sub(r"\(\d+\)$", "", word), []).append(phones)
    return known


def frequent(file: Path) -> list[str]:
    """English words, the most frequent first."""
    import msgpack  # type: ignore[import-untyped]

    bins = msgpack.unpackb(gzip.decompress(file.read_bytes()), raw=False)[1:]
    words = [word for same in bins for word in same if re.fullmatch(r"[a-z']+", word)]
    return [word for word in words if len(word) > 1]


def _row(
    word: str,
    known: dict[str, list[list[str]]],
    us: list[dict[str, object]],
    gb: list[dict[str, object]],
    trade: bool,
) -> list[str] | None:
    """US and British symbols, then the phones to be heard of each; None where a source lacks it."""
    own = OWN.get(word) or LETTERS.get(word)
    if own:
        return [own[0], own[0], own[1], own[1]]
    said_us = _said(word, us)
    if word not in known or said_us is None:
        return None
    said_us = said_us.replace("ɾ", "T")
    said_gb = (_said(word, gb) or said_us).replace("ɾ", "T")
    phones_us, phones_gb = cmu_from_ipa(said_us), cmu_from_ipa(said_gb)
    if phones_us is None or phones_gb is None:
        return None
    heard_us = _nearest(phones_us, known[word], 0.45)
    heard_gb = _nearest(phones_gb, known[word], 0.5)
    if heard_us is None and not trade and len(phones_us) < 3:
        return None
    return [
        said_us,
        said_gb,
        " ".join(heard_us or phones_us),
        " ".join(heard_gb or phones_gb),
    ]


def _said(word: str, books: list[dict[str, object]]) -> str | None:
    for book in books:
        found = book.get(word)
        if isinstance(found, dict):
            found = found.get("DEFAULT")
        if isinstance(found, str):
            return found
    if word.endswith("s") and len(word) > 3:
        stem = _said(word[:-1], books)
        if stem:
            return stem + ("ᵻz" if stem[-1] in "szʃʒʧʤ" else "s" if stem[-1] in "ptkfθ" else "z")
    return None


def _nearest(phones: list[str], variants: list[list[str]], share: float) -> list[str] | None:
    """The dictionary's variant nearest to what is said, if it is near enough."""
    best = min(variants, key=lambda variant: _distance(phones, variant))
    return best if _distance(phones, best) <= share * len(phones) else None


def _distance(a: list[str], b: list[str]) -> float:
    """Edit distance in which vowels, voicing and r cost less than other differences."""
    rows = [[0.0] * (len(b) + 1) for _ in range(len(a) + 1)]
    for i in range(len(a) + 1):
        rows[i][0] = float(i)
    rows[0] = [float(j) for j in range(len(b) + 1)]
    for i, x in enumerate(a):
        for j, y in enumerate(b):
            alike = {x, y} in ({"T", "D"}, {"S", "Z"})
            swap = 0.0 if x == y else 0.4 if x in VOWELS and y in VOWELS else 0.5 if alike else 1.0
            rows[i + 1][j + 1] = min(
                rows[i][j] + swap,
                rows[i][j + 1] + (0.5 if x == "R" else 1),
                rows[i + 1][j] + (0.5 if y == "R" else 1),
            )
    return rows[-1][-1]


if __name__ == "__main__":
    main()
