"""Whatever is asked, the engine replies, stays inside its limits, and speaks short sentences."""

import math
from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine import tables
from handsfree.engine.answer import answer
from handsfree.engine.tips import fit, tip_on_hand
from handsfree.values import (
    About,
    Access,
    Answer,
    BoxChange,
    Conversion,
    Fit,
    Fuel,
    Metal,
    Piece,
    Position,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Shape,
    Store,
    Surface,
    Task,
    TipBox,
    TipOnHand,
    Wanted,
    YesKind,
    YesTo,
)
from handsfree.values.units import degrees, feet, inches, millimetres, psi, registry

LENGTHS = st.one_of(
    st.floats(-1, 100).map(inches),
    st.floats(0.1, 13).map(inches),
    st.floats(1, 400).map(millimetres),
    st.fractions(0, 12, max_denominator=64).map(inches),
)
TIPS = st.builds(
    TipOnHand,
    stamp=st.none() | st.sampled_from(["0", "00", "1", "A2", "", "999999"]),
    bore=st.none() | st.floats(-1, 2).map(inches),
    drill=st.none() | st.integers(-5, 100),
    made_for=st.none() | st.tuples(LENGTHS, LENGTHS),
)
PIECES = st.builds(
    Piece,
    shape=st.none() | st.sampled_from(list(Shape)),
    thickness=st.none() | LENGTHS,
    gauge=st.none() | st.integers(-3, 60),
    nominal=st.none() | st.sampled_from([Fraction(6), Fraction(7, 2), Fraction(1, 3)]),
    schedule=st.none() | st.sampled_from(["40", "STD", "XS", "9", ""]),
    designation=st.none()
    | st.sampled_from(["W10X33", "W10", "L4X4X3/8", "HSS6X6X3/8", "IPE200", "?", "X", ""]),
    metal=st.sampled_from(list(Metal)),
    surface=st.sampled_from(list(Surface)),
    closed=st.booleans(),
    carbon_percent=st.none() | st.floats(-1, 6),
)
YESES = st.builds(
    YesTo,
    st.sampled_from(list(YesKind)),
    st.sampled_from([*tables.refusal_keys(), "fire watch", Piece(surface=Surface.CADMIUM)]),
)
MILD = st.builds(Piece, thickness=st.floats(0.125, 12).map(inches))
AMOUNTS = st.one_of(
    LENGTHS,
    st.floats(-10, 500).map(psi),
    st.floats(-500, 3000).map(lambda value: registry.Quantity(value, "degF")),
    st.floats(0, 500).map(lambda value: registry.Quantity(value, "cfh")),
    st.just(registry.Quantity(1.0, "kg")),
)
WEIGHTS = st.none() | st.floats(-10, 900).map(lambda value: registry.Quantity(value, "lb"))
STORES = st.builds(
    Store,
    gas=st.sampled_from(["oxygen", "fuel"]),
    cylinders=st.integers(-1, 40),
    gauge=st.none() | st.floats(-10, 6000).map(psi),
    content=st.none() | st.floats(-1, 900).map(lambda value: registry.Quantity(value, "ft**3")),
    temperature=st.none()
    | st.floats(-100, 300).map(lambda value: registry.Quantity(value, "degF")),
    gross=WEIGHTS,
    tare=WEIGHTS,
)
WANTED = st.builds(
    Wanted,
    piece=PIECES | MILD,
    count=st.integers(0, 2000),
    length=st.none() | LENGTHS,
    access=st.none() | st.sampled_from(list(Access)),
    done=st.integers(0, 5),
)
_REQUESTS = st.builds(
    Request,
    about=st.sampled_from(list(About)),
    piece=st.none() | PIECES | MILD,
    tip=st.none() | TIPS,
    fuel=st.none() | st.sampled_from(list(Fuel)),
    position=st.none() | st.sampled_from(list(Position)),
    hose_length=st.none() | st.floats(0, 1000).map(feet),
    hose_bore=st.none() | st.floats(0, 2).map(inches),
    asked_pressure=st.none() | st.floats(-10, 500).map(psi),
    asked_gas=st.none() | st.sampled_from(["oxygen", "fuel"]),
    conversion=st.none()
    | st.builds(
        Conversion,
        amount=st.none() | AMOUNTS,
        unit=st.none()
        | st.sampled_from(["mm", "in", "fraction", "gauge", "drill", "psi", "degC", "ells"]),
    ),
    change=st.none() | st.sampled_from(list(BoxChange)),
    steps=st.none() | st.sampled_from(["light", "flashback", "nothing"]),
    hazards=st.lists(st.sampled_from(tables.refusal_keys()), max_size=1).map(tuple),
    lean=st.booleans(),
    oxygen_purity_percent=st.none() | st.floats(0, 100),
    standing=st.lists(st.sampled_from(tables.refusal_keys()), max_size=1).map(tuple),
    confirmed=st.lists(YESES, max_size=2).map(tuple),
    access=st.none() | st.sampled_from(list(Access)),
    task=st.none() | st.sampled_from(list(Task)),
    count=st.none() | st.integers(-2, 2000),
    cut_length=st.none() | LENGTHS,
    piece_length=st.none() | LENGTHS,
    mitre=st.none() | st.floats(-90, 90).map(degrees),
    header=st.none() | st.sampled_from([Fraction(0), *tables.pipe_sizes(), Fraction(7, 3)]),
    weld=st.none() | st.floats(-1, 40).map(inches),
    listed=st.none() | st.integers(-1, 70),
    stores=st.lists(STORES, max_size=2).map(tuple),
    wanted=st.lists(WANTED, max_size=3).map(tuple),
)


