"""A told reply as few lines: what was understood, the figures, how, what to mind in this case.

All of it is in `paper`; the last line says what is left out here. Colours only repeat what the
words say.
"""

from collections.abc import Iterator
from typing import Final

from handsfree.values import Told, ToldFigure
from handsfree.wording.ear import for_the_ear
from handsfree.wording.paper import printable, wrapped
from handsfree.wording.paper_plan import plan_lines, take_up_lines
from handsfree.wording.reply import MORE

FIGURES: Final = 5
HOW_LINES: Final = 3
_BOLD, _WARN, _FAINT, _PLAIN = "\x1b[1m", "\x1b[33m", "\x1b[2m", "\x1b[0m"
_COLOURS: Final = {
    "Understood:": _BOLD,
    "Mind:": _WARN,
    "  ! ": _WARN,
    **dict.fromkeys(("figures:", "how:", "notes:", "sources:"), _FAINT),
}
"""By how a line begins; each of them says in words what it is."""


def short_paper(
    told: Told,
    usual: frozenset[str] = frozenset(),
    *,
    coloured: bool = False,
    more: str = "--more",
) -> str:
    """The reply in short, as text of at most 92 columns.

    Args:
        told: the reply.
        usual: cautions of every cut, which are counted and not printed, but for the first of all.
        coloured: for a terminal that takes colours.
        more: what is typed to see the rest.

    >>> print(short_paper(Told("not_understood", "what", 1, "", "", (), ("No request in that.",))))
    Heard: what
    <BLANKLINE>
    No request in that.
    """
    lines: list[str] = []
    for line in _lines(told, usual, more):
        if line or lines[-1:] != [""]:  # one blank line between parts, whichever there are
            lines.append(line.rstrip())
    return "\n".join(map(_in_colour, lines) if coloured else lines)


def _lines(told: Told, usual: frozenset[str], more: str) -> Iterator[str]:
    if told.heard and (told.sureness < 1.0 or not told.understood):
        yield from wrapped("Heard: ", printable(told.heard))
    if told.sureness < 1.0:
        yield f"How sure: {min(told.sureness, 0.99):.0%}"
    if told.understood:
        yield from wrapped("Understood: ", told.understood)
    yield ""
    shown = told.figures[:FIGURES]
    for sentence in _said(told, usual):
        yield from wrapped("", sentence)
    yield from _figures(shown)
    if told.plan is not None and told.about != "gas":
        yield from plan_lines(told.plan)
    if told.take_up is not None:
        yield from take_up_lines(told.take_up)
    how, how_many = _how(told)
    if how:
        yield ""
        yield from how
    mind, left = _minded(told, usual)
    if mind or left:
        yield ""
        yield "Mind:" if mind else f"Mind: {_left_said(left, more)}"
    for sentence in mind:
        yield from wrapped("  ! ", sentence)
    if mind and left:
        yield f"  {_left_said(left, more)}"
    yield from _say(told)
    left_out = _left_out(told, len(told.figures) - len(shown), len(told.technique) - how_many)
    if left_out:
        yield ""
        yield f"{left_out}, {more} shows them"


def _said(told: Told, usual: frozenset[str]) -> Iterator[str]:
    """What is spoken, without what stands below in figures, steps or cautions."""
    below = {MORE, for_the_ear(told.understood)} if told.understood else {MORE}
    if told.kind == "answer":
        mind, _ = _minded(told, usual)
        below |= {*map(for_the_ear, (*told.technique, *mind, *usual)), *told.technique}
    numbers = [figure.spoken for figure in told.figures if figure.spoken]
    for sentence in told.sentences:
        if sentence not in below and not any(number in sentence for number in numbers):
            yield sentence


def _figures(figures: tuple[ToldFigure, ...]) -> Iterator[str]:
    if not figures:
        return
    values = [f"{figure.digits} {figure.unit}".strip() for figure in figures]
    label, value = max(len(figure.label) for figure in figures), max(map(len, values))
    for figure, digits in zip(figures, values, strict=True):
        note = f"{figure.note} ({figure.status.value})".lstrip()
        yield f"  {figure.label:<{label}}  {digits:<{value}}  {note}"


def _how(told: Told) -> tuple[list[str], int]:
    """As many sentences as fit the lines, and their number; those of the case come first."""
    lines: list[str] = []
    sentences = told.technique if told.kind == "answer" else ()
    for number, sentence in enumerate(sentences):
        more = wrapped("     " if lines else "How: ", sentence, 5)
        if len(lines) + len(more) > HOW_LINES:
            return lines, number
        lines += more
    return lines, len(told.technique)


def _minded(told: Told, usual: frozenset[str]) -> tuple[list[str], int]:
    """The cautions of this case, and how many more go with every cut.

    What was said in so many words, as in a refusal, is not said again.
    """
    spoken = set() if told.kind == "answer" and told.figures else set(told.sentences)
    cautions = [each for each in told.cautions if for_the_ear(each) not in spoken]
    if told.kind == "refusal":
        return [], 0
    mind = [each for at, each in enumerate(cautions) if at == 0 or each not in usual]
    return mind, len(cautions) - len(mind)


def _left_said(left: int, more: str) -> str:
    return f"and {left} for every cut: {more}"


def _say(told: Told) -> Iterator[str]:
    """What a question can be answered with, where it does not say so itself."""
    spoken = " ".join(told.sentences).lower()
    if told.kind == "question" and any(each.lower() not in spoken for each in told.options):
        yield from wrapped("Say: ", ", or ".join(told.options))


def _left_out(told: Told, figures: int, how: int) -> str:
    """What is not shown, as numbers; empty where all is."""
    left = {
        "figures": figures,
        "how": how,
        "notes": len(told.notes),
        "sources": len(told.sources),
    }
    return ", ".join(f"{name}: {number}" for name, number in left.items() if number)


def _in_colour(line: str) -> str:
    for opening, colour in _COLOURS.items():
        if line.startswith(opening):
            return f"{colour}{line}{_PLAIN}"
    return line
