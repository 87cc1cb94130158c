"""A request becomes complete: what was not said is taken as read, and is read back aloud."""

from dataclasses import replace

from handsfree.values import About, Request, Rig, Shape, TipBox, TipOnHand

_NOT_ABOUT_A_CUT = frozenset(
    {About.CONVERT, About.STEPS, About.HELP, About.TIP_BOX, About.RIG, About.WEIGHT}
    | {About.TIMER, About.MARK, About.RESULT, About.PRACTICE}
)
_WITH_THE_TIP = frozenset(
    {
        *(About.SETTING, About.TECHNIQUE, About.TRAVEL_SPEED, About.KERF, About.PREHEAT),
        *(About.OXYGEN_PRESSURE, About.FUEL_PRESSURE, About.GAS, About.BEAT),
    }
)


def taken_as_read(request: Request, rig: Rig, box: TipBox) -> Request:
    """The request with what was not said: plate, the rig's fuel, the tip in the torch.

    All of it is read back aloud.
    """
    if request.about in _NOT_ABOUT_A_CUT or request.hazards:
        return request
    piece, defaults = request.piece, request.defaults
    if piece is not None and piece.shape is None and piece.thickness is not None:
        piece, defaults = replace(piece, shape=Shape.PLATE), (*defaults, str(Shape.PLATE))
    tip = request.tip
    if tip is None and box.in_torch is not None and request.about in _WITH_THE_TIP:
        tip, defaults = TipOnHand(stamp=box.in_torch), (*defaults, "tip")
    fuel = request.fuel or rig.fuel
    return replace(request, piece=piece, tip=tip, fuel=fuel, defaults=defaults)
