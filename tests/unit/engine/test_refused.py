"""What is refused, what is asked, and the last gate."""

from dataclasses import replace
from fractions import Fraction

import pytest

from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.engine.limits import gate
from handsfree.values import (
    About,
    Answer,
    BoxChange,
    Figure,
    Fuel,
    Metal,
    Piece,
    Question,
    Refusal,
    Request,
    Rig,
    Shape,
    Status,
    Surface,
    TipBox,
    TipOnHand,
    YesKind,
    YesTo,
)
from handsfree.values.units import degrees, feet, inches, psi
from tests.unit.engine.asking import answered, ask, made_for


def refused(reply: object) -> Refusal:
    assert isinstance(reply, Refusal), reply
    return reply


def asked(reply: object) -> Question:
    assert isinstance(reply, Question), reply
    return reply


@pytest.mark.parametrize("key", tables.refusal_keys())
def test_every_hazard_is_refused_by_name_before_anything_else(key: str) -> None:
    reply = refused(ask(About.SETTING, 0.5, hazards=(key,)))
    assert reply.reason == tables.refusal(key).reason
    assert reply.instead


def test_two_hazards_are_both_answered() -> None:
    reply = refused(ask(About.SETTING, hazards=("light_with_match", "skip_fire_watch")))
    assert tables.refusal("skip_fire_watch").reason in reply.instead
    assert set(reply.sources) == {"cfr_1926_350", "nfpa_51b"}


def test_acetylene_over_fifteen_is_refused_by_its_rule() -> None:
    """29 CFR 1910.253(a)(2): never above 15 psig."""
    reply = refused(ask(About.SETTING, 4, asked_pressure=psi(20), asked_gas="fuel"))
    assert "1910.253(a)(2)" in reply.rule
    assert isinstance(ask(About.SETTING, 4, asked_pressure=psi(15), asked_gas="fuel"), Answer)


def test_acetylene_over_fifteen_is_refused_without_a_plate_too() -> None:
    reply = ask(About.FUEL_PRESSURE, asked_pressure=psi(15.5))
    assert "1910.253" in refused(reply).rule


def test_propane_has_its_own_limit() -> None:
    reply = ask(About.SETTING, 4, fuel=Fuel.PROPANE, asked_pressure=psi(40), asked_gas="fuel")
    assert "propane" in refused(reply).reason


@pytest.mark.parametrize(
    "metal",
    [
        Metal.STAINLESS_STEEL,
        Metal.ALUMINIUM,
        Metal.COPPER,
        Metal.BRASS,
        Metal.BRONZE,
        Metal.TITANIUM,
        Metal.NICKEL_ALLOY,
        Metal.LEAD,
        Metal.ZINC,
        Metal.MAGNESIUM,
        Metal.CAST_IRON,
        Metal.UNKNOWN,
    ],
)
def test_metals_that_do_not_burn_through_are_refused_by_name(metal: Metal) -> None:
    reply = refused(ask(About.SETTING, 0.5, of={"metal": metal}))
    assert metal.value in reply.reason.casefold()
    assert reply.instead


def test_every_metal_is_refused_for_a_reason_of_its_own() -> None:
    """Copper and its alloys carry the heat away alike; no other metal's reason is another's."""
    told: dict[tuple[str, tuple[str, ...]], set[Metal]] = {}
    for metal in set(Metal):
        reply = ask(About.SETTING, 0.5, of={"metal": metal})
        if isinstance(reply, Refusal):
            reason = reply.reason.removeprefix(f"{metal.value.capitalize()}: ").casefold()
            told.setdefault((reason, reply.instead), set()).add(metal)
    shared = [metals for metals in told.values() if len(metals) > 1]
    assert shared == [{Metal.COPPER, Metal.BRASS, Metal.BRONZE}]
    assert "can burn" in refused(ask(About.SETTING, 0.5, of={"metal": Metal.MAGNESIUM})).reason


def test_cast_iron_names_its_special_technique() -> None:
    reply = refused(ask(About.SETTING, 1, of={"metal": Metal.CAST_IRON}))
    assert any("semicircles" in line for line in reply.instead)


