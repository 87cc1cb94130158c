"""Phrases of a word network for a stock model, which takes a list of phrases at run time.

Such a model makes a chain of word pairs of its list, so a list that holds every pair of words that
the network lets follow each other, in sentences from beginning to end, says as much as all its
sentences would. What it hears may recombine phrases; the parser decides what that means.
"""

from collections import deque
from collections.abc import Iterable

from handsfree.values import Arc, WordNetwork


def phrases_of(network: WordNetwork) -> tuple[str, ...]:
    """Whole sentences in which every arc over a word that leads to an end occurs, sorted."""
    out: dict[int, list[Arc]] = {}
    into: dict[int, list[Arc]] = {}
    for arc in network.arcs:
        out.setdefault(arc.start, []).append(arc)
        into.setdefault(arc.end, []).append(arc)
    before = _shortest([0], {a: [(b.end, b) for b in arcs] for a, arcs in out.items()})
    ends = [state for state, _ in network.finals]
    after = _shortest(ends, {a: [(b.start, b) for b in arcs] for a, arcs in into.items()})
    phrases: set[str] = set()
    pairs: set[tuple[str, str]] = set()
    for arc in network.arcs:
        if not arc.word or arc.start not in before or arc.end not in after:
            continue
        for follower in _next_words(arc.end, out):
            if (arc.word, follower.word) in pairs or follower.end not in after:
                continue
            words = [*before[arc.start], arc.word, follower.word, *reversed(after[follower.end])]
            pairs.update(zip(words, words[1:], strict=False))
            phrases.add(" ".join(words))
        if _may_end(arc.end, out, set(ends)):
            phrases.add(" ".join([*before[arc.start], arc.word]))
    return tuple(sorted(phrases))


def _shortest(
    starts: Iterable[int], steps: dict[int, list[tuple[int, Arc]]]
) -> dict[int, list[str]]:
    """The words on the shortest way from the starts to each state, in walking order."""
    found: dict[int, list[str]] = {state: [] for state in starts}
    waiting = deque(found)
    while waiting:
        state = waiting.popleft()
        for to, arc in steps.get(state, ()):
            if to not in found:
                found[to] = [*found[state], arc.word] if arc.word else found[state]
                waiting.append(to)
    return found


def _reached(state: int, out: dict[int, list[Arc]]) -> set[int]:
    """States that can be reached over nothing."""
    seen, waiting = {state}, [state]
    while waiting:
        for arc in out.get(waiting.pop(), ()):
            if not arc.word and arc.end not in seen:
                seen.add(arc.end)
                waiting.append(arc.end)
    return seen


def _next_words(state: int, out: dict[int, list[Arc]]) -> list[Arc]:
    return [arc for near in _reached(state, out) for arc in out.get(near, ()) if arc.word]


def _may_end(state: int, out: dict[int, list[Arc]], ends: set[int]) -> bool:
    return not ends.isdisjoint(_reached(state, out))
