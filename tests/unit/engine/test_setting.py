"""Settings: the table inside the table, physics beyond it, and what is said with them."""

import pytest

from handsfree.engine import published, tables
from handsfree.values import (
    About,
    Answer,
    Fit,
    Fuel,
    Piece,
    Position,
    Question,
    Refusal,
    Rig,
    Shape,
    Status,
    TipBox,
    TipOnHand,
)
from handsfree.values.units import feet, inches, psi
from tests.unit.engine.asking import answered, ask, ends, made_for


def test_inside_the_table_the_answer_is_the_tables() -> None:
    """Hand table, row 3/4 in (memory)."""
    reply = ask(About.SETTING, 0.75)
    assert ends(reply, "oxygen_pressure", "psi") == (24, 35)
    assert ends(reply, "travel_speed", "in/min") == (12, 14.5)
    assert ends(reply, "oxygen_flow", "cfh") == (117, 143)
    assert ends(reply, "fuel_flow", "cfh") == (12, 15)


@pytest.mark.parametrize("row", tables.hand_cutting(), ids=lambda row: f"{row.thickness:~P}")
def test_every_row_of_the_hand_table_is_answered_as_it_stands(row: tables.CuttingRow) -> None:
    """The first one, 1/8 in, too: it is the thinnest plate, and no sheet."""
    for piece in (Piece(thickness=row.thickness), Piece(thickness=row.thickness.to("mm"))):
        reply = ask(About.SETTING, piece=piece)
        assert row.oxygen_pressure is not None
        for name, unit, listed in (
            ("oxygen_pressure", "psi", row.oxygen_pressure),
            ("travel_speed", "in/min", row.speed),
            ("bore", "in", row.bore),
        ):
            both = float(listed.low.m_as(unit)), float(listed.high.m_as(unit))
            assert ends(reply, name, unit) == pytest.approx(both, abs=1e-4), name


def test_figures_come_in_the_order_in_which_they_are_said() -> None:
    names = [figure.name for figure in answered(ask(About.SETTING, 0.75)).figures]
    assert names == [
        "oxygen_pressure",
        "fuel_pressure",
        "travel_speed",
        "kerf",
        "preheat_time",
        "standoff",
        "shade",
        "oxygen_flow",
        "fuel_flow",
        "bore",
    ]


def test_between_two_rows_the_range_is_rounded_inward_and_said() -> None:
    reply = answered(ask(About.SETTING, 0.625))
    assert ends(reply, "oxygen_pressure", "psi") == (22, 32)
    assert any("Between two rows" in note for note in reply.notes)


def test_without_a_tip_the_right_one_is_taken_and_said() -> None:
    reply = answered(ask(About.SETTING, 0.5))
    assert reply.fit is Fit.UNKNOWN
    assert "No tip was named. These figures are for the right tip." in reply.notes


def test_every_figure_has_a_source_that_the_list_names_and_its_weakest_status() -> None:
    reply = answered(ask(About.SETTING, 0.75, tip=made_for(0.25)))
    for figure in reply.figures:
        assert figure.source in reply.sources, figure
    speed = next(figure for figure in reply.figures if figure.name == "travel_speed")
    assert speed.status is Status.MEMORY  # the table under it is from memory


def test_small_tip_is_told_to_weave_and_what_it_gets() -> None:
    reply = answered(ask(About.SETTING, 0.75, tip=made_for(0.25)))
    assert reply.fit is Fit.TOO_SMALL
    said = " ".join(reply.technique)
    assert "Weave" in said and "Preheat heavily" in said and "No quality range holds" in said
    speed = next(figure for figure in reply.figures if figure.name == "travel_speed")
    assert speed.note == "separation only"
    assert "This tip goes no further than three quarters of an inch." in reply.notes


def test_large_tip_is_leaned_and_the_path_is_thickness_over_cosine() -> None:
    reply = answered(ask(About.SETTING, 0.25, tip=made_for(2)))
    assert reply.fit is Fit.TOO_LARGE
    assert ends(reply, "lean", "deg") == (70, 70)
    assert ends(reply, "path", "in")[0] == pytest.approx(0.25 / 0.34202, rel=1e-3)
    assert "Lean" in reply.technique[0]


