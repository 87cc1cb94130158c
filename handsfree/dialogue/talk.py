"""One pure step of a talk: what was understood, after what was said before, asks for one effect.

A question that was put stays open for the next words: they fill its gap, answer yes or no, or are a
new request and close it. A change of the tip box or the rig, heard or typed, waits for a yes; a yes
confirms what the question says that it would, and nothing beyond it. Nothing here knows the time,
the devices or the cutting engine.
"""

from dataclasses import replace

from handsfree.dialogue.joining import (
    NOT_A_CUT,
    chosen,
    fills_a_gap,
    joined,
    plainly,
    under_what_stands,
    with_what_was_told,
)
from handsfree.dialogue.talk_state import (
    AnswerIt,
    Between,
    ConfirmFirst,
    DoIt,
    Effect,
    KeepIt,
    SayIt,
    Talk,
    Understood,
    closed,
)
from handsfree.values import (
    About,
    BoxChange,
    Consent,
    Control,
    Noted,
    NotUnderstood,
    Pick,
    Question,
    Request,
    YesKind,
)
from handsfree.values.reply import Asks

SURE_OF_A_YES = 0.9
"""A yes less sure than this is no yes: a cough must not keep a tip."""

SAY_YES = "I am not sure that I heard a yes. Say yes or no."
NOTHING_TO_PICK = "There is nothing to choose from. Ask for a cut, or say help."
NO_QUESTION = "There is no question open. Ask for a cut, or say help."
DROPPED = "Dropped. Nothing was changed."
SAME = "same"
SAY_AGAIN = "Then say it again."
WHICH_ONE = "Say which of the two."


def step(talk: Talk, understood: Understood, sureness: float = 1.0) -> tuple[Talk, Effect]:
    """The talk after these words, and what is to be done about them."""
    match understood:
        case NotUnderstood():
            return talk, SayIt(understood)
        case Question():
            question = replace(understood, request=joined(talk, understood.request))
            return replace(closed(talk), asked=question), SayIt(question)
        case Between(question, choices):
            readings = tuple(_meant(talk, choice) for choice in choices)
            if question.request is not None:
                question = replace(question, request=readings[0])
            doubt = replace(
                closed(talk), asked=question, choices=readings, before=talk.before or talk
            )
            return doubt, SayIt(question)
        case Control():
            return talk, DoIt(understood)
        case Consent(given):
            after, effect = _consented(talk, given, sureness)
        case Pick(which):
            after, effect = _picked(talk, which)
        case Request():
            meant = chosen(talk, understood) or _meant(talk, understood)
            if meant.about is About.HELP and (again := _put_again(talk)):
                return talk, again
            after, effect = _requested(talk, meant)
    return replace(after, last=_last(after, effect), converted=_converted(effect)), effect


def _meant(talk: Talk, fresh: Request) -> Request:
    """What the words ask for after what was said before; nothing of it is confirmed."""
    meant = joined(talk, fresh) or fresh
    if not fresh.follows:
        meant = with_what_was_told(talk, meant, bare=fills_a_gap(fresh))
    return plainly(meant)


def _put_again(talk: Talk) -> Effect | None:
    """What help is while something is open: the question, with all that can answer it."""
    if talk.change is not None:
        return ConfirmFirst(talk.change)
    return None if talk.asked is None else SayIt(talk.asked)


def _last(talk: Talk, effect: Effect) -> Request | None:
    """The request that "what about half inch" goes on from, with the tip and gas told last."""
    last = talk.last
    if isinstance(effect, KeepIt) and last is not None:
        return _less_what_is_kept(last, effect.request)
    request = effect.request if isinstance(effect, AnswerIt) else None
    if request is None or request.hazards or request.about in NOT_A_CUT:
        return last
    if talk.over is not None and request.asked_pressure is talk.over.asked_pressure:
        request = replace(request, asked_pressure=None, asked_gas=None)
    if request.piece is None and last is not None:  # it still asks for the steel
        return replace(
            last,
            tip=request.tip or last.tip,
            fuel=request.fuel or last.fuel,
            position=request.position or last.position,
        )
    return plainly(request)


def _less_what_is_kept(last: Request, change: Request) -> Request:
    """The request less what a change of the rig or of the tip in the torch says otherwise."""
    if change.about is About.RIG:
        return replace(last, fuel=None) if change.fuel is not None else last
    fitted = change.change in (BoxChange.USE, BoxChange.REMOVE)
    return replace(last, tip=None) if fitted else last


def _converted(effect: Effect) -> Request | None:
    request = effect.request if isinstance(effect, AnswerIt) else None
    return request if request is not None and request.about is About.CONVERT else None


def _picked(talk: Talk, which: str) -> tuple[Talk, Effect]:
    """One of the readings that were asked about, or the steel of the request before."""
    if which.isdigit() and int(which) <= len(talk.choices):
        return _requested(talk, talk.choices[int(which) - 1])
    asks_how_thick = talk.asked is not None and talk.asked.asks_for == Asks.THICKNESS
    open_request = talk.asked.request if talk.asked is not None and asks_how_thick else None
    same = talk.last.piece if talk.last is not None and which == SAME else None
    if open_request is not None and same is not None:
        return _requested(talk, replace(open_request, piece=same))
    return talk, SayIt(NotUnderstood("", NOTHING_TO_PICK))


def picked_option(talk: Talk, which: str) -> str | None:
    """The option of the open question that is meant: by its place, or by a word only it has.

    >>> ten = Question(None, "unit", "Ten what?", ("ten inch", "ten gauge"))
    >>> picked_option(Talk(asked=ten), "gauge"), picked_option(Talk(asked=ten), "1")
    ('ten gauge', 'ten inch')
    """
    if talk.asked is None or talk.choices or talk.asked.yes_to is not None:
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
            return _requested(talk, talk.choices[0])
        if not given:
            return talk.before or closed(talk), SayIt(NotUnderstood("", SAY_AGAIN))
        return talk, SayIt(NotUnderstood("", WHICH_ONE))
    if talk.change is not None:
        effect = KeepIt(talk.change) if given else SayIt(Noted(DROPPED))
        return closed(talk), effect
    if talk.asked is not None and not given:
        return closed(talk), SayIt(Noted(DROPPED))
    if talk.asked is not None and talk.asked.yes_to is not None:
        return _confirmed(talk, talk.asked)
    return talk, SayIt(NotUnderstood("", NO_QUESTION))


def _confirmed(talk: Talk, question: Question) -> tuple[Talk, Effect]:
    """The request that was asked about, with what the yes confirms of it."""
    request, yes = question.request, question.yes_to
    if request is None or yes is None:
        return talk, SayIt(NotUnderstood("", NO_QUESTION))
    over = yes.of if yes.kind is YesKind.HAZARD_DEALT_WITH else None
    dangers = tuple(key for key in talk.dangers if key != over)
    after = replace(closed(talk), dangers=dangers)
    if yes.kind is YesKind.LEFT_OVER:  # of the cut and its dangers nothing is confirmed by it
        return _requested(after, with_what_was_told(after, request, bare=False))
    return after, AnswerIt(replace(request, confirmed=(*request.confirmed, yes)))


def _requested(talk: Talk, request: Request) -> tuple[Talk, Effect]:
    request = plainly(request)
    changes = request.about in (About.TIP_BOX, About.RIG)
    if changes and not request.hazards and request.change is not BoxChange.SHOW:
        return replace(closed(talk), change=request), ConfirmFirst(request)
    talk, held = under_what_stands(closed(talk), request)
    return talk, AnswerIt(held)
