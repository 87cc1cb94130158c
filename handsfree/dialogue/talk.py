"""One pure step of a talk: what was understood, after what was said before, asks for one effect.

A question that was put stays open for the next words: they fill its gap, answer yes or no, or are a
new request and close it. A change of the tip box or the rig that was heard, not typed, waits for a
yes. Nothing here knows the time, the devices or the cutting engine.
"""

from dataclasses import dataclass, fields, replace
from typing import TypeAlias

from handsfree.values import (
    COATING_CONFIRMED,
    About,
    BoxChange,
    Consent,
    Control,
    NotUnderstood,
    Piece,
    Question,
    Request,
)

SURE_ENOUGH = 1.0
"""Words less sure than this change nothing without a yes: only typed words are as sure."""

YES = "yes"
NO_QUESTION = "There is no question open. Ask for a cut, or say help."
DROPPED = "Dropped. Nothing was changed."
SAY_AGAIN = "Then say it again."
WHICH_ONE = "Say which of the two."


@dataclass(frozen=True, slots=True)
class Talk:
    """Where the talk stands.

    Attributes:
        asked: the question that is open.
        change: the change of tips or rig that waits for a yes.
        choices: what the words may have meant, likeliest first, when that was asked about.
        last: the last request that was answered, for "what about half inch".
    """

    asked: Question | None = None
    change: Request | None = None
    choices: tuple[Request, ...] = ()
    last: Request | None = None


@dataclass(frozen=True, slots=True)
class Between:
    """Words that were not heard surely: a question, and what each answer to it would mean."""

    question: Question
    choices: tuple[Request, ...]


@dataclass(frozen=True, slots=True)
class AnswerIt:
    """Have the engine answer this request."""

    request: Request


@dataclass(frozen=True, slots=True)
class KeepIt:
    """Keep this change of tip box or rig, then have the engine confirm it."""

    request: Request


@dataclass(frozen=True, slots=True)
class ConfirmFirst:
    """Read this change back and ask for a yes."""

    request: Request


@dataclass(frozen=True, slots=True)
class SayIt:
    """Say this as it is."""

    reply: Question | NotUnderstood


@dataclass(frozen=True, slots=True)
class DoIt:
    """Say again, say more, be quiet, or speak otherwise."""

    control: Control


Effect: TypeAlias = AnswerIt | KeepIt | ConfirmFirst | SayIt | DoIt
Understood: TypeAlias = Request | Question | Consent | Control | NotUnderstood | Between


_NOTHING_TO_FOLLOW = frozenset({About.TIP_BOX, About.RIG, About.HELP, About.STEPS, About.CONVERT})


def step(talk: Talk, understood: Understood, sureness: float = 1.0) -> tuple[Talk, Effect]:
    """The talk after these words, and what is to be done about them."""
    match understood:
        case NotUnderstood():
            return talk, SayIt(understood)
        case Question():
            joined = _joined(talk, understood.request)
            question = replace(understood, request=joined)
            return Talk(asked=question, last=talk.last), SayIt(question)
        case Between(question, choices):
            return Talk(asked=question, choices=choices, last=talk.last), SayIt(question)
        case Control():
            return talk, DoIt(understood)
        case Consent(given):
            after, effect = _consented(talk, given, sureness)
        case Request():
            meant = _chosen(talk, understood) or _joined(talk, understood) or understood
            after, effect = _requested(replace(meant, follows=False), sureness)
    last = effect.request if isinstance(effect, AnswerIt) else None
    if last is None or last.hazards or last.about in _NOTHING_TO_FOLLOW:
        last = talk.last
    return replace(after, last=last), effect


def asked(talk: Talk, question: Question) -> Talk:
    """The talk once the engine has answered with a question."""
    return replace(talk, asked=question)


def _consented(talk: Talk, given: bool, sureness: float) -> tuple[Talk, Effect]:
    if talk.choices:
        if given and len(talk.choices) == 1:
            return _requested(talk.choices[0], sureness)
        if not given and len(talk.choices) == 1:
            return Talk(), SayIt(NotUnderstood("", SAY_AGAIN))
        return talk, SayIt(NotUnderstood("", WHICH_ONE))
    if talk.change is not None:
        if given:
            return Talk(), KeepIt(talk.change)
        return Talk(), SayIt(NotUnderstood("", DROPPED))
    if talk.asked is not None and talk.asked.request and YES in talk.asked.options:
        if given:
            confirmed = (*talk.asked.request.defaults, COATING_CONFIRMED)
            return Talk(), AnswerIt(replace(talk.asked.request, defaults=confirmed))
        return Talk(), SayIt(NotUnderstood("", DROPPED))
    return talk, SayIt(NotUnderstood("", NO_QUESTION))


def _requested(request: Request, sureness: float) -> tuple[Talk, Effect]:
    changes = request.about in (About.TIP_BOX, About.RIG)
    if request.hazards or not changes or request.change is BoxChange.SHOW:
        return Talk(), AnswerIt(request)
    if sureness < SURE_ENOUGH:
        return Talk(change=request), ConfirmFirst(request)
    return Talk(), KeepIt(request)


def _joined(talk: Talk, fresh: Request | None) -> Request | None:
    """The open question's request with its gap filled; the fresh request when it is one itself."""
    open_request = None if talk.asked is None else talk.asked.request
    if fresh is not None and fresh.follows:
        open_request = open_request or talk.last
    elif fresh is not None and not _fills_a_gap(fresh):
        return fresh
    if fresh is None or open_request is None:
        return fresh
    filled = {
        field.name: value
        for field in fields(Request)
        if (value := getattr(fresh, field.name))
        and field.name not in ("about", "piece", "defaults")
    }
    about = open_request.about if "setting" in fresh.defaults else fresh.about
    piece = _joined_piece(open_request.piece, fresh.piece)
    return replace(open_request, about=about, piece=piece, **filled)


def _chosen(talk: Talk, fresh: Request) -> Request | None:
    """The one choice that agrees with all that was now said, when it only names a thing."""
    if not talk.choices or not _fills_a_gap(fresh):
        return None
    fitting = [choice for choice in talk.choices if _agrees(choice, fresh)]
    return fitting[0] if len(fitting) == 1 else None


def _agrees(choice: Request, fresh: Request) -> bool:
    names = {field.name for field in fields(Request)} - {"about", "piece", "defaults", "lean"}
    alike = all(getattr(choice, name) == value for name in names if (value := getattr(fresh, name)))
    if not alike or fresh.piece is None:
        return alike
    if choice.piece is None:
        return False
    plain = Piece()
    return all(
        getattr(choice.piece, field.name) == value
        for field in fields(Piece)
        if (value := getattr(fresh.piece, field.name)) != getattr(plain, field.name)
    )


def _fills_a_gap(fresh: Request) -> bool:
    """Words that ask for nothing themselves and only name a thing: they answer what was asked."""
    return fresh.about is About.SETTING and "setting" in fresh.defaults and not fresh.hazards


def _joined_piece(said: Piece | None, fresh: Piece | None) -> Piece | None:
    if said is None or fresh is None:
        return fresh or said
    plain = Piece()
    news = {
        field.name: value
        for field in fields(Piece)
        if (value := getattr(fresh, field.name)) != getattr(plain, field.name)
    }
    if fresh.designation is not None or fresh.gauge is not None or fresh.thickness is not None:
        said = replace(said, designation=None, gauge=None, thickness=None)
    return replace(said, **news)
