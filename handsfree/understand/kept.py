"""Finished networks in the user's cache: one file each, a line of JSON and then flat arrays.

Expanding the rules takes most of a second; a kept network loads in a few milliseconds. A file that
is absent, half-written or of another make counts as not there.
"""

import contextlib
import json
import os
from array import array
from pathlib import Path

from handsfree.understand.network import Network

_PLACES = ("first", "ends", "word_of", "tag_of")


def kept_network(path: Path) -> tuple[Network, dict[str, object]] | None:
    """The network in a file with what was noted beside it; None when there is no sound one."""
    try:
        with path.open("rb") as file:
            head = json.loads(file.readline())
            places = {name: array("i") for name in _PLACES}
            for name, values in places.items():
                values.fromfile(file, head["lengths"][name])
            costs = array("d")
            costs.fromfile(file, len(places["ends"]))
        network = Network(
            final=head["final"],
            words=tuple(head["words"]),
            tags=tuple(head["tags"]),
            costs=costs,
            **places,
        )
        notes = head["notes"]
    except (OSError, EOFError, ValueError, LookupError, TypeError, AttributeError):
        return None
    except (ArithmeticError, RecursionError, MemoryError):  # lengths and brackets without end
        return None
    sound = isinstance(notes, dict) and [len(network.ends)] == list(network.first[-1:])
    return (network, notes) if sound else None


def keep_network(path: Path, network: Network, notes: dict[str, object]) -> None:
    """Write a network and JSON-ready notes; a read-only or full disk costs speed, nothing else."""
    places = {name: getattr(network, name) for name in _PLACES}
    head = {
        "final": network.final,
        "words": network.words,
        "tags": network.tags,
        "lengths": {name: len(values) for name, values in places.items()},
        "notes": notes,
    }
    part = path.with_suffix(f".{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("wb") as file:
            file.write(json.dumps(head, separators=(",", ":")).encode() + b"\n")
            for values in (*places.values(), network.costs):
                values.tofile(file)
        part.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