def test_large_tip_on_thick_plate_is_held_square() -> None:
    reply = answered(ask(About.SETTING, 2, tip=TipOnHand(bore=inches(0.087))))
    assert reply.fit is Fit.TOO_LARGE
    assert all(figure.name != "lean" for figure in reply.figures)
    assert "square" in reply.technique[0]


def test_tip_good_up_to_a_plate_is_not_right_for_thin_plate() -> None:
    assert answered(ask(About.SETTING, 0.25, tip=made_for(0, 2))).fit is Fit.TOO_LARGE


def test_tip_made_for_a_band_suits_all_of_it() -> None:
    for thickness in (0.5, 0.75, 1.0):
        assert answered(ask(About.SETTING, thickness, tip=made_for(0.5, 1))).fit is Fit.RIGHT


def test_small_listed_bore_starts_near_the_top_pressure() -> None:
    small = answered(ask(About.SETTING, 1, tip=TipOnHand(drill=56)))
    large = answered(ask(About.SETTING, 1, tip=TipOnHand(drill=53)))
    assert small.fit is large.fit is Fit.RIGHT
    assert any("near the top pressure" in line for line in small.technique)
    assert any("near the low pressure" in line for line in large.technique)


def test_hose_loss_is_added_at_the_regulator_and_said() -> None:
    bare = ends(ask(About.OXYGEN_PRESSURE, 0.5), "oxygen_pressure", "psi")
    reply = ask(About.OXYGEN_PRESSURE, 0.5, hose_length=feet(200), hose_bore=inches(0.25))
    hosed = ends(reply, "oxygen_pressure", "psi")
    assert hosed[0] > bare[0] and hosed[1] > bare[1]
    assert (
        "The hose loss is in the pressures. Both hoses are taken to be alike."
        in answered(reply).notes
    )
    assert "hose_calculation" in answered(reply).sources


def test_hose_of_the_rig_counts_and_its_bore_is_assumed_aloud() -> None:
    reply = answered(ask(About.SETTING, 0.5, rig=Rig(hose_length=feet(100))))
    assert any("quarter inch hose" in note for note in reply.notes)


def test_hose_that_eats_the_setting_is_warned_of_then_refused() -> None:
    warned = ask(About.SETTING, 6, hose_length=feet(100), hose_bore=inches(0.25))
    assert any("hose" in caution for caution in answered(warned).cautions[:2])
    refused = ask(About.SETTING, 6, hose_length=feet(400), hose_bore=inches(0.1875))
    assert isinstance(refused, Refusal) and "hose" in refused.reason


def test_impure_oxygen_is_slower_and_dirty_oxygen_refused() -> None:
    slow = ends(ask(About.TRAVEL_SPEED, 0.5, oxygen_purity_percent=98.5), "travel_speed", "in/min")
    assert slow[1] < 14.5
    assert isinstance(ask(About.SETTING, 0.5, rig=Rig(oxygen_purity_percent=96)), Refusal)


@pytest.mark.parametrize("fuel", [Fuel.PROPANE, Fuel.PROPYLENE, Fuel.NATURAL_GAS])
def test_other_fuels_have_their_own_pressure_from_memory(fuel: Fuel) -> None:
    reply = answered(ask(About.SETTING, 0.5, fuel=fuel))
    figure = next(figure for figure in reply.figures if figure.name == "fuel_pressure")
    assert figure.note == fuel.value and figure.status is Status.MEMORY
    assert any("from memory" in note for note in reply.notes)
    assert any("slower than acetylene" in line for line in reply.technique)


def test_propylene_takes_what_propane_would_with_the_same_heat() -> None:
    """Machine table, row 1/2 in: propane 5-15 cfh; 2498 Btu a cubic foot to propylene's 2400."""
    reply = ask(About.GAS, 0.5, fuel=Fuel.PROPYLENE)
    assert ends(reply, "fuel_flow", "cfh") == pytest.approx((5.2, 15.6), abs=0.05)
    figure = next(each for each in answered(reply).figures if each.name == "fuel_flow")
    assert figure.status is Status.MEMORY
    assert any("propane's flow" in note for note in answered(reply).notes)


