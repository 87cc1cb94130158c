"""How high digits must be to be read: from filter shade, brightness of the screen and distance.

The design case is a shade 5 filter before a screen of 400 cd/m2 and digits of 40 minutes of arc:
many times what the eye can just make out, for goggles are scratched, smoke drifts, and a glance
must do. Other cases keep that margin: the angle follows what the eye resolves at their luminance.
"""

import math

from handsfree.page.sizes import READING_ARC_MINUTES

DESIGN_SHADE = 5.0
DESIGN_SCREEN = 400.0

# Luminance of white, in cd/m2 (common practice: screens are sold with 300 to 500 at their
# brightest, outdoor ones with 1000).
SCREENS = {"outdoor screen": 1000.0, "full": 400.0, "half": 200.0, "dim": 80.0}
# 1 is no filter. 3 to 5 are the shades for oxygen cutting, 6 and 8 gouging and arc work beside it.
SHADES = (1, 3, 4, 5, 6, 8)
DISTANCES_M = (0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)

LEAST_LUMINANCE = 0.1  # cd/m2; below it the fit was not used and nobody should be reading
MOST_LUMINANCE = 2000.0


def transmittance(shade: float) -> float:
    """The share of light that a filter of that shade number lets through.

    Shade S = 7/3 log10(1/T) + 1, the definition of the scale in ANSI/ISEA Z87.1 and EN 169.

    >>> round(transmittance(5), 4)
    0.0193
    """
    return float(10 ** (-3 / 7 * (shade - 1)))


def resolved(luminance: float) -> float:
    """What the eye resolves, in cycles a degree, at a luminance in cd/m2.

    Larson, Rushmeier and Piatko, LBNL 39882 (1997): a fit to the acuities that Shlaer measured in
    1937; second hand, as carried by the code of a public lighting simulation. Young, healthy eyes.

    Raises:
        ValueError: the luminance lies outside 0.1 to 2000 cd/m2.

    >>> round(resolved(400), 1), round(resolved(1), 1)
    (48.6, 31.5)
    """
    if not LEAST_LUMINANCE <= luminance <= MOST_LUMINANCE:
        raise ValueError(
            f"{luminance:g} cd/m2 lies outside {LEAST_LUMINANCE:g} to {MOST_LUMINANCE:g}: "
            "take a lighter filter or a brighter screen."
        )
    return 17.25 * math.atan(1.4 * math.log10(luminance) + 0.35) + 25.72


def arc_minutes(shade: float = DESIGN_SHADE, screen: float = DESIGN_SCREEN) -> float:
    """The angle that digits must subtend behind that filter, before a screen of that luminance.

    Raises:
        ValueError: too dark to read through, or too bright.

    >>> round(arc_minutes(), 1), round(arc_minutes(shade=1), 1), round(arc_minutes(shade=8), 1)
    (40.0, 35.5, 77.8)
    """
    design = resolved(DESIGN_SCREEN * transmittance(DESIGN_SHADE))
    return READING_ARC_MINUTES * design / resolved(screen * transmittance(shade))


def digit_height(
    distance_mm: float, shade: float = DESIGN_SHADE, screen: float = DESIGN_SCREEN
) -> float:
    """The height of a digit, in millimetres, to be read at that distance.

    Args:
        distance_mm: from eye to glass.
        shade: of the filter; 1 is none.
        screen: luminance of its white, in cd/m2.

    Raises:
        ValueError: no distance, or too dark or too bright.

    >>> round(digit_height(2000), 1), round(digit_height(1000, shade=3), 1)
    (23.3, 10.7)
    """
    if not distance_mm > 0:
        raise ValueError("The distance must be more than nothing.")
    return distance_mm * math.tan(math.radians(arc_minutes(shade, screen) / 60))


def as_script_values() -> dict[str, object]:
    """The height at one metre for every shade and screen, for the page's scripts.

    Heights grow with the distance; null is too dark to read.
    """
    return {
        "design": int(DESIGN_SHADE),
        "distances": DISTANCES_M,
        "shades": SHADES,
        "screens": SCREENS,
        "heights": {
            shade: {name: _height_at_a_metre(shade, screen) for name, screen in SCREENS.items()}
            for shade in SHADES
        },
    }


def _height_at_a_metre(shade: float, screen: float) -> float | None:
    try:
        return round(digit_height(1000, shade, screen), 2)
    except ValueError:
        return None
