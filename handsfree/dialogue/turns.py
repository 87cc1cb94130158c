"""The turns of the running helper as a table: in each state, what is done about each event.

    waiting --called, talk key--> listening --heard--> working --replied--> speaking --spoken--+
       ^                              |                                                        |
       |                              | nobody speaks                                          |
       +------------------------------+                                                        |
       +--nobody goes on-- staying <-----------------------------------------------------------+
       +--asked twice----- asked   <-----------------------------------------------------------+
                           led     <-----------------------------------------------------------+

From staying, asked and led, words go to working again without a call. While a list of steps is led,
led takes the place of waiting and staying: its step is said again after a while and never passed by
time. Typed words and keys are heeded in every state, words of an emergency and what has come due as
well; parts fail and come back in every state. Nothing here has a clock, a device or a
session: `step` takes the event and the time, and gives effects that others carry out.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final, TypeAlias

from handsfree.dialogue import turn_asides as asides
from handsfree.dialogue import turn_moves as moves
from handsfree.dialogue.turn_state import Manner, State, Turned, Turns, afresh
from handsfree.values import (
    Called,
    CalledOut,
    Due,
    Failed,
    Heard,
    Mended,
    Pressed,
    Prompted,
    Replied,
    SpeechBegan,
    Spoken,
    TimeUp,
    TurnEvent,
    Typed,
)

__all__ = ["TABLE", "Manner", "State", "Turned", "Turns", "afresh", "step"]

Move: TypeAlias = Callable[[Turns, TurnEvent, float], Turned]

_ANYWHERE: Final[dict[type, Move]] = {
    CalledOut: asides.called_out,
    Due: asides.due,
    Typed: asides.typed,
    Prompted: asides.prompted,
    Pressed: asides.pressed,
    Failed: asides.failed,
    Mended: asides.mended,
}

TABLE: Final[Mapping[State, Mapping[type, Move]]] = MappingProxyType(
    {
        State.WAITING: {
            Called: moves.called,
            SpeechBegan: moves.ignored,
            Heard: moves.heard_waiting,
            Replied: moves.late_reply,
            Spoken: moves.ignored,
            TimeUp: moves.ignored,
            **_ANYWHERE,
        },
        State.LISTENING: {
            Called: moves.called,
            SpeechBegan: moves.somebody_talks,
            Heard: moves.heard_listening,
            Replied: moves.late_reply,
            Spoken: moves.ignored,
            TimeUp: moves.nobody_spoke,
            **_ANYWHERE,
        },
        State.WORKING: {
            Called: moves.ignored,
            SpeechBegan: moves.ignored,
            Heard: moves.ignored,
            Replied: moves.replied,
            Spoken: moves.ignored,
            TimeUp: moves.reply_is_late,
            **_ANYWHERE,
        },
        State.SPEAKING: {
            Called: moves.called_while_speaking,
            SpeechBegan: moves.ignored,
            Heard: moves.heard_speaking,
            Replied: moves.late_reply,
            Spoken: moves.spoken,
            TimeUp: moves.mouth_is_late,
            **_ANYWHERE,
        },
        State.STAYING: {
            Called: moves.called,
            SpeechBegan: moves.somebody_talks,
            Heard: moves.heard_staying,
            Replied: moves.late_reply,
            Spoken: moves.ignored,
            TimeUp: moves.nobody_went_on,
            **_ANYWHERE,
        },
        State.ASKED: {
            Called: moves.called_while_asked,
            SpeechBegan: moves.somebody_talks,
            Heard: moves.heard_asked,
            Replied: moves.late_reply,
            Spoken: moves.ignored,
            TimeUp: moves.nobody_answered,
            **_ANYWHERE,
        },
        State.LED: {
            Called: moves.called,
            SpeechBegan: moves.somebody_talks,
            Heard: moves.heard_led,
            Replied: moves.late_reply,
            Spoken: moves.ignored,
            TimeUp: moves.step_unanswered,
            **_ANYWHERE,
        },
    }
)


def step(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Where the helper stands after an event, and what is to be done about it, in order.

    >>> from handsfree.values import Words
    >>> turns, _ = step(Turns(), Called(), now=10.0)
    >>> turns.state, turns.listening
    (<State.LISTENING: 'listening'>, <Listening.REQUEST: 'request'>)
    >>> turns, effects = step(turns, Heard(Words("half inch plate", 0.97)), now=12.0)
    >>> [type(effect).__name__ for effect in effects]
    ['Signal', 'Take']

    Args:
        turns: where it stood.
        event: what happened.
        now: seconds of a clock that only moves forward.
    """
    return TABLE[turns.state][type(event)](turns, event, now)
