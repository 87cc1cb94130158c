"""The time of this machine with its offset, whatever its time zone is set to."""

from datetime import UTC, datetime


def local_now() -> datetime:
    """The time now, where the machine is; in UTC where its time zone makes no sense."""
    return local_time(None)


def local_time(seconds: float | None) -> datetime:
    """A moment of the machine's clock where the machine is; now when None."""
    moment = datetime.now(UTC) if seconds is None else datetime.fromtimestamp(seconds, UTC)
    try:
        return moment.astimezone()
    except (ValueError, OverflowError, OSError):  # an offset of a day or more
        return moment
