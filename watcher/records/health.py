"""How the service is, kept in `state/health.toml` for whoever looks at the print folder from another process."""

import tomllib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import tomli_w

from watcher.disk import write_whole
from watcher.records.moments import moment

FILE_NAME = "health.toml"


@dataclass(frozen=True, kw_only=True)
class Health:
    """How the service is.

    Attributes:
        at_work: whether one is running on this print folder.
        looked: when it looked at the inbox last, as far as that is written down; None when it is not known.
        paused: why it cannot go on, or None.
    """

    at_work: bool
    looked: datetime | None = None
    paused: str | None = None


def write_health(state: Path, health: Health) -> None:
    """Keep it for others. Whether a service is at work is not kept: its lock tells."""
    body = {
        **({"looked": health.looked.isoformat(timespec="seconds")} if health.looked else {}),
        **({"paused": health.paused} if health.paused else {}),
    }
    data = tomli_w.dumps(body).encode("utf-8", "backslashreplace")
    try:
        write_whole(state / FILE_NAME, data)
    except OSError:  # a full disk has room for it still: in the place of what it said before
        with (state / FILE_NAME).open("r+b") as file:
            file.write(data)
            file.truncate()


def read_health(state: Path, *, at_work: bool) -> Health:
    """What was kept last. A service that is not at work is not paused either."""
    try:
        said = tomllib.loads((state / FILE_NAME).read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        said = {}
    paused = said.get("paused")
    return Health(
        at_work=at_work,
        looked=moment(said.get("looked")),
        paused=paused if at_work and isinstance(paused, str) else None,
    )
