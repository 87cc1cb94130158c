"""Refusals from the table of refusals, and the ones that the engine words itself."""

from handsfree.engine import tables
from handsfree.errors import TableError
from handsfree.values import Refusal, Request


def refuse(request: Request, key: str) -> Refusal:
    """The refusal under a key of data/refusals.yaml.

    Raises:
        TableError: there is no such key.
    """
    try:
        row = tables.refusal(key)
    except KeyError:
        raise TableError(
            f"refusals.yaml has no row {key!r}; add it, or correct the name."
        ) from None
    return Refusal(
        request=request,
        reason=row.reason,
        rule=row.rule,
        instead=row.instead,
        sources=(row.source,),
    )


def refuse_hazards(request: Request) -> Refusal | None:
    """The refusal of the first unsafe wish that was named, with what to do about the others too."""
    if not request.hazards:
        return None
    first, *others = (refuse(request, key) for key in dict.fromkeys(request.hazards))
    instead, sources = list(first.instead), list(first.sources)
    for other in others:
        instead += [other.reason, *other.instead]
        sources += other.sources
    return Refusal(
        request=request,
        reason=first.reason,
        rule=first.rule,
        instead=tuple(dict.fromkeys(instead)),
        sources=tuple(dict.fromkeys(sources)),
        stands=request.hazards,
    )


def refuse_tip_outside_model(request: Request, why: str, *more: str) -> Refusal:
    """The refusal of a tip beyond the model: our own reason and first advice, then the table's."""
    row = tables.refusal("tip_outside_model")
    return Refusal(
        request=request,
        reason=why,
        rule=row.rule,
        instead=(*more, *row.instead[1:]),
        sources=(row.source,),
    )
