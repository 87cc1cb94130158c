"""One pure step of a talk: what was understood, after what was said before, asks for one effect.

A question that was put stays open for the next words: they fill its gap, answer yes or no, or are a
new request and close it. A change of the tip box or the rig that was heard, not typed, waits for a
yes. Nothing here knows the time, the devices or the cutting engine.
"""

from dataclasses import dataclass, fields, replace
from fractions import Fraction
from typing import TypeAlias

from handsfree.values import (
    COATING_CONFIRMED,
    About,
    BoxChange,
    Consent,
    Control,
    Conversion,
    Noted,
    NotUnderstood,
    Pick,
    Piece,
    Question,
    Request,
    TipOnHand,
)

SURE_ENOUGH = 1.0
"""Words less sure than this change nothing without a yes: only typed words are as sure."""

SURE_OF_A_YES = 0.9
"""A yes less sure than this is no yes: a cough must not keep a tip."""

YES = "yes"
SAY_YES = "I am not sure that I heard a yes. Say yes or no."
NOTHING_TO_PICK = "There is nothing to choose from. Ask for a cut, or say help."
NO_QUESTION = "There is no question open. Ask for a cut, or say help."
DROPPED = "Dropped. Nothing was changed."
SAME = "same"
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
        before: the talk as it stood when the doubt came up; a no goes back to it.
        converted: the conversion that was told just before, for "and three quarters".
    """

    asked: Question | None = None
    change: Request | None = None
    choices: tuple[Request, ...] = ()
    last: Request | None = None
    converted: Request | None = None
    before: "Talk | None" = None


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


_NOTHING_TO_FOLLOW = frozenset(
    {About.TIP_BOX, About.RIG, About.HELP, About.STEPS, About.CONVERT}
    | {About.TIMER, About.MARK, About.RESULT, About.PRACTICE}
)


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
            readings = tuple(_plainly(_joined(talk, choice) or choice) for choice in choices)
            if question.request is not None:
                question = replace(question, request=readings[0])
            doubt = Talk(question, choices=readings, last=talk.last, before=talk.before or talk)
            return doubt, SayIt(question)
        case Control():
            return talk, DoIt(understood)
        case Consent(given):
            after, effect = _consented(talk, given, sureness)
        case Pick(which):
            after, effect = _picked(talk, which, sureness)
        case Request():
            meant = _chosen(talk, understood) or _joined(talk, understood) or understood
            if meant.about is About.HELP and (again := _put_again(talk)):
                return talk, again
            after, effect = _requested(_plainly(meant), sureness)
    return replace(after, last=_last(talk, effect), converted=_converted(effect)), effect


def is_open(talk: Talk) -> bool:
    """Whether a question waits for its answer."""
    return talk.asked is not None or talk.change is not None or bool(talk.choices)


def asked(talk: Talk, question: Question) -> Talk:
    """The talk once the engine has answered with a question."""
    return replace(talk, asked=question)


def _plainly(request: Request) -> Request:
    """A request that goes on from nothing any more."""
    return replace(request, follows=False, back_to_plain=())


def _put_again(talk: Talk) -> Effect | None:
    """What help is while something is open: the question, with all that can answer it."""
    if talk.change is not None:
        return ConfirmFirst(talk.change)
    return None if talk.asked is None else SayIt(talk.asked)


def _last(talk: Talk, effect: Effect) -> Request | None:
    """The request that "what about half inch" goes on from."""
    request = effect.request if isinstance(effect, AnswerIt) else None
    if request is None or request.hazards or request.about in _NOTHING_TO_FOLLOW:
        return talk.last
    if request.piece is None and talk.last is not None:
        return talk.last  # it still asks for the steel
    return request


def _converted(effect: Effect) -> Request | None:
    request = effect.request if isinstance(effect, AnswerIt) else None
    return request if request is not None and request.about is About.CONVERT else None


def _picked(talk: Talk, which: str, sureness: float) -> tuple[Talk, Effect]:
    """One of the readings that were asked about, or the steel of the request before."""
    if which.isdigit() and int(which) <= len(talk.choices):
        return _requested(talk.choices[int(which) - 1], sureness)
    asks_how_thick = talk.asked is not None and talk.asked.asks_for == "thickness"
    open_request = talk.asked.request if talk.asked is not None and asks_how_thick else None
    same = talk.last.piece if talk.last is not None and which == SAME else None
    if open_request is not None and same is not None:
        return _requested(replace(open_request, piece=same), sureness)
    return talk, SayIt(NotUnderstood("", NOTHING_TO_PICK))


def picked_option(talk: Talk, which: str) -> str | None:
    """The option of the open question that is meant: by its place, or by a word only it has.

    >>> ten = Question(None, "unit", "Ten what?", ("ten inch", "ten gauge"))
    >>> picked_option(Talk(asked=ten), "gauge"), picked_option(Talk(asked=ten), "1")
    ('ten gauge', 'ten inch')
    """
    if talk.asked is None or talk.choices or YES in talk.asked.options:
        return None
    options = talk.asked.options
    if which.isdigit():
        return options[int(which) - 1] if int(which) <= len(options) else None
    having = [option for option in options if which in option.split()]
    return having[0] if len(having) == 1 else None


def _consented(talk: Talk, given: bool, sureness: float) -> tuple[Talk, Effect]:
    if given and sureness < SURE_OF_A_YES and (talk.choices or talk.change or talk.asked):
        return talk, SayIt(NotUnderstood("", SAY_YES))
    if talk.choices:
        if given and len(talk.choices) == 1:
            return _requested(talk.choices[0], sureness)
        if not given:
            return talk.before or Talk(), SayIt(NotUnderstood("", SAY_AGAIN))
        return talk, SayIt(NotUnderstood("", WHICH_ONE))
    if talk.change is not None:
        if given:
            return Talk(), KeepIt(talk.change)
        return Talk(), SayIt(Noted(DROPPED))
    if talk.asked is not None and talk.asked.request and YES in talk.asked.options:
        if given:
            confirmed = (*talk.asked.request.defaults, COATING_CONFIRMED)
            return Talk(), AnswerIt(replace(talk.asked.request, defaults=confirmed))
        return Talk(), SayIt(Noted(DROPPED))
    if talk.asked is not None and not given:
        return Talk(), SayIt(Noted(DROPPED))
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
        if talk.converted is not None and _is_bare_size(fresh):
            amount = fresh.piece.thickness if fresh.piece else None
            unit = talk.converted.conversion.unit if talk.converted.conversion else None
            return replace(talk.converted, conversion=Conversion(amount, unit))
        open_request = open_request or talk.change or talk.last
    elif fresh is not None and not _fills_a_gap(fresh):
        return fresh
    if fresh is None or open_request is None:
        return fresh
    fresh = _of_the_hole(talk, _of_the_tip(talk, open_request, fresh))
    filled = {
        field.name: value
        for field in fields(Request)
        if (value := getattr(fresh, field.name))
        and field.name not in ("about", "piece", "defaults")
    }
    about = open_request.about if "setting" in fresh.defaults else fresh.about
    piece = _joined_piece(open_request.piece, fresh.piece, fresh.back_to_plain)
    return replace(open_request, about=about, piece=piece, **filled)


def _is_bare_size(fresh: Request) -> bool:
    """Whether nothing but a length was named: no plate, no tip, no gas."""
    piece = fresh.piece
    alone = piece is not None and piece == Piece(thickness=piece.thickness) and fresh.fuel is None
    return alone and fresh.tip is None and _fills_a_gap(fresh)


def _of_the_tip(talk: Talk, open_request: Request, fresh: Request) -> Request:
    """The fresh words, as the tip's where it was the tip that was asked about or is changed.

    "What plate is it made for?", "three quarter inch": that is not the plate to be cut.
    """
    said, piece = open_request.tip, fresh.piece
    asked_for = "" if talk.asked is None or talk.asked.again else talk.asked.asks_for
    about_tip = asked_for == "tip" and not fresh.follows
    changed = talk.change is not None and open_request is talk.change and said is not None
    if (about_tip or changed) and fresh.tip is None and piece is not None and piece.thickness:
        made_for = (piece.thickness, piece.thickness)
        fresh = replace(fresh, piece=None, tip=TipOnHand(made_for=made_for))
    if (about_tip or changed) and said is not None and fresh.tip is not None:
        news = {
            field.name: value
            for field in fields(TipOnHand)
            if (value := getattr(fresh.tip, field.name)) is not None
        }
        fresh = replace(fresh, tip=replace(said, **news))
    return fresh


def _of_the_hole(talk: Talk, fresh: Request) -> Request:
    """The fresh length as that of the hole, pin, weld or header that was asked about."""
    piece, asked_for = fresh.piece, "" if talk.asked is None else talk.asked.asks_for
    if fresh.follows or piece is None or not _is_bare_size(fresh) or piece.thickness is None:
        return fresh
    if asked_for in ("hole", "pin"):
        return replace(fresh, piece=None, cut_length=piece.thickness)
    if asked_for == "weld":
        return replace(fresh, piece=None, weld=piece.thickness)
    if asked_for == "header":
        inches = Fraction(float(piece.thickness.m_as("inch"))).limit_denominator(64)
        return replace(fresh, piece=None, header=inches)
    return fresh


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


def _joined_piece(
    said: Piece | None, fresh: Piece | None, back_to_plain: tuple[str, ...] = ()
) -> Piece | None:
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
    news |= {name: getattr(plain, name) for name in back_to_plain}
    return replace(said, **news)
