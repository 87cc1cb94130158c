"""A reply in words: what is spoken, shown and recorded. Pure: no voice, page or clock."""

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from handsfree.tell.wording_ear import for_the_ear, read_both_ways
from handsfree.tell.wording_figures import told_figure
from handsfree.tell.wording_readback import as_pairs, understood
from handsfree.values import (
    COATING_CONFIRMED,
    About,
    Answer,
    Fit,
    NotUnderstood,
    Question,
    Refusal,
    Reply,
    Request,
    Status,
    Told,
    ToldFigure,
    Words,
)

FIGURES_AT_ONCE = 3
CHOICES_AT_ONCE = 4
HINTS_AT_ONCE = 3
MORE = "More?"

# Lists that open with their first action, before anything else is said but their name.
EMERGENCIES = frozenset({"backfire", "flashback", "leak", "fire", "leak_or_fire"})
_TECHNIQUE_AT_ONCE = 3
_FIT_SAID = {
    Fit.RIGHT: "The tip is right.",
    Fit.TOO_SMALL: "The tip is too small.",
    Fit.TOO_LARGE: "The tip is too large.",
}
# Statuses that the listener must know of before he trusts a figure.
_WEAK = {
    Status.MEMORY: "From memory, check it against your own chart",
    Status.COMMON_PRACTICE: "Common practice, no published source",
    Status.SECONDARY: "From a second hand source",
    Status.COMPUTED: "Worked out, not from a table",
}


class _Said(NamedTuple):
    """The sentences after the read-back, and those after "more"."""

    now: list[str]
    later: list[str]


def told(words: Words, reply: Reply, citation: Callable[[str], str]) -> Told:
    """A reply as it is spoken, shown and recorded.

    Args:
        words: what was heard.
        reply: the engine's, the parser's or the dialogue's reply.
        citation: key of a source to its words.

    >>> told(Words("what"), NotUnderstood("what", "No request in that."), str).sentences
    ('No request in that.',)
    """
    match reply:
        case Answer():
            return _answer(words, reply, citation)
        case Question():
            return _question(words, reply)
        case Refusal():
            return _refusal(words, reply, citation)
        case NotUnderstood():
            return _not_understood(words, reply)


def read_back(text: str) -> tuple[str, ...]:
    """What was understood as a sentence, teens and tens read both ways; none for no words."""
    said = for_the_ear(read_both_ways(text))
    return (said,) if said else ()


def choices(options: Iterable[str]) -> str:
    """Options as one question: "Fifteen, one five, or fifty, five oh?"."""
    said = [read_both_ways(_plain(option)) for option in options if _plain(option)]
    if not said:
        return ""
    if len(said) == 1:
        return f"{for_the_ear(said[0])[:-1]}?"
    # A comma before "or" keeps a choice that is read both ways in one piece.
    return f"{for_the_ear(', '.join(said[:-1]) + ', or ' + said[-1])[:-1]}?"


def _answer(words: Words, answer: Answer, citation: Callable[[str], str]) -> Told:
    request = answer.request
    figures = tuple(told_figure(figure, citation) for figure in answer.figures)
    repeated = understood(request, answer)
    said = _steps_said(answer) if answer.steps else _setting_said(answer, figures)
    sources = _unique([*map(citation, answer.sources), *(figure.source for figure in figures)])
    later = [*said.later, *_sources_said(sources)]
    return Told(
        kind="steps" if answer.steps else "answer",
        heard=words.text,
        sureness=words.sureness,
        understood=repeated,
        about=request.about.value,
        request=as_pairs(request, answer),
        sentences=(*read_back(repeated), *_unique(said.now), *((MORE,) if later else ())),
        more=tuple(_unique(later)),
        figures=figures,
        technique=(*answer.steps, *answer.technique),
        cautions=answer.cautions,
        notes=(*answer.notes, *_taken_as_read(request)),
        sources=tuple(sources),
    )


def _setting_said(answer: Answer, figures: tuple[ToldFigure, ...]) -> _Said:
    spoken = [_figure_said(figure) for figure in figures]
    technique = _ears(answer.technique)
    off_size = answer.fit in (Fit.TOO_SMALL, Fit.TOO_LARGE)
    if answer.request.about is About.TECHNIQUE or not figures:
        at_once = _TECHNIQUE_AT_ONCE if figures else len(technique)
    else:
        at_once = 1 if off_size else 0
    fits = _FIT_SAID.get(answer.fit, "") if answer.request.tip is not None else ""
    fit = [fits] if fits and not any(fits in said for said in technique[:at_once]) else []
    cautions = _ears(answer.cautions)
    now = [*fit, *spoken[:FIGURES_AT_ONCE], *technique[:at_once], *cautions[:1]]
    later = [
        *spoken[FIGURES_AT_ONCE:],
        *technique[at_once:],
        *cautions[1:],
        *_ears(answer.notes),
        *_ears(_taken_as_read(answer.request)),
        *_trust(figures),
    ]
    return _Said(now, later)


