"""A reply in words: what is spoken, shown and recorded. Pure: no voice, page or clock."""

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from handsfree.values import (
    About,
    Answer,
    BoxChange,
    CutPlan,
    Fit,
    Metal,
    Noted,
    NotUnderstood,
    Question,
    Refusal,
    Reply,
    Request,
    Status,
    Surface,
    Task,
    Told,
    ToldFigure,
    Words,
)
from handsfree.values.steps import EMERGENCIES
from handsfree.wording import plan as wording_plan
from handsfree.wording.ear import for_the_ear
from handsfree.wording.figures import told_figure
from handsfree.wording.pairs import as_pairs
from handsfree.wording.readback import understood
from handsfree.wording.twice import read_both_ways, read_in_figures

FIGURES_AT_ONCE = 3
CHOICES_AT_ONCE = 4
HINTS_AT_ONCE = 3
MORE = "More?"

_VERDICTS_AT_ONCE = 4  # on whether the gas will do, or which tip to take up
_TECHNIQUE_AT_ONCE = 2  # beside what leads
_CAUTIONS_LATER = 5
_NOTES_LATER = 2
_SOURCES_SAID = 2
MARKED_AT_ONCE = 2  # how it lies and how it is marked, before the ordinates that were asked for
_DONE_FIRST = (Task.PIN, Task.STRIP_WELD)  # how it is done comes before any figure
# Figures that are shown; the voice gives them to those who ask for them, and a lean in the note of
# the travel.
_SHOWN_ONLY = {
    About.SETTING: frozenset({"lean", "kerf", "preheat_time", "oxygen_flow", "fuel_flow"}),
    About.TRAVEL_SPEED: frozenset({"lean"}),
    About.TAKE_UP: frozenset({"oxygen_pressure", "fuel_used"}),
    About.MARK: frozenset({"travel_speed"}),
}
_OWN_WORD = frozenset({About.CONVERT, About.MARK})  # a unit and a watch need nobody else's
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


def told(
    words: Words, reply: Reply, citation: Callable[[str], str], *, in_figures: bool = False
) -> Told:
    """A reply as it is spoken, shown and recorded.

    Args:
        words: what was heard.
        reply: the engine's, the parser's or the dialogue's reply.
        citation: key of a source to its words.
        in_figures: a number was heard beside another that is as plausible, so that every number of
            the read-back is said in two ways.

    >>> told(Words("what"), NotUnderstood("what", "No request in that."), str).sentences
    ('No request in that.',)
    """
    match reply:
        case Answer():
            return _answer(words, reply, citation, in_figures)
        case Question():
            return _question(words, reply, in_figures)
        case Refusal():
            return _refusal(words, reply, citation)
        case NotUnderstood():
            return _not_understood(words, reply)
        case Noted(said):
            sentences = tuple(_ears([said]))
            return Told("answer", words.text, words.sureness, "", "", (), sentences)


def read_back(text: str, in_figures: bool = False) -> tuple[str, ...]:
    """What was understood as a sentence, teens and tens read both ways; none for no words."""
    said = for_the_ear(read_in_figures(text) if in_figures else read_both_ways(text))
    return (said,) if said else ()


def choices(options: Iterable[str], in_figures: bool = False) -> str:
    """Options as one question: "Fifteen, one five, or fifty, five oh?"; each with its figures."""
    read = read_in_figures if in_figures else read_both_ways
    said = [read(_plain(option)) for option in options if _plain(option)]
    if not said:
        return ""
    if len(said) == 1:
        return f"{for_the_ear(said[0])[:-1]}?"
    # A comma before "or" keeps a choice that is read both ways in one piece.
    return f"{for_the_ear(', '.join(said[:-1]) + ', or ' + said[-1])[:-1]}?"


def _answer(words: Words, answer: Answer, citation: Callable[[str], str], in_figures: bool) -> Told:
    request = answer.request
    figures = tuple(told_figure(figure, citation) for figure in answer.figures)
    repeated = understood(request, answer)
    if answer.steps:
        said = _steps_said(answer)
    elif answer.plan is not None and request.about in wording_plan.AT_ONCE:
        said = _plan_said(answer, answer.plan, figures)
    else:
        said = _setting_said(answer, figures)
    sources = _unique([*map(citation, answer.sources), *(figure.source for figure in figures)])
    later = list(said.later)
    if request.about not in _OWN_WORD:
        later += _sources_said(sources)
    return Told(
        kind="steps" if answer.steps else "answer",
        heard=words.text,
        sureness=words.sureness,
        understood=repeated,
        about=request.about.value,
        request=as_pairs(request, answer),
        sentences=(
            *read_back(repeated, in_figures),
            *_unique(said.now),
            *((MORE,) if later else ()),
        ),
        more=tuple(_unique(later)),
        figures=figures,
        technique=(*answer.steps, *answer.technique),
        cautions=answer.cautions,
        notes=(*answer.notes, *_taken_as_read(request)),
        sources=tuple(sources),
        plan=answer.plan,
        development=answer.development,
        take_up=answer.take_up,
        progress=answer.progress,
    )


