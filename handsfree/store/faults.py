"""What went wrong with what is kept, gathered until there is somebody to tell it."""

import threading
from collections.abc import Callable

from handsfree.values import Failed, Part


class Faults:
    """Faults in their order; safe to call from several threads.

    A fault of a kept file is told once, however often the file is read.
    """

    def __init__(self) -> None:
        self._waiting: list[Failed] = []
        self._known: set[str] = set()
        self._tell: Callable[[Failed], None] | None = None
        self._one = threading.Lock()

    def kept(self, sentence: str) -> None:
        """A kept file could not be used."""
        with self._one:
            if sentence in self._known:
                return
            self._known.add(sentence)
        self.add(Failed(Part.KEPT, sentence))

    def add(self, failed: Failed) -> None:
        """Tell a fault, or gather it while there is nobody to tell."""
        with self._one:
            tell = self._tell
            if tell is None:
                self._waiting.append(failed)
        if tell is not None:
            tell(failed)

    def tell_to(self, tell: Callable[[Failed], None]) -> None:
        """Tell what was gathered, that of all kept files as one, and from now on each at once."""
        with self._one:
            waiting, self._waiting, self._tell = self._waiting, [], tell
        for part in dict.fromkeys(each.part for each in waiting):
            of_part = [each.sentence for each in waiting if each.part is part]
            tell(Failed(part, " ".join(of_part) if part is Part.KEPT else of_part[-1]))
