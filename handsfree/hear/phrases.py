"""Phrases of a word network for a stock model, which takes a list of phrases at run time.

Such a model makes a chain of word pairs of its list and lets other pairs follow at a cost. So each
word is listed in each of its places, in the shortest sentence that it occurs in there: what words
the network knows and what stands beside them, not all its sentences. What is heard may recombine
phrases; the parser decides what that means.
"""

from collections import deque
from collections.abc import Iterable

from handsfree.values import Arc, WordNetwork


def phrases_of(network: WordNetwork) -> tuple[str, ...]:
    """For each arc over a word, the shortest sentence through it; sorted, each once."""
    out: dict[int, list[tuple[int, Arc]]] = {}
    into: dict[int, list[tuple[int, Arc]]] = {}
    for arc in network.arcs:
        out.setdefault(arc.start, []).append((arc.end, arc))
        into.setdefault(arc.end, []).append((arc.start, arc))
    before = _shortest([0], out)
    after = _shortest([state for state, _ in network.finals], into)
    return tuple(
        sorted(
            {
                " ".join([*before[arc.start], arc.word, *reversed(after[arc.end])])
                for arc in network.arcs
                if arc.word and arc.start in before and arc.end in after
            }
        )
    )


def _shortest(
    starts: Iterable[int], steps: dict[int, list[tuple[int, Arc]]]
) -> dict[int, list[str]]:
    """The fewest words on a way from the starts to each state, in walking order."""
    found: dict[int, list[str]] = {state: [] for state in starts}
    waiting = deque(found)
    while waiting:  # an arc without a word goes first, so that fewer words come before more
        state = waiting.popleft()
        for to, arc in steps.get(state, ()):
            longer = [*found[state], arc.word] if arc.word else found[state]
            if to not in found or len(longer) < len(found[to]):
                found[to] = longer
                if arc.word:
                    waiting.append(to)
                else:
                    waiting.appendleft(to)
    return found