@pytest.mark.parametrize(
    ("metal", "carbon", "preheats"),
    [
        (Metal.MILD_STEEL, 0.2, False),
        (Metal.MILD_STEEL, 0.32, True),  # no figure stands between 0.30 and 0.35: the careful side
        (Metal.HIGH_CARBON_STEEL, None, True),
        (Metal.ALLOY_STEEL, None, True),
        (Metal.TOOL_STEEL, 0.9, True),
        (Metal.MANGANESE_STEEL, None, True),
    ],
)
def test_carbon_decides_on_preheat(metal: Metal, carbon: float | None, preheats: bool) -> None:
    reply = answered(ask(About.SETTING, 0.5, of={"metal": metal, "carbon_percent": carbon}))
    assert any("five or six hundred" in line for line in reply.technique) is preheats


@pytest.mark.parametrize("metal", [Metal.WEAR_PLATE, Metal.WEATHERING_STEEL, Metal.QUENCHED_STEEL])
@pytest.mark.parametrize("carbon", [None, 0.2, 0.4])
@pytest.mark.parametrize("about", [About.SETTING, About.PREHEAT, About.TRAVEL_SPEED])
def test_steel_that_heat_can_spoil_has_no_preheat_and_the_mill_is_asked(
    about: About, carbon: float | None, metal: Metal
) -> None:
    said = " ".join(
        answered(ask(about, 0.5, of={"metal": metal, "carbon_percent": carbon})).technique
    )
    assert "hundred" not in said and "cuts as it is" not in said
    assert f"For {metal.value} I know no" in said and "mill's own paper" in said


def test_carbon_that_no_steel_has_is_asked_again() -> None:
    assert asked(ask(About.SETTING, 0.5, of={"carbon_percent": 4.0})).asks_for == "carbon"


@pytest.mark.parametrize(
    "surface",
    [
        Surface.GALVANISED,
        Surface.PAINTED,
        Surface.CADMIUM,
        Surface.LEAD_PAINT,
        Surface.UNKNOWN_COATING,
    ],
)
def test_a_coating_stops_until_it_is_confirmed(surface: Surface) -> None:
    question = asked(ask(About.SETTING, 0.5, of={"surface": surface}))
    assert question.asks_for == "confirm" and question.options == ("yes", "no")
    assert question.yes_to is not None and isinstance(question.yes_to.of, Piece)
    piece = question.yes_to.of
    others = [surface for surface in Surface if surface is not piece.surface]
    wrong = [YesTo(YesKind.COATING, replace(piece, surface=other)) for other in others]
    wrong += [YesTo(YesKind.COATING, replace(piece, thickness=inches(0.75)))]
    wrong += [YesTo(kind, piece) for kind in YesKind if kind is not YesKind.COATING]
    unmeant = ask(About.SETTING, 0.5, of={"surface": surface}, confirmed=tuple(wrong))
    assert asked(unmeant) == replace(question, request=asked(unmeant).request)
    reply = ask(About.SETTING, 0.5, of={"surface": surface}, confirmed=(question.yes_to,))
    plain = answered(ask(About.SETTING, 0.5))
    assert answered(reply).cautions[0] not in plain.cautions


@pytest.mark.parametrize("surface", [surface for surface in Surface if surface.name != "CLEAN"])
def test_what_was_taken_as_read_confirms_no_coating(surface: Surface) -> None:
    """ "Half inch galvanised" asks for nothing in so many words, and says nothing of the zinc."""
    asked_for = ask(About.SETTING, 0.5, of={"surface": surface})
    taken_as_read = ask(About.SETTING, 0.5, of={"surface": surface}, defaults=("setting",))
    assert type(taken_as_read) is type(asked_for)


def test_a_closed_container_is_refused_whatever_is_confirmed() -> None:
    every = tuple(YesTo(kind, "closed_container") for kind in YesKind)
    reply = ask(About.SETTING, 0.5, of={"closed": True}, confirmed=every)
    assert "1910.252" in refused(reply).rule


@pytest.mark.parametrize("thickness", [12.5, 14, 24])
def test_outside_the_table_is_refused(thickness: float) -> None:
    assert "covers that thickness" in refused(ask(About.SETTING, thickness)).reason


def test_an_eighty_inch_plate_is_asked_again_and_never_answered() -> None:
    assert asked(ask(About.SETTING, 80)).asks_for == "thickness"
    assert asked(ask(About.SETTING, 0)).asks_for == "thickness"


def test_missing_thickness_is_asked_for() -> None:
    assert asked(ask(About.SETTING)).asks_for == "thickness"
    assert "wall" in asked(ask(About.SETTING, piece=Piece(shape=Shape.PIPE))).prompt


