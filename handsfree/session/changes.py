"""What the user keeps goes into what he asks, and what he asks to change into what he keeps."""

from dataclasses import replace

from handsfree.engine.answer import answer
from handsfree.engine.box_changes import tip_meant
from handsfree.engine.plan.sections import section_of
from handsfree.engine.saying import whole
from handsfree.engine.take_up.changes import changed
from handsfree.errors import SettingsError
from handsfree.store.settings import Kept, with_tip, without_tip
from handsfree.store.work_list import WorkList
from handsfree.values import (
    About,
    Answer,
    BoxChange,
    Reply,
    Request,
    Wanted,
)
from handsfree.values.timing import CutResult
from handsfree.values.units import Quantity


def with_change(kept: Kept, request: Request) -> Kept:
    """What is kept after a change that the user asked for.

    Raises:
        SettingsError: the change names no tip.
    """
    if request.about is About.RIG:
        rig = kept.rig
        return replace(
            kept,
            rig=replace(
                rig,
                fuel=request.fuel or rig.fuel,
                hose_length=_or(request.hose_length, rig.hose_length),
                hose_bore=_or(request.hose_bore, rig.hose_bore),
                oxygen_purity_percent=request.oxygen_purity_percent or rig.oxygen_purity_percent,
                shuts_first=request.shuts_first or rig.shuts_first,
            ),
        )
    tip = request.tip
    if tip is None:
        raise SettingsError("No tip was named. Say which one.")
    if request.change is BoxChange.ADD:
        return replace(kept, box=with_tip(kept.box, tip))
    if request.change is BoxChange.REMOVE:
        return replace(kept, box=without_tip(kept.box, tip_meant(kept.box, tip) or tip))
    return replace(kept, box=replace(kept.box, in_torch=tip.stamp))


def planned_again(reply: Reply, work: WorkList, kept: Kept) -> Reply:
    """The answer to a change of the tip box, and what the list of work then calls for.

    A box without tips leaves the list to the bores of the table, which is no news.
    """
    if not isinstance(reply, Answer) or reply.request.about is not About.TIP_BOX:
        return reply
    if reply.request.change not in (BoxChange.ADD, BoxChange.REMOVE) or not kept.box.tips:
        return reply
    wanted = work.read()
    if not any(line.count > line.done for line in wanted):
        return reply
    again = answer(Request(About.TAKE_UP, wanted=wanted), kept.rig, kept.box)
    if not isinstance(again, Answer):
        return reply
    said = (*reply.technique, "For the list of work, anew.", *again.technique)
    return replace(reply, technique=said, take_up=again.take_up)


def ticked_by_result(reply: Reply, last: Request | None, work: WorkList) -> Reply:
    """The answer to how a cut came out, once that cut is ticked off the list of work.

    The cut is of the steel that was asked about last; one that did not go through is none. Steel
    of several faces takes several cuts: its user says when it is parted.

    Raises:
        SettingsError: the list cannot be written.
    """
    paced = reply.request.paced if isinstance(reply, Answer) else None
    if not isinstance(reply, Answer) or paced is None or paced.result is None:
        return reply
    if paced.result is CutResult.NOT_THROUGH or last is None or last.piece is None:
        return reply
    tick = Request(About.TAKE_UP, wanted=(Wanted(last.piece, 0, done=1),))
    kept = work.read()
    if changed(kept, tick) == kept:
        return reply
    section = section_of(last.piece)
    if section is None or section.bore or len(section.faces) > 1:
        said = "Once it is parted, say, done, and its number on the list."
        return replace(reply, technique=(*reply.technique, said))
    wanted = work.update(lambda now: changed(now, tick))
    left = sum(line.count - line.done for line in wanted)
    more = f"{whole(left)} cuts are left" if left != 1 else "one cut is left"
    said = f"Ticked off the list, {more}." if left else "Ticked off. The whole list is cut."
    return replace(reply, technique=(*reply.technique, said))


def _or(said: Quantity | None, kept: Quantity | None) -> Quantity | None:
    return kept if said is None else said