def _plan_said(answer: Answer, plan: CutPlan, figures: tuple[ToldFigure, ...]) -> _Said:
    """How it lies, the order and what to set; then every cut by itself, and the rest."""
    first_said = wording_plan.AT_ONCE[answer.request.about]
    at_once = [figure for figure in figures if figure.name in first_said][:FIGURES_AT_ONCE]
    others = [figure for figure in figures if figure.name not in first_said]
    cautions = _ears(answer.cautions)
    fit = _fit_said(answer, _ears(wording_plan.held(plan)))
    if any("tip is" in line for line in wording_plan.held(plan)):
        fit = []  # how to hold it says why
    taken = len(fit) + len(at_once) + 3  # the read-back, a caution and "more"
    limit = wording_plan.FIRST_AT_MOST + 4 * (answer.request.about is About.CUT_ORDER)
    first = wording_plan.opening(plan, answer.technique, limit - taken)
    unrolled = answer.development
    marked = _ears(wording_plan.development_said(unrolled)) if unrolled is not None else []
    if answer.request.task is Task.MARK_OUT and marked:
        others, at_once = [*at_once, *others], []
        now = [*_ears(first.now[:MARKED_AT_ONCE]), *marked, *cautions[:1]]
        first = first._replace(later=[*first.now[MARKED_AT_ONCE:], *first.later])
        marked = []
    else:
        now = [*fit, *_ears(first.now), *map(_figure_said, at_once), *cautions[:1]]
    later = [
        *_ears(first.later),
        *_ears(wording_plan.cuts_said(plan)),
        *marked,
        *map(_figure_said, others),
        *cautions[1 : 1 + _CAUTIONS_LATER],
        *_ears(answer.notes[:_NOTES_LATER]),
        *_trust(at_once),
    ]
    return _Said(now, later)


def _setting_said(answer: Answer, figures: tuple[ToldFigure, ...]) -> _Said:
    """What he needs first: how to hold a tip that does not suit, then the figures to set."""
    hidden = _SHOWN_ONLY.get(answer.request.about, frozenset())
    aloud = [figure for figure in figures if figure.name not in hidden]
    leaned = any(figure.name == "lean" for figure in aloud)
    spoken = [_figure_said(figure, leaned) for figure in aloud]
    technique, cautions = _ears(answer.technique), _ears(answer.cautions)
    if not figures:
        lead = at_once = len(technique)
    else:
        lead = _leading_technique(answer, figures)
        least = {
            About.TECHNIQUE: lead + _TECHNIQUE_AT_ONCE,
            About.TIP: 1,
            About.WEIGHT: _TECHNIQUE_AT_ONCE,  # where it balances
            About.MARK: len(technique),
        }
        at_once = max(lead, least.get(answer.request.about, 0))
    fit = _fit_said(answer, technique)
    now = [
        *fit,
        *technique[:lead],
        *spoken[:FIGURES_AT_ONCE],
        *technique[lead:at_once],
        *cautions[:1],
    ]
    later = [
        *spoken[FIGURES_AT_ONCE:],
        *technique[at_once:],
        *cautions[1 : 1 + _CAUTIONS_LATER],
        *_ears(answer.notes[:_NOTES_LATER]),
        *(_trust(aloud[:FIGURES_AT_ONCE]) if answer.request.about not in _OWN_WORD else []),
    ]
    return _Said(now, later)


def _leading_technique(answer: Answer, figures: tuple[ToldFigure, ...]) -> int:
    """How many sentences of the technique come before any figure.

    All where tips or rig change, for what is kept is said before its figures, and all on whether
    the gas will do. One for a tip that does not suit, a leaned torch, a pressure that he named,
    or the preheat, where colour comes before any time; and one for steel that is made ready first.
    """
    request, piece = answer.request, answer.request.piece
    if request.about is About.RIG or request.change not in (None, BoxChange.SHOW):
        return len(answer.technique)
    if request.about is About.MARK:  # how fast it was comes first
        return 0
    if request.paced is not None:  # what was done comes before its figures
        return len(answer.technique)
    if request.about in (About.GAS, About.TAKE_UP) or request.task in _DONE_FIRST:
        return min(len(answer.technique), _VERDICTS_AT_ONCE)  # whether it will do; which tip; how
    changes_hold = (
        answer.fit in (Fit.TOO_SMALL, Fit.TOO_LARGE)
        or request.asked_pressure is not None
        or request.about is About.PREHEAT
        or any(figure.name == "lean" for figure in figures)
    )
    made_ready = (
        piece is not None
        and request.about in (About.SETTING, About.TECHNIQUE)
        and (
            piece.metal is not Metal.MILD_STEEL
            or piece.surface is Surface.RUSTY
            or piece.carbon_percent is not None
        )
    )
    return changes_hold + made_ready