def test_pipe_without_schedule_offers_the_usual_ones() -> None:
    question = asked(ask(About.SETTING, piece=Piece(nominal=Fraction(6))))
    assert question.asks_for == "schedule"
    assert question.options == (
        "schedule forty",
        "schedule eighty",
        "schedule one hundred sixty",
        "double extra strong",
    )
    assert "It comes in" in question.prompt


def test_section_without_weight_is_offered_as_a_choice() -> None:
    question = asked(ask(About.SETTING, piece=Piece(designation="W10")))
    assert question.asks_for == "section"
    assert len(question.options) == 4 and "eighteen" in question.prompt
    assert all(option.startswith("w ten by ") for option in question.options)


@pytest.mark.parametrize("designation", ["W10X34", "Q7X3", "", "X", "W", "L4X4", "HSS"])
def test_sections_that_are_not_listed_are_asked_about(designation: str) -> None:
    asked(ask(About.SETTING, piece=Piece(designation=designation)))


def test_a_stamp_outside_the_box_is_asked_for_its_plate() -> None:
    question = asked(ask(About.SETTING, 0.5, tip=TipOnHand(stamp="1")))
    assert question.asks_for == "tip"
    assert "differs from maker to maker" in question.prompt and "made for" in question.prompt


def test_a_stamp_in_the_box_is_known() -> None:
    box = TipBox((TipOnHand("00", drill=56),))
    assert answered(ask(About.SETTING, 0.5, tip=TipOnHand(stamp="00"), box=box)).fit == "right"


@pytest.mark.parametrize("tip", [TipOnHand(bore=inches(1)), TipOnHand(drill=1), TipOnHand(drill=0)])
def test_bores_that_no_tip_has_are_asked_again(tip: TipOnHand) -> None:
    assert asked(ask(About.SETTING, 0.5, tip=tip)).asks_for == "tip"


def test_tip_beyond_the_model_is_refused_with_how_far_it_goes() -> None:
    reply = refused(ask(About.SETTING, 2, tip=made_for(0.25)))
    assert any("larger tip" in line for line in reply.instead)
    assert any("three quarters of an inch" in line for line in reply.instead)
    reply = refused(ask(About.SETTING, 0.125, tip=made_for(12)))
    assert any("smaller tip" in line for line in reply.instead)


def test_hoses_that_cannot_be_are_asked_again() -> None:
    assert asked(ask(About.SETTING, 0.5, hose_length=feet(4000))).asks_for == "hose"
    reply = ask(About.SETTING, 0.5, hose_length=feet(50), hose_bore=inches(3))
    assert asked(reply).asks_for == "hose"


def test_the_gate_stops_acetylene_above_fifteen_whoever_let_it_through() -> None:
    request = Request(About.FUEL_PRESSURE, piece=Piece(thickness=inches(1)))
    figure = Figure("fuel_pressure", psi(10), psi(15.1), "shop_practice", Status.READ)
    reply = gate(Answer(request, (figure,), thickness=inches(1)), Rig())
    assert "1910.253(a)(2)" in refused(reply).rule
    lower = replace(figure, high=psi(15.0))
    assert isinstance(gate(Answer(request, (lower,), thickness=inches(1)), Rig()), Answer)


def test_the_gate_stops_what_is_out_of_bounds_or_out_of_the_table() -> None:
    request = Request(About.SETTING)
    for figure, thickness in (
        (Figure("lean", degrees(80), degrees(80), "s", Status.READ), 0.25),
        (Figure("oxygen_pressure", psi(100), psi(200), "s", Status.READ), 0.25),
        (Figure("oxygen_pressure", psi(float("nan")), psi(30), "s", Status.READ), 0.25),
        (Figure("oxygen_pressure", psi(40), psi(30), "s", Status.READ), 0.25),
        (Figure("oxygen_pressure", psi(20), psi(30), "s", Status.READ), 14.0),
    ):
        refused(gate(Answer(request, (figure,), thickness=inches(thickness)), Rig()))


def test_the_engine_alone_keeps_no_time_and_says_what_to_use_instead() -> None:
    for about in (About.TIMER, About.BEAT, About.MARK, About.RESULT, About.PRACTICE):
        assert refused(ask(about)).instead


def test_steps_come_from_the_table_in_order() -> None:
    for name in tables.step_list_names():
        found = tables.step_list(name)
        reply = answered(ask(About.STEPS, steps=name))
        said = tuple(step.say for step in found.steps)
        assert reply.steps[: len(said)] == said
        assert len(reply.steps) == len(said) or name == "no_gauge"
        assert reply.list_key == name
    oxygen = ask(About.STEPS, steps="no_gauge", gauge_of="oxygen")
    assert answered(oxygen).list_key == "no_gauge_oxygen"
    assert answered(ask(About.STEPS, steps="lighting")).steps
    assert asked(ask(About.STEPS, steps="dancing")).options


