"""What the helper does about keys, typed words, and parts that fail and come back."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from handsfree.dialogue.turn_moves import as_a
from handsfree.dialogue.turn_state import (
    LONGEST_HOLD_S,
    RELEASED_S,
    TAP_S,
    Manner,
    State,
    Turned,
    Turns,
    entered,
    goes_on,
    hushed,
    said,
    settled,
    stopped,
    taken,
)
from handsfree.values import (
    CalledOut,
    Due,
    EndUtterance,
    Failed,
    Hush,
    Key,
    Mended,
    Notify,
    Part,
    Pressed,
    Prompted,
    Signal,
    Tone,
    TurnEvent,
    Typed,
    Words,
)

KEY_SAYS: Final[Mapping[Key, str]] = {
    Key.CONFIRM: "yes",
    Key.NEXT: "more",
    Key.BACK: "go back",
    Key.AGAIN: "say again",
}
"""What a key stands for: whatever a key does, a word does as well."""

LED_KEY_SAYS: Final[Mapping[Key, str]] = {
    **KEY_SAYS,
    Key.CONFIRM: "done",
    Key.NEXT: "done",
}
"""Likewise while a step of a list waits; a step that asks what is seen is not passed by it."""

SPOTTED: Final = 0.95
"""How sure to be of words of an emergency at the least: to spot them was to be sure."""

SHOWN_ONLY: Final = frozenset({Part.LOUDSPEAKER, Part.VOICE, Part.CLOCK, Part.TERMINAL})
"""Faults that cannot be said, or that need nobody's hand now."""

DEAF: Final = frozenset({Part.MICROPHONE, Part.RECOGNISER, Part.EARS})
"""Parts without which the helper hears nothing."""

LOSES_WORDS: Final = frozenset({Part.RECOGNISER, Part.SESSION, Part.SETTINGS})
"""Parts whose every fault costs what was just said, so that it is told every time."""

FAULT_SAID: Final[Mapping[Part, str]] = {
    Part.MICROPHONE: "I hear nothing from the microphone. Check its plug, battery and switch.",
    Part.RECOGNISER: "I could not make that out. Say it again.",
    Part.EARS: "I cannot hear on this machine. What to do is on the page.",
    Part.LOGBOOK: "The logbook cannot be written. What to do is on the page.",
    Part.SETTINGS: "I cannot keep that. The old settings stand. What to do is on the page.",
    Part.SESSION: "Something went wrong inside. Ask again.",
    Part.KEPT: (
        "Something that I keep could not be read. Check the rig, the tips and the times before you"
        " go on. The page says what it is."
    ),
}
"""The page has the whole sentence, with names of files that nobody wants to hear."""

BACK_AGAIN: Final[Mapping[Part, str]] = {
    Part.MICROPHONE: "The microphone is back.",
    Part.LOUDSPEAKER: "The loudspeaker is back.",
    Part.VOICE: "The voice is back.",
    Part.RECOGNISER: "I can hear again.",
}


