"""The YAML files of the folder grammar/ become rules, lists of words and pronunciations."""

import functools
from collections.abc import Mapping
from pathlib import Path
from typing import TypeAlias

import yaml

from handsfree.errors import GrammarError
from handsfree.understand.befalls import Befalls, Group
from handsfree.understand.hazards import SpottedRules
from handsfree.understand.network import Network, NetworkBuilder
from handsfree.understand.rules import Choice, Node, parse_expansion
from handsfree.understand.usage import usage_in

LISTENS_FOR = "listens_for"  # key of the rule that the recogniser's graph is made of
PhonesOf: TypeAlias = dict[str, tuple[tuple[str, ...], ...]]


def read_texts(folder: Path) -> dict[str, str]:
    """The text of every file, by its name without ending.

    Raises:
        GrammarError: a file cannot be read.
    """
    texts = {}
    for path in sorted(folder.glob("*.yaml")):
        try:
            texts[path.stem] = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as fault:
            raise GrammarError(f"cannot read {path}: {fault}") from fault
    return texts


def with_rules(name: str, text: str, instead: Mapping[str, str]) -> str:
    """The text of a file in which some rules are replaced; raises as `GrammarFiles`."""
    content = _parsed(name, text)
    rules = content.get("rules")
    if not isinstance(rules, dict) or not set(instead) <= set(rules):
        raise GrammarError(f"grammar/{name}.yaml has no rules named {', '.join(instead)}")
    return yaml.safe_dump({**content, "rules": {**rules, **instead}}, sort_keys=False)


class GrammarFiles:
    """The parsed files of one listening state.

    Args:
        state: the file that names the start rules and the files to include.
        texts: of all files, by name.

    Raises:
        GrammarError: a file is missing, is not YAML, or breaks the notation; the message names
            the file and the rule.
    """

    def __init__(self, state: str, texts: Mapping[str, str]) -> None:
        self._texts = texts
        self._state = state
        self._head = _parsed(state, texts[state])
        included = self._head.get("include", [])
        if not isinstance(included, list):
            raise GrammarError(f"grammar/{state}.yaml: include must be a list of file names")
        self.rules: dict[str, Node] = {}
        spotted: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
        calm: dict[str, Group] = {}
        befalls: dict[bool, list[Befalls]] = {True: [], False: []}
        for name in [*included, state]:
            if name not in texts:
                raise GrammarError(f"grammar/{state}.yaml includes {name}, which is not there")
            content = _parsed(name, texts[name])
            self.rules |= _rules(name, content.get("rules", {}), self.rules)
            groups = _groups(name, content.get("groups", {}))
            spotted += _spotted(name, content.get("spotted", {}), groups)
            befalls["starts" in content] += _befalls(name, content, groups)
            calm |= _groups(name, content.get("calm", {}))
        self.calm: Mapping[str, Group] = calm
        self.spotted: SpottedRules = tuple(spotted)
        self.emergencies = tuple(befalls[True])
        self.told = tuple(befalls[False])

    @property
    def head(self) -> Mapping[str, object]:
        """The keys of the state's own file."""
        return self._head

    def network(self, key: str) -> Network:
        """The network of the start rule that the state's file names under `key`.

        What the recogniser expects is weighed by what people say, where the state's file names
        counts of that under `usage`.
        """
        start = str(self._head.get(key, ""))
        if key != LISTENS_FOR or "usage" not in self._head:
            return NetworkBuilder(self.rules).build(start)
        usage = usage_in(self.file(str(self._head["usage"])))
        spoken = self.pronunciations()  # some words are only typed by those who abbreviate
        loose = [word for word in self.loose_words() if word in spoken]
        return NetworkBuilder(self.rules, usage, str(self._head.get("free", "")), loose).build(
            start
        )

    def loose_words(self) -> tuple[str, ...]:
        """Words that may stand anywhere in what the recogniser hears: those of the named rules."""
        named = self._head.get("loose", [])
        if not isinstance(named, list) or not set(named) <= set(self.rules):
            raise GrammarError(
                f"grammar/{self._state}.yaml: loose must be a list of rules that there are"
            )
        words: set[str] = set()
        for name in named:
            words.update(NetworkBuilder(self.rules).build(name).words)
        return tuple(sorted(words - {""} - self.words("words", "typed_only")))

    def heeded(self) -> frozenset[str]:
        """Words that must never be passed over."""
        named = self._head.get("heeded_rules", [])
        if not isinstance(named, list) or not set(named) <= set(self.rules):
            raise GrammarError(
                f"grammar/{self._state}.yaml: heeded_rules must be a list of rules that there are"
            )
        found = set(str(self._head.get("heeded", "")).split())
        for name in named:
            found.update(NetworkBuilder(self.rules).build(name).words)
        return frozenset(found - {""})

    def words(self, name: str, key: str) -> frozenset[str]:
        """A list of words in a file; nothing when the file has none."""
        listed = self.file(name).get(key, [])
        if not isinstance(listed, list):
            raise GrammarError(f"grammar/{name}.yaml: {key} must be a list of words")
        return frozenset(word for words in listed for word in str(words).split())

    def pronunciations(self) -> PhonesOf:
        """The ways to say each word: ours first, then the dictionaries' that differ."""
        ways: dict[str, list[tuple[str, ...]]] = {}
        for name in ("words", "dictionary", "dictionary_answers"):
            found = self.file(name).get("pronunciations", {})
            if not isinstance(found, dict):
                raise GrammarError(
                    f"grammar/{name}.yaml: pronunciations must be a mapping of words"
                )
            for word, spoken in found.items():
                known = ways.setdefault(word, [])
                known += [way for text in spoken if (way := tuple(text.split())) not in known]
        return {word: tuple(spoken) for word, spoken in ways.items()}

    @functools.cache  # noqa: B019  # the files live as long as their reader does
    def file(self, name: str) -> dict[str, object]:
        """The content of a file; nothing where there is none."""
        return _parsed(name, self._texts[name]) if name in self._texts else {}


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