def test_tip_box_says_what_would_change() -> None:
    box = TipBox((TipOnHand("1", drill=56),), in_torch="1")
    tip = TipOnHand("0", drill=60)
    add = answered(ask(About.TIP_BOX, change=BoxChange.ADD, tip=tip, box=box))
    assert add.technique == ("I keep the tip stamped ought.",)
    again = ask(About.TIP_BOX, change=BoxChange.ADD, tip=TipOnHand("1", drill=54), box=box)
    assert "replace" in answered(again).technique[0]
    show = answered(ask(About.TIP_BOX, change=BoxChange.SHOW, box=box))
    assert "In the torch: one." in show.technique
    use = ask(About.TIP_BOX, change=BoxChange.USE, tip=TipOnHand("7"), box=box)
    assert asked(use).options == ("number one",)
    bare = ask(About.TIP_BOX, change=BoxChange.ADD, tip=TipOnHand("7"), box=box)
    assert "made for" in asked(bare).prompt
    gone = ask(About.TIP_BOX, change=BoxChange.REMOVE, tip=TipOnHand("1"), box=box)
    assert "out of the box" in answered(gone).technique[0]


def test_a_tip_is_taken_out_by_its_plate_only_where_one_alone_has_it() -> None:
    two_inch = TipOnHand(made_for=(inches(2), inches(2)))
    one = TipOnHand("5", made_for=(inches(1), inches(2)))
    other = TipOnHand("7", made_for=(inches(1.5), inches(2)))
    thin = TipOnHand("0", made_for=(inches(0.25), inches(0.5)))
    gone = ask(About.TIP_BOX, change=BoxChange.REMOVE, tip=two_inch, box=TipBox((thin, one)))
    assert answered(gone).technique == ("I take the tip stamped five out of the box.",)
    either = ask(About.TIP_BOX, change=BoxChange.REMOVE, tip=two_inch, box=TipBox((one, other)))
    assert asked(either).options == ("number five", "number seven")


def test_rig_says_what_would_change_and_warns_of_a_new_fuel() -> None:
    reply = answered(ask(About.RIG, change=BoxChange.USE, fuel=Fuel.PROPANE))
    assert reply.technique[0] == "From now on: propane for fuel."
    assert reply.cautions
    assert asked(ask(About.RIG, change=BoxChange.USE)).asks_for == "rig"
    shown = answered(ask(About.RIG, change=BoxChange.SHOW, rig=Rig(hose_length=feet(50))))
    assert [figure.name for figure in shown.figures] == ["length"]


@pytest.mark.parametrize("shape", list(Shape))
def test_every_shape_has_an_order_that_frees_the_piece_last(shape: Shape) -> None:
    reply = answered(ask(About.CUT_ORDER, piece=Piece(shape=shape)))
    assert reply.technique[-1] == "Leave the cut that frees the piece for last."
    assert "common practice" in reply.notes[0]


def test_cut_order_knows_sections_and_asks_for_the_shape() -> None:
    reply = answered(ask(About.CUT_ORDER, piece=Piece(designation="W10X33")))
    assert any("web" in line for line in reply.technique)
    assert asked(ask(About.CUT_ORDER)).asks_for == "shape"


def test_help_says_what_can_be_asked() -> None:
    assert len(answered(answer(Request(About.HELP), Rig(), TipBox())).technique) == 3


def test_pipe_is_cut_from_the_top_as_its_source_says() -> None:
    """NAVEDTRA 14250, chapter 4 (read): down one side from the top, then down the other."""
    reply = answered(ask(About.CUT_ORDER, piece=Piece(shape=Shape.PIPE)))
    assert "Start at the top. Cut down one side, then down the other." in reply.technique
    assert "navedtra_14250" in reply.sources


def test_cautions_of_a_cut_order_belong_to_the_shape() -> None:
    plate = answered(ask(About.CUT_ORDER, piece=Piece(shape=Shape.PLATE)))
    tube = answered(ask(About.CUT_ORDER, piece=Piece(shape=Shape.SQUARE_TUBE)))
    assert not any("hollow" in line for line in (*plate.cautions, *plate.technique))
    assert "hollow" in tube.cautions[0]
    assert not any("Rigging" in line for line in plate.cautions)
