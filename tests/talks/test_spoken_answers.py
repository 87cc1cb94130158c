"""What a man in a basket hears: first what he needs, nothing twice, and "more" kept short."""

from fractions import Fraction

import pytest

from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.values import (
    About,
    Fuel,
    Metal,
    Piece,
    Position,
    Request,
    Rig,
    Shape,
    Surface,
    TipBox,
    TipOnHand,
    Told,
    Words,
)
from handsfree.values.units import feet, inches, millimetres, psi
from handsfree.wording.reply import MORE, told

PLAIN_MORE = 16  # sentences after "more" for a setting with nothing unusual in it
LONGEST_MORE = 20
LONGEST_FIRST = 9  # sentences before "more", the read-back and "more?" counted


def heard(request: Request, box: TipBox | None = None) -> Told:
    reply = answer(request, Rig(), box or TipBox())
    return told(Words("as asked"), reply, lambda key: tables.source(key).citation)


def made_for(plate: float) -> TipOnHand:
    return TipOnHand(made_for=(inches(plate), inches(plate)))


def plate(thickness: float, about: About = About.SETTING, **more: object) -> Request:
    return Request(about, piece=Piece(thickness=inches(thickness)), **more)  # type: ignore[arg-type]  # slots by name


PLATES = (0.0598, 0.0747, 0.1046, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.625, 0.75, 1, 2, 3, 6, 12)
TIPS = (None, *(made_for(size) for size in (0.125, 0.25, 0.5, 1, 2, 6)))
PIECES = (
    Piece(gauge=11),
    Piece(thickness=millimetres(3)),
    Piece(nominal=Fraction(6), schedule="40"),
    Piece(nominal=Fraction(1), schedule="10"),
    Piece(nominal=Fraction(4)),
    Piece(designation="W10X33"),
    Piece(designation="W10"),
    Piece(designation="W10X34"),
    Piece(designation="L4X4X3/8"),
    Piece(designation="HSS6X6X3/8"),
    Piece(thickness=inches(0.5), metal=Metal.STAINLESS_STEEL),
    Piece(thickness=inches(0.5), metal=Metal.HIGH_CARBON_STEEL),
    Piece(thickness=inches(0.5), metal=Metal.MANGANESE_STEEL),
    Piece(thickness=inches(0.5), surface=Surface.RUSTY),
    Piece(thickness=inches(0.5), surface=Surface.CADMIUM),
    Piece(thickness=inches(2), shape=Shape.SHAFT),
    Piece(thickness=inches(80)),
)
REQUESTS = (
    *(plate(thick, tip=tip) for thick in PLATES for tip in TIPS),
    *(plate(thick, fuel=fuel) for thick in (0.5, 2) for fuel in Fuel),
    *(
        plate(thick, about, tip=tip)
        for thick in (0.25, 0.75)
        for about in About
        for tip in TIPS[:3]
    ),
    *(Request(about, piece=piece) for piece in PIECES for about in (About.SETTING, About.WEIGHT)),
    *(plate(0.5, position=position) for position in Position),
    plate(2, hose_length=feet(200), hose_bore=inches(0.25)),
    plate(0.5, asked_pressure=psi(60), asked_gas="oxygen"),
)


@pytest.mark.parametrize("request_", REQUESTS, ids=range(len(REQUESTS)))
def test_nothing_is_said_twice_and_more_stays_short(request_: Request) -> None:
    found = heard(request_)
    said = [*found.sentences, *found.more]
    assert len(said) == len(set(said))
    assert len(found.more) <= LONGEST_MORE, found.more
    if found.kind != "steps" and request_.about is not About.CUT_ORDER:
        assert len(found.sentences) <= LONGEST_FIRST, found.sentences
    fits = [line for line in said if line.startswith(("The tip is too", "The tip is right"))]
    assert len(fits) <= 1, fits


@pytest.mark.parametrize("thickness", [0.25, 0.5, 1, 3])
@pytest.mark.parametrize("fuel", [Fuel.ACETYLENE, Fuel.NATURAL_GAS])
def test_a_plain_setting_says_three_figures_and_little_more(thickness: float, fuel: Fuel) -> None:
    found = heard(plate(thickness, fuel=fuel))
    assert found.sentences[1].startswith("Cutting oxygen")
    assert found.sentences[3].startswith("Travel")
    assert found.sentences[-1] == MORE
    assert len(found.more) <= PLAIN_MORE + (fuel is not Fuel.ACETYLENE)
    assert sum(line.startswith("Source,") for line in found.more) == 1
    assert sum(line.startswith("From memory") for line in found.more) == 1


def test_a_tip_too_large_is_told_the_lean_first() -> None:
    found = heard(plate(0.25, About.TECHNIQUE, tip=made_for(2)))
    assert found.sentences[1].startswith("The tip is too large. Lean it over")
    assert found.sentences[2].startswith("Lean the torch, seventy degrees")
    assert found.sentences[3].startswith("Path")
    assert found.sentences[4].startswith("Travel")


