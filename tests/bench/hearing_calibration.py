"""Chooses how sure to be: constants of sureness, thresholds; tells how good the probabilities are.

On development data only: what is chosen here must be measured on voices that had no say in it.
"""

import csv
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from handsfree.hear.model_folder import Sureness

if TYPE_CHECKING:  # it loads vosk, which the tests of calibration do without
    from tests.bench.hearing_outcome import Heard

COLUMNS = ("half", "kind", "ratio", "margin", "filler", "fit", "asks", "right")
REQUEST, FREE, TALK = "request", "free", "talk"  # kinds: see `hearing_speech`
SHRINKAGE = 0.1  # keeps constants finite where the data part cleanly
BINS = 10


@dataclass(frozen=True, slots=True)
class Judgement:
    """What spoke for a reading, whether it asks for anything, and whether it was right.

    Sentences are parted in two halves: constants are chosen on half 0 and checked on half 1.
    """

    half: int
    kind: str
    ratio: str
    margin: float
    filler: float
    fit: float
    asks: bool
    right: bool

    def sureness(self, constants: Sureness) -> float:
        return constants.of(self.margin, self.filler, self.fit)


def judgements(heard: "Iterable[Heard]", kind: str) -> list[Judgement]:
    """One for each utterance in which anything was heard; talk is never right to act upon."""
    return [
        Judgement(
            zlib.crc32(one.what.said.text.encode()) % 2,
            kind,
            one.what.ratio,
            one.evidence.margin,
            one.evidence.filler,
            one.evidence.fit,
            one.verdict is not None,
            one.right and kind != TALK,
        )
        for one in heard
        if one.evidence is not None
    ]


def write(rows: Sequence[Judgement], file: Path) -> None:
    with file.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(COLUMNS)
        for row in rows:
            table.writerow(
                (row.half, row.kind, row.ratio, f"{row.margin:.3f}", f"{row.filler:.3f}",
                 f"{row.fit:.3f}", int(row.asks), int(row.right))
            )  # fmt: skip


def read(file: Path) -> list[Judgement]:
    with file.open(encoding="utf-8", newline="") as lines:
        return [
            Judgement(
                int(row["half"]),
                row["kind"],
                row["ratio"],
                float(row["margin"]),
                float(row["filler"]),
                float(row["fit"]),
                row["asks"] == "1",
                row["right"] == "1",
            )
            for row in csv.DictReader(lines)
        ]


def asking(rows: Iterable[Judgement]) -> list[Judgement]:
    """The readings that ask for something: only these are taken, asked about or passed over."""
    return [row for row in rows if row.asks]


def fitted(rows: Sequence[Judgement], most: float) -> Sureness:
    """Constants of the logistic function by Newton's method, with a little shrinkage."""
    x = np.array(
        [[1.0, np.clip(r.margin, 0, most), np.clip(r.filler, 0, most), r.fit] for r in rows]
    )
    y = np.array([float(row.right) for row in rows])
    w = np.zeros(x.shape[1])
    for _ in range(50):
        p = 1 / (1 + np.exp(-np.clip(x @ w, -60, 60)))
        slope = x.T @ (y - p) - SHRINKAGE * w
        curve = (x * (p * (1 - p))[:, None]).T @ x + SHRINKAGE * np.eye(len(w))
        w += np.linalg.solve(curve, slope)
    bias, margin, filler, fit = (round(float(value), 4) for value in w)
    return Sureness(bias, margin, filler, fit, most)


def brier(sure: npt.ArrayLike, right: npt.ArrayLike) -> float:
    """Mean squared error of probabilities; 0 is perfect."""
    return float(np.mean((np.asarray(sure) - np.asarray(right, float)) ** 2))


def calibration_error(sure: npt.ArrayLike, right: npt.ArrayLike, bins: int = BINS) -> float:
    """Expected calibration error: mean distance of sureness from what came right, over bins.

    >>> calibration_error([0.25, 0.25, 0.25, 0.25], [0, 0, 0, 1])
    0.0
    """
    p, y = np.asarray(sure, float), np.asarray(right, float)
    place = np.minimum((p * bins).astype(int), bins - 1)
    parts = [(place == k) for k in range(bins)]
    return float(sum(abs(p[k].mean() - y[k].mean()) * k.mean() for k in parts if k.any()))


def taken(
    rows: Sequence[Judgement], constants: Sureness, from_sureness: float, ratio: str
) -> tuple[float, float, float]:
    """Of requests in a condition, in %: taken and wrong, right yet not taken, taken and right."""
    these = [row for row in rows if row.ratio == ratio and row.kind in (REQUEST, FREE)]
    sure = [row.asks and row.sureness(constants) >= from_sureness for row in these]
    n = max(1, len(these))
    wrong = sum(s and not row.right for s, row in zip(sure, these, strict=True))
    refused = sum(row.right and not s for s, row in zip(sure, these, strict=True))
    right = sum(s and row.right for s, row in zip(sure, these, strict=True))
    return 100 * wrong / n, 100 * refused / n, 100 * right / n


def threshold(rows: Sequence[Judgement], constants: Sureness, bars: dict[str, float]) -> float:
    """The least sureness that keeps taken and wrong within every bar; above 1 when none does."""
    for step in range(30, 101):
        if all(taken(rows, constants, step / 100, r)[0] <= bar for r, bar in bars.items()):
            return step / 100
    return 1.01


def report(rows: Sequence[Judgement], constants: Sureness, bars: dict[str, float]) -> None:
    """Print how well the probabilities hold and what thresholds cost."""
    sure = np.array([row.sureness(constants) for row in asking(rows)])
    right = np.array([row.right for row in asking(rows)], float)
    print("\nsureness | mean | right % | readings")
    for k in range(BINS):
        here = np.minimum((sure * BINS).astype(int), BINS - 1) == k
        if here.any():
            print(f"{k / BINS:.1f} to {(k + 1) / BINS:.1f} | {sure[here].mean():.2f} | "
                  f"{100 * right[here].mean():.0f} | {int(here.sum())}")  # fmt: skip
    constant = brier(np.full(len(right), right.mean()), right)
    print(f"expected calibration error | {calibration_error(sure, right):.3f}")
    print(f"Brier score | {brier(sure, right):.3f} | always the same sureness | {constant:.3f}")
    least = threshold(rows, constants, bars)
    within = ", ".join(f"{bar:g} % {ratio}" for ratio, bar in bars.items())
    print(f"least sureness with taken and wrong within {within} | {least:.2f}")
    print("take from | condition | taken and wrong % | right, not taken % | taken and right %")
    for at in sorted({0.5, 0.8, 0.9, min(least, 1.0)}):
        for ratio in dict.fromkeys(row.ratio for row in rows):
            wrong, refused, good = taken(rows, constants, at, ratio)
            print(f"{at:.2f} | {ratio} | {wrong:.1f} | {refused:.1f} | {good:.1f}")
