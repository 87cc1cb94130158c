"""Slots become requests: what is asked for, of which steel, with what; contradictions are none."""

from fractions import Fraction

import pytest

from handsfree.understand.meaning import meaning
from handsfree.understand.parser import Reading, Slot
from handsfree.values import (
    About,
    BoxChange,
    Consent,
    Fuel,
    Metal,
    Question,
    Request,
    Shape,
    Surface,
)
from handsfree.values.units import inches


def _meant(*slots: Slot) -> object:
    return meaning(Reading(0.0, slots))


def _request(*slots: Slot) -> Request:
    made = _meant(*slots)
    assert isinstance(made, Request), made
    return made


HALF = ("thick", "half inch")
QUESTION = ("question", "yes")


def test_a_bare_thickness_asks_for_its_setting_and_says_that_this_is_taken_as_read() -> None:
    request = _request(HALF)
    assert request.about is About.SETTING
    assert request.defaults == ("setting",)
    assert request.piece is not None and request.piece.thickness == inches(0.5)


def test_what_is_asked_in_so_many_words_goes_before_a_hint() -> None:
    assert _request(("about", "kerf"), ("hint", "travel_speed"), HALF).about is About.KERF
    assert _request(("about", "kerf"), HALF).defaults == ()


def test_a_hint_counts_beside_a_size_or_a_question_only() -> None:
    assert _request(("hint", "preheat"), HALF).about is About.PREHEAT
    assert _meant(("hint", "preheat")) is None
    assert _meant(("hint", "preheat"), QUESTION) is not None


def test_two_figures_ask_for_the_whole_setting() -> None:
    request = _request(("about", "kerf"), ("about", "travel_speed"), HALF)
    assert request.about is About.SETTING


def test_a_figure_and_a_gas_or_both_gases_ask_for_the_whole_setting() -> None:
    gas = (("question", "yes"), ("gas", "oxygen"))
    assert _request(("about", "travel_speed"), *gas, HALF).about is About.SETTING
    assert _request(("about", "travel_speed"), HALF, *gas).about is About.SETTING
    assert _request(*gas, ("fuel", "acetylene"), HALF).about is About.SETTING
    assert _request(*gas, HALF, ("fuel", "acetylene")).about is About.OXYGEN_PRESSURE


@pytest.mark.parametrize(
    ("slots", "about"),
    [
        ([("gas", "oxygen")], About.OXYGEN_PRESSURE),
        ([("gas", "fuel"), ("fuel", "propane")], About.FUEL_PRESSURE),
        ([("gas", "oxygen"), ("gas", "fuel")], About.SETTING),
        ([("fuel", "propane")], About.SETTING),
    ],
)
def test_the_gas_named_tells_whose_pressure(slots: list[Slot], about: About) -> None:
    assert _request(("about", "pressure"), HALF, *slots).about is about


def test_a_pressure_named_with_its_gas_is_a_question_about_it() -> None:
    request = _request(("psi", "seven"), ("fuel", "acetylene"), HALF)
    assert request.about is About.FUEL_PRESSURE
    assert request.asked_gas == "fuel"


TIP = ("tip_for", "quarter inch")


def test_words_of_trouble_beside_tip_and_steel_ask_for_technique() -> None:
    assert _request(TIP, HALF).about is About.SETTING
    assert _request(TIP, HALF, ("trouble", "yes")).about is About.TECHNIQUE
    assert _request(("off_size", "too small"), ("about", "technique"), HALF).lean


def test_how_to_cut_with_a_tip_far_off_the_steel_asks_for_technique() -> None:
    how = ("about", "advice")
    assert _request(how, TIP, ("thick", "one inch")).about is About.TECHNIQUE
    assert _request(how, ("tip_for", "two inch"), HALF).about is About.TECHNIQUE
    assert _request(how, ("tip_for", "three eighths"), HALF).about is About.SETTING


def test_an_emergency_goes_before_any_other_list() -> None:
    assert _request(("steps", "lighting"), ("steps", "flashback")).steps == "flashback"
    fire = _request(("part", "torch"), ("state", "squealing"), ("steps", "shutdown"))
    assert fire.steps == "flashback"
    assert _request(("part", "gauge"), ("state", "broken")).steps == "no_gauge"
    assert _request(("fuel", "acetylene"), ("state", "empty")).steps == "cylinder_change"


def test_a_part_without_its_state_starts_nothing() -> None:
    assert _meant(("part", "gauge")) is None
    assert _meant(("state", "broken")) is None
    assert _meant(("part", "bottle"), ("state", "broken")) is None


