"""All that an answer about cutting one piece is made from."""

from dataclasses import dataclass

from handsfree.engine.limits import fuel_of
from handsfree.engine.pieces import Metal
from handsfree.engine.tips import KnownTip
from handsfree.engine.trust import weakest
from handsfree.engine.work import Hose, Work
from handsfree.values import Fit, Fuel, Request, Rig, Status


@dataclass(frozen=True, slots=True)
class Job:
    """One piece, one tip, one rig, worked out.

    Attributes:
        request: what was asked.
        rig: gas and hoses.
        metal: the metal to be cut.
        tip: the tip on hand, None for the right one.
        work: what to set and expect.
        hose_counted: the hose loss is in the regulator's pressure.
        hose_assumed: its bore was taken as the usual one.
        line: the hoses, None when they are not to be counted; both are taken to be alike.
    """

    request: Request
    rig: Rig
    metal: Metal
    tip: KnownTip | None
    work: Work
    hose_counted: bool
    hose_assumed: bool
    line: Hose | None = None

    @property
    def fuel(self) -> Fuel:
        """The fuel that was said, else the rig's."""
        return fuel_of(self.request, self.rig)

    @property
    def off_size(self) -> bool:
        """The tip is one that the tables do not list for this plate."""
        return self.work.fit in (Fit.TOO_SMALL, Fit.TOO_LARGE)

    @property
    def base_status(self) -> Status:
        """How far anything can be trusted that rests on table, thickness and bore together."""
        found = [self.work.row.status, self.metal.status]
        if self.tip is not None:
            found.append(self.tip.status)
        if self.off_size:
            found.append(Status.COMMON_PRACTICE)
        return weakest(*found)
