"""What was said that may mean two sizes: asked about with both, never settled here.

>>> from handsfree.values import About
>>> doubt_of(Slots((("thick", "five point five"),)), Request(About.SETTING)).options
('five point five inch', 'five point five millimetres')
"""

from dataclasses import replace

from handsfree.spoken_numbers import decimal, whole
from handsfree.understand.lengths import has_unit
from handsfree.understand.meaning_piece import bare_number
from handsfree.understand.meaning_tip import own_or_made_for
from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import Question, Request
from handsfree.values.reply import Asks

FINEST_METRIC = 100  # parts of a millimetre
_BESIDE_BARE = ("about", "verb", "metal", "fuel", "tip_for", "tip_stamp", "psi")


def doubt_of(slots: Slots, request: Request) -> Question | None:
    """The question that a request cannot be answered without; None when all of it is plain.

    Raises:
        Unreadable: a number stands alone, as any talk holds one.
    """
    if (bare := bare_number(slots)) is not None:
        if not slots.any_of(*_BESIDE_BARE):
            raise Unreadable("a number, and nothing that it could be of")
        return _what_unit(request, bare.numerator)
    if (words := _without_unit(slots)) is not None:
        options = (f"{words} inch", f"{words} millimetres")
        return Question(_without_size(request), Asks.THICKNESS, f"{words} what?", options)
    if (size := own_or_made_for(slots)) is not None:
        number, bore_unit, plate_unit = size
        options = (f"{number} {bore_unit} bore", f"made for {number} {plate_unit} plate")
        prompt = "Is that the tip's bore, or the plate that it is made for?"
        return Question(replace(request, tip=None), Asks.TIP, prompt, options)
    return None


def _what_unit(request: Request, value: int) -> Question:
    said = whole(value)
    options = [f"{said} inch"] if value <= 12 else []
    options.append(f"{said} millimetres")
    if 3 <= value <= 28:
        options.append(f"{said} gauge")
    return Question(request, Asks.THICKNESS, f"{said} what?", tuple(options))


def _without_unit(slots: Slots) -> str | None:
    """A decimal from one up without its unit, which is as easily of a millimetre.

    Below one, and to a thousandth, it is of an inch: no metric plate is told so.
    """
    words = slots.one("thick")
    if words is None or "point" not in words.split() or has_unit(words):
        return None
    value = slots.number("thick")
    if value is None or value < 1 or (value * FINEST_METRIC).denominator > 1:
        return None
    return decimal(value, 6)


def _without_size(request: Request) -> Request:
    piece = request.piece
    return request if piece is None else replace(request, piece=replace(piece, thickness=None))
