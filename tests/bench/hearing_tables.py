"""The tables of the hearing bench: figures against bars, and what they fall apart into."""

from collections.abc import Callable, Mapping, Sequence

from handsfree.dialogue.doubt import Verdict
from tests.bench.hearing_outcome import Heard, share, slot_share
from tests.bench.hearing_sets import RATIOS
from tests.bench.noise import MADE

RIGHT_BARS = {"clean": 98, "20": 98, "10": 94, "5": 87, "0": 72}
WRONG_BARS = {"clean": 1, "20": 1, "10": 2, "5": 3, "0": 5}


def row(figure: str, measured: float, bar: float, unit: str, at_least: bool = False) -> None:
    """One line: figure, measured, bar, met or short."""
    met = measured >= bar if at_least else measured <= bar
    sign = "at least" if at_least else "at most"
    told = "not measured" if measured != measured else f"{measured:.3g} {unit}"
    verdict = "-" if measured != measured else "met" if met else "short"
    print(f"{figure} | {told} | {sign} {bar:g} {unit} | {verdict}")


def note(figure: str, measured: float, unit: str = "%") -> None:
    """One line of a figure that has no bar."""
    print(f"{figure} | {measured:.3g} {unit} | none | -")


def place(ratio: str) -> str:
    return ratio if ratio == "clean" else f"{ratio} dB"


def request_rows(heard: Sequence[Heard], what: str) -> None:
    """All figures of requests, one condition after another."""
    for ratio in RATIOS:
        these = [h for h in heard if h.what.ratio == ratio]
        if not these:
            continue
        at = f"{what}, {place(ratio)}"
        row(f"right, {at}", share(h.right for h in these), RIGHT_BARS[ratio], "%", True)
        note(f"slots right, {at}", slot_share(these))
        row(f"accepted but wrong, {at}", share(h.accepted and not h.right for h in these),
            WRONG_BARS[ratio], "%")  # fmt: skip
        note(f"right but rejected, {at}", share(h.right and h.rejected for h in these))
        note(f"asked about, {at}", share(h.verdict is Verdict.ASK for h in these))


def accuracy(heard: Sequence[Heard], key: Callable[[Heard], str]) -> dict[str, list[float]]:
    """Requests right in % at each ratio, by group; nan where there are none."""
    return {
        group: [
            share(h.right for h in heard if h.what.ratio == ratio and key(h) == group)
            for ratio in RATIOS
        ]
        for group in sorted({key(h) for h in heard})
    }


def breakdown(heard: Sequence[Heard], name: str, key: Callable[[Heard], str]) -> None:
    """Requests right by voice, family or noise, in each ratio."""
    print(f"\nrequests right, % by {name} | {' | '.join(map(place, RATIOS))} | utterances")
    for group, shares in accuracy(heard, key).items():
        told = (f"{value:.0f}" if value == value else "-" for value in shares)
        count = len({id(h.what.said) for h in heard if key(h) == group})
        print(f"{group or 'none'} | {' | '.join(told)} | {count}")


def kind_of_noise(heard: Heard) -> str:
    return "made" if heard.what.noise in MADE else "recorded"


def side_by_side(title: str, ours: Mapping[str, float], theirs: Mapping[str, float] | None) -> None:
    """Ours and the peer's, condition by condition."""
    for condition, measured in ours.items():
        told = "peer not measured" if theirs is None else f"peer {theirs[condition]:.1f} %"
        ahead = "-"
        if theirs is not None:
            ahead = "ahead" if measured > theirs[condition] else (
                "even" if measured == theirs[condition] else "behind")  # fmt: skip
        print(f"{title}, {place(condition)} | {measured:.1f} % | {told} | {ahead}")
