"""Every request that can be picked by touch is understood as it was picked."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from handsfree.engine import tables
from handsfree.page import choices as choices
from handsfree.page.asking import PIECES, Picked, adding_words, setting_words, tick_words
from handsfree.page.choices import Choice
from handsfree.understand.understanding import Understanding
from handsfree.values import NEW_LIST, About, BoxChange, Control, Request, Words
from tests.taking_some import SOME_OR_ALL

PLATES = (*choices.GAUGES, *choices.STOCK, *choices.FINER, *choices.METRIC)
TIPS = (*choices.STOCK, *choices.FINER, *choices.METRIC)
BY_WORDS = {choice.words: choice for choice in PLATES}
EVERY_TH = 7  # of what can be picked is enough for the quick tier
SHAPES = [shape for shape in PIECES if shape not in ("pipe", "sheet")]


def picks() -> Iterator[Picked]:
    """Each choice of each step at least once, and every pair that shares a sentence's edge."""
    words = [choice.words for choice in PLATES]
    yield from (Picked(size=size) for size in words)
    yield from (Picked(size="half inch", tip=tip.words) for tip in TIPS)
    yield from (Picked(shape, "quarter inch", fuel="propane", tip="half inch") for shape in SHAPES)
    fuels = ["", *(fuel.words for fuel in choices.FUELS)]
    steels = ["", *(steel.words for steel in choices.HARD_STEELS)]
    coatings = ["", *(coating.words for coating in choices.COATINGS)]
    for shape, steel, coating in product(SHAPES, steels, coatings):
        yield Picked(shape, "three eighths inch", steel=steel, coating=coating)
    for fuel, coating, tip in product(
        fuels, coatings, ("", "one and a half inch", "twelve millimetre")
    ):
        yield Picked(size="three quarter inch", fuel=fuel, coating=coating, tip=tip)
    for size, wall in product(choices.PIPE_SIZES, choices.PIPE_WALLS):
        yield Picked("pipe", size.words, wall.words)
    for steel, coating in product(steels, coatings):
        yield Picked("pipe", "six inch", "schedule eighty", steel, coating=coating, fuel="propane")
    yield from (Picked(metal=metal.words) for metal in choices.NOT_STEELS)


@SOME_OR_ALL
def test_what_touch_says_is_understood_as_it_was_picked(
    understanding: Understanding, every: bool
) -> None:
    wrong = []
    for picked in list(picks())[:: 1 if every else EVERY_TH]:
        words = setting_words(picked)
        got = understanding.request(Words(words))
        if not isinstance(got, Request) or _got(got) != _wanted(picked):
            wrong.append((words, isinstance(got, Request) and _got(got), _wanted(picked)))
    assert not wrong


@SOME_OR_ALL
def test_what_touch_adds_to_the_work_list_is_the_piece_that_was_picked(
    understanding: Understanding, every: bool
) -> None:
    wrong: list[tuple[str, object]] = []
    for picked in list(picks())[:: 1 if every else EVERY_TH]:
        plain = replace(picked, fuel="", tip="")
        asked = understanding.request(Words(setting_words(plain)))
        added = understanding.request(Words(adding_words(plain)))
        assert isinstance(asked, Request)
        if not isinstance(added, Request) or added.about is not About.TAKE_UP:
            wrong.append((adding_words(plain), added))
        elif [wanted.piece for wanted in added.wanted] != [asked.piece]:
            wrong.append((adding_words(plain), added.wanted))
    assert not wrong


def test_the_words_of_the_work_list_s_targets_are_understood(understanding: Understanding) -> None:
    shown, removed, new = (
        understanding.request(Words(choice.words)) for choice in choices.WORK_WORDS
    )
    assert isinstance(shown, Request) and shown.about is About.TAKE_UP and shown.change is None
    assert isinstance(removed, Request) and removed.change is BoxChange.REMOVE
    assert isinstance(new, Request) and NEW_LIST in new.defaults
    for place in (1, 12, 60):
        ticked = understanding.request(Words(tick_words(place)))
        assert isinstance(ticked, Request)
        assert (ticked.about, ticked.listed, ticked.tip) == (About.TAKE_UP, place, None)


def _inch(millimetres: float | None) -> object:
    return None if millimetres is None else pytest.approx(millimetres / 25.4, abs=0.0005)


def _got(request: Request) -> dict[str, object]:
    piece, tip = request.piece, request.tip
    assert piece is not None
    gauge = piece.gauge and tables.sheet_gauge(piece.gauge)
    thickness = gauge.value if gauge else piece.thickness
    made_for = tip and tip.made_for
    return {
        "about": request.about,
        "shape": None if piece.shape is None else str(piece.shape),
        "size": None if thickness is None else float(thickness.m_as("inch")),
        "nominal": piece.nominal,
        "wall": piece.schedule,
        "metal": str(piece.metal),
        "surface": str(piece.surface),
        "fuel": str(request.fuel or ""),
        "tip": None if not made_for else float(made_for[1].m_as("inch")),
        "hazards": request.hazards,
    }


def _wanted(picked: Picked) -> dict[str, object]:
    pipe = picked.shape == "pipe"
    size = None if pipe or picked.metal else BY_WORDS[picked.size].millimetres
    gauge = picked.size.endswith("gauge")
    coating = picked.coating.removeprefix("with an ")
    nominal = next((c.shown for c in choices.PIPE_SIZES if c.words == picked.size), "0")
    return {
        "about": About.SETTING,
        "shape": None if picked.metal else "sheet" if gauge else picked.shape,
        "size": _inch(size),
        "nominal": sum(map(Fraction, nominal.split()), Fraction(0)) if pipe else None,
        "wall": next((c.shown for c in choices.PIPE_WALLS if c.words == picked.wall), None),
        "metal": picked.metal or picked.steel or "mild steel",
        "surface": coating or "clean",
        "fuel": picked.fuel,
        "tip": _inch(BY_WORDS[picked.tip].millimetres) if picked.tip else None,
        "hazards": (),
    }


@pytest.mark.parametrize("choice", choices.STEP_LISTS, ids=lambda choice: choice.shown)
def test_each_step_list_opens(understanding: Understanding, choice: Choice) -> None:
    got = understanding.request(Words(choice.words))
    assert isinstance(got, Request)
    assert got.about is About.STEPS
    assert got.steps is not None


def test_no_two_choices_open_the_same_step_list(understanding: Understanding) -> None:
    opened = [understanding.request(Words(choice.words)) for choice in choices.STEP_LISTS]
    assert len({got.steps for got in opened if isinstance(got, Request)}) == len(opened)


def test_the_words_of_the_voice_s_own_targets_are_understood(understanding: Understanding) -> None:
    got = [understanding.request(Words(choice.words)) for choice in choices.VOICE_WORDS]
    wanted = ["AGAIN", "SLOWER", "FASTER", "LOUDER", "SOFTER"]
    assert got == [Control[name] for name in wanted]
    tips = understanding.request(Words(choices.TIPS_WORDS))
    assert isinstance(tips, Request)
    assert (tips.about, tips.change) == (About.TIP_BOX, BoxChange.SHOW)


def test_gauges_are_those_of_the_table() -> None:
    for choice in choices.GAUGES:
        gauge = tables.sheet_gauge(int(choice.shown.split()[0]))
        assert gauge is not None
        assert choice.millimetres == pytest.approx(float(gauge.value.m_as("mm")), abs=0.001)
