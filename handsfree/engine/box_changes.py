"""What would change in the tip box or the rig, said back; the session keeps it once confirmed."""

from handsfree.engine.limits import fuel_of
from handsfree.engine.saying import stamp as stamp_words
from handsfree.engine.tips import find_in_box
from handsfree.values import (
    Answer,
    BoxChange,
    Figure,
    Question,
    Request,
    Rig,
    Status,
    TipBox,
    TipOnHand,
)
from handsfree.values.reply import Asks

KEPT = "shop_practice"  # the user's own words: no table has a say in them


def answer_tip_box(request: Request, box: TipBox) -> Answer | Question:
    """What is in the tip box, or what would be added, removed or fitted."""
    if request.change in (None, BoxChange.SHOW):
        return _show_box(request, box)
    tip = request.tip
    if tip is not None and not tip.stamp and request.change is BoxChange.REMOVE:
        tip = tip_meant(box, tip) or tip  # the two inch tip is gone
    if tip is None or not tip.stamp:
        if tip is not None and request.change is BoxChange.REMOVE:
            return _no_such_tip(request, box)
        return Question(request, Asks.STAMP, "What is stamped on the tip?")
    name = f"the tip stamped {stamp_words(tip.stamp)}"
    if request.change is BoxChange.ADD:
        if tip.bore is None and tip.drill is None and tip.made_for is None:
            return Question(
                request, Asks.TIP, "Makers stamp tips differently. What plate is it made for?"
            )
        kept = f"I keep {name}."
        if find_in_box(box, tip.stamp) is not None:
            kept = f"I replace {name}."
        return Answer(request, _figures(tip), technique=(kept,))
    known = find_in_box(box, tip.stamp)
    if known is None:
        return Question(
            request, Asks.STAMP, f"Your box has not got {name}. Which one?", _stamps(box)
        )
    if request.change is BoxChange.REMOVE:
        return Answer(request, _figures(known), technique=(f"I take {name} out of the box.",))
    return Answer(request, _figures(known), technique=(f"In the torch is {name}.",))


def tip_meant(box: TipBox, said: TipOnHand) -> TipOnHand | None:
    """The one tip in the box that fits what was said of it, when there is just one."""
    found = [tip for tip in box.tips if tip.stamp and _fits(tip, said)]
    return found[0] if len(found) == 1 else None


def _fits(kept: TipOnHand, said: TipOnHand) -> bool:
    for mine, theirs in ((said.bore, kept.bore), (said.drill, kept.drill)):
        if mine is not None and mine != theirs:
            return False
    if said.made_for is None:
        return True
    # "the two inch tip" is the one whose plates end at two inch
    return kept.made_for is not None and kept.made_for[1] == said.made_for[1]


def _no_such_tip(request: Request, box: TipBox) -> Question:
    if not box.tips:
        return Question(
            request, Asks.STAMP, "Your tip box is empty. Tell me a stamp and its plate."
        )
    return Question(
        request, Asks.STAMP, "Which tip is that? Say what is stamped on it.", _stamps(box)
    )


def answer_rig(request: Request, rig: Rig) -> Answer | Question:
    """Gas and hoses in use, or what would change."""
    fuel = fuel_of(request, rig)
    length, bore = request.hose_length or rig.hose_length, request.hose_bore or rig.hose_bore
    if request.change is BoxChange.USE and not (
        request.fuel
        or request.hose_length is not None
        or request.hose_bore is not None
        or request.oxygen_purity_percent is not None
        or request.shuts_first is not None
    ):
        return Question(request, Asks.RIG, "What changes: the gas, the hoses, or the oxygen?")
    figures = []
    if length is not None:
        figures.append(Figure("length", length, length, KEPT, Status.COMMON_PRACTICE, "of hose"))
    if bore is not None:
        figures.append(Figure("bore", bore, bore, KEPT, Status.COMMON_PRACTICE, "of hose"))
    opening = "From now on" if request.change is BoxChange.USE else "On the rig"
    said = [f"{opening}: {fuel.value} for fuel."]
    if length is None:
        said.append("No hose length is kept, so hose loss is not counted.")
    if (first := request.shuts_first or rig.shuts_first) is not None:
        said.append(f"The torch shuts {first} first, as its own instructions say.")
    cautions: tuple[str, ...] = ()
    if request.fuel is not None and request.fuel is not rig.fuel:
        cautions = ("Each fuel has its own regulator, hose and tip. Check all three.",)
    return Answer(request, tuple(figures), technique=tuple(said), cautions=cautions)


def _show_box(request: Request, box: TipBox) -> Answer | Question:
    if not box.tips:
        return Question(
            request, Asks.STAMP, "Your tip box is empty. Tell me a stamp and its plate."
        )
    figures = tuple(figure for tip in box.tips for figure in _figures(tip))
    said = [] if box.in_torch is None else [f"In the torch: {stamp_words(box.in_torch)}."]
    said += [f"Stamped {stamp_words(tip.stamp)}." for tip in box.tips if tip.stamp]
    return Answer(request, figures, technique=tuple(said))


def _figures(tip: TipOnHand) -> tuple[Figure, ...]:
    note = f"stamped {stamp_words(tip.stamp)}" if tip.stamp else ""
    found = []
    if tip.bore is not None:
        found.append(Figure("bore", tip.bore, tip.bore, KEPT, Status.COMMON_PRACTICE, note))
    if tip.made_for is not None:
        low, high = tip.made_for
        found.append(Figure("thickness", low, high, KEPT, Status.COMMON_PRACTICE, note))
    return tuple(found)


def _stamps(box: TipBox) -> tuple[str, ...]:
    return tuple(f"number {stamp_words(tip.stamp)}" for tip in box.tips if tip.stamp)
