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
    Listening,
    Part,
    Say,
    Take,
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
WORKING_AFTER_S: Final = 1.0
GIVEN_UP_AFTER_S: Final = 4.0
LONGEST_SPEECH_S: Final = 20.0  # the ears end an utterance before this
LONGEST_HOLD_S: Final = 60.0  # a pedal that is stuck
TAP_S: Final = 0.3  # a talk key let go sooner was tapped
RELEASED_S: Final = 2.0  # for what was said with the key held to be heard
# A mouth that never tells that it is done must not leave the helper deaf.
SLOWEST_WORD_S: Final = 1.0
MOUTH_LATE_S: Final = 15.0

TALK: Final = "[unk]"
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
        follows = State.STAYING in (self.state, self.after)
        return (*CAN_GO_ON, *CAN_ASK) if follows else CAN_ASK

    @property
    def talked_to(self) -> bool:
        """Whether somebody is in the middle of what he says."""
        open_ears = self.state in LASTS_S
        talks = self.until is not None and self.until > self.window
        return open_ears and (talks or self.held_since is not None)


_LISTENING: Final[Mapping[State, Listening]] = {
    State.WAITING: Listening.ATTENTION,
    State.LISTENING: Listening.REQUEST,
    State.WORKING: Listening.NOTHING,
    State.SPEAKING: Listening.NOTHING,
    State.STAYING: Listening.REQUEST,
    State.ASKED: Listening.REQUEST,
}

Turned: TypeAlias = tuple[Turns, tuple[TurnEffect, ...]]


def entered(turns: Turns, state: State, now: float) -> Turns:
    """A state with its full time to speak ahead."""
    turns = replace(turns, state=state, after=state, held_since=None)
    if state is State.WAITING:
        return replace(turns, until=None, misses=0)
    end = now + LASTS_S[state]
    return replace(turns, until=end, window=end)


def said(turns: Turns, sentences: tuple[str, ...], after: State, now: float) -> Turned:
    """Speak, and go on with `after` when that is done; at once when there is nothing to say."""
    if not sentences:
        return settled(turns, after, now)
    count = turns.count + 1
    words = sum(len(sentence.split()) for sentence in sentences)
    guard = now + SLOWEST_WORD_S * words + MOUTH_LATE_S
    speaking = replace(
        turns, state=State.SPEAKING, until=guard, count=count, awaited=count, after=after
    )
    return replace(speaking, held_since=None), (Say(sentences, count),)


def settled(turns: Turns, state: State, now: float) -> Turned:
    """Go on with a state, once what waits to be said has been said."""
    if turns.unsaid:
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
    """Back to waiting; a question that is open is closed, and nothing is changed by it."""
    dropped = (Drop(),) if turns.question else ()
    closed = replace(turns, question=(), options=(), asked_again=False, awaited=0)
    after, effects = settled(closed, State.WAITING, now)
    return after, (*dropped, *effects)


def stopped(turns: Turns, now: float) -> Turned:
    """Silent at once, and back to waiting; what waits to be said is on the page."""
    after, effects = at_rest(replace(turns, unsaid=()), now)
    return after, (Hush(), *effects)


def hushed(turns: Turns) -> tuple[TurnEffect, ...]:
    """Silence, where something is being said."""
    speaks = turns.state is State.SPEAKING or (turns.state is State.WORKING and turns.slow)
    return (Hush(),) if speaks else ()


def goes_on(turns: Turns) -> State:
    """What follows a reply: an open question waits for its answer, all else for a follow-up."""
    return State.ASKED if turns.question else State.STAYING
