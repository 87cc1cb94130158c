"""Which tip to take up, or which two: the least time and gas that still cuts the most of the list.

Tips are compared by what they refuse first; then by how the cuts go, for a leaned or a woven cut
rests on the model alone and leaves a rougher face; then by time and oxygen, each counted against
the least that any choice takes. A second tip costs the time to change it, and must be worth it.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.engine.take_up.trials import Ends, Trial
from handsfree.values import Going

CHANGE = 300.0  # seconds to change a tip up there: shut down, cool, seat, leak test, light again
CHOICES = 3  # that are told
POINTS = {Going.RIGHT: 0, Going.LEANED: 1, Going.SLOW: 3}  # a line that goes so counts so much
SECOND_TIP = 2  # points: it is taken for two leaned lines, or for one woven


@dataclass(frozen=True, slots=True)
class Chosen:
    """Tips to take, as bare figures.

    Attributes:
        tips: their places.
        cuts_with: for each line the place of its tip; None where none cuts it.
        time: in seconds, changes counted.
        oxygen: in cubic feet; None where it is not known.
        fuel: likewise.
        points: against it, for lines that are leaned or woven and for a second tip.
    """

    tips: tuple[int, ...]
    cuts_with: tuple[int | None, ...]
    time: Ends
    oxygen: Ends | None
    fuel: Ends | None
    points: int

    @property
    def refused(self) -> int:
        """How many lines none of the tips cuts."""
        return self.cuts_with.count(None)


def choose(tried: Sequence[Sequence[Trial]]) -> tuple[Chosen, ...]:
    """The best choice of one or two tips, then what else could be taken.

    Args:
        tried: for each tip, its trial on every line.
    """
    singles = [_with(tried, (place,)) for place in range(len(tried))]
    pairs = [_with(tried, two) for two in itertools.combinations(range(len(tried)), 2)]
    pairs = [pair for pair in pairs if len(set(pair.cuts_with) - {None}) == 2]
    found = singles + pairs
    least_time = min((_middle(one.time) for one in found if _middle(one.time)), default=1.0)
    oxygens = [_middle(one.oxygen) for one in found if one.oxygen is not None]
    least_oxygen = min((oxygen for oxygen in oxygens if oxygen), default=1.0)

    def cost(one: Chosen) -> tuple[float, ...]:
        oxygen = _middle(one.oxygen) / least_oxygen if one.oxygen is not None else 1.0
        taken = _middle(one.time) / least_time + oxygen
        return one.refused, one.points, taken, len(one.tips), *one.tips

    found.sort(key=cost)
    best = found[0]
    others = [one for one in found[1:] if one.tips != best.tips]
    return (best, *others[: CHOICES - 1])


def _with(tried: Sequence[Sequence[Trial]], tips: tuple[int, ...]) -> Chosen:
    """Each line cut with whichever of the tips cuts it better."""
    lines = range(len(tried[0]))
    cuts_with = tuple(_better(tried, tips, line) for line in lines)
    cut = [tried[tip][line] for line, tip in enumerate(cuts_with) if tip is not None]
    used = len(set(cuts_with) - {None})
    change = CHANGE * max(0, used - 1)
    times = [one.time for one in cut if one.time is not None]
    return Chosen(
        tips=tips,
        cuts_with=cuts_with,
        time=(sum(low for low, _ in times) + change, sum(high for _, high in times) + change),
        oxygen=_summed([one.oxygen for one in cut]),
        fuel=_summed([one.fuel for one in cut]),
        points=sum(POINTS[one.going] for one in cut) + SECOND_TIP * (len(tips) - 1),
    )


def _better(tried: Sequence[Sequence[Trial]], tips: tuple[int, ...], line: int) -> int | None:
    able = [tip for tip in tips if tried[tip][line].going is not Going.REFUSED]

    def cost(tip: int) -> tuple[int, float]:
        one = tried[tip][line]
        oxygen = _middle(one.oxygen) if one.oxygen is not None else 0.0
        return POINTS[one.going], _middle(one.time) + OXYGEN_IN_SECONDS * oxygen

    return min(able, key=cost, default=None)


OXYGEN_IN_SECONDS = 30.0  # what a cubic foot weighs against time, where one line is weighed alone


def _summed(spans: Sequence[Ends | None]) -> Ends | None:
    known = [span for span in spans if span is not None]
    if len(known) < len(spans):
        return None
    return sum(low for low, _ in known), sum(high for _, high in known)


def _middle(span: Ends | None) -> float:
    return 0.0 if span is None else (span[0] + span[1]) / 2
