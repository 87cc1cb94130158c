"""Hears again, with all that may be asked, what sounded like a call or an emergency amid talk.

The spotter knows a few phrases and loose phones beside them, so that now and then a stretch of talk
comes nearer to a phrase than to any phones. The recogniser of requests knows what else people say
here. What it takes for something else altogether was neither.
"""

from collections.abc import Callable

from handsfree.errors import HandsfreeError
from handsfree.hear.recogniser import Recogniser, recognise
from handsfree.hear.wake import Phrase


class SecondHearing:
    """Called with a phrase and its sound, it tells whether the sound may well mean the phrase.

    Args:
        recogniser: of requests, for nothing else than this.
        urgent: which emergency a text means; None where it is none.
    """

    def __init__(self, recogniser: Recogniser, urgent: Callable[[str], object | None]) -> None:
        self._recogniser = recogniser
        self._urgent = urgent

    def __call__(self, phrase: Phrase, sound: bytes) -> bool:
        """Whether a close reading of the sound means the same emergency, or has the same words.

        Nothing is lost by a fault: what cannot be heard again counts.
        """
        try:
            words = recognise(self._recogniser, sound)
        except HandsfreeError:
            return True
        meant = self._urgent(phrase.text)
        readings = (words.text, *words.others)
        if meant is None:
            return any(f" {phrase.text} " in f" {text} " for text in readings)
        return any(self._urgent(text) == meant for text in readings)