def _confirming(request: Request, yes: bool) -> Request:
    """The request once its own coating is said to be dealt with, so that figures are reached."""
    if not yes or request.piece is None:
        return request
    return replace(request, confirmed=(YesTo(YesKind.COATING, request.piece),))


REQUESTS = st.builds(_confirming, _REQUESTS, st.booleans())
BOXES = st.builds(
    TipBox,
    tips=st.lists(TIPS, max_size=3).map(tuple),
    in_torch=st.none() | st.sampled_from(["0", "1"]),
)
RIGS = st.builds(
    Rig,
    fuel=st.sampled_from(list(Fuel)),
    hose_length=st.none() | st.floats(0, 600).map(feet),
    oxygen_purity_percent=st.sampled_from([99.5, 98.5, 95.0]),
)
LONGEST = 17  # words in one spoken sentence
HIGHEST_ACETYLENE = 15  # psig: 29 CFR 1910.253(a)(2)


def figures(reply: Reply, name: str) -> list[tuple[float, float]]:
    if not isinstance(reply, Answer):
        return []
    return [
        (float(figure.low.magnitude), float(figure.high.magnitude))
        for figure in reply.figures
        if figure.name == name
    ]


@settings(max_examples=300, deadline=None)
@given(REQUESTS, RIGS, BOXES)
def test_no_request_raises_and_no_reply_breaks_a_limit(
    request: Request, rig: Rig, box: TipBox
) -> None:
    reply = answer(request, rig, box)
    assert isinstance(reply, Answer | Question | Refusal)
    if isinstance(reply, Question):
        assert reply.prompt and reply.asks_for
        return
    if isinstance(reply, Refusal):
        assert reply.reason and reply.instead
        return
    assert not request.hazards
    for figure in reply.figures:
        low, high = float(figure.low.magnitude), float(figure.high.magnitude)
        assert math.isfinite(low) and math.isfinite(high) and low <= high, figure
        tables.source(figure.source)
    fuel = request.fuel or rig.fuel
    for _, high in figures(reply, "fuel_pressure"):
        assert high <= (HIGHEST_ACETYLENE if fuel is Fuel.ACETYLENE else 20)
    for key in reply.sources:
        tables.source(key)


@settings(max_examples=200, deadline=None)
@given(MILD, TIPS, st.sampled_from(list(Fuel)))
def test_every_sentence_is_short_and_without_digits(
    piece: Piece, tip: TipOnHand, fuel: Fuel
) -> None:
    reply = answer(Request(About.SETTING, piece=piece, tip=tip, fuel=fuel), Rig(), TipBox())
    if isinstance(reply, Answer):
        for sentence in (*reply.technique, *reply.cautions, *reply.notes):
            assert len(sentence.split()) <= LONGEST, sentence
            assert not any(letter.isdigit() for letter in sentence), sentence


@settings(deadline=None)
@given(st.floats(0.125, 12), st.floats(0.03, 0.12), st.floats(1.0, 1.6))
def test_a_larger_bore_never_gets_more_pressure_for_the_same_plate(
    thickness: float, bore: float, more: float
) -> None:
    """Right and too large. A bore too small is held down by what lists it, so it may get less."""

    def pressure(size: float) -> tuple[float, float] | None:
        request = Request(
            About.OXYGEN_PRESSURE,
            piece=Piece(thickness=inches(thickness)),
            tip=TipOnHand(bore=inches(size)),
        )
        tip = tip_on_hand(request, TipBox())
        assert tip is not None and not isinstance(tip, Question)
        if fit(tip, thickness) is Fit.TOO_SMALL:
            return None
        found = figures(answer(request, Rig(), TipBox()), "oxygen_pressure")
        return found[0] if found and not _leaned(request) else None

    small, large = pressure(bore), pressure(bore * more)
    if small and large:
        assert large[1] <= small[1] + 1e-9


def _leaned(request: Request) -> bool:
    """A leaned tip is set for its path, which is thicker than the plate."""
    whole = Request(About.SETTING, piece=request.piece, tip=request.tip)
    return bool(figures(answer(whole, Rig(), TipBox()), "lean"))


@settings(deadline=None)
@given(st.floats(0.125, 12), st.floats(1.0, 2.0), st.sampled_from(list(Fuel)))
def test_thicker_is_never_faster(thickness: float, more: float, fuel: Fuel) -> None:
    def speed(plate: float) -> tuple[float, float]:
        request = Request(About.TRAVEL_SPEED, piece=Piece(thickness=inches(plate)), fuel=fuel)
        return figures(answer(request, Rig(), TipBox()), "travel_speed")[0]

    thin, thick = speed(thickness), speed(min(thickness * more, 12.0))
    assert thick[0] <= thin[0] + 0.5 and thick[1] <= thin[1] + 0.5  # rounding to half inches
