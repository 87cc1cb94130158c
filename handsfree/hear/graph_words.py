"""Turns a word network into numbers: an acceptor over words, and each word's placed phones."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from handsfree.errors import GrammarError
from handsfree.hear.graph_reduce import EMPTY, WordArc
from handsfree.hear.model_folder import PLACES, ModelFolder
from handsfree.values import WordNetwork

HESITATION = "[uh]"
HESITATIONS = ("AH", "ER", "M")  # "um" is two of them


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Numbers of the words, and their phones.

    Attributes:
        numbers: of each word, from 1.
        phones: for each word number, its pronunciations as numbers of placed phones.
    """

    numbers: Mapping[str, int]
    phones: Mapping[int, tuple[tuple[int, ...], ...]]


def numbered(
    network: WordNetwork, lexicon: Lexicon, word_penalty: float
) -> tuple[list[list[WordArc]], dict[int, float]]:
    """The network's arcs by state, over word numbers, tags as nothing; and what it costs to end.

    Raises:
        GrammarError: an arc lies outside the network, or nothing can be said from start to end.
    """
    outside = [
        f"{arc.start} to {arc.end}"
        for arc in network.arcs
        if not (0 <= arc.start < network.states and 0 <= arc.end < network.states)
    ]
    if outside:
        raise GrammarError(
            f"The word network {network.name} has {network.states} states, "
            f"but arcs lead from {', '.join(outside[:3])}."
        )
    arcs: list[list[WordArc]] = [[] for _ in range(network.states)]
    for arc in network.arcs:
        word = lexicon.numbers[arc.word] if arc.word else EMPTY
        arcs[arc.start].append((word, arc.end, arc.cost + (word_penalty if word else 0.0)))
    reached, waiting = {0}, [0]
    while waiting:
        for _, to, _ in arcs[waiting.pop()]:
            if to not in reached:
                reached.add(to)
                waiting.append(to)
    finals = {state: cost for state, cost in network.finals if state in reached}
    if not finals:
        raise GrammarError(f"The word network {network.name} has no end: nothing can be said.")
    return arcs, finals


def lexicon_of(network: WordNetwork, model: ModelFolder) -> Lexicon:
    """Word numbers and placed phones of all words that the network uses.

    Raises:
        GrammarError: words lack a pronunciation, or one has a phone that the model does not know.
    """
    words = sorted({arc.word for arc in network.arcs if arc.word})
    spoken = dict(network.pronunciations)
    mute = [word for word in words if not any(spoken.get(word, ()))]
    if mute:
        raise GrammarError(
            f"The word network {network.name} has words without a pronunciation: "
            f"{', '.join(mute[:10])}. Add them to the grammar's word list."
        )
    known = {phone: at for at, phone in enumerate(model.phones)}
    foreign = sorted(
        f"{phone} in {word}"
        for word in words
        for pronunciation in spoken[word]
        for phone in pronunciation
        if phone not in known
    )
    if foreign:
        raise GrammarError(
            f"Pronunciations use phones that the speech model does not know: "
            f"{', '.join(foreign[:10])}. It knows {' '.join(model.phones)}."
        )
    numbers = {word: at for at, word in enumerate([*words, HESITATION, model.filler], start=1)}
    phones = {
        numbers[word]: tuple(placed(said, known) for said in dict.fromkeys(spoken[word]) if said)
        for word in words
    }
    return Lexicon(numbers, phones)


def placed(pronunciation: Iterable[str], known: Mapping[str, int]) -> tuple[int, ...]:
    """Numbers from 1 of phones with their place in the word.

    >>> placed(["T", "IH", "P"], {"IH": 0, "P": 1, "T": 2})
    (9, 2, 7)
    >>> placed(["IH"], {"IH": 0})
    (4,)
    """
    phones = list(pronunciation)
    inside = "I" * (len(phones) - 2)
    places = "S" if len(phones) == 1 else f"B{inside}E"
    return tuple(
        1 + len(PLACES) * known[phone] + PLACES.index(place)
        for phone, place in zip(phones, places, strict=True)
    )