def test_flows_of_natural_gas_count_the_preheat_oxygen() -> None:
    """Machine table, row 1/2 in: cutting 55-85, gas 15-30 cfh; ratio 1.5 to 2.5 (memory)."""
    reply = ask(About.GAS, 0.5, fuel=Fuel.NATURAL_GAS)
    low, high = ends(reply, "oxygen_flow", "cfh")
    assert (low, high) == (round(55 + 1.5 * 15), 85 + 2.5 * 30)


def test_a_foot_of_cut_takes_twelve_inches_over_the_speed() -> None:
    assert ends(ask(About.GAS, 0.5), "time", "min") == pytest.approx((12 / 14.5, 1.0), abs=0.01)


def test_single_figures_are_alone() -> None:
    for about, name in (
        (About.OXYGEN_PRESSURE, "oxygen_pressure"),
        (About.FUEL_PRESSURE, "fuel_pressure"),
        (About.TRAVEL_SPEED, "travel_speed"),
        (About.KERF, "kerf"),
        (About.PREHEAT, "preheat_time"),
        (About.STANDOFF, "standoff"),
        (About.SHADE, "shade"),
        (About.TIP, "bore"),
    ):
        reply = answered(ask(about, 0.5))
        assert [figure.name for figure in reply.figures] == [name], about
        assert reply.cautions


def test_preheat_goes_by_colour_before_any_time() -> None:
    reply = answered(ask(About.PREHEAT, 0.5))
    assert "bright red" in reply.technique[0]
    assert reply.figures[0].status is Status.MEMORY
    assert answered(ask(About.PREHEAT, 3)).figures == ()


def test_standoff_needs_no_plate() -> None:
    assert ends(ask(About.STANDOFF), "standoff", "in") == (1 / 16, 1 / 8)


def test_shade_does_not_ask_for_the_tip() -> None:
    assert ends(ask(About.SHADE, 2, tip=TipOnHand(stamp="1")), "shade", "") == (4, 5)


def test_which_tip_names_the_bores_and_the_ones_in_the_box() -> None:
    box = TipBox((TipOnHand("3", bore=inches(0.07)), TipOnHand("0", drill=60)))
    reply = answered(ask(About.TIP, 2, box=box))
    assert ends(reply, "bore", "in") == (0.067, 0.081)
    assert "From your box, three suits." in reply.technique
    assert not any("ought suits" in line for line in reply.technique)


def test_a_tip_far_off_is_told_so_and_not_refused_when_the_tip_is_asked_about() -> None:
    reply = answered(ask(About.TIP, 1, tip=TipOnHand(drill=60)))
    assert reply.fit is Fit.TOO_SMALL
    assert "too small" in reply.technique[0]


def test_technique_asks_for_the_tip_that_was_not_named() -> None:
    reply = ask(About.TECHNIQUE, 2, lean=True)
    assert isinstance(reply, Question) and reply.asks_for == "tip"


def test_tip_in_the_torch_counts_when_none_is_said() -> None:
    box = TipBox((TipOnHand("2", made_for=(inches(0.25), inches(0.25))),), in_torch="2")
    assert answered(ask(About.SETTING, 0.75, box=box)).fit is Fit.TOO_SMALL


def test_overhead_and_round_stock_bring_their_own_advice() -> None:
    overhead = answered(ask(About.SETTING, 0.5, position=Position.OVERHEAD))
    assert any("Overhead" in line for line in overhead.technique)
    shaft = answered(ask(About.SETTING, 2, of={"shape": Shape.SHAFT}))
    assert any("chisel" in line for line in shaft.technique)


def test_hollow_parts_are_to_be_vented() -> None:
    piece = Piece(designation="HSS6X6X3/8")
    assert any("Vent" in line for line in answered(ask(About.SETTING, piece=piece)).cautions)


