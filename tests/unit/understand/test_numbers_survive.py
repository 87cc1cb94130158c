"""A number that is said stays that number in its slot, in every frame of words: a property."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.spoken_numbers import fraction, mixed, whole
from handsfree.understand.meaning_tip import SMALLEST_PLATE_IN
from handsfree.understand.understanding import Understanding
from handsfree.values import Piece, Question, Request, Words

Property = Callable[..., None]

SHARE = 5  # one of so many examples in the quick tier, and all of them in the long one
PROPERTIES: list[tuple[int, tuple[st.SearchStrategy[object], ...], Property]] = []

STEEL_FRAMES = (
    "what do i set for {}",
    "how fast on {} plate",
    "{} plate what tip",
    "i've got {} here mate how wide is the kerf",
    "what's my oxygen for {} on propane",
    "{}",
)
TIP_FRAMES = (
    "what do i set for ten gauge sheet with a {} tip",
    "how fast can i cut ten gauge, tip's good for {}",
    "all i've got is a {} tip and this is ten gauge sheet",
)
LENGTHS = st.integers(1, 64 * 12).map(lambda parts: Fraction(parts, 64))


def examples(count: int, *of: st.SearchStrategy[object]) -> Callable[[Property], Property]:
    """A property, with how many examples of what show it."""

    def kept(shown: Property) -> Property:
        PROPERTIES.append((count, of, shown))
        return shown

    return kept


def _piece(understanding: Understanding, text: str) -> Piece:
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request), f"{text}: {understood}"
    assert understood.piece is not None, text
    return understood.piece


def _inch_words(value: Fraction) -> str:
    if value < 1:
        return f"{fraction(value)} inch"
    return f"{mixed(value)} inch" if value.denominator > 1 else f"{whole(int(value))} inch"


@examples(300, LENGTHS, st.sampled_from(STEEL_FRAMES))
def sixty_fourths_of_an_inch(understanding: Understanding, value: Fraction, frame: str) -> None:
    piece = _piece(understanding, frame.format(_inch_words(value)))
    assert piece.thickness is not None
    assert float(piece.thickness.m_as("inch")) == float(value)


@examples(
    200,
    st.integers(1, 300),
    st.sampled_from(STEEL_FRAMES),
    st.sampled_from(["mil", "millimetres", "m m"]),
)
def millimetres(understanding: Understanding, value: int, frame: str, unit: str) -> None:
    piece = _piece(understanding, frame.format(f"{whole(value)} {unit}"))
    assert piece.thickness is not None
    assert round(float(piece.thickness.m_as("mm")), 9) == value


@examples(100, st.integers(3, 38), st.sampled_from(STEEL_FRAMES[:1] + STEEL_FRAMES[3:]))
def gauges(understanding: Understanding, value: int, frame: str) -> None:
    assert _piece(understanding, frame.format(f"{whole(value)} gauge")).gauge == value


@examples(
    100,
    st.sampled_from([1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 24]),
    st.sampled_from([5, 10, 20, 30, 40, 60, 80, 100, 120, 140, 160]),
    st.sampled_from(["what do i set for {} pipe", "{} pipe how fast", "how fast on {}"]),
)
def pipe_and_schedule(
    understanding: Understanding, nominal: int, schedule: int, frame: str
) -> None:
    said = {100: "a hundred", 120: "one twenty", 140: "one forty", 160: "one sixty"}
    size = f"{whole(nominal)} inch schedule {said.get(schedule, whole(schedule))}"
    piece = _piece(understanding, frame.format(size))
    assert piece.nominal == Fraction(nominal)
    assert piece.schedule == str(schedule)


@examples(
    150,
    st.integers(4, 44),
    st.integers(9, 99),
    st.sampled_from(STEEL_FRAMES[:1] + STEEL_FRAMES[3:]),
)
def wide_flange_sections(understanding: Understanding, depth: int, weight: int, frame: str) -> None:
    piece = _piece(understanding, frame.format(f"w {whole(depth)} by {whole(weight)}"))
    assert piece.designation == f"W{depth}X{weight}"


@examples(200, LENGTHS, st.sampled_from(TIP_FRAMES))
def the_plate_that_a_tip_is_made_for(
    understanding: Understanding, value: Fraction, frame: str
) -> None:
    understood = understanding.request(Words(frame.format(_inch_words(value))))
    assert isinstance(understood, Request), understood
    assert understood.tip is not None
    # no plate that thin has a tip: a "one sixteenth nozzle" is told by its bore
    made_for, bore = understood.tip.made_for, understood.tip.bore
    told = bore if made_for is None and value < SMALLEST_PLATE_IN else made_for and made_for[1]
    assert told is not None and float(told.m_as("inch")) == float(value)
    assert understood.piece is not None and understood.piece.gauge == 10


@examples(150, st.integers(1, 80), LENGTHS)
def drill_and_steel_do_not_change_places(
    understanding: Understanding, drill: int, value: Fraction
) -> None:
    text = f"what do i set for {_inch_words(value)} with a number {whole(drill)} drill tip"
    understood = understanding.request(Words(text))
    assert isinstance(understood, Request), text
    assert understood.tip is not None and understood.tip.drill == drill
    assert understood.piece is not None and understood.piece.thickness is not None
    assert float(understood.piece.thickness.m_as("inch")) == float(value)


@examples(150, st.integers(1, 60), st.integers(1, 60))
def no_number_is_dropped(understanding: Understanding, first: int, second: int) -> None:
    """Two numbers side by side without units: asked about or not understood, never one of them."""
    text = f"what do i set for {whole(first)} and {whole(second)}"
    understood = understanding.request(Words(text))
    if isinstance(understood, Question):
        assert understood.request is None or understood.asks_for == "thickness"
    else:
        assert not isinstance(understood, Request), text


@pytest.mark.parametrize(
    "share", [pytest.param(SHARE, id="some"), pytest.param(1, id="all", marks=pytest.mark.long)]
)
@pytest.mark.parametrize("number", range(len(PROPERTIES)), ids=[p.__name__ for *_, p in PROPERTIES])
def test_a_number_stays_what_was_said(
    number: int, share: int, understanding: Understanding
) -> None:
    count, of, shown = PROPERTIES[number]

    @settings(max_examples=count // share, deadline=None)
    @given(st.tuples(*of))
    def holds(said: tuple[object, ...]) -> None:
        shown(understanding, *said)

    holds()
