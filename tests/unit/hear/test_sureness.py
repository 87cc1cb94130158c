"""How sure the model says to be holds on development speech that its constants were not chosen on.

`development_judgements.csv` was written by `python -m tests.bench.hearing ... --calibrate`:
300 requests, 79 more in people's own words and 240 sentences of talk by speakers like those of
training, most of them mixed anew, clean and at 20, 10, 5 and 0 dB of noise. Constants are chosen
on one half of the sentences.
"""

from pathlib import Path

import numpy as np
import pytest

from handsfree.dialogue.doubt import ASK_FROM, TAKE_FROM
from handsfree.hear.model_folder import Sureness, open_model
from tests.bench.hearing_calibration import (
    TALK,
    Judgement,
    asking,
    brier,
    calibration_error,
    fitted,
    read,
    taken,
)

HERE = Path(__file__).parent
MODEL = HERE.parents[2] / "models/shop-english"


@pytest.fixture(scope="module")
def constants() -> Sureness:
    return open_model(MODEL).sureness


@pytest.fixture(scope="module")
def rows() -> list[Judgement]:
    return read(HERE / "development_judgements.csv")


def test_the_constants_are_those_chosen_on_one_half_of_the_sentences(
    rows: list[Judgement], constants: Sureness
) -> None:
    chosen = fitted([row for row in asking(rows) if row.half == 0], constants.most)
    for name in ("bias", "margin", "filler", "fit"):
        assert getattr(constants, name) == pytest.approx(getattr(chosen, name), abs=0.02), name


def test_sureness_is_calibrated_on_the_other_half(
    rows: list[Judgement], constants: Sureness
) -> None:
    others = [row for row in asking(rows) if row.half == 1]
    sure = [row.sureness(constants) for row in others]
    right = [row.right for row in others]
    assert len(others) > 300
    assert calibration_error(sure, right) < 0.05
    alike = brier(np.full(len(right), np.mean(right)), right)
    assert brier(sure, right) < 0.5 * alike


def test_what_is_taken_is_seldom_wrong(rows: list[Judgement], constants: Sureness) -> None:
    for ratio, most in (("clean", 1.0), ("20", 1.0), ("10", 2.0), ("5", 3.0), ("0", 5.0)):
        wrong, _, right = taken(rows, constants, TAKE_FROM, ratio)
        assert wrong <= most and right > 40, ratio


def test_talk_is_seldom_taken(rows: list[Judgement], constants: Sureness) -> None:
    talk = [row for row in rows if row.kind == TALK]
    accepted = [row.asks and row.sureness(constants) >= TAKE_FROM for row in talk]
    assert len(talk) > 500 and np.mean(accepted) < 0.01


def test_some_are_asked_about_that_are_not_taken(
    rows: list[Judgement], constants: Sureness
) -> None:
    assert ASK_FROM < TAKE_FROM
    sure = [row.sureness(constants) for row in asking(rows)]
    assert sum(value >= ASK_FROM for value in sure) > sum(value >= TAKE_FROM for value in sure)
