"""How far a figure can be trusted, and how a tip suits a piece."""

from enum import StrEnum


class Status(StrEnum):
    """How far a figure can be trusted; never promoted."""

    READ = "read"
    SECONDARY = "secondary"
    COMMON_PRACTICE = "common practice"
    MEMORY = "memory"
    COMPUTED = "computed"


class Fit(StrEnum):
    """How the tip on hand suits the piece."""

    RIGHT = "right"
    TOO_SMALL = "too small"
    TOO_LARGE = "too large"
    UNKNOWN = "unknown"
