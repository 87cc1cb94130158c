"""A typed list of what goes up, taken apart into its pieces."""

import re

_LEAD = re.compile(
    r"^\W*(?:i'm |we're |i am |we are )?(?:going up|taking up|take up|what goes up)\b[\s:,.-]*",
    re.IGNORECASE,
)
# "one and a half" keeps its "and"; before these a new piece begins.
_BREAK = re.compile(r"\s*(?:[;\n]|,(?!\d)|\band (?=some\b|then\b|also\b))\s*", re.IGNORECASE)


def list_parts(text: str) -> tuple[str, ...]:
    """The pieces of a typed list, each as a request of its own; empty for anything else.

    >>> list_parts("Going up: six feet of half plate, two W12x26, and some three inch angle")
    ('going up six feet of half plate', 'going up two W12x26', 'going up some three inch angle')
    >>> list_parts("half inch plate, quarter inch tip"), list_parts("going up two W12x26")
    ((), ())
    """
    lead = _LEAD.match(text)
    if lead is None:
        return ()
    found = [part for part in map(_plain, _BREAK.split(text[lead.end() :])) if part]
    return tuple(f"going up {part}" for part in found) if len(found) > 1 else ()


def _plain(part: str) -> str:
    return re.sub(r"^(?:and|then|also)\s+", "", part.strip(" ,.;"), flags=re.IGNORECASE)
