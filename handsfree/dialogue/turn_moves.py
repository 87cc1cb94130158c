"""What the helper does when it is called, hears, has its reply, has spoken, or time is up."""

from dataclasses import replace
from typing import Final, TypeVar

from handsfree.dialogue.doubt import ASK_FROM, ASK_UNCALLED_FROM
from handsfree.dialogue.turn_state import (
    GIVEN_UP_AFTER_S,
    LONGEST_SPEECH_S,
    RELEASED_S,
    WORKING_AFTER_S,
    Manner,
    State,
    Turned,
    Turns,
    at_rest,
    entered,
    goes_on,
    hushed,
    rest,
    said,
    settled,
    stopped,
    taken,
)
from handsfree.values import (
    Advise,
    Control,
    Drop,
    EndUtterance,
    Heard,
    Hush,
    Replied,
    Say,
    Show,
    Signal,
    Speak,
    Spoken,
    Told,
    Tone,
    TurnEffect,
    TurnEvent,
    Words,
)
from handsfree.values.heard import UNREAD

MISSES_ALLOWED: Final = 2
CORRECTS: Final = ("no ", "i said ", "i meant ", "make that ", "correction ")
WORKING: Final = "Working."
NOT_COME: Final = "The answer did not come. Ask again."
NOTHING_CHANGED: Final = "Nothing was changed."
LATER: Final = "I did not get that. Call me again when you can."

_RESTING: Final = (State.WAITING, State.STAYING, State.LED)
_E = TypeVar("_E")


def as_a(kind: type[_E], event: TurnEvent) -> _E:
    """The event as the kind under which the table lists the move."""
    assert isinstance(event, kind), f"{event} is not listed as {kind.__name__}"
    return event


def ignored(turns: Turns, _event: TurnEvent, _now: float) -> Turned:
    """Nothing."""
    return turns, ()


# --- called, and somebody talks -------------------------------------------------------------------