def _steps_said(answer: Answer) -> _Said:
    """Every step is said, in order: a list cut short is a list with a step skipped."""
    steps = [
        for_the_ear(f"Step {number}. {step}") for number, step in enumerate(answer.steps, start=1)
    ]
    around = [*_ears(answer.cautions[:1]), *_ears(answer.technique)]
    emergency = answer.request.steps in EMERGENCIES
    now = [*steps, *around] if emergency else [*around, *steps]
    return _Said(now, [*_ears(answer.cautions[1:]), *_ears(answer.notes)])


def _question(words: Words, question: Question) -> Told:
    repeated = understood(question.request) if question.request is not None else ""
    prompt = for_the_ear(question.prompt)
    lower = prompt.lower()
    offered = [
        option for option in question.options if for_the_ear(option)[:-1].lower() not in lower
    ]
    sentences = [*read_back(repeated), prompt, choices(offered[:CHOICES_AT_ONCE])]
    rest = choices(offered[CHOICES_AT_ONCE:])
    return Told(
        kind="question",
        heard=words.text,
        sureness=words.sureness,
        understood=repeated,
        about=question.request.about.value if question.request is not None else "",
        request=as_pairs(question.request),
        sentences=(*filter(None, sentences), *((MORE,) if rest else ())),
        more=(rest,) if rest else (),
        options=question.options,
    )


def _refusal(words: Words, refusal: Refusal, citation: Callable[[str], str]) -> Told:
    request = refusal.request
    repeated = understood(request) if request is not None else ""
    rule = [f"The rule is {_rule_aloud(refusal.rule)}"] if refusal.rule else []
    spoken = _ears([refusal.reason, *rule, *refusal.instead])
    sources = _unique([*filter(None, [refusal.rule]), *map(citation, refusal.sources)])
    return Told(
        kind="refusal",
        heard=words.text,
        sureness=words.sureness,
        understood=repeated,
        about=request.about.value if request is not None else "",
        request=as_pairs(request),
        sentences=(*read_back(repeated), *_unique(spoken)),
        technique=refusal.instead,
        cautions=(refusal.reason,),
        sources=tuple(sources),
    )


def _not_understood(words: Words, reply: NotUnderstood) -> Told:
    hints = [_plain(hint) for hint in reply.hints if _plain(hint)]
    can_say = [f"You can say, {hints[0]}", *(f"Or, {hint}" for hint in hints[1:])] if hints else []
    return Told(
        kind="not_understood",
        heard=words.text,
        sureness=words.sureness,
        understood="",
        about="",
        request=(),
        sentences=tuple(_ears([reply.why, *can_say[:HINTS_AT_ONCE]])),
        more=tuple(_ears(can_say[HINTS_AT_ONCE:])),
        options=reply.hints,
    )


def _figure_said(figure: ToldFigure) -> str:
    return for_the_ear(", ".join(filter(None, [figure.label, figure.spoken, figure.note])))


def _trust(figures: tuple[ToldFigure, ...]) -> list[str]:
    """How far the figures can be trusted, where that is less than read in a source."""
    said = []
    for status, opening in _WEAK.items():
        labels = _unique(figure.label for figure in figures if figure.status is status)
        if labels:
            said.append(for_the_ear(f"{opening}, {_listed(labels)}"))
    return said


def _sources_said(sources: list[str]) -> list[str]:
    """The first source; the page shows them all."""
    # A capital A in mid-sentence would be read as a letter.
    return [
        for_the_ear(f"Source, {re.sub(r'^(A|An|The|Our) ', _small, source)}")
        for source in sources[:1]
    ]


def _small(match: re.Match[str]) -> str:
    return match.group().lower()


def _taken_as_read(request: Request) -> tuple[str, ...]:
    """What was not said and was assumed; what the user confirmed is not among it."""
    plain = (COATING_CONFIRMED, request.about.value)
    taken = [name for name in request.defaults if name not in plain]
    return (f"Not said, taken as read: {_listed(taken)}.",) if taken else ()


def _rule_aloud(rule: str) -> str:
    """The federal rule where a state copy of it is cited; the page shows both."""
    _, copied, original = rule.partition("copy of ")
    return original if copied else rule


def _listed(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _plain(text: str) -> str:
    """A phrase in small letters, without a stop, as `read_both_ways` takes it."""
    return re.sub(r"[.?]$", "", for_the_ear(text)).lower()


def _ears(sentences: Iterable[str]) -> list[str]:
    return [said for said in map(for_the_ear, sentences) if said]


def _unique(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(name for name in names if name))
