"""The frozen values that pass from room to room: words, request, reply.

Sound becomes `Words`; words become a `Request`; a request becomes a `Reply`. Everything here is a
plain value without behaviour beyond what its fields say.
"""

from handsfree.values.heard import (
    Arc,
    Samples,
    WordNetwork,
    Words,
)
from handsfree.values.reply import (
    Answer,
    Figure,
    Fit,
    NotUnderstood,
    Question,
    Refusal,
    Reply,
    Status,
    Told,
    ToldFigure,
)
from handsfree.values.request import (
    COATING_CONFIRMED,
    About,
    BoxChange,
    Consent,
    Control,
    Conversion,
    Fuel,
    Metal,
    Piece,
    Position,
    Request,
    Rig,
    Shape,
    Surface,
    TipBox,
    TipOnHand,
)

__all__ = [
    "About",
    "Answer",
    "Arc",
    "BoxChange",
    "COATING_CONFIRMED",
    "Consent",
    "Control",
    "Conversion",
    "Figure",
    "Fit",
    "Fuel",
    "Metal",
    "NotUnderstood",
    "Piece",
    "Position",
    "Question",
    "Refusal",
    "Reply",
    "Request",
    "Rig",
    "Samples",
    "Shape",
    "Status",
    "Surface",
    "TipBox",
    "TipOnHand",
    "Told",
    "ToldFigure",
    "WordNetwork",
    "Words",
]