@pytest.mark.parametrize(
    ("asked", "says"), [(30.0, "inside the range"), (60.0, "above the range"), (5.0, "below")]
)
def test_a_pressure_that_is_named_is_compared_first(asked: float, says: str) -> None:
    reply = ask(About.SETTING, 0.75, asked_pressure=psi(asked), asked_gas="oxygen")
    assert says in answered(reply).technique[0]


def test_defer_to_permit_and_code_is_in_every_cutting_answer() -> None:
    for about in (About.SETTING, About.SHADE, About.TIP, About.KERF, About.TECHNIQUE, About.GAS):
        reply = ask(about, 0.5)
        assert isinstance(reply, Answer)
        assert any("local code" in caution for caution in reply.cautions), about


@pytest.mark.parametrize(
    ("asked", "says"),
    [(23.9, "below"), (24.0, "inside"), (30.0, "inside"), (35.0, "inside"), (35.1, "above")],
)
def test_a_named_pressure_is_compared_with_both_ends_of_the_range(asked: float, says: str) -> None:
    """The hand table's row for 3/4 in: 24 to 35 psi of oxygen."""
    reply = answered(ask(About.SETTING, 0.75, asked_pressure=psi(asked), asked_gas="oxygen"))
    assert ends(reply, "oxygen_pressure", "psi") == (24, 35)
    assert reply.technique[0].startswith("What you named") and says in reply.technique[0]


@pytest.mark.parametrize("plate", [0.5, 0.75, 2, 4, 6])
def test_a_tip_too_small_is_never_driven_harder_than_a_table_drives_it_or_that_plate(
    plate: float,
) -> None:
    right = ends(ask(About.SETTING, plate), "oxygen_pressure", "psi")[1]
    tried = 0
    for drill, bore in tables.number_drills():
        reply = ask(About.SETTING, plate, tip=TipOnHand(drill=drill))
        if isinstance(reply, Answer) and reply.fit is Fit.TOO_SMALL:
            limit = published.pressure_limit(float(bore.value.m_as("in")))
            assert limit is not None
            assert ends(reply, "oxygen_pressure", "psi")[1] <= min(limit, right) + 1e-6, drill
            tried += 1
    assert tried


@pytest.mark.parametrize("made", [2, 3])
def test_a_leaned_tip_too_large_runs_in_the_lowest_quarter_of_what_its_path_calls_for(
    made: float,
) -> None:
    reply = answered(ask(About.SETTING, 0.25, tip=made_for(made)))
    assert reply.fit is Fit.TOO_LARGE
    path = ends(reply, "path", "in")[0]
    listed = published.hand_cutting_at(path)
    assert listed is not None
    low, high = listed.pressure
    said = ends(reply, "oxygen_pressure", "psi")
    assert low - 1 <= said[0] <= said[1] <= low + 0.25 * (high - low) + 1e-6


@pytest.mark.parametrize(
    ("designation", "flange"), [("W10X33", 0.435), ("W12X26", 0.38), ("C10X15.3", 0.436)]
)
def test_a_section_is_set_for_its_flange_which_is_thicker_than_its_web(
    designation: str, flange: float
) -> None:
    """Flange thickness as the steel construction manual lists it."""
    reply = answered(ask(About.TRAVEL_SPEED, piece=Piece(designation=designation)))
    assert reply.thickness is not None and reply.thickness_name == f"{designation} flange"
    assert reply.thickness.m_as("in") == pytest.approx(flange)


@pytest.mark.parametrize("about", [About.SETTING, About.FUEL_PRESSURE])
@pytest.mark.parametrize("fuel", Fuel)
def test_who_sets_acetylene_and_nobody_else_is_told_its_limit(about: About, fuel: Fuel) -> None:
    """29 CFR 1910.253(a)(2): never above 15 psig."""
    told = answered(ask(about, 0.5, fuel=fuel)).cautions
    assert ("Acetylene never above fifteen p s i." in told) is (fuel is Fuel.ACETYLENE)
