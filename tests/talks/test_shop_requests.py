"""Sixty invented shop requests, through the real parser, engine and wording, each asked alone."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import (
    Answer,
    Control,
    Figure,
    Noted,
    NotUnderstood,
    Question,
    Refusal,
    Reply,
    Words,
)
from handsfree.values.units import registry
from handsfree.wording.reply import told

REQUESTS = yaml.safe_load((Path(__file__).parent / "shop_requests.yaml").read_text("utf-8"))
UNITS = {"in/min": "inch_per_minute", "deg": "degree", "shade": "", "lb": "pound"}


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Session]:
    yield Session(Settings(tmp_path_factory.mktemp("kept")))


def listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def kind_of(reply: Reply) -> str:
    match reply:
        case Answer():
            return "steps" if reply.steps else "answer"
        case Question():
            return "question"
        case Refusal():
            return "refusal"
        case NotUnderstood():
            return "not_understood"
        case Noted():
            return "noted"


def amount(figure: Figure, unit: str) -> tuple[float, float]:
    known = UNITS.get(unit, unit)
    return float(figure.low.m_as(known)), float(figure.high.m_as(known))


def faults(wanted: dict[str, Any], reply: Reply) -> Iterator[str]:
    """What is not as it should be, in words."""
    if kind_of(reply) not in listed(wanted["kind"]):
        yield f"is {kind_of(reply)}, not {wanted['kind']}: {reply}"
        return
    if isinstance(reply, Answer):
        yield from figure_faults(wanted, reply)
        if "fit" in wanted and str(reply.fit) not in listed(wanted["fit"]):
            yield f"fit is {reply.fit}, not {wanted['fit']}"
    if isinstance(reply, Question) and reply.asks_for not in listed(
        wanted.get("asks_for", reply.asks_for)
    ):
        yield f"asks for {reply.asks_for}, not {wanted['asks_for']}"
    if isinstance(reply, Refusal) and not any(
        rule in reply.rule for rule in listed(wanted.get("rule", ""))
    ):
        yield f"rule is {reply.rule!r}, not {wanted['rule']}"
    spoken = told(Words(wanted["say"]), reply, str)
    said = " ".join((*spoken.sentences, *spoken.more)).lower()
    for part in wanted.get("must_say", []):
        if not any(one.lower() in said for one in listed(part)):
            yield f"does not say {part}: {said[:300]}"


def figure_faults(wanted: dict[str, Any], reply: Answer) -> Iterator[str]:
    found = {figure.name: figure for figure in reply.figures}
    for names, bounds in wanted.get("values", {}).items():
        figure = next((found[name] for name in names.split("|") if name in found), None)
        if figure is None:
            yield f"has no {names}, only {sorted(found)}"
            continue
        low, high = amount(figure, bounds["unit"])
        least, most = bounds["within"]
        if not least - 1e-6 <= (low + high) / 2 <= most + 1e-6:
            yield f"{names} is {low:.4g} to {high:.4g}, its middle not in {least} to {most}"
    for name, bounds in wanted.get("at_most", {}).items():
        if name in found and amount(found[name], bounds["unit"])[1] > bounds["limit"] + 1e-6:
            yield f"{name} passes {bounds['limit']}"


@pytest.mark.parametrize("wanted", REQUESTS, ids=[wanted["say"] for wanted in REQUESTS])
def test_answers_as_a_checker_would_judge(wanted: dict[str, Any], session: Session) -> None:
    session.start_afresh()
    reply = session.reply(Words(wanted["say"]))
    assert not isinstance(reply, Control)
    assert not list(faults(wanted, reply))


def test_there_are_sixty_with_their_reasons() -> None:
    assert len(REQUESTS) == 60
    assert all(wanted["why"] for wanted in REQUESTS)


def test_units_of_the_checks_are_known() -> None:
    for wanted in REQUESTS:
        for bounds in wanted.get("values", {}).values():
            registry.Unit(UNITS.get(bounds["unit"], bounds["unit"]))
