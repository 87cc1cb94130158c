"""Spots the attention phrase and words of an emergency in sound, as soon as they are sure.

Beside the phrase lies a loop of single phones: any talk at all, at a cost for each. The phrase is
taken where it explains the sound nearly as well as free phones do, so that one cost for each phone
is the whole threshold, for a long phrase as for a short one. What the recogniser holds for the
phrase at one moment it may take back at the next; so it counts when it stays, ends in full, and has
been said in a time in which a mouth can say it. Whoever calls begins with the phrase: right behind
other talk it is part of that ("the fitters may be late"). An outcry stands by itself: what is said
on behind it is talk about one ("he had a flashback last year").
"""

from collections import deque
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final, TypeAlias

from handsfree.errors import GrammarError
from handsfree.hear.model_folder import ModelFolder
from handsfree.hear.recogniser import TimedRecogniser, TimedWord
from handsfree.values import Arc, WordNetwork, Words

FRAME_S: Final = 0.02
TALK_COST: Final = 1.2  # of each phone of other talk, in nats; chosen on development voices
TAG: Final = "spot"

LOOK_EVERY: Final = 5  # frames between two looks at the words so far
STAYS: Final = 2  # looks at which the phrase is there, before it counts
SHORT: Final = 7  # phones
STAYS_LAST: Final = 3  # looks at which words of an emergency are there and nothing behind them
KEPT_S: Final = 4.0  # of sound, for a second look: longer than the phrase and the way to it
RENEWED_S: Final = 12.0  # the recogniser's memory grows with what it hears
QUIET_S: Final = 0.15  # without talk before the phrase
QUIET_AFTER_S: Final = 0.15  # without talk behind an outcry
A_SOUND_S: Final = 0.07  # at most so much behind an outcry is its own end, drawn out by noise,
SETTLED_S: Final = 0.5  # if no more has come in that time
AROUND_S: Final = (0.15, 0.2)  # of sound before and behind a phrase that is heard again
BEFORE: Final = 25  # frames before a phrase that tell whether anything was said there
NOT_SURE: Final = 0.5  # how sure to be of words that leave the phrase out
PHONE_S: Final = (0.035, 0.25)  # the least and the most for each phone of a phrase, pauses counted


class Spot(StrEnum):
    """What can be spotted."""

    ATTENTION = "attention"
    HUSH = "hush"
    EMERGENCY = "emergency"
    OUTCRY = "outcry"
    """An emergency in words that talk has as well: it counts where nothing is said behind it."""
    TALK = "talk"
    """What begins like one of the others and is nothing."""


EMERGENCIES: Final = frozenset({Spot.EMERGENCY, Spot.OUTCRY})


@dataclass(frozen=True, slots=True)
class Phrase:
    """One wording that is spotted.

    Attributes:
        text: its words.
        spot: what it is for.
        phones: the number of its phones, at least and at most.
    """

    text: str
    spot: Spot
    phones: tuple[int, int]

    @property
    def alone(self) -> bool:
        """Whether it counts only where no talk follows it."""
        return self.spot is Spot.OUTCRY

    @property
    def short(self) -> bool:
        """Whether talk may hold it by chance, so that nothing may be said before it either."""
        return self.alone and self.phones[0] <= SHORT

    def fits(self, seconds: float) -> bool:
        """Whether a mouth says it in that time, from its first sound to its last."""
        fewest, most = self.phones
        return PHONE_S[0] * fewest <= seconds <= PHONE_S[1] * most


Confirms: TypeAlias = Callable[[Phrase, bytes], bool]
"""Whether the sound in which a phrase was spotted, heard again, may well be that phrase."""


def taken_as_spotted(phrase: Phrase, sound: bytes) -> bool:
    """Nothing is heard again."""
    return True


@dataclass(frozen=True, slots=True)
class Spotted:
    """A phrase that was heard.

    Attributes:
        phrase: which.
        words: as they were heard, and how surely.
        began: frames that were fed since its first sound.
    """

    phrase: Phrase
    words: Words
    began: int


def phrases_in(network: WordNetwork) -> tuple[Phrase, ...]:
    """The phrases of the attention state, by the tags of its network.

    Raises:
        GrammarError: there is no attention phrase.
    """
    leaving: dict[int, list[Arc]] = {}
    for arc in network.arcs:
        leaving.setdefault(arc.start, []).append(arc)
    phones = {
        word: sorted(len(way) for way in ways if way) for word, ways in network.pronunciations
    }
    ends = {state for state, _ in network.finals}
    found: dict[str, Phrase] = {}
    waiting: list[tuple[int, tuple[str, ...], str]] = [(0, (), "")]
    while waiting:
        state, words, tag = waiting.pop()
        if state in ends and words:
            counts = [phones[word] for word in words]
            least, most = sum(c[0] for c in counts), sum(c[-1] for c in counts)
            found[" ".join(words)] = Phrase(" ".join(words), Spot(tag), (least, most))
        for arc in leaving.get(state, ()):
            said = (*words, arc.word) if arc.word else words
            name, _, value = arc.tag.partition("=")
            waiting.append((arc.end, said, value if name == TAG else tag))
    if not any(phrase.spot is Spot.ATTENTION for phrase in found.values()):
        raise GrammarError("grammar/attention.yaml has no attention phrase. Write one.")
    return tuple(found.values())


