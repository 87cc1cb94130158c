"""What was made of words, with what they told beside it: no pressure, no danger is passed over."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

from handsfree.understand.fuel_pressure import told_fuel_pressure, told_of_no_gas
from handsfree.understand.parser import Reading
from handsfree.values import (
    YES_OR_NO,
    About,
    Consent,
    Control,
    NotUnderstood,
    Pick,
    Piece,
    Question,
    Request,
    YesKind,
    YesTo,
)
from handsfree.values.reply import Asks

Meaning: TypeAlias = Request | Question | Consent | Control | Pick

# What such a request asks for is no figure of a cut.
NO_CUT = frozenset(
    {About.STEPS, About.TIP_BOX, About.RIG, About.HELP, About.CONVERT, About.TAKE_UP, About.TIMER}
    | {About.BEAT, About.MARK, About.RESULT, About.PRACTICE}
)
_NOT_ASKED_ABOUT = (NO_CUT | {About.WEIGHT}) - {About.TAKE_UP}
_OF_A_BEVEL = frozenset({"mitre", "bevel_angle"})  # slots that say how it is to be bevelled
_GASES = ("fuel", "oxygen")
LEFT_OVER = Asks.LEFT_OVER  # words that may change the cut
MOST_NAMED = 3  # of such words


def with_pressure(made: Meaning | NotUnderstood, said: Sequence[str]) -> Meaning | NotUnderstood:
    """What was made of words, with the fuel's pressure where the parser passed it over."""
    request = made.request if isinstance(made, Question) else made
    request = request if isinstance(request, Request) else None
    told = told_fuel_pressure(said)
    if request is not None and request.asked_gas == "fuel" and request.asked_pressure is not None:
        fuel = request.fuel or (None if told is None else told.fuel)
        return replace(request, fuel=fuel) if made is request else made
    if told is not None:
        named = Request(About.FUEL_PRESSURE) if request is None else request
        return replace(
            named,
            about=About.FUEL_PRESSURE,
            fuel=told.fuel or named.fuel,
            asked_pressure=told.pressure,
            asked_gas="fuel",
            change=None,
        )
    if (request is None or not _says_more(request)) and (bare := told_of_no_gas(said)) is not None:
        return Question(
            None, Asks.GAS, f"Which gas at {bare}?", tuple(f"{g} at {bare}" for g in _GASES)
        )
    return made


def left_over(reading: Reading) -> tuple[str, ...]:
    """Words that may change the cut and that nothing takes up: passed over, or of no figure yet."""
    named = {slot for slot, _ in reading.slots}
    bevel = ("bevel",) if "bevel" in named and not named & _OF_A_BEVEL else ()
    return (*bevel, *reading.asked)


def asked_about(heard: str, made: Meaning, left: Sequence[str]) -> Meaning | NotUnderstood:
    """What was made of words, or a question about those that no rule took up.

    No figure of a cut is given before: "half inch plate, crane" may mean that a crane holds it.
    """
    request = made.request if isinstance(made, Question) else made
    if not left or not isinstance(request, Request) or request.about in _NOT_ASKED_ABOUT:
        return made
    words = tuple(dict.fromkeys(left))[:MOST_NAMED]
    what = f"I did not take up {' and '.join(words)}."
    them, it_changes = ("it", "it changes") if len(words) == 1 else ("them", "they change")
    if isinstance(made, Question):
        return NotUnderstood(heard, f"{what} If {it_changes} nothing, say it without {them}.")
    prompt = f"{what} Shall I answer without {them}?"
    nothing = YesTo(YesKind.LEFT_OVER, " ".join(words))
    return Question(request, LEFT_OVER, prompt, YES_OR_NO, yes_to=nothing)


def _says_more(request: Request) -> bool:
    """Whether anything is said beside a number that may be a pressure."""
    return request.piece not in (None, Piece()) or request.asked_gas is not None
