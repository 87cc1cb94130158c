"""The read-back repeats everything that was understood, and nothing else."""

from fractions import Fraction

import pytest

from handsfree.values import (
    About,
    Answer,
    Conversion,
    Fit,
    Fuel,
    Metal,
    Piece,
    Position,
    Request,
    Shape,
    Surface,
    TipOnHand,
)
from handsfree.values.units import feet, inches, millimetres, psi, registry
from handsfree.wording.pairs import as_pairs
from handsfree.wording.readback import ABOUT_SAID, understood


def setting(piece: Piece) -> str:
    return understood(Request(About.SETTING, piece=piece))


PIECES = [
    (Piece(thickness=inches(0.5)), "half inch plate"),
    (Piece(thickness=inches(1.375), shape=Shape.PLATE), "one and three eighths inch plate"),
    (Piece(thickness=millimetres(12), shape=Shape.SHEET), "twelve millimetre sheet"),
    (Piece(thickness=inches(0.5), metal=Metal.CAST_IRON), "half inch cast iron"),
    (Piece(thickness=inches(2), shape=Shape.SHAFT), "two inch shaft"),
    (Piece(gauge=10), "ten gauge sheet"),
    (Piece(gauge=10, surface=Surface.GALVANISED), "galvanised ten gauge sheet"),
    (Piece(nominal=Fraction(6), schedule="40", shape=Shape.PIPE), "six inch schedule forty pipe"),
    (Piece(nominal=Fraction(3, 2), schedule="XS"), "one and a half inch extra strong pipe"),
    (Piece(nominal=Fraction(2), schedule="10S"), "two inch schedule ten s pipe"),
    (Piece(designation="W10X33"), "w ten by thirty three"),
    (Piece(designation="C8X11.5", shape=Shape.CHANNEL), "c eight by eleven point five channel"),
    (Piece(designation="L4X4X3/8", shape=Shape.ANGLE), "four by four by three eighths angle"),
    (
        Piece(designation="HSS6X6X3/8", shape=Shape.SQUARE_TUBE),
        "h s s six by six by three eighths square tube",
    ),
    (
        Piece(shape=Shape.SQUARE_TUBE, outside=(inches(6), inches(6)), thickness=inches(0.375)),
        "six inch by six inch square tube, three eighths inch wall",
    ),
    (
        Piece(shape=Shape.FLAT_BAR, outside=(inches(4),), thickness=inches(0.5)),
        "four inch flat bar, half inch thick",
    ),
    (
        Piece(thickness=inches(0.25), surface=Surface.UNKNOWN_COATING),
        "quarter inch plate, unknown coating",
    ),
    (Piece(metal=Metal.STAINLESS_STEEL), "stainless steel"),
    (Piece(shape=Shape.BEAM), "beam"),
    (Piece(closed=True), "closed"),
    (
        Piece(thickness=inches(1), carbon_percent=0.45),
        "one inch plate, point four five percent carbon",
    ),
    (Piece(), ""),
]


def test_steel_is_named_as_in_the_trade() -> None:
    assert not {words: setting(piece) for piece, words in PIECES if setting(piece) != words}


TIPS = [
    (TipOnHand(made_for=(inches(0.25), inches(0.25))), "tip made for quarter inch plate"),
    (
        TipOnHand(made_for=(inches(0.25), inches(0.5))),
        "tip made for quarter inch to half inch plate",
    ),
    (TipOnHand(made_for=(inches(0), inches(2))), "tip made for up to two inch plate"),
    (TipOnHand(drill=56), "tip number fifty six drill"),
    (TipOnHand(bore=inches(0.0625)), "tip bore point oh six two five inch"),
    (TipOnHand(bore=millimetres(1.6)), "tip bore one point six millimetres"),
    (TipOnHand(stamp="1"), "tip stamped one"),
    (TipOnHand(stamp="000"), "tip stamped triple ought"),
    (TipOnHand(stamp="A-12"), "tip stamped a twelve"),
    (TipOnHand(stamp="2", drill=56), "tip stamped two, number fifty six drill"),
    (TipOnHand(), ""),
]


def test_tips_are_named_by_what_is_known_of_them() -> None:
    said = {words: understood(Request(About.SETTING, tip=tip)) for tip, words in TIPS}
    assert {words: text for words, text in said.items() if words != text} == {}