def attention_network(
    network: WordNetwork, phones: Iterable[str], filler: str, talk_cost: float = TALK_COST
) -> WordNetwork:
    """The phrases of the attention state, again and again, with any talk before, between and after.

    Args:
        network: the phrases, each from the start to an end.
        phones: all that the model knows.
        filler: the word for talk.
        talk_cost: of each phone of it, in nats; the lower, the fewer phrases are taken.
    """
    talk = Arc(0, 0, filler, cost=talk_cost)
    again = tuple(Arc(end, 0, cost=cost) for end, cost in network.finals)
    return WordNetwork(
        name=network.name,
        states=network.states,
        arcs=(*network.arcs, *again, talk),
        finals=((0, 0.0),),
        pronunciations=(*network.pronunciations, (filler, tuple((phone,) for phone in phones))),
    )


def load_spotter(
    model: ModelFolder,
    network: WordNetwork,
    cache: Path,
    confirms: Confirms = taken_as_spotted,
) -> "Spotter":
    """A spotter of the attention state's phrases.

    Args:
        model: from `open_model`.
        network: of the attention state's grammar.
        cache: folder for finished graphs.
        confirms: all but what ends the helper's talk counts only where this agrees.

    Raises:
        ModelError: the model does not load.
        GrammarError: there is no attention phrase, or a word that cannot be pronounced.
    """
    from handsfree.hear.vosk_adapter import load_recogniser  # heavy

    phrases = phrases_in(network)
    listened = attention_network(network, model.phones, model.filler)
    return Spotter(load_recogniser(model, listened, cache, timed=True), phrases, confirms)


class Spotter:
    """Hears a stream of frames and tells the phrases in it, soon after each has ended.

    Args:
        recogniser: of the network that `attention_network` makes.
        phrases: what that network's words are for.
        confirms: all but what ends the helper's talk counts only where this agrees.
    """

    def __init__(
        self,
        recogniser: TimedRecogniser,
        phrases: Iterable[Phrase],
        confirms: Confirms = taken_as_spotted,
    ) -> None:
        self._recogniser = recogniser
        self._confirms = confirms
        self._phrases = tuple(phrases)
        self._kept: deque[bytes] = deque(maxlen=round(KEPT_S / FRAME_S))
        self._waiting: list[bytes] = []
        self._fed = 0  # frames since the recogniser began
        self._seen = 0  # looks at which the phrase was there

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        """All that can be spotted."""
        return self._phrases

    def _is_called(
        self, phrase: Phrase, before: Sequence[TimedWord], after: Sequence[TimedWord]
    ) -> bool:
        """Whether a phrase stands as somebody calls it, and not in the midst of talk.

        Args:
            phrase: what was said.
            before: all words up to its first.
            after: all words from its last.
        """
        if phrase.spot is Spot.ATTENTION:
            return _is_quiet_between(before[-2:], QUIET_S)
        if not phrase.alone:
            return True
        if _spoken_s(after[1:]) > A_SOUND_S and not _is_quiet_between(after[:2], QUIET_AFTER_S):
            return False
        repeated = len(before) > 1 and any(before[-2].text in p.text.split() for p in self._phrases)
        return not phrase.short or repeated or _is_quiet_between(before[-2:], QUIET_S)

    def begin(self, frames: Iterable[bytes] = ()) -> None:
        """Forget everything, and hear these frames first."""
        self._recogniser.begin()
        self._kept.clear()
        self._waiting.clear()
        self._fed = self._seen = 0
        for frame in frames:
            self._kept.append(frame)
            self._waiting.append(frame)
        self._pass_on()

    def accept(self, frame: bytes, spots: Collection[Spot]) -> Spotted | None:
        """Hear a frame; a phrase of one of these kinds when it has become sure with it."""
        self._kept.append(frame)
        self._waiting.append(frame)
        if len(self._waiting) < LOOK_EVERY:
            return None
        self._pass_on()
        text = f" {self._recogniser.partial()} "
        wanted = [p for p in self._phrases if p.spot in spots]
        last = any(text.endswith(f" {p.text} ") for p in wanted if p.alone)
        there = last or any(f" {p.text} " in text for p in wanted if not p.alone)
        self._seen = self._seen + 1 if there else 0
        if self._seen >= (STAYS_LAST if last else STAYS):
            return self._sure(spots)
        if not there and self._fed * FRAME_S > RENEWED_S:
            self.begin(list(self._kept)[-round(KEPT_S / 2 / FRAME_S) :])
        return None

    def _pass_on(self) -> None:
        if self._waiting:
            self._recogniser.accept(b"".join(self._waiting))
            self._fed += len(self._waiting)
            self._waiting.clear()

    def _sure(self, spots: Collection[Spot]) -> Spotted | None:
        """The phrase, when the whole of it is in the sound so far; then all begins anew."""
        words, places = self._recogniser.finish_timed()
        fed, kept = self._fed, list(self._kept)
        for phrase in self._phrases:
            found = _last(phrase, places) if phrase.spot in spots else None
            if found is None:
                continue
            first, last = found
            began, ended = (
                round(s / FRAME_S) for s in (places[first].began_s, places[last].ended_s)
            )
            if phrase.alone and _may_go_on(places[last + 1 :], (fed - ended) * FRAME_S):
                self.begin(kept[began - fed - BEFORE :])  # it may go on yet
                return None
            if (
                phrase.fits((ended - began) * FRAME_S)
                and self._is_called(phrase, places[: first + 1], places[last:])
                and (
                    phrase.spot is Spot.HUSH
                    or self._confirms(phrase, _around(kept, fed - began, fed - ended))
                )
            ):
                self.begin()
                return Spotted(phrase, Words(phrase.text, words.sureness), fed - began)
            self.begin(kept[-(fed - ended) :] if fed > ended else ())  # it is done with
            return None
        self.begin(kept)
        return None


