"""In which order a shape is cut, from common practice; no published source was found for it."""

from handsfree.engine import advice
from handsfree.values import Answer, Question, Request, Shape
from handsfree.values.reply import Asks

_BY_SHAPE: dict[Shape, tuple[str, ...]] = {
    Shape.PLATE: ("order_plate",),
    Shape.SHEET: ("order_plate",),
    Shape.FLAT_BAR: ("order_plate",),
    Shape.ANGLE: ("order_angle",),
    Shape.CHANNEL: ("order_channel",),
    Shape.BEAM: ("order_beam_1", "order_beam_2"),
    Shape.TEE: ("order_tee",),
    Shape.SQUARE_TUBE: ("order_tube",),
    Shape.ROUND_TUBE: ("order_pipe",),
    Shape.PIPE: ("order_pipe",),
    Shape.SHAFT: ("order_shaft",),
    Shape.SQUARE_BAR: ("order_shaft",),
}
_HOLLOW = frozenset((Shape.PIPE, Shape.ROUND_TUBE, Shape.SQUARE_TUBE))
_HEAVY = frozenset((Shape.BEAM, Shape.CHANNEL, Shape.SHAFT))
_BY_FAMILY = {
    "W": Shape.BEAM,
    "S": Shape.BEAM,
    "M": Shape.BEAM,
    "HP": Shape.BEAM,
    "IPE": Shape.BEAM,
    "HEA": Shape.BEAM,
    "HEB": Shape.BEAM,
    "HEM": Shape.BEAM,
    "C": Shape.CHANNEL,
    "MC": Shape.CHANNEL,
    "UPN": Shape.CHANNEL,
    "L": Shape.ANGLE,
    "HSS": Shape.SQUARE_TUBE,
}


def answer_cut_order(request: Request) -> Answer | Question:
    """The order for a shape, or which shape it is."""
    shape = _shape(request)
    if shape is None:
        return Question(
            request,
            Asks.SHAPE,
            "What shape is it?",
            ("plate", "angle", "channel", "beam", "square tube", "pipe"),
        )
    hollow, heavy = shape in _HOLLOW, shape in _HEAVY
    first = "order_vented" if hollow else "order_marked"
    keys = (first, *_BY_SHAPE[shape], "order_slag", "order_last")
    cautions = (
        *(("hollow",) if hollow else ()),
        "drop",
        *(("rigging",) if heavy else ()),
        "fire_watch",
        "defer",
        "shade",
    )
    return Answer(
        request=request,
        technique=advice.sentences(*keys),
        cautions=advice.sentences(*cautions),
        notes=advice.sentences("order_practice"),
        sources=advice.sources(*keys, *cautions),
    )


def _shape(request: Request) -> Shape | None:
    piece = request.piece
    if piece is None:
        return None
    if piece.shape is not None:
        return piece.shape
    if piece.nominal is not None:
        return Shape.PIPE
    if piece.designation is not None:
        family = piece.designation.rstrip("0123456789./-X ").upper()
        return _BY_FAMILY.get(family)
    if piece.gauge is not None:
        return Shape.SHEET
    return None