def test_a_changed_box_and_rig() -> None:
    added = _request(
        ("change", "add"), ("hint", "tip_box"), ("tip_stamp", "two"), ("tip_drill", "fifty one")
    )
    assert (added.about, added.change) == (About.TIP_BOX, BoxChange.ADD)
    assert added.tip is not None and (added.tip.stamp, added.tip.drill) == ("2", 51)
    assert _meant(("change", "add"), ("hint", "tip_box")) is None
    rig = _request(("rig", "yes"), ("hose_length", "thirty"), ("hose_unit", "m"))
    assert (rig.about, rig.change) == (About.RIG, BoxChange.USE)
    assert rig.hose_length is not None and rig.hose_length.m_as("metre") == 30


def test_two_fuels_are_asked_about() -> None:
    made = _meant(("fuel", "propane"), ("fuel", "acetylene"), HALF)
    assert isinstance(made, Question)
    assert made.options == (Fuel.PROPANE, Fuel.ACETYLENE)


def test_a_number_without_unit_is_asked_about() -> None:
    made = _meant(("about", "setting"), ("bare", "ten"))
    assert isinstance(made, Question)
    assert made.options == ("ten inch", "ten millimetres", "ten gauge")
    assert _meant(("bare", "ten")) is None


@pytest.mark.parametrize(
    "slots",
    [
        [HALF, ("thick", "quarter inch")],
        [HALF, ("gauge", "ten")],
        [("metal", "copper"), ("metal", "brass"), HALF],
        [("shape", "beam"), ("shape", "pipe"), HALF],
        [("tip_stamp", "one"), ("tip_stamp", "two"), HALF],
        [("tip_for_low", "two"), ("tip_for", "half"), HALF],
        [("psi", "two"), ("psi", "five"), ("gas", "oxygen"), HALF],
        [("nominal", "two"), ("thick", "half inch")],
        [("tip_word", "yes"), HALF],
        [("about", "help"), ("about", "kerf")],
        [("steps", "shutdown"), ("bare", "six")],
        [("thick", "plate")],
        [],
    ],
)
def test_what_does_not_go_together_means_nothing(slots: list[Slot]) -> None:
    assert _meant(*slots) is None


def test_a_conversion_takes_its_amount_and_unit() -> None:
    request = _request(("amount_length", "six mil"), ("convert_to", "in"), ("about", "convert"))
    assert request.conversion is not None and request.conversion.unit == "in"
    psi = _request(("amount_psi", "sixty"), ("convert_to", "bar"), ("about", "convert"))
    assert psi.conversion is not None and psi.conversion.amount is not None
    assert psi.conversion.amount.m_as("psi") == pytest.approx(60)
    gauge = _request(("amount_gauge", "ten"), ("about", "convert"))
    assert gauge.piece is not None and gauge.piece.gauge == 10


def test_a_length_is_not_turned_into_a_rate() -> None:
    assert _meant(HALF, ("convert_to", "in/min"), ("about", "convert")) is None


def test_the_worst_surface_and_the_exact_metal_count() -> None:
    request = _request(
        *(HALF, ("surface", "rusty"), ("surface", "lead painted")),
        *(("metal", "mild steel"), ("metal", "alloy steel")),
    )
    assert request.piece is not None
    assert request.piece.surface is Surface.LEAD_PAINT
    assert request.piece.metal is Metal.ALLOY_STEEL


@pytest.mark.parametrize(
    ("slots", "designation"),
    [
        ([("family", "W"), ("depth", "ten"), ("weight", "thirty three")], "W10X33"),
        (
            [("leg", "four"), ("leg", "four"), ("wall", "three eighths"), ("shape", "angle")],
            "L4X4X3/8",
        ),
        ([("leg", "three"), ("leg", "quarter"), ("shape", "angle")], "L3X3X1/4"),
        (
            [("leg", "six"), ("leg", "six"), ("wall", "half"), ("shape", "square tube")],
            "HSS6X6X1/2",
        ),
    ],
)
def test_sections_are_spelt_as_the_trade_spells_them(slots: list[Slot], designation: str) -> None:
    request = _request(*slots)
    assert request.piece is not None and request.piece.designation == designation


def test_pipe_is_told_by_its_nominal_size() -> None:
    request = _request(("nominal", "inch and a half"), ("schedule", "40"))
    assert request.piece is not None
    assert request.piece.nominal == Fraction(3, 2)
    assert request.piece.shape is Shape.PIPE


def test_a_plate_beside_which_the_tip_is_held_gives_way_to_the_shape_that_is_cut() -> None:
    beside = _request(("about", "standoff"), ("beside", "plate"), HALF)
    assert beside.piece is not None and beside.piece.shape is Shape.PLATE
    pipe = _request(("about", "standoff"), ("beside", "plate"), HALF, ("shape", "pipe"))
    assert pipe.piece is not None and pipe.piece.shape is Shape.PIPE


def test_a_yes_stands_alone() -> None:
    assert _meant(("consent", "yes")) == Consent(True)
    assert _meant(("consent", "no")) == Consent(False)
    assert _meant(("consent", "yes"), HALF) is None
