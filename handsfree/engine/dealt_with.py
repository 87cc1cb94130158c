"""A danger that was told before holds for what is asked after it, until he says that it is over.

Each is refused again, and asked about: a yes lifts this one and no other. What a yes cannot lift,
acetylene above its limit, is lifted by the pressure that he names instead.
"""

from dataclasses import replace
from typing import Final

from handsfree.engine.refusals import refuse
from handsfree.values import (
    FUEL_OVER_LIMIT,
    YES_OR_NO,
    Fuel,
    Question,
    Refusal,
    Request,
    YesKind,
    YesTo,
)

NAME_THE_PRESSURE: Final = "Set it lower, then say, acetylene at, and the pressure it is at."
IS_IT_OVER: Final = "Is that dealt with, for this cut?"

# Being told that something is clean is not a test, so the question says what would be one.
_IS_IT_OVER: Final = {
    "container_not_cleaned": (
        "Is this another piece, or has a competent person cleaned, vented and tested it?"
    ),
    "closed_container": (
        "Is this another piece, or has a competent person cleaned, vented and tested it?"
    ),
    "light_with_match": "Have you a friction lighter for it?",
    "skip_fire_watch": "Is there a fire watch for this cut?",
    "no_regulator": "Is a working regulator fitted on each cylinder?",
    "no_flashback_protection": "Is approved flashback protection fitted on both hoses?",
    "no_eye_protection": "Have you goggles with the right shade on?",
    "no_permit": "Have you the permit for this place?",
}


def refuse_standing(request: Request, fuel: Fuel) -> Refusal | None:
    """The refusal of the first danger that was told before and is not dealt with.

    Args:
        request: the request, with what stands.
        fuel: the fuel in use: another than acetylene has no limit of acetylene's.
    """
    for key in request.standing:
        if key == FUEL_OVER_LIMIT:
            if fuel is Fuel.ACETYLENE:
                refusal = refuse(request, key)
                instead = (*refusal.instead, NAME_THE_PRESSURE)
                return replace(refusal, instead=instead, stands=(key,))
            continue
        over = YesTo(YesKind.HAZARD_DEALT_WITH, key)
        if over not in request.confirmed:
            prompt = _IS_IT_OVER.get(key, IS_IT_OVER)
            asks = Question(request, "confirm", prompt, YES_OR_NO, yes_to=over)
            return replace(refuse(request, key), stands=(key,), asks=asks)
    return None
