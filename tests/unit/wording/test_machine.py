"""The record for other programs: its keys, its values, one line each."""

import json

from handsfree.values import (
    About,
    Answer,
    Figure,
    Fuel,
    NotUnderstood,
    Piece,
    Question,
    Request,
    Shape,
    Status,
    Words,
)
from handsfree.values.reply import Asks
from handsfree.values.units import inches, inches_a_minute, psi
from handsfree.wording.machine import as_line, as_record
from handsfree.wording.reply import told

REQUEST = Request(
    About.SETTING, piece=Piece(shape=Shape.PLATE, thickness=inches(0.75)), fuel=Fuel.ACETYLENE
)
ANSWER = Answer(
    REQUEST,
    figures=(
        Figure("oxygen_pressure", psi(24), psi(35), "handbook", Status.MEMORY, "at the regulator"),
        Figure("travel_speed", inches_a_minute(12), inches_a_minute(14.5), "handbook", Status.READ),
    ),
    technique=("Heat the edge.",),
    cautions=("Keep a fire watch.",),
    notes=("Clean steel.",),
    sources=("handbook",),
)


def test_an_answer_is_the_documented_object() -> None:
    record = as_record(told(Words("three quarter plate", 0.9), ANSWER, str.title))
    assert record == {
        "heard": "three quarter plate",
        "kind": "answer",
        "understood": "three quarter inch plate, acetylene",
        "request": {
            "about": "setting",
            "shape": "plate",
            "thickness_mm": 19.05,
            "metal": "mild steel",
            "fuel": "acetylene",
        },
        "say": "Three quarter inch plate, acetylene. Cutting oxygen, twenty four to thirty "
        "five p s i, at the regulator. Travel, twelve to fourteen and a half inches a minute. "
        "Keep a fire watch. More?",
        "values": [
            {
                "name": "oxygen_pressure",
                "low": 24.0,
                "high": 35.0,
                "unit": "psi",
                "source": "Handbook",
                "status": "memory",
                "note": "at the regulator",
            },
            {
                "name": "travel_speed",
                "low": 12.0,
                "high": 14.5,
                "unit": "in/min",
                "source": "Handbook",
                "status": "read",
                "note": "",
            },
        ],
        "cautions": ["Keep a fire watch."],
        "sources": ["Handbook"],
        "technique": ["Heat the edge."],
        "notes": ["Clean steel."],
        "options": [],
        "more": "Heat the edge. Clean steel. From memory, check it against your own chart, "
        "cutting oxygen. Source, Handbook.",
        "sureness": 0.9,
    }


def test_a_line_is_one_line_of_ascii_that_reads_back_the_same() -> None:
    heard = "half\ninch \u2028 \u00bd \ud800 plate"
    line = as_line(told(Words(heard), NotUnderstood(heard, "No request in that."), str))
    assert len(line.splitlines()) == 1
    assert line.isascii()
    assert json.loads(line)["heard"] == heard


def test_a_question_has_no_values_and_keeps_its_options() -> None:
    question = Question(REQUEST, Asks.TIP, "Which tip?", ("quarter inch tip", "half inch tip"))
    record = as_record(told(Words("plate"), question, str))
    assert (record["kind"], record["values"]) == ("question", [])
    assert record["options"] == ["quarter inch tip", "half inch tip"]
