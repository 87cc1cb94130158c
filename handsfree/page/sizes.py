"""The numbers that the page is built to: sizes, targets, contrast, times. All of them live here.

The page's scripts read them from here too, through `as_script_values`; nothing is written twice.

Design case: a filter of shade 3 to 5 (the least that 29 CFR 1910.133(a)(5) allows for oxygen
cutting) before a screen of 300 to 500 cd/m2, digits that subtend 40 minutes of arc at 2 m.
"""

# Letters, as height of a digit or capital on the glass.
DIGITS_MM = 24.0  # until another distance, filter or screen was told; reading.py
LEAST_DIGITS_MM = 8.0
LABELS_MM = 12.0
SMALLEST_TEXT_MM = 2.6
LARGEST_TEXT_MM = 6.0
FIGURES_A_SCREEN = 4
READING_ARC_MINUTES = 40.0
READING_DISTANCE_MM = 2000.0
CONTRAST = 15.0

# Targets for a gauntlet.
TARGET_MM = 30.0
GAP_MM = 10.0
EDGE_MM = 10.0
TARGETS_A_SCREEN = 6
SLIDE_MM = 7.0  # of a slide for one step of a wheel
SLIDE_FROM_MM = 5.0  # below that it is a tap by a glove that slipped
PRESSES_TO_AN_ANSWER = 5

# CSS millimetres are not real ones. Until a bank card was held to the glass, assume as many pixels
# a millimetre as devices of that sort have at most, so that letters err on the large side: phones
# have 5.5 to 6.2 (152 to 157 dots an inch by their own count), small laptops up to 5.3.
PIXELS_A_MM_BY_TOUCH = 6.0
PIXELS_A_MM_BY_POINTER = 5.0
PIXELS_A_MM_LEAST = 2.5
PIXELS_A_MM_MOST = 9.0
CARD_LONG_MM = 85.60  # ISO/IEC 7810, ID-1
CARD_SHORT_MM = 53.98

# Times: a sign of life, when the link counts as lost, when an answer counts as old.
ALIVE_S = 2.0
LOST_S = 5.0
OLD_S = 300.0
HOLD_MS = 450
HOLD_BACK_MS = 900  # on a wheel, where a glove rests before it slides
HOLD_STEP_MS = 400
SPEAK_AFTER_MS = 600  # a wheel that stood still that long is said aloud

# The meter of the microphone: where it begins (the end is full scale), what is too quiet to be
# understood and what is about to be cut off, in decibels of full scale.
METER_LEAST_DB = -60.0
METER_QUIET_DB = -45.0
METER_LOUD_DB = -3.0
METER_STEPS = 20

# What a client may send, and what the page may weigh.
WORDS_AT_MOST = 500
BODY_BYTES_AT_MOST = 4096
PAGE_BYTES_AT_MOST = 150 * 1024


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """The contrast ratio of two colours (red, green, blue; 0 to 255), as WCAG 2.2 defines it.

    >>> contrast((0, 0, 0), (255, 255, 255))
    21.0
    """
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return round((lighter + 0.05) / (darker + 0.05), 2)


def _luminance(colour: tuple[int, int, int]) -> float:
    red, green, blue = (
        part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4
        for part in colour
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def as_script_values() -> dict[str, float]:
    """Every constant of this file under its own name, for the page's scripts."""
    return {
        name: value
        for name, value in globals().items()
        if name.isupper() and isinstance(value, int | float)
    }
