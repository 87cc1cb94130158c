"""A family of cases in two sizes: some in the quick tier, all in the long one."""

from collections.abc import Sequence
from typing import Any, TypeVar

import pytest

Case = TypeVar("Case")

SOME_OR_ALL = pytest.mark.parametrize(
    "every", [pytest.param(False, id="some"), pytest.param(True, id="all", marks=pytest.mark.long)]
)
"""The test takes `every`, and hands it on to `taken`."""


def taken(cases: Sequence[Case], at: int, every: bool, some: int = 1) -> Sequence[Case]:
    """All cases, or some from this place on, round: over the places each of them has its turn.

    >>> [taken("abc", at, every=False) for at in range(4)]
    [('a',), ('b',), ('c',), ('a',)]
    >>> taken("abc", 2, every=False, some=2), taken("abc", 2, every=True)
    (('c', 'a'), 'abc')
    """
    if every or some >= len(cases):
        return cases
    return tuple(cases[(at + step) % len(cases)] for step in range(some))


def some_of(cases: Sequence[Case], every_th: int) -> list[Any]:
    """Parameters of a test: every so many of the cases in the quick tier, the rest in the long one.

    >>> [len(getattr(each, "marks", ())) for each in some_of("abcd", every_th=3)]
    [0, 1, 1, 0]
    """
    return [
        pytest.param(case, marks=pytest.mark.long) if at % every_th else pytest.param(case)
        for at, case in enumerate(cases)
    ]
