"""Where a talk stands between two turns, and what a step of it asks for."""

from dataclasses import dataclass, replace
from typing import TypeAlias

from handsfree.values import (
    FUEL_OVER_LIMIT,
    Consent,
    Control,
    Noted,
    NotUnderstood,
    Pick,
    Question,
    Refusal,
    Request,
)


@dataclass(frozen=True, slots=True)
class Talk:
    """Where the talk stands.

    Attributes:
        asked: the question that is open.
        change: the change of tips or rig that waits for a yes.
        choices: what the words may have meant, likeliest first, when that was asked about.
        last: the last request that was answered, for "what about half inch"; its tip, fuel and
            position are those that he told last.
        before: the talk as it stood when the doubt came up; a no goes back to it.
        converted: the conversion that was told just before, for "and three quarters".
        dangers: what was refused and is not dealt with, as keys of the table of refusals.
        over: the request with the fuel pressure that was refused; he has named no other since.
    """

    asked: Question | None = None
    change: Request | None = None
    choices: tuple[Request, ...] = ()
    last: Request | None = None
    converted: Request | None = None
    before: "Talk | None" = None
    dangers: tuple[str, ...] = ()
    over: Request | None = None


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

    reply: Question | NotUnderstood | Noted


@dataclass(frozen=True, slots=True)
class DoIt:
    """Say again, say more, be quiet, or speak otherwise."""

    control: Control


Effect: TypeAlias = AnswerIt | KeepIt | ConfirmFirst | SayIt | DoIt
Understood: TypeAlias = Request | Question | Consent | Control | Pick | NotUnderstood | Between


def closed(talk: Talk) -> Talk:
    """The talk with no question open: what he told, and what is not dealt with, stays."""
    return Talk(last=talk.last, dangers=talk.dangers, over=talk.over)


def is_open(talk: Talk) -> bool:
    """Whether a question waits for its answer."""
    return talk.asked is not None or talk.change is not None or bool(talk.choices)


def asked(talk: Talk, question: Question, before: Talk) -> Talk:
    """The talk once the engine has answered with a question.

    The tip, gas and position of it are told once it is answered: what is left standing is nothing
    that a later request may fall into.
    """
    if talk.last is None:
        return replace(talk, asked=question)
    told = before.last
    last = replace(
        talk.last,
        tip=told.tip if told is not None else None,
        fuel=told.fuel if told is not None else None,
        position=told.position if told is not None else None,
    )
    return replace(talk, asked=question, last=last)


def refused(talk: Talk, refusal: Refusal) -> Talk:
    """The talk once the engine has refused: a danger stays in force, and may be asked about."""
    request = refusal.request
    dangers = tuple(dict.fromkeys((*talk.dangers, *refusal.stands)))
    named = request is not None and FUEL_OVER_LIMIT in refusal.stands
    if not named or request is None or request.asked_pressure is None:
        return replace(talk, asked=refusal.asks, dangers=dangers)
    last = talk.last and replace(talk.last, asked_pressure=None, asked_gas=None)
    return replace(talk, last=last, dangers=dangers, over=request)
