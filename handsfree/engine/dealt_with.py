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
from handsfree.values.reply import Asks

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
    "cut_cylinder": "Is this another piece, and the cylinder left whole?",
    "load_on_piece": "Is the load held by something else, and nobody tied to the piece?",
    "people_below": "Is it clear below, with somebody to keep it clear?",
    "pressure_inside": "Is it shut off, drained and open to the air?",
    "contents_inside": (
        "Is this another piece, or has a competent person cleaned, vented and tested it?"
    ),
    "near_cylinder": "Are the cylinders moved, or shielded?",
    "near_fuel": "Is it shut off and drained, and the place tested for gas?",
    "combustibles_near": "Is all that burns moved, or covered and watched?",
    "confined_space": "Are there an entry permit, tested air and somebody outside?",
    "wet": "Is it dry where you cut and where you stand?",
    "alone": "Is somebody there now to watch for fire?",
    "near_electric": "Is it switched off and locked, or shielded?",
    "concrete_behind": "Is the flame kept off the concrete, or shielded from it?",
    "cylinder_lying": "Do the cylinders stand upright now, for long enough?",
    "cylinder_in_tank": "Are the cylinders outside?",
    "light_with_match": "Have you a friction lighter for it?",
    "skip_fire_watch": "Is there a fire watch for this cut?",
    "wrong_gas_gear": "Are the regulator and the hose for that gas fitted?",
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
            asks = Question(request, Asks.CONFIRM, prompt, YES_OR_NO, yes_to=over)
            return replace(refuse(request, key), stands=(key,), asks=asks)
    return None
