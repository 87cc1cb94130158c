"""The frozen rows of rules, refusals, shades, technique and step lists."""

from dataclasses import dataclass

from handsfree.values import Status
from handsfree.values.units import Quantity


@dataclass(frozen=True, slots=True)
class Source:
    """Where figures are from.

    Attributes:
        key: as tables name it.
        citation: in words fit to be read aloud or printed.
        seen: what of it was read.
        status: the best that a cell from it can have.
    """

    key: str
    citation: str
    seen: str
    status: Status


@dataclass(frozen=True, slots=True)
class Duty:
    """What a rule or a published safety text asks.

    Attributes:
        key: as other rooms name it.
        quote: the rule's own words, empty where they were not read.
        text: our words, empty where there is a quote.
        note: what else to know, empty when nothing.
        cite: the rule in words: "29 CFR 1926.350(h)".
        source: key into `sources.yaml`.
        status: how far the wording can be trusted.
    """

    key: str
    quote: str
    text: str
    note: str
    cite: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class RefusalRow:
    """Why something is refused or stopped at.

    Attributes:
        key: the hazard, as a request names it.
        reason: one short sentence, read aloud.
        rule: the rule in words, empty for plain physics.
        instead: what to do, one short sentence each.
        source: key into `sources.yaml`.
        status: how far the reason can be trusted.
    """

    key: str
    reason: str
    rule: str
    instead: tuple[str, ...]
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class ShadeRow:
    """Filter shade for a class of oxygen cutting.

    Attributes:
        work: "light", "medium" or "heavy".
        thickness_from: thinnest plate of the class.
        thickness_to: thickest plate, None when the class is open upwards.
        minimum: the duty.
        usual: the range to choose from.
        source: key into `sources.yaml` of the minimum.
        usual_source: key into `sources.yaml` of the usual range.
        status: how far the row can be trusted.
    """

    work: str
    thickness_from: Quantity
    thickness_to: Quantity | None
    minimum: int
    usual: tuple[int, int]
    source: str
    usual_source: str
    status: Status


@dataclass(frozen=True, slots=True)
class Hint:
    """What one source says on a point of technique.

    Attributes:
        topic: what it is about: "tilt, under 1/8 in".
        figure: what the source says.
        place: page or section, empty when not recorded.
        source: key into `sources.yaml`.
        status: how far it can be trusted.
    """

    topic: str
    figure: str
    place: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class ValveOrder:
    """In which order one source works the valves for an action."""

    action: str
    order: str
    source: str
    status: Status
