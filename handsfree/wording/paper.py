"""A told reply as lines to read: what was heard and understood, the answer, cautions, sources."""

import textwrap
from collections.abc import Iterable, Iterator

from handsfree.values import Status, Told
from handsfree.wording.paper_plan import metal_lines, plan_lines, take_up_lines

WIDTH = 92


def paper(told: Told) -> str:
    """The whole reply as text of at most 92 columns.

    >>> print(paper(Told("not_understood", "what", 1.0, "", "", (), ("No request in that.",))))
    Heard: what
    <BLANKLINE>
    No request in that.
    """
    return "\n".join(_lines(told))


def _lines(told: Told) -> Iterator[str]:
    if told.heard:
        yield from wrapped("Heard: ", printable(told.heard))
    if told.sureness < 1.0:
        yield f"How sure: {min(told.sureness, 0.99):.0%}"
    if told.understood:
        yield from wrapped("Understood: ", told.understood)
    yield ""
    for sentence in told.sentences:
        yield from wrapped("", sentence)
    yield from _figures(told)
    if told.plan is not None and told.about != "gas":
        yield from plan_lines(told.plan)
        if told.development is not None:
            yield from metal_lines(told.development)
    if told.take_up is not None:
        yield from take_up_lines(told.take_up)
    if told.kind == "answer":
        yield from _section("How", told.technique)
    yield from _section("Mind", told.cautions)
    yield from _section("Note", told.notes)
    yield from _section("Say", told.options)
    yield from _section("From", told.sources)


def _figures(told: Told) -> Iterator[str]:
    if not told.figures:
        return
    yield ""
    yield "Figures:"
    label = max(len(figure.label) for figure in told.figures)
    digits = max(len(figure.digits) + len(figure.unit) for figure in told.figures) + 1
    for figure in told.figures:
        value = f"{figure.digits} {figure.unit}".strip()
        trust = "" if figure.status is Status.READ else f"({figure.status.value})"
        note = " ".join(part for part in (figure.note, trust) if part)
        yield f"  {figure.label:<{label}}  {value:<{digits}}  {note}".rstrip()


def _section(title: str, sentences: Iterable[str]) -> Iterator[str]:
    found = tuple(sentences)
    if not found:
        return
    yield ""
    yield f"{title}:"
    for sentence in found:
        yield from wrapped("  - ", sentence)


def wrapped(first: str, text: str, indent: int = 4) -> list[str]:
    """The text in lines, the first of which opens like that."""
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=" " * min(len(first), indent)
    )


def printable(text: str) -> str:
    """What was typed, with control characters shown as blanks and very long text cut."""
    plain = "".join(character if character.isprintable() else " " for character in text)
    return f"{plain[:400]} ..." if len(plain) > 400 else plain