CIRCUMSTANCES = [
    (Request(About.TRAVEL_SPEED, fuel=Fuel.NATURAL_GAS), "travel speed, natural gas"),
    (
        Request(About.SETTING, hose_length=feet(100), hose_bore=inches(0.25)),
        "one hundred foot hose, hose bore quarter inch",
    ),
    (Request(About.SETTING, position=Position.OVERHEAD), "overhead"),
    (Request(About.SETTING, position=Position.VERTICAL), "vertical position"),
    (Request(About.SETTING, asked_pressure=psi(40), asked_gas="oxygen"), "oxygen at forty p s i"),
    (Request(About.SETTING, asked_pressure=psi(40)), "forty p s i"),
    (
        Request(About.RIG, oxygen_purity_percent=99.5),
        "rig, oxygen of ninety nine and a half percent",
    ),
    (
        Request(About.CONVERT, conversion=Conversion(millimetres(12), "in")),
        "twelve millimetres in inches",
    ),
    (
        Request(About.CONVERT, conversion=Conversion(inches(0.375), "fraction")),
        "three eighths inch as a fraction",
    ),
    (Request(About.CONVERT, conversion=Conversion(registry.Quantity(2.0, "bar"), None)), "two bar"),
    (
        Request(About.CONVERT, conversion=Conversion(None, "in"), tip=TipOnHand(drill=56)),
        "tip number fifty six drill in inches",
    ),
    (Request(About.STEPS, steps="no_gauge"), "no gauge"),
    (Request(About.HELP), "help"),
    (Request(About.SETTING, defaults=("plate", "acetylene")), "acetylene, plate"),
]


def test_circumstances_follow_the_steel() -> None:
    said = {words: understood(request) for request, words in CIRCUMSTANCES}
    assert {words: text for words, text in said.items() if words != text} == {}


def test_defaults_are_said_once() -> None:
    request = Request(
        About.SETTING, piece=Piece(thickness=inches(0.5)), defaults=("plate", "acetylene")
    )
    assert understood(request) == "half inch plate, acetylene"


def test_every_kind_of_request_has_its_words() -> None:
    assert set(ABOUT_SAID) == set(About)


def test_a_request_without_its_own_thickness_names_the_table_s() -> None:
    pipe = Request(About.SETTING, piece=Piece(nominal=Fraction(6), schedule="40"))
    answer = Answer(pipe, thickness=inches(0.28), thickness_name="6 in schedule 40 pipe wall")
    assert understood(pipe, answer).endswith(", wall point two eight inch")


def test_pairs_hold_what_is_known_and_nothing_else() -> None:
    assert as_pairs(None) == ()
    assert as_pairs(Request(About.HELP)) == (("about", "help"),)
    request = Request(
        About.SETTING,
        piece=Piece(shape=Shape.PLATE, thickness=inches(0.75), surface=Surface.RUSTY),
        tip=TipOnHand(stamp="1", made_for=(inches(0.25), inches(0.5)), bore=inches(0.04)),
        fuel=Fuel.PROPANE,
        position=Position.VERTICAL,
        hose_length=feet(50),
        hose_bore=inches(0.25),
        asked_pressure=psi(30),
        asked_gas="oxygen",
        lean=True,
        defaults=("plate",),
    )
    answer = Answer(request, thickness=inches(0.75), fit=Fit.TOO_SMALL)
    assert dict(as_pairs(request, answer)) == {
        "about": "setting",
        "shape": "plate",
        "thickness_mm": pytest.approx(19.05),
        "metal": "mild steel",
        "surface": "rusty",
        "fit": "too small",
        "tip": "tip stamped one, made for quarter inch to half inch plate",
        "tip_stamp": "1",
        "tip_bore_mm": pytest.approx(1.016),
        "tip_made_for_low_mm": pytest.approx(6.35),
        "tip_made_for_mm": pytest.approx(12.7),
        "fuel": "propane",
        "position": "vertical",
        "hose_length_m": pytest.approx(15.24),
        "hose_bore_mm": pytest.approx(6.35),
        "asked_pressure_psi": pytest.approx(30),
        "asked_gas": "oxygen",
        "lean": True,
        "defaults": "plate",
    }


def test_the_fuel_that_was_taken_as_read_is_known_to_programs() -> None:
    request = Request(About.SETTING, defaults=("plate", "natural gas"))
    assert dict(as_pairs(request))["fuel"] == "natural gas"


def test_a_setting_that_was_taken_as_wanted_is_not_named() -> None:
    piece = Piece(thickness=inches(0.5))
    assert (
        understood(Request(About.SETTING, piece=piece, defaults=("setting",))) == "half inch plate"
    )