def _around(kept: Sequence[bytes], began: int, ended: int) -> bytes:
    """The sound between two places, told in frames before the last, and a little around it."""
    before, after = (round(s / FRAME_S) for s in AROUND_S)
    first = max(0, len(kept) - began - before)
    return b"".join(kept[first : len(kept) - max(0, ended - after)])


def _last(phrase: Phrase, places: Sequence[TimedWord]) -> tuple[int, int] | None:
    """The first and the last word of the phrase where it was said last."""
    said = phrase.text.split()
    texts = [place.text for place in places]
    for at in range(len(texts) - len(said), -1, -1):
        if texts[at : at + len(said)] == said:
            return at, at + len(said) - 1
    return None


def _may_go_on(after: Sequence[TimedWord], seconds: float) -> bool:
    """Whether it cannot be told yet if there is talk behind a phrase, so long after its end."""
    return _spoken_s(after) <= A_SOUND_S and seconds < (SETTLED_S if after else QUIET_AFTER_S)


def _spoken_s(places: Sequence[TimedWord]) -> float:
    return sum(place.ended_s - place.began_s for place in places)


def _is_quiet_between(places: Sequence[TimedWord], seconds: float) -> bool:
    """Whether nobody talked for so long between two words, where there are two."""
    return len(places) < 2 or places[1].began_s - places[0].ended_s >= seconds


def without(text: str, phrases: Iterable[Phrase], anywhere: bool = False) -> tuple[str, bool]:
    """A text without the attention phrase before it, and whether that was there.

    Args:
        text: words as they were heard.
        phrases: all that may be spotted.
        anywhere: leave out what stands before the phrase, too.

    >>> hello = Phrase("hello you", Spot.ATTENTION, (6, 6))
    >>> without("hello you how fast", [hello])
    ('how fast', True)
    >>> without("so hello you how fast", [hello], anywhere=True)
    ('how fast', True)
    """
    for phrase in phrases:
        before, found, after = f" {text} ".partition(f" {phrase.text} ")
        if phrase.spot is Spot.ATTENTION and found and (anywhere or not before):
            return after.strip(), True
    return text, False


def unphrased(words: Words, phrases: Sequence[Phrase], called: bool) -> tuple[Words, bool]:
    """Words without the attention phrase, and once it was heard without what was before it.

    Whoever called has said the phrase. A reading without it has taken its sounds for something
    else, so that the best with it comes first; it is no sure one, and neither is any where there is
    none.

    Returns:
        The words, and whether the first reading began with the phrase.
    """
    readings = [without(each, phrases, called) for each in (words.text, *words.others)]
    first, sureness = readings[0], words.sureness
    if called and not first[1]:
        first = next((each for each in readings if each[1]), first)
        sureness = min(sureness, NOT_SURE)
    others = dict.fromkeys(text for text, _ in readings)
    others.pop(first[0], None)
    return Words(first[0], sureness, tuple(others)), first[1]
