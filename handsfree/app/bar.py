"""A bar at the foot of the terminal that tells how far something is; none where nobody looks."""

from typing import Final

from handsfree.app.terminal import Terminal

WIDTH: Final = 30


class Bar:
    """Prints lines above a bar.

    Args:
        terminal: takes both; without a screen it gets the lines alone.
    """

    def __init__(self, terminal: Terminal) -> None:
        self._terminal = terminal
        self._drawn = ""

    def say(self, line: str) -> None:
        """Print a line; the bar stays below it."""
        if self._drawn:
            self._terminal.over("")
        self._terminal.say(line)
        if self._drawn:
            self._terminal.over(self._drawn)

    def show(self, share: float) -> None:
        """Draw how far it is, from 0 to 1; at 1 the bar goes."""
        if self._terminal.is_seen:
            self._drawn = "" if share >= 1.0 else drawn(share)
            self._terminal.over(self._drawn)

    def close(self) -> None:
        """Take the bar away."""
        self.show(1.0)


def drawn(share: float) -> str:
    """The bar as text.

    >>> drawn(0.5)
    '[###############...............]  50%'
    """
    full = round(share * WIDTH)
    return f"[{'#' * full}{'.' * (WIDTH - full)}] {share:4.0%}"