def _fit_said(answer: Answer, technique: list[str]) -> list[str]:
    """How the tip suits, unless the technique says it; a right tip only when one was named."""
    said = _FIT_SAID.get(answer.fit, "")
    if not said or (answer.fit is Fit.RIGHT and answer.request.tip is None):
        return []
    return [] if any(line.startswith(said.rstrip(".")) for line in technique) else [said]


def _steps_said(answer: Answer) -> _Said:
    """Every step is said, in order: a list cut short is a list with a step skipped."""
    steps = [
        for_the_ear(f"Step {number}. {step}") for number, step in enumerate(answer.steps, start=1)
    ]
    first, opens = _ears(answer.cautions[:1]), _ears(answer.technique)
    # such a list opens with its first action, before anything else is said but its name
    emergency = answer.request.steps in EMERGENCIES
    now = [*opens, *steps, *first] if emergency else [*first, *opens, *steps]
    return _Said(now, [*_ears(answer.cautions[1:]), *_ears(answer.notes)])


def _question(words: Words, question: Question, in_figures: bool) -> Told:
    repeated = understood(question.request) if question.request is not None else ""
    prompt = for_the_ear(question.prompt)
    offered = [option for option in question.options if not _offers(prompt, option)]
    at_once, later = offered[:CHOICES_AT_ONCE], offered[CHOICES_AT_ONCE:]
    sentences = [*read_back(repeated, in_figures), prompt, choices(at_once, in_figures)]
    rest = choices(later, in_figures)
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


def _offers(prompt: str, option: str) -> bool:
    """Whether a prompt names an option itself; "w ten by thirty four" does not name thirty."""
    named = re.escape(for_the_ear(option)[:-1])
    return re.search(rf"\b{named}(?=[,.?]| or | and )", prompt, re.IGNORECASE) is not None


def _refusal(words: Words, refusal: Refusal, citation: Callable[[str], str]) -> Told:
    request = refusal.request
    repeated = understood(request) if request is not None else ""
    rule = [f"The rule is {_rule_aloud(refusal.rule)}"] if refusal.rule else []
    spoken = _ears([refusal.reason, *refusal.instead, *rule])
    ends = refusal.asks
    asks = (for_the_ear(ends.prompt), choices(ends.options)) if ends is not None else ()
    sources = _unique([*filter(None, [refusal.rule]), *map(citation, refusal.sources)])
    return Told(
        kind="refusal",
        heard=words.text,
        sureness=words.sureness,
        understood=repeated,
        about=request.about.value if request is not None else "",
        request=as_pairs(request),
        sentences=(*read_back(repeated), *_unique(spoken), *asks),
        technique=refusal.instead,
        cautions=(refusal.reason,),
        sources=tuple(sources),
        options=ends.options if ends is not None else (),
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


def _figure_said(figure: ToldFigure, leaned: bool = False) -> str:
    """A figure with its note, less the lean when that is said as a figure of its own."""
    note = "" if leaned and figure.note.startswith("leaned") else figure.note
    return for_the_ear(", ".join(filter(None, [figure.label, figure.spoken, note])))


def _trust(figures: list[ToldFigure]) -> list[str]:
    """The weakest of what was said at once, where that is less than read; the page shows all."""
    for status, opening in _WEAK.items():
        if labels := _unique(figure.label for figure in figures if figure.status is status):
            return [for_the_ear(f"{opening}, {_listed(labels)}")]
    return []


def _sources_said(sources: list[str]) -> list[str]:
    """The first two sources in one sentence; the page shows them all."""
    # A capital A in mid-sentence would be read as a letter.
    first = re.compile(r"^[A-Z][a-z]*(?= [a-z])")
    said = [first.sub(lambda word: word[0].lower(), each) for each in sources[:_SOURCES_SAID]]
    return [for_the_ear(f"Source, {', and '.join(said)}")] if said else []


def _taken_as_read(request: Request) -> tuple[str, ...]:
    """What was not said and was assumed."""
    taken = [name for name in request.defaults if name not in tuple(About)]
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
