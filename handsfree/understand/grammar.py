"""The folder grammar/ becomes a `Grammar`: word networks, words to pass over, unsafe wishes.

Reading and expanding the rules takes most of a second, so the finished networks are kept in the
user's cache under a hash of the files; a broken cache file is made anew.
"""

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import yaml

from handsfree.errors import GrammarError
from handsfree.understand.network import NetworkBuilder
from handsfree.understand.rules import Choice, Node, parse_expansion
from handsfree.values import Arc, WordNetwork

FORMAT = 5  # of the cache; raise it when what is kept changes

PhonesOf: TypeAlias = Mapping[str, tuple[tuple[str, ...], ...]]


@dataclass(frozen=True, slots=True)
class Network:
    """States and arcs of one start rule, as the parser walks them."""

    states: int
    final: int
    junctions: frozenset[int]
    arcs: tuple[tuple[int, int, str, str, float], ...]


@dataclass(frozen=True, slots=True)
class Grammar:
    """All that may be said in one listening state.

    Attributes:
        state: its name.
        heard_as: what the parser accepts.
        listens_for: what the recogniser expects.
        harmless: words that the parser may pass over.
        heeded: words that it must never pass over: numbers, units, metals, gases, negations.
        spotted: for each unsafe wish, alternatives of groups of phrases; a group needs one of its
            phrases in the words, an alternative needs all its groups.
        pronunciations: phones of every word in the grammar.
        typed_only: short spellings that are never spoken.
    """

    state: str
    heard_as: Network
    listens_for: Network
    harmless: frozenset[str]
    heeded: frozenset[str]
    spotted: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    pronunciations: PhonesOf
    typed_only: frozenset[str]

    def unpronounced(self) -> tuple[str, ...]:
        """Words that the recogniser should hear and that have no pronunciation."""
        spoken = {arc[2] for arc in self.listens_for.arcs if arc[2]} - self.typed_only
        return tuple(sorted(spoken - set(self.pronunciations)))

    def word_network(self) -> WordNetwork:
        """The network for the recogniser's graph, with the phones of its words.

        Raises:
            GrammarError: a word has no pronunciation.
        """
        if missing := self.unpronounced():
            raise GrammarError(
                f"no pronunciation for {', '.join(missing)}: add it to grammar/words.yaml"
            )
        arcs = tuple(Arc(*arc) for arc in self.listens_for.arcs if arc[2] not in self.typed_only)
        words = sorted({arc.word for arc in arcs if arc.word})
        return WordNetwork(
            name=self.state,
            states=self.listens_for.states,
            arcs=arcs,
            finals=((self.listens_for.final, 0.0),),
            pronunciations=tuple((word, self.pronunciations[word]) for word in words),
        )

    def words(self) -> frozenset[str]:
        """Every word that the parser knows."""
        return self.harmless | {arc[2] for arc in self.heard_as.arcs if arc[2]}


def load_grammar(folder: Path, state: str = "request", cache: Path | None = None) -> Grammar:
    """The grammar of a listening state.

    Args:
        folder: grammar/.
        state: the file's name without ending.
        cache: where finished networks are kept; None to keep nothing.

    Raises:
        GrammarError: a file is missing, is not YAML, or breaks the notation.
    """
    texts = {path.stem: _read(path) for path in sorted(folder.glob("*.yaml"))}
    if state not in texts:
        raise GrammarError(f"there is no {state}.yaml in {folder}: install the project again")
    stamp = hashlib.sha256(json.dumps([FORMAT, state, sorted(texts.items())]).encode()).hexdigest()[
        :24
    ]
    kept = None if cache is None else cache / f"{state}-{stamp}.json"
    found = _from_cache(kept)
    if found is not None:
        return found
    grammar = _expand(state, texts)
    if kept is not None:
        _to_cache(kept, grammar)
    return grammar


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise GrammarError(f"cannot read {path}: {fault}") from fault


def _parsed(name: str, text: str) -> dict[str, object]:
    """One file as plain strings (no YAML booleans: `no` and `off` are words here)."""
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    try:
        content = yaml.load(text, Loader=loader)
    except yaml.YAMLError as fault:
        raise GrammarError(f"grammar/{name}.yaml is not YAML: {fault}") from fault
    if not isinstance(content, dict):
        raise GrammarError(f"grammar/{name}.yaml holds no rules")
    return content


def _expand(state: str, texts: Mapping[str, str]) -> Grammar:
    head = _parsed(state, texts[state])
    included = head.get("include", [])
    if not isinstance(included, list):
        raise GrammarError(f"grammar/{state}.yaml: include must be a list of file names")
    rules: dict[str, Node] = {}
    spotted: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
    for name in [*included, state]:
        if name not in texts:
            raise GrammarError(f"grammar/{state}.yaml includes {name}, which is not there")
        content = _parsed(name, texts[name])
        rules |= _rules(name, content.get("rules", {}), rules)
        spotted += _spotted(name, content.get("spotted", {}))
    networks = []
    for key in ("heard_as", "listens_for"):
        builder = NetworkBuilder(rules)
        final = builder.build(str(head.get(key, "")))
        networks.append(
            Network(
                builder.states,
                final,
                frozenset(builder.junctions),
                tuple((a.start, a.end, a.word, a.tag, a.cost) for a in builder.arcs),
            )
        )
    return Grammar(
        state=state,
        heard_as=networks[0],
        listens_for=networks[1],
        harmless=_harmless(texts),
        heeded=_heeded(head, rules),
        spotted=tuple(spotted),
        pronunciations=_pronunciations(texts),
        typed_only=_typed_only(texts),
    )


