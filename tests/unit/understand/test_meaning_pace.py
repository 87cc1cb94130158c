"""Words about times, the beat, marks, results and practice, and talk that sounds like them."""

import pytest

from handsfree.understand.understanding import Understanding
from handsfree.values import About, NotUnderstood, Request, Words
from handsfree.values.timing import CutResult, PaceAct, Paced, PracticeCase, TimerKind
from handsfree.values.units import Quantity, inches, inches_a_minute, registry


def minutes(count: float) -> Quantity:
    return registry.Quantity(count, "minute")


BEGIN, STOP, LEFT, MARK = PaceAct.BEGIN, PaceAct.STOP, PaceAct.LEFT, PaceAct.MARK
WATCH, PREHEAT, WORK = TimerKind.FIRE_WATCH, TimerKind.PREHEAT, TimerKind.WORK
CHECK, TIMER = TimerKind.CYLINDER_CHECK, TimerKind.TIMER
SAID = {
    "set the fire watch": (About.TIMER, Paced(BEGIN, WATCH)),
    "Start the fire watch for 60 minutes": (About.TIMER, Paced(BEGIN, WATCH, minutes(60))),
    "fire watch half an hour": (About.TIMER, Paced(BEGIN, WATCH, minutes(30))),
    "set a timer for ten minutes": (About.TIMER, Paced(BEGIN, TIMER, minutes(10))),
    "time the preheat": (About.TIMER, Paced(BEGIN, PREHEAT)),
    "set the preheat timer for ninety seconds": (
        About.TIMER,
        Paced(BEGIN, PREHEAT, registry.Quantity(90.0, "second")),
    ),
    "work rest forty five and fifteen": (
        About.TIMER,
        Paced(BEGIN, WORK, minutes(45), minutes(15)),
    ),
    "cylinder check every half hour": (About.TIMER, Paced(BEGIN, CHECK, minutes(30))),
    "how long is left": (About.TIMER, Paced(LEFT)),
    "how long have i got left on the fire watch": (About.TIMER, Paced(LEFT, WATCH)),
    "stop the timer": (About.TIMER, Paced(STOP)),
    "stop the fire watch": (About.TIMER, Paced(STOP, WATCH)),
    "beat at twelve inches a minute": (About.BEAT, Paced(BEGIN, speed=inches_a_minute(12))),
    "beat at 300 mm a minute": (
        About.BEAT,
        Paced(BEGIN, speed=registry.Quantity(300.0, "mm/min"), metric=True),
    ),
    "stop the beat": (About.BEAT, Paced(STOP)),
    "beat faster": (About.BEAT, Paced(PaceAct.FASTER)),
    "slow the beat down": (About.BEAT, Paced(PaceAct.SLOWER)),
    "mark": (About.MARK, Paced(MARK)),
    "mark six inches": (About.MARK, Paced(MARK, length=inches(6))),
    "stop marking": (About.MARK, Paced(STOP)),
    "good cut": (About.RESULT, Paced(BEGIN, result=CutResult.GOOD)),
    "it didn't go through": (About.RESULT, Paced(BEGIN, result=CutResult.NOT_THROUGH)),
    "the slag welded back": (About.RESULT, Paced(BEGIN, result=CutResult.SLAG_BACK)),
    "top edge rolled over": (About.RESULT, Paced(BEGIN, result=CutResult.MELTED_EDGE)),
    "drag lines lag": (About.RESULT, Paced(BEGIN, result=CutResult.LAGGING)),
    "what have you learned about this tip": (About.RESULT, Paced(LEFT)),
    "forget what you learned for this tip": (About.RESULT, Paced(PaceAct.FORGET)),
    "practice": (About.PRACTICE, Paced(BEGIN)),
    "practise with the tip too large, cutter two": (
        About.PRACTICE,
        Paced(BEGIN, case=PracticeCase.LARGE_TIP, who="cutter two"),
    ),
    "practice square tube": (About.PRACTICE, Paced(BEGIN, case=PracticeCase.SQUARE_TUBE)),
    "show my progress": (About.PRACTICE, Paced(LEFT)),
    "stop the practice": (About.PRACTICE, Paced(STOP)),
    "ready": (About.PRACTICE, Paced(PaceAct.GO_ON)),
}


@pytest.mark.parametrize("said", SAID)
def test_it_is_understood(understanding: Understanding, said: str) -> None:
    about, paced = SAID[said]
    understood = understanding.request(Words(said))
    assert isinstance(understood, Request), understood
    assert (understood.about, understood.paced) == (about, paced)
    assert understood.piece is None


@pytest.mark.parametrize(
    ("said", "thickness"), [("beat for half inch", 0.5), ("practice overhead on 3/8 plate", 0.375)]
)
def test_the_steel_of_a_beat_and_of_a_practice_is_named_as_for_any_cut(
    understanding: Understanding, said: str, thickness: float
) -> None:
    understood = understanding.request(Words(said))
    assert isinstance(understood, Request)
    assert understood.paced is not None
    assert understood.piece is not None
    assert understood.piece.thickness == inches(thickness)


@pytest.mark.parametrize(
    "said",
    [
        "mark said he would be late",
        "give me thirty minutes",
        "beat it",
        "i need a rest",
        "that took ten minutes",
        "we practice what we preach",
        "it's a good cut of beef",
        "the boss is ready with the truck",
    ],
)
def test_talk_that_holds_such_words_sets_nothing(understanding: Understanding, said: str) -> None:
    assert isinstance(understanding.request(Words(said)), NotUnderstood)


def test_other_requests_keep_their_meaning(understanding: Understanding) -> None:
    for said, about in {
        "how much oxygen is left": About.GAS,
        "how fast on half inch plate": About.TRAVEL_SPEED,
        "how long do i preheat half inch plate": About.PREHEAT,
        "the torch popped": About.STEPS,
        "what tip for a quarter": About.TIP,
    }.items():
        understood = understanding.request(Words(said))
        assert isinstance(understood, Request), said
        assert (understood.about, understood.paced) == (about, None), said
