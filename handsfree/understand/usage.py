"""How often people say what the grammar allows: counts of written phrases, and costs from them.

A rule's alternatives are as likely as their weights say until phrases tell more; which unit of a
request follows which is told by phrases alone. `python -m models.train.usage` counts; the file
holds nothing but its counts, so that a wording that is added later begins with its weight.
"""

import math
import zlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from handsfree.errors import GrammarError

WEIGHT_COUNTS: Final = 12.0  # so many phrases are the weights of one choice worth
WEIGHT_SHARE: Final = 0.5  # and this much of it always, for phrases are few and rules are many
DISCOUNT: Final = 0.6  # of each pair's count, for those that were not seen
SCALE: Final = 0.5  # nats of the search for one of the phrases: neighbouring choices are not apart
PHRASES_WORTH: Final = 500.0  # of so many units counted, the weights are worth `WEIGHT_COUNTS`
BEHIND: Final = " -> "  # between two units that came before
LEAST_SEEN: Final = 5  # two units before count from so many on
ENDS: Final = ""  # stands before the first unit, and behind the last
LONGEST_NAME: Final = 40

Counts = Mapping[str, int]


@dataclass(frozen=True)
class Usage:
    """Counts of choices and of pairs of units.

    Attributes:
        chosen: for each rule, how often each of its alternatives was taken, by `name_of`.
        follows: for each unit of the free part, how often each other came after it.
        scale: what a cost is multiplied by.
    """

    chosen: Mapping[str, Counts] = field(default_factory=dict)
    follows: Mapping[str, Counts] = field(default_factory=dict)
    scale: float = SCALE

    def costs(self, rule: str, options: Sequence[tuple[str, float]]) -> list[float]:
        """What each alternative of one choice costs, by name and weight, in nats.

        >>> Usage(scale=1.0).costs("size", [("half", 1.0), ("third", 0.25)])
        [0.2231435513142097, 1.6094379124341003]
        """
        seen = self.chosen.get(rule, {})
        counts = [seen.get(name, 0) for name, _ in options]
        total, weights = sum(counts), sum(weight for _, weight in options)
        worth = WEIGHT_COUNTS / weights
        least = WEIGHT_SHARE / weights
        return [
            self._cost(
                least * weight
                + (1 - WEIGHT_SHARE) * (count + worth * weight) / (total + WEIGHT_COUNTS)
            )
            for count, (_, weight) in zip(counts, options, strict=True)
        ]

    def pairs(self, units: Sequence[tuple[str, float]], words: Collection[str] = ()) -> "Pairs":
        """What it costs to begin each unit, alone and behind others.

        Args:
            units: names and weights.
            words: those that are one word; only behind such a one does it count what was before.
        """
        known = {name for name, _ in units} | {ENDS}
        follows = {
            context: {after: n for after, n in counts.items() if after in known}
            for context, counts in self.follows.items()
            if self._counts_as(context, known, words)
        }
        single: dict[str, float] = dict.fromkeys(sorted(known), 0.0)
        for context, counts in follows.items():
            for after, n in counts.items() if context == last_of(context) else ():
                single[after] += n
        total = sum(single.values())
        weights = dict(units) | {ENDS: max([1.0, *(w for _, w in units)])}
        worth = WEIGHT_COUNTS * max(1.0, total / PHRASES_WORTH) / sum(weights.values())
        share = {
            name: (count + worth * weights[name]) / (total + worth * sum(weights.values()))
            for name, count in single.items()
        }
        behind: dict[str, dict[str, float]] = {}
        back: dict[str, float] = {}
        for context in sorted(follows, key=lambda context: context != last_of(context)):
            counts, shorter = follows[context], last_of(context)
            seen = sum(counts.values())
            if not seen:
                continue
            rest = back[context] = DISCOUNT * len(counts) / seen

            def otherwise(after: str, context: str = context, shorter: str = shorter) -> float:
                if context == shorter or shorter not in behind:
                    return share[after]
                return behind[shorter].get(after, back[shorter] * share[after])

            behind[context] = {
                after: (n - DISCOUNT) / seen + rest * otherwise(after)
                for after, n in counts.items()
            }
        return Pairs(
            {name: self._cost(p) for name, p in share.items()},
            {context: self._cost(p) for context, p in back.items()},
            {c: {name: self._cost(p) for name, p in inner.items()} for c, inner in behind.items()},
        )

    def _counts_as(self, context: str, known: Collection[str], words: Collection[str]) -> bool:
        """Whether a context is one of this network."""
        last = last_of(context)
        if context == last:
            return context in known
        first = context.removesuffix(f"{BEHIND}{last}")
        seen = sum(self.follows[context].values())
        return first in known and last in words and seen >= LEAST_SEEN

    def _cost(self, share: float) -> float:
        return -self.scale * math.log(share)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Costs of the free part's units, in nats; `ENDS` is its end, or its start.

    Attributes:
        single: of each unit whatever came before.
        back: what it costs to go on from a unit with one that is not in `behind`.
        behind: for each unit, of those that were seen after it.
    """

    single: Mapping[str, float]
    back: Mapping[str, float]
    behind: Mapping[str, Mapping[str, float]]


def together(first: str, last: str) -> str:
    """The name of two units that came one behind the other."""
    return f"{first}{BEHIND}{last}"


def last_of(context: str) -> str:
    """The last unit of one or two.

    >>> last_of(together("on", "half")), last_of("half")
    ('half', 'half')
    """
    return context.rpartition(BEHIND)[2]


def name_of(text: str) -> str:
    """A short name of an alternative, the same as long as its text is.

    >>> name_of("three quarter")
    'three quarter'
    """
    if len(text) <= LONGEST_NAME:
        return text
    return f"{text[: LONGEST_NAME - 12].strip()} ... {zlib.crc32(text.encode()):08x}"


def usage_in(content: Mapping[str, object], scale: float = SCALE) -> Usage:
    """What a usage file holds.

    Raises:
        GrammarError: it holds something else than counts by rule and by unit.
    """
    return Usage(_counts(content, "chosen"), _counts(content, "follows"), scale)


def _counts(content: Mapping[str, object], key: str) -> dict[str, dict[str, int]]:
    told = content.get(key, {})
    if not isinstance(told, dict):
        raise GrammarError(f"grammar/usage.yaml: {key} must hold counts. Count anew.")
    found: dict[str, dict[str, int]] = {}
    for name, counts in told.items():
        pairs = counts.items() if isinstance(counts, dict) else ()
        if not pairs or not all(str(n).isdecimal() for _, n in pairs):
            raise GrammarError(
                f"grammar/usage.yaml: {key}, {name} must hold whole numbers."
                " Count anew with models.train.usage."
            )
        found[str(name)] = {str(option): int(str(n)) for option, n in pairs}
    return found


def written(chosen: Mapping[str, Counts], follows: Mapping[str, Counts]) -> Iterable[str]:
    """The lines of a usage file."""
    for key, counts in (("chosen", chosen), ("follows", follows)):
        yield f"{key}:"
        for name in sorted(counts):
            inner = ", ".join(f"{_quoted(o)}: {n}" for o, n in sorted(counts[name].items()))
            yield f"  {_quoted(name)}: {{{inner}}}"


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
