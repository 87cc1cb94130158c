"""Watches frames of sound for what may be called out now: the phrase, an emergency, "stop".

Words of an emergency are watched for whatever is listened for, also while the helper speaks, but
never taken from its own words. The attention phrase and "stop" count only when they are said after
they began to be listened for. Where frames go through an end-pointer, the spotter hears only while
somebody seems to talk.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from handsfree.hear.endpointing import FRAME_S
from handsfree.hear.wake import EMERGENCIES, LOOK_EVERY, Phrase, Spot, Spotted, Spotter
from handsfree.values import Listening

HANGOVER_S: Final = 0.6  # the spotter hears on so long after the end-pointer has
CALLED_OUT_S: Final = 3.0  # in which the same emergency is called out again and again
OWN_S: Final = 1.0  # after the helper's talk, in which its words may yet be spotted
SPEAKS: Final = frozenset({Listening.NOTHING, Listening.STOP})
"""What is listened for while the helper speaks, when no end-pointer can tell who does."""

_NONE: Final[frozenset[Spot]] = frozenset()
_SPOTS: Final[Mapping[Listening, frozenset[Spot]]] = {
    Listening.ATTENTION: frozenset({Spot.ATTENTION}),
    Listening.STEPS: frozenset({Spot.ATTENTION}),
    Listening.STOP: frozenset({Spot.HUSH}),
}


class Watch:
    """Looks for phrases frame by frame, as the ears go from one state to another.

    Args:
        spotter: spots them.
    """

    def __init__(self, spotter: Spotter) -> None:
        self._spotter = spotter
        self._mode = Listening.NOTHING
        self._since = 0  # frames since that is so
        self._spotting = 0  # frames that the spotter hears on
        self._stale = True  # the spotter has to begin anew
        self._quiet = 0  # frames in which no other emergency is looked for
        self._own: frozenset[str] = frozenset()  # emergencies of which the helper itself talks
        self._fine = 0  # frames that the spotter has heard since it failed

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        """All that can be called."""
        return self._spotter.phrases

    @property
    def fine_s(self) -> float:
        """How much the spotter has heard since it failed."""
        return self._fine * FRAME_S

    def says(self, sentences: Sequence[str]) -> None:
        """What the helper says now."""
        said = " ".join(f" {_bare(sentence)} " for sentence in sentences)
        phrases = [p.text for p in self.phrases if p.spot in EMERGENCIES]
        self._own = frozenset(text for text in phrases if f" {text} " in said)

    def become(self, listening: Listening) -> None:
        """Watch for what belongs to this; an emergency that is being called is not cut off."""
        self._mode, self._since = listening, 0

    def afresh(self) -> None:
        """What comes next does not belong to what came before."""
        self._spotting, self._stale = 0, True

    def failed(self) -> None:
        """The spotter raised; it begins anew."""
        self._stale, self._fine = True, 0

    def hear(
        self,
        frame: bytes,
        *,
        talks: bool = False,
        began: Sequence[bytes] | None = None,
        emergencies_only: bool = False,
    ) -> Spotted | None:
        """What has been called once this frame is heard.

        Args:
            frame: of sound.
            talks: somebody seems to talk.
            began: the frames before this one since he began, when he has just begun.
            emergencies_only: nothing else counts now, whatever is listened for.
        """
        self._since += 1
        if self._quiet:
            self._quiet -= 1
            self._stale |= not self._quiet  # what was called out meanwhile was the same
        spots = _NONE if emergencies_only else _SPOTS.get(self._mode, _NONE)
        if not self._quiet:
            spots |= EMERGENCIES
        if began is not None and not self._spotting:
            self._spotter.begin(began)
            self._stale = False
        if talks or self._mode in SPEAKS:
            self._spotting = round(HANGOVER_S / FRAME_S)
        if not self._spotting or not spots:
            return None
        self._spotting -= 1
        if self._stale:
            self._spotter.begin()
            self._stale = False
        spotted = self._spotter.accept(frame, spots)
        self._fine += 1
        if spotted is None or self._is_stray(spotted):
            return None
        if spotted.phrase.spot in EMERGENCIES:
            self._quiet = round(CALLED_OUT_S / FRAME_S)
        elif spotted.phrase.spot is Spot.ATTENTION:
            self._spotting = 0
        return spotted

    def _is_stray(self, spotted: Spotted) -> bool:
        """Whether it is of the helper's own talk, or was said when it was not listened for."""
        if spotted.phrase.spot not in EMERGENCIES:
            return spotted.began > self._since - LOOK_EVERY
        own = self._mode in SPEAKS or self._since * FRAME_S < OWN_S
        return own and spotted.phrase.text in self._own


def _bare(sentence: str) -> str:
    """A sentence in the words in which it would be spotted.

    >>> _bare("Flashback: shut the oxygen. It's first.")
    "flashback shut the oxygen it's first"
    """
    plain = "".join(c if c.isalnum() or c == "'" else " " for c in sentence.lower())
    return " ".join(plain.split())