def typed(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Answer what was typed or tapped, whatever was going on."""
    return _given(turns, as_a(Typed, event).words, now)


def called_out(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Words of an emergency: their list begins, whatever was going on.

    A tick tells that they were heard; the alarm would come before the words that matter.
    """
    words = as_a(CalledOut, event).words
    return _given(turns, replace(words, sureness=max(words.sureness, SPOTTED)), now)


def due(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Say what the time has come for: when nothing else is said, or as an alarm at once.

    What an alarm breaks into is said again after it; an open question and a step are put again.
    """
    news = as_a(Due, event)
    busy = turns.state in (State.WORKING, State.SPEAKING)
    if not news.alarm:
        fresh = tuple(each for each in news.sentences if each not in turns.unsaid)
        turns = replace(turns, unsaid=(*turns.unsaid, *fresh))
        return (turns, ()) if busy or turns.talked_to else settled(turns, turns.state, now)
    turns = replace(turns, alarms=(*turns.alarms, *news.sentences))
    if turns.state is State.WORKING:  # it comes before the reply, or before "Working."
        return turns, ()
    if turns.state is State.SPEAKING:
        after, effects = said(turns, turns.saying, turns.after, now)
        return after, (Hush(), *effects)
    asked = turns.question if turns.state is State.ASKED else ()
    return said(turns, asked or (turns.step if turns.state is State.LED else ()), turns.state, now)


def prompted(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Say the step of asking by touch; what he asks so far changes nothing."""
    if turns.state is State.WORKING:
        return turns, ()
    after = turns.after if turns.state is State.SPEAKING else goes_on(turns)
    if turns.state is State.WAITING:
        after = State.WAITING
    spoken, effects = said(turns, (as_a(Prompted, event).sentence,), after, now)
    return spoken, (*hushed(turns), *effects)


def pressed(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Do what the key stands for."""
    press = as_a(Pressed, event)
    if press.key is Key.TALK:
        return _talk_down(turns, press, now) if press.down else _talk_up(turns, now)
    if not press.down:
        return turns, ()
    if press.key is Key.STOP:
        return stopped(turns, now)
    led = turns.led is not None and not turns.question
    # Nobody can confirm a number that has not been read back to its end, nor a step.
    early = turns.state is State.SPEAKING or not (turns.question or led)
    if early and (press.key is Key.CONFIRM or (led and press.key is Key.NEXT)):
        return turns, (Signal(Tone.NOT_UNDERSTOOD),)
    return _given(turns, Words((LED_KEY_SAYS if led else KEY_SAYS)[press.key]), now)


def _given(turns: Turns, words: Words, now: float) -> Turned:
    after, effects = taken(turns, words, Manner.GIVEN, now)
    return after, (*hushed(turns), Signal(Tone.HEARD), *effects)


def _talk_down(turns: Turns, press: Pressed, now: float) -> Turned:
    if turns.held_since is not None:  # a key that repeats while it is held
        return turns, ()
    silence = hushed(turns)
    if not press.holds and turns.state is State.LISTENING:  # a second tap ends the request
        return replace(turns, until=now + RELEASED_S), (EndUtterance(),)
    listening = replace(entered(turns, State.LISTENING, now), misses=0, awaited=0)
    if press.holds:  # he talks at once: a tone would fall into his words
        return replace(listening, held_since=now, until=now + LONGEST_HOLD_S), silence
    return listening, (*silence, Signal(Tone.LISTENING))


def _talk_up(turns: Turns, now: float) -> Turned:
    if turns.held_since is None:
        return turns, ()
    if now - turns.held_since < TAP_S:
        return entered(turns, State.LISTENING, now), (Signal(Tone.LISTENING),)
    return replace(turns, held_since=None, until=now + RELEASED_S), (EndUtterance(),)


def failed(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Show the fault, and say it where that can be done; once, unless words were lost by it."""
    fault = as_a(Failed, event)
    known = (fault.part, fault.sentence) in turns.faults
    others = tuple(entry for entry in turns.faults if entry[0] is not fault.part)
    turns = replace(turns, faults=(*others, (fault.part, fault.sentence)))
    shown = () if known else (Notify(fault.part, fault.sentence),)
    if fault.part in SHOWN_ONLY or (known and fault.part not in LOSES_WORDS):
        return turns, shown
    deaf = fault.part in DEAF
    tone = Tone.ALARM if deaf else Tone.ATTENTION
    sentence = FAULT_SAID.get(fault.part, fault.sentence)
    after, effects = _aside(turns, sentence, tone, now, breaks_in=deaf)
    return after, (*shown, *effects)


def mended(turns: Turns, event: TurnEvent, now: float) -> Turned:
    """Take the fault away, and say that the part is back where that matters to the user."""
    part = as_a(Mended, event).part
    if all(part is not failed_part for failed_part, _ in turns.faults):
        return turns, ()
    others = tuple(entry for entry in turns.faults if entry[0] is not part)
    turns = replace(turns, faults=others)
    if part not in BACK_AGAIN:
        return turns, (Notify(part),)
    after, effects = _aside(turns, BACK_AGAIN[part], None, now)
    return after, (Notify(part), *effects)


def _aside(
    turns: Turns, sentence: str, tone: Tone | None, now: float, *, breaks_in: bool = False
) -> Turned:
    """Say something that no request asked for: now, or when nothing else is being said.

    Nobody is interrupted, unless what he says is not heard anyway.
    """
    busy = turns.state in (State.WORKING, State.SPEAKING)
    if busy or (turns.talked_to and not breaks_in):
        waits = sentence not in turns.unsaid
        return replace(turns, unsaid=(*turns.unsaid, sentence) if waits else turns.unsaid), ()
    after, effects = said(turns, (sentence,), turns.state, now)
    return after, (*((Signal(tone),) if tone else ()), *effects)
