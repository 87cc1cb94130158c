"""The step lists of the tables, as they apply to a rig: what is said, asked and accepted.

A cell of sights reads "no bubbles", "it's dirty: Wipe it.", or "bubbles: That is a leak. -> leak":
what is seen, what is said about it, and the list that follows it.
"""

import functools

from handsfree.engine.tables.loader import Row, table
from handsfree.engine.tables.rules import fire_watches
from handsfree.errors import TableError
from handsfree.values import Expect, Fuel, Limit, Rig, Sight, Step, StepList, Timing

FILES = (
    *("steps_setup", "steps_flame", "steps_stop", "steps_emergency", "steps_checks"),
    "steps_gauge",
)
FIRE_WATCH = "fire_watch_nfpa51b"
"""The longest fire watch that applies to steel; two hours are for torch-applied roofing."""


def step_list(key: str, rig: Rig | None = None) -> StepList:
    """A step list as it is led with this rig.

    >>> step_list("flashback").steps[0].say
    'Torch oxygen valve shut, now.'
    >>> step_list("shutdown", Rig(shuts_first="oxygen")).steps[0].say
    'Shut the torch oxygen valve.'

    Args:
        key: as `step_list_names` lists them.
        rig: its fuel and the order in which its torch is shut decide some steps.

    Raises:
        KeyError: no list is called so.
        TableError: a row breaks the rules of a step.
    """
    rig = rig or Rig()
    return _step_list(key, rig.fuel, rig.shuts_first)


@functools.cache
def _step_list(key: str, fuel: Fuel, shuts_first: str | None) -> StepList:
    row = _heads()[key]
    facts = _facts(fuel, shuts_first)
    steps = tuple(_step(step) for step in _rows(key) if step.text("when") in facts)
    if not steps:
        raise TableError(f"step_lists.yaml: {key} has no steps. Write them, or take it out.")
    cautions = row.texts("cautions") if row.text("caution_if") in facts else ()
    return StepList(
        key=key,
        title=row.text("title"),
        opens=row.text("opens"),
        emergency=row.has("emergency"),
        steps=steps,
        cautions=cautions,
        ends=row.text("ends"),
        goes_on=_known(key, row.text("goes_on")),
    )


def step_list_names() -> tuple[str, ...]:
    """The keys of all step lists."""
    return tuple(_heads())


def emergency_lists() -> tuple[str, ...]:
    """The keys of the lists that start at once on their words.

    >>> "flashback" in emergency_lists()
    True
    """
    return tuple(key for key, row in _heads().items() if row.has("emergency"))


def _facts(fuel: Fuel, shuts_first: str | None) -> frozenset[str]:
    """What `when` may say of this rig."""
    gas = "acetylene" if fuel is Fuel.ACETYLENE else "other fuel"
    return frozenset({"", gas, f"{shuts_first} first" if shuts_first else "order not set"})


@functools.cache
def _heads() -> dict[str, Row]:
    return {row.text("key"): row for row in table("step_lists").rows}


def _rows(key: str) -> tuple[Row, ...]:
    found = [row for name in FILES for row in table(name).rows if row.text("key") == key]
    return tuple(sorted(found, key=lambda row: row.number("number")))


def _step(row: Row) -> Step:
    where = f"Step {row.number('number'):.0f} of {row.text('key')}"
    expects = Expect(row.text("expects"))
    cannot, _, cannot_to = row.text("cannot").partition(" -> ")
    step = Step(
        say=row.text("say"),
        ask=row.text("ask"),
        expects=expects,
        sights=(
            *(_sight(where, text, right=True) for text in row.texts("right")),
            *(_sight(where, text, right=False) for text in row.texts("wrong")),
        ),
        limit=_limit(row) if row.has("measures") else None,
        cannot=cannot,
        cannot_to=_known(where, cannot_to),
        starts=_timing(row) if row.has("starts") else None,
        safety=not row.has("may_skip"),
        source=row.source(),
        status=row.status(),
    )
    if step.safety and expects is Expect.DONE:
        raise TableError(f"{where}: a safety step asks what is seen; no one says only done.")
    if (expects is Expect.SEEN) != any(sight.right for sight in step.sights):
        raise TableError(f"{where}: what may be seen and is right belongs to a step that asks it.")
    if (expects is Expect.NUMBER) != (step.limit is not None):
        raise TableError(f"{where}: limits belong to a step that asks for a number.")
    return step


def _sight(where: str, text: str, right: bool) -> Sight:
    said, _, goes_to = text.partition(" -> ")
    kind, _, reply = said.partition(": ")
    if not right and not reply:
        raise TableError(f"{where}: {kind!r} is not right, so say what to do about it.")
    return Sight(kind, right, reply, _known(where, goes_to))


def _limit(row: Row) -> Limit:
    return Limit(
        measures=row.text("measures"),
        unit=row.text("unit"),
        low=row.maybe_number("low"),
        high=row.maybe_number("high"),
        too_low=row.text("too_low"),
        too_high=row.text("too_high"),
        alarm_high=row.has("alarm"),
    )


def _timing(row: Row) -> Timing:
    minutes = row.maybe_number("minutes")
    if minutes is None:
        watch = next(found for _, found in fire_watches() if found.note == FIRE_WATCH)
        minutes = float(watch.value.m_as("min"))
    return Timing(row.text("starts"), minutes, waits=row.has("waits"))


def _known(where: str, key: str) -> str:
    if key and key not in _heads():
        raise TableError(f"{where}: no list is called {key!r}; step_lists.yaml names them.")
    return key
