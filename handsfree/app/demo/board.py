"""The page's board of a shift, which tells of every reply that is pinned to it and every fault."""

from collections.abc import Callable

from handsfree.app.demo.transcript import as_figures
from handsfree.page.board import PageBoard
from handsfree.values import Part, Told


class ShiftBoard(PageBoard):
    """A board that tells what it shows.

    Args:
        clock: seconds of the made time.
        phrase: what calls the helper.
        on_shown: is told figures and faults as they are shown.
    """

    def __init__(
        self, clock: Callable[[], float], phrase: str, on_shown: Callable[[str], None]
    ) -> None:
        super().__init__(clock, phrase=phrase)
        self._on_shown = on_shown

    def publish(self, told: Told) -> None:
        """Pin a reply."""
        super().publish(told)
        if told.figures:
            self._on_shown(as_figures(told.figures))

    def notify(self, part: Part, sentence: str = "") -> None:
        """Show a fault."""
        super().notify(part, sentence)
        self._on_shown(sentence or f"the {part} works again")
