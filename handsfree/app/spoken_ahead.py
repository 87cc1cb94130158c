"""What the helper says often, so that it can be spoken ahead of time.

The list is asked of the rooms themselves: openings of answers on common plates, prompts of the
engine, refusals of its table, steps in an emergency, and the fixed sentences of the dialogue.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import ModuleType
from typing import Final

from handsfree.dialogue import repeating as said_before
from handsfree.dialogue import talk, turn_asides, turn_moves
from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.engine.refusals import refuse
from handsfree.session import rival_readings as readings
from handsfree.session import session
from handsfree.values import (
    About,
    Control,
    Fuel,
    Piece,
    Question,
    Reply,
    Request,
    Rig,
    Shape,
    TipBox,
    Words,
)
from handsfree.values.units import Quantity, inches, millimetres
from handsfree.wording.ear import for_the_ear
from handsfree.wording.reply import choices, told

PLATES_IN: Final = (0.125, 0.1875, 0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0)
PLATES_MM: Final = (6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
ASKED_OFTEN: Final = (About.SETTING, About.TRAVEL_SPEED)
_FIXED: Final = (turn_moves, turn_asides, said_before, talk, readings, session)


def said_often(fuels: Sequence[Fuel] = (Fuel.ACETYLENE,)) -> tuple[str, ...]:
    """The sentences, those that are waited for most first.

    Args:
        fuels: the rig's own, and others that are expected.

    >>> often = said_often()
    >>> "Working." in often, "Three quarter inch plate, acetylene." in often
    (True, True)
    """
    found = [
        *emergencies(fuels),
        *fixed(),
        *openings(fuels),
        *prompts(),
        *refusals(),
    ]
    return tuple(dict.fromkeys(sentence for sentence in found if sentence))


def emergencies(fuels: Iterable[Fuel]) -> Iterator[str]:
    """The steps of the lists that start at once on their words, the first of each before all."""
    lists = [tables.step_list(key, Rig(fuel)) for key in tables.emergency_lists() for fuel in fuels]
    for led in lists:
        yield from map(for_the_ear, (led.steps[0].say, led.steps[0].ask))
    for led in lists:
        first = led.steps[0]
        yield from map(for_the_ear, (first.cannot, *(sight.reply for sight in first.sights)))
        yield from (for_the_ear(each.say) for each in led.steps[1:])


def fixed() -> Iterator[str]:
    """The constant sentences of the dialogue; typed words among its constants are none."""
    for module in _FIXED:
        yield from filter(_is_sentence, _constants(module))
    yield choices(readings.CONFIRM_WORDS)
    yield from (for_the_ear(control.value) for control in Control)


def openings(fuels: Iterable[Fuel]) -> Iterator[str]:
    """How answers on common plates begin: with what was understood."""
    plates: list[Quantity] = [*map(inches, PLATES_IN), *map(millimetres, PLATES_MM)]
    for fuel in fuels:
        for about in ASKED_OFTEN:
            for thickness in plates:
                piece = Piece(shape=Shape.PLATE, thickness=thickness)
                yield _spoken(_reply(Request(about, piece=piece, fuel=fuel)))[0]


def prompts() -> Iterator[str]:
    """What the engine asks for where a request says nothing but what it is about."""
    for about in About:
        reply = _reply(Request(about))
        if isinstance(reply, Question):
            yield from _spoken(reply)


def refusals() -> Iterator[str]:
    """How every refusal of the table begins; the rest is made while that is said."""
    for key in tables.refusal_keys():
        yield from _spoken(refuse(Request(About.SETTING), key))[:2]


def _reply(request: Request) -> Reply:
    return answer(request, Rig(), TipBox())


def _spoken(reply: Reply) -> tuple[str, ...]:
    return told(Words(""), reply, lambda key: tables.source(key).citation).sentences


def _constants(module: ModuleType) -> Iterator[str]:
    for name, value in vars(module).items():
        if name.strip("_").isupper():
            if isinstance(value, str):
                yield value
            elif isinstance(value, Mapping):
                yield from (each for each in value.values() if isinstance(each, str))


def _is_sentence(text: str) -> bool:
    return text[-1:] in (".", "?") and text == for_the_ear(text)
