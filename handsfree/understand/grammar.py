"""The folder grammar/ becomes a `Grammar`: word networks, words to pass over, unsafe wishes.

Expanding the rules takes most of a second, so finished networks are kept in the user's cache under
a hash of the files: one file for the parser, and one for the recogniser that is read only when
something is to be heard.
"""

import functools
import hashlib
import json
from collections.abc import Mapping
from dataclasses import astuple, dataclass
from pathlib import Path

from handsfree.errors import GrammarError
from handsfree.understand.befalls import Befalls, Group
from handsfree.understand.grammar_files import GrammarFiles, PhonesOf, read_texts, with_rules
from handsfree.understand.hazards import SpottedRules
from handsfree.understand.kept import keep_network, kept_network
from handsfree.understand.network import Network
from handsfree.values import Arc, WordNetwork

FORMAT = 13  # of the cache; raise it when what is kept changes
PASSED_OVER = ("harmless", "talk", "weighty", "small")


@dataclass(frozen=True)
class Grammar:
    """All that may be said in one listening state.

    Attributes:
        state: its name.
        heard_as: the units of a request, of which the parser takes any number in any order.
        harmless: words that the parser may pass over.
        talk: common words that it passes over only beside a question in so many words.
        weighty: words that it passes over only to ask about them.
        small: words of its rules that change nothing where they are left over.
        heeded: words that it must never pass over: numbers, units, metals, gases, negations.
        spotted: for each unsafe wish groups of phrases; each group needs one of its own.
        emergencies: rows of things and what befalls them, by the step list that they start.
        told: likewise, by the unsafe wish that they tell.
        calm: phrases with which the word of an emergency tells of none: `names` that hold it, and
            by list what makes it none.
    """

    state: str
    heard_as: Network
    harmless: frozenset[str]
    talk: frozenset[str]
    weighty: frozenset[str]
    small: frozenset[str]
    heeded: frozenset[str]
    spotted: SpottedRules
    emergencies: tuple[Befalls, ...]
    told: tuple[Befalls, ...]
    calm: Mapping[str, Group]
    _kept: "_Kept"

    @functools.cached_property
    def listens_for(self) -> Network:
        """What the recogniser expects to hear; expanded or read at first use."""
        return self._kept.listens_for()

    @functools.cached_property
    def _spoken(self) -> tuple[PhonesOf, frozenset[str]]:
        files = self._kept.files
        return files.pronunciations(), files.words("words", "typed_only")

    @property
    def typed_only(self) -> frozenset[str]:
        """Short spellings that are typed and never spoken."""
        return self._spoken[1]

    def unpronounced(self) -> tuple[str, ...]:
        """Words that the recogniser should hear and that have no pronunciation."""
        pronunciations, typed_only = self._spoken
        return tuple(sorted(set(self.listens_for.words) - {""} - typed_only - set(pronunciations)))

    def word_network(self) -> WordNetwork:
        """The network for the recogniser's graph, with the phones of its words.

        Raises:
            GrammarError: a word has no pronunciation.
        """
        if missing := self.unpronounced():
            raise GrammarError(
                f"no pronunciation for {', '.join(missing)}: add it to grammar/words.yaml"
            )
        pronunciations, typed_only = self._spoken
        arcs = tuple(Arc(*arc) for arc in self.listens_for.arcs if arc[2] not in typed_only)
        words = sorted({arc.word for arc in arcs if arc.word})
        states, final = self.listens_for.states, self.listens_for.final
        # Large, and needed no more: it would stay beside the graph that is made of it.
        self.__dict__.pop("listens_for")
        return WordNetwork(
            name=self.state,
            states=states,
            arcs=arcs,
            finals=((final, 0.0),),
            pronunciations=tuple((word, pronunciations[word]) for word in words),
        )

    def words(self) -> frozenset[str]:
        """Every word that the parser knows."""
        return self.harmless | self.talk | self.weighty | (set(self.heard_as.words) - {""})


def load_grammar(
    folder: Path,
    state: str = "request",
    cache: Path | None = None,
    attention: str | None = None,
) -> Grammar:
    """The grammar of a listening state.

    Args:
        folder: grammar/.
        state: the file's name without ending.
        cache: where finished networks are kept; None to keep nothing.
        attention: the user's own attention phrase, instead of the file's.

    Raises:
        GrammarError: a file is missing, is not YAML, or breaks the notation.
    """
    return _kept(folder, state, cache, attention).grammar()