def called(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """Listen; without a sound, since the talker may be going on in the same breath."""
    if turns.held_since is not None:
        return turns, ()
    listening = replace(entered(turns, State.LISTENING, now), misses=0)
    return replace(listening, until=now + LONGEST_SPEECH_S), ()


def called_while_asked(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """The question stays open; the answer may follow in the same breath."""
    return replace(entered(turns, State.ASKED, now), until=now + LONGEST_SPEECH_S), ()


def called_while_speaking(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Be silent and listen, where the ears are open meanwhile."""
    if not turns.barge_in:
        return turns, ()
    after, effects = called(turns, event, now)
    return after, (Hush(), *effects)


def somebody_talks(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """Let him finish."""
    if turns.held_since is not None:
        return turns, ()
    return replace(turns, until=now + LONGEST_SPEECH_S), ()


# --- heard ----------------------------------------------------------------------------------------


def heard_waiting(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Only what begins with the attention phrase is for the helper."""
    return heard_listening(turns, event, now) if as_a(Heard, event).called else (turns, ())


def heard_listening(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """A request; the phrase alone, or a held key without a word, is told to go on."""
    heard = as_a(Heard, event)
    if heard.words.text:
        return _listened(turns, heard, Manner.CALLED, now)
    if heard.called or turns.held_since is not None:
        return entered(turns, State.LISTENING, now), (Signal(Tone.LISTENING),)
    return _window_goes_on(turns, now)


def heard_staying(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Nobody called: what may well be talk passes without a sound, a likely request is asked about.

    A correction is asked about when it is hardly sure, too: what stands is wrong, and silence would
    leave it standing.
    """
    heard = as_a(Heard, event)
    if heard.called:
        return heard_listening(turns, event, now)
    corrects = heard.words.text.startswith(CORRECTS)
    sure_enough = ASK_FROM if corrects else ASK_UNCALLED_FROM
    if not heard.words.text or _is_talk(heard.words) or heard.words.sureness < sure_enough:
        return _window_goes_on(turns, now)
    # No tick yet: it would be a sound for talk that only looked like a request.
    return _with_advice(*taken(turns, heard.words, Manner.STAYED, now), heard.advice)


def heard_asked(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """An answer to the question, or whatever else is said instead; talk passes."""
    heard = as_a(Heard, event)
    if not heard.words.text and heard.called:
        return entered(turns, State.ASKED, now), (Signal(Tone.LISTENING),)
    talk = not heard.words.text or _is_talk(heard.words) or heard.words.sureness < ASK_FROM
    if talk and not heard.called:
        return _window_goes_on(turns, now)
    return _listened(turns, heard, Manner.ANSWERED, now)


def heard_led(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """An answer to the step that is led, or a request behind the attention phrase; talk passes."""
    heard = as_a(Heard, event)
    if heard.called:
        return heard_listening(turns, event, now)
    if not heard.words.text or _is_talk(heard.words) or heard.words.sureness < ASK_FROM:
        return _window_goes_on(turns, now)
    return _listened(turns, heard, Manner.ANSWERED, now)


def heard_speaking(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """The ears are open for a word that ends the talk, and for no other."""
    words = as_a(Heard, event).words
    if not turns.barge_in or not words.text or _is_talk(words):
        return turns, ()
    return stopped(turns, now)


def _listened(turns: Turns, heard: Heard, manner: Manner, now: float) -> Turned:
    after, effects = _with_advice(*taken(turns, heard.words, manner, now), heard.advice)
    return after, (Signal(Tone.HEARD), *effects)


def _with_advice(turns: Turns, effects: tuple[TurnEffect, ...], advice: str) -> Turned:
    """Show advice on the level, and take it away when the level is right."""
    shown = (Advise(advice),) if advice != turns.advice else ()
    return replace(turns, advice=advice), (*effects, *shown)


def _window_goes_on(turns: Turns, now: float) -> Turned:
    """What was heard counts for nothing; the time to speak is not made longer by it."""
    return replace(turns, until=max(turns.window, now)), ()


def _is_talk(words: Words) -> bool:
    return UNREAD in words.text


# --- replied --------------------------------------------------------------------------------------


def replied(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Show and say the reply; a late one is dropped."""
    reply = as_a(Replied, event)
    if reply.number != turns.awaited:
        return late_reply(turns, event, now)
    return _told(turns, reply, now)


def _told(turns: Turns, reply: Replied, now: float) -> Turned:
    told = reply.told
    if told is None:  # the fault itself waits to be said
        return settled(turns, _another_try(turns), now)
    turns = _leading(turns, reply)
    if reply.control is Control.STOP:
        return stopped(turns, now)
    if told.kind == "not_understood":
        return _missed(turns, told, reply.asks, now)
    tick = (Signal(Tone.HEARD),) if turns.manner is Manner.STAYED else ()
    if reply.control is not None and not told.sentences:
        adjusted, effects = said(
            turns, (f"{reply.control.value}.".capitalize(),), goes_on(turns), now
        )
        return adjusted, (*tick, Speak(reply.control), *effects)
    question, options = (turns.question, turns.options) if reply.asks else ((), ())
    if told.kind in ("question", "refusal") and reply.asks:
        question, options = told.sentences, told.options
    turns = replace(turns, question=question, options=options, asked_again=False, misses=0)
    answered, effects = said(turns, told.sentences, goes_on(turns), now)
    warned = (Signal(Tone.ATTENTION),) if told.kind == "refusal" else ()
    if told.led is not None and told.led.alarm:
        warned = (Signal(Tone.ALARM),)
    return answered, (*tick, Show(told), *warned, *effects)


def _leading(turns: Turns, reply: Replied) -> Turns:
    """With the step that is led after a reply, if one is."""
    led = reply.told.led if reply.told is not None else None
    if reply.leads and led is None:  # a word about the talk leaves the step as it is
        led = turns.led
    return replace(turns, led=led if reply.leads else None, put_again=0)


def _another_try(turns: Turns) -> State:
    """What follows when no reply came: whoever called listens on."""
    calls = turns.manner is Manner.CALLED and not turns.question
    return State.LISTENING if calls else goes_on(turns)


def late_reply(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """It is on record, and no longer said; nobody heard what it asks, so nobody can answer that.

    A step that it leads to is heard of when it is said again. What nobody asked for, the list that
    was left open when the helper ended, is said where nothing else is going on.
    """
    reply = as_a(Replied, event)
    if reply.number == 0 and turns.state is State.WAITING:
        return _told(replace(turns, manner=Manner.GIVEN), reply, now)
    was, turns = turns.led, _leading(turns, reply) if reply.told is not None else turns
    dropped = (Drop(reply.number),) if reply.asks else ()
    if turns.led is was:
        return turns, dropped
    if turns.state in _RESTING:
        return entered(turns, goes_on(turns), now), dropped
    after = goes_on(turns) if turns.after in _RESTING else turns.after
    return replace(turns, after=after), dropped


def _missed(turns: Turns, told: Told, asks: bool, now: float) -> Turned:
    """Say so and listen again, twice; nobody is told so who did not speak to the helper."""
    turns = replace(turns, question=turns.question if asks else ())
    if turns.manner is Manner.STAYED:
        return replace(_window_goes_on(turns, now)[0], state=goes_on(turns)), ()
    if turns.led is not None and not turns.question:  # it stays for as long as it takes
        after, effects = said(
            turns, (*filter(None, (turns.advice,)), *told.sentences), State.LED, now
        )
        return after, (Show(told), Signal(Tone.NOT_UNDERSTOOD), *effects)
    signals = (Show(told), Signal(Tone.NOT_UNDERSTOOD))
    sentences = (*filter(None, (turns.advice,)), *told.sentences[:1])
    if turns.manner is Manner.GIVEN:
        after, effects = said(turns, sentences, goes_on(turns), now)
        return after, (*signals, *effects)
    turns = replace(turns, misses=turns.misses + 1)
    if turns.misses <= MISSES_ALLOWED:
        again = State.ASKED if turns.question else State.LISTENING
        after, effects = said(turns, sentences, again, now)
        return after, (*signals, *effects)
    if turns.question:
        after, effects = _left_unanswered(turns, now)
    else:
        after, effects = said(turns, (LATER,), rest(turns), now)
    return after, (*signals, *effects)


def _left_unanswered(turns: Turns, now: float) -> Turned:
    closed = replace(turns, question=(), options=(), asked_again=False)
    after, effects = said(closed, (NOTHING_CHANGED, *closed.step), rest(closed), now)
    return after, (Drop(), *effects)


# --- spoken, and time is up -----------------------------------------------------------------------


def spoken(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Go on with what follows; the end of an earlier talk is no news."""
    if as_a(Spoken, event).number != turns.awaited:
        return turns, ()
    return settled(turns, turns.after, now)


def nobody_spoke(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """After a call: back to waiting with a tone, unless a question is still open."""
    if turns.held_since is not None:  # nobody holds a key for a minute
        released = replace(turns, held_since=None, until=now + RELEASED_S)
        return released, (EndUtterance(),)
    if turns.question:
        return nobody_answered(turns, _event, now)
    after, effects = at_rest(turns, now)
    return after, (Signal(Tone.NOT_UNDERSTOOD), *effects)


def nobody_went_on(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """The follow-up did not come: back to waiting, without a sound."""
    return at_rest(turns, now)


def nobody_answered(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """Ask once more; then drop the question. Silence is never consent."""
    if turns.asked_again:
        return _left_unanswered(turns, now)
    return said(replace(turns, asked_again=True), turns.question, State.ASKED, now)


def step_unanswered(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """Say the step again, ever more seldom, for as long as it takes: time passes no step."""
    return said(replace(turns, put_again=turns.put_again + 1), turns.step, State.LED, now)


def reply_is_late(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """Say that it takes long, then that it did not come."""
    if not turns.slow:
        count = turns.count + 1
        later = now + GIVEN_UP_AFTER_S - WORKING_AFTER_S
        alarm = (Signal(Tone.ALARM),) if turns.alarms else ()
        words = Say((*turns.alarms, WORKING), count)
        return replace(turns, slow=True, count=count, until=later, alarms=()), (*alarm, words)
    return said(replace(turns, awaited=0), (NOT_COME,), _another_try(turns), now)


def mouth_is_late(turns: Turns, _event: TurnEvent, now: float) -> Turned:
    """The mouth never said that it was done: be silent, and go on as if it had."""
    after, effects = settled(turns, turns.after, now)
    return after, (*hushed(turns), *effects)
