"""Times as our records write them, read back."""

from datetime import datetime


def moment(said: object) -> datetime | None:
    """A time from a record of ours, with the shop's offset; None for anything that is none."""
    try:
        read = datetime.fromisoformat(said) if isinstance(said, str) else said
        return read.astimezone() if isinstance(read, datetime) else None
    except (ValueError, OverflowError, OSError):
        return None


def moment_of_ns(nanoseconds: int) -> datetime | None:
    """The local time of a date on disk; None where a file system gives one that no clock shows."""
    try:
        return datetime.fromtimestamp(nanoseconds / 1e9).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def local_now() -> datetime:
    """The time in this shop, with its offset."""
    return datetime.now().astimezone()