def _rules(name: str, found: object, taken: Mapping[str, Node]) -> dict[str, Node]:
    if not isinstance(found, dict):
        raise GrammarError(f"grammar/{name}.yaml: rules must be a mapping of names")
    rules: dict[str, Node] = {}
    for rule, text in found.items():
        if rule in taken:
            raise GrammarError(f"grammar/{name}.yaml: rule <{rule}> stands in another file too")
        try:
            if isinstance(text, list):
                options = [parse_expansion(str(option)) for option in text]
                rules[rule] = Choice(tuple(_weighted(option) for option in options))
            else:
                rules[rule] = parse_expansion(str(text))
        except GrammarError as fault:
            raise GrammarError(f"grammar/{name}.yaml, rule <{rule}>: {fault}") from fault
    return rules


def _weighted(node: Node) -> tuple[Node, float]:
    """An alternative of a YAML list keeps the weight that stands before it."""
    if isinstance(node, Choice) and len(node.options) == 1:
        return node.options[0]
    return node, 1.0


def _groups(name: str, found: object) -> dict[str, Group]:
    """The named groups of a file: phrases, or the names of groups that they hold, in <>."""
    if not isinstance(found, dict):
        raise GrammarError(f"grammar/{name}.yaml: groups must be a mapping of names")
    groups: dict[str, Group] = {}
    for group, phrases in found.items():
        groups[group] = _phrases(name, phrases, groups)
    return groups


def _phrases(name: str, group: object, groups: Mapping[str, Group]) -> Group:
    """A group written out: phrases or <names>, each in a list; or one name alone."""
    phrases: list[str] = []
    for phrase in group if isinstance(group, list) else [group]:
        if not str(phrase).startswith("<"):
            phrases.append(str(phrase))
        elif (named := str(phrase).strip("<>")) in groups:
            phrases += groups[named]
        else:
            raise GrammarError(f"grammar/{name}.yaml: there is no group {phrase} above its use")
    return tuple(dict.fromkeys(phrases))


def _spotted(
    name: str, found: object, groups: Mapping[str, Group]
) -> list[tuple[str, tuple[Group, ...]]]:
    if not isinstance(found, dict):
        raise GrammarError(f"grammar/{name}.yaml: spotted must be a mapping of names")
    return [
        (wish, tuple(_phrases(name, group, groups) for group in alternative))
        for wish, alternatives in found.items()
        for alternative in alternatives
    ]


def _befalls(
    name: str, content: Mapping[str, object], groups: Mapping[str, Group]
) -> list[Befalls]:
    """The rows of a file's `in_order` and `together`, each with the small words of the file."""
    unless = content.get("unless", {})
    if not isinstance(unless, dict):
        raise GrammarError(f"grammar/{name}.yaml: unless must be a mapping of names")
    between, never = (
        _phrases(name, content.get(key, []), groups) for key in ("between", "never_before")
    )
    rows = []
    for order in ("together", "in_order"):
        found = content.get(order, {})
        if not isinstance(found, dict):
            raise GrammarError(f"grammar/{name}.yaml: {order} must be a mapping of names")
        for key, listed in found.items():
            but = _phrases(name, unless.get(key, []), groups)
            for row in listed:
                parts = tuple(_phrases(name, group, groups) for group in row)
                rows.append(Befalls(key, parts, between, never, but, order == "in_order"))
    return rows
