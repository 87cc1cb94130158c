"""The published cutting tables and the single runs that check them."""

import functools

from handsfree.engine.tables.loader import Row, table
from handsfree.engine.tables.rows import (
    CuttingRow,
    LabRun,
    MetricCuttingRow,
    Range,
    SpeedAnchor,
    TradeCheck,
)
from handsfree.values import Fuel


@functools.cache
def hand_cutting() -> tuple[CuttingRow, ...]:
    """The hand table: 1/8 to 12 in clean mild steel with acetylene, thinnest first.

    >>> row = hand_cutting()[4]
    >>> row.thickness.m_as("in"), row.oxygen_pressure.low.m_as("psi")
    (0.75, 24.0)
    """
    return tuple(
        CuttingRow(
            thickness=row.quantity("thickness"),
            bore=_range(row, "bore"),
            oxygen_pressure=_range(row, "oxygen_pressure"),
            speed=_range(row, "speed"),
            oxygen_flow=_range(row, "oxygen_flow"),
            fuel_flows=((Fuel.ACETYLENE, _range(row, "acetylene_flow")),),
            flow_is_total=True,
            source=row.source(),
            status=row.status(),
        )
        for row in table("hand_cutting").rows
    )


@functools.cache
def machine_cutting() -> tuple[CuttingRow, ...]:
    """The manual-and-machine table: 1/8 to 12 in, three fuels, no pressures; thinnest first."""
    return tuple(
        CuttingRow(
            thickness=row.quantity("thickness"),
            bore=_range(row, "bore"),
            oxygen_pressure=None,
            speed=_range(row, "speed"),
            oxygen_flow=_range(row, "oxygen_flow"),
            fuel_flows=(
                (Fuel.ACETYLENE, _range(row, "acetylene_flow")),
                (Fuel.NATURAL_GAS, _range(row, "natural_gas_flow")),
                (Fuel.PROPANE, _range(row, "propane_flow")),
            ),
            flow_is_total=False,
            source=row.source(),
            status=row.status(),
        )
        for row in table("machine_cutting").rows
    )


@functools.cache
def metric_cutting() -> tuple[MetricCuttingRow, ...]:
    """The metric hand table: 3 to 300 mm with acetylene, smallest nozzle first.

    >>> metric_cutting()[0].bore.m_as("mm")
    0.8
    """
    return tuple(
        MetricCuttingRow(
            bore=row.quantity("bore"),
            thickness=_range(row, "thickness"),
            oxygen_pressure=_range(row, "oxygen_pressure"),
            acetylene_pressure=row.quantity("acetylene_pressure"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("metric_cutting").rows
    )


@functools.cache
def speed_anchors() -> tuple[SpeedAnchor, ...]:
    """Single published travel speeds that come from none of the tables."""
    return tuple(
        SpeedAnchor(
            thickness=row.quantity("thickness"),
            speed=row.quantity("speed"),
            how=row.text("how"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("speed_anchors").rows
    )


@functools.cache
def trade_checks() -> tuple[TradeCheck, ...]:
    """What cutters get from tips that do not suit the plate; common practice, no published source.

    >>> [f"{check.thickness:~P}" for check in trade_checks()]
    ['0.25 in', '0.75 in', '0.25 in']
    """
    return tuple(
        TradeCheck(
            made_for=row.quantity("made_for"),
            thickness=row.quantity("thickness"),
            lean=_range(row, "lean"),
            speed=_range(row, "speed"),
            oxygen_pressure=row.quantity("oxygen_pressure"),
            says=row.text("says"),
            source=row.source(),
            status=row.status(),
        )
        for row in table("trade_checks").rows
    )


@functools.cache
def lab_runs() -> tuple[LabRun, ...]:
    """The machine cuts of the university study, in the order of their time stamps."""
    return tuple(
        LabRun(
            run=row.text("run"),
            thickness=row.quantity("thickness"),
            speed=row.quantity("speed"),
            oxygen_pressure=row.quantity("oxygen_pressure"),
            standoff=row.quantity("standoff"),
            methane_flow=row.quantity("methane_flow"),
            preheat_oxygen_flow=row.quantity("preheat_oxygen_flow"),
            preheat_start=row.quantity("preheat_start"),
            steady=Range(row.quantity("steady_from"), row.quantity("steady_to")),
            source=row.source(),
            status=row.status(),
        )
        for row in table("lab_runs").rows
    )


def _range(row: Row, name: str) -> Range:
    return Range(row.quantity(f"{name}_low"), row.quantity(f"{name}_high"))
