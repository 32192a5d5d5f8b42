"""Local times: now, from a timestamp of ours, from a date on disk."""

from datetime import datetime


def parse_timestamp(said: object) -> datetime | None:
    """Parse a timestamp of ours into local time; None if it is not one."""
    try:
        read = datetime.fromisoformat(said) if isinstance(said, str) else said
        return read.astimezone() if isinstance(read, datetime) else None
    except (ValueError, OverflowError, OSError):
        return None


def moment_of_ns(nanoseconds: int) -> datetime | None:
    """Convert a file's date (nanoseconds since 1970) into local time; None if it is out of range."""
    try:
        return datetime.fromtimestamp(nanoseconds / 1e9).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def local_now() -> datetime:
    """The local time now, with its offset."""
    return datetime.now().astimezone()
