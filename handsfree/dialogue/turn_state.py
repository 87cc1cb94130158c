"""Where the running helper stands in a turn, and the few ways in which it goes on from there.

All times are seconds of a clock that only moves forward, and are handed in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, TypeAlias

from handsfree.values import (
    Drop,
    Hush,
    LedStep,
    Listening,
    Part,
    Say,
    Signal,
    Take,
    Tone,
    TurnEffect,
    Words,
)


class State(StrEnum):
    """What the helper is doing."""

    WAITING = "waiting"
    """For the attention phrase or the talk key."""
    LISTENING = "listening"
    """To a request: it was called, or the talk key was pressed."""
    WORKING = "working"
    """The session makes the reply."""
    SPEAKING = "speaking"
    STAYING = "staying"
    """For the follow-up, which needs no attention phrase."""
    ASKED = "asked"
    """A question is open."""
    LED = "led"
    """A step of a list waits for its answer; he goes and looks."""


class Manner(StrEnum):
    """How words came in, which decides what is done when nothing can be made of them."""

    CALLED = "called"
    ANSWERED = "answered"
    STAYED = "stayed"
    GIVEN = "given"
    """Typed, tapped or sent by a key."""


LASTS_S: Final[Mapping[State, float]] = {
    State.LISTENING: 8.0,
    State.STAYING: 8.0,
    State.ASKED: 12.0,  # he may have to look at the steel first
}
PUT_AGAIN_S: Final = (30.0, 60.0, 120.0, 300.0)  # he climbs, turns a valve, watches a gauge
PUT_AGAIN_URGENT_S: Final = (10.0, 20.0, 30.0, 60.0)
"""After how long a step is said again, the first time, the second...; the last goes on for ever."""

WORKING_AFTER_S: Final = 1.0
GIVEN_UP_AFTER_S: Final = 4.0
LONGEST_SPEECH_S: Final = 20.0  # the ears end an utterance before this
LONGEST_HOLD_S: Final = 60.0  # a pedal that is stuck
TAP_S: Final = 0.3  # a talk key let go sooner was tapped
RELEASED_S: Final = 2.0  # for what was said with the key held to be heard
# A mouth that never tells that it is done must not leave the helper deaf.
SLOWEST_WORD_S: Final = 1.0
MOUTH_LATE_S: Final = 15.0

CAN_ASK: Final = ("what do i set for half inch plate", "my oxygen gauge is dead", "help")
CAN_GO_ON: Final = ("more", "say again", "what about three eighths")


@dataclass(frozen=True, slots=True)
class Turns:
    """Where the helper stands.

    Attributes:
        state: what it is doing.
        until: when `TimeUp` is due, None when only an event brings it on.
        window: when the present time to speak ends; `until` lies later while somebody speaks.
        barge_in: "stop" is listened for while the helper speaks.
        count: the last number that a `Take` or a `Say` got.
        awaited: the number of the one whose end is awaited.
        after: the state that follows what is being said.
        manner: how the words came that are being answered.
        slow: it was said that the reply takes long.
        question: what is asked again; empty when no question is open.
        options: what can answer the question, as far as it named that.
        asked_again: that has been done.
        misses: how often in a row nothing could be made of what was said.
        held_since: when the talk key went down; None when it is up.
        advice: on the level of what was heard last; empty when it was right.
        faults: the parts that fail now, each with the sentence about it.
        unsaid: what is said as soon as nothing else is.
        alarms: what is said before anything else is.
        saying: what is being said, or was last.
        led: the step of a list that waits for its answer; None when no list is led.
        put_again: how often it was said again.
    """

    state: State = State.WAITING
    until: float | None = None
    window: float = 0.0
    barge_in: bool = False
    count: int = 0
    awaited: int = 0
    after: State = State.WAITING
    manner: Manner = Manner.GIVEN
    slow: bool = False
    question: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    asked_again: bool = False
    misses: int = 0
    held_since: float | None = None
    advice: str = ""
    faults: tuple[tuple[Part, str], ...] = ()
    unsaid: tuple[str, ...] = ()
    alarms: tuple[str, ...] = ()
    saying: tuple[str, ...] = ()
    led: LedStep | None = None
    put_again: int = 0

    @property
    def step(self) -> tuple[str, ...]:
        """The step that waits, as it is said again; nothing when no list is led."""
        return () if self.led is None else tuple(filter(None, (self.led.say, self.led.ask)))

    @property
    def listening(self) -> Listening:
        """What the ears are to take in now."""
        if self.state is State.LISTENING and self.held_since is not None:
            return Listening.HELD
        if self.state is State.SPEAKING and self.barge_in:
            return Listening.STOP
        return _LISTENING[self.state]

    @property
    def can_say(self) -> tuple[str, ...]:
        """What can be said now, a few phrases; without the attention phrase, if one is needed."""
        if self.question:
            return (*self.options, "say again", "never mind")
        if self.led is not None:
            return self.led.can_say
        follows = State.STAYING in (self.state, self.after)
        return (*CAN_GO_ON, *CAN_ASK) if follows else CAN_ASK

    @property
    def talked_to(self) -> bool:
        """Whether somebody is in the middle of what he says."""
        open_ears = self.state in LASTS_S or self.state is State.LED
        talks = self.until is not None and self.until > self.window
        return open_ears and (talks or self.held_since is not None)


_LISTENING: Final[Mapping[State, Listening]] = {
    State.WAITING: Listening.ATTENTION,
    State.LISTENING: Listening.REQUEST,
    State.WORKING: Listening.NOTHING,
    State.SPEAKING: Listening.NOTHING,
    State.STAYING: Listening.REQUEST,
    State.ASKED: Listening.REQUEST,
    State.LED: Listening.STEPS,
}

Turned: TypeAlias = tuple[Turns, tuple[TurnEffect, ...]]


def entered(turns: Turns, state: State, now: float) -> Turns:
    """A state with its full time to speak ahead."""
    turns = replace(turns, state=state, after=state, held_since=None)
    if state is State.WAITING:
        return replace(turns, until=None, misses=0)
    end = now + (_until_put_again(turns) if state is State.LED else LASTS_S[state])
    return replace(turns, until=end, window=end)


def _until_put_again(turns: Turns) -> float:
    urgent = turns.led is not None and turns.led.emergency
    times = PUT_AGAIN_URGENT_S if urgent else PUT_AGAIN_S
    return times[min(turns.put_again, len(times) - 1)]


def said(turns: Turns, sentences: tuple[str, ...], after: State, now: float) -> Turned:
    """Speak, and go on with `after` when that is done; at once when there is nothing to say."""
    alarm: tuple[TurnEffect, ...] = ()
    if turns.alarms:
        alarm, sentences = (Signal(Tone.ALARM),), (*turns.alarms, *sentences)
        turns = replace(turns, alarms=())
    if not sentences:
        return settled(turns, after, now)
    count = turns.count + 1
    words = sum(len(sentence.split()) for sentence in sentences)
    guard = now + SLOWEST_WORD_S * words + MOUTH_LATE_S
    speaking = replace(
        turns, state=State.SPEAKING, until=guard, count=count, awaited=count, after=after
    )
    return replace(speaking, held_since=None, saying=sentences), (*alarm, Say(sentences, count))


def settled(turns: Turns, state: State, now: float) -> Turned:
    """Go on with a state, once what waits to be said has been said."""
    if turns.unsaid or turns.alarms:
        return said(replace(turns, unsaid=()), turns.unsaid, state, now)
    return entered(turns, state, now), ()


def taken(turns: Turns, words: Words, manner: Manner, now: float) -> Turned:
    """Have words answered."""
    count = turns.count + 1
    working = replace(
        turns,
        state=State.WORKING,
        until=now + WORKING_AFTER_S,
        count=count,
        awaited=count,
        manner=manner,
        slow=False,
        held_since=None,
    )
    return working, (Take(words, count),)


def at_rest(turns: Turns, now: float) -> Turned:
    """Back to waiting, or to the step of a list that is led.

    A question that is open is closed, and nothing is changed by it.
    """
    dropped = (Drop(),) if turns.question else ()
    closed = replace(turns, question=(), options=(), asked_again=False, awaited=0)
    after, effects = settled(closed, rest(closed), now)
    return after, (*dropped, *effects)


def rest(turns: Turns) -> State:
    """Where the helper is when nobody talks to it: a list that is led goes on being led."""
    return State.WAITING if turns.led is None else State.LED


def stopped(turns: Turns, now: float) -> Turned:
    """Silent at once, and back to rest; what waits to be said is on the page, but for alarms."""
    after, effects = at_rest(replace(turns, unsaid=()), now)
    return after, (Hush(), *effects)


def hushed(turns: Turns) -> tuple[TurnEffect, ...]:
    """Silence, where something is being said."""
    speaks = turns.state is State.SPEAKING or (turns.state is State.WORKING and turns.slow)
    return (Hush(),) if speaks else ()


def goes_on(turns: Turns) -> State:
    """What follows a reply: an open question waits for its answer, then a step that is led does.

    All else waits for a follow-up.
    """
    if turns.question:
        return State.ASKED
    return State.STAYING if turns.led is None else State.LED


def afresh(turns: Turns, now: float) -> Turns:
    """At rest with nothing under way but a list that is led, when something went wrong inside."""
    fresh = Turns(
        barge_in=turns.barge_in,
        count=turns.count + 1,
        faults=turns.faults,
        alarms=turns.alarms,
        led=turns.led,
    )
    return entered(fresh, rest(fresh), now)
