"""How words join what was said before: they fill a gap, go on from a request, or choose.

What he was asked to confirm is never taken along: a yes holds for the request that it was given to.
"""

from dataclasses import fields, replace
from fractions import Fraction

from handsfree.dialogue.talk_state import Talk
from handsfree.values import (
    FUEL_OVER_LIMIT,
    About,
    Conversion,
    Piece,
    Request,
    Shape,
    TipOnHand,
)
from handsfree.values.reply import Asks
from handsfree.values.timing import PaceAct

NOT_A_CUT = frozenset(
    {About.TIP_BOX, About.RIG, About.HELP, About.STEPS, About.CONVERT}
    | {About.TIMER, About.MARK, About.RESULT, About.PRACTICE}
)
"""What goes on from no cut, and what no cut goes on from."""

_WITH_THE_TIP = frozenset(
    {About.SETTING, About.TECHNIQUE, About.TRAVEL_SPEED, About.KERF, About.PREHEAT, About.GAS}
    | {About.OXYGEN_PRESSURE, About.FUEL_PRESSURE, About.BEAT, About.CUT_ORDER}
)
_OF_THE_STEEL = ("metal", "surface", "closed", "carbon_percent")


def plainly(request: Request) -> Request:
    """A request that goes on from nothing any more, and of which nothing is confirmed."""
    return replace(request, follows=False, back_to_plain=(), denies=None, confirmed=(), standing=())


def with_what_was_told(talk: Talk, request: Request, *, bare: bool) -> Request:
    """The request with the tip, the fuel and the position that he told before, and not since.

    A bare size is that of the same steel: what is on it, and what it is made of, stays.

    Args:
        talk: before the words.
        request: what was asked.
        bare: the words asked for nothing themselves and only named a thing.
    """
    last, piece = talk.last, request.piece
    if last is None or request.about in NOT_A_CUT:
        return request
    if piece is not None and bare and last.piece and _is_only_a_size(piece):
        same = {name: getattr(last.piece, name) for name in _OF_THE_STEEL}
        piece = replace(piece, **same)
    tip, position = request.tip, request.position
    if request.about in _WITH_THE_TIP:
        taken_as_read = "tip" in last.defaults  # the one in the torch is looked up each time
        tip = tip or (None if taken_as_read else last.tip)
        position = position or last.position
    return replace(request, piece=piece, tip=tip, position=position, fuel=request.fuel or last.fuel)


def under_what_stands(talk: Talk, request: Request) -> tuple[Talk, Request]:
    """The request with the dangers that were told before it; the talk less those that it lifts.

    A pressure of the fuel that is named anew is looked at by itself; until then the one that was
    refused holds.
    """
    going_on = request.paced is not None and request.paced.act is PaceAct.GO_ON
    if request.about in NOT_A_CUT - {About.PRACTICE} or going_on:
        return talk, request
    gas = request.asked_gas or ("fuel" if request.about is not About.OXYGEN_PRESSURE else None)
    if request.asked_pressure is not None and gas == "fuel" and not request.stores:
        dangers = tuple(key for key in talk.dangers if key != FUEL_OVER_LIMIT)
        talk = replace(talk, dangers=dangers, over=None)
        request = replace(request, asked_gas="fuel")
    elif talk.over is not None and request.fuel in (None, talk.over.fuel):
        over = talk.over.asked_pressure
        request = replace(request, asked_pressure=over, asked_gas="fuel")
    return talk, replace(request, standing=talk.dangers)


def joined(talk: Talk, fresh: Request | None) -> Request | None:
    """The open question's request with its gap filled; the fresh request when it is one itself."""
    open_request = None if talk.asked is None else talk.asked.request
    if fresh is not None and fresh.follows:
        if talk.converted is not None and _is_bare_size(fresh):
            amount = fresh.piece.thickness if fresh.piece else None
            unit = talk.converted.conversion.unit if talk.converted.conversion else None
            return replace(talk.converted, conversion=Conversion(amount, unit))
        open_request = open_request or talk.change or talk.last
    elif fresh is not None and not fills_a_gap(fresh):
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
    filled |= {"confirmed": (), "standing": (), "denies": None}
    if fresh.tip is not None:
        filled["defaults"] = tuple(name for name in open_request.defaults if name != "tip")
    about = open_request.about if "setting" in fresh.defaults else fresh.about
    piece = _joined_piece(open_request.piece, fresh.piece, fresh.back_to_plain)
    return replace(open_request, about=about, piece=piece, **filled)


def _is_bare_size(fresh: Request) -> bool:
    """Whether nothing but a length was named: no plate, no tip, no gas."""
    piece = fresh.piece
    alone = piece is not None and piece == Piece(thickness=piece.thickness) and fresh.fuel is None
    return alone and fresh.tip is None and fills_a_gap(fresh)


def _is_only_a_size(piece: Piece) -> bool:
    """Whether nothing but how thick it is was said of the steel: no shape, metal or coating."""
    return piece in (Piece(thickness=piece.thickness), Piece(Shape.SHEET, gauge=piece.gauge))


def _of_the_tip(talk: Talk, open_request: Request, fresh: Request) -> Request:
    """The fresh words, as the tip's where it was the tip that was asked about or is changed.

    "What plate is it made for?", "three quarter inch": that is not the plate to be cut.
    """
    said, piece = open_request.tip, fresh.piece
    if _denies_the_tips(open_request, fresh) and piece is not None and piece.thickness is not None:
        made_for = (piece.thickness, piece.thickness)
        return replace(fresh, piece=None, tip=replace(said or TipOnHand(), made_for=made_for))
    asked_for = "" if talk.asked is None or talk.asked.again else talk.asked.asks_for
    about_tip = asked_for == Asks.TIP and not fresh.follows
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


def _denies_the_tips(open_request: Request, fresh: Request) -> bool:
    """Whether the length that was said to be wrong is the tip's alone."""
    denied, tip, piece = fresh.denies, open_request.tip, open_request.piece
    if denied is None or tip is None or tip.made_for is None or not _is_bare_size(fresh):
        return False
    return denied in tip.made_for and (piece is None or piece.thickness != denied)


def _of_the_hole(talk: Talk, fresh: Request) -> Request:
    """The fresh length as that of the hole, pin, weld or header that was asked about."""
    piece, asked_for = fresh.piece, "" if talk.asked is None else talk.asked.asks_for
    if fresh.follows or piece is None or not _is_bare_size(fresh) or piece.thickness is None:
        return fresh
    if asked_for in (Asks.HOLE, Asks.PIN):
        return replace(fresh, piece=None, cut_length=piece.thickness)
    if asked_for == Asks.WELD:
        return replace(fresh, piece=None, weld=piece.thickness)
    if asked_for == Asks.HEADER:
        inches = Fraction(float(piece.thickness.m_as("inch"))).limit_denominator(64)
        return replace(fresh, piece=None, header=inches)
    return fresh


def chosen(talk: Talk, fresh: Request) -> Request | None:
    """The one choice that agrees with all that was now said, when it only names a thing."""
    if not talk.choices or not fills_a_gap(fresh):
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


def fills_a_gap(fresh: Request) -> bool:
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
