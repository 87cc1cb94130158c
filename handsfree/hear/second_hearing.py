"""Hears again, as a request among all others, what sounded like an emergency amid talk and noise.

The spotter knows a few phrases and loose phones beside them, so that now and then a stretch of talk
comes nearer to a phrase than to any phones. The recogniser of requests knows what else people say
here. What it takes for something else altogether was no emergency.
"""

from collections.abc import Callable

from handsfree.errors import HandsfreeError
from handsfree.hear.attention import Phrase
from handsfree.hear.recogniser import Recogniser, recognise


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
        """Whether one of the close readings of the sound means the emergency that the phrase means.

        An emergency is not lost by a fault: where it cannot be heard again, it counts.
        """
        meant = self._urgent(phrase.text)
        if meant is None:
            return True
        try:
            words = recognise(self._recogniser, sound)
        except HandsfreeError:
            return True
        return any(self._urgent(text) == meant for text in (words.text, *words.others))
