"""The page's numbers and choices against what lies outside the project."""

from fractions import Fraction

import pytest
from num2words import num2words

from handsfree.tell import page_choices, page_sizes


def test_digits_are_high_enough_for_their_distance() -> None:
    needed = page_sizes.height_to_read(page_sizes.READING_DISTANCE_MM)
    assert needed <= page_sizes.DIGITS_MM < needed + 1


@pytest.mark.parametrize(
    ("shade", "least", "most"),
    # Luminous transmittance limits of EN 169:2002 table 1, in percent; typed from memory.
    [(3, 8.5, 17.8), (4, 3.2, 8.5), (5, 1.2, 3.2)],
)
def test_filters_let_through_what_the_standard_gives(
    shade: float, least: float, most: float
) -> None:
    assert least <= 100 * page_sizes.transmittance(shade) <= most


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


@pytest.mark.parametrize("choice", page_choices.THICKNESSES, ids=lambda choice: choice.shown)
def test_a_thickness_is_shown_said_and_measured_alike(choice: page_choices.Choice) -> None:
    size = sum((Fraction(part) for part in choice.shown.split()), Fraction(0))
    assert choice.millimetres == pytest.approx(float(size) * 25.4, abs=1e-3)
    assert choice.words == _said(size)


def test_thicknesses_run_from_an_eighth_to_six_inches() -> None:
    sizes = [choice.millimetres or 0 for choice in page_choices.THICKNESSES]
    assert sizes == sorted(sizes)
    assert (sizes[0], sizes[-1]) == (3.175, 152.4)


def test_a_tip_that_is_not_known_is_left_out() -> None:
    words = page_choices.setting_words(page_choices.THICKNESSES[0], None, page_choices.FUELS[1])
    assert words == "what do i set for one eighth inch plate on propane"


def _said(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    words = [_words(int(whole))] if whole else []
    if rest:
        part = {2: "half", 4: "quarter"}.get(rest.denominator) or _words(
            rest.denominator, "ordinal"
        )
        plural = "s" if rest.numerator > 1 and rest.denominator != 4 else ""
        words.append(f"{_words(rest.numerator)} {part}{plural}")
    return " and ".join(words) + " inch"


def _words(number: int, form: str = "cardinal") -> str:
    return str(num2words(number, to=form))  # type: ignore[no-untyped-call]  # it has no types
