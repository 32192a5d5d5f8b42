"""Local times: now, from a timestamp of ours, from a date on disk; and days and times as people say them."""

from datetime import date, datetime

# our own, because the names of the system depend on its language
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


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


def say_day(day: date, now: date | None = None) -> str:
    """A day as people say it, `Thu 24 Dec 2026`; without the year where it is that of `now`."""
    words = f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
    return words if now is not None and day.year == now.year else f"{words} {day.year}"


def say_moment(moment: datetime, now: datetime | None = None) -> str:
    """A time as people say it: `Wed 25 Nov, 14:05`; with the year where it is another one than that of `now`."""
    return f"{say_day(moment.date(), now.date() if now else None)}, {moment:%H:%M}"


def say_stamp(stamp: str) -> str:
    """A timestamp of ours as people say it, in the time of the shop that wrote it; what is none stays as it is."""
    try:
        return say_moment(datetime.fromisoformat(stamp))
    except ValueError:
        return stamp


def say_stamp_day(stamp: str) -> str:
    """The day of a timestamp of ours as people say it; what is none stays as it is."""
    try:
        return say_day(datetime.fromisoformat(stamp).date())
    except ValueError:
        return stamp
