"""What the piece is made of and coated with: refused, asked about, or cut with more care.

Cast iron is refused with its special technique named, not answered: no table gives a pressure or a
speed for it, and a setting for steel would be read as one for iron.

A coating that can poison stops the answer until the user confirms that it is dealt with, of this
very piece: the confirmed request is the same one with the question's `yes_to` in its `confirmed`.
"""

from dataclasses import replace

from handsfree.engine.refusals import refuse
from handsfree.values import (
    YES_OR_NO,
    Metal,
    Piece,
    Question,
    Refusal,
    Request,
    Surface,
    YesKind,
    YesTo,
)
from handsfree.values.reply import Asks

_REFUSED = {
    Metal.STAINLESS_STEEL: "stainless_steel",
    Metal.CAST_IRON: "cast_iron",
    Metal.ALUMINIUM: "aluminium",
    Metal.COPPER: "copper_alloy",
    Metal.BRASS: "copper_alloy",
    Metal.BRONZE: "copper_alloy",
    Metal.TITANIUM: "titanium",
    Metal.NICKEL_ALLOY: "nickel_alloy",
    Metal.LEAD: "lead",
    Metal.ZINC: "zinc",
    Metal.MAGNESIUM: "magnesium",
    Metal.UNKNOWN: "unknown_metal",
}

_ASKED = {
    Surface.GALVANISED: (
        "Galvanised gives off zinc fumes. Is it stripped or ventilated, with a respirator on?"
    ),
    Surface.PAINTED: "Paint can hold lead. Is it known to be safe, or stripped well back?",
    Surface.LEAD_PAINT: "Lead paint poisons. Is it stripped four inches back, respirator on?",
    Surface.CADMIUM: "Cadmium fume can kill. Is the plating off, or an airline respirator on?",
    Surface.UNKNOWN_COATING: "Has a competent person tested the coating, and is it stripped back?",
}

HARDENABLE = (
    Metal.HIGH_CARBON_STEEL,
    Metal.ALLOY_STEEL,
    Metal.TOOL_STEEL,
    Metal.MANGANESE_STEEL,
)
# Heat can spoil these, and no row for them has a source: no preheat is given, nor denied.
ASK_THE_MILL = {
    Metal.QUENCHED_STEEL: "mill_quenched",
    Metal.WEAR_PLATE: "mill_wear_plate",
    Metal.WEATHERING_STEEL: "mill_weathering",
}
CUTS_AS_IT_IS = 0.30  # percent carbon
CAST_IRON_FROM = 2.0  # percent carbon: no steel has more


def stop_for_metal(request: Request) -> Refusal | Question | None:
    """Why the metal or what is on it stops the answer, None when it does not."""
    piece = request.piece
    if piece is None:
        return None
    if piece.closed:
        return refuse(request, "closed_container")
    if piece.metal in _REFUSED:
        return _by_name(refuse(request, _REFUSED[piece.metal]), piece.metal)
    carbon = piece.carbon_percent
    if carbon is not None and not 0 <= carbon <= CAST_IRON_FROM:
        return Question(
            request, Asks.CARBON, "No steel has that carbon. Say the carbon again.", again=True
        )
    asked = _ASKED.get(piece.surface)
    dealt_with = YesTo(YesKind.COATING, piece)
    if asked and dealt_with not in request.confirmed:
        return Question(request, Asks.CONFIRM, asked, YES_OR_NO, yes_to=dealt_with)
    return None


def _by_name(refusal: Refusal, metal: Metal) -> Refusal:
    """The refusal with the metal named first, so that a wrong word heard shows at once."""
    named = metal.value.capitalize()
    if refusal.reason.casefold().startswith(metal.value):
        return refusal
    return replace(refusal, reason=f"{named}: {refusal.reason[0].lower()}{refusal.reason[1:]}")


def metal_technique(piece: Piece | None) -> tuple[str, ...]:
    """Keys of the sentences that the metal and its surface call for."""
    if piece is None:
        return ()
    found: list[str] = []
    carbon = piece.carbon_percent
    if piece.metal in ASK_THE_MILL:
        found.append(ASK_THE_MILL[piece.metal])  # whatever its carbon
    elif carbon is not None:
        found.append("carbon_low" if carbon <= CUTS_AS_IT_IS else "high_carbon")
    elif piece.metal in HARDENABLE:
        found.append("high_carbon")
        if piece.metal is not Metal.HIGH_CARBON_STEEL:
            found.append("alloy_unknown")
    if piece.metal is Metal.MANGANESE_STEEL:
        found.append("manganese")
    if piece.metal is Metal.WROUGHT_IRON:
        found.append("wrought")
    if piece.surface is Surface.RUSTY:
        found.append("rusty")
    return tuple(found)


def metal_cautions(piece: Piece | None) -> tuple[str, ...]:
    """Keys of the cautions that the surface calls for, most important first."""
    if piece is None:
        return ()
    return {
        Surface.GALVANISED: ("zinc",),
        Surface.PAINTED: ("paint",),
        Surface.LEAD_PAINT: ("lead_paint",),
        Surface.CADMIUM: ("cadmium",),
        Surface.UNKNOWN_COATING: ("unknown_coating",),
    }.get(piece.surface, ())
