"""Small word networks for the tests of graph and recogniser."""

from handsfree.values import Arc, WordNetwork

PHONES = {
    "a": "AH",
    "acetylene": "AH S EH T AH L IY N",
    "and": "AE N D,AH N D",
    "eighth": "EY T TH",
    "eighths": "EY T TH S,EY T S",
    "fifteen": "F IH F T IY N",
    "fifty": "F IH F T IY",
    "for": "F AO R,F ER",
    "gage": "G EY JH",
    "gauge": "G EY JH",
    "half": "HH AE F",
    "inch": "IH N CH",
    "one": "W AH N",
    "oxygen": "AA K S AH JH AH N",
    "plate": "P L EY T",
    "pressure": "P R EH SH ER",
    "propane": "P R OW P EY N",
    "quarter": "K W AO R T ER,K AO R T ER",
    "set": "S EH T",
    "three": "TH R IY",
    "tip": "T IH P",
    "what": "W AH T,HH W AH T",
}


def network(*sentences: str, name: str = "test", costs: dict[str, float] | None = None) -> (
    WordNetwork
):  # fmt: skip
    """A network of whole sentences beside each other; a tag and an empty arc lead into each."""
    arcs: list[Arc] = []
    states = 2
    for text in sentences:
        said = text.split()
        at = states
        arcs.append(Arc(0, at, tag="sentence", cost=(costs or {}).get(text, 0.0)))
        for word in said:
            arcs.append(Arc(at, at + 1, word))
            at += 1
        arcs.append(Arc(at, 1))
        states = at + 1
    words = {word for text in sentences for word in text.split()}
    return WordNetwork(name, states, tuple(arcs), ((1, 0.0),), pronounced(words))


def pronounced(words: set[str]) -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    """The words with their phones."""
    return tuple(
        (word, tuple(tuple(one.split()) for one in PHONES[word].split(",")))
        for word in sorted(words)
    )


def spoken(text: str, which: int = 0) -> list[list[str]]:
    """Phones of each word of a text: one pronunciation, the last where there are fewer."""
    known = {**PHONES, "uh": "AH", "um": "AH M"}
    said = []
    for word in text.split():
        ways = known[word].split(",")
        said.append(ways[min(which, len(ways) - 1)].split())
    return said
