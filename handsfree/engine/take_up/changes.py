"""The list of work as it changes: pieces added, told in full, ticked off as they are cut."""

from dataclasses import fields, replace

from handsfree.engine.take_up.trials import line_of
from handsfree.values import NEW_LIST, NOT_LISTED, BoxChange, Piece, Request, Wanted

List = tuple[Wanted, ...]


def applied(kept: List, request: Request) -> tuple[List, Request]:
    """The list after a request about it, and the request with the whole list, to be answered.

    A cut that is ticked off and stands nowhere on the list is marked `NOT_LISTED`, so that the
    answer asks instead of seeming to have ticked it off.
    """
    wanted = changed(kept, request)
    ticks = request.listed is not None or any(line.count == 0 for line in request.wanted)
    lost = (NOT_LISTED,) if ticks and wanted == kept else ()
    whole = replace(
        request,
        wanted=wanted,
        piece=None,
        count=None,
        cut_length=None,
        defaults=(*request.defaults, *lost),
    )
    return wanted, whole


def changed(kept: List, request: Request) -> List:
    """The list after a request about it.

    A new list drops the old one, and so do several pieces at once. What is removed goes, the last
    line where none is named. One piece is added; one with no count of its own but with cuts done is
    ticked off; a piece beside the list tells in full the one that was told too little of.

    Args:
        kept: the list so far.
        request: about what goes up.
    """
    if NEW_LIST in request.defaults:
        return request.wanted
    if request.change is BoxChange.REMOVE:
        return _without(kept, request.wanted)
    if request.listed is not None:
        return _ticked_at(kept, request.listed)
    if request.piece is not None:
        return completed(kept or request.wanted, request)
    if len(request.wanted) != 1:
        return request.wanted or kept
    (only,) = request.wanted
    return _ticked(kept, only) if only.count == 0 else (*kept, only)


def _without(kept: List, named: List) -> List:
    """The list less the lines of a piece, or less its last."""
    if not named:
        return kept[:-1]
    return tuple(line for line in kept if not _is(line.piece, named[0].piece))


def completed(wanted: List, request: Request) -> List:
    """The list with the piece of a request in place of the first that was told too little of.

    Where every piece is told in full, it is one more.
    """
    if request.piece is None:
        return wanted
    found = list(wanted)
    for place, line in enumerate(found):
        if line_of(line) is None:
            found[place] = replace(line, piece=_filled(line.piece, request.piece))
            return tuple(found)
    more = Wanted(request.piece, request.count or 1, request.cut_length, request.access)
    return wanted if any(line.piece == request.piece for line in wanted) else (*wanted, more)


def _ticked(kept: List, done: Wanted) -> List:
    """The list with so many cuts of that piece done; as it was where it holds no such piece."""
    found = list(kept)
    for place, line in enumerate(found):
        if line.done < line.count and _is(line.piece, done.piece):
            found[place] = replace(line, done=min(line.count, line.done + done.done))
            return tuple(found)
    return kept


def _ticked_at(kept: List, place: int) -> List:
    """The list with one cut more done of the piece at a place among those that are left."""
    left = [at for at, line in enumerate(kept) if line.done < line.count]
    if not 1 <= place <= len(left):
        return kept
    found = list(kept)
    at = left[place - 1]
    found[at] = replace(found[at], done=found[at].done + 1)
    return tuple(found)


def _is(listed: Piece, named: Piece) -> bool:
    """Whether a piece is the one that was named, by all that was said of it."""
    return all(
        getattr(listed, field.name) == value
        or (field.name == "designation" and _is_of(listed.designation, named.designation))
        for field in fields(Piece)
        if (value := getattr(named, field.name)) != field.default
    )


def _is_of(listed: str | None, named: str | None) -> bool:
    """Whether a section is one of those that were named without their weight.

    >>> _is_of("W12X26", "W12"), _is_of("W12X26", "W1"), _is_of(None, "W12")
    (True, False, False)
    """
    return listed is not None and named is not None and listed.startswith(f"{named}X")


def _filled(piece: Piece, news: Piece) -> Piece:
    """A piece with what was now said of it: a whole designation stands by itself."""
    if news.designation is not None or news.nominal is not None:
        return news
    if news.thickness is not None and news.outside:  # its sizes are told instead of looked up
        piece = replace(piece, designation=None)
    said = {
        field.name: value
        for field in fields(Piece)
        if (value := getattr(news, field.name)) != field.default
    }
    return replace(piece, **said)
