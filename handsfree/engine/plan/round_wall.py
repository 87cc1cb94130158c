"""Metal along the jet in a round wall or a solid round, and the tilt that makes it longer.

By geometry of circles; checked in tests/reference against a march through the wall in small steps.
Inches and degrees. A tilt is round the piece, in the plane of its section: the jet then misses the
centre line by radius times its sine. A lean is along the piece.
"""

import math

CLOCK = 12  # hours


def chord(radius: float, bore: float, miss: float, lean: float = 0.0) -> float:
    """Metal that a jet meets before it first leaves steel, missing the centre line by `miss`.

    0 when it misses the piece. Once it misses the bore too, it stays in steel all the way across.

    >>> round(chord(3.3125, 3.0325, 0.0), 3), round(chord(3.3125, 3.0325, 0.0, 60.0), 3)
    (0.28, 0.56)

    Args:
        radius: outside.
        bore: inner radius; 0 for a solid round.
        miss: how far the jet's line passes from the centre line.
        lean: along the piece, from square.
    """
    miss = abs(miss)
    if miss >= radius:
        return 0.0
    outer = math.sqrt(radius**2 - miss**2)
    inner = math.sqrt(bore**2 - miss**2) if miss < bore else -outer
    return (outer - inner) / math.cos(math.radians(lean))


def tilted(radius: float, bore: float, tilt: float, lean: float = 0.0) -> float:
    """Metal along a jet tilted by so much from square, round the piece.

    >>> round(tilted(3.3125, 3.0325, 45.0), 3), round(tilted(3.3125, 3.0325, 60.0), 3)
    (0.416, 0.673)
    """
    return chord(radius, bore, radius * math.sin(math.radians(tilt)), lean)


def grazing_tilt(radius: float, bore: float) -> float:
    """The tilt from which a jet never enters the bore.

    >>> round(grazing_tilt(3.3125, 3.0325))
    66
    """
    return math.degrees(math.asin(bore / radius))


def at_clock(radius: float, bore: float, hour: float, lean: float = 0.0) -> float:
    """Metal below the outside at an hour of the clock, under a jet that points straight down.

    Twelve is the top; at three and nine the jet only grazes the piece, and from there on down the
    outside lies in the shade of the upper wall: 0.

    >>> [round(at_clock(3.3125, 3.0325, hour), 2) for hour in (12, 1, 2, 3)]
    [0.28, 0.33, 0.67, 0.0]
    """
    angle = math.radians(360 * (hour % CLOCK) / CLOCK)
    if math.cos(angle) <= 1e-9:
        return 0.0
    return chord(radius, bore, radius * math.sin(angle), lean)


def slices(diameter: float, count: int = 24) -> tuple[tuple[float, float], ...]:
    """A travel straight across a solid round: the step of travel and the metal at its middle.

    >>> round(sum(step for step, _ in slices(2.0)), 9)
    2.0
    """
    step, radius = diameter / count, diameter / 2
    return tuple(
        (step, chord(radius, 0.0, -radius + (place + 0.5) * step)) for place in range(count)
    )
