"""The tip on hand becomes a bore, and the bore is compared with what the tables list for a plate.

A stamp means a bore only in the user's own tip box: makers stamp alike what they drill differently.
A tip known by the plate it is made for is taken to have the smallest bore that the hand table lists
for the thickest of that plate: the careful choice where the tip may be too small, and the one that
agrees with the trade's check values (a tip for 1/4 in is slow on 3/4 in; one for 2 in leans well on
1/4 in).
"""

from dataclasses import dataclass

from handsfree.engine import published, sheet, tables
from handsfree.engine.saying import stamp as stamp_words
from handsfree.engine.trust import weakest
from handsfree.values import Fit, Question, Request, Status, TipBox, TipOnHand
from handsfree.values.reply import Asks

PLAUSIBLE_BORE = (0.015, 0.2)  # inches
UP_TO = 6.0  # a wider made-for range is "up to": the metric table's widest band is 5.3


@dataclass(frozen=True, slots=True)
class KnownTip:
    """A tip whose bore is known.

    Attributes:
        bore: in inches.
        made_for: thinnest and thickest plate in inches, None when not known.
        stamp: as in the tip box, empty when it has none.
        taken: True when the bore was taken from the plate that the tip is made for.
        sources: keys of the tables used.
        status: how far the bore can be trusted.
        from_box: True when nobody named it and the tip box says that it is in the torch.
    """

    bore: float
    made_for: tuple[float, float] | None = None
    stamp: str = ""
    taken: bool = False
    sources: tuple[str, ...] = ()
    status: Status = Status.READ
    from_box: bool = False


def tip_on_hand(request: Request, box: TipBox) -> KnownTip | Question | None:
    """The tip of a request, or the one in the torch; None when there is neither."""
    tip, from_box = request.tip, False
    if tip is None:
        tip, from_box = in_torch(box), True
    if tip is None:
        return None
    return _known(request, tip, box, from_box)


def in_torch(box: TipBox) -> TipOnHand | None:
    """The tip that the box says is in the torch."""
    return None if box.in_torch is None else find_in_box(box, box.in_torch)


def find_in_box(box: TipBox, stamp: str) -> TipOnHand | None:
    """The tip with that stamp, whatever its letters' case."""
    wanted = stamp.strip().casefold()
    return next((tip for tip in box.tips if (tip.stamp or "").strip().casefold() == wanted), None)


def fit(tip: KnownTip | None, thickness: float) -> Fit:
    """How a tip suits a plate inside the hand table, or sheet.

    >>> fit(KnownTip(0.0465), 0.75), fit(KnownTip(0.038), 0.75), fit(KnownTip(0.067), 0.25)
    (<Fit.RIGHT: 'right'>, <Fit.TOO_SMALL: 'too small'>, <Fit.TOO_LARGE: 'too large'>)
    """
    bores = sheet.suiting() if sheet.is_sheet(thickness) else published.suiting(thickness)
    if tip is None or bores is None:
        return Fit.UNKNOWN
    if tip.made_for and _is_band(tip.made_for):
        low, high = tip.made_for
        if low - published.SAME <= thickness <= high + published.SAME:
            return Fit.RIGHT
    if tip.bore < bores[0] - published.NEAR:
        return Fit.TOO_SMALL
    return Fit.TOO_LARGE if tip.bore > bores[1] + published.NEAR else Fit.RIGHT


def suiting_from_box(box: TipBox, thickness: float) -> tuple[str, ...]:
    """The stamps in the tip box that suit a plate."""
    found = []
    for tip in box.tips:
        known = _known(None, tip, box, False)
        if isinstance(known, KnownTip) and fit(known, thickness) is Fit.RIGHT and tip.stamp:
            found.append(tip.stamp)
    return tuple(found)


def known_tips(box: TipBox) -> tuple[KnownTip, ...]:
    """The tips in the box whose bore is known or can be taken."""
    found = (_known(None, tip, box, False) for tip in box.tips)
    return tuple(tip for tip in found if isinstance(tip, KnownTip))


def _known(
    request: Request | None, tip: TipOnHand, box: TipBox, from_box: bool
) -> KnownTip | Question:
    stamp = tip.stamp or ""
    if tip.bore is None and tip.drill is None and tip.made_for is None:
        boxed = find_in_box(box, stamp) if stamp else None
        if boxed is None or boxed == tip:
            return _ask_made_for(request, stamp)
        tip = boxed
    made_for = _made_for(tip)
    if tip.bore is not None:
        bore = float(tip.bore.m_as("in"))
        if not PLAUSIBLE_BORE[0] <= bore <= PLAUSIBLE_BORE[1]:
            return Question(
                request, Asks.TIP, "No cutting tip has that bore. Say the bore again.", again=True
            )
        return KnownTip(bore, made_for, stamp, from_box=from_box)
    if tip.drill is not None:
        drill = tables.number_drill(tip.drill)
        if drill is None:
            return Question(
                request, Asks.TIP, "Number drills run from one to eighty. Which one?", again=True
            )
        bore = float(drill.value.m_as("in"))
        if not PLAUSIBLE_BORE[0] <= bore <= PLAUSIBLE_BORE[1]:
            return Question(
                request, Asks.TIP, "No cutting tip has that bore. Say the drill again.", again=True
            )
        sources = (drill.source,)
        return KnownTip(bore, made_for, stamp, False, sources, drill.status, from_box)
    if made_for is None:
        return _ask_made_for(request, stamp)
    if sheet.is_sheet(made_for[1]):
        bore, source, status = _sheet_nozzle()
    elif row := published.hand_cutting_at(made_for[1]):
        bore, source, status = row.bore[0], row.source, row.status
    else:
        return Question(
            request,
            Asks.TIP,
            "The table does not reach the plate that tip is made for. What is its bore?",
        )
    return KnownTip(
        bore=bore,
        made_for=made_for,
        stamp=stamp,
        taken=True,
        sources=(source,),
        status=weakest(status, Status.COMMON_PRACTICE),
        from_box=from_box,
    )


def _sheet_nozzle() -> tuple[float, str, Status]:
    """What a tip made for sheet is taken to be: the smallest nozzle that any table lists."""
    nozzle = published.metric_nozzles()[0]
    return nozzle.bore, nozzle.source, nozzle.status


def _made_for(tip: TipOnHand) -> tuple[float, float] | None:
    if tip.made_for is None:
        return None
    first, last = (float(end.m_as("in")) for end in tip.made_for)
    return min(first, last), max(first, last)


def _is_band(made_for: tuple[float, float]) -> bool:
    """A real range of plates, not "up to" some plate, which says nothing of thin ones."""
    low, high = made_for
    return low > 0 and high / low <= UP_TO


def _ask_made_for(request: Request | None, stamp: str) -> Question:
    named = f"Tip number {stamp_words(stamp)} differs" if stamp else "Tips differ"
    return Question(request, Asks.TIP, f"{named} from maker to maker. What plate is it made for?")