def test_a_single_figure_for_a_leaned_tip_says_the_lean() -> None:
    """The oxygen is the leaned path's: without the lean it would be wrong."""
    found = heard(plate(0.25, About.OXYGEN_PRESSURE, tip=made_for(2)))
    assert any("seventy degrees" in line for line in found.sentences)


def test_a_tip_too_small_is_told_to_go_slowly_first() -> None:
    found = heard(plate(0.75, tip=made_for(0.25)))
    assert found.sentences[1] == "The tip is too small. Go slowly."


def test_the_trades_pace_is_spoken_with_the_tables_where_they_differ() -> None:
    """Common practice, no published source: 20 to 30 in/min on 1/4 in with its tip at 25 psi."""
    travel = next(s for s in heard(plate(0.25, tip=made_for(0.25))).sentences if "Travel" in s)
    assert "sixteen to eighteen inches a minute" in travel
    assert "common practice runs twenty to thirty at twenty five p s i" in travel
    shown = heard(plate(0.25, tip=made_for(0.25))).figures
    assert next(each for each in shown if each.name == "travel_speed").digits == "16-18"
    other = heard(plate(0.75, tip=made_for(0.75)))
    assert not any("common practice runs" in line for line in other.sentences)


def test_steel_that_is_made_ready_first_is_told_so_first() -> None:
    piece = Piece(thickness=inches(1), metal=Metal.HIGH_CARBON_STEEL)
    found = heard(Request(About.SETTING, piece=piece))
    assert found.sentences[1].startswith("Preheat the whole piece")
    both = heard(
        Request(
            About.SETTING,
            piece=Piece(thickness=inches(0.75), surface=Surface.RUSTY),
            tip=made_for(0.25),
        )
    )
    assert both.sentences[1].startswith("Scrape off rust")
    assert both.sentences[2] == "The tip is too small. Go slowly."


def test_a_pressure_that_was_named_is_judged_before_any_figure() -> None:
    found = heard(plate(0.75, asked_pressure=psi(60), asked_gas="oxygen"))
    assert found.sentences[1] == "What you named is above the range. Turn it down."


def test_sheet_is_told_to_lean_first() -> None:
    found = heard(Request(About.SETTING, piece=Piece(gauge=14)))
    assert "lean the torch far over" in found.sentences[1]
    assert any("seventy to seventy five degrees" in line for line in found.sentences)


def test_a_tip_from_the_box_that_does_not_suit_is_told_so() -> None:
    box = TipBox((TipOnHand("2", made_for=(inches(0.25), inches(0.25))),), in_torch="2")
    assert heard(plate(0.75), box).sentences[1].startswith("The tip is too small")


def test_a_section_without_its_weight_offers_four_and_says_how_many_there_are() -> None:
    found = heard(Request(About.SETTING, piece=Piece(designation="W10")))
    assert found.kind == "question" and len(found.options) == 4
    assert any("There are eighteen" in line for line in found.sentences)


def test_a_section_that_does_not_exist_offers_its_neighbours() -> None:
    """AISC lists W10X33 and W10X39, and no W10X34."""
    found = heard(Request(About.SETTING, piece=Piece(designation="W10X34")))
    assert any("I have no w ten by thirty four" in line for line in found.sentences)
    assert "w ten by thirty three" in found.options and "w ten by thirty nine" in found.options
    assert any("w ten by thirty, three oh" in line for line in found.sentences)


def test_an_angle_without_its_thickness_is_unfinished_and_not_unknown() -> None:
    found = heard(Request(About.SETTING, piece=Piece(designation="L4X4")))
    assert any("There are seven" in line for line in found.sentences)
    assert all(option.lower().startswith("l4x4") for option in found.options)


def test_a_schedule_that_the_size_has_not_is_said_and_each_wall_offered_once() -> None:
    """ASME B36.10: 6 in pipe has no schedule 70; schedule 40 and standard are one wall."""
    found = heard(Request(About.SETTING, piece=Piece(nominal=Fraction(6), schedule="70")))
    assert any("That size has no schedule seventy" in line for line in found.sentences)
    assert found.options[:2] == ("schedule forty", "schedule eighty")
    assert "standard wall" not in found.options and len(found.options) <= 4


def test_an_eighty_inch_plate_is_asked_again() -> None:
    found = heard(plate(80))
    assert found.kind == "question" and "twelve inches at most" in found.sentences[1]


def test_a_refusal_gives_why_then_what_instead_and_the_rule_last() -> None:
    found = heard(Request(About.SETTING, hazards=("light_with_match",)))
    assert found.sentences[1].startswith("A match puts your hand")
    assert found.sentences[2].startswith("Use a friction lighter")
    assert found.sentences[-1].startswith("The rule is")
