"""What to take up: pieces against tips, how each would go, and what the choice costs."""

from dataclasses import dataclass
from enum import StrEnum

from handsfree.values.plan import Span
from handsfree.values.units import Quantity


class Going(StrEnum):
    """How a piece goes with a tip."""

    RIGHT = "right"
    LEANED = "leaned"
    SLOW = "slow"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Tried:
    """One piece of the list with one tip.

    Attributes:
        going: how it goes, the worst of its faces.
        time: for all that is left of that line; None when refused.
        oxygen: likewise; None too where no table lists the fuel's share.
        fuel: likewise.
        pressure: of the cutting oxygen at the regulator, over all its faces; None when refused.
        why: of a refusal, one short sentence; empty otherwise.
    """

    going: Going
    time: Span | None = None
    oxygen: Span | None = None
    fuel: Span | None = None
    pressure: Span | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class TipTried:
    """A tip that could go up, and how every line of the list goes with it.

    Attributes:
        name: in the trade's words: "stamped one", "number 56 drill".
        bore: of its orifice.
        tried: in the order of the list.
    """

    name: str
    bore: Quantity
    tried: tuple[Tried, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """Tips to take, which of them cuts which line, and what it costs.

    Attributes:
        tips: places in `TakeUp.tips`.
        cuts_with: for each line of the list the place of its tip; None where none cuts it.
        time: in all.
        oxygen: in all; None where no table lists the fuel's share.
        fuel: likewise.
    """

    tips: tuple[int, ...]
    cuts_with: tuple[int | None, ...]
    time: Span
    oxygen: Span | None
    fuel: Span | None


@dataclass(frozen=True, slots=True)
class TakeUp:
    """The list of work, every tip tried on it, and the choices, the best first.

    Attributes:
        lines: each piece in words, with how many cuts are left: "2 cuts of W12X26".
        tips: those that were tried, the smallest bore first.
        choices: the best one, then what else could be taken up and what it costs.
    """

    lines: tuple[str, ...]
    tips: tuple[TipTried, ...]
    choices: tuple[Choice, ...]
