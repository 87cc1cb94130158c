"""The tables of the cutting engine: published figures as frozen rows with source and status.

Every look-up answers None (or an empty tuple) outside its table: nothing is clamped, stretched or
taken from the nearest row. Files are read once, when they are first asked for.
"""

from handsfree.engine.tables.cutting import (
    hand_cutting,
    lab_runs,
    machine_cutting,
    metric_cutting,
    speed_anchors,
)
from handsfree.engine.tables.loader import Table, read_table, table, table_names
from handsfree.engine.tables.rows import (
    CuttingRow,
    LabRun,
    Listed,
    MetricCuttingRow,
    PipeRow,
    Range,
    SectionRow,
    SpeedAnchor,
)
from handsfree.engine.tables.sections import FAMILIES, section, sections_of
from handsfree.engine.tables.stock import (
    number_drill,
    number_drills,
    pipe,
    pipe_schedules,
    pipe_sizes,
    sheet_gauge,
)

__all__ = [
    "FAMILIES",
    "CuttingRow",
    "LabRun",
    "Listed",
    "MetricCuttingRow",
    "PipeRow",
    "Range",
    "SectionRow",
    "SpeedAnchor",
    "Table",
    "hand_cutting",
    "lab_runs",
    "machine_cutting",
    "metric_cutting",
    "number_drill",
    "number_drills",
    "pipe",
    "pipe_schedules",
    "pipe_sizes",
    "read_table",
    "section",
    "sections_of",
    "sheet_gauge",
    "speed_anchors",
    "table",
    "table_names",
]
