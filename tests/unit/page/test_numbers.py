"""The page's numbers and choices against what lies outside the project."""

from fractions import Fraction
from itertools import pairwise

import pytest
from num2words import num2words

from handsfree.page import choices as page_choices
from handsfree.page import reading as page_reading
from handsfree.page import sizes as page_sizes
from handsfree.page.asking import prompt_said


def test_digits_are_high_enough_for_their_distance() -> None:
    needed = page_reading.digit_height(page_sizes.READING_DISTANCE_MM)
    assert needed <= page_sizes.DIGITS_MM < needed + 1


@pytest.mark.parametrize(
    ("shade", "least", "most"),
    # Luminous transmittance limits of EN 169:2002 table 1, in percent; typed from memory.
    [(3, 8.5, 17.8), (4, 3.2, 8.5), (5, 1.2, 3.2)],
)
def test_filters_let_through_what_the_standard_gives(
    shade: float, least: float, most: float
) -> None:
    assert least <= 100 * page_reading.transmittance(shade) <= most


def test_a_darker_filter_a_dimmer_screen_and_more_distance_need_higher_digits() -> None:
    for shade, darker in pairwise(page_reading.SHADES):
        for screen in (80.0, 400.0):
            if darker < 8:
                lighter = page_reading.digit_height(2000, shade, screen)
                assert lighter < page_reading.digit_height(2000, darker, screen)
    assert page_reading.digit_height(2000, 5, 400) < page_reading.digit_height(2000, 5, 200)
    assert page_reading.digit_height(4000) == pytest.approx(2 * page_reading.digit_height(2000))


@pytest.mark.parametrize(
    ("luminance", "acuity"),
    # Shlaer 1937 as drawn in handbooks: about 0.2 of the best at 0.1 cd/m2, all but the best at
    # 1000; read off a printed curve from memory, so within a tenth.
    [(0.1, 12), (1, 30), (10, 44), (100, 48), (1000, 50)],
)
def test_what_the_eye_resolves_is_what_was_measured(luminance: float, acuity: float) -> None:
    assert page_reading.resolved(luminance) == pytest.approx(acuity, rel=0.1)


@pytest.mark.parametrize(("shade", "screen"), [(8, 80.0), (14, 400.0), (1, 20000.0)])
def test_no_height_is_given_where_nothing_was_measured(shade: float, screen: float) -> None:
    with pytest.raises(ValueError, match="lighter filter or a brighter screen"):
        page_reading.digit_height(2000, shade, screen)
    with pytest.raises(ValueError, match="distance"):
        page_reading.digit_height(0)


def test_the_scripts_say_of_every_case_how_high_or_that_it_is_too_dark() -> None:
    heights = page_reading.as_script_values()["heights"]
    assert isinstance(heights, dict)
    assert heights[5]["full"] == pytest.approx(page_reading.digit_height(1000), abs=0.01)
    assert heights[8]["dim"] is None


@pytest.mark.parametrize(
    ("colours", "ratio"),
    # Worked values of the ratio that WCAG 2.2 defines, as its tutorials give them.
    [
        (((0, 0, 0), (255, 255, 255)), 21.0),
        (((119, 119, 119), (255, 255, 255)), 4.48),
        (((255, 255, 255), (255, 255, 255)), 1.0),
    ],
)
def test_contrast_is_that_of_the_guidelines(
    colours: tuple[tuple[int, int, int], tuple[int, int, int]], ratio: float
) -> None:
    assert page_sizes.contrast(*colours) == pytest.approx(ratio, abs=0.005)


def test_black_on_white_beats_the_bar_behind_any_filter() -> None:
    assert page_sizes.contrast((0, 0, 0), (255, 255, 255)) >= page_sizes.CONTRAST


@pytest.mark.parametrize(
    "choice", (*page_choices.STOCK, *page_choices.FINER), ids=lambda choice: choice.shown
)
def test_a_thickness_is_shown_said_and_measured_alike(choice: page_choices.Choice) -> None:
    size = sum((Fraction(part) for part in choice.shown.split()), Fraction(0))
    assert choice.millimetres == pytest.approx(float(size) * 25.4, abs=1e-3)
    assert choice.words == _said(size)


def test_millimetres_are_shown_said_and_measured_alike() -> None:
    for choice in page_choices.METRIC:
        number = int(choice.millimetres or 0)
        assert choice.shown == f"{number} mm"
        assert choice.words.replace(" and ", " ") == f"{_words(number)} millimetre"


@pytest.mark.parametrize("wheel", ["GAUGES", "STOCK", "FINER", "METRIC"])
def test_a_wheel_rises_and_ends_where_the_engine_ends(wheel: str) -> None:
    sizes = [choice.millimetres or 0 for choice in getattr(page_choices, wheel)]
    assert sizes == sorted(set(sizes))
    assert sizes[-1] <= 12 * 25.4 + 0.01


def test_between_two_thicknesses_of_stock_there_are_finer_ones() -> None:
    finer = {choice.shown for choice in page_choices.FINER}
    assert {choice.shown for choice in page_choices.STOCK} <= finer
    assert len(finer) > 3 * len(page_choices.STOCK)


def test_nothing_but_the_page_s_own_words_is_ever_said() -> None:
    assert prompt_said("thickness", "half inch") == "How thick is it? Half inch."
    assert prompt_said(None, "yes", ("yes", "no")) == "Yes."
    for prompt, choice in [
        (None, None), ("half inch", None), (None, "set acetylene at thirty"), ("tip", "maybe"),
        (["tip"], None), (None, {"a": 1}), (None, "yes"),
    ]:  # fmt: skip
        assert prompt_said(prompt, choice) is None


def _said(size: Fraction) -> str:
    """As a cutter says it before a noun, by way of another library."""
    units, rest = divmod(size, 1)
    words = [_words(int(units))] if units else []
    if rest:
        part = {2: "half", 4: "quarter"}.get(rest.denominator) or _words(
            rest.denominator, "ordinal"
        )
        plural = "s" if rest.numerator > 1 and (units or rest.denominator > 4) else ""
        count = (
            ""
            if (rest.numerator, units) == (1, 0) and rest.denominator <= 4
            else ("a" if rest.numerator == 1 and rest.denominator <= 4 else _words(rest.numerator))
        )
        words.append(f"{count} {part}{plural}".strip())
    return " and ".join(words) + " inch"


def _words(number: int, form: str = "cardinal") -> str:
    said = str(num2words(number, to=form))  # type: ignore[no-untyped-call]  # it has no types
    return said.replace("-", " ").replace(" and ", " ")
