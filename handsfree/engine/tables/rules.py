"""What the rules ask, what is refused and how a job is gone through, each with its source."""

import functools

from handsfree.engine.tables.loader import table
from handsfree.engine.tables.rows import Listed
from handsfree.engine.tables.rule_rows import (
    Duty,
    Hint,
    RefusalRow,
    ShadeRow,
    Source,
    ValveOrder,
)
from handsfree.values.units import Quantity, inches, registry


def source(key: str) -> Source:
    """Citation of a source and how far it can be trusted.

    >>> source("cfr_1910_253").citation
    '29 CFR 1910.253, Oxygen-fuel gas welding and cutting'

    Raises:
        KeyError: no table may name that key.
    """
    return _sources()[key]


def all_sources() -> tuple[Source, ...]:
    """Every source that a table may name."""
    return tuple(_sources().values())


def duty(key: str) -> Duty:
    """What a rule or a published safety text asks.

    >>> duty("lighting").cite
    '29 CFR 1926.350(g)(3)'

    Raises:
        KeyError: no such duty.
    """
    return _duties()[key]


def duty_keys() -> tuple[str, ...]:
    """The keys of all duties."""
    return tuple(_duties())


def refusal(key: str) -> RefusalRow:
    """Why something is refused or stopped at, and what to do instead.

    >>> refusal("light_with_match").instead[0]
    'Use a friction lighter.'

    Raises:
        KeyError: no such hazard.
    """
    return _refusals()[key]


def refusal_keys() -> tuple[str, ...]:
    """The keys of all hazards, as a request may name them."""
    return tuple(_refusals())


@functools.cache
def filter_shades() -> tuple[ShadeRow, ...]:
    """The shade table of oxygen cutting, thinnest plate first."""
    return tuple(
        ShadeRow(
            work=row.text("work"),
            thickness_from=row.quantity("thickness_from"),
            thickness_to=row.maybe("thickness_to"),
            minimum=int(row.number("minimum")),
            usual=(int(row.number("usual_low")), int(row.number("usual_high"))),
            source=row.source(),
            usual_source=row.source("usual_low"),
            status=row.status(),
        )
        for row in table("filter_shades").rows
    )


def filter_shade(thickness: Quantity) -> ShadeRow | None:
    """The shade for a thickness: "under 1 inch", "1 to 6 inches", "over 6 inches"; None below zero.

    >>> filter_shade(inches(1)).minimum, filter_shade(inches(6)).minimum
    (4, 4)
    """
    light, medium, heavy = filter_shades()
    if not thickness > inches(0):
        return None
    if thickness < medium.thickness_from:
        return light
    return medium if thickness <= heavy.thickness_from else heavy


def fire_watches() -> tuple[tuple[str, Listed], ...]:
    """How long a fire watch stays after the work, by where that applies; longest first.

    >>> [f"{found.value.m_as('min'):.0f}" for _, found in fire_watches()]
    ['120', '60', '30', '30', '30', '30']
    """
    return _waits("fire watch")


def fire_monitoring() -> tuple[tuple[str, Listed], ...]:
    """How long a place is looked at now and then after the fire watch, longest first."""
    return _waits("fire monitoring")


def upright_waits() -> tuple[tuple[str, Listed], ...]:
    """How long an acetylene cylinder stands upright after lying down, longest first."""
    return _waits("acetylene upright")


@functools.cache
def acetylene_draws() -> tuple[tuple[str, Listed], ...]:
    """The published limits of acetylene draw: a flow, or a share of the cylinder in an hour.

    >>> [str(found.value.units) for _, found in acetylene_draws()][:2]
    ['cubic_foot_per_hour', '1 / hour']
    """
    found = []
    for row in table("acetylene_draw").rows:
        value = row.maybe("flow")
        if value is None:
            value = registry.Quantity(row.number("fraction_an_hour"), "1/hour")
        found.append((row.text("rule"), Listed(value, row.source(), row.status())))
    return tuple(found)


@functools.cache
def technique(topic: str = "") -> tuple[Hint, ...]:
    """What each source says on holding the torch; a topic's first words narrow it.

    >>> technique("tilt, correct")[0].status
    <Status.READ: 'read'>
    """
    return tuple(
        Hint(row.text("topic"), row.text("figure"), row.text("place"), row.source(), row.status())
        for row in table("technique").rows
        if row.text("topic").startswith(topic)
    )


@functools.cache
def valve_orders() -> tuple[ValveOrder, ...]:
    """In which order each source works the valves."""
    return tuple(
        ValveOrder(row.text("action"), row.text("order"), row.source(), row.status())
        for row in table("valve_orders").rows
    )


@functools.cache
def _waits(subject: str) -> tuple[tuple[str, Listed], ...]:
    found = [
        (
            row.text("applies"),
            Listed(row.quantity("minutes"), row.source(), row.status(), row.text("key")),
        )
        for row in table("waits").rows
        if row.text("subject") == subject
    ]
    return tuple(sorted(found, key=lambda pair: -float(pair[1].value.m_as("min"))))


@functools.cache
def _sources() -> dict[str, Source]:
    return {
        row.text("key"): Source(
            key=row.text("key"),
            citation=row.text("citation"),
            seen=row.text("seen"),
            status=row.status(),
        )
        for row in table("sources").rows
    }


@functools.cache
def _duties() -> dict[str, Duty]:
    return {
        row.text("key"): Duty(
            key=row.text("key"),
            quote=row.text("quote"),
            text=row.text("text"),
            note=row.text("note"),
            cite=row.text("cite"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("duties").rows
    }


@functools.cache
def _refusals() -> dict[str, RefusalRow]:
    return {
        row.text("key"): RefusalRow(
            key=row.text("key"),
            reason=row.text("reason"),
            rule=row.text("rule"),
            instead=row.texts("instead"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("refusals").rows
    }