def _rules(name: str, found: object, taken: Mapping[str, Node]) -> dict[str, Node]:
    if not isinstance(found, dict):
        raise GrammarError(f"grammar/{name}.yaml: rules must be a mapping of names")
    rules: dict[str, Node] = {}
    for rule, text in found.items():
        if rule in taken:
            raise GrammarError(f"grammar/{name}.yaml: rule <{rule}> stands in another file too")
        try:
            if isinstance(text, list):
                options = [parse_expansion(option) for option in text]
                rules[rule] = Choice(tuple(_weighted(option) for option in options))
            else:
                rules[rule] = parse_expansion(text)
        except GrammarError as fault:
            raise GrammarError(f"grammar/{name}.yaml, rule <{rule}>: {fault}") from fault
    return rules


def _weighted(node: Node) -> tuple[Node, float]:
    """An alternative of a YAML list keeps the weight that stands before it."""
    if isinstance(node, Choice) and len(node.options) == 1:
        return node.options[0]
    return node, 1.0


def _heeded(head: Mapping[str, object], rules: Mapping[str, Node]) -> frozenset[str]:
    named = head.get("heeded_rules", [])
    if not isinstance(named, list) or not set(named) <= set(rules):
        raise GrammarError("heeded_rules must be a list of rules that there are")
    found = set(str(head.get("heeded", "")).split())
    for name in named:
        builder = NetworkBuilder(rules)
        builder.build(name)
        found |= {arc.word for arc in builder.arcs if arc.word}
    return frozenset(found)


def _harmless(texts: Mapping[str, str]) -> frozenset[str]:
    listed = _parsed("harmless", texts.get("harmless", "harmless: []")).get("harmless", [])
    if not isinstance(listed, list):
        raise GrammarError("grammar/harmless.yaml: harmless must be a list of words")
    return frozenset(word for words in listed for word in str(words).split())


def _spotted(name: str, found: object) -> list[tuple[str, tuple[tuple[str, ...], ...]]]:
    if not isinstance(found, dict):
        raise GrammarError(f"grammar/{name}.yaml: spotted must be a mapping of names")
    return [
        (wish, tuple(tuple(str(phrase) for phrase in group) for group in alternative))
        for wish, alternatives in found.items()
        for alternative in alternatives
    ]


def _pronunciations(texts: Mapping[str, str]) -> PhonesOf:
    """The ways to say each word: ours first, then the dictionary's that differ."""
    ways: dict[str, list[tuple[str, ...]]] = {}
    for name in ("words", "dictionary"):
        found = _parsed(name, texts.get(name, "pronunciations: {}")).get("pronunciations", {})
        if not isinstance(found, dict):
            raise GrammarError(f"grammar/{name}.yaml: pronunciations must be a mapping of words")
        for word, spoken in found.items():
            known = ways.setdefault(word, [])
            known += [way for text in spoken if (way := tuple(text.split())) not in known]
    return {word: tuple(spoken) for word, spoken in ways.items()}


def _typed_only(texts: Mapping[str, str]) -> frozenset[str]:
    listed = _parsed("words", texts.get("words", "typed_only: []")).get("typed_only", [])
    if not isinstance(listed, list):
        raise GrammarError("grammar/words.yaml: typed_only must be a list of words")
    return frozenset(str(word) for word in listed)


def _from_cache(path: Path | None) -> Grammar | None:
    if path is None:
        return None
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        return Grammar(
            state=kept["state"],
            heard_as=_network(kept["heard_as"]),
            listens_for=_network(kept["listens_for"]),
            harmless=frozenset(kept["harmless"]),
            heeded=frozenset(kept["heeded"]),
            spotted=tuple(
                (wish, tuple(tuple(group) for group in groups)) for wish, groups in kept["spotted"]
            ),
            pronunciations={
                word: tuple(tuple(way) for way in ways)
                for word, ways in kept["pronunciations"].items()
            },
            typed_only=frozenset(kept["typed_only"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None  # absent, half-written or of an older make: expand the rules anew


def _network(kept: list[object]) -> Network:
    states, final, junctions, arcs = kept
    assert isinstance(states, int) and isinstance(final, int)
    assert isinstance(junctions, list) and isinstance(arcs, list)
    return Network(states, final, frozenset(junctions), tuple(tuple(arc) for arc in arcs))


def _to_cache(path: Path, grammar: Grammar) -> None:
    def plain(network: Network) -> list[object]:
        return [network.states, network.final, sorted(network.junctions), network.arcs]

    text = json.dumps(
        {
            "state": grammar.state,
            "heard_as": plain(grammar.heard_as),
            "listens_for": plain(grammar.listens_for),
            "harmless": sorted(grammar.harmless),
            "heeded": sorted(grammar.heeded),
            "spotted": grammar.spotted,
            "pronunciations": grammar.pronunciations,
            "typed_only": sorted(grammar.typed_only),
        },
        separators=(",", ":"),
    )
    part = path.with_suffix(f".{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8")
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)  # a read-only or full disk costs speed, nothing else
