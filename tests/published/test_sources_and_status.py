"""Every figure has a source that exists, and no status lies above what was seen."""

from collections import Counter

from handsfree.engine import tables
from handsfree.values import Status

# How far each table could be trusted when its figures were gathered: rows by status. A row may
# fall; it may rise only when someone has read the source and changes the number here in the same
# commit. Words of our own (advice, refusals, steps) are held to their sources by the rank below.
EXPECTED = {
    "hand_cutting": {Status.MEMORY: 15},  # one handbook, from memory; no copy found
    "machine_cutting": {Status.MEMORY: 15},  # another handbook, from memory; no copy found
    "metric_cutting": {Status.READ: 7},  # trade course, publisher page views
    "speed_anchors": {Status.READ: 6},
    "lab_runs": {Status.READ: 48},  # parameter files of the open data set
    "fuels": {Status.MEMORY: 5},  # columns read, computed or listed carry their own status
    "flame_temperatures": {Status.COMPUTED: 18},
    "propane_vapour": {Status.COMPUTED: 4},
    "gases": {Status.SECONDARY: 5, Status.MEMORY: 1},  # acetylene from memory
    "iron_oxides": {Status.SECONDARY: 3},
    "melting_points": {Status.SECONDARY: 8},
    "burning_iron": {Status.COMPUTED: 3, Status.MEMORY: 1},
    "oxygen_purity": {Status.READ: 3},
    "oxygen_cylinder": {Status.COMPUTED: 13},
    "oxygen_cylinder_temperature": {Status.COMPUTED: 7},
    "oxygen_compressibility": {Status.COMPUTED: 105},
    "oxygen_cooling": {Status.COMPUTED: 6},
    "propane_draw": {Status.SECONDARY: 10},  # two guides print one table
    "gouging": {Status.SECONDARY: 3},  # a stored copy of the page
    "supply_rules": {Status.MEMORY: 3},
    "hose_drops": {Status.COMPUTED: 45},
    "cylinders": {Status.SECONDARY: 5},
    "acetylene_draw": {Status.READ: 1, Status.SECONDARY: 2, Status.MEMORY: 1},
    "waits": {Status.READ: 5, Status.SECONDARY: 4},
    "number_drills": {Status.SECONDARY: 80},  # two open copies
    "sheet_gauges": {Status.SECONDARY: 36},
    "galvanised_gauges": {Status.SECONDARY: 24},
    "pipe": {Status.SECONDARY: 380},
    "sections_w": {Status.SECONDARY: 289},
    "sections_s": {Status.SECONDARY: 28},
    "sections_m": {Status.SECONDARY: 16},
    "sections_hp": {Status.SECONDARY: 22},
    "sections_c": {Status.SECONDARY: 32},
    "sections_mc": {Status.SECONDARY: 40},
    "sections_l": {Status.SECONDARY: 137},
    "sections_hss_rect": {Status.SECONDARY: 525},
    "sections_hss_round": {Status.SECONDARY: 189},
    "sections_metric": {Status.SECONDARY: 108},
    "sections_tees": {Status.SECONDARY: 331},
    "sections_metric_more": {Status.SECONDARY: 235},
    "sections_metric_l": {Status.SECONDARY: 95},
    "sections_metric_hollow": {Status.SECONDARY: 410},
    "filter_shades": {Status.READ: 3},  # the whole table of the rule
    "iso9013_quality": {Status.SECONDARY: 4, Status.MEMORY: 1},  # range 5 from memory
    "iso9013_class1": {Status.SECONDARY: 116},
    "preheat_floor": {Status.READ: 8, Status.MEMORY: 4},  # category C from memory
    "preheat_categories": {Status.READ: 2, Status.MEMORY: 1},
    "preheat_for_cutting": {Status.MEMORY: 2, Status.READ: 1},  # cast iron was read
    "carbon_equivalents": {Status.MEMORY: 3},
    "susceptibility_groups": {Status.MEMORY: 7},
    "hydrogen_levels": {Status.MEMORY: 3},
    "cracking_zones": {Status.MEMORY: 3},
    "cutting_elements": {Status.MEMORY: 7},
    "kerf_anchors": {Status.MEMORY: 4},
    "steel": {Status.COMMON_PRACTICE: 1},
    "technique": {
        Status.READ: 23,
        Status.SECONDARY: 6,
        Status.COMMON_PRACTICE: 2,
        Status.MEMORY: 1,
    },
    "trade_checks": {Status.COMMON_PRACTICE: 3},  # what cutters say; no published source
    "valve_orders": {Status.READ: 6, Status.SECONDARY: 8},
    "duties": {Status.READ: 56, Status.SECONDARY: 8, Status.MEMORY: 4},
    "cut_results": {Status.COMMON_PRACTICE: 4, Status.SECONDARY: 1},  # how far is our choice
    "practice_cases": {Status.COMMON_PRACTICE: 8},
}
RANK = {Status.READ: 3, Status.SECONDARY: 2, Status.COMMON_PRACTICE: 1, Status.MEMORY: 0}


def test_no_table_claims_more_than_was_seen() -> None:
    found = {
        name: dict(Counter(row.status() for row in tables.table(name).rows)) for name in EXPECTED
    }
    wrong = {
        name: f"{ {status.value: count for status, count in found[name].items()} }"
        for name in EXPECTED
        if found[name] != EXPECTED[name]
    }
    assert wrong == {}


def test_columns_with_their_own_status_are_the_ones_that_were_checked_apart() -> None:
    own = {
        (name, column): rules["status"]
        for name in tables.table_names()
        if name in EXPECTED
        for column, rules in tables.table(name).columns.items()
        if "status" in rules
    }
    assert own == {
        ("fuels", "heat_read"): "read",
        ("fuels", "heat_computed"): "computed",
        ("fuels", "lower_limit_listed"): "secondary",
        ("fuels", "upper_limit_listed"): "secondary",
        ("fuels", "gas_a_pound"): "computed",
        ("fuels", "pressure_limit"): "read",
        ("iron_oxides", "heat"): "computed",
        ("iron_oxides", "oxygen"): "computed",
        ("iron_oxides", "oxygen_a_volume"): "computed",
        ("pipe", "weight"): "computed",
        ("sections_metric_l", "area"): "computed",
        ("sections_metric_l", "weight"): "computed",
        ("sections_metric_more", "area"): "computed",
        ("sheet_gauges", "weight"): "computed",
    }


def used_sources() -> dict[str, set[Status]]:
    used: dict[str, set[Status]] = {}
    for name in tables.table_names():
        if name == "sources":
            continue
        for row in tables.table(name).rows:
            for column in ("", *row.columns):
                used.setdefault(row.source(column), set()).add(row.status(column))
    return used


def test_every_source_that_a_table_names_exists_and_every_source_is_named() -> None:
    known = {source.key for source in tables.all_sources()}
    used = set(used_sources())
    assert used - known == set(), "tables name sources that sources.yaml lacks"
    assert known - used == set(), "sources.yaml lists sources that no table names"


def test_no_figure_ranks_above_its_source() -> None:
    """Computed figures stand apart: they are as good as what they are computed from."""
    wrong = []
    for key, statuses in used_sources().items():
        best = tables.source(key).status
        for status in statuses - {Status.COMPUTED}:
            if best is not Status.COMPUTED and RANK[status] > RANK[best]:
                wrong.append(f"{key}: {status} where {best} is the best")
    assert wrong == []


def test_every_head_says_where_in_its_source() -> None:
    for name in tables.table_names():
        found = tables.table(name)
        assert found.meaning
        assert found.place
        assert found.valid
