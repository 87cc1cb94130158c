"""How far a figure can be trusted that was made from several others: as far as the weakest."""

from handsfree.values import Status

_STRONGEST_FIRST = (
    Status.READ,
    Status.SECONDARY,
    Status.COMPUTED,
    Status.COMMON_PRACTICE,
    Status.MEMORY,
)


def weakest(*found: Status) -> Status:
    """The weakest of several statuses.

    >>> weakest(Status.READ, Status.MEMORY, Status.COMPUTED)
    <Status.MEMORY: 'memory'>
    """
    return max(found, key=_STRONGEST_FIRST.index)
