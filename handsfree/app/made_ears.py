"""The ears of the running helper, made in a thread of their own while the page already works.

It is said that the helper listens when sound comes in, and not before.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from handsfree.app.attention import attention_network
from handsfree.app.first_start import FirstStart
from handsfree.app.helper import Helper
from handsfree.app.wiring import request_recogniser, spotter_beside, steps_recogniser
from handsfree.audio.device import SoundDevice
from handsfree.audio.level import Level
from handsfree.audio.microphone import RATE
from handsfree.errors import HandsfreeError, ModelError, SoundError
from handsfree.page.board import PageBoard
from handsfree.session.session import Session
from handsfree.store.settings import Sound
from handsfree.values import Failed, Part, TurnEvent

if TYPE_CHECKING:  # heavy: it is loaded in the thread that makes the ears
    from handsfree.hear.ears import Ears

CLOSING_S: Final = 1.0  # what has not ended by then is left to end with the process
CAN_SAY: Final = ("what do i set for half inch plate", "my oxygen gauge is dead", "help", "stop")
DEAF: Final = "Ready, but not listening: no microphone works. I listen as soon as one does."


def has_microphone(system: SoundDevice, name: str | None) -> bool:
    """Whether a microphone can be opened now; the default one when no name is given."""
    try:
        system.capture(name, RATE, lambda samples: None).close()
    except SoundError:
        return False
    return True


@dataclass(slots=True)
class MadeEars:
    """The ears of a helper.

    Attributes:
        fault: why the helper cannot run as it was asked to; it is ended then.
    """

    session: Session
    helper: Helper
    board: PageBoard
    sound: Sound
    model: Path | None
    system: SoundDevice
    tell: Callable[[str], None]
    first: FirstStart
    fault: HandsfreeError | None = None
    ears: "Ears | None" = None
    thread: threading.Thread | None = None
    _invites: str = ""  # to speak; told with the first sound
    _lost: bool = False

    def open(self, then: Callable[[], None]) -> None:
        """Begin to make them; then do what can wait until the helper listens."""

        def make() -> None:
            self._make()
            then()

        self.thread = threading.Thread(target=make, name="ears are made", daemon=True)
        self.thread.start()

    def close(self) -> None:
        """Listen no more."""
        if self.thread is not None:
            self.thread.join(CLOSING_S)
        if self.ears is not None:
            self.ears.close()

    def _make(self) -> None:
        try:
            self._open()
        except ModelError as fault:
            if self.model is None:  # ours is broken: the page, the keys and the voice go on
                self.helper.post(Failed(Part.EARS, str(fault)))
                return
            self.fault = fault
            self.helper.stop()
        except HandsfreeError as fault:
            self.fault = fault
            self.helper.stop()

    def _open(self) -> None:
        from handsfree.hear.ears import open_ears
        from handsfree.hear.wake import Spot, phrases_in

        network = attention_network(self.sound.attention)
        phrases = [each.text for each in phrases_in(network) if each.spot is Spot.ATTENTION]
        self.first.until_graphs()
        recogniser = request_recogniser(self.session, self.model)
        spotter = spotter_beside(recogniser, self.session, network, self.model)
        called = " or ".join(f'"{phrase}"' for phrase in phrases)
        self._invites = f"Listening. Say {called}, then: {', '.join(CAN_SAY)}."
        self.ears = open_ears(
            self.system,
            self.sound.microphone,
            spotter,
            recogniser,
            self._post,
            on_level=self._hears,
            on_partial=self.board.catch,
        )
        self.helper.attach(ears=self.ears)
        self.board.call(phrases[0])
        if self._lost:
            self.tell(DEAF)
        # No list is led in the first seconds; until then the one for requests hears the answers.
        self.ears.hear_steps_by(steps_recogniser(self.session.answer_sense, self.model))

    def _post(self, event: TurnEvent) -> None:
        if isinstance(event, Failed) and event.part is Part.MICROPHONE:
            self._lost = True
        self.helper.post(event)

    def _hears(self, level: Level) -> None:
        self.board.level(level.level_db)
        if self._invites:
            self.tell(self._invites)
            self._invites = ""
