"""The one watch over the machine's clock: what it was set by, seen beside one that only goes on."""

from collections.abc import Callable


class ClockWatch:
    """Tells by how much the machine's clock was set since it was looked at last.

    Args:
        clock: seconds that only move forward.
        wall: the machine's clock in seconds, which may be set.
    """

    def __init__(self, clock: Callable[[], float], wall: Callable[[], float]) -> None:
        self._clock = clock
        self._wall = wall
        self._apart = wall() - clock()

    def jump(self) -> float:
        """Seconds by which it was set; forward is positive. Each is told once."""
        jump = self._wall() - self._clock() - self._apart
        self._apart += jump
        return jump