def is_kept(folder: Path, state: str, cache: Path, attention: str | None = None) -> bool:
    """Whether `load_grammar` finds what the parser needs in the cache; takes and raises the same.

    The rest of it is there then as well, or is expanded when it is needed.
    """
    return _kept(folder, state, cache, attention).is_there()


def expand_for_hearing(folder: Path, state: str, cache: Path, attention: str | None = None) -> None:
    """Put what the recogniser needs into the cache; takes and raises as `load_grammar`."""
    _kept(folder, state, cache, attention).listens_for()


class _Kept:
    """The cached networks of one state, expanded from the files where they are not there."""

    def __init__(self, state: str, texts: Mapping[str, str], cache: Path | None) -> None:
        made_of = json.dumps([FORMAT, state, sorted(texts.items())]).encode()
        self._stamp = hashlib.sha256(made_of).hexdigest()[:24]
        self._state = state
        self._texts = texts
        self._cache = cache

    @functools.cached_property
    def files(self) -> GrammarFiles:
        """The parsed files; read only when something is not in the cache."""
        return GrammarFiles(self._state, self._texts)

    def grammar(self) -> Grammar:
        """What the parser needs."""
        path = self._path("heard_as")
        kept = None if path is None else kept_network(path)
        if kept is None:
            network = self.files.network("heard_as")
            notes: dict[str, object] = {
                **{key: sorted(self.files.words("harmless", key)) for key in PASSED_OVER},
                "heeded": sorted(self.files.heeded()),
                "spotted": self.files.spotted,
                "emergencies": [astuple(row) for row in self.files.emergencies],
                "calm": {key: list(phrases) for key, phrases in self.files.calm.items()},
                "told": [astuple(row) for row in self.files.told],
            }
            if path is not None:
                keep_network(path, network, notes)
        else:
            network, notes = kept
        return Grammar(
            state=self._state,
            heard_as=network,
            **{key: frozenset(_strings(notes[key])) for key in PASSED_OVER},
            heeded=frozenset(_strings(notes["heeded"])),
            spotted=_spotted(notes["spotted"]),
            emergencies=_befalls(notes["emergencies"]),
            told=_befalls(notes["told"]),
            calm=_calm(notes["calm"]),
            _kept=self,
        )

    def is_there(self) -> bool:
        """Whether what the parser needs is in the cache."""
        path = self._path("heard_as")
        return path is not None and path.is_file()

    def listens_for(self) -> Network:
        """What the recogniser needs."""
        path = self._path("listens_for")
        kept = None if path is None else kept_network(path)
        if kept is not None:
            return kept[0]
        network = self.files.network("listens_for")
        if path is not None:
            keep_network(path, network, {})
        return network

    def _path(self, key: str) -> Path | None:
        return None if self._cache is None else self._cache / f"{self._state}-{key}-{self._stamp}"


def _kept(folder: Path, state: str, cache: Path | None, attention: str | None) -> _Kept:
    texts = read_texts(folder)
    if state not in texts:
        raise GrammarError(f"there is no {state}.yaml in {folder}: install the project again")
    if attention:
        own = with_rules("attention", texts["attention"], {"attention": attention})
        texts = {**texts, "attention": own}
    return _Kept(state, texts, cache)


def _strings(kept: object) -> list[str]:
    assert isinstance(kept, list)
    return [str(word) for word in kept]


def _spotted(kept: object) -> SpottedRules:
    assert isinstance(kept, list | tuple)
    return tuple((wish, tuple(tuple(phrases) for phrases in groups)) for wish, groups in kept)


def _calm(kept: object) -> Mapping[str, Group]:
    assert isinstance(kept, dict)
    return {str(key): tuple(_strings(phrases)) for key, phrases in kept.items()}


def _befalls(kept: object) -> tuple[Befalls, ...]:
    assert isinstance(kept, list | tuple)
    return tuple(
        Befalls(
            key,
            tuple(tuple(group) for group in groups),
            tuple(between),
            tuple(never_before),
            tuple(unless),
            in_order,
        )
        for key, groups, between, never_before, unless, in_order in kept
    )
